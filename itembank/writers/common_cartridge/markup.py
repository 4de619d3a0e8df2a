"""The lowest room of this writer: the only place where a `<` is written, and where HTML becomes text.

In this profile of QTI 1.2 a text is HTML *written as characters* inside `mattext`: it is markup once while it is
made (`html`, `words`), and is escaped once, whole, where it is put into the document (`material`).
"""

from __future__ import annotations

from itembank.writers.base import xml_attribute, xml_text

__all__ = ["element", "field", "html", "material", "words"]

_VOID = frozenset({"br", "img"})


def words(text: str) -> str:
    """Plain text as HTML, or as the content of an element."""
    return xml_text(text)


def html(name: str, *children: str, **attributes: str) -> str:
    """An element of HTML; children: HTML; attributes: plain text.

    An empty element keeps its closing tag, which readers of HTML need. In the names of attributes `_` stands for
    `-`; a trailing `_` is dropped, so that words of Python can be names.

    >>> html("p", words("x > 2"), class_="marks"), html("td"), html("br")
    ('<p class="marks">x &gt; 2</p>', '<td></td>', '<br/>')
    """
    written = _attributes(attributes)
    return f"<{name}{written}/>" if name in _VOID else f"<{name}{written}>{''.join(children)}</{name}>"


def element(name: str, *children: str, **attributes: str) -> str:
    """An element of the document; children: markup; attributes: plain text. `__` in a name stands for `:`.

    >>> element("item", ident="K7Q2M", xml__lang="en")
    '<item ident="K7Q2M" xml:lang="en"/>'
    """
    written, inner = _attributes(attributes), "".join(children)
    return f"<{name}{written}>{inner}</{name}>" if inner else f"<{name}{written}/>"


def _attributes(attributes: dict[str, str]) -> str:
    return "".join(f' {_name(key)}="{xml_attribute(value)}"' for key, value in attributes.items())


def _name(key: str) -> str:
    return key.removesuffix("_").replace("__", ":").replace("_", "-")


def material(made: str, language: str = "") -> str:
    """HTML as a material: here, and only here, it becomes text. language: "" where it is the item's own.

    >>> material("<p>2 &lt; 3</p>")
    '<material><mattext texttype="text/html">&lt;p&gt;2 &amp;lt; 3&lt;/p&gt;</mattext></material>'
    """
    escaped = made.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    tongue = f' xml:lang="{xml_attribute(language)}"' if language else ""
    return f'<material><mattext texttype="text/html"{tongue}>{escaped}</mattext></material>'


def field(label: str, entry: str) -> str:
    """One field of metadata, both plain text."""
    return element(
        "qtimetadatafield", element("fieldlabel", words(label)), element("fieldentry", words(entry))
    )
