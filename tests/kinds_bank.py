"""The bank of every kind of item, ready to be drawn from: items by template, and their documents."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.items import Item
from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips

BANK = Path(__file__).resolve().parents[1] / "banks" / "kinds"
TEMPLATES = {path.stem: path for path in sorted((BANK / "templates").glob("*.yaml"))}
assert len(TEMPLATES) >= 4


@cache
def _slips() -> Any:
    return load_slips(BANK / "slips.yaml", "slips.yaml")[0]


def bound_of(path: Path) -> Bound:
    """A template file made ready."""
    return Bound(make_recipe(load_template(path, path.name, _slips()).template))


@cache
def items(name: str, count: int = 12, seed: int = 1) -> tuple[Item, ...]:
    """The first items of a template's walk."""
    return tuple(islice(walk_items(bound_of(TEMPLATES[name]), seed), count))


def walk_items(ready: Bound, seed: int = 1) -> Iterator[Item]:
    """The items of a walk."""
    maker = Instantiator(ready, seed)
    for drawn in walk(ready, seed):
        code = item_code(maker.address(drawn.position), OPEN_SECRET)
        yield maker.item(drawn.position, drawn.draft, code)


def changed(name: str, folder: Path, *changes: tuple[str, str]) -> Path:
    """A template of the bank with pieces replaced, as a file in a folder."""
    text = TEMPLATES[name].read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = folder / f"{name}.yaml"
    path.write_text(text, "utf-8")
    return path
