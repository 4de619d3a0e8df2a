"""Equations in two letters made into y = m x + k: the numbers m and k are asked for, and proved for every x.

Among the equations are x + y = 13, 3x + 2y = 18 and 8x + 7y = 15 of OpenStax, Elementary Algebra 2e, section 2.6,
"Solve a Formula for a Specific Variable", from memory.
"""

from __future__ import annotations

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic, Level
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
    assert "`in_terms_of: [x]`" in only.hint


FORMULA = (
    FREE.replace("letters: [x]", "in_terms_of: [x]")
    .replace("kind: written, lines: 3", "kind: choice, options: 3")
    .replace(
        "solution:", "slips: [{slip: u, value: y = (c + a*x)/b}, {slip: w, value: y = c + 1}]\nsolution:"
    )
)


def test_a_formula_is_proved() -> None:
    assert [] == [each for each in told(FORMULA) if each.level is Level.WRONG]


def faults(old: str, new: str) -> dict[str, Diagnostic]:
    assert old in FORMULA
    return {each.code: each for each in told(FORMULA.replace(old, new)) if each.level is Level.WRONG}


def place(found: Diagnostic) -> tuple[int, int]:
    assert found.span is not None
    return found.span.line, found.span.column


def test_a_wrong_key_is_told_with_what_is_right() -> None:
    found = faults("key: y = (c - a*x)/b", "key: y = (c - a*x)/(2*b)")["wrong-key"]

    assert (10, 6) == place(found)
    assert "from x + y = 13 follows y = 13 − x" in found.message
    assert "solved for its subject" in found.hint


def test_a_slip_that_is_the_key_in_other_clothes_is_told_at_its_line() -> None:
    found = faults("value: y = (c + a*x)/b", "value: y = c/b - a*x/b")["slip-never-appears"]

    assert "the slip `u` is never offered: it equals the key" in found.message
    assert (12, 9) == place(found)


def test_a_slip_that_is_an_earlier_one_in_other_clothes_is_told_at_its_line() -> None:
    found = faults("value: y = c + 1", "value: y = c/b + a*x/b")["slip-never-appears"]

    assert "the slip `w` is never offered: it equals an earlier slip" in found.message
    assert (12, 44) == place(found)


def test_a_line_that_does_not_follow_is_told_at_its_line() -> None:
    found = faults("{math: y = (c - a*x)/b,", "{math: b*y = c + a*x,")["solution-line-wrong"]

    assert (13, 19) == place(found)
    assert "from y = 13 + x follows y = x + 13" in found.message


def test_values_for_which_the_subject_vanishes_are_told_at_the_problem() -> None:
    found = faults("b: [1, 2, 7]", "b: [0, 2, 7]")

    assert {} == found  # the key has no value there, so such assignments are passed over

    found = faults("a*x + b*y = c", "a*x + (b - 1)*y = c")
    assert "multiplied out, it says nothing of y" in found["problem-not-solved"].message
    assert "reject those by a constraint" in found["problem-not-solved"].hint
