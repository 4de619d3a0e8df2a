"""What a mark scheme says: lines with marks, alternatives, what a slip scores."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from itembank.expressions.spelling import plain
from itembank.items import (
    Blank,
    ChoicesResponse,
    EntryResponse,
    Item,
    Mark,
    MatchResponse,
    Part,
    RecognisedEntry,
    marks_text,
)
from itembank.words import words
from itembank.writers import qti3
from itembank.writers.scheme import (
    alternatives,
    mark_words,
    scheme_rows,
    score_words,
    slip_score,
    slip_score_words,
)
from tests import kinds_bank, samples
from tests.qti_scorer import ScoredItem
from tests.template_items import items

EN = words("en")


def _part(item: object) -> Part:
    return item.parts[0]  # type: ignore[attr-defined,no-any-return]


def _with_blank(form: str, boxes: tuple[str, ...], values: tuple[int, ...], *, pair: bool = False) -> Part:
    part = _part(samples.surd_entry_item())
    assert isinstance(part.response, EntryResponse)
    blank = Blank("x", form, boxes, (values,), 1, pair=pair, marks=(Mark("M"), Mark("A")))
    return replace(part, response=replace(part.response, blanks=(blank,), marks=2))


def test_every_mark_of_a_solution_has_its_line() -> None:
    for make in samples.ALL:
        part = _part(make())
        given = [mark for line in part.solution for mark in line.marks]
        assert given == [mark for row in scheme_rows(part) for mark in row.marks]


@pytest.mark.parametrize(
    ("boxes", "values", "pair", "shown"),
    [
        ("pqr", (-8, 2, 2), True, "x = -8 ± sqrt(8)"),
        ("pqrs", (3, 2, 7, 5), True, "x = (3 ± sqrt(28))/5"),
        ("qr", (6, 2), False, "x = 3*sqrt(8)"),
        ("qr", (7, 2), True, "x = ±sqrt(98)"),
        ("pqr", (1, -3, 2), False, "x = 1 - sqrt(18)"),
        ("qr", (21, 65), False, "x = 7*sqrt(585)"),
        ("pqr", (5, -25, 3), False, "x = 5 - 5*sqrt(75)"),
    ],
)
def test_a_surd_with_a_factor_under_the_root_is_an_equal_value_for_one_mark_less(
    boxes: str, values: tuple[int, ...], pair: bool, shown: str
) -> None:
    (found,) = alternatives(_with_blank("surd", tuple(boxes), values, pair=pair), EN)

    assert found.example is not None
    assert (shown, 1) == (plain(found.example), found.scores)
    assert "surd" in found.sentence
    (american,) = alternatives(_with_blank("surd", tuple(boxes), values, pair=pair), words("en-US"))
    assert "radical" in american.sentence


def test_a_surd_that_has_no_factor_to_take_in_has_no_example() -> None:
    assert [] == list(alternatives(_with_blank("surd", ("p", "q", "r"), (3, 1, 7), pair=True), EN))


@pytest.mark.parametrize(("values", "shown"), [((1, 12), "x = 2/24"), ((-5, 2), "x = -10/4")])
def test_a_fraction_that_could_be_reduced_is_an_equal_value(values: tuple[int, int], shown: str) -> None:
    (found,) = alternatives(_with_blank("fraction", ("numerator", "denominator"), values), EN)

    assert found.example is not None
    assert shown == plain(found.example)


def test_a_whole_number_as_a_fraction_has_no_example() -> None:
    assert [] == list(alternatives(_with_blank("fraction", ("numerator", "denominator"), (4, 1)), EN))


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("interval", "The inequalities in any order."),
        ("points", "The points in any order"),
        ("entry", "The values"),
    ],
)
def test_what_may_stand_in_any_order_is_named(name: str, told: str) -> None:
    sentences = {
        each.sentence
        for item in items(name, 12)
        for each in alternatives(item.parts[0], EN)
        if "order" in each.sentence
    }

    assert sentences
    assert all(sentence.startswith(told) for sentence in sentences)


def test_a_choice_accepts_its_letter_only_and_a_slip_of_it_scores_nothing() -> None:
    part = _part(samples.choice_item())

    assert [] == list(alternatives(part, EN))
    assert {(0, 0)} == {(s.alone, s.most) for s in (slip_score(part, slip) for slip in part.slips)}


def test_a_blank_a_slip_leaves_right_earns_its_marks() -> None:
    part = _part(samples.surd_entry_item())
    assert isinstance(part.response, EntryResponse)
    slip = _part(samples.choice_item()).slips[0]
    p = Blank("p", "integer", ("value",), ((-5,),), 1, marks=(Mark("M"), Mark("A")))
    q = Blank("q", "integer", ("value",), ((7,),), 1, marks=(Mark("A"),))
    entered = RecognisedEntry((((-5,),), ((32,),)), slip)
    response = replace(part.response, blanks=(p, q), marks=3, recognised=(entered,))
    score = slip_score(replace(part, response=response), slip)

    assert 2 == score.alone
    assert score.alone <= score.most <= 2


def test_a_slip_never_reaches_full_marks() -> None:
    for make in samples.ALL:
        part = _part(make())
        for slip in part.slips:
            score = slip_score(part, slip)
            assert 0 <= score.alone <= score.most < max(part.response.marks, 1)
            assert f"of\u00a0{part.response.marks}" in slip_score_words(part, slip, EN)


def test_marks_are_told_in_words() -> None:
    assert "method" == mark_words(Mark("M", 2), EN)
    assert mark_words(Mark("A", 1, True), EN).startswith("accuracy, follow through")
    assert "" == mark_words(Mark(""), EN)
    assert "scores 1 of 3" == score_words(1, 3, EN)


KINDS = [item for name in kinds_bank.TEMPLATES for item in kinds_bank.items(name, 4)]
SHARED = [
    item
    for item in KINDS
    if isinstance(item.parts[0].response, MatchResponse | ChoicesResponse)
    and item.parts[0].response.share
    and item.parts[0].slips
]


@pytest.mark.parametrize("item", SHARED, ids=lambda item: item.code)
def test_what_a_slip_scores_of_a_match_or_several_options_is_what_the_file_gives(item: Item) -> None:
    """Everything else right and the slip's answer chosen, scored by the tests' own scorer."""
    part = item.parts[0]
    scored = ScoredItem(qti3.item_xml(item))
    right = scored.key()["RESPONSE"]
    tried = 0
    for option in getattr(part.response, "targets", getattr(part.response, "options", ())):
        if option.slip is None or getattr(option, "is_key", False):
            continue
        wrong = [f"R1 {option.identifier}", *(each for each in right if not each.startswith("R1 "))]
        if not isinstance(part.response, MatchResponse):
            wrong = [*right, option.identifier]
        score = slip_score(part, option.slip)
        assert float(score.most) == scored.answer({"RESPONSE": wrong}).score
        assert marks_text(Fraction(score.most)) in slip_score_words(part, option.slip, EN)
        alone = [wrong[0]] if isinstance(part.response, MatchResponse) else [option.identifier]
        assert float(score.alone) == scored.answer({"RESPONSE": alone}).score
        tried += 1
    assert tried >= 1 or not any(o.slip for o in getattr(part.response, "options", ()) if not o.is_key)


def test_there_are_slips_of_both_sorts() -> None:
    assert {MatchResponse, ChoicesResponse} == {type(item.parts[0].response) for item in SHARED}


def test_a_scheme_tells_what_each_point_scores_and_that_their_order_is_free() -> None:
    told = []
    for item in items("points-touching", 12):
        told += [each.sentence for each in alternatives(item.parts[0], words("en"))]

    assert "The points in any order; the coordinates of a point stay together." in told
    assert "Each right point by itself: 1.5 of 3." in told
    es = [
        each.sentence
        for item in items("points-touching", 12)
        for each in alternatives(item.parts[0], words("es"))
    ]
    assert "Cada punto correcto por separado: 1,5 de 3." in es
