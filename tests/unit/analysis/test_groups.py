"""Groups beside each other: sums against every way to draw a group, what is compared, what is told."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, product
from math import erfc, exp, isclose, sqrt

import pytest

from itembank.analysis.analysis import analyse
from itembank.analysis.blocks import Lines, Table
from itembank.analysis.exact import CannotTell, Root, rounded
from itembank.analysis.group_differences import FEWEST, OTHERS, differences, group_figures
from itembank.analysis.groups_file import groups_of
from itembank.analysis.report import report
from itembank.analysis.report_data import as_data
from itembank.analysis.responses import Results
from itembank.analysis.tables import read_table
from itembank.analysis.two_groups import (
    Likelihoods,
    Shift,
    Size,
    Stratum,
    chance,
    likelihoods,
    shift,
    size_of,
)
from itembank.errors import InputError
from tests.analysis_samples import results_of


def stratum(group: str, others: str) -> Stratum:
    """Marks written as digits."""
    return Stratum([Fraction(int(mark)) for mark in group], [Fraction(int(mark)) for mark in others])


# sums


@pytest.mark.parametrize(
    "strata",
    [
        [stratum("01", "011")],
        [stratum("013", "2301"), stratum("22", "0123")],
        [stratum("1", "0"), stratum("0", "111"), stratum("0011", "1")],
    ],
)
def test_what_is_expected_of_a_group_is_what_every_way_to_draw_it_has(strata: list[Stratum]) -> None:
    """Mean and variance of the sum of marks over all ways to draw the group among pupils with the same total."""
    draws = []
    for each in strata:
        every = [*each.group, *each.others]
        draws.append([sum(drawn) for drawn in combinations(every, len(each.group))])
    sums = [sum(each, Fraction(0)) for each in product(*draws)]
    mean = sum(sums) / len(sums)
    variance = sum((each - mean) ** 2 for each in sums) / len(sums)
    earned = sum((mark for each in strata for mark in each.group), Fraction(0))

    found = shift(strata)

    assert not isinstance(found, CannotTell)
    assert (earned - mean) ** 2 / variance == found.chi_square


def test_sides_turned_round_turn_the_odds_and_leave_the_test() -> None:
    strata = [stratum("0011", "01111"), stratum("01", "1101")]
    turned = [Stratum(each.others, each.group) for each in strata]
    one, other = likelihoods(strata), likelihoods(turned)
    first, second = shift(strata), shift(turned)

    assert isinstance(one, Likelihoods)
    assert isinstance(other, Likelihoods)
    assert not isinstance(first, CannotTell)
    assert not isinstance(second, CannotTell)
    assert (1 / one.odds, one.variance) == (other.odds, other.variance)
    assert first.chi_square == second.chi_square
    assert first.marks < 0 < second.marks


def test_the_odds_of_one_total_are_those_of_its_table() -> None:
    found = likelihoods([stratum("0001", "0111")])

    assert isinstance(found, Likelihoods)
    assert 9 == found.odds


@pytest.mark.parametrize(
    ("strata", "why"),
    [
        ([stratum("", "01"), stratum("1", "")], "no two pupils of either side have the same total"),
        ([stratum("11", "1")], "pupils with the same total earned the same"),
    ],
)
def test_what_cannot_differ_is_not_told(strata: list[Stratum], why: str) -> None:
    assert CannotTell(why) == shift(strata)


def test_odds_that_go_one_way_only_are_not_told() -> None:
    assert isinstance(likelihoods([stratum("00", "01")]), CannotTell)


@pytest.mark.parametrize(
    ("strata", "size"),
    [
        ([stratum("0" * 50 + "1" * 50, "0" * 50 + "1" * 50)], Size.NONE),
        ([stratum("0" * 62 + "1" * 38, "0" * 46 + "1" * 54)], Size.SLIGHT),
        ([stratum("0" * 80 + "1" * 20, "0" * 40 + "1" * 60)], Size.LARGE),
        ([stratum("0" * 8 + "1" * 2, "0" * 4 + "1" * 6)], Size.NONE),
        ([stratum("0" * 30 + "2" * 40, "0" * 30 + "2" * 40)], Size.NONE),
        ([stratum("0" * 120 + "2" * 80, "0" * 99 + "2" * 101)], Size.SLIGHT),
        ([stratum("0" * 70 + "2" * 30, "0" * 50 + "2" * 50)], Size.LARGE),
        ([stratum("0" * 7 + "2" * 3, "0" * 5 + "2" * 5)], Size.NONE),
    ],
)
def test_a_difference_is_as_large_as_size_and_chance_say(strata: list[Stratum], size: Size) -> None:
    found, odds = shift(strata), likelihoods(strata)
    is_one_mark = all(mark <= 1 for each in strata for side in each for mark in side)

    assert not isinstance(found, CannotTell)
    assert size is size_of(found, odds if is_one_mark else CannotTell("several marks"))


# results


def class_of(
    counts: Sequence[int], harder: float, *, items: int = 12, seed: int = 4
) -> tuple[Results, dict[str, str]]:
    """Groups a, b, ... of these sizes that answer by the Rasch model; the first item is harder for the last group."""
    draw = random.Random(seed)
    rows, groups = [], {}
    for group, count in zip("abcd", counts, strict=False):
        for _ in range(count):
            ability = draw.gauss(-0.7 if group == "a" else 0, 1)
            shifts = [harder if at == 0 and group == "abcd"[len(counts) - 1] else 0 for at in range(items)]
            groups[f"pupil {len(rows)}"] = group
            rows.append([int(draw.random() < 1 / (1 + exp(more - ability))) for more in shifts])
    return results_of(rows), groups


def test_an_item_that_is_harder_for_one_group_stands_first_and_alone() -> None:
    results, groups = class_of([400, 300], 1.6)
    found = differences(results, groups)

    assert [("ITEM00", "b", "a", Size.LARGE)] == [
        (each.name, each.group, each.others, each.size) for each in found if each.size is not Size.NONE
    ]
    assert "ITEM00" == found[0].name
    assert found[0].shift.marks < 0
    assert 12 == len(found)


def test_a_stronger_group_alone_makes_no_difference() -> None:
    results, groups = class_of([400, 400], 0)

    assert {Size.NONE} == {each.size for each in differences(results, groups)}
    weak, strong = group_figures(results, groups)
    assert weak.mean < strong.mean - Fraction(1, 20)


def test_of_three_groups_each_is_held_against_all_others_and_a_small_one_is_left_out() -> None:
    results, groups = class_of([100, 100, 100], 1.5)
    found = differences(results, groups)
    small, few = class_of([100, 100, FEWEST - 1], 1.5)

    assert {(group, OTHERS) for group in "abc"} == {(each.group, each.others) for each in found}
    assert {("a", "b")} == {(each.group, each.others) for each in differences(small, few)}


def test_results_without_two_large_groups_have_nothing_to_compare() -> None:
    results, groups = class_of([50, FEWEST - 1], 1)
    told = [
        line
        for block in report(analyse(results, groups), "")
        if isinstance(block, Lines)
        for line in block.lines
    ]

    assert () == differences(results, groups)
    assert f"fewer than {FEWEST} pupils, not compared: b" in told
    assert any("nothing to compare" in line for line in told)


def test_pupils_without_a_group_are_in_no_comparison() -> None:
    results, groups = class_of([60, 60], 1)
    some = {name: group for name, group in groups.items() if name != "pupil 0"}

    assert [59, 60] == [each.pupils for each in group_figures(results, some)]


def test_a_large_difference_is_told_with_what_to_do_and_a_reservation() -> None:
    results, groups = class_of([150, 150], 2)
    found = analyse(results, groups)
    told = [line for block in report(found, "") if isinstance(block, Lines) for line in block.lines]

    first = next(line for line in told if line.startswith("ITEM00, template-0: easier for a than for b "))
    assert "of 1 mark (95 %: 0." in first
    assert any(line.startswith("of fewer than 200 pupils on a side") for line in told)
    data = as_data(found, "")
    assert ["a", "b"] == [each["group"] for each in data["groups"]]
    assert "large" == data["differences"][0]["difference"]
    assert "groups" not in as_data(analyse(results), "")


def test_the_chi_square_of_the_table_is_the_one_that_differences_are_judged_by() -> None:
    """Of questions of one mark that is the one corrected for continuity."""
    results, groups = class_of([150, 150], 1)
    found = analyse(results, groups)
    (rows,) = (
        each.rows for each in report(found, "") if isinstance(each, Table) and each.name == "differences"
    )

    shown = [row[-1] for row in rows]
    assert [str(rounded(each.shift.corrected, 2)) for each in found.differences] == shown
    assert [str(rounded(each.shift.chi_square, 2)) for each in found.differences] != shown


@pytest.mark.parametrize(("size", "fewest"), [(100, 0), (35, 8)])
def test_of_fair_tests_few_have_a_difference_that_stands_out(size: int, fewest: int) -> None:
    """40 tests of 12 items that are equally hard for two groups; seeds are fixed.

    By Holm's procedure one test of twenty may have one that stands out: more than six of 40 would come about less than
    once in a hundred times. fewest: tests with a difference that is large by itself, so that there is something to keep
    back.
    """
    large = stands_out = 0
    for seed in range(40):
        results, groups = class_of([size, size], 0, seed=seed)
        found = differences(results, groups)
        large += any(each.size is Size.LARGE for each in found)
        stands_out += any(each.stands_out for each in found)

    assert fewest <= large
    assert stands_out <= 6


def test_what_is_large_by_itself_alone_is_counted_and_not_told_of() -> None:
    results, groups, found = next(
        (results, groups, found)
        for seed in range(100)
        for results, groups in [class_of([35, 35], 0, seed=seed)]
        for found in [differences(results, groups)]
        if [each.stands_out for each in found if each.size is Size.LARGE] == [False]
    )
    told = [
        line
        for block in report(analyse(results, groups), "")
        if isinstance(block, Lines)
        for line in block.lines
    ]

    assert "No large difference stands out." in told
    assert (
        f"1 difference of the table is large by itself, and of so few pupils no more than chance makes among the "
        f"{len(found)} that are looked at"
    ) in told


def test_a_planted_difference_stands_out_of_few_and_of_many() -> None:
    for size in (100, 400):
        results, groups = class_of([size, size], 2)
        first, *others = differences(results, groups)

        assert ("ITEM00", True) == (first.name, first.stands_out)
        assert not any(each.stands_out for each in others)


@pytest.mark.parametrize(
    ("square", "expected"),
    [
        ("0", 1.0),
        ("3.841459", 0.05),
        ("6.634897", 0.01),
        ("10.827566", 0.001),
        ("32.841253", 1e-8),
        ("200", 0.0),
    ],
)
def test_chances_of_a_chi_square_are_those_of_tables(square: str, expected: float) -> None:
    """Critical values of one degree of freedom, as printed tables have them, and by the C library's own erfc."""
    value = Fraction(square)
    of_several = Shift(Fraction(0), Root(Fraction(1)), value, Fraction(0), Fraction(0), 1, 1)
    of_one = replace(of_several, chi_square=Fraction(0), corrected=value)

    for found in (
        chance(of_several, CannotTell("")),
        chance(of_one, Likelihoods(Fraction(1), Fraction(1))),
    ):
        assert isclose(expected, float(found), rel_tol=1e-5)
        assert isclose(erfc(sqrt(float(value) / 2)), float(found), rel_tol=1e-9, abs_tol=1e-30)


# the file


def grouped(text: str, pupils: Sequence[str] = ("ann", "ben")) -> tuple[dict[str, str], list[str]]:
    groups, doubts = groups_of(read_table("g.csv", text.encode()), pupils)
    return dict(groups), [each.code for each in doubts]


@pytest.mark.parametrize(
    "text",
    [
        "pupil,group\nAnn,A\nBen,B\n",
        "First name;Class\nANN;A\nBen; B \n",
        "pupil,class,ITEM00,ITEM01\nmaximum,,1,1\nAnn,A,0,1\nBen,B,1,1\n",
        "pupil,group\nAnn,A\nBen,B\nCas,A\n",
    ],
)
def test_a_class_list_or_the_mark_sheet_itself_tells_groups(text: str) -> None:
    assert ({"ann": "A", "ben": "B"}, []) == grouped(text)


def test_who_has_no_group_is_told() -> None:
    assert ({"ann": "A"}, ["no-group"]) == grouped("pupil,group\nAnn,A\nBen,\n")


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("pupil,course\nAnn,A\n", "no-group-column", (1, 1)),
        ("pupil,group\nDan,A\nEve,B\n", "no-pupil-grouped", (1, 7)),
        ("pupil,group\nAnn,A\nAnn,B\n", "same-pupil-twice", (3, 1)),
        ("pupil,group\n" + "".join(f"P{n},{n}\n" for n in range(41)), "too-many-groups", (1, 7)),
    ],
)
def test_what_is_wrong_with_groups_is_told_at_its_place(text: str, code: str, place: tuple[int, int]) -> None:
    with pytest.raises(InputError) as raised:
        grouped(text)
    (told,) = raised.value.diagnostics
    assert (code, place) == (told.code, told.span and (told.span.line, told.span.column))
