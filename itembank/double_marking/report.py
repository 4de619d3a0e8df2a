"""What is told of markers who marked the same scripts: headings, lines and tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any, Final

from itembank.analysis.blocks import ON_PAPER, UNTOLD, Block, Heading, Lines, Report, Table, counted, shown
from itembank.analysis.exact import CannotTell, Root, Statistic, marks_told, rounded
from itembank.double_marking.agreement import ENOUGH, GOOD_KAPPA, Agreement, QuestionAgreement
from itembank.double_marking.reading import DoubleMarking

__all__ = ["as_data", "report"]

_SURE: Final = Fraction("1.96")
_TO_TALK_OVER: Final = 10


def report(found: DoubleMarking, *, pupils: bool = False) -> Report:
    """The report. pupils: also by name whose scripts are to be marked again, and where marks differ."""
    title = f"Agreement of markers: {found.title}" if found.title else "Agreement of markers"
    blocks: list[Block] = [Heading(title, 1)]
    if len(found.agreements) > 1:
        blocks.append(_pairs(found.agreements))
    for number, each in enumerate(found.agreements, 1):
        suffix = f"-{number}" if len(found.agreements) > 1 else ""
        blocks += [
            Heading(f"{each.first} and {each.second}"),
            Lines(tuple(_whole(each))),
            Heading("Look at these", 3),
            Lines(tuple(_findings(each, found.order, pupils=pupils))),
        ]
        if pupils and any(script.differing for script in each.scripts):
            blocks += [Heading("Scripts on which they differ", 3), _scripts(each, suffix)]
        blocks += [Heading("Questions", 3), _questions(each, found.order, suffix)]
    return (*blocks, Heading("How it is worked out"), Lines(tuple(_notes())))


def _pairs(found: Sequence[Agreement]) -> Table:
    head = ("marker", "beside", "scripts", "marks", "same", "shift", "error", "correlation", "far apart")
    rows = tuple(
        (
            each.first, each.second, str(len(each.scripts)), str(each.compared), _percent(each.same, each.compared),
            shown(each.shift), shown(each.error), shown(each.correlation), str(len(each.far)),
        )
        for each in found
    )  # fmt: skip
    return Table("markers", head, rows, 2)


def _percent(part: int, whole: int) -> str:
    return f"{rounded(Fraction(100 * part, whole), 1)} %"


def _whole(each: Agreement) -> Iterator[str]:
    alone = ", ".join(
        f"{number} by {name} alone"
        for number, name in zip(each.alone, (each.first, each.second), strict=True)
        if number
    )
    yield f"{counted(len(each.scripts), 'script')} marked by both{f'; {alone}' if alone else ''}"
    yield f"{each.same} of {counted(each.compared, 'mark')} are the same ({_percent(each.same, each.compared)})"
    if each.shift:
        more = "more" if each.shift > 0 else "less"
        gives = (
            f"{each.second} gives {rounded(abs(each.shift), 2)} marks {more} for a script than {each.first}"
        )
    else:
        gives = f"{each.second} gives as many marks for a script as {each.first}"
    yield f"{gives}, in the mean{_give_or_take(each.shift_error)}{_limits(each)}"
    if isinstance(each.error, Root):
        told = f"standard error of one marker's total: {shown(each.error)} marks"
        yield told + (
            f"; correlation of totals: {shown(each.correlation)}"
            if isinstance(each.correlation, Root)
            else ""
        )
    if (made := each.decisions) is not None:
        yield (
            f"at {counted(made.mark, 'mark')}, of {counted(made.scripts, 'script')} with every question marked by "
            f"both, {made.both} pass by both, {made.neither} by neither, {made.first} by {each.first} alone, "
            f"{made.second} by {each.second} alone"
        )
        if (gaps := len(each.scripts) - made.scripts) > 0:
            yield (
                f"{counted(gaps, 'script')} more {'have' if gaps > 1 else 'has'} empty cells, so nobody can tell who "
                "passes: write - or 0 where a pupil left a question out"
            )


def _limits(each: Agreement) -> str:
    if isinstance(each.deviation, CannotTell):
        return ""
    reach = _SURE * Fraction(rounded(each.deviation, 8))
    low, high = rounded(each.shift - reach, 2), rounded(each.shift + reach, 2)
    return f"; of a hundred scripts some 95 differ by {low} to {high}{_give_or_take(each.limits_error, ' either end')}"


def _give_or_take(error: Root | CannotTell, what: str = "") -> str:
    if isinstance(error, CannotTell):
        return ""
    return f",{what} give or take {shown(Root(error.square * _SURE**2))}"


def _findings(each: Agreement, order: Sequence[int], *, pupils: bool) -> Iterator[str]:
    told = False
    for line in (*_slips(each, order, pupils=pupils), *_to_talk_over(each), *_far(each, pupils=pupils)):
        told = True
        yield line
    if not told:
        yield "Nothing stands out."


def _slips(each: Agreement, order: Sequence[int], *, pupils: bool) -> Iterator[str]:
    for one in _in_order(each.questions, order):
        if one.is_a_slip:
            whose = f": {', '.join(one.differing)}" if pupils else ""
            yield (
                f"{_name(one)}: only the key counts, and of {counted(len(one.differing), 'script')} the two have "
                f"different marks, so one of them slipped{whose}"
            )


def _to_talk_over(each: Agreement) -> Iterator[str]:
    judged = [one for one in each.questions if not one.is_a_slip]
    uneven = [one for one in judged if one.stands_out]
    for one in sorted(uneven, key=lambda one: (one.chance, one.question.column))[:_TO_TALK_OVER]:
        how = "harder" if one.lower > one.higher else "milder"
        most = max(one.lower, one.higher)
        yield (
            f"{_name(one)}: {each.second} is {how}, on {most} of the {one.lower + one.higher} scripts on which they "
            f"differ, by {rounded(abs(one.shift), 2)} of {counted(one.question.maximum, 'mark')} in the mean of all"
        )
    low = [one for one in judged if one.is_doubtful and not one.stands_out]
    for one in sorted(low, key=lambda one: (_number(one.kappa), one.question.column))[:_TO_TALK_OVER]:
        yield (
            f"{_name(one)}: kappa is {shown(one.kappa)}, the same mark on {one.same} of {one.scripts} scripts: talk "
            "over what earns each mark"
        )


def _number(value: Fraction | CannotTell) -> Fraction:
    return value if isinstance(value, Fraction) else Fraction(1)


def _far(each: Agreement, *, pupils: bool) -> Iterator[str]:
    if each.far:
        number = len(each.far)
        named = f": {', '.join(script.pupil for script in each.far)}" if pupils else " (--pupils names them)"
        marks = f"{marks_told(each.within)} mark{'s' * (each.within != 1)}"
        yield (
            f"the totals of {counted(number, 'script')} are further apart than {marks}: mark "
            f"{'it' if number == 1 else 'them'} again{named}"
        )
    if pupils and each.decisions is not None and each.decisions.differing:
        yield f"pass by one marker alone: {', '.join(each.decisions.differing)}"


def _name(one: QuestionAgreement) -> str:
    question = one.question
    number = f"question {question.printed} ({question.column})" if question.printed else question.column
    return f"{number}, {question.template}"


def _scripts(each: Agreement, suffix: str) -> Table:
    listed = sorted(
        (script for script in each.scripts if script.differing),
        key=lambda script: (-abs(script.apart), script.pupil),
    )
    far = {script.pupil for script in each.far}
    rows = tuple(
        (
            script.pupil, " ".join(script.differing), "yes" if script.pupil in far else "",
            marks_told(script.first), marks_told(script.second), str(script.most), _signed(script.apart),
        )
        for script in listed
    )  # fmt: skip
    head = ("pupil", "questions that differ", "mark again", each.first, each.second, "of", "apart")
    return Table(f"scripts{suffix}", head, rows, 3)


def _signed(value: Fraction) -> str:
    told = marks_told(abs(value))
    return f"+{told}" if value > 0 else f"-{told}" if value < 0 else told


def _questions(each: Agreement, order: Sequence[int], suffix: str) -> Table:
    rows = tuple(
        (
            one.question.column, one.question.printed, one.question.template, one.question.kind,
            str(one.question.maximum), str(one.scripts), str(one.same), str(one.lower), str(one.higher),
            shown(one.shift), UNTOLD if isinstance(one.kappa, CannotTell) else shown(one.kappa),
        )
        for one in _in_order(each.questions, order)
    )  # fmt: skip
    head = (
        "question", ON_PAPER, "template", "kind", "marks", "scripts", "same", "lower", "higher", "shift", "kappa",
    )  # fmt: skip
    return Table(f"questions{suffix}", head, rows, 4)


def _in_order(questions: Sequence[QuestionAgreement], order: Sequence[int]) -> list[QuestionAgreement]:
    """As they are printed."""
    ranks = {place: rank for rank, place in enumerate(order)}
    return sorted(questions, key=lambda one: ranks.get(one.place, len(ranks) + one.place))


def _notes() -> Iterator[str]:
    yield (
        "A mark is compared where both gave one; an empty cell says nothing, - is a mark of 0. Differences are the "
        "second marker's mark less the first's; lower and higher: scripts to which the second gave less, and more."
    )
    yield (
        "kappa: 1 where all marks agree, 0 where they do as chance would have it, by squared differences (Cohen "
        f"1968); low where nearly all earn the same, so look at `same` too. Told below {shown(GOOD_KAPPA)} "
        f"(Williamson, Xi & Breyer 2012) of {ENOUGH} scripts and more."
    )
    yield (
        "harder or milder: so uneven a split as markers who are equally hard have in one set of questions out of "
        "twenty (sign test, Dixon & Mood 1946; Holm 1979)"
    )
    yield (
        "some 95 of a hundred: mean and 1.96 standard deviations of differences of totals (Bland & Altman 1986); "
        "standard error of one marker's total: that deviation by the root of 2. Give or take: 1.96 standard errors, of "
        "the mean that deviation by the root of n scripts, of either end of the 95 that by the root of n / 3 (the same)"
    )
    yield "Agreement is not rightness: two markers may share a mistake. What they settle is theirs to decide."


def as_data(found: DoubleMarking, *, pupils: bool = False) -> dict[str, Any]:
    """The same for programs, figures at four decimals."""
    return {
        "title": found.title,
        "markers": [
            {"marker": marker.name, "scripts": sum(map(bool, marker.marks.values()))} for marker in found.markers
        ],
        "agreements": [_pair_data(each, pupils=pupils) for each in found.agreements],
    }  # fmt: skip


def _figure(value: Statistic) -> Any:
    return None if isinstance(value, CannotTell) else rounded(value, 4)


def _pair_data(each: Agreement, *, pupils: bool) -> dict[str, Any]:
    made = each.decisions
    data: dict[str, Any] = {
        "first": each.first, "second": each.second, "scripts": len(each.scripts),
        "first_alone": each.alone[0], "second_alone": each.alone[1],
        "marks": each.compared, "same": each.same, "shift": rounded(each.shift, 4),
        "deviation": _figure(each.deviation), "error": _figure(each.error),
        "shift_error": _figure(each.shift_error), "limits_error": _figure(each.limits_error),
        "correlation": _figure(each.correlation), "within": rounded(each.within, 4), "far_apart": len(each.far),
        "decisions": None if made is None else {
            "mark": made.mark, "scripts": made.scripts, "both": made.both, "neither": made.neither,
            "first": made.first, "second": made.second,
        },
        "questions": [
            {"question": one.question.column, "on_paper": one.question.printed, "template": one.question.template,
             "kind": one.question.kind, "marks": one.question.maximum, "scripts": one.scripts, "same": one.same,
             "lower": one.lower, "higher": one.higher, "shift": rounded(one.shift, 4), "kappa": _figure(one.kappa),
             "chance": rounded(one.chance, 6), "stands_out": one.stands_out, "slip": one.is_a_slip,
             "doubtful": one.is_doubtful}
            for one in each.questions
        ],
    }  # fmt: skip
    if pupils:
        far = {script.pupil for script in each.far}
        data["differing"] = [
            {"pupil": script.pupil, "first": rounded(script.first, 4), "second": rounded(script.second, 4),
             "of": script.most, "questions": list(script.differing), "mark_again": script.pupil in far}
            for script in each.scripts if script.differing
        ]  # fmt: skip
    return data
