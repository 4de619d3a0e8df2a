"""A pass mark for programs."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from itembank.analysis.exact import CannotTell, Statistic, rounded
from itembank.standard_setting.boundaries import Beside
from itembank.standard_setting.by_pupils import Borderline, Contrast
from itembank.standard_setting.pass_mark import Cut, PassMark

__all__ = ["as_data"]


def as_data(found: PassMark) -> dict[str, Any]:
    """Everything, at four decimals; of cuts the fraction, too. No pupil's name is in it."""
    return {
        "title": found.setting.title, "boundary": found.setting.boundary, "maximum": found.setting.maximum,
        "pupils": found.pupils, "left_out": found.left_out, "measurement_error": _figure(found.measured),
        "cuts": [_cut(cut) for cut in found.cuts],
        "rounds": [
            {"round": each.number, "cut": _figure(each.cut), "deviation": _figure(each.deviation),
             "error": _figure(each.error)}
            for each in found.rounds
        ],
        "judges": _judges(found),
        "agreement": _figure(found.agreement),
        "questions": _questions(found),
        "judged": {judgement.value: number for judgement, number in found.judged.items()},
        "borderline": _borderline(found.borderline),
        "contrast": _contrast(found.contrast),
        "compromise": _compromise(found),
        "beside": _beside(found.beside),
    }  # fmt: skip


def _figure(value: Statistic) -> Decimal | None:
    return None if isinstance(value, CannotTell) else rounded(value, 4)


def _cut(cut: Cut) -> dict[str, Any]:
    return {
        "method": cut.method, "cut": rounded(cut.value, 4), "exactly": str(cut.value), "mark": cut.mark,
        "error": _figure(cut.error), "rests_on": cut.rests_on,
        "outcomes": [{"mark": each.mark, "passing": each.passing} for each in cut.outcomes],
        "within_measurement_error": cut.close,
    }  # fmt: skip


def _judges(found: PassMark) -> list[dict[str, Any]]:
    if not found.rounds:
        return []
    agreements = found.agreements or (CannotTell(""),) * len(found.rounds[-1].judges)
    return [
        {"judge": each.judge, "agreement": _figure(agreement),
         "cuts": [_figure(one.judges[at].cut) for one in found.rounds]}
        for at, (each, agreement) in enumerate(zip(found.rounds[-1].judges, agreements, strict=True))
    ]  # fmt: skip


def _questions(found: PassMark) -> list[dict[str, Any]]:
    if not found.rounds:
        return []
    facilities: tuple[Statistic, ...] = found.facilities or (CannotTell(""),) * len(found.setting.questions)
    return [
        {"name": each.question.column, "template": each.question.template, "marks": each.question.maximum,
         "raters": each.raters, "mean": _figure(each.mean), "deviation": _figure(each.deviation),
         "lowest": _figure(each.lowest), "highest": _figure(each.highest), "facility": _figure(facility)}
        for each, facility in zip(found.rounds[-1].items, facilities, strict=True)
    ]  # fmt: skip


def _borderline(told: Borderline | CannotTell | None) -> dict[str, Any] | None:
    if not isinstance(told, Borderline):
        return None
    return {
        "pupils": told.pupils, "median": _figure(told.median), "low": _figure(told.low), "high": _figure(told.high),
        "sure": _figure(told.sure),
    }  # fmt: skip


def _contrast(told: Contrast | CannotTell | None) -> dict[str, Any] | None:
    if not isinstance(told, Contrast):
        return None
    return {
        "below": told.below, "above": told.above, "mark": told.cut, "misplaced": told.fewest,
        "equally_good": list(told.ties), "higher": rounded(told.higher, 4), "together": told.together.value,
        "marks": [{"mark": each.mark, "below_pass": each.below, "above_fail": each.above} for each in told.marks],
    }  # fmt: skip


def _beside(told: Beside | None) -> dict[str, Any] | None:
    if told is None:
        return None
    return {
        "steps": [
            {"method": each.method, "lower": each.lower, "mark": each.mark, "between": each.between}
            for each in told.steps
        ],
        "judges": [
            {"judge": each.judge, "lower": _figure(each.lower), "cut": _figure(each.cut)}
            for each in told.judges
        ],
        "questions": [
            {"name": each.question.column, "lower": _figure(each.lower), "expected": _figure(each.expected)}
            for each in told.questions
        ],
    }


def _compromise(found: PassMark) -> dict[str, Any] | None:
    told = found.compromise
    if told is None:
        return None
    limits: dict[str, Fraction] = {
        "least_mark": told.least_cut, "most_mark": told.most_cut, "least_fail": told.least_fail,
        "most_fail": told.most_fail,
    }  # fmt: skip
    return {
        "judges": told.judges,
        "cut": _figure(told.cut),
        **{key: rounded(v, 4) for key, v in limits.items()},
    }
