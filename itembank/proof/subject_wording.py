"""How polynomials in several letters, and their quotients, stand in a witness: plain text, highest powers first."""

from __future__ import annotations

from fractions import Fraction
from math import gcd, lcm

from itembank.expressions import numbers, polynomials
from itembank.expressions.numbers import Surd
from itembank.expressions.polynomials import Monomial, Polynomial
from itembank.proof import wording

__all__ = ["polynomial_told", "quotient_told"]


def polynomial_told(polynomial: Polynomial) -> str:
    """A polynomial, not 0, term by term.

    >>> a, t = polynomials.letter("a"), polynomials.letter("t")
    >>> polynomial_told(polynomials.subtract(polynomials.multiply(a, polynomials.power(t, 2)), polynomials.scale(a, 3)))
    'at² − 3a'
    """
    if any(isinstance(value, Surd) for _, value in polynomial.terms):
        return "one with roots"
    terms = sorted(polynomial.terms, key=lambda term: (-sum(power for _, power in term[0]), term[0]))
    found = [(monomial, Fraction(value)) for monomial, value in terms if not isinstance(value, Surd)]
    first = next((place for place, (_, value) in enumerate(found) if value > 0), 0)
    found.insert(0, found.pop(first))  # no minus sign in front where there need be none
    return wording.total(
        "", *(wording.plus(v.numerator, v.denominator, _letters(monomial)) for monomial, v in found)
    )


def quotient_told(above: Polynomial, below: Polynomial) -> str:
    """A quotient of polynomials, its numbers whole.

    >>> x = polynomials.letter("x")
    >>> quotient_told(polynomials.add(x, polynomials.number(Fraction(1, 2))), polynomials.scale(x, 3))
    '(2x + 1)/(6x)'
    """
    values = [value for _, value in (*above.terms, *below.terms)]
    fractions = [Fraction(value) for value in values if not isinstance(value, Surd)]
    if len(fractions) == len(values):
        shared = lcm(*(value.denominator for value in fractions))
        common = gcd(*(int(value * shared) for value in fractions)) or 1
        factor = numbers.whole(Fraction(shared, common))
        above, below = polynomials.scale(above, factor), polynomials.scale(below, factor)
    told = polynomial_told(above)
    if below == polynomials.ONE:
        return told
    return f"{_in_brackets(told, above)}/{_in_brackets(polynomial_told(below), below, is_below=True)}"


def _in_brackets(told: str, polynomial: Polynomial, *, is_below: bool = False) -> str:
    plain = len(polynomial.terms) <= 1 and (not is_below or len(told) == 1 or told.isdecimal())
    return told if plain else f"({told})"


def _letters(monomial: Monomial) -> str:
    between = "" if all(len(name) == 1 for name, _ in monomial) else "·"
    return between.join(name + (wording.exponent(power) if power > 1 else "") for name, power in monomial)
