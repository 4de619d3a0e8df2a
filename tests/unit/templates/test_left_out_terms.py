"""Dots for terms that are left out of a sum: in every notation and language of texts, read back by the audit."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.errors import InputError
from itembank.expressions.conventions import conventions
from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.expressions.mathml import mathml
from itembank.expressions.parser import parse as parse_expression
from itembank.expressions.speech import speech
from itembank.expressions.spelling import plain, terminal
from itembank.library import draw
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.writers.qti3 import item_xml
from itembank.yaml_source import parse

TEMPLATE = """\
template: series
version: 1
title: Sum to infinity
unknowns: [s]
parameters: {a: [12, 18], r: [-1/3, 1/2], n: [5, 9]}
problem: s = a/(1 - r)
stem:
  en: A series begins $a + a*r + a*r^2 + ...$; so does not $1 + 2 + … + n$. What is its sum?
  es: Una serie empieza con $a + a*r + a*r^2 + ...$, y no con $1 + 2 + … + n$. ¿Cuál es su suma?
  de: Eine Reihe beginnt mit $a + a*r + a*r^2 + ...$, nicht mit $1 + 2 + … + n$. Was ist ihre Summe?
response: {kind: entry, blanks: {s: {form: fraction}}}
key: s = a/(1 - r)
"""


def written(text: str, folder: Path) -> Path:
    path = folder / "series.yaml"
    path.write_text(text, "utf-8")
    return path


@pytest.mark.parametrize(
    ("language", "dots"), [("en", "plus dots"), ("es", "más puntos"), ("de", "plus Punkte")]
)
def test_dots_are_shown_spoken_and_read_back(language: str, dots: str, tmp_path: Path) -> None:
    for drawn in draw(written(TEMPLATE, tmp_path), count=8, language=language):
        item = drawn.item
        series, numbers = item.parts[0].stem.fillings
        assert isinstance(series, Maths)
        assert isinstance(numbers, Maths)
        assert plain(series).endswith(" + ...")
        assert parse_expression(plain(series)) == parse_expression(plain(series).replace("...", "…"))
        assert terminal(numbers).startswith("1 + 2 + … + ")
        assert latex(series).endswith(r" + \ldots")
        assert "<mi>…</mi>" in mathml(numbers)
        assert speech(series, conventions(language)).endswith(dots)
        assert not faults((*prove(item), *prove_with_sympy(item)))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=True)[1]


def test_signs_before_the_dots_are_those_of_the_numbers(tmp_path: Path) -> None:
    series = (drawn.item.parts[0].stem.fillings[0] for drawn in draw(written(TEMPLATE, tmp_path), count=8))
    shown = {terminal(maths) for maths in series if isinstance(maths, Maths)}

    assert {"12 − 4 + 4/3 + …", "12 + 6 + 3 + …", "18 − 6 + 2 + …", "18 + 9 + 9/2 + …"} == shown


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("plus dots", "plus n"),
        ("plus dots", "plus"),
        ("<mi>…</mi>", "<mi>n</mi>"),
        ("<mi>…</mi>", "<mn>0</mn>"),
    ],
)
def test_other_dots_are_found_by_the_audit(old: str, new: str, tmp_path: Path) -> None:
    drawn, *_ = draw(written(TEMPLATE, tmp_path), count=1)
    text = item_xml(drawn.item)

    assert old in text
    assert audit_item(text.replace(old, new, 1).encode(), "items/X.xml")[1]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("key: s = a/(1 - r)", "key: s = a + a*r + ..."),
        ("problem: s = a/(1 - r)", "problem: s = a + … + r"),
        ("parameters:", "derived: {b: 1 + ... + n}\nparameters:"),
    ],
)
def test_dots_are_told_where_something_has_to_be_worked_out(old: str, new: str) -> None:
    assert old in TEMPLATE
    with pytest.raises(InputError) as wrong:
        read_template(parse(TEMPLATE.replace(old, new).encode(), "base.yaml"), NO_SLIPS)

    assert "left-out" in {each.code for each in wrong.value.diagnostics}
