"""Items of every kind, written and scored by the standard's rules alone: each answer earns what exact counting says."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest

from itembank.items import ChoicesResponse, Item, WrongLineResponse
from itembank.writers import qti3
from tests.kinds_bank import TEMPLATES, bound_of, changed, items, walk_items
from tests.qti_scorer import ScoredItem

CHOICES = ("equations-of-one-kind", "all-solutions", "what-is-true")


def subsets(names: list[str]) -> Iterator[tuple[str, ...]]:
    for size in range(len(names) + 1):
        yield from combinations(names, size)


def promised(response: ChoicesResponse, chosen: set[str]) -> Fraction:
    """A share for each right option chosen, as much lost for each wrong one, down to nothing."""
    right = {option.identifier for option in response.right}
    if not response.share:
        return Fraction(response.marks if chosen == right else 0)
    return max(response.share * (len(chosen & right) - len(chosen - right)), Fraction(0))


def check_every_set(item: Item) -> None:
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)
    scored = ScoredItem(qti3.item_xml(item))
    right = {option.identifier for option in response.right}
    told = {option.identifier: option.slip for option in response.options if option.slip is not None}
    for chosen in subsets([option.identifier for option in response.options]):
        result = scored.answer({"RESPONSE": chosen})

        assert promised(response, set(chosen)) == Fraction(result.score)
        assert ("F0" in result.feedback) == (set(chosen) == right)
        assert len(result.feedback - {"F0"}) == sum(name in told for name in chosen)


@pytest.mark.parametrize("name", CHOICES)
def test_every_set_of_options_earns_its_shares(name: str) -> None:
    for item in items(name, 6):
        check_every_set(item)


@pytest.mark.parametrize(("credit", "marks"), [("all", 1), ("all", 3), ("each", 3), ("each", 1)])
def test_shares_and_all_or_nothing_are_marked_as_the_template_says(
    credit: str, marks: int, tmp_path: object
) -> None:

    path = changed(
        "equations-of-one-kind",
        Path(str(tmp_path)),
        ("options: 5", f"options: 5\n  credit: {credit}\n  marks: {marks}"),
    )
    item = next(walk_items(bound_of(path)))
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)

    assert response.share == (Fraction(marks, 2) if credit == "each" else 0)
    assert marks == item.marks
    check_every_set(item)


def test_the_wrong_line_alone_earns_the_mark_and_says_why() -> None:
    numbers = set()
    for item in items("find-the-slip"):
        response = item.parts[0].response
        assert isinstance(response, WrongLineResponse)
        scored = ScoredItem(qti3.item_xml(item))
        numbers.add(response.wrong)
        for index in range(len(response.lines)):
            result = scored.answer({"RESPONSE": f"L{index + 1}"})
            is_wrong = index == response.wrong

            assert (1 if is_wrong else 0) == result.score
            assert ({"F0", "F1"} if is_wrong else {"FL"}) == result.feedback
        assert scored.answer({}).score == 0
        assert frozenset() == scored.answer({}).feedback
    assert len(numbers) >= 2


def test_the_bank_has_a_template_of_each_of_these_kinds() -> None:
    kinds = {type(items(name, 1)[0].parts[0].response) for name in TEMPLATES}

    assert {ChoicesResponse, WrongLineResponse} <= kinds
