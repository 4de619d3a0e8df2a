"""What is told of results: headings, lines and tables, which `rendering.py` shows and `report_data.py` gives programs.

Names of pupils stand in it only where they are asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Final

from itembank.analysis.analysis import Analysis
from itembank.analysis.blocks import ON_PAPER, UNTOLD, Block, Heading, Lines, Report, Table, counted, shown
from itembank.analysis.distractors import QuestionChoices, SlipFigures
from itembank.analysis.exact import CannotTell, Root, marks_told, rounded
from itembank.analysis.findings import RULES, Finding
from itembank.analysis.group_report import group_blocks, group_notes
from itembank.analysis.item_statistics import ItemFigures
from itembank.analysis.reliability import BANDS, WholeFigures
from itembank.analysis.shown import offered_shown
from itembank.errors import Diagnostic

__all__ = ["report"]


def report(
    analysis: Analysis,
    title: str,
    *,
    options: bool = True,
    pupils: bool = False,
    doubts: Sequence[Diagnostic] = (),
) -> Report:
    """The report. options: with a table of all options; pupils: with names, totals and slips of each pupil.

    doubts: what is doubtful in the files, for whoever reads the report and did not see it told.
    """
    blocks: list[Block] = [
        Heading(f"Results: {title}" if title else "Results", 1),
        Lines(_whole(analysis)),
        _totals(analysis.whole),
    ]
    if doubts:
        blocks += [Heading("Doubtful in the files of results"), Lines(tuple(map(_doubt, doubts)))]
    blocks += [Heading("Look at these"), Lines(tuple(_findings(analysis)))]
    if analysis.slips or analysis.doubted:
        blocks += [Heading("What to reteach"), Lines(tuple(_reteach(analysis)))]
    if analysis.slips:
        blocks.append(_slip_table(analysis.slips))
    blocks += [Heading("Questions"), _figures("questions", analysis.questions, analysis)]
    if analysis.items:
        blocks += [Heading("Items of several questions"), _figures("items", analysis.items, analysis)]
    blocks += [Heading("Templates"), _template_table(analysis)]
    if options and analysis.choices:
        blocks += [Heading("Answers"), _choice_table(analysis)]
    if analysis.groups:
        blocks += group_blocks(analysis.groups, analysis.differences, _printed(analysis))
    blocks += [Heading("Predicted and observed difficulty"), Lines(tuple(_predicted(analysis)))]
    if pupils:
        blocks += [Heading("Pupils"), _pupil_table(analysis)]
    blocks += [Heading("How it is worked out"), Lines(tuple(_notes(analysis)))]
    return tuple(blocks)


def _doubt(doubt: Diagnostic) -> str:
    place = f"{Path(doubt.span.path).name}, line {doubt.span.line}: " if doubt.span is not None else ""
    return f"{place}{doubt.message}{'; ' + doubt.hint if doubt.hint else ''}"


def _percent(part: int, whole: int) -> str:
    return f"{rounded(Fraction(100 * part, whole), 0)} %" if whole else UNTOLD


def _whole(analysis: Analysis) -> tuple[str, ...]:
    whole = analysis.whole
    of = "" if whole.maximum is None else f", {counted(whole.maximum, 'mark')}"
    lines = [f"{counted(whole.pupils, 'pupil')}, {counted(whole.questions, 'question')}{of}"]
    if analysis.results.absent:
        who = "1 more has no answer at all and is" if analysis.results.absent == 1 else (
            f"{analysis.results.absent} more have no answer at all and are"
        )  # fmt: skip
        lines.append(f"{who} left out")
    if analysis.results.left_out:
        lines.append(
            f"left out, for nobody has marks or answers there: {counted(len(analysis.results.left_out), 'question')} "
            "of the build"
        )
    unit = "marks" if whole.maximum is not None else "share of the marks each could get"
    spread = (
        ""
        if isinstance(whole.deviation, CannotTell)
        else f", standard deviation {shown(whole.deviation)} (sample)"
    )
    lines.append(
        f"{unit}: mean {shown(whole.mean)}{spread}, from {_mark(whole.lowest)} to {_mark(whole.highest)}, "
        f"median {_mark(whole.median)}"
    )
    if isinstance(whole.alpha, CannotTell):
        alone = ""
        if whole.maximum is None and whole.pupils > 1:
            alone = "; where pupils had different forms, analyse the results of each form by themselves"
        lines.append(f"reliability: cannot tell, {whole.alpha.reason}{alone}")
    else:
        error = whole.standard_error
        told = f"cannot tell, {error.reason}" if isinstance(error, CannotTell) else f"{shown(error)} marks"
        some = "" if whole.complete == whole.pupils else (
            f", of the {counted(whole.complete, 'pupil')} with a mark in every question"
        )  # fmt: skip
        rough = "; rough, of fewer than 30 pupils" if whole.complete < 30 else ""
        if whole.complete < _FEW_PUPILS:
            rough = f"; of fewer than {_FEW_PUPILS} pupils this says next to nothing"
        lines.append(
            f"reliability: alpha {shown(whole.alpha)}, standard error of measurement {told}{some}{rough}"
        )
        if not isinstance(error, CannotTell) and whole.complete >= _FEW_PUPILS:
            lines.append(
                f"so a total may be off by {shown(error)} marks either way in two of three cases, and by "
                f"{shown(Root(error.square * _SURE**2))} in nineteen of twenty"
            )
    if whole.pupils < _FEW_PUPILS:
        lines.append(f"figures of single questions say little of fewer than {_FEW_PUPILS} pupils")
    else:
        by_chance = Root(Fraction(1, whole.pupils) * _SURE**2)
        lines.append(
            f"of {whole.pupils} pupils, chance alone moves a facility by up to {shown(Root(by_chance.square / 4))} "
            f"either way, and a discrimination by about {shown(by_chance)}"
        )
    return tuple(lines)


def _totals(whole: WholeFigures) -> Table:
    """Pupils by share of marks, from the least tenth that anybody is in to the highest."""
    filled = [at for at, number in enumerate(whole.bands) if number]
    rows = tuple(
        (f"{100 * at // BANDS} to {100 * (at + 1) // BANDS} %", str(whole.bands[at]))
        for at in range(filled[0], filled[-1] + 1)
    )
    return Table("totals", ("share of marks", "pupils"), rows, bars=1)


def _mark(value: Fraction) -> str:
    return marks_told(value) if value.denominator in (1, 2, 4) else shown(value)


def _findings(analysis: Analysis) -> Iterator[str]:
    looked_for = any(rule.fewest <= analysis.whole.pupils for rule in RULES.values())
    if not analysis.findings and looked_for:
        yield "Nothing stands out."
    printed = _printed(analysis)
    rules = [finding.rule for finding in analysis.findings]
    for finding in sorted(analysis.findings, key=lambda each: _place_of(each, rules, printed)):
        names = (f"question {printed[name]} ({name})" if name in printed else name for name in finding.about)
        about = f" {', '.join(names)}" if finding.about else ""
        yield f"{finding.rule}{about}: {finding.message}. {finding.hint[:1].upper()}{finding.hint[1:].rstrip('.')}."
    yield from _not_looked_for(analysis)


def _not_looked_for(analysis: Analysis) -> Iterator[str]:
    """What may be there all the same, for results are too few, or tell too little."""
    rules = RULES.values()
    if (fewest := min(rule.fewest for rule in rules)) > analysis.whole.pupils:
        yield f"Of fewer than {fewest} pupils nothing is looked for."
        return
    if few := [rule for rule in rules if rule.fewest > analysis.whole.pupils]:
        told = ", ".join(f"{rule.name} (from {rule.fewest} on)" for rule in few)
        yield f"Not looked for, of so few pupils: {told}."
    blind = [rule.name for rule in rules if rule.of_choices and rule not in few]
    if blind and not analysis.choices and any(each.offered for each in analysis.results.questions):
        yield f"Not looked for, since marks alone do not tell what was chosen or typed: {', '.join(blind)}."


def _place_of(
    finding: Finding, rules: Sequence[str], printed: Mapping[str, str]
) -> tuple[int, tuple[int, str]]:
    """By which findings of one rule stand in the order of the paper, so far as they are about questions."""
    return rules.index(finding.rule), _on_paper(next((printed.get(name, "") for name in finding.about), ""))


def _printed(analysis: Analysis) -> dict[str, str]:
    """Questions and items of several with their numbers on paper, so far as they have any."""
    return {each.name: each.printed for each in (*analysis.questions, *analysis.items) if each.printed}


def _reteach(analysis: Analysis) -> Iterator[str]:
    if analysis.doubted:
        printed = _printed(analysis)
        told = ", ".join(
            f"{printed[name]} ({name})" if name in printed else name for name in analysis.doubted
        )
        yield f"not counted here, for the key is in doubt and what is wrong by it may be right: question {told}"
    made = [slip for slip in analysis.slips if slip.pupils]
    if not made:
        yield "No known slip was made."
    for slip in made:
        yield f"{slip.slip}, {slip.pupils} of {slip.of_pupils} pupils: {slip.teacher or 'no sentence in the bank'}"


def _slip_table(slips: Sequence[SlipFigures]) -> Table:
    rows = tuple(
        (slip.slip, str(slip.pupils), str(slip.of_pupils), str(slip.times), str(slip.of_times),
         _percent(slip.times, slip.of_times), str(len(slip.questions)))
        for slip in slips
    )  # fmt: skip
    return Table(
        "slips", ("slip", "pupils", "of pupils", "answers", "of answers", "share", "questions"), rows
    )


_LAST: Final = 1_000_000
_SURE: Final = Fraction("1.96")
"""Standard errors that chance goes beyond once in twenty times."""
_FEW_RANKS: Final = 10
_FEW_PUPILS: Final = 10
_FIGURE_HEAD: Final = (
    "question", ON_PAPER, "template", "marks", "taken", "omitted", "not reached", "facility", "discrimination",
    "upper-lower", "predicted", "observed",
)  # fmt: skip


def _figures(name: str, figures: Sequence[ItemFigures], analysis: Analysis) -> Table:
    observed = {each.name: each for each in analysis.predicted.items}
    rows = tuple(
        (
            each.name, each.printed, each.template, str(each.maximum), str(each.taken), str(each.omitted),
            str(each.not_reached), shown(each.facility), shown(each.discrimination), shown(each.upper_lower),
            shown(Fraction(each.difficulty, 1000)) if each.difficulty is not None else "",
            shown(observed[each.name].observed) if each.name in observed else "",
        )
        for each in sorted(figures, key=lambda each: _on_paper(each.printed))
    )  # fmt: skip
    return Table(name, _FIGURE_HEAD, rows, 3)


def _on_paper(printed: str) -> tuple[int, str]:
    """The number of a question on paper, by which tables stand; what has none stays in the order of the bank, last.

    >>> sorted(("10", "2(b)", "", "2(a)", "A 3, B 1"), key=_on_paper)
    ['2(a)', '2(b)', 'A 3, B 1', '10', '']
    """
    found = re.search(r"([0-9]+)(?:\(([a-z]+)\))?", printed)
    return (int(found[1]), found[2] or "") if found else (_LAST, "")


def _template_table(analysis: Analysis) -> Table:
    rows = tuple(
        (each.template, str(each.items), str(each.taken), shown(each.facility)) for each in analysis.templates
    )
    return Table("templates", ("template", "items", "answers", "facility"), rows)


def _choice_table(analysis: Analysis) -> Table:
    printed = {each.name: each.printed for each in analysis.questions}
    in_order = sorted(analysis.choices, key=lambda choices: _on_paper(printed[choices.name]))
    rows = tuple(row for choices in in_order for row in _choice_rows(choices, printed[choices.name]))
    head = (
        "question", ON_PAPER, "answer", "text", "key", "slip", "reteach", "chosen", "share", "upper third",
        "lower third", "mean rest",
    )  # fmt: skip
    return Table("answers", head, rows, 7)


def _choice_rows(choices: QuestionChoices, printed: str) -> Iterator[tuple[str, ...]]:
    """printed: the number of the question on paper."""
    for each in choices.chosen:
        offered = each.offered
        # letters of the bank say nothing to whoever holds versions with letters of their own
        name = "" if "," in offered.printed else offered.name
        yield (
            choices.name, offered.printed or printed, name, offered_shown(offered), "key" if offered.is_right else "",
            offered.slip, offered.teacher, str(each.number), _percent(each.number, choices.answers),
            _of_third(each.upper, choices.upper), _of_third(each.lower, choices.lower), shown(each.rest),
        )  # fmt: skip


def _of_third(number: int, pupils: int) -> str:
    return f"{number} of {pupils}" if pupils else UNTOLD


def _predicted(analysis: Analysis) -> Iterator[str]:
    found = analysis.predicted
    if isinstance(found.agreement, CannotTell):
        yield f"rank correlation: cannot tell, {found.agreement.reason}"
    else:
        yield (
            f"rank correlation {shown(found.agreement)} over {len(found.items)} items (1: the same order)"
            + (f"; fewer than {_FEW_RANKS} items say little" if len(found.items) < _FEW_RANKS else "")
        )
    yield "observed: ln((1 - facility) / facility) in logits; unlike the prediction's, its zero depends on the class"


def _pupil_table(analysis: Analysis) -> Table:
    rows = []
    for sitting in analysis.results.sittings:
        slips: dict[str, int] = {}
        for answer in sitting.answers.values():
            for slip in answer.slips:
                slips[slip] = slips.get(slip, 0) + 1
        told = ", ".join(
            f"{slip} {n}" for slip, n in sorted(slips.items(), key=lambda each: (-each[1], each[0]))
        )
        rows.append((sitting.pupil, told, marks_told(sitting.total), str(sitting.most)))
    return Table("pupils", ("pupil", "slips", "marks", "of"), tuple(rows), 2)


def _notes(analysis: Analysis) -> Iterator[str]:
    yield (
        "Omitted counts as 0 marks. Not reached (nothing stands there nor later in the paper) counts as 0 in totals "
        "and enters no figure of the question. The order is the paper's, or of columns if none is known."
    )
    yield (
        "facility: mean mark by maximum, of those who took it; of n pupils by chance up to 1.96 / (2 sqrt(n)) from "
        "that of all such pupils, in nineteen cases of twenty; a discrimination near 0 by 1.96 / sqrt(n)"
    )
    yield "discrimination: corrected item-total correlation, with the share of marks in all other items"
    yield "upper-lower: facility in the strongest 27 % less that in the weakest 27 %"
    if isinstance(analysis.whole.alpha, Fraction):
        late = any(each.not_reached for each in analysis.questions)
        yield "alpha: Cronbach's, of items, the parts of one together; standard error: s sqrt(1 - alpha)" + (
            ". What was not reached counts as 0 and makes alpha look higher than it is" if late else ""
        )
    if analysis.choices:
        yield (
            "thirds: of pupils by share of marks, equal ones together; ? where equal pupils are in both; "
            "mean rest: share of marks in all other items"
        )
        yield "on paper: number and letter there; of several versions, the version's letter first"
    if analysis.groups:
        yield from group_notes()
    reasons: dict[str, int] = {}
    for each in analysis.questions:
        for name, value in (("facility", each.facility), ("discrimination", each.discrimination),
                            ("upper-lower", each.upper_lower)):  # fmt: skip
            if isinstance(value, CannotTell):
                told = f"{name}: {value.reason}"
                reasons[told] = reasons.get(told, 0) + 1
    for reason, number in reasons.items():
        yield f"{UNTOLD} in {reason} ({counted(number, 'question')})"
    for rule in dict.fromkeys(finding.rule for finding in analysis.findings):
        found = RULES[rule]
        yield f"{rule}: {found.meaning}; from {found.fewest} pupils on. Source: {found.source}"
