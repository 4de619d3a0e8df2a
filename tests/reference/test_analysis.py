"""Published figures, found again from published data.

- Bock & Lieberman 1970: the answers of 1000 people to five items of a law school admission test (section 6), as counts
  of patterns. Facilities 0.924, 0.709, 0.553, 0.763, 0.870 are in the paper. Alpha 0.295, and 0.2754, 0.2376, 0.2168,
  0.2459, 0.2663 without the first, ..., fifth item, are what statistical packages print of these data. All of it from
  memory; that the counts add up to 1000 and to these facilities speaks for them.
- Anscombe 1973: four sets of eleven pairs with equal means (9; 7.50), variances (11; 4.12 or 4.13) and correlation
  (0.816). From memory; the agreement of all four speaks for the data.
- A rank correlation that textbooks work out, of ten pairs: -29/165. From memory.
- Bickel, Hammel & O'Connell 1975, Science 187, 398-404: admissions to six departments of a university, of men and
  women. That the common odds ratio is 0.9046968, from 0.7719074 to 1.0603298 at 95 %, and chi-square 1.4269 with the
  correction for continuity and 1.5246 without, is what the statistical language R prints of them. All from memory; that
  every digit comes out speaks for the data.
- Kelley 1939: 27 %; the share q of a normal distribution in either tail for which pdf(z)^2 / q is greatest. Worked out
  here from the standard library's normal distribution.
"""

from __future__ import annotations

from fractions import Fraction
from math import exp, log, sqrt
from statistics import NormalDist

import pytest

from itembank.analysis.analysis import analyse
from itembank.analysis.exact import Root, correlation, mean, ranks, rounded, variance
from itembank.analysis.item_statistics import GROUP
from itembank.analysis.reliability import alpha, standard_error
from itembank.analysis.two_groups import Likelihoods, Shift, Stratum, likelihoods, shift
from tests.analysis_samples import results_of

PATTERNS = {
    "00000": 3, "00001": 6, "00010": 2, "00011": 11, "00100": 1, "00101": 1, "00110": 3, "00111": 4,
    "01000": 1, "01001": 8, "01010": 0, "01011": 16, "01100": 0, "01101": 3, "01110": 2, "01111": 15,
    "10000": 10, "10001": 29, "10010": 14, "10011": 81, "10100": 3, "10101": 28, "10110": 15, "10111": 80,
    "11000": 16, "11001": 56, "11010": 21, "11011": 173, "11100": 11, "11101": 61, "11110": 28, "11111": 298,
}  # fmt: skip
LAW_SCHOOL = [[*map(int, pattern)] for pattern, count in PATTERNS.items() for _ in range(count)]

SHARED = (10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5)
ANSCOMBE = (
    (SHARED, (8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68)),
    (SHARED, (9.14, 8.14, 8.74, 8.77, 9.26, 8.10, 6.13, 3.10, 9.13, 7.26, 4.74)),
    (SHARED, (7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73)),
    ((8, 8, 8, 8, 8, 8, 8, 19, 8, 8, 8), (6.58, 5.76, 7.71, 8.84, 8.47, 7.04, 5.25, 12.50, 5.56, 7.91, 6.89)),
)


def test_the_law_school_items_have_the_published_facilities() -> None:
    found = analyse(results_of(LAW_SCHOOL))

    assert 1000 == len(LAW_SCHOOL)
    assert ["0.924", "0.709", "0.553", "0.763", "0.870"] == [
        str(rounded(each.facility, 3)) for each in found.questions if isinstance(each.facility, Fraction)
    ]


def test_the_law_school_items_have_the_published_alpha_whole_and_without_each_item() -> None:
    rows = [[Fraction(mark) for mark in row] for row in LAW_SCHOOL]
    whole = alpha(rows)
    without = [alpha([row[:at] + row[at + 1 :] for row in rows]) for at in range(5)]

    assert isinstance(whole, Fraction)
    assert "0.295" == str(rounded(whole, 3))
    assert ["0.2754", "0.2376", "0.2168", "0.2459", "0.2663"] == [
        str(rounded(each, 4)) for each in without if isinstance(each, Fraction)
    ]


def test_the_standard_error_is_of_the_deviation_and_alpha() -> None:
    rows = [[Fraction(mark) for mark in row] for row in LAW_SCHOOL]
    totals = [sum(row, Fraction(0)) for row in rows]
    spread, whole = variance(totals), alpha(rows)

    assert isinstance(spread, Fraction)
    assert isinstance(whole, Fraction)
    found = standard_error(totals, whole)
    assert isinstance(found, Root)
    assert float(rounded(found, 6)) == pytest.approx((float(spread) * (1 - float(whole))) ** 0.5, abs=1e-6)


def test_of_two_items_alpha_is_twice_what_they_share() -> None:
    """Of two items alpha is 4 cov / var, which Flanagan 1937 gives for halves of a test (from memory)."""
    rows = [[*map(Fraction, row)] for row in ((3, 2), (1, 1), (0, 2), (2, 3), (3, 3))]
    covariance = sum((a - mean([r[0] for r in rows])) * (b - mean([r[1] for r in rows])) for a, b in rows) / 4
    spread = variance([a + b for a, b in rows])

    assert isinstance(spread, Fraction)
    assert 4 * covariance / spread == alpha(rows)


@pytest.mark.parametrize("pairs", ANSCOMBE, ids=("first", "second", "third", "fourth"))
def test_four_sets_of_pairs_have_their_published_figures(
    pairs: tuple[tuple[float, ...], tuple[float, ...]],
) -> None:
    x, y = ([Fraction(str(value)) for value in side] for side in pairs)
    of_x, of_y, found = variance(x), variance(y), correlation(x, y)

    assert isinstance(of_x, Fraction)
    assert isinstance(of_y, Fraction)
    assert isinstance(found, Root)
    assert (9, "7.50", 11) == (mean(x), str(rounded(mean(y), 2)), of_x)
    assert str(rounded(of_y, 2)) in ("4.12", "4.13")
    assert str(rounded(found, 3)) in ("0.816", "0.817")


def test_a_published_rank_correlation_comes_out() -> None:
    first = (106, 100, 86, 101, 99, 103, 97, 113, 112, 110)
    second = (7, 27, 2, 50, 28, 29, 20, 12, 6, 17)

    found = correlation(ranks([*map(Fraction, first)]), ranks([*map(Fraction, second)]))

    assert Root(Fraction(29, 165) ** 2, True) == found


def test_groups_of_27_per_cent_tell_most_of_a_normal_class() -> None:
    normal = NormalDist()

    def sureness(per_thousand: int) -> float:
        share = per_thousand / 1000
        return normal.pdf(normal.inv_cdf(share)) ** 2 / share

    assert 270 == max(range(200, 350), key=sureness)
    assert Fraction(270, 1000) == GROUP


ADMISSIONS = (
    ((512, 313), (89, 19)), ((353, 207), (17, 8)), ((120, 205), (202, 391)), ((138, 279), (131, 244)),
    ((53, 138), (94, 299)), ((22, 351), (24, 317)),
)  # fmt: skip
"""Of each department men and women, admitted and rejected."""


def test_admissions_of_men_and_women_have_the_published_odds_ratio_interval_and_test() -> None:
    def side(counts: tuple[int, int]) -> list[Fraction]:
        return [Fraction(1)] * counts[0] + [Fraction(0)] * counts[1]

    strata = [Stratum(side(women), side(men)) for men, women in ADMISSIONS]
    odds, found = likelihoods(strata), shift(strata)

    assert isinstance(odds, Likelihoods)
    assert isinstance(found, Shift)
    assert "0.9046968" == str(rounded(odds.odds, 7))
    reach = NormalDist().inv_cdf(0.975) * sqrt(odds.variance)
    assert (0.7719074, 1.0603298) == pytest.approx(
        (exp(log(odds.odds) - reach), exp(log(odds.odds) + reach)), abs=5e-8
    )
    assert ("1.5246", "1.4269") == (str(rounded(found.chi_square, 4)), str(rounded(found.corrected, 4)))
