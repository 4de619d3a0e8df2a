"""What is told of a calibration, for programs: figures as decimals."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from itembank.analysis.exact import rounded
from itembank.calibration.calibrated import Calibration, of_thousandths

__all__ = ["as_data"]


def as_data(found: Calibration, *, with_pupils: bool = False) -> dict[str, Any]:
    """Everything. null: what cannot be told. with_pupils: also those whose answers are odd, by name."""
    return {
        "pupils": found.pupils,
        "scales": found.scales,
        "rounded": found.rounded,
        "items": [
            {"item": each.item.code, "address": each.item.address, "template": each.item.template,
             "marks": each.item.maximum, "pupils": each.pupils, "kept": each.is_kept,
             "predicted": None if each.item.predicted is None else of_thousandths(each.item.predicted),
             "difficulty": _of(each.difficulty), "error": _of(each.error), "beyond": _of(each.beyond),
             "infit": _of(each.fit.infit if each.fit else None),
             "infit_error": _of(each.fit.error if each.fit else None)}
            for each in found.items
        ],
        "left_out": [
            {"item": each.item.code, "address": each.item.address, "template": each.item.template, "why": each.reason}
            for each in found.left_out
        ],
        "dropped": [
            {"item": each.item.code, "address": each.item.address, "marks": rounded(each.marks, 2),
             "pupils": each.pupils}
            for each in found.dropped
        ],
        "drifts": [
            {"item": each.item.code, "address": each.item.address, "sitting": each.sitting, "pupils": each.pupils,
             "beyond": _of(each.beyond), "error": _of(each.error)}
            for each in found.drifts
        ],
        "odd_pupils": {
            "looked_at": found.odd.looked_at, "expected": _of(found.odd.expected), "odd": len(found.odd.odd),
            "are_many": found.odd.are_many,
            **({"pupils": [
                {"sitting": each.sitting, "pupil": each.name, "marks": rounded(each.marks, 2),
                 "of": rounded(each.most, 2), "chance": _of(each.chance, 6),
                 "less": [item.code for item in each.less], "more": [item.code for item in each.more]}
                for each in found.odd.odd
            ]} if with_pupils else {}),
        },
        "templates": [
            {"template": each.template, "items": each.items, "beyond": _of(each.beyond), "error": _of(each.error),
             "error_of_new": _of(each.error_of_new)}
            for each in found.templates
        ],
        "forms": [
            {"name": form.name, "pupils": form.pupils, **({"cannot_tell": form.reason} if form.reason else {}),
             "marks": [{"marks": w.total, "ability": _of(w.ability), "error": _of(w.error)} for w in form.worths]}
            for form in found.forms
        ],
        "level": [
            {"forms": list(level.names), "marks": [[_of(value, 2) for value in row] for row in level.rows],
             "errors": [[_of(value, 4) for value in row] for row in level.errors]}
            for level in found.level
        ],
    }  # fmt: skip


def _of(value: Decimal | None, places: int = 4) -> Decimal | None:
    return None if value is None else rounded(Fraction(value), places)
