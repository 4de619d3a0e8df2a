"""How what a problem comes to is told: in words and numbers that a teacher can check."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import cmp_to_key

from itembank.errors import BoundExceeded
from itembank.expressions import canonical, numbers, spelling
from itembank.expressions.display import Maths
from itembank.expressions.form_layout import node_of
from itembank.expressions.layout import lay_out
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.polynomials import Polynomial
from itembank.proof import wording
from itembank.proof.identity import Identity
from itembank.proof.regions import Piece
from itembank.proof.regions import told as region_told
from itembank.proof.solver import Solution
from itembank.proof.subject_wording import polynomial_told, quotient_told

__all__ = ["comes_to", "told", "worth"]


def comes_to(wanted: Identity, unknowns: Sequence[str] = ()) -> str:
    """What a problem of this identity does, for a sentence that begins with it.

    >>> comes_to(("expression", "x", (2, 3, 1), 1)), comes_to((2, 3, -2))
    ('comes to x² + 3x + 2', 'has the solutions −2 and 1/2')
    """
    value = worth(wanted)
    return f"has {told(wanted, unknowns)}" if value is None else f"comes to {value}"


def told(wanted: Identity, unknowns: Sequence[str] = ()) -> str:
    """An identity in words; of several unknowns it names them.

    >>> told((0, 2, -3)), told((1, 0, -2)), told(((1, 1), (0, 1), (2, 1)), ("a", "b", "c"))
    ('the one solution 3/2', 'the solutions ±√2', 'the solution (a, b, c) = (1, 0, 2)')
    """
    value = worth(wanted)
    if value is not None:
        return f"the value {value}"
    match wanted:
        case ():
            return "no real solution"
        case (0, int(d), int(n)):
            return f"the one solution {wording.ratio(-n, d)}"
        case (int(a), int(b), int(c)):
            return f"the solutions {_roots(a, b, c)}"
        case ("region", *pieces):
            return (
                f"the solutions {region_told((each for each in pieces if isinstance(each, Piece)), _number)}"
            )
        case frozenset():
            return _points(wanted, unknowns)
        case _:
            point = tuple(Fraction(*pair) for pair in wanted if isinstance(pair, tuple))
            return _points([point], unknowns)


def worth(wanted: Identity) -> str | None:
    """What an expression is worth; None for solutions."""
    match wanted:
        case ("number", Surd() as number):
            return _number(number)
        case ("number", (int(n), int(d)), 0, _):
            return wording.ratio(n, d)
        case ("number", (int(n), int(d)), int(sign), (int(w), int(e))):
            return _with_root(Fraction(n, d), sign, Fraction(w, e))
        case ("expression", str(letter), tuple(coefficients), int(d)):
            terms = {
                ((letter, power),) if power else (): Fraction(c, d) for power, c in enumerate(coefficients)
            }
            return polynomial_told(
                Polynomial(tuple((monomial, value) for monomial, value in terms.items() if value))
            )
        case ("polynomial", Polynomial() as found):
            return _with_roots(found)
        case ("quotient", Polynomial() as above, Polynomial() as below):
            return quotient_told(above, below)
        case _:
            return None


def _with_root(number: Fraction, sign: int, radicand: Fraction) -> str:
    """
    >>> _with_root(Fraction(2), -1, Fraction(8)), _with_root(Fraction(0), -1, Fraction(10**16 + 1))
    ('2 − 2√2', '−√10000000000000001')
    """
    try:
        root = numbers.square_root(radicand)
    except BoundExceeded:  # told as it stands, for nobody looks for the square factors of so large a number
        before = wording.ratio(number.numerator, number.denominator) if number else ""
        shown = wording.ratio(radicand.numerator, radicand.denominator)
        sign_shown = f" {'+' if sign > 0 else '−'} " if before else "" if sign > 0 else "−"
        return f"{before}{sign_shown}√({shown})" if "/" in shown else f"{before}{sign_shown}√{shown}"
    return _number(numbers.add(number, root if sign > 0 else numbers.negate(root)))


def _with_roots(polynomial: Polynomial) -> str:
    whole = [(monomial, value) for monomial, value in polynomial.terms if not isinstance(value, Surd)]
    terms = [polynomial_told(Polynomial(tuple(whole)))] if whole else []
    for monomial, value in polynomial.terms:
        if isinstance(value, Surd):
            letters = polynomial_told(Polynomial(((monomial, 1),))) if monomial else ""
            terms.append(f"({_number(value)}){letters}" if letters else _number(value))
    return " + ".join(terms).replace("+ −", "− ")


def _roots(a: int, b: int, c: int) -> str:
    try:
        kind, filling = canonical.roots(a, b, c)
    except BoundExceeded:
        return f"({wording.integer(-b)} ± √{b * b - 4 * a * c})/{wording.integer(2 * a)}"
    if kind[0] != "set":
        return _shown((kind, filling))
    discriminant = numbers.square_root(b * b - 4 * a * c)
    roots = [
        numbers.divide(numbers.add(-b, root), 2 * a) for root in (numbers.negate(discriminant), discriminant)
    ]
    return " and ".join(map(_number, sorted(roots, key=cmp_to_key(numbers.compare))))


def _points(found: Iterable[Solution], unknowns: Sequence[str]) -> str:
    ordered = sorted(found, key=cmp_to_key(_left_first))
    width = len(ordered[0])
    shown = [", ".join(map(_number, point)) for point in ordered]
    if width == 1:
        return f"the solution{'s' if len(shown) > 1 else ''} {_listed(shown)}"
    shown = [f"({each})" for each in shown]
    if width == 2:
        return f"the point{'s' if len(shown) > 1 else ''} {_listed(shown)}"
    names = f"({', '.join(unknowns)}) = " if len(unknowns) == width else ""
    return f"the solution{'s' if len(shown) > 1 else ''} {names}{_listed(shown)}"


def _listed(shown: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(shown[:-1]), shown[-1])))


def _left_first(first: Solution, second: Solution) -> int:
    return next((order for a, b in zip(first, second, strict=True) if (order := numbers.compare(a, b))), 0)


def _number(number: Exact) -> str:
    if isinstance(number, Surd) and sum(radicand != 1 for radicand, _ in number.terms) > 1:
        parts = [numbers.make({radicand: value}) for radicand, value in number.terms]
        return " + ".join(map(_number, parts)).replace("+ −", "− ")
    return _shown(canonical.exact(number))


def _shown(form: canonical.Form) -> str:
    kind, filling = form
    return spelling.terminal(Maths(lay_out(node_of(kind, 0)[0], len(filling)), filling))
