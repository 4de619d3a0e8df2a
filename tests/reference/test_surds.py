"""Surds of open textbooks: the engine simplifies, combines and rationalises them all, and denests what denests.

The book, section and revision behind each source code stand in `surds.yaml`.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import isqrt

import pytest
import sympy

from itembank.errors import DomainError
from itembank.expressions import canonical, numbers
from itembank.expressions.numbers import Surd
from itembank.expressions.parser import parse
from itembank.proof.claims import prove as prove_property
from itembank.proof.prover import faults, prove
from itembank.properties.integer_tests import simplest_surd, simplifiable_surd, square_free_part
from itembank.verdicts import Proved, Refuted
from tests.reference.facts import Entry, cases, copy_of, original_of
from tests.reference.worked import (
    entered,
    in_simplest_form,
    is_squarefree,
    number,
    rewritten,
    roots_in,
    shown,
    verdict_on_key,
)

FACTS = copy_of("surds")
ROOTS = FACTS["simplify_sqrt"]
EXPRESSIONS = [*FACTS["simplify_expression"], *FACTS["rationalise"]]
NESTED = FACTS["nested"]
NO_DENESTING = "no denesting into square roots"
DENESTING = [entry for entry in NESTED if entry["expected"] != NO_DENESTING]
NOT_DENESTING = [entry for entry in NESTED if entry["expected"] == NO_DENESTING]
PRINTED_NEGATIVE = {"nested-004": "1-sqrt(2)", "nested-005": "4-3*sqrt(5)"}


def by_sympy(text: str) -> sympy.Expr:
    return sympy.sympify(text.replace("^", "**"), rational=True)


# ---- what is collected ------------------------------------------------------------------------------------


def test_every_kind_of_worked_example_is_collected() -> None:
    assert len(ROOTS) >= 16
    assert len(FACTS["simplify_expression"]) >= 37
    assert len(FACTS["rationalise"]) >= 33
    assert len(DENESTING) >= 6
    assert len(NOT_DENESTING) >= 2


def test_each_textbook_source_is_explained() -> None:
    used = {entry["source"] for entry in [*ROOTS, *EXPRESSIONS]}

    assert used == set(FACTS["sources"])
    assert all({"book", "section", "revision"} <= set(source) for source in FACTS["sources"].values())


def test_the_copy_agrees_with_the_reference_folder() -> None:
    assert original_of("surds") == FACTS


@pytest.mark.parametrize(
    ("text", "simplest"),
    [
        ("3 + 4*sqrt(2)", True),
        ("5*sqrt(3)/3", True),
        ("(-1 - sqrt(5))/2", True),
        ("sqrt(8)", False),
        ("sqrt(1)", False),
        ("sqrt(1/2)", False),
        ("6/sqrt(35)", False),
        ("6/(1 + sqrt(35))", False),
        ("6/(2*(1 + sqrt(35)))", False),
    ],
)
def test_the_test_for_the_simplest_form_sees_what_is_not_simplest(text: str, simplest: bool) -> None:
    assert simplest is in_simplest_form(text)


# ---- roots of whole numbers -------------------------------------------------------------------------------


@pytest.mark.parametrize("entry", cases(ROOTS))
def test_a_root_is_split_into_the_published_factor_and_radicand(entry: Entry) -> None:
    n, k, m = entry["n"], entry["k"], entry["m"]

    assert (k, m) == numbers.square_root_parts(n)
    assert numbers.make({m: Fraction(k)}) == number(f"sqrt({n})")
    assert m == square_free_part(n)
    assert f"{k}*sqrt({m})" == shown(canonical.exact(number(f"sqrt({n})")))


@pytest.mark.parametrize("entry", cases(ROOTS))
def test_search_and_proof_call_a_root_that_simplifies_simplifiable(entry: Entry) -> None:
    n, m = entry["n"], entry["m"]

    assert simplifiable_surd(n)
    assert not simplest_surd(n)
    assert simplest_surd(m)
    assert isinstance(prove_property("simplifiable_surd", n), Proved)
    assert isinstance(prove_property("simplest_surd", n), Refuted)
    assert isinstance(prove_property("simplest_surd", m), Proved)


@pytest.mark.parametrize("entry", cases(ROOTS))
def test_the_boxes_take_the_published_answer_and_no_half_simplified_one(entry: Entry) -> None:
    n, k, m = entry["n"], entry["k"], entry["m"]
    asked, key = f"sqrt({n})", f"{k}*sqrt({m})"
    smaller = [d for d in range(1, k) if k % d == 0]

    assert faults(prove(entered(asked, key, {"q": k, "r": m}))) == ()
    for d in smaller:
        found = faults(prove(entered(asked, key, {"q": d, "r": m * (k // d) ** 2})))
        assert ["entry"] == [finding.code for finding in found]


# ---- expressions and rational denominators ----------------------------------------------------------------


@pytest.mark.parametrize("entry", cases(EXPRESSIONS))
def test_an_expression_has_exactly_the_published_value(entry: Entry) -> None:
    assert number(entry["expected"]) == number(entry["expression"])


@pytest.mark.parametrize("entry", cases(EXPRESSIONS))
def test_an_expression_is_shown_with_squarefree_radicands_and_a_rational_denominator(entry: Entry) -> None:
    text = shown(canonical.exact(number(entry["expression"])))

    assert in_simplest_form(text)
    assert number(entry["expected"]) == number(text)
    assert sorted(set(roots_in(entry["expected"]))) == sorted(set(roots_in(text)))


@pytest.mark.parametrize("entry", cases(EXPRESSIONS))
def test_a_published_answer_is_itself_in_simplest_form(entry: Entry) -> None:
    assert in_simplest_form(entry["expected"])


@pytest.mark.parametrize("entry", cases(EXPRESSIONS))
def test_the_proof_accepts_the_published_answer_and_refutes_a_changed_one(entry: Entry) -> None:
    key = entry["expected"]
    item = rewritten(entry["expression"], key, [entry["expression"], key])

    assert faults(prove(item)) == ()
    for wrong in (f"{key} + 1/1000", f"-({key})", f"{key} - sqrt(2)/10^9"):
        assert isinstance(verdict_on_key(rewritten(entry["expression"], wrong)).verdict, Refuted)


@pytest.mark.parametrize("entry", cases(FACTS["rationalise"]))
def test_sympy_rationalises_to_the_same_value(entry: Entry) -> None:
    text = shown(canonical.exact(number(entry["expression"])))

    assert sympy.radsimp(by_sympy(entry["expression"]) - by_sympy(text)) == 0


# ---- nested roots -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("entry", cases(DENESTING))
def test_a_nested_root_that_denests_does_so_for_sympy_and_for_the_engine(entry: Entry) -> None:
    value = number(entry["expression"])

    assert sympy.sqrtdenest(by_sympy(entry["expression"])).equals(by_sympy(entry["expected"]))
    assert number(entry["expected"]) == value
    assert numbers.sign(value) > 0
    assert faults(prove(rewritten(entry["expression"], entry["expected"]))) == ()


@pytest.mark.parametrize("entry", cases([e for e in NESTED if e["id"] in PRINTED_NEGATIVE]))
def test_a_negative_number_printed_for_a_nested_root_is_refuted(entry: Entry) -> None:
    printed = PRINTED_NEGATIVE[entry["id"]]

    assert number(printed) == numbers.negate(number(entry["expected"]))
    assert isinstance(verdict_on_key(rewritten(entry["expression"], printed)).verdict, Refuted)


@pytest.mark.parametrize("entry", cases(NOT_DENESTING))
def test_a_nested_root_that_does_not_denest_is_refused_not_approximated(entry: Entry) -> None:
    nested = by_sympy(entry["expression"])

    assert nested == sympy.sqrtdenest(nested)
    with pytest.raises(DomainError, match="nested root"):
        number(entry["expression"])


def test_a_root_of_a_sum_denests_exactly_when_its_norm_is_a_square() -> None:
    """Gkioulekas 2017: sqrt(a + b*sqrt(p)) is a sum of two roots exactly where a^2 - b^2*p is a square."""
    denested = 0
    for a, b, p in product(range(1, 21), range(1, 7), (2, 3, 5, 6, 7, 10)):
        norm = a * a - b * b * p
        is_square = norm >= 0 and isqrt(norm) ** 2 == norm
        inside = numbers.make({1: Fraction(a), p: Fraction(b)})
        try:
            root = numbers.square_root(inside)
        except DomainError:
            assert not is_square
            continue
        denested += 1
        assert is_square
        assert inside == numbers.multiply(root, root)
        assert numbers.sign(root) > 0
        assert isinstance(root, Surd)
        assert all(is_squarefree(radicand) for radicand, _ in root.terms)
    assert denested >= 30


def test_every_published_expression_is_one_the_parser_reads() -> None:
    read = [parse(entry["expression"]) for entry in [*EXPRESSIONS, *NESTED]]
    expected = [parse(entry["expected"]) for entry in [*EXPRESSIONS, *DENESTING]]

    assert len(read) >= 78
    assert len(expected) >= 76
