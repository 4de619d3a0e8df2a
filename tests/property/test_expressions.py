"""Laws of the expression language: round trips, and agreement of every reading with other code.

The oracles (sympy, python-flint) and the readers of LaTeX and MathML share no code with the package.
"""

from __future__ import annotations

import ast
from fractions import Fraction
from typing import Any

import pytest
import sympy
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from sympy.parsing.latex import parse_latex
from sympy.parsing.sympy_parser import convert_xor, parse_expr, rationalize, standard_transformations

from itembank.errors import DomainError
from itembank.expressions import display, exact, latex, mathml, numbers, plain, spelling, symbolic, tree
from itembank.expressions.display import Display, Maths
from itembank.expressions.numbers import Surd
from itembank.expressions.parser import parse
from itembank.expressions.tree import Node
from tests.expressions.oracles import (
    Undefined,
    as_flint,
    as_sympy,
    flint_value,
    have_same_meaning,
    is_same,
    meaning_of_reading,
    meaning_of_tree,
)
from tests.expressions.readers import read_content, read_latex, read_presentation
from tests.expressions.showing import show
from tests.expressions.tidiness import untidy
from tests.property import strategies as some

ALL_NAMES = (*some.PARAMETERS, *some.LETTERS)
any_leaf = st.one_of(some.numerals(decimals=True), some.names(ALL_NAMES))
any_term = some.terms(
    any_leaf, roots=True, functions=True, display_words=("keep", "value", "expand"), size=12
)
worked_out = st.sampled_from(
    ["value(1 - sqrt(2))", "value(sqrt(8) - 3)", "surd(12)", "value((1 - sqrt(5))/2)", "surd(9)"]
)
shown_leaf = st.one_of(some.numerals(), some.names(("h", "k", "x", "y")), worked_out.map(parse))
shown_term = some.terms(shown_leaf, roots=True, exponents=(1, 2, 3, -1), display_words=("keep",), size=8)
shown_values = some.values(("h", "k"))
letter_values = some.values(("x", "y"))


# the text and the tree


@given(st.one_of(any_term, some.with_either_sign(any_term), some.statements(any_term)))
@settings(max_examples=300, deadline=None)
def test_the_spelling_of_a_tree_parses_back_to_the_same_tree(node: Node) -> None:
    assert node == parse(plain.plain(node))


@given(any_term, st.sampled_from(["", " ", "  ", "\n"]))
@settings(max_examples=100, deadline=None)
def test_spaces_between_signs_change_nothing(node: Node, space: str) -> None:
    spread = plain.plain(node)
    for sign in "+-*/^(),":
        spread = spread.replace(sign, f"{space}{sign}{space}")

    assert node == parse(spread)


@given(some.statements(any_term))
@settings(max_examples=100, deadline=None)
def test_true_signs_are_read_like_their_ascii_spellings(node: Node) -> None:
    spelt = plain.plain(node)
    for ascii_sign, sign in (("<=", "≤"), (">=", "≥"), ("!=", "≠"), ("-", "−"), ("*", "×")):
        spelt = spelt.replace(ascii_sign, sign)

    assert node == parse(spelt)


@given(st.one_of(any_term, some.statements(any_term)))
@settings(max_examples=150, deadline=None)
def test_the_place_of_every_node_holds_its_own_text(node: Node) -> None:
    text = plain.plain(node)

    for part in tree.walk(parse(text)):
        start, end = part.place
        assert part == parse(text[start:end])


_letters = st.sampled_from(["x", "y", "h_1"]).map(lambda name: (f" {name}", tree.Name(name)))
_brackets = some.terms(any_leaf, size=3).map(lambda node: (f"({plain.plain(node)})", node))
_calls = some.terms(any_leaf, size=3).map(
    lambda node: (f"sqrt({plain.plain(node)})", tree.Call("sqrt", (node,)))
)


@given(
    st.integers(0, 99),
    st.lists(st.one_of(_brackets, _calls), min_size=1, max_size=3),
    st.lists(_letters, max_size=2),
    st.integers(-3, 3),
)
@settings(max_examples=200, deadline=None)
def test_factors_side_by_side_are_a_product_and_the_exponent_belongs_to_the_last(
    number: int, brackets: list[tuple[str, Node]], letters: list[tuple[str, Node]], exponent: int
) -> None:
    factors = [*brackets, *letters]
    *before, last = [node for _, node in factors]
    size = tree.Number(Fraction(abs(exponent)))
    raised = tree.Power(last, size if exponent >= 0 else tree.Negation(size))

    expected = some.product([tree.Number(Fraction(number)), *before, raised])

    assert expected == parse(f"{number}{''.join(text for text, _ in factors)}^{exponent}")


# precedence and value


@given(some.rational_terms(), some.values(some.PARAMETERS))
@settings(max_examples=300, deadline=None)
def test_rational_values_are_those_of_flint(node: Node, values: dict[str, Fraction]) -> None:
    try:
        found = exact.number(node, values)
    except numbers.BoundExceeded:
        assume(False)
    except DomainError:
        with pytest.raises(Undefined):
            flint_value(node, values)
        return

    assert flint_value(node, values) == as_flint(found)  # type: ignore[arg-type]


@given(some.radical_terms(), some.values(some.PARAMETERS, whole=True))
@settings(max_examples=250, deadline=None)
def test_values_with_roots_are_those_of_sympy(node: Node, values: dict[str, Fraction]) -> None:
    try:
        found = exact.number(node, values)
    except DomainError:
        assume(False)

    assert is_same(meaning_of_tree(node, values), as_sympy(found))


@given(some.polynomial_terms(("h", "x", "y")), some.values(("h", "x", "y")))
@settings(max_examples=200, deadline=None)
def test_a_polynomial_has_the_value_of_its_tree_everywhere(node: Node, values: dict[str, Fraction]) -> None:
    try:
        found = exact.polynomial(node, {"h": values["h"]})
    except numbers.BoundExceeded:
        assume(False)
    total: Any = 0
    for monomial, coefficient in found.terms:
        power = Fraction(1)
        for name, exponent in monomial:
            power *= values[name] ** exponent
        total = numbers.add(total, numbers.multiply(coefficient, power))

    assert flint_value(node, values) == as_flint(total)


class _Python(ast.NodeVisitor):
    """A text with Python's precedence, worked out in fractions."""

    def __init__(self, text: str, values: dict[str, Fraction]) -> None:
        self.text, self.values = text, values

    def value(self) -> Fraction:
        return self.of(ast.parse(self.text, mode="eval").body)

    def of(self, node: ast.expr) -> Fraction:
        match node:
            case ast.Constant():
                return Fraction(ast.get_source_segment(self.text, node) or "")
            case ast.Name(name):
                return self.values[name]
            case ast.UnaryOp(ast.USub(), operand):
                return -self.of(operand)
            case ast.BinOp(left, operator, right):
                a, b = self.of(left), self.of(right)
                match operator:
                    case ast.Add():
                        return a + b
                    case ast.Sub():
                        return a - b
                    case ast.Mult():
                        return a * b
                    case ast.Div():
                        return a / b
                    case ast.Pow():
                        return a ** int(b)
        raise AssertionError(ast.dump(node))


plain_rationals = some.terms(
    st.one_of(some.numerals(decimals=True), some.names(some.PARAMETERS)), exponents=(1, 2, 3, -1), size=10
)


@given(plain_rationals, some.values(some.PARAMETERS))
@settings(max_examples=400, deadline=None)
def test_signs_bind_as_they_do_in_python(node: Node, values: dict[str, Fraction]) -> None:
    text = plain.plain(node)
    try:
        found = exact.number(parse(text), values)
    except DomainError:
        assume(False)

    assert _Python(text.replace("^", "**"), values).value() == found


@given(plain_rationals, some.values(some.PARAMETERS))
@settings(max_examples=150, deadline=None)
def test_signs_bind_as_they_do_in_sympy(node: Node, values: dict[str, Fraction]) -> None:
    text = plain.plain(node)
    try:
        found = exact.number(parse(text), values)
    except DomainError:
        assume(False)
    given_values = {name: as_sympy(value) for name, value in values.items()}
    transformations = (*standard_transformations, convert_xor, rationalize)

    assert as_sympy(found) == parse_expr(text, given_values, transformations=transformations)


# the sympy reading


@given(st.one_of(some.radical_terms(), some.rational_terms(size=5)), some.values(some.PARAMETERS, whole=True))
@settings(max_examples=200, deadline=None)
def test_the_sympy_reading_with_numbers_has_the_exact_value(node: Node, values: dict[str, Fraction]) -> None:
    try:
        found = exact.number(node, values)
    except DomainError:
        assume(False)
    given_values = {name: as_sympy(value) for name, value in values.items()}

    assert is_same(symbolic.to_sympy(node, given_values), as_sympy(found))


@given(
    some.terms(
        st.one_of(some.numerals(), some.names(some.PARAMETERS)), roots=True, exponents=(1, 2, -1), size=5
    ),
    some.values(some.PARAMETERS, whole=True),
)
@settings(max_examples=150, deadline=None)
def test_the_sympy_reading_with_symbols_has_the_exact_value_once_they_are_replaced(
    node: Node, values: dict[str, Fraction]
) -> None:
    symbols = {name: sympy.Symbol(name, real=True) for name in some.PARAMETERS}
    try:
        found = exact.number(node, values)
        read = symbolic.to_sympy(node, symbols)
    except DomainError:
        assume(False)

    assert is_same(
        read.subs({symbols[name]: as_sympy(value) for name, value in values.items()}), as_sympy(found)
    )


@given(some.statements(some.rational_terms(size=3)), some.values(some.PARAMETERS))
@settings(max_examples=150, deadline=None)
def test_the_sympy_reading_of_a_statement_is_as_true_as_the_exact_one(
    node: Node, values: dict[str, Fraction]
) -> None:
    given_values = {name: as_sympy(value) for name, value in values.items()}
    try:
        read = symbolic.to_sympy(node, given_values)
    except DomainError:
        assume(False)

    assert bool(read) == exact.truth(node, values, lambda name, arguments: False)


# what is displayed


def placed(values: dict[str, Fraction]) -> dict[str, tuple[Fraction, int | None]]:
    return {name: (value, None) for name, value in values.items()}


def shown_or_assumed_away(node: Node, values: dict[str, Fraction]) -> Maths:
    try:
        return show(node, placed(values))
    except DomainError:
        assume(False)
        raise


def meanings(node: Node, values: dict[str, Fraction]) -> list[Any]:
    """Upper and lower reading of a tree, assumed to be defined."""
    try:
        return [meaning_of_tree(node, values, sign) for sign in (1, -1)]
    except Undefined:
        assume(False)
        raise


def same_readings(first: list[Any], second: list[Any]) -> bool:
    """A pair has no order: -(±2) is shown as ±2."""
    return all(map(have_same_meaning, first, second)) or all(map(have_same_meaning, first, second[::-1]))


shown_anything = st.one_of(
    shown_term,
    some.with_either_sign(shown_term),
    some.statements(some.terms(shown_leaf, size=4), negated=False),
)


@given(shown_anything, shown_values, letter_values)
@settings(max_examples=300, deadline=None)
def test_every_notation_of_what_is_shown_has_the_value_of_the_template(
    node: Node, values: dict[str, Fraction], letters: dict[str, Fraction]
) -> None:
    maths = shown_or_assumed_away(node, values)
    expected = meanings(node, values | letters)
    trees = {
        "latex": read_latex(latex.latex(maths)),
        "presentation": read_presentation(mathml.presentation(maths)),
        "content": read_content(mathml.content(maths)),
    }

    for notation, found in trees.items():
        assert same_readings(expected, [meaning_of_reading(found, letters, s) for s in (1, -1)]), notation


@given(shown_anything, shown_values, letter_values)
@settings(max_examples=200, deadline=None)
def test_the_plain_text_of_what_is_shown_parses_to_the_value_of_the_template(
    node: Node, values: dict[str, Fraction], letters: dict[str, Fraction]
) -> None:
    maths = shown_or_assumed_away(node, values)
    expected = meanings(node, values | letters)
    found = parse(spelling.plain(maths))

    assert same_readings(expected, [meaning_of_tree(found, letters, sign) for sign in (1, -1)])


@given(shown_anything, shown_values)
@settings(max_examples=500, deadline=None)
def test_what_is_shown_is_tidy(node: Node, values: dict[str, Fraction]) -> None:
    maths = shown_or_assumed_away(node, values)

    assert [] == untidy(maths)


@given(
    some.polynomial_terms(("h", "x", "y"), size=5),
    st.booleans(),
    some.values(("h",)),
    some.values(("x", "y")),
)
@settings(max_examples=200, deadline=None)
def test_what_is_multiplied_out_is_tidy_descends_and_has_the_same_value(
    node: Node, squared: bool, values: dict[str, Fraction], letters: dict[str, Fraction]
) -> None:
    inner = tree.Power(node, tree.Number(Fraction(2))) if squared else node
    maths = shown_or_assumed_away(tree.Call("expand", (inner,)), values)
    shown = maths.shape.display
    degrees = [_degree(term) for _, term in shown.terms] if isinstance(shown, display.Terms) else []
    read = meaning_of_reading(read_latex(latex.latex(maths)), letters, 1)

    assert [] == untidy(maths)
    assert sorted(degrees, reverse=True) == degrees
    assert is_same(meaning_of_tree(inner, values | letters), read)


def _degree(node: Display) -> int:
    match node:
        case display.Letter():
            return 1
        case display.Raised(display.Letter(), display.Numeral(_, text)):
            return int(text)
        case display.Factors(factors):
            return sum(map(_degree, factors))
        case _:
            return 0


# sympy's own reader of LaTeX

MISREAD_BY_SYMPY = {
    "± 3": "± is a letter pm",
    "x != 2": "≠ is a letter ne",
    "x ≈ 2": "≈ is a letter approx",
    "0.5*x": "decimals are floats",
    "x*(y + 1)": "a letter before a bracket is a function called x",
    "x*(y + 1)^2": "the same with an exponent",
    "d*x": "a d before a letter is a differential dx",
    "2*x*sqrt(3)": "an x between two numbers is a sign of multiplication",
    "gcd(x, 4)": "the upright name of a function is read letter by letter",
    "0 < x < 5": "a chain is an error",
    "abs(x)": "bars are an error",
    "x = 2 or x = 3": "words are an error",
    "(x, y) = (2, 3)": "points are an error",
}
"""What sympy's reader of LaTeX gets wrong, mostly without a word: left out of the comparison with it."""


def sympy_understands(node: Display) -> bool:
    """Whether sympy's reader of LaTeX understands a display: not what MISREAD_BY_SYMPY names."""
    match node:
        case display.Numeral(_, text):
            understood = "." not in text
        case display.Terms(terms):
            understood = all(sign != "±" for sign, _ in terms)
        case display.Factors(factors, crosses):
            pairs = zip(factors, factors[1:], crosses, strict=False)
            beside = any(not crossed and _is_misread_beside(a, b) for a, b, crossed in pairs)
            understood = not beside and not any(map(_is_misread_between, factors, factors[1:], factors[2:]))
        case display.Letter() | display.Over() | display.Raised() | display.Root() | display.Bracket():
            understood = True
        case display.Compared(_, signs):
            understood = len(signs) == 1 and signs[0] in {"=", "<", "<=", ">", ">="}
        case _:
            understood = False
    return understood and all(map(sympy_understands, display.parts(node)))


def _is_misread_beside(before: Display, after: Display) -> bool:
    base = after.base if isinstance(after, display.Raised) else after
    is_call = isinstance(before, display.Letter) and isinstance(base, display.Bracket)
    return is_call or (before == display.Letter("d") and isinstance(base, display.Letter))


def _is_misread_between(before: Display, middle: Display, after: Display) -> bool:
    return middle == display.Letter("x") and not _has_letter(before) and not _has_letter(after)


def _has_letter(node: Display) -> bool:
    return isinstance(node, display.Letter) or any(map(_has_letter, display.parts(node)))


@pytest.mark.parametrize("source", MISREAD_BY_SYMPY)
def test_what_sympy_misreads_is_left_out(source: str) -> None:
    node = parse(source)
    maths = show(node, {})
    try:
        read = parse_latex(latex.latex(maths))
    except Exception:  # whatever its parser raises
        read = None

    assert not sympy_understands(maths.shape.display)
    assert (
        read is None
        or {sympy.Symbol(name) for name in tree.names(node)} != read.free_symbols
        or read.atoms(sympy.Float, sympy.core.function.AppliedUndef)
    )


def _letters_of_sympy(letters: dict[str, Fraction]) -> dict[Any, Any]:
    return {sympy.Symbol(name): as_sympy(value) for name, value in letters.items()}


@given(shown_term, shown_values, letter_values)
@settings(max_examples=250, deadline=None)
def test_sympy_reads_our_latex_to_the_value_of_the_template_where_it_understands_it(
    node: Node, values: dict[str, Fraction], letters: dict[str, Fraction]
) -> None:
    maths = shown_or_assumed_away(node, values)
    assume(sympy_understands(maths.shape.display))
    try:
        expected = meaning_of_tree(node, values | letters)
    except Undefined:
        assume(False)
    read = parse_latex(latex.latex(maths))

    assert is_same(expected, read.subs(_letters_of_sympy(letters)).doit())


@given(some.radical_terms(), some.values(some.PARAMETERS, whole=True))
@settings(max_examples=150, deadline=None)
def test_a_surd_is_never_equal_to_another_form_of_the_same_number(
    node: Node, values: dict[str, Fraction]
) -> None:
    try:
        found = exact.number(node, values)
        again = numbers.divide(numbers.multiply(found, numbers.square_root(12)), numbers.square_root(3))
    except DomainError:
        assume(False)

    assert numbers.multiply(found, 2) == again
    assert not isinstance(found, Surd) or numbers.sign(found) != 0
