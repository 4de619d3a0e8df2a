"""Calibrations of small invented classes: what is one item, what shares a scale, where its zero is, what is kept."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from math import exp
from pathlib import Path

import pytest

from itembank.analysis.blocks import Lines
from itembank.analysis.keys import Keys, Question
from itembank.analysis.rendering import as_text
from itembank.analysis.responses import BLANK, Answer, Record, State, combine
from itembank.bank.bank import read_bank
from itembank.calibration import calibrated
from itembank.calibration.calibrated import FEWEST, Calibration, calibrate
from itembank.calibration.keeping import calibration_yaml
from itembank.calibration.report import report
from itembank.calibration.report_data import as_data
from itembank.calibration.sample import SatBuild, sample
from itembank.errors import InputError, Span
from itembank.templates.calibration_model import load_calibration
from tests.analysis_samples import record, results_of
from tests.cli.harness import DEMO

TEMPLATES = ("even", "odd")


def question(number: int, maximum: int = 1, *, label: str = "", predicted: int | None = 0) -> Question:
    """A question of the item with a number; its template by turns."""
    template = TEMPLATES[number % 2]
    return Question(
        f"ITEM{number:02}", label, template, "", maximum, "entry",
        address=f"{template}/1/1/{number}", predicted=predicted,
    )  # fmt: skip


def sat(
    questions: Sequence[Question], rows: Sequence[Sequence[int | Fraction | None]], name: str = "a"
) -> SatBuild:
    """A build of these questions, and the marks of each pupil."""
    keys = Keys(name, tuple(questions))
    return SatBuild(name, name, combine(keys, [record(number, row) for number, row in enumerate(rows)]))


def class_of(
    numbers: Sequence[int],
    count: int,
    *,
    strength: float = 0,
    harder: Mapping[int, float] | None = None,
    seed: int = 1,
) -> list[list[int]]:
    """Marks of a class that answers by the Rasch model, items of difficulty 0 unless said."""
    draw = random.Random(f"{seed} {strength} {numbers}")
    rows = []
    for _ in range(count):
        ability = draw.gauss(strength, 1)
        chances = [1 / (1 + exp((harder or {}).get(number, 0) - ability)) for number in numbers]
        rows.append([int(draw.random() < chance) for chance in chances])
    return rows


def by_number(found: Calibration) -> dict[int, Decimal]:
    return {int(each.item.address.rpartition("/")[2]): each.difficulty for each in found.items}


# what is sat


def test_the_parts_of_an_item_are_one_item_and_one_part_without_marks_leaves_it_out() -> None:
    parts = [question(0, 2, label="a"), question(0, 1, label="b"), question(1)]
    found = sample([sat(parts, [[2, 0, 1], [1, 1, 0], [2, None, 1]])])

    assert [3, 1] == [item.maximum for item in found.items]
    assert [{0: 2, 1: 1}, {0: 2, 1: 0}, {1: 1}] == list(found.pupils)


def test_what_is_omitted_earned_nothing_and_what_is_not_reached_does_not_count() -> None:
    keys = Keys("", tuple(question(number) for number in range(3)))
    right = Answer(State.ANSWERED, Fraction(1))
    records = [Record("p", Span("m", 3, 1), {0: right, 1: BLANK, 2: right}, (0, 1, 2)),
               Record("q", Span("m", 4, 1), {0: right, 1: right, 2: BLANK}, (0, 1, 2))]  # fmt: skip

    assert [{0: 1, 1: 0, 2: 1}, {0: 1, 1: 1}] == list(
        sample([SatBuild("a", "a", combine(keys, records))]).pupils
    )


def test_parts_of_a_mark_make_a_smaller_unit() -> None:
    found = sample([sat([question(0), question(1, 2)], [[Fraction(1, 2), 2], [1, Fraction(3, 4)]])])

    assert 4 == found.unit
    assert [{0: 2, 1: 8}, {0: 4, 1: 3}] == list(found.pupils)


def test_parts_finer_than_quarters_are_taken_to_the_nearest_and_told() -> None:
    """Of an item its marks together count: three parts of .33 are a whole mark."""
    parts = [question(0, label="a"), question(0, label="b"), question(0, label="c"), question(1), question(2)]
    third = Fraction(33, 100)
    rows = [[third, third, third, 1, 0], [0, 0, third, 0, Fraction(667, 1000)], [1, 1, 1, Fraction(1, 2), 1]]
    found = sample([sat(parts, rows)])

    assert (4, 3) == (found.unit, found.rounded)
    assert [{0: 4, 1: 4, 2: 0}, {0: 1, 1: 0, 2: 3}, {0: 12, 1: 2, 2: 4}] == list(found.pupils)


def test_scores_with_many_places_keep_items_on_the_scale() -> None:
    """As a platform reports a third: kept as they are, each total would be one pupil's, and no item had a place."""
    rows: list[list[int | Fraction | None]] = [[*row] for row in class_of(range(6), 200, harder={0: 1})]
    whole = calibrate([sat([question(n) for n in range(6)], rows)])
    for place in range(0, 120, 4):
        rows[place][place // 4 % 6] = Fraction(333333, 1000000)
    found = calibrate([sat([question(n) for n in range(6)], rows)])

    assert (0, 30) == (whole.rounded, found.rounded)
    assert by_number(whole) == pytest.approx(by_number(found), abs=Decimal("0.5"))
    lines = [line for block in report(found) if isinstance(block, Lines) for line in block.lines]
    assert any(line.startswith("30 scores were taken to the nearest quarter of a mark") for line in lines)


def test_one_address_is_one_item_in_every_build() -> None:
    builds = [sat([question(0), question(1)], [[1, 0]], "a"), sat([question(1), question(2)], [[1, 0]], "b")]

    assert [("a", (0, 1), 1), ("b", (1, 2), 1)] == list(sample(builds).of_build)


# what it comes to


def test_items_in_common_put_a_strong_and_a_weak_class_on_one_scale() -> None:
    first, second = [0, 1, 2, 3, 4, 5], [4, 5, 6, 7, 8, 9]
    builds = [
        sat([question(n) for n in first], class_of(first, 1500, strength=-1), "weak"),
        sat([question(n) for n in second], class_of(second, 1500, strength=1), "strong"),
    ]
    found = calibrate(builds)

    assert (1, 3000, ()) == (found.scales, found.pupils, found.left_out)
    assert [0.0] * 10 == pytest.approx([float(each) for each in by_number(found).values()], abs=0.25)
    facility = [sum(map(sum, class_of(n, 1500, strength=s))) for n, s in ((first, -1), (second, 1))]
    assert facility[1] > 1.7 * facility[0], "by marks alone the second form would seem much easier"
    (level,) = found.level
    assert ("weak", "strong") == level.names
    assert [row[0] for row in level.rows] == pytest.approx([row[1] for row in level.rows], abs=Decimal("0.4"))
    (low, *inner, high) = (row[0] for row in level.errors)
    assert (None, None) == (low, high), "the ends are level by convention"
    assert all(each is not None and Decimal("0.02") < each < Decimal("0.15") for each in inner)
    assert len(level.rows) == len(as_data(found)["level"][0]["errors"])


def test_without_items_in_common_each_scale_has_the_zero_of_its_predictions() -> None:
    first, second = [0, 1, 2, 3], [4, 5, 6, 7]
    builds = [
        sat([question(n) for n in first], class_of(first, 400), "a"),
        sat([question(n, predicted=2000) for n in second], class_of(second, 400), "b"),
    ]
    found = calibrate(builds)
    told = by_number(found)

    assert 2 == found.scales
    assert () == found.level
    assert sum(told[n] for n in first) == pytest.approx(0, abs=Decimal("1e-9"))
    assert sum(told[n] for n in second) / 4 == pytest.approx(2, abs=Decimal("1e-9"))
    assert all(form.worths for form in found.forms)


def test_a_template_that_is_harder_than_predicted_is_told_so() -> None:
    numbers = list(range(8))
    harder = {n: 1.2 if n % 2 else 0 for n in numbers}
    found = calibrate([sat([question(n) for n in numbers], class_of(numbers, 900, harder=harder))])

    assert {"even": -0.6, "odd": 0.6} == pytest.approx(
        {each.template: float(each.beyond) for each in found.templates}, abs=0.15
    )
    assert all(Decimal(0) < each.error < Decimal("0.1") for each in found.templates)


def test_a_new_item_differs_from_its_template_as_its_items_do_from_each_other() -> None:
    """Items of one template are a logit apart, which so many pupils do not tell from the mean's own error."""
    numbers = list(range(8))
    apart = {n: 1.0 if n % 4 > 1 else -1.0 for n in numbers}
    found = calibrate([sat([question(n) for n in numbers], class_of(numbers, 900, harder=apart))])
    alike = calibrate([sat([question(n) for n in numbers], class_of(numbers, 900))])
    alone = calibrate([sat([question(0), question(1)], class_of([0, 1], 200))])

    # of four values -1, -1, 1, 1 the standard deviation is sqrt(4/3); a new one is off by sqrt(1 + 1/4) of it
    assert [1.29, 1.29] == pytest.approx(
        [float(each.error_of_new or 0) for each in found.templates], abs=0.15
    )
    assert all((each.error_of_new or 9) < Decimal("0.2") for each in alike.templates)
    assert [None, None] == [each.error_of_new for each in alone.templates]
    assert [None, None] == [each["error_of_new"] for each in as_data(alone)["templates"]]


def test_an_item_that_is_right_or_wrong_is_as_hard_as_with_one_mark() -> None:
    """What a right answer earns tells nothing of how sharply an item tells pupils apart."""
    numbers = list(range(6))
    rows = class_of(numbers, 300, harder={0: -1, 5: 1.5})
    maxima = [1, 2, 3, 1, 2, 3]
    one = calibrate([sat([question(n) for n in numbers], rows)])
    several = calibrate(
        [
            sat(
                [question(n, maximum) for n, maximum in zip(numbers, maxima, strict=True)],
                [[mark * maximum for mark, maximum in zip(row, maxima, strict=True)] for row in rows],
            )
        ]
    )

    assert by_number(one) == by_number(several)
    assert [each.fit for each in one.items] == [each.fit for each in several.items]
    assert [maximum > 1 for maximum in maxima] == [each.skips for each in several.items]
    assert maxima == [each.most for each in several.items]
    assert all(each.steps == () for each in several.items if each.skips)
    (form,) = several.forms
    assert list(range(13)) == [worth.total for worth in form.worths]
    assert Decimal("0.8") < form.worths[6].error < Decimal("1.2"), (
        "twelve marks tell no more than six answers"
    )
    assert "at 4 items pupils earned all marks or none" in str(report(several))
    assert "passed over" not in str(report(one))


def test_marks_that_nobody_earned_are_no_steps() -> None:
    rows = [[3, 1, 0], [2, 0, 1], [0, 1, 1], [2, 1, 0], [0, 0, 1], [3, 0, 1], [3, 1, 0], [0, 1, 0]] * 5
    one = [[max(0, mark - 1), *others] for mark, *others in rows]
    found = calibrate([sat([question(0, 3), question(1), question(2)], rows)])
    other = calibrate([sat([question(0, 2), question(1), question(2)], one)])

    assert by_number(other) == by_number(found)
    assert (3, True, ()) == (found.items[0].most, found.items[0].skips, found.items[0].steps)
    assert 2 == len(other.items[0].steps)


def test_the_marks_of_an_odd_pupil_are_those_that_were_earned() -> None:
    """Eight easy items and eight hard ones, three marks each: everything hard and nothing easy is seldom."""
    numbers = list(range(16))
    harder = {n: 3.0 if n > 7 else -3.0 for n in numbers}
    rows = [[3 * mark for mark in row] for row in class_of(numbers, 200, harder=harder)]
    rows.append([0] * 8 + [3] * 8)
    found = calibrate([sat([question(n, 3) for n in numbers], rows)])

    assert ("pupil 200", 24, 48) == (found.odd.odd[0].name, found.odd.odd[0].marks, found.odd.odd[0].most)


def test_half_marks_are_told_on_the_scale_of_whole_ones() -> None:
    rows = class_of([0, 1, 2], 200, harder={0: 1})
    whole = calibrate([sat([question(n) for n in range(3)], rows)])
    extra: list[list[int | Fraction | None]] = [[*row] for row in rows]
    halves = calibrate([sat([question(n) for n in range(4)], [*extra, [None, None, None, Fraction(1, 2)]])])

    assert [each.difficulty for each in whole.items] == pytest.approx(
        [each.difficulty for each in halves.items], abs=Decimal("1e-9")
    )
    assert [w.ability for w in whole.forms[0].worths] != []
    assert "nobody" not in halves.forms[0].reason


@pytest.mark.parametrize(
    ("marks", "reason"),
    [
        ([2, 2, 2, 2], "everyone earned all of it"),
        ([0, 0, 0, 0], "nobody earned any of it"),
        ([1, 1, 1, 1], "everyone earned the same"),
        ([None, None, None, 2], "everyone earned all of it"),
        ([0, 0, 0, 1], "results do not set it against others both ways"),
    ],
)
def test_an_item_without_a_place_says_why(marks: Sequence[int | None], reason: str) -> None:
    others = [[1, 0], [0, 1], [0, 0], [1, 1]]
    rows = [[*row, mark] for row, mark in zip(others, marks, strict=True)]
    found = calibrate([sat([question(0), question(1), question(2, 2)], rows)])

    (left,) = found.left_out
    assert ("ITEM02", reason) == (left.item.code, left.reason)
    assert ("1 of its items has no place on a scale", ()) == (found.forms[0].reason, found.forms[0].worths)


def test_an_item_that_totals_tell_everything_about_is_left_out_alone() -> None:
    """One mark or none at the others: half a mark in a total was earned at the last item, whatever its difficulty."""
    half = Fraction(1, 2)
    rows = [[1, 0, half], [0, 1, 0], [1, 0, 0], [0, 1, half], [1, 1, 0], [0, 0, half]]
    found = calibrate([sat([question(0), question(1), question(2)], rows)])

    assert 2 == len(found.items)
    assert ["given what pupils scored in all, results leave open how hard it was"] == [
        each.reason for each in found.left_out
    ]


def test_a_lone_half_mark_leaves_its_item_on_the_scale_and_itself_out() -> None:
    """An odd total of halves can have come about at that item only: it tells of the others, and exactly as if the item
    had not been given to that pupil."""
    rows: list[list[int | Fraction | None]] = [[*row] for row in class_of(range(5), 200)]
    without = [[*row[:2], None, *row[3:]] if place == 7 else row for place, row in enumerate(rows)]
    rows[7][2] = Fraction(1, 2)
    questions = [question(n) for n in range(5)]
    found, other = calibrate([sat(questions, rows)]), calibrate([sat(questions, without)])

    assert () == found.left_out
    assert by_number(other) == pytest.approx(by_number(found), abs=Decimal("1e-15"))
    assert [("ITEM02", Fraction(1, 2), 1)] == [
        (each.item.code, each.marks, each.pupils) for each in found.dropped
    ]
    assert [0, 1, 2, 3, 4, 5] == [worth.total for worth in found.forms[0].worths]
    assert "1 answer did not count" in str(report(found))
    assert [199, 200] == sorted({each.pupils for each in found.items})
    assert [{"item": "ITEM02", "address": "even/1/1/2", "marks": Decimal("0.50"), "pupils": 1}] == as_data(
        found
    )["dropped"]


def test_half_marks_at_two_items_are_weighed_against_each_other() -> None:
    """An odd total of halves can have come about in two ways: what is to be told of that is told."""
    rows: list[list[int | Fraction | None]] = [[*row] for row in class_of(range(5), 200)]
    whole = calibrate([sat([question(n) for n in range(5)], rows)])
    rows[3][1] = rows[9][1] = rows[12][4] = Fraction(1, 2)
    found = calibrate([sat([question(n) for n in range(5)], rows)])

    assert ((), ()) == (found.left_out, found.dropped)
    assert by_number(whole) == pytest.approx(by_number(found), abs=Decimal("0.1"))
    assert found.forms[0].worths


def test_what_few_pupils_took_is_told_and_not_kept() -> None:
    enough = calibrate([sat([question(0), question(1)], [[1, 0]] * (FEWEST - 20) + [[0, 1]] * 20)])
    few = calibrate([sat([question(0), question(1)], [[1, 0]] * (FEWEST - 21) + [[0, 1]] * 20)])

    assert (2, 0) == (len(enough.kept), len(few.kept))
    assert () == few.templates
    assert f"all items were taken by fewer than {FEWEST} pupils" in str(report(few))


def test_results_that_tell_nothing_are_refused() -> None:
    with pytest.raises(InputError) as refused:
        calibrate([sat([question(0), question(1)], [[1, 1], [0, 0]])])
    assert ["nothing-to-calibrate"] == [each.code for each in refused.value.diagnostics]


def test_more_items_than_a_scale_can_be_worked_out_for_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(calibrated, "_MOST_ITEMS", 2)
    with pytest.raises(InputError) as refused:
        calibrate([sat([question(n) for n in range(3)], [[1, 0, 1], [0, 1, 0]])])
    assert ["too-many-items"] == [each.code for each in refused.value.diagnostics]


def test_an_item_that_the_strong_miss_is_pointed_at() -> None:
    rows = sorted(class_of([0, 1, 2, 3, 4], 300), key=sum)
    turned = [[*row, int(place < 150)] for place, row in enumerate(rows)]
    found = calibrate([sat([question(n) for n in range(6)], turned)])

    told = str(report(found))
    assert "ITEM05 (odd): infit" in told
    assert "the strong miss it or the weak get it" in told


def test_an_item_that_one_class_knew_beforehand_is_pointed_at() -> None:
    numbers = list(range(6))
    known = class_of(numbers, 200, strength=-1, harder={3: -3}, seed=2)
    builds = [
        sat([question(n) for n in numbers], class_of(numbers, 200, strength=1), "autumn"),
        sat([question(n) for n in numbers], known, "spring"),
    ]
    found = calibrate(builds)
    (drift,) = [
        each for each in found.drifts if each.sitting == "spring" and each.item.address.endswith("/3")
    ]

    assert 12 == len(found.drifts)
    assert float(drift.beyond) == pytest.approx(-3, abs=1), (
        "one step from what both have in common falls short"
    )
    assert {"ITEM03"} == {
        each.item.code
        for each in found.drifts
        if abs(each.beyond) > Decimal("0.64") and abs(each.beyond) > 4 * each.error
    }
    assert "ITEM03 (odd): " in str(report(found))
    assert "logits harder in autumn than in spring; was it" in str(report(found))
    assert "easier in spring" not in str(report(found)), "of two sittings that is the same thing"


def test_pupils_whose_answers_are_odd_are_counted_and_named_only_where_that_is_asked_for() -> None:
    harder = {number: -2.5 + number / 2 for number in range(11)}
    rows = class_of(range(11), 200, harder=harder)
    rows[3:8] = [[int(number > 5) for number in range(11)]] * 5

    found = calibrate([sat([question(number) for number in range(11)], rows)])

    told = {each.name for each in found.odd.odd}
    assert {f"pupil {number}" for number in range(3, 8)} <= told
    assert len(told) < 10
    assert found.odd.are_many
    assert 150 < found.odd.looked_at < 200
    assert ("a", Fraction(5), Fraction(11)) == (
        found.odd.odd[0].sitting,
        found.odd.odd[0].marks,
        found.odd.odd[0].most,
    )
    without, named = ("\n".join(as_text(report(found, with_pupils=flag))) for flag in (False, True))
    assert "scored at hard items and not at easy ones, where chance would have about 2" in without
    assert "pupil 3" not in without
    assert "pupil 3" in named
    data = [as_data(found, with_pupils=flag)["odd_pupils"] for flag in (False, True)]
    assert "pupils" not in data[0]
    assert told == {each["pupil"] for each in data[1]["pupils"]}
    assert data[0] == {name: value for name, value in data[1].items() if name != "pupils"}


def test_whose_answers_are_odd_is_not_told_of_items_that_few_took() -> None:
    rows = [*class_of(range(8), 28), [0, 0, 0, 0, 1, 1, 1, 1]]

    found = calibrate([sat([question(number) for number in range(8)], rows)])

    assert 0 == found.odd.looked_at
    assert "it takes items that 30 pupils took" in "\n".join(as_text(report(found)))


def test_a_drift_is_told_of_enough_pupils_in_either_sitting_only() -> None:
    builds = [
        sat([question(n) for n in range(3)], class_of([0, 1, 2], FEWEST - 1), "few"),
        sat([question(n) for n in range(3)], class_of([0, 1, 2], 200), "many"),
    ]

    assert () == calibrate(builds).drifts


# what a bank keeps


def test_what_is_kept_reads_back_as_it_was_found(tmp_path: Path) -> None:
    found = calibrate([sat([question(n) for n in range(4)], class_of([0, 1, 2, 3], 100))])
    path = tmp_path / "calibration.yaml"
    path.write_text(calibration_yaml(found, ["Autumn: it's", "b", "b"]), "utf-8")
    kept = load_calibration(path, "calibration.yaml")
    observed = kept.observed

    assert () == kept.doubts
    assert "Autumn: it's, b" == observed.source
    assert {each.item.address: float(each.difficulty) for each in found.items} == pytest.approx(
        {address: value / 1000 for address, value in observed.items.items()}, abs=0.0005
    )
    assert ["even", "odd"] == sorted(observed.templates)


def test_items_far_from_their_predictions_are_told_with_what_to_do() -> None:
    questions = [question(n, predicted=3000 if n == 3 else 0) for n in range(5)]
    rows = class_of([0, 1, 2, 3, 4], 150)
    plain = calibrate([sat([question(n) for n in range(5)], rows)])

    assert "logits easier than predicted" in str(report(calibrate([sat(questions, rows)])))
    assert "--into BANK, calibrate lets the bank go by what was found" in str(
        report(calibrate([sat(questions, rows)]))
    )
    assert "--into BANK" not in str(report(plain))


def in_steps(count: int, steps: Sequence[float]) -> list[list[int]]:
    """Marks of a class by the partial credit model at two items with these steps, and at two of one mark."""
    draw = random.Random(7)
    rows = []
    for _ in range(count):
        ability = draw.gauss(0, 1)
        row = []
        for of_item in (steps, steps, (0.0,), (0.0,)):
            weights = [1.0]
            for step in of_item:
                weights.append(weights[-1] * exp(ability - step))
            row.append(draw.choices(range(len(weights)), weights)[0])
        rows.append(row)
    return rows


def test_steps_of_marks_are_found_and_a_bank_keeps_them_for_each_template(tmp_path: Path) -> None:
    questions = [question(0, 3), question(2, 3), question(1), question(3)]
    found = calibrate([sat(questions, in_steps(1500, (-1.0, 0.0, 1.0)))])
    path = tmp_path / "calibration.yaml"
    path.write_text(calibration_yaml(found, ["a"]), "utf-8")
    kept = load_calibration(path, "calibration.yaml").observed.steps

    assert [3, 3, 1, 1] == [len(each.steps) for each in found.items]
    assert all(abs(sum(each.steps)) < Decimal("1e-20") for each in found.items)
    assert ["even"] == list(kept)
    assert [-1000, 0, 1000] == pytest.approx(kept["even"], abs=150)


def test_steps_stay_those_of_whole_marks_where_other_items_have_halves() -> None:
    """Half marks at one item alone would be told by the totals, and left out; here two items have them."""
    rows = in_steps(600, (-0.5, 0.5))
    questions = [question(0, 2), question(2, 2), question(1), question(3)]
    half = Fraction(1, 2)
    halved = [
        [half, *row[1:]] if number % 8 == 0 else [*row[:3], half] if number % 8 == 4 else row
        for number, row in enumerate(rows)
    ]
    whole = calibrate([sat(questions, rows)])
    found = calibrate([sat(questions, halved)])

    assert [0, 2, 1, 0] == [len(each.steps) for each in found.items]
    assert float(whole.items[1].steps[1]) == pytest.approx(float(found.items[1].steps[1]), abs=0.2)


def test_what_nobody_scored_is_told_for_the_difficulty_says_nothing_of_it() -> None:
    rows = in_steps(400, (-1.0, 1.0))
    questions = [question(0, 2), question(2, 2), question(1), question(3)]
    found = calibrate([sat(questions, [[max(row[0], 1), min(row[1], 1), *row[2:]] for row in rows])])
    told = str(report(found))

    assert "ITEM00 (even): nobody scored less than 1 of 2 marks" in told
    assert "ITEM02 (even): nobody scored more than 1 of 2 marks" in told
    assert [(), ()] == [each.steps for each in found.items[:2]]
    assert "nobody scored" not in str(report(calibrate([sat(questions, rows)])))


def test_the_sample_rows_of_other_tests_have_no_address_and_are_told_apart() -> None:
    found = sample([SatBuild("a", "a", results_of([[1, 0], [0, 1]]))])

    assert 2 == len(found.items)


def test_the_demo_bank_keeps_no_calibration() -> None:
    """Its numbers are invented: nobody has sat it."""
    weights = read_bank(DEMO, "demo").entries[0].weights

    assert weights is not None
    assert {} == dict(weights.observed.items)
