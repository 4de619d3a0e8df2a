"""The shape of a bank's `calibration.yaml`, which holds what sittings told of the difficulty of items."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, Field

from itembank.difficulty.observed import Observed
from itembank.difficulty.weights import FURTHEST
from itembank.errors import Diagnostic, InputError
from itembank.templates.model import Name, Shape, Whole
from itembank.templates.reading import Findings, at, validated
from itembank.yaml_source import load

__all__ = ["CalibrationShape", "load_calibration"]

_Logits = Annotated[Whole, Field(ge=-FURTHEST, le=FURTHEST)]
_Positive = Annotated[Whole, Field(ge=0)]


def _address(text: str) -> str:
    _, *numbers = text.split("/")
    if len(numbers) != 3 or not all(number.isascii() and number.isdecimal() for number in numbers):
        raise ValueError("an address is needed: template/version/seed/position")
    return text


class ItemShape(Shape):
    """What was observed of one item."""

    item: Annotated[str, AfterValidator(_address)] = Field(
        description="its address: template/version/seed/position"
    )
    difficulty: _Logits = Field(description="in thousandths of a logit")
    error: _Positive = Field(0, description="the standard error of the difficulty, in thousandths of a logit")
    pupils: _Positive = Field(0, description="how many took it")


class TemplateShape(Shape):
    """What was observed of the items of one template."""

    template: Name = Field(description="its name")
    adds: _Logits = Field(
        description="how much harder than predicted its items were, in thousandths of a logit"
    )
    error: _Positive = Field(0, description="the standard error of that, in thousandths of a logit")
    items: _Positive = Field(0, description="how many of its items were sat")


class CalibrationShape(Shape):
    """Difficulties as they were observed, which `itembank calibrate` writes."""

    calibration: str = Field(description="which sittings they are from, for people")
    pupils: _Positive = Field(0, description="how many pupils sat them")
    items: list[ItemShape] = Field([], description="the items that enough pupils took")
    templates: list[TemplateShape] = Field(
        [], description="what they told of all items of a template; new ones are predicted with it"
    )

    def observed(self) -> Observed:
        """What predictions need of it."""
        return Observed(
            {each.item: each.difficulty for each in self.items},
            {each.template: each.adds for each in self.templates},
            self.calibration,
        )


def load_calibration(path: Path, shown_as: str) -> tuple[Observed, tuple[Diagnostic, ...]]:
    """What a file tells, and what is doubtful in it. Raises InputError with everything that is wrong in it."""
    document = load(path, shown_as)
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    shape = validated(document.root, CalibrationShape, findings)
    if shape is None or findings.wrong:
        raise InputError(findings.diagnostics)
    for key, names in (
        ("items", [each.item for each in shape.items]),
        ("templates", [each.template for each in shape.templates]),
    ):
        known: set[str] = set()
        for place, name in enumerate(names):
            if name in known:
                span = at(document.root, (key, place)).span
                findings.add("observed-twice", f"{name} stands twice", span, hint="keep one of them")
            known.add(name)
    if findings.wrong:
        raise InputError(findings.diagnostics)
    return shape.observed(), tuple(findings.diagnostics)
