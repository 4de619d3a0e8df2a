"""Pictures in the long look at a template: one that shows the answer, and one that cannot be drawn."""

from __future__ import annotations

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic, Level
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse

SQUARE = """\
template: perfect-square
version: 1
title: The number that makes a perfect square
unknowns: [m]
for_every: [x]
parameters:
  b: {from: 3, to: 40}
problem: x^2 + b*x + m = (x + b/2)^2
stem: For which number $m$ is $x^2 + b*x + m$ a perfect square?
figure: {kind: area-model, of: x^2 + b*x, stage: 1}
response: {kind: entry, blanks: {m: {form: fraction, marks: B1}}}
key: m = b^2/4
calculator: yes
"""


def told(text: str) -> list[Diagnostic]:
    template = read_template(parse(text.encode(), "square.yaml"), NO_SLIPS).template
    return review(Entry(make_recipe(template), "", "square.yaml")).diagnostics


def changed(old: str, new: str) -> str:
    assert 1 == SQUARE.count(old)
    return SQUARE.replace(old, new)


def test_a_picture_that_shows_less_is_no_fault() -> None:
    assert [] == told(SQUARE)


def test_a_picture_that_shows_the_answer_is_wrong() -> None:
    (only,) = told(changed("stage: 1", "stage: 3"))

    assert ("figure-shows-answer", Level.WRONG) == (only.code, only.level)
    assert only.span is not None
    assert 10 == only.span.line
    assert "in 38 of 38 items" in only.message


def test_a_picture_that_shows_the_answer_by_coincidence_is_doubtful() -> None:
    """A strip is b wide, and b = b^2/4 for b = 4 alone."""
    (only,) = told(changed("of: x^2 + b*x, stage: 1", "of: x^2 + 2*b*x, stage: 2"))

    assert ("figure-shows-answer", Level.DOUBTFUL) == (only.code, only.level)
    assert "in 1 of 38 items: its label 4*x (as at b = 4)" in only.message


@pytest.mark.parametrize(
    ("of", "reason"),
    [
        ("x^2 + (b - 5)*x", "coefficient other than 0 (at b = 5)"),
        ("2*x^2 + b*x", "drawn of x^2 + b*x"),
        ("x^2 + b*x + 1", "drawn of x^2 + b*x"),
        ("x^3 + b*x", "degree in x is above 2"),
        ("x^2 + sqrt(b)*x", "only rational ones are drawn"),
    ],
)
def test_what_cannot_be_drawn_is_told_at_its_place(of: str, reason: str) -> None:
    found = told(changed("of: x^2 + b*x, stage", f"of: {of}, stage"))

    (only,) = [each for each in found if each.code == "figure-cannot-be-drawn"]
    assert reason in only.message
    assert only.span is not None
    assert (10, 32) == (only.span.line, only.span.column)


def test_a_picture_tells_two_questions_apart_whose_stems_read_alike() -> None:
    """Without the picture the stem shows no parameter, and every two assignments are twins."""
    stem = "stem: For which number $m$ is $x^2 + b*x + m$ a perfect square?\n"
    shown = "figure: {kind: area-model, of: x^2 + b*x, stage: 1}\n"
    bare = "stem: What number is missing?\n"

    assert [] == [each.code for each in told(changed(stem, bare)) if each.code == "twins"]
    assert ["twins"] == [
        each.code for each in told(changed(stem, bare).replace(shown, "")) if each.code == "twins"
    ]
