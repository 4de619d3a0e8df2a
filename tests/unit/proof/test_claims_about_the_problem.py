"""Guarantees that name the problem within other maths: what it displays is put in, on both roads."""

from __future__ import annotations

from itertools import islice

import pytest

from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Instantiator
from itembank.generator.space import walk
from itembank.items import Item
from itembank.proof.prover import prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.verdicts import Proved
from itembank.yaml_source import parse

QUADRATIC = """\
template: quadratic
version: 1
title: Solve a quadratic
unknowns: [x]
parameters: {{a: [2, 3], b: {{from: -9, to: 9}}, c: {{from: -5, to: 5, leaving_out: [0]}}}}
constraints: [b^2 > 4*a*c]
guarantees: ["{claim}"]
problem: a*x^2 + b*x + c = 0
stem: Solve $problem$, giving the solutions in simplest form.
response: {{kind: choice, options: 2}}
key: x = (-b ± sqrt(b^2 - 4*a*c))/(2*a)
slips: [{{slip: sign, value: x = (b ± sqrt(b^2 - 4*a*c))/(2*a), pupil: Look., teacher: Sign.}}]
"""
EXPRESSION = """\
template: expression
version: 1
title: Say it in other words
letters: [x]
parameters: {{a: [1, 2, 3], b: {{from: 1, to: 9}}, c: {{from: -5, to: -1}}}}
guarantees: ["{claim}"]
problem: a*x^2 + b*x + c
stem: Find what equals $problem$.
response: {{kind: choice, options: 2}}
key: c + b*x + a*x^2
slips: [{{slip: sign, value: a*x^2 - b*x + c, pupil: Look., teacher: Sign.}}]
"""


def first_item(template: str, claim: str) -> Item:
    """The first item of a template with a guarantee."""
    source = template.format(claim=claim).encode()
    bound = Bound(make_recipe(read_template(parse(source, "claim.yaml"), NO_SLIPS).template))
    maker = Instantiator(bound, 1)
    return next(maker.item(each.position, each.draft, "K7Q2M") for each in islice(walk(bound, 1), 1))


@pytest.mark.parametrize(
    ("template", "claim"),
    [
        (QUADRATIC, "discriminant(problem) > 7"),
        (QUADRATIC, "mod(discriminant(problem), 4) = 0"),
        (QUADRATIC, "is_square(discriminant(problem))"),
        (QUADRATIC, "not is_square(discriminant(problem))"),
        (QUADRATIC, "squarefree(discriminant(problem)/4)"),
        (QUADRATIC, "coprime(a, discriminant(problem))"),
        (QUADRATIC, "distinct_roots(problem) and discriminant(problem) != 33"),
        (EXPRESSION, "factorable(problem - c)"),
        (EXPRESSION, "not_factorable(problem + 1)"),
        (EXPRESSION, "discriminant(problem - c) = b^2"),
    ],
)
def test_what_the_search_found_of_the_problem_is_proved_on_both_roads(template: str, claim: str) -> None:
    item = first_item(template, claim)
    for road in (prove, prove_with_sympy):
        claims = [each.verdict for each in road(item) if each.code == "guarantee"]

        assert [True] == [isinstance(verdict, Proved) for verdict in claims]


def test_the_witness_shows_the_number_of_the_displayed_problem() -> None:
    item = first_item(QUADRATIC, "discriminant(problem) > 7")
    a, b, c = (int(str(item.values[name])) for name in "abc")
    (verdict,) = (each.verdict for each in prove(item) if each.code == "guarantee")

    assert isinstance(verdict, Proved)
    assert f"discriminant(problem) > 7: {b * b - 4 * a * c} > 7" == verdict.witness
