"""JSON Schemas of the files a build leaves for other programs."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

__all__ = ["items_schema"]


def items_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of `staff/items.json`, kept beside `staff.py`, which writes that file."""
    schema: dict[str, Any] = json.loads(
        files("itembank.build").joinpath("items.schema.json").read_text("utf-8")
    )
    return schema
