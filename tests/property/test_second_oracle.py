"""Every item of the demo bank, and draws from wider ranges, solved again by FLINT from the staff's records.

The oracle (`flint_oracle.py`) reads the plain texts of a finished item with a reader of its own and shares no code
with the program; here the items are drawn and compared. The records of all items of the demo bank together are
more than 5,000; further seeds give other orders of options and other addresses.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from copy import deepcopy
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
import yaml

from itembank.build import staff
from itembank.generator.bound import Bound
from itembank.generator.counting import Counter
from itembank.generator.instantiate import Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.proof.prover import faults, prove
from tests.property import flint_oracle
from tests.quality.demo_bank import TEMPLATES, bound, bound_of

SEEDS = (2, 7, 2026)
DRAWS, WIDE_DRAWS, MANY_DRAWS = 25, 250, 400


def widened(text: str, factor: int) -> str:
    """A template's text with the ends of its ranges moved outwards by an odd factor, lists and steps as they are."""

    def moved(found: re.Match[str]) -> str:
        end = int(found[2])
        return f"{found[1]}{end * factor if found[1] == 'to: ' or end < 0 else end}"

    head, parameters, tail = re.split(r"(?ms)(^parameters:\n.*?)(?=^[a-z])", text, maxsplit=1)
    return head + re.sub(r"(from: |to: )(-?\d+)", moved, parameters) + tail


def records(ready: Bound, seed: int, count: int | None = None) -> Iterator[dict[str, Any]]:
    """The staff's records of the first so many items of a walk, each proved by the program itself."""
    maker = Instantiator(ready, seed)
    for drawn in islice(walk(ready, seed), count):
        item = maker.item(drawn.position, drawn.draft, item_code(maker.address(drawn.position), OPEN_SECRET))
        assert faults(prove(item)) == ()
        yield json.loads(staff.record(item, ()))


@cache
def promised(name: str) -> tuple[list[str], list[str]]:
    """The guarantees and constraints a template's file states."""
    stated = yaml.safe_load(TEMPLATES[name].read_text("utf-8"))
    return stated.get("guarantees", []), stated.get("constraints", [])


def disagreements(name: str, ready: Bound, seed: int, count: int | None = None) -> tuple[int, list[str]]:
    """How many items were compared, and whatever the two roads did not agree on."""
    compared, found = 0, []
    for record in records(ready, seed, count):
        compared += 1
        told = flint_oracle.complaints(record, *promised(name))
        found += [f"{record['address']}: {complaint}" for complaint in told]
    return compared, found


# ---- agreement --------------------------------------------------------------------------------------------


def feasible(name: str) -> int:
    """How many items a template of the demo bank makes, by counting its box."""
    return Counter(bound(name)).count().feasible


def test_the_templates_of_the_demo_bank_make_more_than_five_thousand_items() -> None:
    assert len(TEMPLATES) >= 12
    assert sum(feasible(name) for name in TEMPLATES) > 5_000


@pytest.mark.parametrize("name", TEMPLATES)
def test_flint_agrees_with_every_item_of_a_template(name: str) -> None:
    assert (feasible(name), []) == disagreements(name, bound(name), 1)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_flint_agrees_with_the_first_items_of_other_seeds(name: str, seed: int) -> None:
    assert (DRAWS, []) == disagreements(name, bound(name), seed, DRAWS)


@pytest.mark.parametrize("name", TEMPLATES)
def test_flint_agrees_with_items_drawn_from_ranges_three_times_as_wide(name: str, tmp_path: Path) -> None:
    compared, found = from_wide_ranges(name, 3, WIDE_DRAWS, tmp_path)

    assert found == []
    assert compared >= min(WIDE_DRAWS, 2 * feasible(name))


@pytest.mark.slow
@pytest.mark.parametrize("name", TEMPLATES)
def test_flint_agrees_with_many_items_drawn_from_ranges_nine_times_as_wide(name: str, tmp_path: Path) -> None:
    compared, found = from_wide_ranges(name, 9, MANY_DRAWS, tmp_path)

    assert found == []
    assert compared >= min(MANY_DRAWS, feasible(name))


def from_wide_ranges(name: str, factor: int, count: int, folder: Path) -> tuple[int, list[str]]:
    path = folder / TEMPLATES[name].name
    path.write_text(widened(TEMPLATES[name].read_text("utf-8"), factor), "utf-8")
    ready = bound_of(path)

    assert ready.size > bound(name).size
    return disagreements(name, ready, factor, count)


# ---- the oracle itself ------------------------------------------------------------------------------------


def test_the_oracle_shares_no_code_with_the_program() -> None:
    source = Path(flint_oracle.__file__).read_text("utf-8")
    imported = re.findall(r"(?m)^\s*(?:from|import) ([a-z_]+)", source)

    assert set(imported) <= {"__future__", "re", "collections", "functools", "typing", "flint"}


Change = Callable[[dict[str, Any]], None]


def first_part(change: Callable[[dict[str, Any]], None]) -> Change:
    return lambda record: change(record["parts"][0])


def _key(text: str) -> Change:
    return first_part(lambda part: part["key"].update(plain=text))


def _line(index: int, text: str) -> Change:
    return first_part(lambda part: part["solution"][index].update(maths=text))


def _box(values: list[list[int]]) -> Change:
    return first_part(lambda part: part["blanks"][0].update(values=values))


def _swapped(part: dict[str, Any]) -> None:
    """The second option is told right in place of the first that is."""
    for option in part["options"]:
        option["right"] = not option["right"] if option["option"] in "AB" else option["right"]


def _copied(part: dict[str, Any]) -> None:
    """Two wrong options say the same in different words."""
    first, second = [option for option in part["options"] if not option["right"]][:2]
    second["plain"] = "x = -8 ± sqrt(200)" if "sqrt" in first["plain"] else first["plain"]
    first["plain"] = "x = -8 ± 10*sqrt(2)"


PROBLEMS = {
    "monic-even-surd": "x^2 + 16*x + 56 = 0",
    "monic-odd-surd": "x^2 + 9*x - 1 = 0",
    "monic-rational-roots": "x^2 + 6*x - 16 = 0",
    "equal-roots-shifted": "discriminant(3*x^2 - x + k) = 0",
    "kind-of-roots": "D = discriminant(4*x^2 - 9*x + 2)",
    "simplify-surd": "sqrt(833)",
    "vertex-form": "x^2 - 10*x + 22 = (x + p)^2 + q",
}


@cache
def sound(name: str) -> dict[str, Any]:
    """The record of the item with a known problem."""
    every = records(bound(name), 1)
    return next(record for record in every if record["parts"][0]["problem"]["plain"] == PROBLEMS[name])


PLANTED: dict[str, tuple[str, Change]] = {
    "a key with the sign turned": ("monic-even-surd", _key("x = 8 ± 2*sqrt(2)")),
    "a key that loses a root": ("monic-even-surd", _key("x = -8 + 2*sqrt(2)")),
    "a key that is not simplified": ("monic-even-surd", _key("x = -8 ± sqrt(8)")),
    "a key without solutions": ("monic-rational-roots", _key("none")),
    "a key with a root too many": ("monic-rational-roots", _key("x = -8 or x = 2 or x = 3")),
    "a key that is close": ("simplify-surd", _key("7*sqrt(17) + 1/1000000000")),
    "a point with one wrong coordinate": ("vertex-form", _key("p = -5 and q = -4")),
    "another option told right": ("monic-even-surd", first_part(_swapped)),
    "two equal options": ("monic-even-surd", first_part(_copied)),
    "wrong words told right": ("kind-of-roots", first_part(_swapped)),
    "a line that loses a root": ("monic-even-surd", _line(3, "x + 8 = sqrt(8)")),
    "a line with another number": ("monic-even-surd", _line(1, "x^2 + 16*x + 64 = -56 + 63")),
    "a line that is not true": ("vertex-form", _line(1, "x^2 - 10*x + 22 = (x - 5)^2 - 24 + 22")),
    "a line about another coordinate": ("vertex-form", _line(0, "p = 5")),
    "a wrong step of a simplification": ("simplify-surd", _line(0, "sqrt(833) = sqrt(7^2*18)")),
    "a box with another number": ("monic-rational-roots", _box([[-8], [3]])),
    "a box left out": ("monic-rational-roots", _box([[-8]])),
    "a fraction not in lowest terms": ("equal-roots-shifted", _box([[2, 24]])),
    "a surd not in simplest form": ("monic-odd-surd", _box([[-18, 2, 85, 4]])),
    "a tick beside solutions": (
        "monic-rational-roots",
        first_part(lambda part: part.update(no_real_solution=True)),
    ),
    "a stem with another equation": (
        "monic-even-surd",
        first_part(lambda part: part.update(stem="Solve x^2 + 16*x + 57 = 0.")),
    ),
    "a slip that is right": (
        "monic-even-surd",
        first_part(lambda part: part["slips"][0].update(answer="x = -8 ± 2*sqrt(2)")),
    ),
    "a guarantee that is not kept": (
        "monic-rational-roots",
        first_part(lambda part: part["problem"].update(plain="x^2 + 6*x - 17 = 0")),
    ),
    "a constraint that is not kept": ("monic-even-surd", lambda record: record["values"].update(c="0")),
}


@pytest.mark.parametrize("fault", PLANTED)
def test_the_oracle_sees_a_planted_fault(fault: str) -> None:
    name, change = PLANTED[fault]
    record = sound(name)
    planted = deepcopy(record)
    change(planted)

    assert [] == list(flint_oracle.complaints(record, *promised(name)))
    assert planted != record
    assert [] != list(flint_oracle.complaints(planted, *promised(name)))


@pytest.mark.parametrize(
    ("text", "unknowns", "expected"),
    [
        ("x^2 + 1 = 0", ("x",), 0),
        ("x^2 - 2 = 0", ("x",), 2),
        ("(x - 1)^2 = 0", ("x",), 1),
        ("2*x = 3", ("x",), 1),
        ("x = 1 ± 0", ("x",), 1),
        ("x*(x - 1)*(x^2 - 3) = 0", ("x",), 4),
        ("x = 1 and x = 2", ("x",), 0),
        ("x = 1 or x = 2", ("x",), 2),
        ("a = 1 and b = a + 1", ("a", "b"), 1),
        ("a = 1 and b = 2 and a + b = 4", ("a", "b"), 0),
        ("x^2 + k = (x + 1)^2", ("k",), 0),
        ("none", ("x",), 0),
    ],
)
def test_the_oracle_counts_real_solutions(text: str, unknowns: tuple[str, ...], expected: int) -> None:
    assert expected == len(flint_oracle.solutions(text, unknowns))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("-3^2", "-9"),
        ("2^3^2", "512"),
        ("2*-3", "-6"),
        ("12/4/3", "1"),
        ("1.25 - 1/4", "1"),
        ("sqrt(1/4)*sqrt(50)/sqrt(9)", "5*sqrt(2)/6"),
        ("(1 + sqrt(2))*(1 - sqrt(2))", "-1"),
        ("sqrt(6)*sqrt(10)", "2*sqrt(15)"),
        ("abs(-3) + gcd(12, 18)", "9"),
    ],
)
def test_the_oracle_reads_an_expression_as_it_is_meant(text: str, expected: str) -> None:
    assert flint_oracle.value(expected) == flint_oracle.value(text)
