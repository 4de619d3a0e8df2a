"""Items of every kind, written and scored by the standard's rules alone: each answer earns what exact counting says."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations, islice, permutations, product
from pathlib import Path

import pytest

from itembank.items import (
    ChoicesResponse,
    Item,
    MatchResponse,
    OrderResponse,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.writers import qti3
from tests.kinds_bank import TEMPLATES, bound_of, changed, items, walk_items
from tests.qti_scorer import QTI, ScoredItem

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

    assert {ChoicesResponse, WrongLineResponse, OrderResponse, MatchResponse, WrittenResponse} <= kinds


@pytest.mark.parametrize("name", ["order-of-steps", "order-of-surds"])
def test_every_order_earns_what_stands_in_its_place(name: str) -> None:
    for item in items(name, 4):
        response = item.parts[0].response
        assert isinstance(response, OrderResponse)
        right = tuple(thing.identifier for thing in response.in_order)
        scored = ScoredItem(qti3.item_xml(item))
        for order in permutations(right):
            result = scored.answer({"RESPONSE": order})
            placed = sum(one == other for one, other in zip(order, right, strict=True))
            whole = Fraction(response.marks if order == right else 0)

            assert (response.share * placed if response.share else whole) == Fraction(result.score)
            assert ({"F0"} if order == right else set()) == result.feedback
        assert 0 == scored.answer({}).score
        assert right != tuple(thing.identifier for thing in response.things)


@pytest.mark.parametrize("name", ["equations-and-solutions", "discriminants-and-roots"])
@pytest.mark.parametrize("credit", ["each", "all"])
def test_every_way_to_match_earns_its_rows(name: str, credit: str, tmp_path: Path) -> None:
    path = changed(name, tmp_path, ("kind: match", f"kind: match\n  credit: {credit}"))
    for item in islice(walk_items(bound_of(path)), 3):
        response = item.parts[0].response
        assert isinstance(response, MatchResponse)
        assert (credit == "each") == bool(response.share)
        right = [f"{row.identifier} {row.target}" for row in response.rows]
        told = {t.identifier for t in response.targets if t.slip is not None}
        scored = ScoredItem(qti3.item_xml(item))
        for letters in product([t.identifier for t in response.targets], repeat=len(response.rows)):
            pairs = [f"{row.identifier} {to}" for row, to in zip(response.rows, letters, strict=True)]
            result = scored.answer({"RESPONSE": pairs})
            hits = sum(pair in right for pair in pairs)
            whole = Fraction(response.marks if pairs == right else 0)

            assert (response.share * hits if response.share else whole) == Fraction(result.score)
            assert ("F0" in result.feedback) == (pairs == right)
            assert len(result.feedback - {"F0"}) == len(told & set(letters))
        assert 0 == scored.answer({}).score


def test_an_answer_in_writing_earns_nothing_by_rule_and_shows_its_scheme() -> None:
    for item in items("in-writing", 3):
        root = ScoredItem(qti3.item_xml(item)).root
        (score,) = (e for e in root.iter(f"{QTI}qti-outcome-declaration") if e.get("identifier") == "SCORE")
        blocks = list(root.iter(f"{QTI}qti-rubric-block"))

        assert root.find(f"{QTI}qti-response-processing") is None
        assert ("human", "4") == (score.get("external-scored"), score.get("normal-maximum"))
        assert {"solution", "scoring"} == {block.get("use") for block in blocks}
        assert all("candidate" not in str(block.get("view")) for block in blocks)
        assert 4 == sum(bool(e.get("data-marks")) for e in root.iter() if e.get("data-role") == "line")
