"""Equations in two letters made into y = m x + k: the numbers m and k are asked for, and proved for every x.

Among the equations are x + y = 13, 3x + 2y = 18 and 8x + 7y = 15 of OpenStax, Elementary Algebra 2e, section 2.6,
"Solve a Formula for a Specific Variable", from memory.
"""

from __future__ import annotations

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse

SUBJECT = """\
template: subject
version: 1
title: Make y the subject
unknowns: [m, k]
for_every: [x]
letters: [y]
parameters: {a: [1, 3, 8], b: [1, 2, 7], c: [13, 18, 15]}
problem: a*x + b*(m*x + k) = c
stem: Solve $a*x + b*y = c$ for $y$. For which numbers $m$ and $k$ is $y = m*x + k$?
response: {kind: entry, blanks: {m: {form: fraction}, k: {form: fraction}}}
key: m = -a/b and k = c/b
calculator: no
"""

FREE = (
    SUBJECT.replace("unknowns: [m, k]", "unknowns: [y]")
    .replace("for_every: [x]\n", "")
    .replace("letters: [y]", "letters: [x]")
    .replace("(m*x + k) = c", "y = c")
    .replace("For which numbers $m$ and $k$ is $y = m*x + k$?", "")
    .replace("kind: entry, blanks: {m: {form: fraction}, k: {form: fraction}}", "kind: written, lines: 3")
    .replace("m = -a/b and k = c/b", "y = (c - a*x)/b")
    + "solution: [{math: y = (c - a*x)/b, marks: M1}]\n"
)


def told(text: str) -> list[Diagnostic]:
    template = read_template(parse(text.encode(), "subject.yaml"), NO_SLIPS).template
    return review(Entry(make_recipe(template), "", "subject.yaml")).diagnostics


def test_the_numbers_of_the_subject_are_proved() -> None:
    assert [] == told(SUBJECT)


@pytest.mark.parametrize("key", ["m = a/b and k = c/b", "m = -a/b and k = -c/b", "m = -b/a and k = c/b"])
def test_a_wrong_number_is_refuted_at_the_key(key: str) -> None:
    found = [each for each in told(SUBJECT.replace("m = -a/b and k = c/b", key)) if each.code == "wrong-key"]

    assert [(11, 6)] == [(each.span.line, each.span.column) for each in found if each.span is not None]


def test_a_subject_with_a_free_letter_is_refused_with_what_to_write_instead() -> None:
    (only,) = [each for each in told(FREE) if each.code == "undefined"]

    assert "the letter x is neither given nor to be found" in only.message
    assert only.span is not None
    assert (10, 6) == (only.span.line, only.span.column)
    assert "write (m*x + k) for y" in only.hint
    assert "`for_every: [x]`" in only.hint
