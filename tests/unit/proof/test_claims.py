from __future__ import annotations

import re
from fractions import Fraction
from itertools import product

import pytest

from itembank.errors import BoundExceeded, DomainError
from itembank.proof.arithmetic import FACTOR_BOUND, bezout, factorise, floor_root
from itembank.proof.claims import CLAIMS, SIZE_BOUND, prove
from itembank.proof.wording import polynomial
from itembank.properties.catalogue import PROPERTIES
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

HALF = Fraction(1, 2)
BETWEEN_SQUARES = "the discriminant 116 lies strictly between 10² and 11², so it is no square"
SUBSTITUTED = "x² − 5x + 6: at x = 2 it is 4 − 10 + 6 = 0, at x = 3 it is 9 − 15 + 6 = 0"

PROVED = [
    ("irrational_roots", (1, -8, -13), BETWEEN_SQUARES),
    ("irrational_roots", (HALF, Fraction(-8, 3), 3),
     "multiplied by 6 it is 3x² − 16x + 18, whose discriminant 40 lies strictly between 6² and 7², "
     "so it is no square"),
    ("rational_roots", (1, -5, 6), SUBSTITUTED),
    ("rational_roots", (4, 4, 1), "4x² + 4x + 1: at x = −1/2 it is 1 − 2 + 1 = 0, and nowhere else"),
    ("rational_roots", (0, 2, -3), "2x − 3 is 0 at x = 3/2 and nowhere else"),
    ("integer_roots", (-1, 3, 0), "−x² + 3x: at x = 0 it is 0, at x = 3 it is −9 + 9 = 0"),
    ("real_roots", (1, -4, 1),
     "x² − 4x + 1 = (x − 2)² − 3, which is −3 at x = 2 and positive far out on both sides"),
    ("real_roots", (1, 0, -2), "x² − 2 is −2 at x = 0 and positive far out on both sides"),
    ("no_real_roots", (1, 2, 5), "x² + 2x + 5 = (x + 1)² + 4 ≥ 4 > 0"),
    ("no_real_roots", (-2, 2, -1), "−2x² + 2x − 1 = −2(x − 1/2)² − 1/2 ≤ −1/2 < 0"),
    ("no_real_roots", (0, 0, 5), "5 is never 0"),
    ("distinct_roots", (-1, 4, 0),
     "−x² + 4x = −(x − 2)² + 4, which is 4 at x = 2 and negative far out on both sides"),
    ("repeated_root", (1, -4, 4), "x² − 4x + 4 = (x − 2)², which is 0 at x = 2 only"),
    ("factorable", (2, 5, 3), "2x² + 5x + 3 = (2x + 3)(x + 1)"),
    ("factorable", (HALF, HALF, -1), "(1/2)x² + (1/2)x − 1 = (1/2)(x + 2)(x − 1)"),
    ("factorable", (1, 3, 0), "x² + 3x = x(x + 3)"),
    ("factorable", (3, 0, 0), "3x² = 3x × x"),
    ("factorable", (-4, 4, -1), "−4x² + 4x − 1 = −(2x − 1)²"),
    ("not_factorable", (1, 0, -2), "the discriminant 8 lies strictly between 2² and 3², so it is no square"),
    ("not_factorable", (1, 0, 2), "it has no real root: x² + 2 ≥ 2 > 0"),
    ("perfect_square", (4, 12, 9), "4x² + 12x + 9 = (2x + 3)²"),
    ("perfect_square", (Fraction(1, 4), 1, 1), "(1/4)x² + x + 1 = ((1/2)x + 1)²"),
    ("monic", (1, 0, -2), "the leading coefficient of x² − 2 is 1"),
    ("even_linear_coefficient", (1, -6, 2), "the linear coefficient is −6 = 2 × (−3)"),
    ("primitive", (6, 10, 15), "7 × 10 + 15 − 14 × 6 = 1"),
    ("primitive", (1, -8, 4), "1, −8 and 4: only 1 and −1 divide 1"),
    ("coprime", (7, 5), "3 × 5 − 2 × 7 = 1"),
    ("reduced", (-3, 4), "4 − 3 = 1"),
    ("is_square", (49,), "49 = 7²"),
    ("squarefree", (30,), "30 = 2 × 3 × 5, no prime twice"),
    ("squarefree", (6,), "6 = 2 × 3, no prime twice"),
    ("squarefree", (1,), "1 has no prime factor"),
    ("simplest_surd", (13,), "13 is prime"),
    ("simplifiable_surd", (72,), "72 = 6² × 2, and 2 is prime"),
    ("simplifiable_surd", (120,), "120 = 2² × 30, and 30 = 2 × 3 × 5, no prime twice"),
    ("terminating_decimal", (Fraction(-3, 8),), "−3/8 = −375/10³"),
    ("terminating_decimal", (-7,), "−7 is an integer"),
    ("integer_valued", (Fraction(6, 2),), "3 is an integer"),
]  # fmt: skip

REFUTED = [
    ("irrational_roots", (1, -5, 6), SUBSTITUTED),
    ("irrational_roots", (1, 2, 5), "x² + 2x + 5 = (x + 1)² + 4 ≥ 4 > 0"),
    ("irrational_roots", (0, 1, -2), "x − 2 is no quadratic"),
    ("rational_roots", (1, -8, -13), BETWEEN_SQUARES),
    ("rational_roots", (1, 2, 5), "x² + 2x + 5 = (x + 1)² + 4 ≥ 4 > 0"),
    ("rational_roots", (0, 0, 0), "0 is 0 at every x, so it has no roots to name"),
    ("integer_roots", (2, -3, 0), "2x² − 3x: at x = 0 it is 0, at x = 3/2 it is 9/2 − 9/2 = 0"),
    ("integer_roots", (0, 2, -3), "2x − 3 is 0 at x = 3/2 and nowhere else"),
    ("real_roots", (1, 2, 5), "x² + 2x + 5 = (x + 1)² + 4 ≥ 4 > 0"),
    ("no_real_roots", (1, -4, 4), "x² − 4x + 4 = (x − 2)², which is 0 at x = 2 only"),
    ("no_real_roots", (0, 0, 0), "0 is 0 at every x, so it has no roots to name"),
    ("distinct_roots", (1, -4, 4), "x² − 4x + 4 = (x − 2)², which is 0 at x = 2 only"),
    ("repeated_root", (1, 2, 5), "x² + 2x + 5 = (x + 1)² + 4 ≥ 4 > 0"),
    ("factorable", (1, 1, 1), "it has no real root: x² + x + 1 = (x + 1/2)² + 3/4 ≥ 3/4 > 0"),
    ("factorable", (0, 0, 3), "3 is no quadratic"),
    ("not_factorable", (2, 5, 3), "2x² + 5x + 3 = (2x + 3)(x + 1)"),
    ("perfect_square", (2, 4, 2),
     "the leading coefficient 2 is no square of a rational number: 2 lies strictly between 1² and 2²"),
    ("perfect_square", (Fraction(4, 3), 0, 0),
     "the leading coefficient 4/3 is no square of a rational number: 3 lies strictly between 1² and 2²"),
    ("perfect_square", (-1, 2, -1), "the leading coefficient −1 is negative, and no square is"),
    ("perfect_square", (1, 6, 5),
     "of all squares only (x + 3)² begins like x² + 6x + 5, and it ends in 9, not 5"),
    ("monic", (2, 0, 1), "the leading coefficient of 2x² + 1 is 2"),
    ("monic", (0, 0, 1), "1 is a constant"),
    ("even_linear_coefficient", (1, 7, 2), "the linear coefficient is 7 = 2 × 3 + 1"),
    ("even_linear_coefficient", (1, HALF, 2), "the linear coefficient 1/2 is no integer"),
    ("primitive", (4, -6, 10), "2 divides 4, −6 and 10"),
    ("primitive", (1, HALF, 3), "the coefficient 1/2 is no integer"),
    ("coprime", (0, 0), "2 divides 0 and 0"),
    ("coprime", (-4, 6), "2 divides −4 and 6"),
    ("reduced", (6, 8), "2 divides 6 and 8"),
    ("reduced", (3, -4), "the denominator −4 is not positive"),
    ("is_square", (50,), "50 lies strictly between 7² and 8²"),
    ("is_square", (-4,), "−4 is below 0"),
    ("is_square", (Fraction(1, 4),), "1/4 is no integer"),
    ("squarefree", (18,), "18 = 3² × 2"),
    ("squarefree", (0,), "0 is below 1"),
    ("simplest_surd", (1,), "1 is below 2"),
    ("simplifiable_surd", (36,), "36 = 6², so its root is the integer 6"),
    ("simplifiable_surd", (30,), "30 = 2 × 3 × 5, no prime twice"),
    ("simplifiable_surd", (Fraction(8, 3),), "8/3 is no integer"),
    ("terminating_decimal", (Fraction(5, 12),),
     "the denominator of 5/12 has the factor 3, which has no factor in common with 10"),
    ("integer_valued", (Fraction(-3, 2),), "−3/2 lies strictly between −2 and −1"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "arguments", "witness"), PROVED)
def test_what_holds_is_proved_with_a_witness(
    name: str, arguments: tuple[int | Fraction, ...], witness: str
) -> None:
    assert Proved(witness) == prove(name, *arguments)


@pytest.mark.parametrize(("name", "arguments", "counterexample"), REFUTED)
def test_what_fails_is_refuted_by_what_shows_it(
    name: str, arguments: tuple[int | Fraction, ...], counterexample: str
) -> None:
    assert Refuted(counterexample) == prove(name, *arguments)


def test_every_property_is_seen_proved_and_refuted_here() -> None:
    assert PROPERTIES.keys() == {name for name, _, _ in PROVED} == {name for name, _, _ in REFUTED}
    assert PROPERTIES.keys() == CLAIMS.keys()


def test_a_witness_speaks_of_the_letter_it_is_given() -> None:
    witness = "t² + 2t + 5 = (t + 1)² + 4 ≥ 4 > 0"

    assert Proved(witness) == prove("no_real_roots", 1, 2, 5, letter="t")


def test_a_fraction_without_a_denominator_is_as_good_as_an_integer() -> None:
    as_integers = prove("factorable", 2, 5, 3)

    assert as_integers == prove("factorable", Fraction(2), Fraction(5), Fraction(3))


# ---- refusals ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "arguments", "message"),
    [
        ("prime", (7,), "no property is called 'prime'"),
        ("monic", (1, 2), "three coefficients of a polynomial, not 2 numbers"),
        ("is_square", (4, 1), "takes one number, not 2"),
        ("coprime", (4,), "takes two or more integers, not 1"),
        ("reduced", (1, 2, 3), "a numerator and a denominator, not 3"),
        ("coprime", (4, HALF), "takes integers, not 1/2"),
        ("reduced", (HALF, 4), "takes integers, not 1/2"),
        ("is_square", (4.0,), "takes exact numbers, not 4.0"),
        ("monic", (1, "2", 3), "takes exact numbers, not '2'"),
    ],
)
def test_what_cannot_be_asked_is_refused(name: str, arguments: tuple[int, ...], message: str) -> None:
    with pytest.raises(DomainError, match=re.escape(message)):
        prove(name, *arguments)


@pytest.mark.parametrize("name", ["squarefree", "simplest_surd", "simplifiable_surd"])
def test_a_radicand_above_the_bound_of_factorising_stays_undecided(name: str) -> None:
    reason = "1000000000000001 is above 10¹⁵, where numbers are not split into factors"

    assert Undecided(reason) == prove(name, 10**15 + 1)
    assert not isinstance(prove(name, 10**15), Undecided)


@pytest.mark.parametrize("beyond", [SIZE_BOUND + 1, -SIZE_BOUND - 1, Fraction(1, SIZE_BOUND + 1)])
def test_numbers_of_more_than_100_digits_stay_undecided(beyond: int | Fraction) -> None:
    assert isinstance(prove("monic", 1, 2, beyond), Undecided)
    assert isinstance(prove("terminating_decimal", beyond), Undecided)


def test_the_largest_numbers_still_get_a_witness_for_every_property() -> None:
    large = Fraction(SIZE_BOUND - 1, SIZE_BOUND)
    arguments = {
        "polynomial": (large, Fraction(SIZE_BOUND, SIZE_BOUND - 3), Fraction(-SIZE_BOUND, SIZE_BOUND - 7)),
        "number": (large,),
        "integers": (SIZE_BOUND, SIZE_BOUND - 1),
        "fraction": (SIZE_BOUND - 1, SIZE_BOUND),
    }
    for name, entry in PROPERTIES.items():
        assert isinstance(prove(name, *arguments[entry.takes]), Proved | Refuted)


# ---- witnesses, read back and worked out ------------------------------------------------------------------


class Reader:
    """Works out the maths of a witness with x at a value: signs, ×, fractions, brackets, superscripts."""

    SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")

    def __init__(self, text: str, x: Fraction) -> None:
        self.tokens = re.findall(r"\d+|[⁰¹²³⁴⁵⁶⁷⁸⁹]+|\S", text)
        self.x = x

    def value(self) -> Fraction:
        value = self.sum()
        assert not self.tokens
        return value

    def taken(self, *tokens: str) -> str:
        return self.tokens.pop(0) if self.tokens and self.tokens[0] in tokens else ""

    def sum(self) -> Fraction:
        value = -self.term() if self.taken("−") else self.term()
        while sign := self.taken("+", "−"):
            value += self.term() if sign == "+" else -self.term()
        return value

    def term(self) -> Fraction:
        value = self.factor()
        while self.tokens and self.tokens[0] not in "+−)":
            if self.taken("/"):
                value /= self.factor()
            else:
                self.taken("×")
                value *= self.factor()
        return value

    def factor(self) -> Fraction:
        token = self.tokens.pop(0)
        if token == "(":
            value = self.sum()
            assert self.taken(")")
        else:
            value = self.x if token == "x" else Fraction(int(token))
        if self.tokens and self.tokens[0][0] in "⁰¹²³⁴⁵⁶⁷⁸⁹":
            value **= int(self.tokens.pop(0).translate(self.SUPERSCRIPTS))
        return value


def worked_out(text: str, x: Fraction | int = 0) -> Fraction:
    return Reader(text, Fraction(x)).value()


def text_of(verdict: Verdict) -> str:
    match verdict:
        case Proved(text) | Refuted(text) | Undecided(text):
            return text


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("−2(x − 1/2)² − 1/2", -5),
        ("(1/2)x² + 3x", 8),
        ("3x × x", 12),
        ("7 × 10 − 14 × 6", -14),
        ("2 × (−3)", -6),
    ],
)
def test_the_reader_of_witnesses_reads_as_a_person_does(text: str, expected: int) -> None:
    assert expected == worked_out(text, 2)


GRID = [
    (Fraction(a, d), Fraction(b, d), Fraction(c, d))
    for a, b, c, d in product(range(-3, 4), range(-5, 6), range(-5, 6), (1, 2, 3, 4))
    if a
]
POINTS = (-3, 0, 1, 4)


def agreeing(sides: list[str], a: Fraction, b: Fraction, c: Fraction) -> bool:
    """Whether all sides are the polynomial: three different points would do, four are taken."""
    return all(a * x * x + b * x + c == worked_out(side, x) for side in sides for x in POINTS)


@pytest.mark.parametrize("name", ["real_roots", "no_real_roots", "distinct_roots", "repeated_root"])
def test_a_completed_square_is_the_polynomial_and_its_value_at_the_vertex_is_right(name: str) -> None:
    compared = 0
    for a, b, c in GRID:
        text = text_of(prove(name, a, b, c))
        identity = re.split(r", which is | is | ≥ | ≤ ", text)[0]
        assert agreeing(identity.split(" = "), a, b, c), text
        if shown := re.search(r" is (\S+) at x = (\S+) ", text):
            value, at = (worked_out(part) for part in shown.groups())
            assert value == a * at * at + b * at + c, text
            assert at == -b / (2 * a), text
            compared += 1
        else:
            value = worked_out(re.split(" [≥≤] ", text)[1][:-4])
            assert (value > 0) is (a > 0) is text.endswith("> 0"), text

    assert compared > 1000


def test_factors_multiply_out_to_the_polynomial() -> None:
    verdicts = [(values, prove("factorable", *values)) for values in GRID]
    factored = [(values, verdict.witness) for values, verdict in verdicts if isinstance(verdict, Proved)]

    assert len(factored) > 500
    for values, witness in factored:
        assert agreeing(witness.split(" = "), *values), witness
        assert "²" not in re.sub(r"\)²", "", witness.split(" = ")[1]), witness


def test_squares_multiply_out_to_the_polynomial() -> None:
    brackets = product((HALF, Fraction(3), Fraction(2, 3)), (-2, 0, HALF))
    quadratics = [(first**2, 2 * first * second, second**2) for first, second in brackets]
    for values in quadratics:
        witness = text_of(prove("perfect_square", *values))

        assert agreeing(witness.split(" = "), *values), witness
        assert witness.endswith(")²")


def test_rational_roots_are_substituted_rightly_and_give_nothing() -> None:
    roots = 0
    for a, b, c in GRID:
        verdict = prove("rational_roots", a, b, c)
        if isinstance(verdict, Proved):
            for at, substituted in re.findall(r"at x = ([^ ]+) it is ([^,]+)", verdict.witness):
                x = worked_out(at)
                assert a * x * x + b * x + c == 0, verdict
                assert worked_out(substituted.removesuffix(" = 0")) == 0, verdict
                roots += 1

    assert roots > 800


def test_a_discriminant_stands_between_the_squares_it_is_said_to() -> None:
    seen = 0
    for a, b, c in GRID:
        text = text_of(prove("irrational_roots", a, b, c))
        if shown := re.search(r"discriminant (\d+) lies strictly between (\d+)² and (\d+)²", text):
            discriminant, low, high = map(int, shown.groups())
            multiple = re.match(r"multiplied by (\d+)", text)
            factor = int(multiple[1]) if multiple else 1
            assert discriminant == factor * factor * (b * b - 4 * a * c), text
            assert low + 1 == high, text
            assert low * low < discriminant < high * high, text
            seen += 1

    assert seen > 500


def test_a_combination_makes_one_and_a_common_factor_divides() -> None:
    for numbers in product(range(-9, 10), repeat=3):
        verdict = prove("coprime", *numbers)
        if isinstance(verdict, Refuted):
            factor = int(verdict.counterexample.split(" ")[0])
            assert factor > 1
            assert all(number % factor == 0 for number in numbers), verdict
        elif " = 1" in text_of(verdict):
            combined = text_of(verdict).removesuffix(" = 1")
            assert worked_out(combined) == 1, verdict
            used = {int(part.split(" × ")[-1]) for part in re.split(" [+−] ", combined)}
            assert used <= {abs(number) for number in numbers}, verdict
        else:
            assert {1, -1} & set(numbers), verdict


def test_a_split_radicand_multiplies_to_itself() -> None:
    for n in range(1, 3000):
        text = text_of(prove("simplifiable_surd", n))
        if " = " in text:
            assert n == worked_out(re.split(" = |, ", text)[1]), text


# ---- the arithmetic beneath -------------------------------------------------------------------------------


def test_the_floor_of_every_small_root_is_right() -> None:
    expected = [root for root in range(60) for _ in range(2 * root + 1)]

    assert expected == [floor_root(n) for n in range(3600)]
    with pytest.raises(DomainError):
        floor_root(-1)


def test_multipliers_give_the_greatest_common_divisor() -> None:
    for numbers in product(range(-7, 8), repeat=3):
        common, multipliers = bezout(numbers)
        divisors = [k for k in range(1, 8) if all(number % k == 0 for number in numbers)]

        assert common == sum(u * n for u, n in zip(multipliers, numbers, strict=True))
        assert common == (max(divisors) if any(numbers) else 0)


def test_factorising_multiplies_back_with_ascending_primes() -> None:
    for n in [*range(1, 3000), *range(10**12, 10**12 + 50), *range(FACTOR_BOUND - 50, FACTOR_BOUND + 1)]:
        product_of_powers = 1
        for prime, power in factorise(n):
            product_of_powers *= prime**power

        assert n == product_of_powers
        assert list(factorise(n)) == sorted(factorise(n))


@pytest.mark.parametrize("pseudoprime", [2047, 3215031751, 341550071728321, 561, 41041, 825265])
def test_numbers_that_pass_for_prime_to_a_few_bases_are_factorised(pseudoprime: int) -> None:
    assert len(factorise(pseudoprime)) > 1


def test_what_has_no_factorisation_is_refused() -> None:
    with pytest.raises(DomainError):
        factorise(0)
    with pytest.raises(BoundExceeded):
        factorise(FACTOR_BOUND + 1)


def test_polynomials_are_written_term_by_term() -> None:
    expected = ["0", "−x", "x² − 1", "−(1/2)t² + (3/2)t", "5"]

    assert expected == [
        polynomial(0, 0, 0, 1, "x"), polynomial(0, -1, 0, 1, "x"), polynomial(1, 0, -1, 1, "x"),
        polynomial(-1, 3, 0, 2, "t"), polynomial(0, 0, 10, 2, "x"),
    ]  # fmt: skip
