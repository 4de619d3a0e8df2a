"""What is said to do where two assignments make one question: each cause has a remedy of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.library import check

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
