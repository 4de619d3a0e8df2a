"""What is told of a pass mark: headings, lines and tables. Judges are named, pupils are not."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from itembank.analysis.blocks import ON_PAPER, UNTOLD, Block, Heading, Lines, Report, Table, counted, shown
from itembank.analysis.exact import CannotTell, Root, Statistic, marks_told, rounded
from itembank.analysis.keys import Question
from itembank.standard_setting.angoff import ItemRating
from itembank.standard_setting.boundaries import Beside
from itembank.standard_setting.by_pupils import Borderline, Contrast, Judgement, Together
from itembank.standard_setting.pass_mark import Cut, PassMark

__all__ = ["report"]

_FEWEST_JUDGES: Final = 10
"""Judges below whom a mark is told to be rough. Ten or more are common advice (Cizek & Bunch 2007; from memory)."""
_FEWEST_PUPILS: Final = 20
"""Pupils of a judgement below whom a mark is told to be rough (house rule)."""
_TO_TALK_OVER: Final = 5


def report(found: PassMark) -> Report:
    """The report."""
    setting = found.setting
    name = f"Mark for {setting.boundary}" if setting.boundary else "Pass mark"
    blocks: list[Block] = [
        Heading(f"{name}: {setting.title}" if setting.title else name, 1),
        Lines(tuple(_whole(found))),
        Heading("Where it lies"),
    ]
    blocks += [_cuts(found), Lines(tuple(_hedges(found)))] if found.cuts else [Lines(tuple(_why_none(found)))]
    if any(cut.outcomes for cut in found.cuts):
        blocks += [Heading("What would follow"), _outcomes(found), Lines(tuple(_close(found)))]
    if found.beside is not None and found.beside.steps:
        blocks += [
            Heading("Beside the boundary below"),
            _steps(found.beside),
            Lines(tuple(_turned(found.beside))),
        ]
    if found.rounds:
        blocks += [Heading("Look at these"), Lines(tuple(_findings(found))), Heading("Judges")]
        blocks += [_judges(found)]
        blocks += [Heading("Rounds"), _rounds(found)] if len(found.rounds) > 1 else []
        blocks += [Heading("Questions"), _questions(found)]
    if isinstance(found.contrast, Contrast):
        blocks += [Heading("Pupils as teachers see them, at each mark"), _contrast(found.contrast)]
    blocks += [Heading("How it is worked out"), Lines(tuple(_notes(found)))]
    return tuple(blocks)


def _whole(found: PassMark) -> Iterator[str]:
    setting = found.setting
    yield f"{counted(len(setting.questions), 'question')}, {counted(setting.maximum, 'mark')}"
    if found.rounds:
        told = counted(len(found.rounds[-1].judges), "judge")
        yield f"{told}, {counted(len(found.rounds), 'round')}"
    if found.pupils or found.left_out:
        yield f"{counted(found.pupils, 'pupil')} with a mark in every question"
    if found.left_out:
        yield (
            f"{counted(found.left_out, 'more pupil')} not compared: not given every question of the test, or a mark "
            "is missing"
        )
    if any(found.judged.values()):
        told = ", ".join(f"{number} {judgement.value}" for judgement, number in found.judged.items())
        yield f"judged by teachers: {told}"


def _why_none(found: PassMark) -> Iterator[str]:
    yield "No mark can be told."
    for each in (found.borderline, found.contrast, found.compromise.cut if found.compromise else None):
        if isinstance(each, CannotTell):
            yield each.reason


def _cuts(found: PassMark) -> Table:
    maximum = found.setting.maximum
    rows = tuple(
        (
            cut.method, cut.rests_on, shown(cut.value), str(cut.mark), str(rounded(100 * cut.value / maximum, 1)),
            "" if isinstance(cut.error, CannotTell) else shown(cut.error),
        )
        for cut in found.cuts
    )  # fmt: skip
    return Table("cuts", ("method", "rests on", "cut", "from mark", "% of marks", "error"), rows, 2)


def _hedges(found: PassMark) -> Iterator[str]:
    yield (
        "cut: to the fraction; from mark: the least whole mark that is not below it. Whoever decides may go up or down "
        "from there, and says why."
    )
    if found.rounds:
        judges = len(found.rounds[-1].judges)
        if judges < _FEWEST_JUDGES:
            yield (
                f"{counted(judges, 'judge')} are few: with fewer than {_FEWEST_JUDGES}, other judges may well come to "
                "another mark"
            ).replace("1 judge are", "1 judge is")
        if isinstance(found.rounds[-1].cut, CannotTell):
            yield f"Angoff: no cut, {found.rounds[-1].cut.reason}"
    if isinstance(found.borderline, Borderline):
        yield from _of_borderline(found.borderline)
    if isinstance(found.contrast, Contrast):
        yield from _of_contrast(found.contrast)
    for name, each in (("borderline group", found.borderline), ("contrasting groups", found.contrast)):
        if isinstance(each, CannotTell):
            yield f"{name}: no cut, {each.reason}"
    if found.compromise is not None:
        told = found.compromise
        fails = f"{_per_cent(told.least_fail)} to {_per_cent(told.most_fail)}"
        yield f"Hofstee: {shown(told.least_cut)} to {shown(told.most_cut)} marks and {fails} failing are acceptable"
        if isinstance(told.cut, CannotTell):
            yield f"Hofstee: no cut, {told.cut.reason}"
    marks = [cut.mark for cut in found.cuts]
    if len(marks) > 1:
        apart = max(marks) - min(marks)
        yield f"the methods lie {counted(apart, 'mark')} apart" if apart else "the methods agree to the mark"


def _of_borderline(told: Borderline) -> Iterator[str]:
    if isinstance(told.low, Fraction) and isinstance(told.high, Fraction) and isinstance(told.sure, Fraction):
        yield (
            f"borderline group: the median of all such pupils lies between {marks_told(told.low)} and "
            f"{marks_told(told.high)} marks ({_per_cent(told.sure)} sure)"
        )
    if told.pupils < _FEWEST_PUPILS:
        yield f"borderline group: {_few(told.pupils)} at the border, too few for more than a rough mark"


def _of_contrast(told: Contrast) -> Iterator[str]:
    yield (
        f"contrasting groups: from {counted(told.cut, 'mark')} on, {told.fewest} of {told.below + told.above} pupils "
        f"stand{'s' * (told.fewest == 1)} on the wrong side"
    )
    pairs = f"in {_per_cent(told.higher)} of all pairs of one judged below and one judged above"
    match told.together:
        case Together.SAME_WAY:
            yield f"contrasting groups: {pairs} the latter has the higher total (50 %: judgements say nothing of it)"
        case Together.NOT_TOLD:
            yield (
                f"contrasting groups: {pairs} the latter has the higher total; of {_few(told.below + told.above)} "
                "chance alone makes as much, so nobody can tell that judgements and totals go together, and no mark "
                "should rest on these judgements"
            )
        case Together.OTHER_WAY:
            yield (
                f"contrasting groups: only {pairs} the latter has the higher total: were `below` and `above` "
                "exchanged? No mark should rest on these judgements"
            )
    if len(told.ties) > 1:
        yield f"contrasting groups: just as good are {_runs(told.ties)}; the middle one is taken"
    if min(told.below, told.above) < _FEWEST_PUPILS:
        fewer = min(told.below, told.above)
        yield f"contrasting groups: {_few(fewer)} in the smaller group, too few for more than a rough mark"


def _few(number: int) -> str:
    return counted(number, "pupil")


def _runs(marks: tuple[int, ...]) -> str:
    """
    >>> _runs((3, 4, 5, 9))
    '3 to 5, 9'
    """
    runs: list[list[int]] = []
    for mark in marks:
        if runs and mark == runs[-1][-1] + 1:
            runs[-1].append(mark)
        else:
            runs.append([mark])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


def _per_cent(share: Fraction) -> str:
    return f"{rounded(100 * share, 1)} %"


def _outcomes(found: PassMark) -> Table:
    rows = tuple(
        (
            cut.method, str(each.mark), str(each.passing), str(found.pupils - each.passing),
            str(rounded(Fraction(100 * each.passing, found.pupils), 1)),
        )
        for cut in found.cuts
        for each in cut.outcomes
    )  # fmt: skip
    reach = "reach it" if found.setting.boundary else "pass"
    return Table("outcomes", ("method", "from mark", reach, "do not", f"% {reach}"), rows)


def _steps(told: Beside) -> Table:
    rows = tuple(
        (each.method, str(each.lower), str(each.mark), str(each.mark - each.lower),
         UNTOLD if each.between is None else str(each.between))
        for each in told.steps
    )  # fmt: skip
    head = ("method", "below from mark", "here from mark", "marks apart", "pupils between")
    return Table("beside", head, rows)


def _turned(told: Beside) -> Iterator[str]:
    lines = [
        f"{each.method}: this boundary lies at {each.mark} and the one below it at {each.lower}: no pupil could stand "
        "between; look whether judgements were exchanged, or given without an eye on the other boundary"
        for each in told.turned
    ]
    lines += [
        f"{each.judge} asks for {shown(each.cut)} marks here and for {shown(each.lower)} at the boundary below: were "
        "the two exchanged?"
        for each in told.judges
    ]
    if told.questions:
        names = ", ".join(
            f"{_called(each.question)} {shown(each.expected)} after {shown(each.lower)} of {each.question.maximum}"
            for each in told.questions[:_TO_TALK_OVER]
        )
        more = len(told.questions) - _TO_TALK_OVER
        names += f" and {more} more" if more > 0 else ""
        lines.append(f"less is expected here than at the boundary below: {names}")
    yield from lines or ["Every mark, judge and question asks for more here, or for as much at a question."]


def _close(found: PassMark) -> Iterator[str]:
    yield from (_close_to(cut, found) for cut in found.cuts)


def _close_to(cut: Cut, found: PassMark) -> str:
    if cut.close is None:
        reason = found.measured.reason if isinstance(found.measured, CannotTell) else ""
        return f"{cut.method}: how surely pupils stand on their side cannot be told: {reason}"
    return (
        f"{cut.method}: {cut.close} of {counted(found.pupils, 'pupil')} stand within one standard error of measurement "
        f"({shown(found.measured)} marks) of {cut.mark}: of these another test might have said otherwise"
    )


def _findings(found: PassMark) -> Iterator[str]:
    last = found.rounds[-1]
    told = []
    apart = sorted((each for each in last.items if each.spread), key=lambda each: -each.spread)
    if apart:
        names = ", ".join(
            f"{_named(each)} {marks_told(each.lowest)} to {marks_told(each.highest)} of {each.question.maximum}"
            for each in apart[:_TO_TALK_OVER]
        )
        told.append(f"judges are furthest apart on {names}: let them say why before another round")
    for judge, agreement in zip(last.judges, found.agreements, strict=False):
        if isinstance(agreement, Root) and agreement.is_negative and agreement.square:
            told.append(
                f"{judge.judge} does not rate by the order of difficulty (correlation with facility "
                f"{shown(agreement)}): was the scale understood?"
            )
    above = _above_facility(found)
    if above:
        names = ", ".join(f"{_named(each)} {shown(mean)} beside {shown(all_)}" for each, mean, all_ in above)
        told.append(f"pupils at the border are expected to earn more marks than all pupils did: {names}")
    yield from told or ["Nothing stands out."]


def _above_facility(found: PassMark) -> list[tuple[ItemRating, Fraction, Fraction]]:
    """Questions whose mean rating is above what all pupils earned, furthest first: rating and mean mark.

    Only where the boundary as a whole lies below what pupils earned in the mean: of merit, or in a weak class, more is
    rightly expected nearly everywhere.
    """
    means = [each.mean for each in found.rounds[-1].items]
    earned_in_all = [
        facility * each.maximum
        for each, facility in zip(found.setting.questions, found.facilities, strict=False)
        if isinstance(facility, Fraction)
    ]
    expected_in_all = [mean for mean in means if isinstance(mean, Fraction)]
    if len(earned_in_all) < len(means) or len(expected_in_all) < len(means):
        return []
    if sum(expected_in_all) > sum(earned_in_all):
        return []
    above = []
    for each, facility in zip(found.rounds[-1].items, found.facilities, strict=False):
        if isinstance(each.mean, Fraction) and isinstance(facility, Fraction):
            earned = facility * each.question.maximum
            if each.mean > earned:
                above.append((each, each.mean, earned))
    return sorted(above, key=lambda told: (told[2] - told[1]) / told[0].question.maximum)[:_TO_TALK_OVER]


def _named(each: ItemRating) -> str:
    return _called(each.question)


def _called(question: Question) -> str:
    return f"question {question.printed} ({question.column})" if question.printed else question.column


def _judges(found: PassMark) -> Table:
    last = found.rounds[-1]
    several = len(found.rounds) > 1
    rows = tuple(
        (
            judge.judge, *(shown(each.judges[at].cut) for each in found.rounds), _beside(judge.cut, last.cut),
            *((str(judge.changed),) if several else ()), *_agreement(found, at),
        )
        for at, judge in enumerate(last.judges)
    )  # fmt: skip
    head = (
        "judge", *((f"round {each.number}" for each in found.rounds) if several else ("own cut",)), "beside all",
        *(("changed",) if several else ()), *(("with facility",) if found.agreements else ()),
    )  # fmt: skip
    return Table("judges", head, rows)


def _beside(own: Statistic, cut: Statistic) -> str:
    if not isinstance(own, Fraction) or not isinstance(cut, Fraction):
        return UNTOLD
    return shown(own - cut)


def _agreement(found: PassMark, at: int) -> Iterator[str]:
    if found.agreements:
        yield shown(found.agreements[at])


def _rounds(found: PassMark) -> Table:
    rows = tuple(
        (str(each.number), shown(each.cut), shown(each.deviation), shown(each.error)) for each in found.rounds
    )
    return Table("rounds", ("round", "cut", "deviation of judges", "error"), rows, 0)


def _questions(found: PassMark) -> Table:
    rows = tuple(
        (
            each.question.column, each.question.printed, each.question.template, str(each.question.maximum),
            shown(each.mean), shown(each.lowest), shown(each.highest), shown(each.deviation), *_facility(found, at),
        )
        for at, each in enumerate(found.rounds[-1].items)
    )  # fmt: skip
    head = ("question", ON_PAPER, "template", "marks", "expected", "lowest", "highest", "deviation")
    return Table("questions", (*head, *(("all earned",) if found.facilities else ())), rows, 3)


def _facility(found: PassMark, at: int) -> Iterator[str]:
    """The mean mark of all pupils, beside which an expected mark can be read."""
    if found.facilities:
        facility = found.facilities[at]
        yield shown(
            facility * found.setting.questions[at].maximum if isinstance(facility, Fraction) else facility
        )


def _contrast(told: Contrast) -> Table:
    near = [each for each in told.marks if abs(each.mark - told.cut) <= 10 or each.mark in told.ties]
    rows = tuple((str(each.mark), str(each.below), str(each.above), str(each.pupils)) for each in near)
    return Table("misplaced", ("from mark", "below, but pass", "above, but do not", "misplaced"), rows, 0)


def _notes(found: PassMark) -> Iterator[str]:
    if found.rounds:
        yield (
            "Angoff (1971; of several marks by expected marks, Hambleton & Plake 1995): the cut is the sum over "
            "questions of the mean rating; where a judge writes nothing in a later round, the rating before holds. "
            "error: the deviation of the judges' own cuts by the root of their number; deviations are of the sample"
        )
    if found.agreements:
        yield (
            "with facility: correlation of ratings with facilities, as shares of marks, of all judges' means "
            f"{shown(found.agreement)}. Facilities are of all pupils, ratings of those at the border: order alone "
            "can be compared"
        )
    if found.borderline is not None:
        yield (
            "borderline group (Livingston & Zieky 1982): the median total of pupils at the border; the interval by "
            "the order of totals alone, whatever their distribution"
        )
        yield (
            "contrasting groups (Livingston & Zieky 1982): the whole mark that misplaces the fewest pupils judged "
            "below or above, both errors counted alike; pupils at the border do not count"
        )
        yield (
            "pairs: of pupils judged below and above, equal totals by half (Mann & Whitney 1947); beyond chance at "
            "1.96 standard errors"
        )
        yield f"judgements are {', '.join(judgement.value for judgement in Judgement)}, given without a look at totals"
    if found.compromise is not None:
        yield (
            "Hofstee (1983): the line from the least acceptable mark and the largest share failing to the most "
            "acceptable mark and the least share failing, each the mean over judges, meets the share of pupils "
            "below each mark"
        )
    if found.beside is not None and found.beside.steps:
        yield (
            "beside the boundary below: whoever stands at the higher boundary earns more in all, and no less at any "
            "question; between: pupils who reach the lower mark and not this one"
        )
    yield "Whoever sets a mark answers for it: it is a judgement, and these figures say what it rests on."
