"""The items a build leaves for programs are what their JSON Schema (2020-12) says, and nothing else passes it."""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from shutil import copytree
from typing import Any

import jsonschema
import pytest

from itembank.build import BuildRequest, build
from itembank.build.schemas import items_schema

BANKS = Path(__file__).parents[2] / "banks"


def _built(bank: str, folder: Path, count: int) -> dict[str, Any]:
    copytree(BANKS / bank, folder / bank)
    build(BuildRequest(folder / bank, folder / "out", count=count, formats=("json",)))
    items: dict[str, Any] = json.loads((folder / "out" / "staff" / "items.json").read_text("utf-8"))
    return items


@pytest.fixture
def validator() -> jsonschema.Draft202012Validator:
    schema = items_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize(("bank", "count"), [("kinds", 60), ("algebra", 170), ("quadratics", 48)])
def test_items_of_every_kind_are_as_the_schema_says(
    bank: str, count: int, tmp_path: Path, validator: jsonschema.Draft202012Validator
) -> None:
    built = _built(bank, tmp_path, count)

    assert count == len(built["items"])
    validator.validate(built)


def test_a_key_more_or_less_in_any_object_is_not(
    tmp_path: Path, validator: jsonschema.Draft202012Validator
) -> None:
    built = _built("kinds", tmp_path, 30)
    items = built["items"] + _built("quadratics", tmp_path, 12)["items"]
    one_of_each = {part["response"]: item for item in items for part in item["parts"]}
    assert {"choice", "choices", "entry", "match", "order", "written", "wrong-line"} == set(one_of_each)
    optional = {
        "before", "domain", "ends", "figure", "follow_through", "for_every", "join", "letter", "pair", "places",
        "points", "rounded", "share", "tolerance", "topic_titles", "unit", "words",
    }  # fmt: skip
    for item in one_of_each.values():
        whole = {**built, "items": [item]}
        validator.validate(whole)
        for path in _objects(whole):
            if path[-1:] in {("values",), ("topic_titles",)}:  # names of the item's and the bank's own
                continue
            more = deepcopy(whole)
            _at(more, path)["unheard-of"] = 1
            assert not validator.is_valid(more), path
            for key in _at(whole, path).keys() - optional:
                less = deepcopy(whole)
                del _at(less, path)[key]
                assert not validator.is_valid(less), (path, key)


def _objects(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Where objects stand; of a list the first entry is enough."""
    if isinstance(value, dict):
        return [path, *(found for key, held in value.items() for found in _objects(held, (*path, key)))]
    return _objects(value[0], (*path, 0)) if isinstance(value, list) and value else []


def _at(value: Any, path: tuple[str | int, ...]) -> Any:
    for step in path:
        value = value[step]
    return value
