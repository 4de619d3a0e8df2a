"""What is told of results, for programs."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

from itembank.analysis.analysis import Analysis
from itembank.analysis.distractors import QuestionChoices
from itembank.analysis.exact import CannotTell, Root, Statistic, rounded
from itembank.analysis.group_report import group_data
from itembank.analysis.item_statistics import ItemFigures
from itembank.errors import Diagnostic

__all__ = ["as_data"]


def as_data(
    analysis: Analysis, title: str, *, pupils: bool = False, doubts: Sequence[Diagnostic] = ()
) -> dict[str, Any]:
    """Everything for programs; figures as decimals, null where they cannot be told, with the reason beside."""
    whole = analysis.whole
    data: dict[str, Any] = {
        "title": title,
        "pupils": whole.pupils,
        "absent": analysis.results.absent,
        "doubtful": [
            {"code": each.code, "message": each.message, "hint": each.hint,
             "file": Path(each.span.path).name if each.span else "", "line": each.span.line if each.span else 0}
            for each in doubts
        ],
        "left_out": list(analysis.results.left_out),
        "marks": whole.maximum,
        "totals": {
            "scale": "marks" if whole.maximum is not None else "share",
            **_told(mean=whole.mean, deviation=whole.deviation, lowest=whole.lowest, median=whole.median,
                    highest=whole.highest),
            "tenths": list(whole.bands),
        },
        "reliability": {
            "pupils": whole.complete, "items": whole.items,
            **_told(alpha=whole.alpha, standard_error=whole.standard_error),
        },
        "findings": [
            {"rule": f.rule, "about": list(f.about), "message": f.message, "hint": f.hint} for f in analysis.findings
        ],
        "slips": [
            {"slip": s.slip, "teacher": s.teacher, "pupils": s.pupils, "of_pupils": s.of_pupils, "answers": s.times,
             "of_answers": s.of_times, "questions": list(s.questions)}
            for s in analysis.slips
        ],
        "questions": [_figure_data(each) for each in analysis.questions],
        "items": [_figure_data(each) for each in analysis.items],
        "templates": [
            {"template": t.template, "items": t.items, "answers": t.taken, **_told(facility=t.facility)}
            for t in analysis.templates
        ],
        "answers": [_choice_data(each) for each in analysis.choices],
        "predicted": {
            **_told(rank_correlation=analysis.predicted.agreement),
            "items": [
                {"item": each.name, "predicted": rounded(Fraction(each.predicted, 1000), 3),
                 **_told(observed=each.observed)}
                for each in analysis.predicted.items
            ],
        },
    }  # fmt: skip
    if analysis.groups:
        data |= group_data(analysis.groups, analysis.differences)
    if pupils:
        data["by_pupil"] = [
            {"pupil": s.pupil, **_told(marks=s.total), "of": s.most,
             "slips": [slip for answer in s.answers.values() for slip in answer.slips]}
            for s in analysis.results.sittings
        ]  # fmt: skip
    return data


def _told(**figures: Statistic | Decimal) -> dict[str, Any]:
    """Figures by name, and of those that cannot be told the reasons."""
    data: dict[str, Any] = {}
    reasons = {}
    for name, value in figures.items():
        match value:
            case CannotTell(reason):
                data[name] = None
                reasons[name] = reason
            case Decimal():
                data[name] = value
            case Fraction() | Root():
                data[name] = rounded(value, 4)
    return {**data, **({"cannot_tell": reasons} if reasons else {})}


def _figure_data(each: ItemFigures) -> dict[str, Any]:
    return {
        "name": each.name, "printed": each.printed, "template": each.template, "title": each.title,
        "marks": each.maximum, "taken": each.taken,
        "omitted": each.omitted, "not_reached": each.not_reached, "not_given": each.not_given,
        "unmarked": each.unmarked,
        **_told(facility=each.facility, discrimination=each.discrimination, upper_lower=each.upper_lower),
    }  # fmt: skip


def _choice_data(choices: QuestionChoices) -> dict[str, Any]:
    return {
        "name": choices.name, "kind": choices.kind, "answers": choices.answers, "upper": choices.upper,
        "lower": choices.lower,
        "chosen": [
            {"answer": c.offered.name, "printed": c.offered.printed, "text": c.offered.text,
             "right": c.offered.is_right, "slip": c.offered.slip,
             "teacher": c.offered.teacher, "number": c.number, "upper": c.upper, "lower": c.lower,
             **_told(mean_rest=c.rest)}
            for c in choices.chosen
        ],
    }  # fmt: skip
