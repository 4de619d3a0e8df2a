"""The general term of a sequence, u_n: a letter of texts, in every notation and language, read back by the audit."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.errors import Diagnostic, InputError
from itembank.expressions.display import Maths
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
template: which-term
version: 1
title: Which term
unknowns: [n]
parameters: {a: [2, 5], d: [3, 4], k: [6, 9]}
derived: {c: a - d, t: a + d*(k - 1)}
problem: d*n + c = t
stem:
  en: A sequence has the general term $u_n = d*n + c$, so that $u_1 = a$. Which term is $t$?
  es: El término general de una sucesión es $u_n = d*n + c$, de modo que $u_1 = a$. ¿Qué término es $t$?
response: {kind: entry, blanks: {n: {form: integer}}}
key: n = k
solution: [{say: {en: Put $u_n = t$., es: Pon $u_n = t$.}, math: d*n + c = t, marks: M1}, {math: n = k, marks: A1}]
"""


def _told(old: str, new: str) -> list[Diagnostic]:
    assert old in TEMPLATE
    with pytest.raises(InputError) as wrong:
        read_template(parse(TEMPLATE.replace(old, new).encode(), "base.yaml"), NO_SLIPS)
    return list(wrong.value.diagnostics)


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_general_term_is_shown_spoken_and_read_back(language: str, tmp_path: Path) -> None:
    path = tmp_path / "which-term.yaml"
    path.write_text(TEMPLATE, "utf-8")

    for drawn in draw(path, count=8, language=language):
        item = drawn.item
        shown = item.parts[0].stem.fillings[0]
        assert isinstance(shown, Maths)
        assert plain(shown).startswith("u_n = ")
        assert terminal(shown).startswith("uₙ = ")
        assert speech(shown).startswith("u sub n equals ")
        assert not faults((*prove(item), *prove_with_sympy(item)))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]


RULE = TEMPLATE.replace(
    "the general term $u_n = d*n + c$, so that $u_1 = a$", "$u_1 = a$ and $u_( n+1) = u_n + d$"
).replace(
    "El término general de una sucesión es $u_n = d*n + c$, de modo que $u_1 = a$",
    "Una sucesión tiene $u_1 = a$ y $u_(n+1) = u_n + d$",
)


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_rule_for_the_next_term_is_shown_spoken_and_read_back(language: str, tmp_path: Path) -> None:
    path = tmp_path / "which-term.yaml"
    path.write_text(RULE, "utf-8")

    for drawn in draw(path, count=8, language=language):
        item = drawn.item
        shown = item.parts[0].stem.fillings[1]
        assert isinstance(shown, Maths)
        assert plain(shown).startswith("u_(n+1) = u_n + ")
        assert terminal(shown).startswith("uₙ₊₁ = uₙ + ")
        assert speech(shown).startswith("u sub open bracket n plus 1 close bracket equals u sub n plus ")
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]


@pytest.mark.parametrize(
    ("template", "old", "new"),
    [
        # the letters that are shown are spoken otherwise
        (TEMPLATE, "<mi>u</mi><mi>n</mi>", "<mi>u</mi><mi>m</mi>"),
        (TEMPLATE, "u sub n", "u sub m"),
        (TEMPLATE, "<mi>u</mi><mi>n</mi>", "<mi>u</mi><mi>N</mi>"),
        (TEMPLATE, "<mi>u</mi><mi>n</mi>", "<mi>u</mi><mo>n</mo>"),
        (TEMPLATE, "u sub n", "u sub"),
        (RULE, "<mi>n</mi><mo>+</mo><mn>1</mn>", "<mi>n</mi><mo>−</mo><mn>1</mn>"),
        (RULE, "<mi>n</mi><mo>+</mo><mn>1</mn>", "<mi>n</mi><mo>+</mo><mn>2</mn>"),
        (RULE, "<mi>n</mi><mo>+</mo><mn>1</mn>", "<mi>n</mi><mo>=</mo><mn>1</mn>"),
        (RULE, "<mi>n</mi><mo>+</mo><mn>1</mn>", "<mi>n</mi><mo>+</mo><mn>12</mn>"),
        (RULE, "<mi>n</mi><mo>+</mo><mn>1</mn>", "<mn>1</mn><mo>+</mo><mi>n</mi>"),
        (RULE, "open bracket n plus 1 close bracket", "open bracket n minus 1 close bracket"),
        (RULE, "open bracket n plus 1 close bracket", "open bracket n plus 1"),
        (RULE, "open bracket n plus 1 close bracket", "n"),
    ],
)
def test_another_index_is_found_by_the_audit(template: str, old: str, new: str, tmp_path: Path) -> None:
    path = tmp_path / "which-term.yaml"
    path.write_text(template, "utf-8")
    (drawn,) = draw(path, count=1)
    text = item_xml(drawn.item)

    assert old in text
    assert () != audit_item(text.replace(old, new, 1).encode(), "items/X.xml")[1]


def test_a_step_from_a_general_term_that_is_not_there_is_told_with_what_to_declare() -> None:
    (told,) = _told("so that $u_1 = a$", "so that $v_(n-1) < a$")

    assert "unknown-name" == told.code
    assert "letters: [v_n]" in told.hint


def test_a_term_is_known_by_its_general_term_only() -> None:
    (told,) = _told("so that $u_1 = a$", "so that $v_1 = a$")

    assert ("unknown-name", "`v_1` is no parameter, derived value or unknown of this template") == (
        told.code,
        told.message,
    )


def test_a_general_term_may_stand_among_the_letters() -> None:
    text = TEMPLATE.replace("unknowns: [n]", "unknowns: [n]\nletters: [v_n]").replace(
        "$u_1 = a$", "$v_1 < v_n$"
    )
    read_template(parse(text.encode(), "base.yaml"), NO_SLIPS)


@pytest.mark.parametrize("where", ["$u_k = d*n + c$", "$u_n = d*n$, $u_k = d*n$, $u_k = t$"])
def test_an_index_that_is_a_number_of_the_template_is_told(where: str) -> None:
    (told,) = (each for each in _told("$u_n = d*n + c$", where) if each.code == "index-has-value")

    assert "the index of `u_k` would stay a letter, and `k` is a number of this template" == told.message
    assert where.count("u_k") == 1 + len(told.also)


@pytest.mark.parametrize("name", ["u_(n)", "u_(n+k)", "u_(n+10)", "u_nn", "u_N", "u_n1"])
def test_what_is_no_index_is_told_with_what_to_write(name: str) -> None:
    (told, *_) = _told("$u_1 = a$", f"${name} = a$")

    assert "unknown-character" == told.code
    assert "u_n for the general term" in told.hint
