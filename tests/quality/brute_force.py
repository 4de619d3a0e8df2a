"""The items a template can make, by trying every assignment with FLINT's arithmetic: no code of the program.

Reads the template's file with a plain YAML loader; conditions, problems and slips are put into numbers by text and
judged by the second oracle.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import product
from pathlib import Path
from typing import Any

import yaml
from flint import fmpq

from tests.property.flint_oracle import (
    NUMBER_CLAIMS,
    POLYNOMIAL_CLAIMS,
    CannotTell,
    Reader,
    condition,
    constant,
    quadratic,
    solutions,
    value,
)

Values = dict[str, fmpq]


def template_of(path: Path) -> dict[str, Any]:
    """The file of a template as plain data."""
    read: dict[str, Any] = yaml.safe_load(path.read_text("utf-8"))
    return read


def in_numbers(text: str, values: Mapping[str, fmpq]) -> str:
    """A text with numbers in brackets put in for its letters."""
    names = re.compile(r"\b(" + "|".join(map(re.escape, values)) + r")\b")
    return names.sub(lambda found: f"({values[found.group()]})", text)


def box(parameters: Mapping[str, Any]) -> list[list[int]]:
    """The values of each parameter, those left out among them."""
    found = []
    for shape in parameters.values():
        if isinstance(shape, list):
            found.append(shape)
        else:
            found.append(list(range(shape["from"], shape["to"] + 1, shape.get("step", 1))))
    return found


def allowed(template: Mapping[str, Any]) -> Iterator[Values]:
    """The assignments, derived values with them, that fulfil constraints and guarantees."""
    parameters = template["parameters"]
    left_out = {
        name: shape.get("leaving_out", []) if isinstance(shape, dict) else []
        for name, shape in parameters.items()
    }
    for chosen in product(*box(parameters)):
        if any(value in left_out[name] for name, value in zip(parameters, chosen, strict=True)):
            continue
        values = {name: fmpq(value) for name, value in zip(parameters, chosen, strict=True)}
        for name, expression in template.get("derived", {}).items():
            values[name] = constant(Reader(expression, values=values).sum())
        if all(condition(text, values) for text in template.get("constraints", [])) and all(
            _guaranteed(text, template, values) for text in template.get("guarantees", [])
        ):
            yield values


def _guaranteed(text: str, template: Mapping[str, Any], values: Values) -> bool:
    name, _, argument = text.removesuffix(")").partition("(")
    if argument == "problem":
        problem = in_numbers(template["problem"], values)
        return POLYNOMIAL_CLAIMS[name](quadratic(problem, template["unknowns"][0]))
    return NUMBER_CLAIMS[name](int(values[argument].p))


def feasible(template: Mapping[str, Any], slip_file: Mapping[str, str]) -> Iterator[Values]:
    """Those among them with enough unequal wrong options. slip_file: slip -> value given there."""
    wanted = template["response"].get("options")
    for values in allowed(template):
        if wanted is None or len(_wrong_options(template, slip_file, values)) >= wanted - 1:
            yield values


def _wrong_options(
    template: Mapping[str, Any], slip_file: Mapping[str, str], values: Values
) -> set[frozenset[Any]]:
    unknowns = tuple(template.get("unknowns", []))
    right = _meaning(in_numbers(template["problem"], values), unknowns)
    found = set()
    for slip in template["slips"]:
        name, text = (slip, None) if isinstance(slip, str) else (slip["slip"], slip.get("value"))
        try:
            wrong = _meaning(in_numbers(text or slip_file[name], values), unknowns)
        except CannotTell:
            continue
        if wrong != right and (wrong or template["key"] == "none"):
            found.add(wrong)
    return found


def _meaning(text: str, unknowns: tuple[str, ...]) -> frozenset[Any]:
    return solutions(text, unknowns) if unknowns else value(text)
