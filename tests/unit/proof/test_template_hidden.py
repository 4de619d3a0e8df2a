"""Equations with hidden unknowns proved once for all values of a template: where that can be told, and where not.

What is proved for all values is tried at each of a grid of values by the exact solver.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import product
from typing import NamedTuple

import pytest

from itembank.expressions import exact
from itembank.expressions.numbers import Exact
from itembank.expressions.parser import parse
from itembank.generator import exactly
from itembank.proof.template_proof import InSymbols, Line, SymbolicClaim, prove_part
from itembank.verdicts import Proved, Refuted, Undecided


class Case(NamedTuple):
    """A problem with its key, the ranges of its parameters and its derived values."""

    problem: str
    key: str
    parameters: Mapping[str, Sequence[int]]
    derived: Mapping[str, str] = {}


def claims(case: Case, *lines: tuple[str, str]) -> tuple[SymbolicClaim, ...]:
    asked = InSymbols(
        parse(case.problem),
        None if case.key == "none" else parse(case.key),
        [],
        [Line(kind, parse(text)) for kind, text in lines],
        ["x"],
        [],
        {name: tuple(map(Fraction, values)) for name, values in case.parameters.items()},
        {name: parse(text) for name, text in case.derived.items()},
    )
    return prove_part(asked)


POSITIVE, BASES = range(1, 5), (2, 3, 6)
ROOT = Case("x + (q - p)*sqrt(x) - p*q = 0", "x = p^2", {"p": POSITIVE, "q": POSITIVE})
POWER = Case(
    "n^(2*x) + b*n^x - m*q = 0",
    "x = p",
    {"n": BASES, "p": range(4), "q": POSITIVE},
    {"m": "n^p", "b": "q - m"},
)
SQUARED = Case(
    "sqrt(m*x + b) = x - c", "x = r", {"m": POSITIVE, "r": POSITIVE, "c": POSITIVE},
    {"s": "2*c + m - r", "b": "(r - c)^2 - m*r"},
)  # fmt: skip
PROVED = [
    ROOT,
    POWER,
    Case("x - (p + q)*sqrt(x) + p*q = 0", "x = p^2 or x = q^2", {"p": POSITIVE, "q": POSITIVE}),
    Case("sqrt(a*x + b) = c", "x = (c^2 - b)/a", {"a": POSITIVE, "b": range(-3, 3), "c": POSITIVE}),
    Case("sqrt(x + a) = -c", "none", {"a": POSITIVE, "c": POSITIVE}),
    Case("root(x + a, 3) = c", "x = c^3 - a", {"a": POSITIVE, "c": range(-3, 3)}),
    Case("4^x + (p + q)*2^x + p*q = 0", "none", {"p": POSITIVE, "q": POSITIVE}),
    Case("2^(x + 3) = 2^(2*p)", "x = 2*p - 3", {"p": POSITIVE}),
    Case("n^x = n^p", "x = p", {"n": BASES, "p": POSITIVE}),
    Case("3^(2*x + 1) - 10*3^x + 3 = 0", "x = 1 or x = -1", {}),
    Case(
        "x^3 - (p + q + r)*x^2 + (p*q + q*r + p*r)*x - p*q*r = 0", "x = p or x = q or x = r",
        {"p": POSITIVE, "q": POSITIVE, "r": POSITIVE},
    ),
    Case(
        "x^4 - (p^2 + r)*x^2 + p^2*r = 0", "x = p or x = -p or x = sqrt(r) or x = -sqrt(r)",
        {"p": POSITIVE, "r": POSITIVE},
    ),
    Case("(x - p)^2*(x^2 + q) = 0", "x = p", {"p": POSITIVE, "q": POSITIVE}),
    Case("(x^2 + p)*(x^2 + q) = 0", "none", {"p": POSITIVE, "q": POSITIVE}),
]  # fmt: skip


@pytest.mark.parametrize("case", PROVED, ids=[case.problem for case in PROVED])
def test_a_key_is_proved_for_all_values_and_right_at_each(case: Case) -> None:
    (key,) = claims(case)
    assert isinstance(key.verdict, Proved), key.verdict

    for chosen in product(*case.parameters.values()):
        values: dict[str, Exact] = dict(zip(case.parameters, chosen, strict=True))
        for name, text in case.derived.items():
            values[name] = exact.number(parse(text), values)
        wanted = (
            frozenset() if case.key == "none" else exactly.solution_set(parse(case.key), ("x",), (), values)
        )
        assert wanted == exactly.solution_set(parse(case.problem), ("x",), (), values)


@pytest.mark.parametrize(
    "case",
    [
        ROOT._replace(key="x = p^2 or x = q^2"),
        ROOT._replace(key="x = q^2"),
        ROOT._replace(key="x = p"),
        POWER._replace(key="x = m"),
        POWER._replace(key="x = p + 1"),
        SQUARED,  # which root is false depends on what the constraints say
        SQUARED._replace(key="x = r or x = s"),
        Case("n^x = n^p", "x = p", {"n": (1, 2), "p": POSITIVE}),
        Case("2^x = p", "x = p", {"p": POSITIVE}),
        Case("8^x = 4^p", "x = 2*p/3", {"p": POSITIVE}),
        Case("x + sqrt(x) = p", "x = p", {"p": POSITIVE}),
        Case("sqrt(x + p) + sqrt(x) = p", "x = p", {"p": POSITIVE}),
        Case("2^x = 3^p*x", "x = p", {"p": POSITIVE}),
        Case("sqrt(a*x) = c", "x = c^2/a", {"a": range(-2, 3), "c": POSITIVE}),
    ],
)
def test_what_is_wrong_or_cannot_be_told_is_not_proved(case: Case) -> None:
    (key,) = claims(case)

    assert isinstance(key.verdict, Undecided | Refuted)


LINES = [
    (ROOT, [
        ("let", "u = sqrt(x)"), ("main", "u^2 + (q - p)*u - p*q = 0"), ("main", "(u - p)*(u + q) = 0"),
        ("rejects", "u = -q"), ("main", "u = p"), ("main", "sqrt(x) = p"), ("main", "x = p^2"),
    ]),
    (POWER, [
        ("let", "u = n^x"), ("main", "u^2 + b*u - m*q = 0"), ("main", "u = m or u = -q"),
        ("rejects", "u = -q"), ("main", "u = m"), ("main", "n^x = m"), ("main", "x = p"),
    ]),
    (SQUARED, [
        ("main", "m*x + b = (x - c)^2"), ("main", "(x - r)*(x - s) = 0"), ("main", "x = r or x = s"),
        ("rejects", "x = s"),
    ]),
]  # fmt: skip


@pytest.mark.parametrize(("case", "lines"), LINES, ids=[case.problem for case, _ in LINES])
def test_lines_are_proved_for_all_values_false_roots_and_all(
    case: Case, lines: list[tuple[str, str]]
) -> None:
    told = [claim.verdict for claim in claims(case, *lines)[1:]]
    kinds = [kind for kind, _ in lines]

    assert [kind == "main" for kind in kinds] == [isinstance(verdict, Proved) for verdict in told]


@pytest.mark.parametrize(("case", "lines"), LINES, ids=[case.problem for case, _ in LINES])
def test_without_their_being_given_up_they_are_not(case: Case, lines: list[tuple[str, str]]) -> None:
    place = next(place for place, (kind, _) in enumerate(lines) if kind == "rejects")
    told = [claim.verdict for claim in claims(case, *lines[:place], *lines[place + 1 :])[1:]]

    assert not any(isinstance(verdict, Proved) for verdict in told[:place])


@pytest.mark.parametrize(
    ("let", "line"),
    [
        ("u = sqrt(x + 1)", "(u - p)*(u + q) = 0"),
        ("u = sqrt(x)", "(u - p)*(u + q + 1) = 0"),
        ("u = sqrt(x)", "(u - p)*(u + q)*x = 0"),
        ("u = x", "(u - p)*(u + q) = 0"),
    ],
)
def test_a_line_in_another_letter_or_with_other_roots_is_not_proved(let: str, line: str) -> None:
    (_, _, shown, _) = claims(ROOT, ("let", let), ("main", line), ("rejects", "u = -q"))

    assert not isinstance(shown.verdict, Proved)


IN_SQUARE = Case("x^4 - (p^2 + q)*x^2 + p^2*q = 0", "x = p or x = -p", {"p": POSITIVE, "q": range(-4, 0)})
IN_SQUARE_LINES = [
    ("let", "u = x^2"), ("main", "u^2 - (p^2 + q)*u + p^2*q = 0"), ("main", "(u - p^2)*(u - q) = 0"),
    ("rejects", "u = q"), ("main", "u = p^2"), ("main", "x^2 = p^2"), ("main", "x = p or x = -p"),
]  # fmt: skip
"""A quadratic in the square of the unknown, with a letter for the square."""


def test_a_letter_for_a_square_is_proved_for_all_values() -> None:
    key, *told = claims(IN_SQUARE, *IN_SQUARE_LINES)

    assert isinstance(key.verdict, Proved)
    assert [kind == "main" for kind, _ in IN_SQUARE_LINES] == [
        isinstance(each.verdict, Proved) for each in told
    ]


@pytest.mark.parametrize(
    ("let", "line"),
    [
        ("u = x^2", "(u - p^2)*(u - q + 1) = 0"),
        ("u = x^2", "u = q"),
        ("u = x^2 + 1", "(u - p^2)*(u - q) = 0"),
        ("v = x^2", "(u - p^2)*(u - q) = 0"),
        ("u = x^2", "(u - p^2)*(u - p) = 0"),
        ("u = x^2", "(u - p^2)*(u - q) = 0"),
    ],
)
def test_a_line_in_a_letter_for_something_else_is_not(let: str, line: str) -> None:
    (_, _, shown) = claims(IN_SQUARE, ("let", let), ("main", line))

    assert not isinstance(shown.verdict, Proved)


@pytest.mark.parametrize(
    "case",
    [
        Case("(x - p)^2*(x^2 + q) = 0", "x = p", {"p": POSITIVE, "q": range(3)}),
        Case("(x - p)*(x^2 - q) = 0", "x = p", {"p": POSITIVE, "q": POSITIVE}),
        Case("x^4 - p*x^2 + q*x + p = 0", "x = p", {"p": POSITIVE, "q": POSITIVE}),
        IN_SQUARE._replace(key="x = p"),
        IN_SQUARE._replace(key="x = q or x = -p"),
    ],
)
def test_a_higher_degree_is_not_proved_where_factors_are_not_told_or_the_key_is_another(case: Case) -> None:
    (key,) = claims(case)

    assert not isinstance(key.verdict, Proved)
