"""What is written in a picture: numbers at ticks say where the ticks are, all others stand in the picture's words."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from fractions import Fraction
from itertools import takewhile
from typing import Final, NamedTuple

from lxml import etree

from itembank.audit.letters import LOWERED, letter_in_words
from itembank.audit.xml_reading import local_name

__all__ = ["RAISED", "Group", "groups", "label_faults", "label_of", "level_label_of", "read_label"]

_LABEL: Final = re.compile(r"-?[0-9]+(?:\.[0-9]+)?\Z")
_BLANKS: Final = re.compile(r"[\s\u00a0\u2009\u202f]+")
_PARTED: Final = re.compile(r"(?<=[0-9])[\u00a0\u2009\u202f](?=[0-9])")
_RUN: Final = re.compile("[0-9]+")
_INDEX: Final = re.compile(f"[{LOWERED}]+")
RAISED: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")


class Group(NamedTuple):
    """Texts that stand side by side in the file, the index of a letter left out. before: the element they follow.

    level: those on the line of the first, up to one above or below it, as at a bar.
    """

    before: etree._Element | None
    texts: tuple[str, ...]
    level: str

    @property
    def text(self) -> str:
        """All of them, as one number of a scale is written."""
        return "".join(self.texts)


def groups(root: etree._Element) -> Iterator[Group]:
    """All that is written in a picture, in order."""
    for parent in root.iter():
        before: etree._Element | None = None
        held: list[etree._Element] = []
        for child in parent:
            if local_name(child) == "text":
                held.append(child)
                continue
            if held:
                yield _group(before, held)
                held = []
            before = child
        if held:
            yield _group(before, held)


def _group(before: etree._Element | None, texts: list[etree._Element]) -> Group:
    shown = [
        each
        for last, each in zip([None, *texts], texts, strict=False)
        if last is None or not _is_index(each, last)
    ]
    written = tuple(_BLANKS.sub("", each.text or "") for each in shown)
    on_line = takewhile(lambda pair: pair[0].get("y") == shown[0].get("y"), zip(shown, written, strict=True))
    return Group(before, written, "".join(text for _, text in on_line))


def _is_index(text: etree._Element, last: etree._Element) -> bool:
    """Whether digits stand smaller close behind a letter, and a little lower, as in x₁: they count nothing."""
    if not (_RUN.fullmatch(text.text or "") and (last.text or "").isalpha()):
        return False
    places = [read_label(each.get(name, "")) for each in (text, last) for name in ("font-size", "x", "y")]
    if None in places:
        return False
    size, x, y, size_before, x_before, y_before = (place or Fraction(0) for place in places)
    across, down = x - x_before, y - y_before
    letters = len(last.text or "")
    return size < size_before and 0 < 2 * across < (1 + letters) * size_before and 0 < 4 * down < size_before


def label_of(tick: etree._Element, all_groups: Collection[Group]) -> str:
    """What is written at a tick, "" for nothing."""
    return next((each.text for each in all_groups if each.before is tick), "")


def level_label_of(element: etree._Element, all_groups: Collection[Group]) -> str:
    """What is written after an element of a picture, "" for nothing, and for what is not on one line."""
    return next((each.text for each in all_groups if each.before is element and each.level == each.text), "")


def read_label(text: str) -> Fraction | None:
    """The number a label shows, None where it shows none."""
    plain = text.replace("\u2212", "-").replace(",", ".")
    return Fraction(plain) if _LABEL.match(plain) else None


def label_faults(
    all_groups: Collection[Group], words: str, ticks: Collection[etree._Element]
) -> Iterator[str]:
    """Numerals that are written anywhere but at the ticks, and that the words do not have.

    Above and below a bar, or a root and what is before it, stand numerals of their own.
    """
    spaced = _INDEX.sub(lambda index: f" {letter_in_words(index[0])[1:]} ", words)
    told = set(_RUN.findall(_PARTED.sub("", spaced.translate(RAISED))))
    at_ticks = set(ticks)
    for group in all_groups:
        if group.before in at_ticks:
            continue
        for numeral in (each for text in group.texts for each in _RUN.findall(text)):
            if numeral not in told:
                yield f"{numeral} is written in it, which its words do not say"
