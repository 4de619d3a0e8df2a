"""Pages as a browser prints them: no word leaves the sheet, and none stands on another."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import NamedTuple

import pytest

from itembank.writers import pages
from itembank.writers.facts import SIZES, Looks, PaperFacts
from tests.conformance.test_demo_papers import _items, _templates
from tests.printed_pages import printed

POINTS_A_MILLIMETRE = 72 / 25.4
MARGIN = 16
NARROW = 6
"""Points: a glyph so narrow may lie within another, as an index or the sign of a product that is not seen."""


class Word(NamedTuple):
    """A run of letters on a page, in points from its upper left corner."""

    left: float
    top: float
    right: float
    bottom: float
    text: str


def _printed(page: str, folder: Path) -> list[tuple[float, list[Word]]]:
    """The width and the words of each sheet."""
    told = printed(page, folder, "-bbox")
    return [
        (float(sheet[1]), [_word(found) for found in _WORD.findall(sheet[2])])
        for sheet in re.finditer(r'<page width="([\d.]+)"[^>]*>(.*?)</page>', told, re.DOTALL)
    ]


_WORD = re.compile(
    r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', re.DOTALL
)


def _word(found: tuple[str, str, str, str, str]) -> Word:
    left, top, right, bottom = map(float, found[:4])
    return Word(left, top, right, bottom, found[4])


def _meeting(words: list[Word]) -> Iterator[tuple[Word, Word]]:
    """Pairs of words that have a height in common."""
    downwards = sorted(words, key=lambda word: word.top)
    for place, one in enumerate(downwards):
        for other in islice(downwards, place + 1, None):
            if other.top >= one.bottom:
                break
            yield one, other


def _cover(one: Word, other: Word) -> bool:
    across = min(one.right, other.right) - max(one.left, other.left)
    down = min(one.bottom, other.bottom) - max(one.top, other.top)
    return across > 2 and down > 0.45 * min(one.bottom - one.top, other.bottom - other.top)


def _faults(page: str, folder: Path) -> list[str]:
    margin, found = (MARGIN - 1) * POINTS_A_MILLIMETRE, []
    sheets = _printed(page, folder)
    assert sum(len(words) for _, words in sheets) > 300
    for number, (width, words) in enumerate(sheets, 1):
        found += [
            f"sheet {number}: {word.text} leaves it"
            for word in words
            if word.left < margin or word.right > width - margin
        ]
        wide = [
            word
            for word in words
            if word.right - word.left > NARROW and not {"\u2061", "\u2062"} & set(word.text)
        ]
        found += [
            f"sheet {number}: {one.text} and {other.text} on one another"
            for one, other in _meeting(wide)
            if _cover(one, other)
        ]
    return found


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["question-paper", "answer-key", "worked-solutions", "mark-scheme"])
def test_pages_of_every_template_in_large_print(name: str, size: str, tmp_path: Path) -> None:
    facts = PaperFacts("Evening algebra", looks=Looks(size, large=True, wide=True, working="lines"))
    items = _items("algebra", len(_templates("algebra")), 5)

    assert [] == _faults(pages.document(name, items, facts), tmp_path)


@pytest.mark.parametrize("name", ["question-paper", "answer-key", "worked-solutions", "mark-scheme"])
def test_pages_of_every_template(name: str, tmp_path: Path) -> None:
    facts = PaperFacts("Evening algebra", looks=Looks(front="heading"))
    banks = ("algebra", "kinds", "quadratics")
    items = [item for bank in banks for item in _items(bank, len(_templates(bank)), 6)]

    assert [] == _faults(pages.document(name, items, facts), tmp_path)


def test_the_fault_finder_finds_faults(tmp_path: Path) -> None:
    words = "<p>" + "word " * 400 + "</p>"
    page = (
        f"<style>@page {{ size: A4; margin: 16mm; }} body {{ margin: 0; }}</style>{words}"
        '<p style="margin-left: -12mm">outside</p>'
        '<p>covered<span style="margin-left: -3em">covering</span></p>'
    )

    found = _faults(page, tmp_path)
    assert any("leaves it" in each for each in found)
    assert any("on one another" in each for each in found)
