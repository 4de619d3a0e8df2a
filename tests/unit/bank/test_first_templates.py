"""What first templates say otherwise is told with a remedy that serves when it is followed."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.errors import Level
from itembank.library import check

MODULUS = """\
template: modulus
version: 1
title: A modulus equation with two cases
unknowns: [x]
parameters: {p: [1, 3], q: [5, 7]}
derived: {u: p + q, v: (p - q)/3}
constraints: ['mod(p - q, 3) = 0']
problem: abs(2*x - p) = x + q
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer}}}
key: x = u or x = v
solution:
  - math: 2*x - p = x + q or 2*x - p = -x - q
  - math: x = u or x = v
"""
BISECTOR = """\
template: bisector
version: 1
title: A line in parts
letters: [x, y]
parameters: {m: [2, 4], n: [3, 5], g: [2, 3]}
parts:
  - unknowns: [a, b]
    for_every: [x]
    problem: a*x + b = n + g*(x - m)
    stem: The line AB through $(m, n)$ has the gradient $g$ and the equation $y = a*x + b$. Find $a$ and $b$.
    response: {kind: entry, blanks: {a: {form: integer, marks: B1}, b: {form: integer, marks: B1}}}
    key: a = g and b = n - g*m
    solution:
      - {say: It is $y - n = g*(x - m)$., math: a*x + b - n = g*(x - m)}
      - {math: a = g and b = n - g*m}
  - unknowns: [y]
    problem: y = a*m + b
    stem: What is $y$ where $x = m$?
    response: {kind: entry, blanks: {y: {form: integer}}}
    key: y = n
"""
WORDS = """\
template: words
version: 1
title: How many solutions
unknowns: [D]
letters: [x]
parameters: {b: {from: 2, to: 6}, c: {from: 1, to: 9}}
problem: D = b^2 - 4*c
stem: How many real solutions has $x^2 + b*x + c = 0$?
response:
  kind: choice
  words:
    - {text: none, when: D < 0}
    - {text: one, when: D = 0}
    - {text: two, when: D > 0}
key: D = b^2 - 4*c
"""
INTERVAL = """\
template: between
version: 1
title: Between two numbers
unknowns: [x]
parameters: {p: {from: 1, to: 4}, q: {from: 5, to: 8}}
problem: (x - p)*(x - q) < 0
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: interval}}}
key: p < x < q
"""
PAIR = """\
template: pair
version: 1
title: Two equations
unknowns: [x, y]
letters: [a]
parameters: {m: [2, 3], n: [4, 5]}
problem: x + y = m and x - y = n
stem: Solve $problem$.
response: {kind: choice, options: 2}
key: x = (m + n)/2 and y = (m - n)/2
slips: [{slip: signs, value: x = (m - n)/2 and y = (m + n)/2}]
"""


def told(text: str, folder: Path) -> list[str]:
    path = folder / "first.yaml"
    path.write_text(text, "utf-8")
    return [
        f"{each.code} {each.message} -> {each.hint}"
        for each in check(path).diagnostics
        if each.level == Level.WRONG
    ]


@pytest.mark.parametrize("text", [MODULUS, BISECTOR, WORDS, INTERVAL, PAIR])
def test_what_the_remedies_lead_to_is_right(text: str, tmp_path: Path) -> None:
    assert [] == told(text, tmp_path)


@pytest.mark.parametrize(
    ("text", "old", "new", "said"),
    [
        (MODULUS, "math: 2*x - p = x + q or 2*x - p = -x - q", "math: 2*x - p = x + q", "join these by `or`"),
        (MODULUS, "math: 2*x - p = x + q or 2*x - p = -x - q", "aside: 2*x - p = x + q", "cases stand in one line"),
        (BISECTOR, "{say: It is $y - n = g*(x - m)$., math: a*x + b", "{math: y", "write out what y stands for"),
        (BISECTOR, "    for_every: [x]\n", "", "say for_every: [x]"),
        (BISECTOR, "AB through", "$AB$ through", "outside the dollars, as in: the line AB"),
        (WORDS, "    - {text: one, when: D = 0}\n", "", "let just one row of `words:` be right"),
        (WORDS, "when: D < 0", "when: D <= 0", "let just one row of `words:` be right"),
        (INTERVAL, "key: p < x < q", "key: p <= x <= q", "between 1 and 5 without the ends"),
        (INTERVAL, "< 0", "> 0", "below 1, above 5"),
        (INTERVAL, "< 0", "<= 0", "between 1 and 5 with the ends"),
        (INTERVAL, "key: p < x < q", "key: between p and q", "write both ends with signs"),
        (INTERVAL, "parameters: {", "constraints: [p is less than q]\nparameters: {", "write the sign: ="),
        (INTERVAL, "p: {from: 1, to: 4}", "p: 1..4", "write {from: 1, to: 4}"),
        (INTERVAL, "p: {from: 1, to: 4}", "p: 1 to 4", "write {from: 1, to: 4}"),
        (INTERVAL, "p: {from: 1, to: 4}", "p: -1.5-4", "write {from: -1.5, to: 4}"),
        (INTERVAL, "p: {from: 1, to: 4}", "p: 'random(1, 4)'", "write {from: 1, to: 4}"),
        (INTERVAL, "Solve $problem$", "Solve $problem$, not $log_2(x)$", "no logarithms are read"),
        (INTERVAL, "Solve $problem$", "In m^2, solve $problem$", "the raised digit itself: m²"),
        (INTERVAL, "Solve $problem$", "In cm^3, solve $problem$", "the raised digit itself: cm³"),
        (INTERVAL, "Solve $problem$", "By x^2, solve $problem$", "mathematics stands between two $"),
        (INTERVAL, "Solve $problem$", "With $c$, solve $problem$", "known here: p, problem, q, x"),
        (PAIR, "key: x = (m + n)/2", "key: x = a*(m + n)/2", "another letter stands only in a formula"),
    ],
)  # fmt: skip
def test_what_is_said_otherwise_is_told(text: str, old: str, new: str, said: str, tmp_path: Path) -> None:
    assert old in text
    found = told(text.replace(old, new, 1), tmp_path)
    assert any(said in each for each in found), found


def test_a_letter_that_another_part_asks_for_is_told_to_be_one(tmp_path: Path) -> None:
    text = BISECTOR.replace("[x, y]", "[x]").replace(
        "and the equation $y = a*x + b$", "where $y$ is at $a*x + b$"
    )
    assert any("another part asks for it" in each and "letters: [y]" in each for each in told(text, tmp_path))
