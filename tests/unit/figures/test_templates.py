"""Pictures of templates: what each kind becomes for an assignment, and every picture of the demo bank is clean."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import islice, pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.bank.bank import Entry, read_bank
from itembank.bank.corners import corners
from itembank.bank.review import review
from itembank.errors import DomainError, InputError
from itembank.expressions.numbers import Exact, compare, make
from itembank.expressions.parser import parse
from itembank.expressions.spelling import plain
from itembank.figures import AreaModel, Figure, NumberLine, Parabola, Piece, SignTable, drawing
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Draft, Instantiator, draft
from itembank.generator.solution_pieces import pieces
from itembank.generator.space import walk
from itembank.items import Item
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse as parse_yaml
from tests.drawings import faults

BANKS = Path(__file__).resolve().parents[3] / "banks"
BANK = BANKS / "quadratics"

EVERY_KIND = """\
template: every-kind
version: 1
title: A quadratic with pictures
unknowns: [x]
parameters:
  p: {from: -6, to: 5}
  d: {from: 1, to: 4}
derived: {q: p + d, b: -(p + q), c: p*q}
constraints: [b != 0, c != 0]
problem: x^2 + b*x + c = 0
stem: Solve $problem$.
figure: {kind: parabola, of: x^2 + b*x + c}
response: {kind: entry, marks: 2, blanks: {x: {form: integer, values: any-order}}}
key: x = p or x = q
solution:
  - math: x^2 + b*x = -c
    figure: {kind: area-model, of: x^2 + b*x, stage: 2}
  - math: (x - p)*(x - q) = 0
    figure: {kind: sign-table, of: (x - p)*(x - q)}
    marks: M1
  - math: x = p or x = q
    figure: {kind: number-line, of: x = p or x = q}
    marks: A1
"""


def entry_of(text: str) -> Entry:
    return Entry(
        make_recipe(read_template(parse_yaml(text.encode(), "kinds.yaml"), NO_SLIPS).template), "", "k.yaml"
    )


def item_of(text: str, *arguments: int) -> Item:
    bound = Bound(entry_of(text).recipe)
    made = draft(bound, arguments)
    assert made is not None
    return Instantiator(bound, 1).item(0, made, "K7Q2M")


def figures_of(item: Item) -> list[Figure]:
    found = (f for part in item.parts for f in (part.figure, *(line.figure for line in part.solution)))
    return [figure for figure in found if figure is not None]


def test_each_kind_becomes_exact_numbers() -> None:
    curve, model, table, line = figures_of(item_of(EVERY_KIND, -2, 3))

    assert Parabola("x", Fraction(1), Fraction(1), Fraction(-2)) == curve
    assert AreaModel("x", Fraction(1), 2) == model
    assert isinstance(table, SignTable)
    assert (-2, 1) == table.zeros
    assert [
        ("x + 2", (-1, 0, 1, 1, 1)),
        ("x - 1", (-1, -1, -1, 0, 1)),
        ("(x + 2)*(x - 1)", (1, 0, -1, 0, 1)),
    ] == [(plain(row.text), row.signs) for row in table.rows]
    assert NumberLine("x", (Piece(-2, True, -2, True), Piece(1, True, 1, True))) == line


def test_a_template_with_every_kind_is_well() -> None:
    assert [] == review(entry_of(EVERY_KIND)).diagnostics


@pytest.mark.parametrize(
    "figure",
    [
        "figure: {kind: parabola, of: x^2 + b*x + c, shows: [roots]}",
        "figure: {kind: number-line, of: problem}",
        "figure: {kind: sign-table, of: (x - p)*(x - q)}",
    ],
)
def test_a_stem_whose_picture_shows_the_roots_is_wrong(figure: str) -> None:
    text = EVERY_KIND.replace("figure: {kind: parabola, of: x^2 + b*x + c}", figure)

    assert ["figure-shows-answer"] == [each.code for each in review(entry_of(text)).diagnostics]


def test_parts_draw_with_the_answers_of_earlier_parts() -> None:
    text = """\
template: parts
version: 1
title: Two parts
for_every: [x]
parameters: {h: {from: 1, to: 9}, k: {from: 1, to: 9}}
derived: {b: -2*h, c: h^2 + k}
parts:
  - unknowns: [p, q]
    problem: x^2 + b*x + c = (x + p)^2 + q
    stem: Find $p$ and $q$ with $problem$.
    response: {kind: entry, blanks: {p: {form: integer, marks: A1}, q: {form: integer, marks: A1}}}
    key: p = -h and q = k
  - unknowns: [u, v]
    problem: x^2 + b*x + c - v = (x - u)^2
    stem: Write down the lowest point of $x^2 + b*x + c$.
    figure: {kind: parabola, of: (x + p)^2 + q, shows: grid}
    response: {kind: entry, blanks: {u: {form: integer, marks: B1}, v: {form: integer, marks: B1}}}
    key: u = -p and v = q
"""

    (curve,) = figures_of(item_of(text, 3, 5))

    assert Parabola("x", Fraction(1), Fraction(-6), Fraction(14), ("grid",)) == curve


# solution sets

ROOTS = st.lists(st.integers(-8, 8), min_size=2, max_size=2)
RELATIONS = st.builds(
    lambda roots, sign, scale: f"{scale}*(x - ({roots[0]}))*(x - ({roots[1]})) {sign} 0",
    ROOTS, st.sampled_from(["<", "<=", ">", ">=", "=", "!="]), st.sampled_from(["1", "-2"]),
)  # fmt: skip


@given(RELATIONS, st.sampled_from([" or ", " and "]), RELATIONS)
def test_pieces_hold_what_fulfils_the_statement(first: str, word: str, second: str) -> None:
    """Against Python's own arithmetic at every quarter: an evaluation of our own text, brackets and all."""
    found = pieces(parse(f"{first}{word}{second}"), "x", {})

    for quarter in range(-40, 41):
        x = Fraction(quarter, 4)
        sides = [_holds(statement, x) for statement in (first, second)]
        assert (any(sides) if word == " or " else all(sides)) == any(_is_in(x, piece) for piece in found)
    for before, after in pairwise(found):
        assert before.high is not None
        assert after.low is not None
        assert compare(before.high, after.low) <= 0


def _holds(statement: str, x: Fraction) -> bool:
    scale, first, second = statement.split("*")
    second, sign, _ = second.rsplit(" ", 2)
    value = int(scale)
    for factor in (first, second):
        value *= x - int(factor.removeprefix("(x - (").removesuffix("))"))  # type: ignore[assignment]
    return {
        "<": value < 0,
        "<=": value <= 0,
        ">": value > 0,
        ">=": value >= 0,
        "=": value == 0,
        "!=": value != 0,
    }[sign]


def _is_in(x: Exact, piece: Piece) -> bool:
    low = piece.low is None or compare(piece.low, x) < 0 or (piece.low_closed and piece.low == x)
    high = piece.high is None or compare(x, piece.high) < 0 or (piece.high_closed and piece.high == x)
    return low and high


def test_surds_are_kept_as_ends() -> None:
    root = make({1: Fraction(4), 3: Fraction(1)})
    (piece,) = pieces(parse("x^2 - 8*x + 13 < 0"), "x", {})

    assert (False, root, False) == (piece.low_closed, piece.high, piece.high_closed)
    assert 2 == len(pieces(parse("x = 4 ± sqrt(3)"), "x", {}))
    assert () == pieces(parse("x^2 + 1 < 0"), "x", {})
    assert (Piece(None, False, None, False),) == pieces(parse("x^2 + 1 > 0"), "x", {})


def test_what_cannot_be_drawn_says_why() -> None:
    with pytest.raises(DomainError, match="degree in x is above 2"):
        pieces(parse("x^3 > 0"), "x", {})
    with pytest.raises(DomainError, match="at most 8 numbers"):
        pieces(parse(" or ".join(f"x = {n}" for n in range(9))), "x", {})


# the demo bank


def _drafts(bound: Bound) -> list[Draft]:
    found = [made for _, made in corners(bound)]
    return [*found, *(drawn.draft for drawn in islice(walk(bound, 7), 60))]


PICTURED = [
    (path.relative_to(BANKS).parts[0], path.stem)
    for path in sorted(BANKS.rglob("templates/**/*.yaml"))
    if "figure:" in path.read_text("utf-8")
]


@cache
def _bank(name: str) -> dict[str, Entry]:
    return {entry.recipe.template.name: entry for entry in read_bank(BANKS / name, name).entries}


@pytest.mark.parametrize(("bank", "template"), PICTURED)
def test_pictures_of_every_template_are_clean(bank: str, template: str) -> None:
    bound = Bound(_bank(bank)[template].recipe)
    instantiator = Instantiator(bound, 1)
    found = {figure for made in _drafts(bound) for figure in figures_of(instantiator.item(0, made, "K7Q2M"))}

    assert len(found) >= 20
    assert {figure: [] for figure in found} == {figure: faults(drawing(figure)) for figure in found}


def test_the_templates_of_all_banks_draw_every_kind_of_picture() -> None:
    assert {bank for bank, _ in PICTURED} >= {"algebra", "kinds", "quadratics"}
    kinds = {
        line.figure.template.kind
        for bank, template in PICTURED
        for part in _bank(bank)[template].recipe.parts
        for line in (part, *part.solution)
        if line.figure is not None
    }
    assert {"area-model", "parabola", "number-line", "sign-table"} == kinds


def test_the_demo_bank_shows_no_answer_in_a_stem() -> None:
    try:
        bank = read_bank(BANK, "quadratics")
    except InputError as wrong:
        pytest.fail(str(wrong))
    entry = next(e for e in bank.entries if e.recipe.template.name == "missing-constant")

    assert [] == [each.code for each in review(entry).diagnostics]
