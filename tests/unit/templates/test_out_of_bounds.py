"""What is out of bounds in any file is told in words of the house, with what would be right."""

from __future__ import annotations

import json
import typing
from typing import Any

import pytest
from pydantic import BaseModel

from itembank.errors import Diagnostic
from itembank.templates.bank_model import BankShape
from itembank.templates.blueprint_model import BlueprintShape
from itembank.templates.calibration_model import CalibrationShape
from itembank.templates.model import PartsTemplateShape, SlipFileShape, TemplateShape
from itembank.templates.reading import Findings, validated
from itembank.yaml_source import parse

SHAPES: tuple[type[BaseModel], ...] = (
    BankShape, BlueprintShape, CalibrationShape, PartsTemplateShape, SlipFileShape, TemplateShape,
)  # fmt: skip


def told(text: str, shape: type[BaseModel]) -> list[Diagnostic]:
    document = parse(text.encode(), "x.yaml")
    findings = Findings(document.source)
    validated(document.root, shape, findings)
    return findings.diagnostics


BANK = "bank: evening\ntitle: Evening\n"


@pytest.mark.parametrize(
    ("text", "shape", "message", "hint"),
    [
        (BANK + "settings: {package: {entries: 2}}", BankShape, "`entries` is at least 3, not 2", "write 3 or more"),
        (
            BANK + "settings: {package: {megabytes: 9000}}", BankShape,
            "`megabytes` is at most 4000, not 9000", "write 4000 or less",
        ),
        (
            BANK + "difficulty: {weights: {steps: -99999}}", BankShape,
            "`steps` is at least -20000, not -99999", "write -20000 or more",
        ),
        (BANK + "difficulty: {words: [1]}", BankShape, "`words` holds at least 4, here is 1", ""),
        (BANK + "difficulty: {words: [1, 2, 3, 4, 5]}", BankShape, "`words` holds at most 4, here are 5", ""),
        (BANK + f"quiz: {{attempts: {'9' * 5000}}}", BankShape, "`attempts`: a whole number from 0 on is needed", ""),
        (
            BANK + "statements: {A: {case: here}}", BankShape,
            "`case` cannot be `here`", "write its whole address, from https:// on",
        ),
        ("calibration: x\npupils: -3", CalibrationShape, "`pupils` is at least 0, not -3", "write 0 or more"),
        (
            "blueprint: a\ntitle: A\nitems: 8\nforms: 999", BlueprintShape,
            "`forms` is at most 26, not 999", "write 26 or less",
        ),
    ],
)  # fmt: skip
def test_a_bound_is_told_with_what_would_be_right(
    text: str, shape: type[BaseModel], message: str, hint: str
) -> None:
    assert [(message, hint)] == [(each.message, each.hint) for each in told(text, shape)]


ODD = (
    "",
    "-3",
    "99999999999",
    "9" * 400,
    "1.5",
    "A B",
    [],
    ["x"],
    [["x"]],
    [{}],
    {},
    {"x": "y"},
    {"x": {}},
    ["7"] * 300,
)
FOREIGN = ("Input should", "should have", "should match", "validation", "Value error")


def models(annotation: Any) -> typing.Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in typing.get_args(annotation):
        yield from models(inner)


def test_no_message_has_the_wording_of_the_library() -> None:
    """Odd values at every key of every shape."""
    waiting, seen = list(SHAPES), set()
    while waiting:
        shape = waiting.pop()
        if shape in seen:
            continue
        seen.add(shape)
        for name, field in shape.model_fields.items():
            waiting += models(field.annotation)
            for value in ODD:
                for each in told(json.dumps({field.alias or name: value}), shape):
                    assert not any(words in each.message for words in FOREIGN), (
                        shape,
                        name,
                        value,
                        each.message,
                    )
    assert len(seen) > 20
