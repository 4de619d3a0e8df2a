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


BARE = """\
slips:
  - slip: one-less
    pupil: Look at the coefficient of ${letter}$.
    teacher: Takes one off.
"""
USES_BARE = TEMPLATE.replace("NAME", "m").replace(
    "{slip: one-less, with: {h: a + m}}", "{slip: one-less, value: y = a}"
)


@pytest.mark.parametrize("letter", ["t", "X", "theta", "Delta", "w"])
def test_a_sentence_of_a_slip_that_takes_nothing_may_show_any_letter(letter: str, tmp_path: Path) -> None:
    (tmp_path / "slips.yaml").write_text(BARE.format(letter=letter), encoding="utf-8")
    (tmp_path / "plus.yaml").write_text(USES_BARE, encoding="utf-8")
    catalogue, _ = load_slips(tmp_path / "slips.yaml", "slips.yaml")
    loaded = load_template(tmp_path / "plus.yaml", "plus.yaml", catalogue)

    assert [] == [each for each in loaded.doubts if each.code == "letter-not-taken"]


def test_a_letter_that_is_a_number_of_the_template_is_told(tmp_path: Path) -> None:
    (tmp_path / "slips.yaml").write_text(BARE.format(letter="m"), encoding="utf-8")
    (tmp_path / "plus.yaml").write_text(USES_BARE, encoding="utf-8")
    catalogue, _ = load_slips(tmp_path / "slips.yaml", "slips.yaml")
    loaded = load_template(tmp_path / "plus.yaml", "plus.yaml", catalogue)

    assert ["letter-not-taken"] == [each.code for each in loaded.doubts]


NONE = """\
slips:
  - slip: nothing-found
    unknowns: [x]
    value: none
    pupil: Is there no number $x$ at all?
    teacher: Gives up.
"""


def test_a_slip_of_the_file_may_lead_to_no_real_solution(tmp_path: Path) -> None:
    (tmp_path / "slips.yaml").write_text(NONE, encoding="utf-8")
    text = TEMPLATE.replace("NAME", "m").replace("{slip: one-less, with: {h: a + m}}", "nothing-found")
    (tmp_path / "plus.yaml").write_text(text, encoding="utf-8")
    catalogue, _ = load_slips(tmp_path / "slips.yaml", "slips.yaml")
    (slip,) = load_template(tmp_path / "plus.yaml", "plus.yaml", catalogue).template.parts[0].slips

    assert slip.value is not None
    assert tree.Name("none") == slip.value.node


def test_a_slip_to_no_real_solution_is_refused_beside_an_expression(tmp_path: Path) -> None:
    (tmp_path / "slips.yaml").write_text(NONE.replace("    unknowns: [x]\n", ""), encoding="utf-8")
    text = (
        "template: double\nversion: 1\ntitle: D\nletters: [x]\nparameters: {a: {from: 2, to: 9}}\nproblem: a*(x + 1)\n"
        "stem: Expand $problem$.\nresponse: {kind: choice, options: 2}\nkey: a*x + a\nslips: [nothing-found]\n"
    )
    (tmp_path / "double.yaml").write_text(text, encoding="utf-8")
    catalogue, _ = load_slips(tmp_path / "slips.yaml", "slips.yaml")
    with pytest.raises(InputError) as wrong:
        load_template(tmp_path / "double.yaml", "double.yaml", catalogue)

    assert ["expression-needed"] == [each.code for each in wrong.value.diagnostics]
