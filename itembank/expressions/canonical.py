"""One way to write each exact value, from whole numbers: what two values are compared by, and what is shown.

A canonical form is (kind, numbers): kind says which signs and parts there are, numbers are the whole numbers
>= 0 in its holes, in the order in which they are shown. Two values are equal exactly when their forms are.

    kind                                             numbers       shows
    ("0",), ("1",), ("-1",), ("+",), ("-",)          () or (n,)    0, 1, -1, n, -n
    ("+/",), ("-/",)                                 (n, d)        n/d in lowest terms
    ("+.",), ("-.",)                                 (Decimal,)    the digits of a decimal that is not 0
    ("surd", p, q, d, sign)                          [p] [q] r [d] (p + q*sqrt(r))/d, parts by their marks
    ("factors", scale, (a, b), (a, b) or None)       theirs        scale*(a*x + b)*(a*x + b), or with a square
    ("set", form, ...)                               theirs        several values, ascending
    ("points", form, form, ...)                      theirs        points, two coordinates each, from left to right
    ("none",)                                        ()            no real value
    ("region", piece, ...)                           theirs        intervals and points, from left to right

A piece of a region is (low, whether low is in, high, whether high is in), low and high kinds of numbers, None where
there is no end; a point is (its kind,).

In a surd, p and q are marks: "0" absent, "1"/"-1" unit, "+"/"-" with a number; d is "1" or "+"; sign is "±"
for the pair p ± q*sqrt(r), "+" for a single value. r >= 2 is squarefree and gcd(p, q, d) = 1, so the form
is unique. In factors, scale, a and b are kinds of numbers, each with its own holes; None is a repeated
factor.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cmp_to_key, lru_cache
from math import gcd, isqrt, lcm
from typing import TypeAlias

from itembank.errors import DomainError
from itembank.expressions.numbers import Exact, Surd, compare, square_root_parts

Kind: TypeAlias = tuple[object, ...]
Form: TypeAlias = tuple[Kind, tuple[int, ...]]

NONE: Form = (("none",), ())


@lru_cache(maxsize=65_536)
def integer(n: int) -> Form:
    """The form of a whole number.

    >>> integer(-7)
    (('-',), (7,))
    """
    if n > 1:
        return ("+",), (n,)
    if n < -1:
        return ("-",), (-n,)
    return (str(n),), ()


def ratio(n: int, d: int) -> Form:
    """The form of n/d for d >= 1, in lowest terms or not.

    >>> ratio(6, 4)
    (('+/',), (3, 2))
    """
    if d == 1:
        return integer(n)
    common = gcd(n, d)
    if common != 1:
        n //= common
        d //= common
        if d == 1:
            return integer(n)
    return (("+/",), (n, d)) if n > 0 else (("-/",), (-n, d))


def surd(an: int, ad: int, bn: int, bd: int, rn: int, rd: int, both: bool) -> Form:
    """The form of an/ad + (bn/bd)*sqrt(rn/rd), or with `both` of the pair with + and -, as one form or a set.

    Denominators >= 1; rn >= 0. Raises DomainError for rn < 0.

    >>> surd(-6, 4, 2, 4, 3, 1, True)
    (('surd', '-', '1', '+', '±'), (3, 3, 2))
    """
    outside, r, below = (*square_root_parts(rn), 1) if rd == 1 else _quotient_parts(rn, rd)
    bn *= outside
    bd *= below
    if bn == 0:
        return ratio(an, ad)
    if r == 1:
        if both:
            low, high = an * bd - abs(bn) * ad, an * bd + abs(bn) * ad
            first, second = ratio(low, ad * bd), ratio(high, ad * bd)
            return ("set", first[0], second[0]), first[1] + second[1]
        return ratio(an * bd + bn * ad, ad * bd)
    p, q, d = an * bd, bn * ad, ad * bd
    common = gcd(p, q, d)
    if common != 1:
        p //= common
        q //= common
        d //= common
    if both and q < 0:
        q = -q
    return _surd_form(p, q, r, d, "±" if both else "+")


def _quotient_parts(n: int, d: int) -> tuple[int, int, int]:
    """(s, r, t) with sqrt(n/d) = s*sqrt(r)/t and r squarefree; n and d apart, since n*d may be too large to factor."""
    common = gcd(n, d)
    outside, inside = square_root_parts(n // common)
    below, under = square_root_parts(d // common)
    return outside, inside * under, below * under


def _surd_form(p: int, q: int, r: int, d: int, sign: str) -> Form:
    numbers: tuple[int, ...] = (r,)
    if q > 1 or q < -1:
        q_mark = "+" if q > 0 else "-"
        numbers = (abs(q), r)
    else:
        q_mark = "1" if q > 0 else "-1"
    if p:
        p_mark = "+" if p > 0 else "-"
        numbers = (abs(p), *numbers)
    else:
        p_mark = "0"
    if d != 1:
        return ("surd", p_mark, q_mark, "+", sign), (*numbers, d)
    return ("surd", p_mark, q_mark, "1", sign), numbers


def roots(a: int, b: int, c: int) -> Form:
    """The real solutions of a*x^2 + b*x + c = 0 as one form: a value, a pair, a set of two, or none.

    Whole numbers. Without a and b nothing fits, or every number does (DomainError).

    >>> roots(1, -8, 3)
    (('surd', '+', '1', '1', '±'), (4, 13))
    """
    if a == 0:
        if b == 0:
            if c == 0:
                raise DomainError("every number is a solution")
            return NONE
        return ratio(-c, b) if b > 0 else ratio(c, -b)
    if a < 0:
        a, b, c = -a, -b, -c
    discriminant = b * b - 4 * a * c
    if discriminant < 0:
        return NONE
    root = isqrt(discriminant)
    if root * root == discriminant:
        if root == 0:
            return ratio(-b, 2 * a)
        first, second = ratio(-b - root, 2 * a), ratio(-b + root, 2 * a)
        return ("set", first[0], second[0]), first[1] + second[1]
    return surd(-b, 2 * a, 1, 2 * a, discriminant, 1, True)


def exact(number: Exact) -> Form:
    """The form of an exact number. Raises DomainError for a sum of two different surds.

    >>> exact(Fraction(-1, 2))
    (('-/',), (1, 2))
    """
    if not isinstance(number, Surd):
        value = Fraction(number)
        return ratio(value.numerator, value.denominator)
    irrational = [(radicand, value) for radicand, value in number.terms if radicand != 1]
    if len(irrational) != 1:
        raise DomainError("a sum of two different surds has no one-line form here")
    radicand, coefficient = irrational[0]
    rational = number.rational_part
    return surd(
        rational.numerator,
        rational.denominator,
        coefficient.numerator,
        coefficient.denominator,
        radicand,
        1,
        False,
    )


def solution_set(values: list[Exact]) -> Form:
    """The form of a finite set of exact numbers in any order; a conjugate pair becomes p ± q*sqrt(r).

    >>> solution_set([5, -2, 5])
    (('set', ('-',), ('+',)), (2, 5))
    """
    distinct = sorted(dict.fromkeys(values), key=cmp_to_key(compare))
    if not distinct:
        return NONE
    if len(distinct) == 1:
        return exact(distinct[0])
    forms = [exact(value) for value in distinct]
    if len(forms) == 2 and (pair := _conjugate_pair(*forms)):
        return pair
    return ("set", *(form[0] for form in forms)), tuple(n for form in forms for n in form[1])


def point_set(found: Iterable[tuple[Exact, Exact]]) -> Form:
    """The form of finitely many points in any order: from left to right, one below the other from below.

    >>> point_set([(2, 5), (-1, 3), (2, 5)])
    (('points', ('-1',), ('+',), ('+',), ('+',)), (3, 2, 5))
    """
    ordered = sorted(dict.fromkeys(found), key=cmp_to_key(_compare_points))
    return joined_points([(exact(first), exact(second)) for first, second in ordered])


def joined_points(ordered: Iterable[tuple[Form, Form]]) -> Form:
    """The form of points in their order, each given by the forms of its coordinates."""
    forms = [form for point in ordered for form in point]
    if not forms:
        return NONE
    return ("points", *(form[0] for form in forms)), tuple([n for form in forms for n in form[1]])


def _compare_points(first: tuple[Exact, Exact], second: tuple[Exact, Exact]) -> int:
    return compare(first[0], second[0]) or compare(first[1], second[1])


def region(pieces: Iterable[tuple[Exact | None, bool, Exact | None, bool]]) -> Form:
    """The form of a region: (low, low_in, high, high_in) from left to right, neither overlapping nor touching.

    >>> region([(None, False, 2, True)])
    (('region', (None, False, ('+',), True)), (2,))
    """
    found = list(pieces)
    if all(low is not None and low == high for low, _, high, _ in found):
        return solution_set([low for low, _, _, _ in found if low is not None])
    kinds: list[Kind] = []
    held: list[int] = []
    for low, low_in, high, high_in in found:
        is_point = low is not None and low == high
        ends = [None if end is None else exact(end) for end in ((low,) if is_point else (low, high))]
        held += [number for end in ends if end is not None for number in end[1]]
        shown = [None if end is None else end[0] for end in ends]
        kinds.append((shown[0],) if is_point else (shown[0], low_in, shown[1], high_in))
    return ("region", *kinds), tuple(held)


def _conjugate_pair(low: Form, high: Form) -> Form | None:
    """p ± q*sqrt(r) over d, where low = p - q*sqrt(r) and high = p + q*sqrt(r) over d; None elsewhere."""
    match low[0], high[0]:
        case ("surd", p, "-1" | "-" as minus, d, _), ("surd", other_p, "1" | "+" as plus, other_d, _):
            alike = (p, d, low[1]) == (other_p, other_d, high[1]) and (minus, plus) in {
                ("-1", "1"),
                ("-", "+"),
            }
            return (("surd", p, plus, d, "±"), high[1]) if alike else None
        case _:
            return None


def factors(a: Fraction | int, b: Fraction | int, c: Fraction | int) -> Form:
    """The form of a*x^2 + b*x + c taken apart: a rational scale and linear factors with whole coefficients.

    The factors have positive leading coefficients and no common factor within; a factor x comes first, then
    they ascend by leading coefficient and constant; a repeated factor stands once. Raises DomainError for
    a = 0, and where the discriminant is no square of a rational number: then nothing comes apart over the
    rationals.
    Source: common practice, no source.

    >>> factors(2, -4, -30)    # 2*(x - 5)*(x + 3)
    (('factors', ('+',), (('1',), ('-',)), (('1',), ('+',))), (2, 5, 3))
    """
    if a == 0:
        raise DomainError("`factor` takes a quadratic; the coefficient of the square is 0")
    content, (u, v, w) = _primitive(Fraction(a), Fraction(b), Fraction(c))
    discriminant = v * v - 4 * u * w
    root = isqrt(max(discriminant, 0))
    if root * root != discriminant:
        raise DomainError("this quadratic has no rational factors")
    factors = (_linear(-v - root, 2 * u), _linear(-v + root, 2 * u))
    first, second = sorted(factors, key=lambda factor: (factor[1] != 0, factor))
    scale = ratio(content.numerator, content.denominator)
    kinds, numbers = _factor_form(first)
    if first == second:
        return ("factors", scale[0], kinds, None), scale[1] + numbers
    other_kinds, other_numbers = _factor_form(second)
    return ("factors", scale[0], kinds, other_kinds), scale[1] + numbers + other_numbers


def _primitive(a: Fraction, b: Fraction, c: Fraction) -> tuple[Fraction, tuple[int, int, int]]:
    """content * (a*x^2 + b*x + c): whole coefficients, no common factor, a > 0 (unique by Gauss's lemma)."""
    shared = lcm(a.denominator, b.denominator, c.denominator)
    wholes = [int(value * shared) for value in (a, b, c)]
    common = gcd(*wholes) * (1 if a > 0 else -1)
    return Fraction(common, shared), (wholes[0] // common, wholes[1] // common, wholes[2] // common)


def _linear(n: int, d: int) -> tuple[int, int]:
    """(a, b) of the primitive a*x + b with the root n/d, for d >= 1."""
    common = gcd(n, d)
    return d // common, -n // common


def _factor_form(factor: tuple[int, int]) -> tuple[tuple[Kind, Kind], tuple[int, ...]]:
    first, second = integer(factor[0]), integer(factor[1])
    return (first[0], second[0]), first[1] + second[1]


def rational(form: Form) -> tuple[int, int] | None:
    """(n, d) of a form that is one rational number shown without a decimal point; None for any other form.

    >>> rational(ratio(-6, 4))
    (-3, 2)
    """
    kind, numbers = form
    match kind:
        case ("0" | "1" | "-1" as digits,):
            return int(digits), 1
        case ("+",):
            return numbers[0], 1
        case ("-",):
            return -numbers[0], 1
        case ("+/",):
            return numbers[0], numbers[1]
        case ("-/",):
            return -numbers[0], numbers[1]
        case _:
            return None
