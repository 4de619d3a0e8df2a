"""The algebra library ready to be looked at: its bank as the program reads it, and items of given values."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path

from itembank.bank.bank import Entry
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Instantiator, draft
from itembank.items import Item
from tests import sample_banks

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "banks" / "algebra"
NAMES = tuple(sorted(path.stem for path in (FOLDER / "templates").rglob("*.yaml")))


@cache
def entries() -> dict[str, Entry]:
    """Every template of the library by name."""
    return {entry.recipe.template.name: entry for entry in sample_banks.read("algebra").entries}


def item_at(name: str, values: dict[str, str]) -> Item:
    """The item of a template with these values of its parameters; fails where they make none."""
    bound = Bound(entries()[name].recipe)
    arguments: list[int] = []
    for parameter in bound.parameters:
        value = Fraction(values[parameter.name])
        assert value in {Fraction(v) for v in parameter.values}, f"{name}: {parameter.name} = {value}"
        arguments.append(int(value))
    assert bound.feasible(*arguments), f"{name} makes no item of {values}"
    made = draft(bound, tuple(arguments))
    assert made is not None, f"{name}: too few slips at {values}"
    return Instantiator(bound, 1).item(0, made, "WORKED")
