"""What a response comes to in this profile, whatever its kind."""

from __future__ import annotations

from typing import NamedTuple

from itembank.writers.common_cartridge.markup import html, words

__all__ = ["LeftOut", "Response", "phrase"]


class LeftOut(Exception):
    """The profile cannot carry the part; the text is the reason, in plain words."""


class Response(NamedTuple):
    """A response. profile: its `cc_profile`; kind: as the solution tells it; below: HTML after the stem; asked: the
    response itself; processing: its rules, "" for none; feedback: names and HTML; lost: in plain words."""

    profile: str
    kind: str
    below: str
    asked: str
    processing: str
    feedback: tuple[tuple[str, str], ...]
    lost: tuple[str, ...] = ()


def phrase(text: str, foreign: str, **attributes: str) -> str:
    """Words this writer adds, as a paragraph. foreign: their language, "" where it is the item's own."""
    return html("p", words(text), **({"lang": foreign} if foreign else {}), **attributes)
