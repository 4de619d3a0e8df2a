"""The code that the audit makes of statements: nothing of a file stands in it, and it says what the statements ask."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from itembank.audit import conditions, straight_code
from itembank.audit.formula import (
    NOWHERE,
    Letter,
    Node,
    Numeral,
    Quotient,
    Relation,
    Root,
    Scope,
    Sum,
    of_one_look,
)
from itembank.audit.numbers import square_root
from itembank.audit.straight_code import _Writer

_TOKENS = re.compile(
    r"(?:def made\(r, e\):|return|divide|root|needs|size|int|r\[[0-9]+\]|t[0-9]+|e|[0-9]+|[-+*=(),\s])*\Z"
)


def halves_and_roots(runs: list[str]) -> Node:
    """name = first ± √second / third, numerals as they are put in."""
    root = Quotient(Root(Numeral(runs[1])), Numeral(runs[2]))
    return Relation(Letter("name"), "=", Sum((("+", Numeral(runs[0])), ("±", root))))


MAKE = of_one_look(halves_and_roots)  # type: ignore[arg-type]


def test_of_a_file_only_digits_are_in_the_code() -> None:
    writer = _Writer(NOWHERE)
    left, right = Letter("__import__('os')"), Sum((("+", Numeral("#0")), ("-", Root(Numeral("#1")))))
    code = writer.plus(writer.code(left), writer.code(right), -1)
    writer.kept += [term.name for term in code.values()]

    assert _TOKENS.match(writer.source())
    assert "import" not in writer.source()


@pytest.mark.parametrize(("first", "second", "third"), [("3", "7", "2"), ("0", "8", "1"), ("12", "9", "4")])
def test_both_signs_are_read(first: str, second: str, third: str) -> None:
    """By hand: first ± √second / third, and the general reading."""
    node = MAKE([first, second, third])
    found = straight_code.condition(node, Scope(("name",)), ())

    assert conditions.condition(node, Scope(("name",))) == found
    assert isinstance(found, conditions.Any)
    upper = found.parts[0]
    assert isinstance(upper, conditions.Atom)
    value = square_root(int(second)) * Fraction(1, int(third)) + int(first)
    assert upper.polynomial.get((), 0) == -1 * value


def test_what_the_numerals_do_not_allow_is_left_to_the_general_reading() -> None:
    assert straight_code.condition(MAKE(["1", "2", "0"]), Scope(("name",)), ()) is None  # a division by 0


def test_a_formula_without_known_looks_is_left_to_the_general_reading() -> None:
    assert straight_code.condition(halves_and_roots(["1", "2", "3"]), NOWHERE, ()) is None
