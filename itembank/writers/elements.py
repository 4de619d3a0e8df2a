"""Elements of XML: the only place where the writers of QTI put a `<`.

Everything above hands over plain text as attributes, and markup as children.
"""

from __future__ import annotations

from itembank.writers.base import xml_attribute

__all__ = ["Safe", "tag"]


class Safe(str):
    """An attribute's value that is escaped already, or whose holes are filled with what is."""

    __slots__ = ()


def tag(name: str, *children: str, **attributes: str) -> str:
    """An element. children: markup; attributes: plain text, or `Safe`.

    In the names of attributes `__` stands for `:` and `_` for `-`; a trailing `_` is dropped, so that words of Python
    can be names.

    >>> tag("p", "x &gt; 2", class_="marks", xml__lang="en", data_role="line")
    '<p class="marks" xml:lang="en" data-role="line">x &gt; 2</p>'
    >>> tag("br")
    '<br/>'
    """
    written = "".join(f' {_name(key)}="{_value(value)}"' for key, value in attributes.items())
    inner = "".join(children)
    return f"<{name}{written}>{inner}</{name}>" if inner else f"<{name}{written}/>"


def _name(key: str) -> str:
    return key.removesuffix("_").replace("__", ":").replace("_", "-")


def _value(value: str) -> str:
    return value if isinstance(value, Safe) else xml_attribute(value)
