"""JSON Schemas of the files authors write, for editors: made from the shapes that the files are read by."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from itembank.templates.bank_model import BankShape
from itembank.templates.blueprint_model import BlueprintShape
from itembank.templates.calibration_model import CalibrationShape
from itembank.templates.model import NAME, PartsTemplateShape, Shape, SlipFileShape, TemplateShape
from itembank.templates.record_model import SittingShape

__all__ = ["SCHEMAS"]


def _template() -> dict[str, Any]:
    return _schema(
        "template", "An item template; every scalar is read as text.", TemplateShape, PartsTemplateShape
    )


def _bank() -> dict[str, Any]:
    return _schema(
        "bank file", "bank.yaml: what holds for a whole bank; every scalar is read as text.", BankShape
    )


def _slips() -> dict[str, Any]:
    return _schema(
        "slip file",
        "slips.yaml: the slips of a bank, used by name; every scalar is read as text.",
        SlipFileShape,
    )


def _blueprint() -> dict[str, Any]:
    return _schema(
        "blueprint",
        "A blueprint: what test forms have to hold; every scalar is read as text.",
        BlueprintShape,
    )


def _calibration() -> dict[str, Any]:
    return _schema(
        "calibration",
        "calibration.yaml: what sittings told of the difficulty of a bank's items; every scalar is read as text.",
        CalibrationShape,
    )


def _sitting() -> dict[str, Any]:
    return _schema(
        "sitting",
        "A sitting in a bank's record: who sat which forms, and when; every scalar is read as text.",
        SittingShape,
    )


SCHEMAS: Mapping[str, Callable[[], dict[str, Any]]] = {
    "template": _template, "bank": _bank, "slips": _slips, "blueprint": _blueprint,
    "calibration": _calibration, "sitting": _sitting,
}  # fmt: skip
"""What a file is -> its JSON Schema."""


def _schema(title: str, description: str, *shapes: type[Shape]) -> dict[str, Any]:
    """One schema of a file of one shape; or of two, the second of which has `parts`."""
    written = [shape.model_json_schema(by_alias=True) for shape in shapes]
    definitions = {name: value for each in written for name, value in each.pop("$defs", {}).items()}
    for name, needs in _NEEDS.items():
        if name in definitions:
            definitions[name]["allOf"] = [_needed(*each) for each in needs]
    for name, beside in _OF_EXTENSIONS.items():
        if name in definitions:
            definitions[name] = _or_of_an_extension(definitions[name], beside)
    about = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"itembank {title}",
        "description": description,
    }
    bodies = [_loosened(each) for each in written]
    whole = _where("parts", bodies[1], bodies[0]) if len(bodies) > 1 else bodies[0]
    return {**whole, **about, "$defs": {name: _loosened(value) for name, value in definitions.items()}}


_NEEDS: Mapping[str, tuple[tuple[str, str, str, str], ...]] = {
    "ResponseShape": (
        ("kind", "entry", "blanks", ""),
        ("kind", "match", "rows", ""),
        ("kind", "choice", "options", "words"),
        ("kind", "choices", "right", "words"),
        ("kind", "choices", "options", "words"),
    ),
    "BlankShape": (("form", "decimal", "places", ""), ("form", "one-of", "words", "")),
    "ParameterShape": (("from", "", "to", ""), ("to", "", "from", "")),
}
"""Shape -> (key, its word, what has to stand beside it then, what may stand in its place); "" for any word, and for
nothing. The loader says the same, and more."""


def _needed(key: str, word: str, beside: str, instead: str) -> dict[str, Any]:
    stands: dict[str, Any] = {"required": [key]}
    if word:
        stands["properties"] = {key: {"const": word}}
    if instead:
        stands["not"] = {"required": [instead]}
    return {"if": stands, "then": {"required": [beside]}}


_OF_EXTENSIONS: Mapping[str, tuple[str, ...]] = {"ResponseShape": ("marks",), "FigureShape": ()}
"""The shapes whose kind an extension may bring -> what may stand beside its `with`."""


def _or_of_an_extension(shape: dict[str, Any], beside: Sequence[str]) -> dict[str, Any]:
    """A shape, or one of a kind that an extension of the bank brings: the keys below `with` are its own."""
    known = shape["properties"]
    name = {"type": "string", "pattern": f"^{NAME}$", "description": "the name of an extension of the bank"}
    own_keys = {"type": "object", "description": "the extension's own keys"}
    of_extension = {
        "type": "object",
        "additionalProperties": False,
        "properties": {"kind": name, "with": own_keys, **{key: known[key] for key in beside}},
        "required": ["kind", "with"],
    }
    return {"description": shape["description"], **_where("with", of_extension, shape)}


def _where(key: str, then: dict[str, Any], otherwise: dict[str, Any]) -> dict[str, Any]:
    """One of two shapes by a key that one alone has: so what is wrong is told of that shape, not of both."""
    return {"if": {"required": [key]}, "then": then, "else": otherwise}


def _loosened(schema: Any) -> Any:
    """Editors type YAML scalars before they validate: a number or a truth value is as good as text."""
    if isinstance(schema, dict):
        changed = {key: _loosened(value) for key, value in schema.items()}
        if isinstance(changed.get("properties"), dict):
            changed["properties"] = {key: _if_written(each) for key, each in changed["properties"].items()}
        if changed.get("type") == "string":
            changed["type"] = ["string", "number", "boolean"]
        if changed.get("type") == "integer":
            changed["type"] = ["integer", "string"]
        if changed.get("const") in {"yes", "no"}:
            changed["enum"] = [changed.pop("const")]
        if "enum" in changed:
            changed["enum"] += [word == "yes" for word in changed["enum"] if word in {"yes", "no"}]
        return changed
    if isinstance(schema, list):
        return [_loosened(value) for value in schema]
    return schema


def _if_written(value: Any) -> Any:
    """A key that may be left out, as it is where it stands: so a fault in it is told at its place."""
    if not isinstance(value, dict) or {"type": "null"} not in value.get("anyOf", ()):
        return value
    *others, last = (each for each in value["anyOf"] if each != {"type": "null"})
    about = {key: each for key, each in value.items() if key not in ("anyOf", "default")}
    return {**about, "anyOf": [*others, last]} if others else {**last, **about}
