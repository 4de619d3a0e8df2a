"""What every writer is, and what all that write XML share: characters made safe, once.

A writer receives frozen items and knows no mathematics. What its format cannot carry it says, item by item, as
`shortfalls`; it never drops anything silently.
"""

from __future__ import annotations

import re
from typing import Final, Protocol

from itembank.items import Item
from itembank.words import base_language, words

__all__ = ["Writer", "has_decimal_comma", "xml_attribute", "xml_text"]


# Source: Unicode CLDR, number symbols of these languages (from memory); a region can differ (it-CH).
_COMMA_LANGUAGES: Final = frozenset(
    {
        "bg", "ca", "cs", "da", "el", "et", "fi", "fr", "hr", "hu", "is", "it", "lt", "lv", "nb", "nl", "nn",
        "no", "pl", "pt", "ro", "ru", "sk", "sl", "sr", "sv", "tr", "uk",
    }
)  # fmt: skip
_POINT_REGIONS: Final = frozenset({"it-ch"})


def has_decimal_comma(language: str) -> bool:
    """Whether numbers of a language (a tag of BCP 47) are written with a decimal comma.

    A language with a translation file says so itself.

    >>> has_decimal_comma("de-AT"), has_decimal_comma("de-CH"), has_decimal_comma("es"), has_decimal_comma("es-MX")
    (True, False, True, False)
    """
    said = words(language)
    if base_language(said.language) == base_language(language):
        return said.decimal_mark == ","
    tag = language.lower()
    return base_language(tag) in _COMMA_LANGUAGES and tag not in _POINT_REGIONS


class Writer(Protocol):
    """A format. A module that has these names is a writer."""

    @property
    def FORMAT(self) -> str:  # noqa: N802 (a constant of the module)
        """The name the format goes by in settings and on the command line."""

    def shortfalls(self, item: Item) -> tuple[str, ...]:
        """What the format cannot carry of an item, each in a sentence; () where nothing is lost."""


# Source: W3C, Extensible Markup Language (XML) 1.0, fifth edition, production [2] Char.
_ILLEGAL: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_REPLACEMENT: Final = "\ufffd"
# A parser turns a bare carriage return into a line feed, and any white space of an attribute into a blank.
_IN_TEXT: Final = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", "\r": "&#13;"})
_IN_ATTRIBUTE: Final = {**_IN_TEXT, **str.maketrans({'"': "&quot;", "\t": "&#9;", "\n": "&#10;"})}


def xml_text(text: str) -> str:
    """Text as the content of an XML element.

    text: any string. A character that no XML document can hold becomes U+FFFD, the sign for such a loss; every
    other is read back by a parser as it was.

    >>> xml_text("a < b & \\x00")
    'a &lt; b &amp; \ufffd'
    """
    return _ILLEGAL.sub(_REPLACEMENT, text).translate(_IN_TEXT)


def xml_attribute(text: str) -> str:
    """Text as the value of an XML attribute, to stand between double quotes; characters as in `xml_text`.

    >>> xml_attribute('the "key"')
    'the &quot;key&quot;'
    """
    return _ILLEGAL.sub(_REPLACEMENT, text).translate(_IN_ATTRIBUTE)
