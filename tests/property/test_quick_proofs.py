"""The quick road of the proof says what the slow one says: for drawn numbers in many shapes, and drawn statements.

The quick road compiles the meaning of a shape to whole-number code; the slow one reads the display with exact
numbers and solves. Where the quick road has an answer it must be the slow one's, and where the slow road refuses
the quick one may not know better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import assume, given, reject, settings
from hypothesis import strategies as st

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import exact, polynomials, spelling
from itembank.expressions.display import Maths
from itembank.expressions.expand import expanded
from itembank.expressions.numbers import Exact, Surd, whole
from itembank.expressions.parser import parse
from itembank.expressions.plan import make_plan
from itembank.generator import exactly
from itembank.proof import identity, meaning
from itembank.proof.identity import Identity
from itembank.proof.quick import quick_coefficients, quick_point, quick_powers, quick_roots, quick_value
from itembank.proof.quick_systems import quick_identity, quick_truth
from itembank.proof.solver import CannotDecide
from tests import samples

exactly_so = settings(derandomize=True, deadline=None, max_examples=60)
often = settings(derandomize=True, deadline=None, max_examples=300)

# ---- showing with drawn numbers ---------------------------------------------------------------------------

SMALL, COUNTS = st.integers(-9, 9), st.integers(0, 60)
WIDE = st.integers(-5_000, 5_000)
RATIOS = st.builds(Fraction, st.integers(-20, 20), st.integers(1, 9)).map(whole)

VALUES = st.fixed_dictionaries(
    {
        **dict.fromkeys("abcdeh", SMALL),
        **dict.fromkeys("kn", COUNTS),
        **dict.fromkeys("rst", RATIOS),
        "w": WIDE,
    }
)
"""a to h: small whole numbers; k, n: numbers >= 0 to take roots of; r, s, t: fractions; w: large."""


def shown(text: str, values: dict[str, Exact], main_letter: str = "") -> Maths | None:
    """The displayed mathematics of a text with values put in; None where it is undefined (a division by 0)."""
    plan = make_plan(parse(text), set(values), lambda name: None, lambda node: expanded(node, set(values)))
    forms = [exactly.form(leaf, values, main_letter) for leaf in plan.leaves]
    try:
        return plan.fill(tuple(form for form in forms if form is not None)) if None not in forms else None
    except DomainError:
        return None


@dataclass(frozen=True)
class Statement:
    """A statement in letters for numbers, and what is asked of it."""

    text: str
    unknowns: tuple[str, ...] = ("x",)
    for_every: tuple[str, ...] = ()
    main_letter: str = ""

    def __str__(self) -> str:
        return self.text


def quick_answer(maths: Maths, asked: Statement) -> tuple[bool, Any]:
    """Whether the quick road has code for a shape, and what that says; None where it leaves it to the slow road."""
    if asked.for_every:
        reader = quick_identity(maths.shape, asked.unknowns, asked.for_every)
    elif len(asked.unknowns) == 1:
        reader = quick_roots(maths.shape, asked.unknowns[0], asked.main_letter)
    else:
        reader = quick_point(maths.shape, asked.unknowns, asked.main_letter)
    return reader is not None, reader(maths.numbers) if reader is not None else None


def slow_answer(maths: Maths, asked: Statement) -> Identity | type[Exception]:
    try:
        found = meaning.solutions(maths, asked.unknowns, asked.for_every, asked.main_letter)
    except (CannotDecide, DomainError) as refused:
        return type(refused)
    return identity.of_set(found, len(asked.unknowns))


def whole_answer(maths: Maths, asked: Statement) -> Identity | type[Exception]:
    try:
        return identity.of_solutions(maths, asked.unknowns, asked.for_every, asked.main_letter)
    except (CannotDecide, DomainError) as refused:
        return type(refused)


def agree(maths: Maths, asked: Statement) -> bool:
    """Asserts that both roads agree on a statement; returns whether the quick one had an answer of its own."""
    by_code, quick = quick_answer(maths, asked)
    slow = slow_answer(maths, asked)
    if slow is BoundExceeded:
        return False  # numbers the slow road does not take apart; the quick one needs no square-free part
    assert slow == whole_answer(maths, asked), spelling.plain(maths)
    if quick is None:
        return False
    if asked.for_every and len(asked.unknowns) == 1 and quick:
        ((n, d),) = quick
        quick = (0, d, -n)
    assert slow == quick, spelling.plain(maths)
    return by_code


# ---- statements of many shapes ----------------------------------------------------------------------------


def for_every_x(text: str) -> Statement:
    """An identity in x; p and q are to be found."""
    return Statement(text, ("p", "q"), ("x",))


QUICK = [
    Statement("a*x + b = c*x + d"),
    Statement("r*x + s = t"),
    Statement("x/3 - r = s*x"),
    Statement("w*x = a"),
    Statement("a*x^2 + b*x + c = 0"),
    Statement("r*x^2 + s*x = t"),
    Statement("w*x^2 + b*x = w"),
    Statement("x^2 + value(b/a)*x + value(c/a) = 0"),
    Statement("(x - h)^2 = k"),
    Statement("(x + r)^2 = s"),
    Statement("a*(x - h)^2 + c = 0"),
    Statement("(x - a)*(x - b) = 0"),
    Statement("(a*x + b)*(c*x + d) = e"),
    Statement("x*(x + b) = c"),
    Statement("x^2 + b*x + value(b^2/4) = keep(value(-c) + value(b^2/4))"),
    Statement("keep(a*(x + r)^2 - s) = t"),
    Statement("(2*x + b)^2 = keep(b^2 - 4*c)"),
    Statement("x = h ± sqrt(k)"),
    Statement("x = ±sqrt(k)"),
    Statement("x = r ± s*sqrt(k)"),
    Statement("x - h = ±sqrt(k)"),
    Statement("x + value(b/2) = ±value(sqrt(k)/2)"),
    Statement("x = (b ± sqrt(k))/a"),
    Statement("x = value((b ± sqrt(k))/a)"),
    Statement("x = (b ± sqrt(keep(b^2 + 4*n)))/(2*a)"),
    Statement("x = h ± a"),
    Statement("x ± h = c"),
    Statement("a*x = b ± sqrt(k)"),
    Statement("x = ±(2*a*b)"),
    Statement("x = a or x = b"),
    Statement("x = r or x = s"),
    Statement("x = a or 2*x = b"),
    Statement("x = a or a*x = b*x + c"),
    Statement("x = keep((-b)^2 - 4*a*c)"),
    Statement("D = discriminant(a*x^2 + b*x + c)", ("D",)),
    Statement("D = discriminant(a*x^2 + b*x = c)", ("D",)),
    Statement("u = discriminant(x^2 + b*x + c)", ("u",), (), "x"),
    Statement("discriminant(a*x^2 + u*x + c) = 0", ("u",), (), "x"),
    Statement("discriminant(a*x^2 + b*x + u) = c", ("u",), (), "x"),
    Statement("b^2 - 4*a*u = 0", ("u",)),
    for_every_x("x^2 + b*x + c = (x + p)^2 + q"),
    for_every_x("a*x^2 + b*x + c = a*(x + p)^2 + q"),
    for_every_x("a*x^2 + b*x + c = d*(x + p)^2 + q"),
    for_every_x("r*x^2 + s*x + t = r*(x + p)^2 + q"),
    for_every_x("p*x + q = a*x + b"),
    for_every_x("x^2 + b*x + q = (x + p)^2"),
    Statement("x^2 + b*x + u = (x + value(b/2))^2", ("u",), ("x",)),
    Statement("x^2 + b*x + u = (x + a)^2", ("u",), ("x",)),
    Statement("u*(x + a) = c*x + d", ("u",), ("x",)),
    Statement("a*x^2 + b*x + c - v = a*(x - u)^2", ("u", "v"), ("x",)),
    Statement("p = a and q = b", ("p", "q")),
    Statement("q = r and p = keep(a/2 + s)", ("p", "q")),
    Statement("p = value(-b/(2*a)) and q = value(c - b^2/(4*a))", ("p", "q")),
]
"""Shapes the quick road has code for."""

SLOW = [
    Statement("x = h + sqrt(k)"),
    Statement("x = value(a + b*sqrt(k))"),
    Statement("x = h + sqrt(k) or x = h - sqrt(k)"),
    Statement("x = a or x = b or x = c"),
    Statement("x = a or x = h ± sqrt(k)"),
    Statement("x^2 = a or x = b"),
    Statement("x^3 = a*x^2"),
    Statement("x = sqrt(k) ± sqrt(n)"),
    Statement("sqrt(2)*x = a"),
    Statement("x^2 + sqrt(k)*x = 0"),
    Statement("p + q = a and p - q = b", ("p", "q")),
    Statement("p = a and p = b", ("p", "q")),
    Statement("p = sqrt(k) and q = a", ("p", "q")),
    Statement("q = p + a and p = b", ("p", "q")),
    for_every_x("(x + p)*(x + q) = x^2 + b*x + c"),
]
"""Shapes it may leave to the slow road: answered all the same."""


@pytest.mark.parametrize("asked", QUICK, ids=str)
def test_both_roads_agree_where_there_is_code_for_a_shape(asked: Statement) -> None:
    answered = 0

    @exactly_so
    @given(VALUES)
    def compared(values: dict[str, Exact]) -> None:
        nonlocal answered
        found = shown(asked.text, values, asked.main_letter)
        assume(found is not None)
        answered += found is not None and agree(found, asked)

    compared()
    # the quick road is really taken; it steps aside for roots of negatives and for 0 = 0
    assert answered >= 15


@pytest.mark.parametrize("asked", SLOW, ids=str)
def test_both_roads_agree_where_the_quick_one_may_step_aside(asked: Statement) -> None:
    @exactly_so
    @given(VALUES)
    def compared(values: dict[str, Exact]) -> None:
        found = shown(asked.text, values)
        assume(found is not None)
        assert found is not None
        agree(found, asked)

    compared()


@pytest.mark.parametrize(
    "asked",
    [
        Statement("x = 1 or 0 = 1"),
        Statement("x = 1 or 0 = 0"),
        Statement("0*x = 0"),
        Statement("0*x = 1"),
        Statement("x = x + 1"),
        Statement("x = ±0"),
        Statement("x = sqrt(0) ± 3"),
        Statement("x = 2 ± sqrt(keep(4 - 4))"),
        Statement("x = ±sqrt(keep(1 - 2))"),
        Statement("x/keep(1 - 1) = 2"),
        Statement("x = keep(4/(2 - 5))"),
        Statement("x = ±sqrt(keep(-8/(1 - 3)))"),
        Statement("(x - 1)^2 = 0 or x = 1"),
        Statement("none"),
        Statement("none", ("p", "q")),
        Statement("D = discriminant(x^2/2 + x = 1)", ("D",)),
        Statement("D = discriminant(x^2 + x/3 + 1)", ("D",)),
        Statement("D = discriminant(x^2 = x/3 + 1)", ("D",)),
        Statement("D = discriminant(3*x = 5)", ("D",)),
        Statement("discriminant(x^2/2 + u*x = 1) = 0", ("u",), (), "x"),
        Statement("x^2/2 + x + u = (x + 1)^2/2", ("u",), ("x",)),
        for_every_x("x^2/2 + p*x + q = (x + 1)^2/keep(1 - 3)"),
        Statement("p = keep(1/(1 - 3)) and q = 1/2", ("p", "q")),
    ],
    ids=str,
)
def test_both_roads_agree_at_the_edges(asked: Statement) -> None:
    agree(samples.maths(asked.text), asked)


# ---- drawn statements -------------------------------------------------------------------------------------

Texts = st.SearchStrategy[str]
SIGNED = SMALL.map("({})".format)
FRACTIONS = st.builds("({}/{})".format, SIGNED, st.sampled_from(["2", "3", "4", "6", "(-2)"]))
ROOTS = COUNTS.map("sqrt({})".format)
BRACKETS = st.builds("({}*x + {})".format, SIGNED, SIGNED)
TERMS = st.one_of(
    SIGNED,
    FRACTIONS,
    st.builds("{}*x".format, SIGNED),
    st.builds("{}*x".format, FRACTIONS),
    st.builds("{}*x^2".format, SIGNED),
    st.builds("{}^2".format, BRACKETS),
    st.builds("{}*{}".format, BRACKETS, BRACKETS),
    st.builds("{}^2/{}".format, BRACKETS, st.integers(2, 5)),
    st.builds("keep({} - {})".format, COUNTS, COUNTS),
    st.builds("{}/keep({} - {})".format, BRACKETS, COUNTS, COUNTS),
)


def sums(least: int = 1) -> Texts:
    return st.lists(TERMS, min_size=least, max_size=3).map(" + ".join)


def equations() -> Texts:
    return st.builds("{} = {}".format, sums(), sums())


def solved_forms() -> Texts:
    return st.one_of(
        st.builds("x = {} ± {}".format, SIGNED, ROOTS),
        st.builds("x = {} ± {}*{}".format, FRACTIONS, FRACTIONS, ROOTS),
        st.builds("{} = ±{}".format, BRACKETS, ROOTS),
        st.builds("x = ({} ± {})/{}".format, SIGNED, ROOTS, st.sampled_from(["2", "3", "6", "(-4)"])),
        st.builds("x = ±sqrt({}/{})".format, COUNTS, st.integers(1, 9)),
        st.builds("x = {} or x = {}".format, FRACTIONS, SIGNED),
        st.builds("{} = 0 or x = {}".format, BRACKETS, FRACTIONS),
        st.builds("x = {} + {}".format, SIGNED, ROOTS),
    )


def displayed(text: str) -> Maths:
    found = shown(text, {})
    if found is None:
        reject()
    return found


@often
@given(equations())
def test_both_roads_agree_on_drawn_equations(text: str) -> None:
    agree(displayed(text), Statement(text))


@often
@given(solved_forms())
def test_both_roads_agree_on_drawn_solutions(text: str) -> None:
    agree(displayed(text), Statement(text))


@exactly_so
@given(st.builds("{} or {}".format, equations(), st.one_of(equations(), solved_forms())))
def test_both_roads_agree_on_drawn_alternatives(text: str) -> None:
    agree(displayed(text), Statement(text))


@often
@given(
    sums(2),
    st.sampled_from(["1", "2", "-3", "(1/2)"]),
    st.sampled_from(
        ["(x + p)^2 + q", "(x - p)^2 - q", "x^2 + p*x + q", "(x^2 + 2*p*x) + q/3", "x*(x + p) + 2*q"]
    ),
)
def test_both_roads_agree_on_drawn_identities(left: str, factor: str, right: str) -> None:
    text = f"{left} = {factor}*({right})"
    agree(displayed(text), Statement(text, ("p", "q"), ("x",)))


@exactly_so
@given(equations())
def test_both_roads_agree_on_the_discriminant_of_drawn_equations(text: str) -> None:
    try:
        shape = displayed(f"D = discriminant({text})")
    except DomainError:
        reject()
    agree(shape, Statement(text, ("D",), (), "x"))


@exactly_so
@given(st.tuples(*[st.one_of(SIGNED, FRACTIONS, st.just("keep(3/(1 - 4))"))] * 2))
def test_both_roads_agree_on_drawn_points(coordinates: tuple[str, str]) -> None:
    for first, second in (("p", "q"), ("q", "p")):
        text = f"{first} = {coordinates[0]} and {second} = {coordinates[1]}"
        assert agree(displayed(text), Statement(text, ("p", "q")))


# ---- values -----------------------------------------------------------------------------------------------


def slow_value(maths: Maths) -> Identity | type[Exception]:
    try:
        return identity.of_number(meaning.value(maths).constant())
    except (CannotDecide, DomainError) as refused:
        return type(refused)


def agree_on_value(maths: Maths) -> bool:
    reader = quick_value(maths.shape, "")
    quick = reader(maths.numbers) if reader is not None else None

    if quick is None:
        return False
    assert slow_value(maths) == quick, spelling.plain(maths)
    assert identity.of_value(maths) == quick
    return True


EXPRESSIONS = [
    "sqrt(k)",
    "-sqrt(k)",
    "a*sqrt(k)",
    "r + s*sqrt(k)",
    "(a + b*sqrt(k))/c",
    "value((a + b*sqrt(k))/c)",
    "sqrt(k)*sqrt(n)",
    "(a + sqrt(k))*(b - sqrt(k))",
    "(a + b*sqrt(k))^2",
    "keep(a*sqrt(k) + b*sqrt(k))",
    "sqrt(keep(a^2*n))",
    "sqrt(keep(n/k))",
    "sqrt(keep((a - b)/(c - d)))",
    "keep(a/(b - c))",
    "r*s - t",
    "keep((-a)^2 - 4*b*c)",
    "a*sqrt(k)/keep(b - c)",
    "w*sqrt(k) + w",
]


@pytest.mark.parametrize("text", EXPRESSIONS)
def test_both_roads_agree_on_the_value_of_an_expression(text: str) -> None:
    answered = 0

    @exactly_so
    @given(VALUES)
    def compared(values: dict[str, Exact]) -> None:
        nonlocal answered
        found = shown(text, values)
        assume(found is not None)
        answered += found is not None and agree_on_value(found)

    compared()
    assert answered >= 5


@pytest.mark.parametrize(
    "text",
    [
        "sqrt(keep(-4/(1 - 3)))",
        "1 + sqrt(keep(-4/(1 - 3)))/3",
        "sqrt(keep(4/(3 - 1)))",
        "keep(1/(1 - 3))*sqrt(2)",
        "sqrt(keep(0/(1 - 3)))",
        "discriminant(x^2/2 + x = 1)",
        "discriminant(x^2/2 + x - 1)",
        "discriminant(2*x^2 = 3*x + 1)",
    ],
)
def test_both_roads_agree_on_values_at_the_edges(text: str) -> None:
    agree_on_value(samples.maths(text))


@often
@given(
    st.sampled_from(["{} + {}", "{} - {}", "({})*({})", "({})/2 + ({})/3"]),
    *[
        st.one_of(
            SIGNED,
            FRACTIONS,
            ROOTS,
            st.builds("{}*{}".format, SIGNED, ROOTS),
            st.builds("({} + {}*{})".format, SIGNED, SIGNED, ROOTS),
            st.builds("sqrt({}/{})".format, COUNTS, st.integers(1, 9)),
        )
    ]
    * 2,
)
def test_both_roads_agree_on_drawn_values(joined: str, first: str, second: str) -> None:
    agree_on_value(displayed(joined.format(first, second)))


SURDS = st.builds("({} + {}*{})/{}".format, SIGNED, SIGNED, ROOTS, st.integers(1, 9))


@often
@given(SURDS, SURDS)
def test_two_values_have_one_identity_exactly_when_they_are_equal(first: str, second: str) -> None:
    values = [exact.number(parse(text), {}) for text in (first, second)]
    identities_found = [identity.of_value(displayed(text)) for text in (first, second)]

    assert (values[0] == values[1]) is (identities_found[0] == identities_found[1])


# ---- coefficients and truths ------------------------------------------------------------------------------


def slow_coefficients(maths: Maths, letter: str) -> list[Exact]:
    (equation,) = meaning.systems(maths)[0].zero
    powers = equation.in_powers_of(letter)
    return [powers[degree].constant() if degree in powers else 0 for degree in (2, 1, 0)]


@often
@given(equations())
def test_both_roads_agree_on_the_coefficients_of_drawn_equations(text: str) -> None:
    maths = displayed(text)
    reader = quick_coefficients(maths.shape, "x")
    assume(reader is not None)
    assert reader is not None
    found = reader(maths.numbers)
    assume(found is not None)
    *whole_numbers, d = found

    assert slow_coefficients(maths, "x") == [whole(Fraction(n, d)) for n in whole_numbers]


def identities() -> st.SearchStrategy[tuple[str, bool]]:
    """A true equation between polynomials in x, or one that is off by a number."""

    def text(a: int, h: int, k: int, off: int) -> tuple[str, bool]:
        left = f"({a})*(x - ({h}))^2 + ({k})"
        return f"{left} = ({a})*x^2 - ({2 * a * h})*x + ({a * h * h + k + off})", off == 0

    return st.builds(text, SMALL, SMALL, SMALL, st.sampled_from([0, 0, 1, -3]))


@often
@given(identities())
def test_the_quick_road_finds_an_identity_true_exactly_when_it_is(case: tuple[str, bool]) -> None:
    text, is_true = case
    maths = displayed(text)
    letters: Sequence[str] = tuple(sorted(meaning.looks(maths.shape).letters))
    reader = quick_truth(maths.shape, tuple(letters))
    (equation,) = meaning.systems(maths)[0].zero

    assert reader is not None
    assert is_true is reader(maths.numbers)
    assert is_true is (not equation.terms)


def test_the_identity_of_a_number_is_unique_to_it() -> None:
    """All (p + q*sqrt(r))/s of a small grid: as many identities as different exact numbers."""
    found: dict[Exact, Identity] = {}
    for p in range(-3, 4):
        for q in range(-3, 4):
            for r in range(13):
                for s in (1, 2, 3):
                    text = f"(({p}) + ({q})*sqrt({r}))/{s}"
                    value = exact.number(parse(text), {})
                    found.setdefault(value, identity.of_number(value))
                    assert found[value] == identity.of_value(samples.maths(text))

    assert any(isinstance(value, Surd) for value in found)
    assert len(found) == len(set(found.values()))
    assert len(found) >= 400


@often
@given(sums())
def test_a_side_of_a_line_is_the_same_polynomial_on_both_roads(text: str) -> None:
    """A line is a step from another by its sides; what divides by nought has no powers on either road."""
    maths = displayed(text)
    reader = quick_powers(maths.shape, "x")
    assert reader is not None
    found = reader(maths.numbers)
    try:
        slow = meaning.Meaning(maths.numbers).polynomial(maths.shape.display)
    except DomainError:
        assert found is None
        return
    assert polynomials.of_powers("x", *found) == slow
