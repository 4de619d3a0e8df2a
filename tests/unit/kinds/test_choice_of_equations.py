"""A choice among equations: options as written, of which one has the problem's solutions.

The roots of each option are worked out here, from its coefficients; the question is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import islice

import pytest

from itembank.audit.verify import audit_item
from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic, InputError
from itembank.expressions.display import Maths
from itembank.expressions.spelling import plain, terminal
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.items import ChoiceResponse, Item
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.writers import qti3
from itembank.yaml_source import parse
from tests.kinds_bank import walk_items

NOTE = 'teacher: Look., source: "common practice, no source"'
ROOTS = f"""\
template: from-roots
version: 1
title: Say which equation has two roots
calculator: no
unknowns: [x]
parameters: {{p: {{from: 1, to: 9}}, q: {{from: -9, to: -1}}}}
derived: {{s: p + q, c: p*q}}
constraints: [s != 0]
problem: (x - p)*(x - q) = 0
stem: Which equation has the roots $p$ and $q$?
response: {{kind: choice, options: 4, right: x^2 - s*x + c = 0}}
key: x = p or x = q
slips:
  - {{slip: sum-sign, value: x^2 + s*x + c = 0, {NOTE}}}
  - {{slip: product-sign, value: x^2 - s*x - c = 0, {NOTE}}}
  - {{slip: product-left-out, value: x^2 - s*x = 0, {NOTE}}}
"""
LINES = f"""\
template: parallel
version: 1
title: Say which line is parallel
calculator: no
unknowns: [y]
in_terms_of: [x]
parameters: {{a: {{from: 2, to: 5}}, b: {{from: 2, to: 5}}, u: {{from: 1, to: 4}}, v: {{from: 5, to: 9}}}}
constraints: ["gcd(a, b) = 1"]
problem: b*(y - v) = a*(x - u)
stem: Which line goes through $(u, v)$ and is parallel to $a*x - b*y = 0$?
response: {{kind: choice, options: 3, right: a*x - b*y = value(a*u - b*v)}}
key: y = a*x/b + (b*v - a*u)/b
slips:
  - {{slip: gradient-turned, value: a*x + b*y = value(a*u + b*v), {NOTE}}}
  - {{slip: quotient-upside-down, value: b*x - a*y = value(b*u - a*v), {NOTE}}}
"""


@cache
def _bound(text: str) -> Bound:
    return Bound(make_recipe(read_template(parse(text.encode(), "equations.yaml"), NO_SLIPS).template))


def _items(text: str, count: int) -> Iterator[Item]:
    return islice(walk_items(_bound(text)), count)


def _told(text: str) -> list[Diagnostic]:
    try:
        return review(Entry(_bound(text).recipe, "", "equations.yaml")).diagnostics
    except InputError as wrong:
        return list(wrong.diagnostics)


def _choice(item: Item) -> ChoiceResponse:
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    return response


@pytest.mark.parametrize("text", [ROOTS, LINES])
def test_every_road_proves_them(text: str) -> None:
    assert _told(text) == []
    for item in _items(text, 12):
        assert () == faults(prove(item))
        assert () == faults(prove_with_sympy(item))
        assert () == audit_item(qti3.item_xml(item).encode(), "items/X.xml")[1]


def test_the_options_are_equations_and_one_alone_has_the_roots() -> None:
    for item in _items(ROOTS, 30):
        told = [int(number) for number in re.findall(r"-?\d+", _stem(item))]
        right = []
        for option in _choice(item).options:
            assert isinstance(option.content, Maths)
            shown = plain(option.content)
            assert shown.startswith("x^2")
            assert shown.endswith("= 0")
            if all(_left(shown, root) == 0 for root in told):
                right.append(option.is_key)

        assert [True] == right


def _stem(item: Item) -> str:
    return " ".join(plain(each) for each in item.parts[0].stem.fillings if isinstance(each, Maths))


def _left(shown: str, x: int) -> int:
    """The left side of x^2 + b*x + c = 0 at a number, from its coefficients."""
    found = re.fullmatch(r"x\^2(?: ([+-]) (?:(\d+)\*)?x)?(?: ([+-]) (\d+))? = 0", shown)
    assert found is not None, shown
    b = int(f"{found[1]}{found[2] or 1}") if found[1] else 0
    return x * x + b * x + (int(f"{found[3]}{found[4]}") if found[3] else 0)


def test_an_equation_without_solutions_is_an_option_among_others() -> None:
    """x² + 6x + 11 = 0 has none: its discriminant is −8; a pupil who turns the sign of a product may choose it."""
    text = ROOTS.replace("- s*x - c = 0", "- s*x + (s^2 + 2) = 0")

    for item in _items(text, 10):
        assert "product-sign" in {option.slip.name for option in _choice(item).options if option.slip}
        assert () == faults(prove(item))
        assert () == faults(prove_with_sympy(item))


def test_a_right_option_that_is_wrong_is_told_at_its_place() -> None:
    """Also where it is the very equation of a slip: then not the slip is at fault."""
    for wrong in ("x^2 + c = 0", "x^2 - s*x = 0"):
        (told,) = [each for each in _told(ROOTS.replace("x^2 - s*x + c = 0}", f"{wrong}}}")) if each.span]

        assert "wrong-right-option" == told.code
        assert told.span is not None
        assert (11, 45) == (told.span.line, told.span.column)


def test_a_right_option_in_place_of_another_is_refuted_on_every_road() -> None:
    (item,) = _items(ROOTS, 1)
    response = _choice(item)
    wrong = next(option for option in response.options if not option.is_key)
    swapped = tuple(
        option._replace(content=wrong.content)
        if option.is_key
        else option._replace(content=response.key.content)
        if option is wrong
        else option
        for option in response.options
    )
    spoiled = replace(item, parts=(replace(item.parts[0], response=replace(response, options=swapped)),))

    for prover in (prove, prove_with_sympy):
        assert {"option"} == {fault.code for fault in faults(tuple(prover(spoiled)))}
    assert audit_item(qti3.item_xml(spoiled).encode(), "items/X.xml")[1]


@pytest.mark.parametrize(
    ("response", "code", "key"),
    [
        ("right: solutions", "one-right-option", "right"),
        ("right: [x = p or x = q, (x - p)*(x - q) = 0]", "one-right-option", "right"),
        ("right: x^2 - s*x + c = 0, form: values", "key-of-other-kind", "form"),
        ("right: x^2 - s*x + c", "statement-needed", "x^2"),
    ],
)
def test_what_is_no_right_option_of_a_choice_is_told(response: str, code: str, key: str) -> None:
    text = ROOTS.replace("right: x^2 - s*x + c = 0", response)

    (told,) = [each for each in _told(text) if each.code == code]

    assert told.span is not None
    line = text.splitlines()[told.span.line - 1]
    assert line[told.span.column - 1 :].startswith(key)


def test_an_author_who_wants_equations_and_gets_solutions_is_told_how() -> None:
    text = ROOTS.replace(", right: x^2 - s*x + c = 0", "")

    (told,) = [each for each in _told(text) if each.code == "equation-asked-for"]

    assert "right: x^2" in told.hint
    assert "x = " in terminal(next(_items(text, 1)).parts[0].key)


def test_whose_answer_is_a_curve_is_told_how_to_ask_for_it() -> None:
    text = ROOTS.replace("[x]", "[x, y]").replace("(x - p)*(x - q) = 0", "x^2 + y^2 = p^2 + q^2")
    text = text.replace("key: x = p or x = q", "key: x^2 + y^2 = p^2 + q^2").replace(
        ", right: x^2 - s*x + c = 0", ""
    )

    (told,) = [each for each in _told(text) if each.code == "key-not-explicit"]

    assert "in_terms_of: [x]" in told.hint
    assert "letters: [x, y]" in told.hint
