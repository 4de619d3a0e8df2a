"""The shape of a bank's `calibration.yaml`, which holds what sittings told of the difficulty of items."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, Field

from itembank.difficulty.observed import Observed
from itembank.difficulty.weights import FURTHEST
from itembank.errors import Diagnostic, InputError, Span
from itembank.templates.model import NAME, Name, Shape, Whole
from itembank.templates.reading import Findings, at, validated
from itembank.yaml_source import load

__all__ = ["CalibrationShape", "LoadedCalibration", "load_calibration"]

_Logits = Annotated[Whole, Field(ge=-FURTHEST, le=FURTHEST)]
_Positive = Annotated[Whole, Field(ge=0)]


def _address(text: str) -> str:
    if not re.fullmatch(rf"{NAME}/[1-9][0-9]*/(0|-?[1-9][0-9]*)/(0|[1-9][0-9]*)", text):
        raise ValueError("an address is needed: template/version/seed/position, such as halves/1/1/240")
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
    steps: list[_Logits] = Field(
        [],
        description="how much harder than an item each of its marks is, from the first on, in thousandths of a logit; "
        "nothing where that is not known. `assemble` builds the information of new items on them",
        max_length=100,
    )


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
            {each.template: tuple(each.steps) for each in self.templates if each.steps},
        )


@dataclass(frozen=True, slots=True)
class LoadedCalibration:
    """What a file tells, and what is doubtful in it. named: templates -> where they are first named, with the line."""

    observed: Observed
    doubts: tuple[Diagnostic, ...] = ()
    named: Mapping[str, tuple[Span, str]] = field(default_factory=dict)


def load_calibration(path: Path, shown_as: str) -> LoadedCalibration:
    """What a file tells. Raises InputError with everything that is wrong in it."""
    document = load(path, shown_as)
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    shape = validated(document.root, CalibrationShape, findings)
    if shape is None or findings.wrong:
        raise InputError(findings.diagnostics)
    named: dict[str, tuple[Span, str]] = {}
    for key, names in (
        ("items", [each.item for each in shape.items]),
        ("templates", [each.template for each in shape.templates]),
    ):
        known: set[str] = set()
        for place, name in enumerate(names):
            span = at(document.root, (key, place)).span
            named.setdefault(name.partition("/")[0], (span, document.source.line(span.line)))
            if name in known:
                findings.add("observed-twice", f"{name} stands twice", span, hint="keep one of them")
            known.add(name)
    if findings.wrong:
        raise InputError(findings.diagnostics)
    return LoadedCalibration(shape.observed(), tuple(findings.diagnostics), named)
