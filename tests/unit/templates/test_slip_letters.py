"""The letters of a slip's sentences: those it takes become the template's, others stay, and none has two senses."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.errors import InputError
from itembank.expressions import tree
from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips
from itembank.templates.template import Expression, Template

SLIPS = """\
slips:
  - slip: one-less
    unknowns: [x]
    takes: [h]
    value: x = h - 1
    pupil: You took $h$ for $k$.
    teacher: Takes one off $h$.
"""

TEMPLATE = """\
template: plus
version: 1
title: Add
unknowns: [y]
parameters: {a: {from: 2, to: 9}, NAME: {from: 2, to: 3}}
problem: y - a = NAME
stem: Solve $problem$.
response: {kind: entry, blanks: {y: {form: integer, marks: A1}}}
key: y = a + NAME
slips: [{slip: one-less, with: {h: a + NAME}}]
solution: [{say: Add., math: y = a + NAME, marks: A1}]
"""


def _read(folder: Path, name: str) -> Template:
    for file, text in (("slips.yaml", SLIPS), ("plus.yaml", TEMPLATE.replace("NAME", name))):
        (folder / file).write_text(text, "utf-8")
    return load_template(
        folder / "plus.yaml", "plus.yaml", load_slips(folder / "slips.yaml", "slips.yaml")[0]
    ).template


def test_a_letter_that_the_slip_does_not_take_stays_a_letter(tmp_path: Path) -> None:
    (slip,) = _read(tmp_path, "m").parts[0].slips
    assert slip.pupil is not None
    taken, spoken_of = (hole for hole in slip.pupil.holes if isinstance(hole, Expression))

    assert {"a", "m"} == set(tree.names(taken.node))
    assert {"k"} == set(tree.names(spoken_of.node)) == slip.pupil.free


def test_a_letter_in_two_senses_is_refused_where_the_slip_is_given_it(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        _read(tmp_path, "k")

    (found,) = refused.value.diagnostics
    assert ("letter-in-two-senses", "plus.yaml", 10, 36) == (
        found.code, found.span.path if found.span else "", found.span.line if found.span else 0,
        found.span.column if found.span else 0,
    )  # fmt: skip
    assert found.related is not None
    place, _ = found.related
    assert ("slips.yaml", 6, 30) == (place.path, place.line, place.column)
