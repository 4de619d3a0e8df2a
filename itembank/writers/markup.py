"""Escaping for XML and HTML, once: everything above passes plain text."""

from __future__ import annotations

import re

_ILLEGAL = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def text(plain: str) -> str:
    """Plain characters as XML text; characters XML cannot hold become U+FFFD.

    >>> text("a < b & c")
    'a &lt; b &amp; c'
    """
    return _legal(plain).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def attribute(plain: str) -> str:
    """Plain characters as the value of an attribute in double quotes.

    >>> attribute('say "x"')
    'say &quot;x&quot;'
    """
    return text(plain).replace('"', "&quot;").replace("\n", "&#10;").replace("\t", "&#9;")


def _legal(plain: str) -> str:
    return plain if plain.isascii() and plain.isprintable() else _ILLEGAL.sub("�", plain)
