"""Faults planted one at a time into a good template: each is caught at its line, or as our own contradiction."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Contradiction, Diagnostic, InputError, Level
from itembank.expressions import canonical, layout
from itembank.generator.compiler import make_recipe
from itembank.properties import integer_tests
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse

CHOICE = """\
template: base
version: 1
title: A monic quadratic
unknowns: [x]
parameters:
  h: {from: -6, to: 6, leaving_out: [0]}
  k: {from: 2, to: 30}
derived: {b: -2*h, c: h^2 - k}
constraints: [c != 0]
guarantees:
  - irrational_roots(problem)
problem: x^2 + b*x + c = 0
stem: Solve $problem$.
response: {kind: choice, options: 3}
key: x = h ± surd(k)
slips:
  - {slip: one, value: x = -h ± surd(k)}
  - {slip: two, value: (x + b)^2 = b^2 - c}
  - {slip: three, value: (x - h)^2 = b^2 - c}
solution:
  - math: x^2 + b*x = -c
    marks: M1
  - aside: sqrt(4) = 2
  - math: (x - h)^2 = k
    marks: A1
"""
ENTRY = """\
template: base
version: 1
title: Whole roots
unknowns: [x]
parameters:
  p: {from: -5, to: 5}
  q: {from: -5, to: 5}
constraints: [p < q]
guarantees: [integer_roots(problem)]
problem: expand((x - p)*(x - q)) = 0
stem: Solve $problem$.
response: {kind: entry, marks: 2, blanks: {x: {form: integer, values: any-order}}}
key: x = p or x = q
solution:
  - math: (x - p)*(x - q) = 0
    marks: M1
  - math: x = p or x = q
    marks: A1
"""
WORDS = """\
template: base
version: 1
title: Kind of roots
unknowns: [D]
letters: [x]
parameters:
  b: {from: -6, to: 6}
  c: {from: -6, to: 6}
problem: D = discriminant(x^2 + b*x + c)
stem: What kind of roots does $x^2 + b*x + c = 0$ have?
response:
  kind: choice
  words:
    - {text: two roots, when: D > 0}
    - {text: one root, when: D = 0}
    - {text: no root, when: D < 0}
key: D = b^2 - 4*c
slips: [{slip: one, value: D = b^2 + 4*c}]
solution:
  - math: D = b^2 - 4*c
"""
DOMAIN = """\
template: base
version: 1
title: A length
unknowns: {x: x > 0}
parameters:
  p: {from: 1, to: 6}
  q: {from: 1, to: 6}
problem: (x - p)*(x + q) = 0
stem: Find the length $x$ with $problem$.
response: {kind: entry, blanks: {x: {form: integer}}}
key: x = p
solution:
  - math: x = p or x = -q
  - math: x = -q
    rejects: A length is positive.
  - math: x = p
    marks: B1
"""

FAULTS = {
    "a wrong key formula": (CHOICE, "key: x = h ± surd(k)", "key: x = h ± surd(k + 1)", "wrong-key"),
    "a key with the wrong sign": (CHOICE, "key: x = h ± surd(k)", "key: x = -h ± surd(k)", "wrong-key"),
    "a key that misses one root": (ENTRY, "key: x = p or x = q", "key: x = p", "wrong-key"),
    "a key with one root too many": (ENTRY, "key: x = p or x = q", "key: x = p or x = q or x = p + q + 11", "wrong-key"),
    "a key of no solution where there are two": (CHOICE, "key: x = h ± surd(k)", "key: none", "wrong-key"),
    "a slip that is always the key": (CHOICE, "{slip: two, value: (x + b)^2 = b^2 - c}", "{slip: two, value: (x - h)^2 = k}", "slip-never-appears"),
    "a slip that is always an earlier slip": (CHOICE, "{slip: two, value: (x + b)^2 = b^2 - c}", "{slip: two, value: (x + h)^2 = k}", "slip-never-appears"),
    "a slip that never has a solution": (CHOICE, "{slip: two, value: (x + b)^2 = b^2 - c}", "{slip: two, value: x^2 = -1}", "slip-never-appears"),
    "too few slips for the options": (CHOICE, "options: 3", "options: 5", "too-few-slips"),
    "a solution line that loses a root": (CHOICE, "  - math: (x - h)^2 = k", "  - math: x = h + sqrt(k)", "solution-line-wrong"),
    "a solution line that gains a root": (ENTRY, "  - math: (x - p)*(x - q) = 0\n", "  - math: (x - p)*(x - q)*(x - 20) = 0\n", "solution-line-wrong"),
    "a solution line with another constant": (CHOICE, "  - math: x^2 + b*x = -c", "  - math: x^2 + b*x = c", "solution-line-wrong"),
    "side working that is false": (CHOICE, "  - aside: sqrt(4) = 2", "  - aside: sqrt(4) = keep(3)", "solution-line-wrong"),
    "a line without a letter that is false": (WORDS, "  - math: D = b^2 - 4*c", "  - math: keep(1 + 1) = 3", "solution-line-wrong"),
    "a rejected root inside the domain": (DOMAIN, "  - math: x = -q\n", "  - math: x = p\n", "solution-line-wrong"),
    "a key outside the domain": (DOMAIN, "key: x = p\n", "key: x = -q\n", "wrong-key"),
    "a guarantee that empties the space": (ENTRY, "integer_roots(problem)", "irrational_roots(problem)", "no-values"),
    "lines that cannot hold together": (ENTRY, "constraints: [p < q]", "constraints: [p < q, q < p]", "no-values"),
    "marks of lines and response apart": (ENTRY, "    marks: M1", "    marks: M2", "marks-do-not-sum"),
    "marks that cannot be shared": (ENTRY, "marks: 2, blanks: {x: {form: integer, values: any-order}}", "marks: 2, blanks: {x: {form: integer, values: any-order, marks: B3}}", "marks-do-not-sum"),
    "twins": (ENTRY, "constraints: [p < q]", "constraints: [p != q]", "twins"),
    "rows of words that overlap": (WORDS, "when: D = 0}", "when: D >= 0}", "words-do-not-fit"),
    "rows of words with a gap": (WORDS, "when: D < 0}", "when: D < -1000}", "words-do-not-fit"),
    "a key not in the asked form": (ENTRY, "form: integer", "form: surd", "key-not-in-form"),
    "a fraction where a whole number is asked": (DOMAIN, "problem: (x - p)*(x + q) = 0", "problem: (2*x - p)*(x + q) = 0", "wrong-key"),
    "no tick where there is no solution": (ENTRY.replace("expand((x - p)*(x - q)) = 0", "x^2 + p^2 + q^2 + 1 = 0").replace("guarantees: [integer_roots(problem)]", "guarantees: [no_real_roots(problem)]").replace("key: x = p or x = q", "key: none").replace("  - math: (x - p)*(x - q) = 0", "  - math: x^2 + p^2 + q^2 + 1 = 0").replace("  - math: x = p or x = q", "  - math: none"), "title: Whole roots", "title: None", "no-tick"),
    "an empty band": (ENTRY, "problem:", "bands: {none-such: [p > 9]}\nproblem:", "empty-band"),
    "a claim about a polynomial of degree 3": (ENTRY, "problem: expand((x - p)*(x - q)) = 0", "problem: x^3 - p*x^2 - q = 0", "no-values"),
    "a problem beyond the solver": (ENTRY, "guarantees: [integer_roots(problem)]\nproblem: expand((x - p)*(x - q)) = 0", "problem: x^4 + x^3 + p*x + q = 7", "problem-not-solved"),
    "a decimal wrong in its last place": (DOMAIN, "  - math: x = p\n", "  - math: x ≈ round(p + 1/100, 2)\n", "solution-line-wrong"),
}  # fmt: skip


def found(text: str) -> list[Diagnostic]:
    """Everything wrong with a template, whoever finds it."""
    try:
        loaded = read_template(parse(text.encode(), "base.yaml"), NO_SLIPS)
        return [
            d
            for d in review(Entry(make_recipe(loaded.template), "", "base.yaml")).diagnostics
            if d.level is Level.WRONG
        ]
    except InputError as wrong:
        return [d for d in wrong.diagnostics if d.level is Level.WRONG]


@pytest.mark.parametrize("base", [CHOICE, ENTRY, WORDS, DOMAIN], ids=["choice", "entry", "words", "domain"])
def test_the_bases_are_good(base: str) -> None:
    assert [] == found(base)


def test_there_are_enough_kinds_of_fault() -> None:
    assert len(FAULTS) >= 25


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_caught_with_its_code(name: str) -> None:
    base, before, after, code = FAULTS[name]
    assert before in base

    codes = {d.code for d in found(base.replace(before, after, 1))}

    assert code in codes


@pytest.mark.parametrize(
    "name",
    [
        "a wrong key formula",
        "a solution line that loses a root",
        "side working that is false",
        "a slip that is always the key",
    ],
)
def test_a_planted_fault_is_told_at_its_very_line(name: str) -> None:
    base, before, after, code = FAULTS[name]
    text = base.replace(before, after, 1)
    line = next(number for number, written in enumerate(text.splitlines(), 1) if after.strip() in written)

    assert line in {d.span.line for d in found(text) if d.code == code and d.span is not None}


@pytest.mark.parametrize(
    ("before", "after", "line", "hint"),
    [
        (
            "key: x = h ± surd(k)",
            "key: x = -h ± surd(k)",
            "key: x = -h",
            "the key does not solve the problem",
        ),
        ("value: x = -h ± surd(k)", "value: (x - h)^2 = k", "key: x = h", "the key solves the problem"),
    ],
    ids=["the key is wrong", "the slip is wrong"],
)
def test_a_key_that_equals_a_slip_is_told_with_it_where_slips_are_too_few(
    before: str, after: str, line: str, hint: str
) -> None:
    text = CHOICE.replace("options: 3", "options: 4").replace(before, after, 1)

    told = {each.code: each for each in found(text)}

    few, equal = told["too-few-slips"], told["key-equals-slip"]
    assert few.message.endswith("only 2 survive: `one` equals the key")
    assert equal.message.startswith("the key equals the slip `one` at h = ")
    assert equal.message.endswith("as in 300 of 300 assignments looked at")
    assert line in equal.excerpt
    assert hint in equal.hint


def test_twins_that_a_stem_works_out_are_told_with_what_would_hold_them() -> None:
    text = (
        "template: base\nversion: 1\ntitle: A product of powers\nunknowns: [n]\n"
        "parameters:\n  a: {from: 2, to: 5}\n  b: {from: 2, to: 5}\n"
        "problem: n = a + b\nstem: Write $2^a*2^b$ as a power of 2. Give its exponent $n$.\n"
        "response: {kind: entry, blanks: {n: {form: integer}}}\nkey: n = a + b\n"
    )

    (twins,) = [each for each in found(text) if each.code == "twins"]

    assert twins.hint.startswith(
        "the stem shows the value of `2^a*2^b`: write keep(2^a*2^b) to show it as it stands"
    )
    assert [] == [e.code for e in found(text.replace("$2^a*2^b$", "$keep(2^a*2^b)$")) if e.code == "twins"]


def test_twins_of_roots_in_either_order_are_not_told_to_keep_anything() -> None:
    (twins,) = found(ENTRY.replace("constraints: [p < q]", "constraints: [p != q]"))

    assert "keep" not in twins.hint


def test_a_search_test_broken_on_purpose_is_our_own_contradiction(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(integer_tests._TESTS, "irrational_roots", lambda a, b, c, d=1: True)

    with pytest.raises(Contradiction) as ours:
        found(CHOICE)

    assert "search" in ours.value.first
    assert "proof" in ours.value.second


def test_a_tidy_rule_broken_on_purpose_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    flipped = {"+": "-", "-": "+", "±": "±"}
    original = layout.lay_out

    def spoilt(node: object, holes: int) -> object:
        shape = original(node, holes)  # type: ignore[arg-type]
        display = shape.display
        if type(display).__name__ == "Compared" and type(display.operands[0]).__name__ == "Terms":
            terms = display.operands[0].terms
            if len(terms) == 3:
                last = (flipped[terms[2][0]], terms[2][1])
                broken = type(display.operands[0])((*terms[:2], last))
                return type(shape)(
                    type(display)((broken, *display.operands[1:]), display.signs), shape.holes, shape.doubts
                )
        return shape

    monkeypatch.setattr("itembank.expressions.plan.lay_out", spoilt)

    try:
        codes = {d.code for d in found(CHOICE)}
    except Contradiction:
        codes = {"contradiction"}
    assert codes & {"wrong-key", "contradiction"}


def test_a_canonical_form_broken_on_purpose_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    original = canonical.surd

    def spoilt(*parts: int) -> canonical.Form:
        kind, numbers = original(*parts)
        return (kind, (*numbers[:-1], numbers[-1] + 1)) if kind[0] == "surd" else (kind, numbers)

    monkeypatch.setattr(canonical, "surd", spoilt)

    try:
        codes = {d.code for d in found(CHOICE)}
    except Contradiction:
        codes = {"contradiction"}
    assert codes & {"wrong-key", "contradiction", "solution-line-wrong"}


def test_paths_in_diagnostics_are_the_ones_given() -> None:
    wrong = found(CHOICE.replace("key: x = h ± surd(k)", "key: x = h ± surd(k + 1)"))

    assert {"base.yaml"} == {str(Path(d.span.path)) for d in wrong if d.span is not None}


FRACTION = """\
template: base
version: 1
title: An expression with a letter below
letters: [x]
parameters: {p: {from: 2, to: 9}}
problem: (x^2 - p^2)/(x - p)
stem: Simplify $problem$.
response: {kind: choice, options: 2}
key: x + p
slips: [{slip: minus, value: x - p}]
"""


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        (FRACTION.replace("key: x + p", "key: p*sqrt(x)"), "no letter stands in a denominator"),
        (CHOICE.replace("key: x = h ± surd(k)", "key: x = h + y").replace("[x]", "[x]\nletters: [y]", 1),
         "every letter is a parameter"),
    ],
)  # fmt: skip
def test_a_letter_out_of_place_is_no_matter_of_values(text: str, remedy: str) -> None:
    (told,) = [diagnostic for diagnostic in found(text) if diagnostic.code == "undefined"]
    assert remedy in told.hint
