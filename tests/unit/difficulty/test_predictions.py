"""Predicted difficulty: what is counted, what it adds up to, and that it is whole numbers throughout."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import islice

import pytest
from hypothesis import given, strategies

from itembank.difficulty import FEATURES, FURTHEST, Predictor, logits, spread_of, usual_weights
from itembank.difficulty.weights import written_weights
from itembank.errors import DomainError
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Instantiator
from itembank.generator.space import walk
from itembank.items import Item, Part
from tests import kinds_bank, qti_items, sample_banks, samples, template_items


def counted(item: Item) -> dict[str, int]:
    """Feature -> how often it was counted, of an item of one part."""
    return {each.feature: each.times for each in Predictor(item.about).predict(item.parts).contributions}


def asking(problem: str, key: str, *, unknowns: tuple[str, ...] = ("x",)) -> Part:
    """The part of the choice sample with another problem and key."""
    (part,) = samples.choice_item().parts
    asked = replace(part.problem, statement=samples.maths(problem), unknowns=unknowns)
    return replace(part, problem=asked, key=samples.maths(key))


def features(problem: str, key: str, *, unknowns: tuple[str, ...] = ("x",)) -> dict[str, int]:
    """What is counted in problem and key; what the sample's response, solution and stem add is left out."""
    found = Predictor(samples.ABOUT).predict([asking(problem, key, unknowns=unknowns)]).contributions
    return {
        each.feature: each.times
        for each in found
        if each.feature not in {"start", "steps", "options", "long-stem"}
    }


# counted by hand
SEEN = [
    ("x + 3 = 10", "x = 7", {}),
    ("x - 3 = -10", "x = -7", {"minus-signs": 2, "minus-in-key": 1}),
    ("x + 30 = 130", "x = 100", {"size-in-problem": 3, "size-in-key": 2}),
    ("x^2 = 5", "x = ± sqrt(5)", {"powers": 1, "surd-in-key": 1, "several-values": 1}),
    ("2*x^2 = 5", "x = 1/2", {"powers": 1, "leading-number": 1, "fraction-in-key": 1}),
    ("x/2 + 1 = 5", "x = 8", {"fraction-in-problem": 1}),
    ("(x + 1)^2 = 12", "x = -1 ± 2*sqrt(3)",
     {"powers": 1, "brackets": 1, "minus-in-key": 1, "surd-in-key": 1, "surd-simplified": 1, "several-values": 1}),
    ("x^2 + 4 = 0", "none", {"powers": 1, "no-real-solution": 1}),
    ("x^4 + 4 = 8", "x = 1 or x = 2", {"powers": 3, "several-values": 1}),
    ("x + y = 3 and x = 1", "x = 1 and y = 2", {"unknowns": 1}),
    ("x + 2 < 5", "x < 3", {"inequality": 1}),
    ("sqrt(8) + sqrt(2)", "3*sqrt(2)", {"roots-in-problem": 2, "surd-in-key": 1, "surd-simplified": 1}),
    ("a*x + b = c", "x = 1", {"letters": 2}),
    ("x + 0.75 = 1", "x = 0.25", {"decimals": 1}),
]  # fmt: skip


@pytest.mark.parametrize(("problem", "key", "expected"), SEEN, ids=[problem for problem, _, _ in SEEN])
def test_features_are_what_a_reader_counts(problem: str, key: str, expected: dict[str, int]) -> None:
    names = ("x", "y") if "y" in problem else () if "=" not in problem and "<" not in problem else ("x",)

    assert expected == features(problem, key, unknowns=names)


def test_solution_stem_and_options_count() -> None:
    item = samples.choice_item()
    lines = sum(line.maths is not None for line in item.parts[0].solution)
    found = counted(item)

    assert lines - 1 == found["steps"]
    assert max(len(item.parts[0].response.options) - 3, 0) == found.get("options", 0)  # type: ignore[union-attr]
    assert "long-stem" not in found


def test_demand_counts() -> None:
    item = samples.choice_item()

    def total(demand: str) -> int:
        about = item.about._replace(demand=demand)
        return Predictor(about).predict(item.parts).thousandths

    assert total("know") < total("use") == total("") < total("reason")


def test_with_a_calculator_numbers_have_no_size() -> None:
    item = samples.choice_item()
    large = [asking("x^2 - 1000*x + 998 = 0.5", "x = 200")]
    small = [asking("x^2 - 4*x + 2 = 0", "x = 2")]
    with_calculator = Predictor(item.about._replace(calculator="yes"))

    assert with_calculator.predict(small) == with_calculator.predict(large)
    assert Predictor(item.about).predict(small).thousandths < Predictor(item.about).predict(large).thousandths


@pytest.mark.parametrize("make", [samples.choice_item, samples.surd_entry_item, samples.words_item])
def test_contributions_add_up_to_the_difficulty(make: object) -> None:
    item = make()  # type: ignore[operator]
    found = Predictor(item.about).predict(item.parts)

    assert found.thousandths == sum(each.adds for each in found.contributions)
    assert all(type(each.adds) is int and type(each.times) is int for each in found.contributions)


def test_of_several_parts_it_is_the_mean_by_marks() -> None:
    item = qti_items.two_part_item()
    predictor = Predictor(item.about)
    found = predictor.predict(item.parts)
    apart = [(part.response.marks, predictor.predict([part]).thousandths) for part in item.parts]
    mean = Fraction(sum(marks * each for marks, each in apart), sum(marks for marks, _ in apart))

    assert abs(found.thousandths - mean) <= Fraction(1, 2)
    assert {part.label for part in item.parts} == {each.part for each in found.contributions}


def test_every_kind_of_response_is_counted() -> None:
    expected = {
        "order-of-steps": "to-order", "equations-and-solutions": "to-match", "find-the-slip": "lines-to-check",
        "in-writing": "written", "all-solutions": "several-right",
    }  # fmt: skip
    for name, feature in expected.items():
        (item,) = kinds_bank.items(name, 1)
        assert feature in counted(item), name
    assert "entered" in counted(next(template_items.items("interval", 1)))


def test_what_was_remembered_is_what_is_counted_afresh() -> None:
    seen = 0
    for entry in sample_banks.read("algebra").entries[::4]:
        bound = Bound(entry.recipe)
        maker = Instantiator(bound, 1)
        for drawn in islice(walk(bound, 1), 30):
            item = maker.item(drawn.position, drawn.draft, "CODE")
            assert Predictor(item.about).predict(item.parts) == item.difficulty
            seen += 1
    assert seen > 200


@given(strategies.integers(0, 10**6), strategies.integers(0, 10**6))
def test_a_larger_number_never_makes_an_item_easier(first: int, second: int) -> None:
    small, large = sorted((first, second))
    weights = usual_weights()

    assert weights.size(small) <= weights.size(large)


# the file


def test_every_weight_has_its_reason_and_source() -> None:
    table = written_weights()["feature"]

    assert list(FEATURES) == list(table)
    for name, entry in table.items():
        assert {"adds", "most", "counts", "why", "source"} == set(entry), name
        assert type(entry["adds"]) is int
        assert abs(entry["adds"]) <= FURTHEST
        assert entry["most"] >= 1
        assert all(entry[key].strip() for key in ("counts", "why", "source"))


def test_the_words_are_those_of_the_standard() -> None:
    # IEEE 1484.12.1-2002, 5.8 Difficulty (vocabulary LOMv1.0)
    assert ("very easy", "easy", "medium", "difficult", "very difficult") == usual_weights().words
    assert len(usual_weights().cuts) == 4


def test_own_weights_stand_in_place_of_the_programs() -> None:
    item = samples.choice_item()
    before = Predictor(item.about).predict(item.parts)
    own = usual_weights().replaced({"start": 0, "steps": 1}, "a calibration", (-3, -2, -1, 0))
    after = Predictor(item.about, own).predict(item.parts)
    start, steps = (next(e for e in before.contributions if e.feature == name) for name in ("start", "steps"))

    assert before.thousandths - start.adds - steps.adds + steps.times == after.thousandths
    assert "very difficult" == after.word
    assert "a calibration" == own.source


def test_a_feature_that_is_none_and_cuts_that_fall_are_refused() -> None:
    with pytest.raises(DomainError):
        usual_weights().replaced({"stairs": 3})
    with pytest.raises(DomainError):
        usual_weights().replaced({}, "", (4, 3, 2, 1))


# spreads


def test_a_spread_takes_the_lower_of_the_two_in_the_middle() -> None:
    found = spread_of([700, -100, 200, 300], usual_weights())

    assert (-100, 200, 700, "medium", 4) == (
        found.least,
        found.median,
        found.greatest,
        found.word,
        found.items,
    )


@given(strategies.integers(-FURTHEST, FURTHEST))
def test_logits_are_the_thousandths_exactly(thousandths: int) -> None:
    assert Fraction(thousandths, 1000) == Fraction(logits(thousandths))
