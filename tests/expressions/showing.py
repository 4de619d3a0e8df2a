"""What the tables need: an expression filled with values, and exact values spelled in one way."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from itembank.errors import DomainError
from itembank.expressions import canonical, exact, numbers, polynomials, tree
from itembank.expressions.canonical import Form
from itembank.expressions.display import Decimal, Maths
from itembank.expressions.expand import expanded
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.plan import DECIMAL, FACTORS, Leaf, make_plan
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.tree import Node

Values = Mapping[str, tuple[Fraction, int | None]]
"""name -> its value, and its number of decimal places where it is a decimal."""


def values_of(written: Mapping[str, str]) -> dict[str, tuple[Fraction, int | None]]:
    """The values as a table writes them: `-3`, `3/4`, or `1.50` with its places."""
    return {
        name: (Fraction(text), len(text.partition(".")[2]) if "." in text else None)
        for name, text in written.items()
    }


def exact_values(values: Values) -> dict[str, Exact]:
    """name -> exact value, for the exact reading."""
    return {name: numbers.whole(value) for name, (value, _) in values.items()}


def show(node: Node, values: Values) -> Maths:
    """The mathematics displayed for a tree and values of its names."""

    def places(name: str) -> int | None:
        return values[name][1] if name in values else None

    plan = make_plan(node, values, places, lambda inner: expanded(inner, values))
    return plan.fill(tuple(form_of(leaf, exact_values(values)) for leaf in plan.leaves))


def form_of(leaf: Leaf, values: Mapping[str, Exact]) -> Form:
    """The canonical form of a leaf, by the exact reading."""
    if leaf.kind == FACTORS:
        quadratic = exact.polynomial(leaf.source, values)
        parts = polynomials.quadratic_coefficients(quadratic, leaf.letter)
        return canonical.factors(*(_rational(part.constant()) for part in parts))
    found = [exact.number(reading, values) for reading in readings(leaf.source)]
    if leaf.kind == DECIMAL:
        return decimal_form(_rational(found[0]), leaf.places)
    return canonical.solution_set(found) if len(found) > 1 else canonical.exact(found[0])


def decimal_form(value: Fraction, places: int) -> Form:
    """The digits of a value: so many places, as many as needed for -1, a fraction where they never end."""
    if places < 0:
        places = next((n for n in range(13) if 10**n % value.denominator == 0), -1)
    if places <= 0 or value == 0:
        return canonical.exact(numbers.whole(value))
    return ("+." if value > 0 else "-.",), (Decimal(abs(value), places),)  # type: ignore[return-value]


def _rational(value: Exact) -> Fraction:
    if isinstance(value, Surd):
        raise DomainError("a surd stands where a rational number is needed")
    return Fraction(value)


def readings(node: Node) -> list[Node]:
    """The tree itself, or its upper and its lower reading where it has a ±."""
    return [tree.with_sign(node, sign) for sign in (1, -1)] if tree.has_plus_minus(node) else [node]


def spell_meaning(node: Node, values: Mapping[str, Exact], main_letter: str = "x") -> str:
    """The exact meaning of a term or statement; | stands between both readings of a ±."""
    return " | ".join(_meaning(reading, values, main_letter) for reading in readings(node))


def _meaning(node: Node, values: Mapping[str, Exact], main_letter: str) -> str:
    match node:
        case tree.Relation(operands, operators):
            sides = [_meaning(operand, values, main_letter) for operand in operands]
            tail = (f" {sign} {side}" for sign, side in zip(operators, sides[1:], strict=True))
            return sides[0] + "".join(tail)
        case tree.And(parts) | tree.Or(parts):
            word = " and " if isinstance(node, tree.And) else " or "
            return word.join(f"[{_meaning(part, values, main_letter)}]" for part in parts)
        case tree.Point(first, second):
            return f"({_meaning(first, values, main_letter)}, {_meaning(second, values, main_letter)})"
        case tree.Call("keep" | "expand", (inner,)) if tree.is_statement(inner):
            return _meaning(inner, values, main_letter)
        case _:
            return spell(exact.polynomial(node, values, main_letter))


def spell(polynomial: Polynomial) -> str:
    """A polynomial, highest degree first: `2*x^2 - 3*x + 1/2`, `(1 + sqrt(2))*x`; 0 for none."""
    ordered = sorted(
        polynomial.terms, key=lambda term: (-sum(e for _, e in term[0]), [(n, -e) for n, e in term[0]])
    )
    text = ""
    for monomial, coefficient in ordered:
        letters = "*".join(name if e == 1 else f"{name}^{e}" for name, e in monomial)
        number = spell_number(coefficient)
        several = isinstance(coefficient, Surd) and len(coefficient.terms) > 1
        number = f"({number})" if several and letters else number
        term = f"{number}*{letters}" if letters else number
        term = letters if term == f"1*{letters}" else f"-{letters}" if term == f"-1*{letters}" else term
        text += term if not text else f" - {term[1:]}" if term.startswith("-") else f" + {term}"
    return text or "0"


def spell_number(number: Exact) -> str:
    """An exact number: `-3/4`, `2 - 3/5*sqrt(7)`."""
    if not isinstance(number, Surd):
        return str(number)
    text = ""
    for radicand, value in number.terms:
        size = str(abs(value)) if radicand == 1 else f"{abs(value)}*sqrt({radicand})"
        size = size.removeprefix("1*")
        text += f" {'-' if value < 0 else '+'} {size}" if text else f"{'-' if value < 0 else ''}{size}"
    return text
