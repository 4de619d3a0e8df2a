"""What is said to do where two assignments make one question: each cause has a remedy of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.library import BuildRequest, build, check

HEAD = """template: twins
version: 1
title: Two assignments, one question
topics: [linear]
unknowns: [x]
parameters: {a: {from: 1, to: 3}, b: {from: 1, to: 3}, c: {from: 1, to: 2}}
"""
RESPONSE = "response: {kind: entry, blanks: {x: {form: fraction, marks: A1}}}\n"
USUAL = "show every parameter in the stem, or constrain one of them (p < q)"
WORKED_OUT = "the stem shows the value of `{0}`: write keep({0}) to show it as it stands; or " + USUAL
ALONE = "they differ in {0} alone: show it in the stem, or constrain it"
NO_MATHS = "the stem shows no mathematics: what stands between two $ is shown, as in: Solve $problem$."
TAKE_OUT = "nothing uses `c`, in which alone they differ: take it out"


@pytest.mark.parametrize(("more", "problem", "stem", "key", "hint"), [
    ("", "a*x = b", "Solve $problem$.", "x = b/a", TAKE_OUT),
    ("constraints: [c < 3]\n", "a*x = b", "Solve $problem$.", "x = b/a", ALONE.format("c")),
    ("guarantees: [a + c > 0]\n", "a*x = b", "Solve $problem$.", "x = b/a", ALONE.format("c")),
    ("derived: {d: c}\n", "a*x = b", "Solve $problem$.", "x = b/a", ALONE.format("c")),
    ("constraints: [b < 3]\n", "x + a = c", "Solve $x + a = c$.", "x = c - a", ALONE.format("b")),
    ("", "x + a*b = c", "Solve $x + (a*b) = c$.", "x = c - a*b", USUAL),
    ("", "x = c*a*b", "Solve $problem$.", "x = a*b*c", WORKED_OUT.format("c*a*b")),
    ("", "x = b/a - c", "Find $x$, which is $a^b$ less $c*a*b$ and more.", "x = b/a - c", WORKED_OUT.format("a^b")),
    ("", "x = b/a", "Find $x$, which is $b/a$ and not $c$.", "x = b/a", WORKED_OUT.format("b/a")),
    ("", "x = a*b or x = c", "Solve $problem$.", "x = a*b or x = c", WORKED_OUT.format("a*b")),
    ("", "a*x = b*c", "How many are there?", "x = b*c/a", NO_MATHS),
])  # fmt: skip
def test_each_cause_has_its_remedy(
    more: str, problem: str, stem: str, key: str, hint: str, tmp_path: Path
) -> None:
    file = tmp_path / "t.yaml"
    file.write_text(f"{HEAD}{more}problem: {problem}\nstem: {stem}\n{RESPONSE}key: {key}\n", "utf-8")

    assert [hint] == [each.hint for each in check(file).diagnostics if each.code == "twins"]


ORDER = """template: sizes
version: 1
title: Order by size
parameters: {a: {from: 2, to: 4}, b: {from: 5, to: 9}}
problem: a/b
key: a/b
stem: Put the numbers into order, the smallest first.
response: {kind: order, values: [a/b, sqrt(2)/2, 1.5]}
"""


def test_equal_fractions_that_are_put_into_order_are_told_to_be_equal(tmp_path: Path) -> None:
    """2/6 and 3/9 are one number; nothing is said of a stem without formulas, for the numbers stand below it."""
    file = tmp_path / "sizes.yaml"
    file.write_text(ORDER, "utf-8")
    (told,) = [each for each in check(file).diagnostics if each.code == "twins"]
    assert (
        told.hint
        == f"equal numbers look the same: constrain the parameters, as in gcd(p, q) = 1 for p/q; or {USUAL}"
    )

    file.write_text(ORDER.replace("problem: a/b", "constraints: ['gcd(a, b) = 1']\nproblem: a/b"), "utf-8")
    assert check(file).ok


STATEMENTS = """template: statements
version: 1
title: What is true of the line
unknowns: [m]
letters: [x, y]
parameters: {g: [2, 3], p: {from: 1, to: 4}, k: [0, 1]}
derived: {q: g*p + k}
problem: m = g
stem: Which are true of the line $y = g*x$?
response:
  kind: choices
  marks: 2
  credit: all
  words:
    - {text: "It passes through $(p, q)$.", when: k = 0}
    - {text: It rises from left to right., when: m > 0}
    - {text: It passes through every point., when: m = 0}
key: m = g
"""


def test_options_in_words_make_another_question(tmp_path: Path) -> None:
    """Whether (1, 2) or (2, 5) lies on the line are two questions; both can be drawn into one paper."""
    file = tmp_path / "statements.yaml"
    file.write_text(STATEMENTS, "utf-8")
    assert check(file).ok
    bank = tmp_path / "bank"
    bank.mkdir()
    (bank / "bank.yaml").write_text("bank: lines\ntitle: Lines\n", "utf-8")
    (bank / "templates").mkdir()
    file.rename(bank / "templates" / "statements.yaml")
    assert (
        build(BuildRequest(str(bank), str(tmp_path / "out"), count=16, formats=["json"])).report.items == 16
    )
