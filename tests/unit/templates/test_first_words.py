"""What people write at first, and what they are told to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.bank.bank import read_bank
from itembank.errors import Diagnostic, InputError
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse

TEMPLATE = """\
template: base
version: 1
title: Whole roots
demand: use
calculator: no
unknowns: [x]
parameters:
  p: {from: -5, to: 5}
  q: {from: -5, to: 5}
constraints: [p < q]
guarantees: [integer_roots(problem)]
problem: expand((x - p)*(x - q)) = 0
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer}}}
key: x = p or x = q
"""


def _told(old: str, new: str) -> list[Diagnostic]:
    assert 1 == TEMPLATE.count(old)
    with pytest.raises(InputError) as wrong:
        read_template(parse(TEMPLATE.replace(old, new).encode(), "base.yaml"), NO_SLIPS)
    return list(wrong.value.diagnostics)


@pytest.mark.parametrize(
    ("old", "new", "code", "hint"),
    [
        ("p: {from: -5, to: 5}", "p: {min: -5, to: 5}", "unknown-key", "did you mean `from`?"),
        ("p: {from: -5, to: 5}", "p: {from: -5, max: 5}", "unknown-key", "did you mean `to`?"),
        ("q: {from: -5, to: 5}", "q: {from: -5, to: 5, except: [0]}", "unknown-key", "did you mean `leaving_out`?"),
        ("kind: entry", "kind: numeric", "unknown-word", "did you mean `entry`?"),
        ("form: integer", "form: number", "unknown-word", "did you mean `integer`?"),
        ("demand: use", "demand: apply", "unknown-word", "did you mean `use`?"),
        ("calculator: no", "calculator: false", "unknown-word", "did you mean `no`?"),
        ("stem: Solve", "prompt: Solve", "unknown-key", "did you mean `stem`?"),
        ("calculator: no", "domain: {x: integer}", "unknown-key", "did you mean `unknowns`?"),
        ("calculator: no", "slips: [{use: sign, value: x = p}]", "unknown-key", "did you mean `slip`?"),
        ("calculator: no", "slips: [{slip: sign, key: x = p}]", "unknown-key", "did you mean `value`?"),
        ("calculator: no", "slips: [{slip: sign, answer: x = p}]", "unknown-key", "did you mean `value`?"),
        ("calculator: no", "answer: x = p", "unknown-key", "did you mean `key`?"),
        ("calculator: no", "solution: [{line: x = p or x = q}]", "unknown-key", "did you mean `math`?"),
        ("calculator: no", "solution: [{comment: Look., math: x = p}]", "unknown-key", "did you mean `say`?"),
        ("{kind: entry, blanks: {x: {form: integer}}}", "entry", "mapping-needed", "write {kind: entry, ...}"),
        ("{form: integer}", "fraction", "mapping-needed", "write {form: fraction}"),
        ("integer_roots(problem)", "integer_roots", "function-without-bracket", "write integer_roots(problem)"),
        ("calculator: no", "options: 3", "unknown-key", "it belongs into `response`"),
        ("$problem$", "$$problem$$", "doubled-dollar", "one $ opens the maths and one closes it"),
        ("stem: Solve $problem$.", "stem: Solve <b>now</b> $problem$.", "markup", "write *a word* for emphasis"),
        ("stem: Solve $problem$.", "stem: Solve \\textbf{now} $problem$.", "markup", "LaTeX is not read"),
        ("Solve $problem$.", "Solve \\(x = 1\\) or $problem$.", "markup", "mathematics stands between two $"),
        ("Solve $problem$.", "Solve \\[x = 1\\] or $problem$.", "markup", "mathematics stands between two $"),
        ("Solve $problem$.", "Solve [it](it.html), $problem$.", "markup", "links and images are not read"),
        ("Solve $problem$.", "Solve ![it](it.png) $problem$.", "markup", "links and images are not read"),
        ("Solve $problem$.", "Solve `x` in $problem$.", "markup", "code is not marked"),
        ("Solve $problem$.", "Solve&nbsp;$problem$.", "markup", "write the character itself"),
        ("unknowns: [x]\n", "", "unknown-name", "what the pupil finds is named in `unknowns: [x]`"),
    ],
)  # fmt: skip
def test_a_first_word_is_answered_with_the_right_one(old: str, new: str, code: str, hint: str) -> None:
    (told, *_) = [each for each in _told(old, new) if each.code == code]

    assert told.hint.startswith(hint)


@pytest.mark.parametrize(
    ("old", "new", "code", "said"),
    [
        ("parameters:\n  p: {from: -5, to: 5}\n  q:", "parameters:\n  - p: {from: -5, to: 5}\n  - q:",
         "mapping-needed", "take the dashes and brackets of the list out"),
        ("from: -5, to: 5}\n  q", "from: 0,5, to: 4,5}\n  q", "duplicate-key", "a decimal is written with a point"),
        ("unknowns: [x]", "derived: {c: 0,5*p}\nunknowns: [x]", "wrong-value", "a decimal has a point, such as 0.5"),
        ("unknowns: [x]", "derived: {c = p^2}\nunknowns: [x]", "wrong-value", "write c: p^2"),
        ("unknowns: [x]", "derived:\n  c = p^2\n  d = q^2\nunknowns: [x]", "mapping-needed", "on a line of its own"),
        ("form: integer", "form: integer, unit: $cm$", "unit-not-as-shown", "write unit: cm"),
        ("stem: Solve", "figure: parabola\nstem: Solve", "mapping-needed", "write {kind: parabola, of: ...}"),
        ("stem: Solve", "lint: [long-stem]\nstem: Solve", "mapping-needed", "{long-stem: why it is so here}"),
        ("unknowns: [x]", "letters: [u_next]\nunknowns: [x]", "wrong-value", "only digits follow an underscore"),
        ("unknowns: [x]", "letters: u, v\nunknowns: [x]", "wrong-value", "stands in brackets: [u, v]"),
        ("key: x = p or x = q", "key: x = p or x = q\nsolution: [{let: x = u^2}]", "shadowed-name", "another letter"),
        ("unknowns: [x]", "letters: [t]\nfor_every: [t]\nunknowns: [x]", "shadowed-name", "take it out of `letters`"),
        ("{kind: entry,", "{kind: entry, unit: s,", "unknown-key", "it belongs into `blanks`"),
        ("Solve $problem$.", "For $5 and \\$$p$, solve $problem$.", "unclosed-maths", "write \\$ for money"),
        ("{kind: entry, blanks: {x: {form: integer}}}\nkey: x = p or x = q", "{kind: order, values: [p, q, p*q]}",
         "missing-key", "add a line `key: p`"),
        ("{kind: entry, blanks: {x: {form: integer}}}\nkey: x = p or x = q", "{kind: match, rows: []}",
         "missing-key", "the first row is `problem` and `key`"),
    ],
)  # fmt: skip
def test_what_is_nearly_right_is_told_what_is_missing(old: str, new: str, code: str, said: str) -> None:
    (told, *_) = [each for each in _told(old, new) if each.code == code]

    assert said in f"{told.message} {told.hint}"


def test_a_column_alone_is_told_with_the_rows_it_belongs_to() -> None:
    text = TEMPLATE.replace("constraints:", "  w: {rows: [{thing: yard}, {thing: lawn}]}\nconstraints:")
    with pytest.raises(InputError) as wrong:
        read_template(parse(text.replace("Solve ", "Of the $thing$, solve ").encode(), "base.yaml"), NO_SLIPS)

    assert ["a column is named behind its rows: write $w.thing$ in a text"] == [
        each.hint.partition(". ")[0] for each in wrong.value.diagnostics if each.code == "unknown-name"
    ]


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_a_file_saved_as_utf_16_is_told_so_with_its_mark_and_without(encoding: str) -> None:
    with pytest.raises(InputError) as wrong:
        parse(TEMPLATE.encode(encoding), "base.yaml")

    (told,) = wrong.value.diagnostics
    assert "the file is saved as UTF-16, not as UTF-8" == told.message


def test_a_number_behind_a_hash_is_no_comment() -> None:
    source = parse(TEMPLATE.replace("title: Whole roots", "title: Whole roots #1 of 3").encode(), "base.yaml")

    assert [("comment-cuts-text", 3)] == [(each.code, each.span.line) for each in source.doubts if each.span]


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        ("formats: [qti3]", "it belongs into `settings`"),
        ("settings: {formats: [pdf]}", "did you mean `latex`?"),
        ("paper: {time: 1 hour}", "write a number of minutes, such as 60, or none"),
    ],
)
def test_a_first_word_in_a_bank_file_is_answered_too(line: str, hint: str, tmp_path: Path) -> None:
    (tmp_path / "bank.yaml").write_text(f"bank: evening\ntitle: Evening\n{line}\n", "utf-8")

    with pytest.raises(InputError) as wrong:
        read_bank(tmp_path, "bank")

    assert hint in [each.hint for each in wrong.value.diagnostics]


def test_a_word_of_elsewhere_that_has_no_place_here_is_not_proposed() -> None:
    (told,) = _told("title: Whole roots", "title: Whole roots\nmin: 3")

    assert told.hint.startswith("did you mean `minutes`?") or told.hint.startswith("known here: ")


def test_a_text_may_call_what_depends_on_the_unknown_by_a_letter() -> None:
    """A curve's y needs no place among the `letters`: who reads the text is told what it is."""
    stem = (
        "stem: |\n  The curve $y = expand((x - p)*(x - q))$ meets the axis $y = 0$ twice. Solve $problem$.\n"
    )
    read_template(parse(TEMPLATE.replace("stem: Solve $problem$.\n", stem).encode(), "base.yaml"), NO_SLIPS)


@pytest.mark.parametrize(
    ("stem", "column"),
    [
        ("Solve $y = p$, then $problem$.", 14),  # a number has its own name, or is one that pupils find
        ("Solve $p + y = x$ and $problem$.", 18),
        ("Solve $yy = x$ and $problem$.", 14),
        ("See where $y = 0$ on $y = x^2$. Solve $problem$.", 18),
    ],
)
def test_a_letter_that_a_text_has_not_said_the_meaning_of_is_unknown(stem: str, column: int) -> None:
    (told,) = _told("stem: Solve $problem$.", f"stem: {stem}")

    assert told.span
    assert ("unknown-name", 13, column) == (told.code, told.span.line, told.span.column)


def test_a_letter_of_a_text_is_none_of_the_key() -> None:
    text = TEMPLATE.replace("Solve $problem$.", "See $y = x^2$. Solve $problem$.")
    source = parse(text.replace("key: x = p or", "key: y = p or").encode(), "base.yaml")
    with pytest.raises(InputError) as wrong:
        read_template(source, NO_SLIPS)

    assert ["unknown-name"] == [each.code for each in wrong.value.diagnostics]


def test_a_text_may_speak_of_a_function() -> None:
    """Named before it is said what it is, with a number in it, and again in another text."""
    stem = "stem: The function $f$ is $f(x) = expand((x - p)*(x - q))$, so $f(p) = 0$. Solve $problem$.\n"
    line = "solution: [{say: See where $f(x)$ is $0$., math: x = p or x = q}]\n"
    text = TEMPLATE.replace("stem: Solve $problem$.\n", stem) + line

    read_template(parse(text.encode(), "base.yaml"), NO_SLIPS)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("stem: Solve", "stem: Where is $p(x) = 0$? Solve", "`p` is no function"),
        (
            "stem: Solve",
            "letters: [g]\nstem: Where is $g(x) = 0$? Solve",
            "`g` is no function, it is a letter of",
        ),
        ("stem: Solve", "stem: Where is $f(x, 2) = 0$? Solve", "`f` is no function"),
        ("stem: Solve", "stem: Where is $f(t) = 0$? Solve", "`t` is no parameter, derived value or unknown"),
        ("problem: expand", "problem: f(x) + expand", "`f` is no function"),
        ("key: x = p", "key: f(x) = p", "`f` is no function"),
    ],
)
def test_what_is_no_function_of_a_text_is_told(old: str, new: str, message: str) -> None:
    assert any(each.message.startswith(message) for each in _told(old, new))


def test_the_first_version_of_a_template_is_1() -> None:
    (told,) = _told("version: 1\n", "")

    assert "add a line `version: 1`" == told.hint
