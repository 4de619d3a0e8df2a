"""What a bank keeps of a calibration: the text of its `calibration.yaml`."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from itembank.calibration.calibrated import Calibration, thousandths

__all__ = ["calibration_yaml"]

_HEAD = """\
# What sittings told of the difficulty of this bank's items, in thousandths of a logit; errors are standard errors.
# `itembank calibrate` writes it whole: to calibrate anew, name all sittings again. For staff: addresses lead to keys.
"""


def calibration_yaml(found: Calibration, sittings: Sequence[str]) -> str:
    """The file of a calibration. sittings: names of what was sat, for people."""
    lines = [
        f"calibration: {_quoted(', '.join(dict.fromkeys(sittings)))}",
        f"pupils: {found.pupils}",
    ]
    lines += _list(
        "items",
        [
            f"{{item: {each.item.address}, difficulty: {thousandths(each.difficulty)}, "
            f"error: {thousandths(each.error)}, pupils: {each.pupils}}}"
            for each in sorted(found.kept, key=lambda each: each.item.address)
        ],
    )
    lines += _list(
        "templates",
        [
            f"{{template: {each.template}, adds: {thousandths(each.beyond)}, error: {thousandths(each.error)}, "
            f"items: {each.items}{_steps(each.steps)}}}"
            for each in sorted(found.templates, key=lambda each: each.template)
        ],
    )
    return _HEAD + "\n".join(lines) + "\n"


def _steps(steps: Sequence[Decimal]) -> str:
    return f", steps: [{', '.join(str(thousandths(each)) for each in steps)}]" if steps else ""


def _list(key: str, rows: Sequence[str]) -> list[str]:
    return [f"{key}:", *(f"  - {row}" for row in rows)] if rows else [f"{key}: []"]


def _quoted(text: str) -> str:
    """A text as YAML has it between quotation marks."""
    even = " ".join(text.split())
    return "'" + even.replace("'", "''") + "'"
