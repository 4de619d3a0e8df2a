"""Papers of a class in one page: a browser prints each with its name and its own page numbers in the foot."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from itembank.writers import pages
from itembank.writers.order import versions
from itembank.writers.paper import PaperFacts
from tests import samples
from tests.paper_items import FACTS
from tests.printed_pages import printed

NAMES = (("Ada Marsh", "A"), ('Bo "Reed" \\ @ # }</style>', "B"), ("Cy Teal", "A"))


def _feet(page: str, folder: Path) -> list[str]:
    """The foot of each printed page."""
    text = printed(page, folder, "-layout")
    return [" ".join(page.strip().splitlines()[-1].split()) for page in text.split("\f")[:-1]]


def _papers() -> list[tuple[PaperFacts, tuple[samples.Item, ...]]]:
    every = versions([make() for make in samples.ALL], 2)
    return [
        (replace(FACTS, version=letter, pupil=name, answer_sheet=True), every["AB".index(letter)])
        for name, letter in NAMES
    ]


@pytest.mark.parametrize("name", ["question-paper", "answer-sheet"])
def test_each_paper_counts_its_own_pages(name: str, tmp_path: Path) -> None:
    feet = _feet(pages.pupils_papers(name, _papers()), tmp_path)

    assert 0 == len(feet) % 3
    each = len(feet) // 3
    assert each >= (2 if name == "question-paper" else 1)
    for number, foot in enumerate(feet):
        pupil, letter = NAMES[number // each]
        assert f"{FACTS.title}, Version {letter}, {pupil} Page {number % each + 1}" == foot


def test_the_only_paper_of_a_page_says_how_many_there_are(tmp_path: Path) -> None:
    feet = _feet(pages.pupils_papers("question-paper", _papers()[:1]), tmp_path)

    assert [f"Page {n} of {len(feet)}" for n in range(1, len(feet) + 1)] == [
        re.sub(r".*(Page \d+ of \d+)$", r"\1", foot) for foot in feet
    ]
