"""What is told of groups of pupils."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any, Final

from itembank.analysis.blocks import Block, Heading, Lines, Table, counted, shown
from itembank.analysis.exact import CannotTell, Root, rounded
from itembank.analysis.group_differences import ENOUGH, FEWEST, Difference, GroupFigures
from itembank.analysis.two_groups import Size, judged_by

__all__ = ["group_blocks", "group_data", "group_notes"]

_SURE: Final = Fraction("1.96")
_HINT: Final = (
    "see whether something in these is strange to one group, or known to it, that is not what they ask for: a word, a "
    "setting, what was taught when, an answer that went round"
)


def group_blocks(
    groups: Sequence[GroupFigures], found: Sequence[Difference], printed: Mapping[str, str]
) -> Iterator[Block]:
    """The groups, and items that are not equally hard for them. printed: names of items -> their numbers on paper."""
    yield Heading("Groups")
    yield Table(
        "groups", ("group", "pupils", "mean share of marks", "standard deviation"),
        tuple((each.group, str(each.pupils), shown(each.mean), shown(each.deviation)) for each in groups),
    )  # fmt: skip
    yield Heading("Questions in the hands of groups")
    yield Lines(tuple(_lines(groups, found, printed)))
    if found:
        yield _table(found, printed)


def _lines(
    groups: Sequence[GroupFigures], found: Sequence[Difference], printed: Mapping[str, str]
) -> Iterator[str]:
    small = [each.group for each in groups if each.pupils < FEWEST]
    if small:
        yield f"fewer than {FEWEST} pupils, not compared: {', '.join(small)}"
    if not found:
        yield (
            f"There is nothing to compare: it takes two groups of {FEWEST} pupils or more, with pupils of the same "
            "totals in both."
        )
        return
    large = [each for each in found if each.size is Size.LARGE]
    told = [each for each in large if each.stands_out]
    for each in told:
        how = "harder" if each.shift.marks < 0 else "easier"
        number = printed.get(each.name, "")
        name = f"question {number} ({each.name})" if number else each.name
        yield (
            f"{name}, {each.template}: {how} for {each.group} than for {each.others} with the same totals, by "
            f"{rounded(abs(each.shift.marks), 2)} of {counted(each.maximum, 'mark')} (95 %: {_interval(each)})"
        )
    yield _HINT if told else "No large difference stands out."
    if more := len(large) - len(told):
        yield (
            f"{counted(more, 'difference')} of the table {'are' if more > 1 else 'is'} large by itself, and of so few "
            f"pupils no more than chance makes among the {len(found)} that are looked at"
        )
    if any(each.is_of_few for each in found):
        yield (
            f"of fewer than {ENOUGH} pupils on a side: such differences come and go; do not drop a question for one, "
            "and see whether the next sitting shows it too"
        )


def _interval(each: Difference) -> str:
    """The size of a shift, from least to greatest, with the sign that it is told by."""
    reach = _SURE * Fraction(rounded(each.shift.error, 8))
    middle = abs(each.shift.marks)
    return f"{rounded(middle - reach, 2)} to {rounded(middle + reach, 2)}"


def _table(found: Sequence[Difference], printed: Mapping[str, str]) -> Table:
    rows = tuple(
        (
            each.name, printed.get(each.name, ""), each.template, each.group, each.others, each.size.value,
            str(each.maximum), str(each.shift.pupils), str(each.shift.others), shown(each.shift.marks),
            shown(Root(_SURE**2 * each.shift.error.square)),
            "" if isinstance(each.odds, CannotTell) else shown(each.odds.odds), shown(judged_by(each.shift, each.odds)),
        )
        for each in found
    )  # fmt: skip
    head = (
        "question", "on paper", "template", "group", "beside", "difference", "marks", "pupils", "others", "shift", "±",
        "odds", "chi-square",
    )  # fmt: skip
    return Table("differences", head, rows, 6)


def group_notes() -> Iterator[str]:
    """How it is worked out."""
    yield (
        "shift: marks that the group earned more than others with the same questions and the same total, in the mean "
        "(± 95 %); that one group is stronger in all does not matter. Questions that differ much count in no "
        "total but their own. odds: of the others' right answers by the "
        "group's (Mantel & Haenszel 1959); chi-square: Mantel 1963, where there are odds corrected for continuity; "
        "beyond 3.84 once in twenty times by chance"
    )
    yield (
        "difference, of one mark: slight and large as B and C of the Educational Testing Service (Zieky 1993); of "
        "several: beyond chance in one of twenty, and 0.17 and 0.25 deviations (Zwick, Thayer & Mazzeo 1997)"
    )
    yield (
        f"told in words: what is large, and of fewer than {ENOUGH} pupils on a side so sure that chance would have any "
        "such among all that are looked at once in twenty times (Holm 1979)"
    )


def group_data(groups: Sequence[GroupFigures], found: Sequence[Difference]) -> dict[str, Any]:
    """The same for programs."""
    return {
        "groups": [
            {"group": each.group, "pupils": each.pupils, "mean": rounded(each.mean, 4),
             "deviation": None if isinstance(each.deviation, CannotTell) else rounded(each.deviation, 4)}
            for each in groups
        ],
        "differences": [
            {"name": each.name, "template": each.template, "marks": each.maximum, "group": each.group,
             "beside": each.others, "difference": each.size.value, "pupils": each.shift.pupils,
             "others": each.shift.others, "shift": rounded(each.shift.marks, 4),
             "stands_out": each.stands_out, "error": rounded(each.shift.error, 4),
             "chi_square": rounded(each.shift.chi_square, 4), "corrected": rounded(each.shift.corrected, 4),
             "odds": None if isinstance(each.odds, CannotTell) else rounded(each.odds.odds, 4)}
            for each in found
        ],
    }  # fmt: skip
