"""What an equation says of one letter where every letter is a positive number, squares and square roots among it.

Roots stand as letters of their own (`expressions/hidden.py`). Where all letters are positive, a polynomial whose
coefficients are all above 0 is positive; so a square may be taken of both sides that are seen to be positive, and
s^2 = R says s = √R. What is found is p + √R or p - √R, unique: R in lowest terms and no square of a quotient.
"""

from __future__ import annotations

from collections.abc import Collection
from fractions import Fraction
from functools import reduce

from itembank.errors import DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.hidden import Hidden, UnderRoot
from itembank.expressions.numbers import Surd, whole
from itembank.expressions.polynomials import ONE, Monomial, Polynomial
from itembank.expressions.quotients import Quotient

__all__ = ["radicand_of", "root_name", "sign_where_positive", "told_where_positive", "without_squares"]

_ROOT = "√"


def told_where_positive(whole_equation: Polynomial, hidden: Collection[Hidden], subject: str) -> Quotient:
    """What the subject is where a polynomial is 0 and every letter is positive, unique.

    hidden: what letters of the polynomial stand for. A root in the answer is a letter with `root_name`. Raises
    DomainError where this does not lead to one formula.

    >>> v, u, s = (polynomials.letter(name) for name in "vus")
    >>> square = polynomials.power
    >>> found = told_where_positive(polynomials.subtract(square(v, 2), square(s, 4)), (), "v")
    >>> (found.above == square(s, 2), found.below == ONE)
    (True, True)
    """
    groups = _by_roots(whole_equation, hidden)
    radicands = {each.name: each.radicand for each in hidden if isinstance(each, UnderRoot)}
    if len(groups) == 1:
        ((_, alone),) = groups.items()
        return _from_one(alone, subject)
    if len(groups) != 2:
        raise DomainError(
            f"it says nothing of {subject}" if not groups else "more than one root stands beside other terms"
        )
    (first_roots, first), (second_roots, second) = groups.items()
    (inside, other_inside) = (
        reduce(polynomials.multiply, (radicands[name] for name in sorted(names)), ONE)
        for names in (first_roots, second_roots)
    )
    for plain_roots, plain, factor, radicand in (
        (first_roots, first, second, other_inside),
        (second_roots, second, first, inside),
    ):
        powers = plain.in_powers_of(subject)
        if not plain_roots and max(powers) == 1 and subject not in {*factor.letters, *radicand.letters}:
            return _beside_a_root(powers[1], powers.get(0, polynomials.ZERO), factor, radicand)
    signs = sign_where_positive(first), sign_where_positive(second)
    if 0 in signs:
        raise DomainError("whether both sides are positive is not seen, so their squares do not say the same")
    if signs[0] == signs[1]:
        raise DomainError("both sides cannot be equal where all letters are positive")
    return _from_one(
        polynomials.subtract(
            polynomials.multiply(polynomials.power(first, 2), inside),
            polynomials.multiply(polynomials.power(second, 2), other_inside),
        ),
        subject,
    )


def sign_where_positive(polynomial: Polynomial) -> int:
    """1 or -1 where all its coefficients have this sign; 0 where its sign is not seen."""
    signs = {numbers.sign(value) for _, value in polynomial.terms}
    return signs.pop() if len(signs) == 1 else 0


def root_name(radicand: Polynomial) -> str:
    """The letter for the square root of a polynomial."""
    spelled = " + ".join(
        "*".join([str(value), *(f"{name}^{power}" for name, power in monomial)])
        for monomial, value in radicand.terms
    )
    return f"{_ROOT}({spelled})"


def radicand_of(value: Quotient) -> Polynomial | None:
    """What stands under the root of a formula that was found; None where it has none."""
    return next((each.radicand for each in value.hidden if isinstance(each, UnderRoot)), None)


def without_squares(polynomial: Polynomial, value: Quotient) -> Polynomial:
    """A polynomial in which the square of a formula's root is what stands under it."""
    radicand = radicand_of(value)
    if radicand is None:
        return polynomial
    name, total = root_name(radicand), polynomials.ZERO
    for exponent, part in polynomial.in_powers_of(name).items():
        outside = polynomials.multiply(part, polynomials.power(radicand, exponent // 2))
        if exponent % 2:
            outside = polynomials.multiply(outside, polynomials.letter(name))
        total = polynomials.add(total, outside)
    return total


def _by_roots(polynomial: Polynomial, hidden: Collection[Hidden]) -> dict[frozenset[str], Polynomial]:
    """What stands beside each product of different roots, none of them 0."""
    radicands: dict[str, Polynomial] = {}
    for each in hidden:
        if not isinstance(each, UnderRoot) or each.index != 2:
            raise DomainError("where all letters are positive, square roots of them are read, and no others")
        radicands[each.name] = each.radicand
    if any(set(inside.letters) & set(radicands) for inside in radicands.values()):
        raise DomainError("a root stands under a root")
    groups: dict[frozenset[str], Polynomial] = {}
    for monomial, value in polynomial.terms:
        plain: Monomial = tuple(pair for pair in monomial if pair[0] not in radicands)
        term, odd = polynomials.make({plain: value}), set()
        for name, power in monomial:
            if name in radicands:
                term = polynomials.multiply(term, polynomials.power(radicands[name], power // 2))
                odd |= {name} if power % 2 else set()
        roots = frozenset(odd)
        groups[roots] = polynomials.add(groups.get(roots, polynomials.ZERO), term)
    return {roots: part for roots, part in groups.items() if part.terms}


def _from_one(polynomial: Polynomial, subject: str) -> Quotient:
    """From a*s^n + b*s^m = 0, n - m being 1 or 2."""
    powers = polynomial.in_powers_of(subject)
    lowest, highest = min(powers, default=0), max(powers, default=0)
    if lowest == highest:
        raise DomainError(f"multiplied out, it says nothing of {subject}")
    if highest - lowest > 2 or len(powers) != 2:
        raise DomainError(
            f"multiplied out, it has other powers of {subject} than one, or than a square beside what is free of it"
        )
    found = Quotient(polynomials.negate(powers[lowest]), powers[highest]).reduced()
    if highest - lowest == 1:
        return found
    return _with_root(Quotient(polynomials.ZERO), 1, found)


def _beside_a_root(
    factor: Polynomial, rest: Polynomial, beside: Polynomial, radicand: Polynomial
) -> Quotient:
    """From factor*s + rest + beside*√radicand = 0."""
    order = -sign_where_positive(factor) * sign_where_positive(beside)
    if not order:
        raise DomainError("the sign of what stands before a root is not seen")
    plain = Quotient(polynomials.negate(rest), factor).reduced()
    inside = Quotient(
        polynomials.multiply(polynomials.power(beside, 2), radicand), polynomials.power(factor, 2)
    )
    return _with_root(plain, order, inside.reduced())


def _with_root(plain: Quotient, order: int, radicand: Quotient) -> Quotient:
    """plain + √radicand, or minus it."""
    below = sign_where_positive(radicand.below)
    if not below:
        raise DomainError("the sign of what stands below the line under a root is not seen")
    inside = polynomials.multiply(radicand.above, radicand.below)
    if sign_where_positive(inside) < 0:
        raise DomainError("a root of what is negative where all letters are positive")
    square = _square_root(inside)
    if square is not None:
        order *= sign_where_positive(square)
        if not order:
            raise DomainError("the sign of what is squared under a root is not seen")
        root = Quotient(polynomials.scale(square, order * below), radicand.below)
        return _plain(plain + root).reduced()
    hidden = UnderRoot(root_name(inside), inside, 2)
    root = Quotient(polynomials.scale(polynomials.letter(hidden.name), order * below), radicand.below)
    found = _plain(plain + root).reduced()
    return Quotient(found.above, found.below, (), (hidden,))


def _plain(quotient: Quotient) -> Quotient:
    return Quotient(quotient.above, quotient.below)


def _square_root(polynomial: Polynomial) -> Polynomial | None:
    """A polynomial with rational coefficients whose square it is; None where there is none.

    >>> a, b = polynomials.letter("a"), polynomials.letter("b")
    >>> _square_root(polynomials.power(polynomials.add(a, b), 2)) in {polynomials.add(a, b)}
    True
    """
    if not polynomial.letters:
        value = polynomial.constant()
        if isinstance(value, Surd) or value < 0:
            return None
        root = numbers.square_root(value)
        return None if isinstance(root, Surd) else polynomials.number(whole(Fraction(root)))
    letter = polynomial.letters[0]
    powers = polynomial.in_powers_of(letter)
    degree, odd = divmod(max(powers), 2)
    leading = None if odd else _square_root(powers[2 * degree])
    if leading is None:
        return None
    found = {degree: leading}
    for step in range(1, degree + 1):
        rest = powers.get(2 * degree - step, polynomials.ZERO)
        for each in range(1, step):
            product = polynomials.multiply(found[degree - each], found[degree - step + each])
            rest = polynomials.subtract(rest, product)
        part = Quotient(rest, polynomials.scale(leading, 2)).reduced()
        if part.below.letters:
            return None
        found[degree - step] = polynomials.scale(part.above, numbers.invert(part.below.constant()))
    total = polynomials.ZERO
    for exponent, part_found in found.items():
        power = polynomials.power(polynomials.letter(letter), exponent)
        total = polynomials.add(total, polynomials.multiply(part_found, power))
    return total if polynomials.multiply(total, total) == polynomial else None
