"""Whether a question was harder for one group of pupils than for another, among pupils who did equally well in all.

Pure sums over tables; which pupils make a table is said in `group_differences.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Context, Decimal, localcontext
from enum import Enum
from fractions import Fraction
from typing import Final, NamedTuple

from itembank.analysis.exact import CannotTell, Root

__all__ = [
    "Likelihoods",
    "Shift",
    "Size",
    "Stratum",
    "chance",
    "judged_by",
    "likelihoods",
    "shift",
    "size_of",
]

_FIVE_PERCENT: Final = Fraction("3.841459")
"""The square of 1.96 standard errors: chi-square of one degree of freedom goes beyond it once in twenty times."""
_ONE_SIDED: Final = Decimal("1.645")
_DELTA: Final = Decimal("2.35")
"""One logit on the delta scale. Source: Holland & Thayer 1985 (from memory)."""
_DIGITS: Final = Context(prec=40)
_PI: Final = Decimal("3.141592653589793238462643383279502884197")
_NEVER: Final = 150
"""A chi-square whose chance is nothing to thirty digits."""


class Stratum(NamedTuple):
    """The marks of pupils with the same total: of the group, and of those it is compared with."""

    group: Sequence[Fraction]
    others: Sequence[Fraction]


class Size(Enum):
    """How large a difference is, beside what chance makes of so few pupils."""

    NONE = "none"
    SLIGHT = "slight"
    LARGE = "large"


@dataclass(frozen=True, slots=True)
class Shift:
    """How many marks more the group earned than the others with the same totals, in the mean over the group.

    error: its standard error where there is no difference. chi_square: Mantel's, of one degree of freedom; corrected:
    the same with the correction for continuity. ratio: the shift by the deviation of all marks, squared. pupils,
    others: those in totals that both have.
    """

    marks: Fraction
    error: Root
    chi_square: Fraction
    corrected: Fraction
    ratio: Fraction
    pupils: int
    others: int


@dataclass(frozen=True, slots=True)
class Likelihoods:
    """Of questions that are right or wrong: the common odds ratio, that of the others by the group's.

    Above 1 the question was harder for the group. variance: of its logarithm.
    """

    odds: Fraction
    variance: Fraction

    @property
    def logarithm(self) -> Decimal:
        """Of the ratio, at 40 digits."""
        ratio = _DIGITS.divide(Decimal(self.odds.numerator), Decimal(self.odds.denominator))
        return _DIGITS.ln(ratio)


def shift(strata: Sequence[Stratum]) -> Shift | CannotTell:
    """The standardised mean difference, with Mantel's test.

    At each total T pupils have the sum of marks S1 and of squares S2; the F of the group are to be expected to earn
    F S1 / T, with the variance F R (T S2 - S1^2) / (T^2 (T - 1)). chi-square = (what they earned - what was expected)^2
    by the sum of variances. The mean difference weighs totals by the pupils of the group. Sources: Mantel 1963, Journal
    of the American Statistical Association 58, 690-700; Dorans & Kulick 1986 and Zwick & Thayer 1996 for the mean
    difference and its error (all from memory). Undefined where nothing can differ.

    >>> right, wrong = Fraction(1), Fraction(0)
    >>> found = shift([Stratum([right, wrong], [right, right])])
    >>> str(found.marks), str(found.chi_square)
    ('-1/2', '1')
    """
    both = [stratum for stratum in strata if stratum.group and stratum.others]
    if not both:
        return CannotTell("no two pupils of either side have the same total")
    pupils = sum(len(each.group) for each in both)
    apart = variance = marks = squared_error = Fraction(0)
    for group, others in both:
        f, r = len(group), len(others)
        t, s1 = f + r, sum(group, Fraction(0)) + sum(others, Fraction(0))
        s2 = sum((mark * mark for mark in (*group, *others)), Fraction(0))
        of_total = f * r * (t * s2 - s1 * s1) / (t * t * (t - 1))
        apart += sum(group, Fraction(0)) - f * s1 / t
        variance += of_total
        weight = Fraction(f, pupils)
        marks += weight * (sum(group, Fraction(0)) / f - sum(others, Fraction(0)) / r)
        squared_error += weight**2 * Fraction(t, f * r) ** 2 * of_total
    if not variance:
        return CannotTell("pupils with the same total earned the same")
    every = [mark for each in both for mark in (*each.group, *each.others)]
    mean = sum(every, Fraction(0)) / len(every)
    spread = sum(((mark - mean) ** 2 for mark in every), Fraction(0)) / (len(every) - 1)
    return Shift(
        marks, Root(squared_error), apart**2 / variance, max(abs(apart) - Fraction(1, 2), Fraction(0)) ** 2 / variance,
        marks**2 / spread, pupils, len(every) - pupils,
    )  # fmt: skip


def likelihoods(strata: Sequence[Stratum]) -> Likelihoods | CannotTell:
    """The common odds ratio of Mantel & Haenszel, with the variance of Robins, Breslow & Greenland.

    strata: of marks 0 and 1. With A right and B wrong of the others, C right and D wrong of the group, and T of all:
    the sum of A D / T by the sum of B C / T. Sources: Mantel & Haenszel 1959, Journal of the National Cancer Institute
    22, 719-748; Robins, Breslow & Greenland 1986, Biometrics 42, 311-323 (both from memory). Undefined where one of the
    sums is nothing.
    """
    r_sum = s_sum = pr = ps_qr = qs = Fraction(0)
    for group, others in strata:
        if not group or not others:
            continue
        a, c = sum(others, Fraction(0)), sum(group, Fraction(0))
        b, d, t = len(others) - a, len(group) - c, len(group) + len(others)
        p, q, r, s = (a + d) / t, (b + c) / t, a * d / t, b * c / t
        r_sum, s_sum = r_sum + r, s_sum + s
        pr, ps_qr, qs = pr + p * r, ps_qr + p * s + q * r, qs + q * s
    if not r_sum or not s_sum:
        return CannotTell("right and wrong answers do not stand against each other both ways")
    variance = pr / (2 * r_sum**2) + ps_qr / (2 * r_sum * s_sum) + qs / (2 * s_sum**2)
    return Likelihoods(r_sum / s_sum, variance)


def size_of(found: Shift, odds: Likelihoods | CannotTell) -> Size:
    """How large a difference is.

    Of questions that are right or wrong, as Zieky 1993 tells of the rules of the Educational Testing Service: none
    where chi-square (corrected) is not beyond chance in one of twenty, or -2.35 times the logarithm of the odds ratio
    is within 1; large where it is 1.5 or more and beyond 1 by more than chance in one of twenty. Else, as Zwick, Thayer
    & Mazzeo 1997: none where Mantel's is not beyond chance, or the shift is 0.17 deviations or less; large above 0.25
    (both from memory).
    """
    if isinstance(odds, CannotTell):
        if judged_by(found, odds) <= _FIVE_PERCENT or found.ratio <= Fraction("0.17") ** 2:
            return Size.NONE
        return Size.LARGE if found.ratio > Fraction(1, 16) else Size.SLIGHT
    delta = abs(_DIGITS.multiply(_DELTA, odds.logarithm))
    if judged_by(found, odds) <= _FIVE_PERCENT or delta < 1:
        return Size.NONE
    variance = _DIGITS.divide(Decimal(odds.variance.numerator), Decimal(odds.variance.denominator))
    error = _DIGITS.multiply(_DELTA, _DIGITS.sqrt(variance))
    is_sure = _DIGITS.subtract(delta, Decimal(1)) > _DIGITS.multiply(_ONE_SIDED, error)
    return Size.LARGE if delta >= Decimal("1.5") and is_sure else Size.SLIGHT


def judged_by(found: Shift, odds: Likelihoods | CannotTell) -> Fraction:
    """The chi-square by which a difference is judged: of questions that are right or wrong the corrected one."""
    return found.chi_square if isinstance(odds, CannotTell) else found.corrected


def chance(found: Shift, odds: Likelihoods | CannotTell) -> Decimal:
    """How often chance alone makes as large a chi-square, of one degree of freedom, as the one it is judged by.

    1 - erf(sqrt(chi-square / 2)), with erf(x) = 2 / sqrt(pi) exp(-x^2) (x + 2 x^3 / 3 + 4 x^5 / 15 + ...).
    Source: Abramowitz & Stegun, 7.1.6 and 26.4 (from memory).
    """
    square = judged_by(found, odds)
    if square > _NEVER:
        return Decimal(0)
    with localcontext(_DIGITS):
        half = Decimal(square.numerator) / (2 * square.denominator)
        term = half.sqrt()
        total, odd = term, 1
        while term > total.scaleb(-_DIGITS.prec):
            odd += 2
            term *= 2 * half / odd
            total += term
        return 1 - 2 * total * (-half).exp() / _PI.sqrt()
