"""The demo bank's templates, ready to be drawn from, and copies of them with lines changed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import yaml

from itembank.build import staff
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.items import Item
from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips

BANK = Path(__file__).resolve().parents[2] / "banks" / "quadratics"
TEMPLATES = {path.stem: path for path in sorted((BANK / "templates").glob("*.yaml"))}


@cache
def _slips() -> Any:
    return load_slips(BANK / "slips.yaml", "slips.yaml")[0]


@cache
def slip_values() -> dict[str, str]:
    """slip -> the value the bank's slip file gives."""
    entries = yaml.safe_load((BANK / "slips.yaml").read_text("utf-8"))["slips"]
    return {entry["slip"]: entry["value"] for entry in entries if "value" in entry}


def bound_of(path: Path) -> Bound:
    """A template file made ready."""
    return Bound(make_recipe(load_template(path, path.name, _slips()).template))


@cache
def bound(name: str) -> Bound:
    """A template of the demo bank made ready."""
    return bound_of(TEMPLATES[name])


def changed(name: str, folder: Path, *changes: tuple[str, str]) -> Bound:
    """A template of the demo bank with lines replaced, made ready."""
    text = TEMPLATES[name].read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = folder / f"{name}.yaml"
    path.write_text(text, "utf-8")
    return bound_of(path)


def items(ready: Bound, seed: int = 1, count: int | None = None) -> Iterator[Item]:
    """The first so many items of a walk, all where no count is given."""
    maker = Instantiator(ready, seed)
    for drawn in islice(walk(ready, seed), count):
        code = item_code(maker.address(drawn.position), OPEN_SECRET)
        yield maker.item(drawn.position, drawn.draft, code)


def by_position(ready: Bound, seed: int = 1) -> dict[int, dict[str, Any]]:
    """position -> the staff's record of the item there."""
    return {item.address.position: json.loads(staff.record(item, ())) for item in items(ready, seed)}
