"""What an author is told leads to the mend: faults a teacher would make, with what is told of each."""

from __future__ import annotations

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse

HEAD = "template: led\nversion: 1\ntitle: Led\ncalculator: no\n"
BESIDE_A_ROOT = """\
unknowns: [a, b]
parameters: {p: {from: 2, to: 9}, r: [2, 3, 5]}
problem: (p + sqrt(r))^2 = a + b*sqrt(r)
stem: Find the integers $a$ and $b$ with $problem$.
response: {kind: entry, marks: 2, blanks: {a: {form: integer}, b: {form: integer}}}
key: a = p^2 + r and b = 2*p
"""
AS_IS_ADVISED = """\
letters: [a, b]
parameters: {p: {from: 2, to: 9}, r: [2, 3, 5]}
problem: (p + sqrt(r))^2
stem: Write $problem$ as $a + b*sqrt(r)$.
response: {kind: entry, marks: 1, blanks: {answer: {form: surd}}}
key: p^2 + r + 2*p*sqrt(r)
"""
PENDULUM = """\
unknowns: [L]
in_terms_of: [T, g]
parameters: {k: {from: 2, to: 6}}
problem: T = k*sqrt(L/g)
stem: All letters are positive. Make $L$ the subject of $problem$.
response: {kind: written, lines: 3}
key: L = g*T^2/k^2
solution: [{math: L = g*T^2/k^2, marks: A1}]
"""
OTHER_LETTERS = """\
unknowns: [S]
letters: [x, alpha, beta]
parameters: {p: {from: 1, to: 4}, q: {from: 5, to: 9}}
problem: S = 1/p + 1/q
stem: Of $x^2 - (p + q)*x + p*q = 0$ the roots are $alpha$ and $beta$. Find $1/alpha + 1/beta$.
response: {kind: entry, marks: 1, blanks: {S: {form: fraction}}}
key: S = (p + q)/(p*q)
solution:
  - {math: S = (alpha + beta)/(alpha*beta), marks: M1}
"""
NO_POWER = """\
unknowns: [x]
parameters: {m: {from: 0, to: 1}, a: {from: 4, to: 5}}
problem: (x - 3)*(x - a + 1)^m*(x - a) = 0
stem: Solve $problem$.
response: {kind: entry, marks: 1, no_real_solution: tick, blanks: {x: {form: integer, values: any-order}}}
key: (x - 3)*(x - a + 1)^m*(x - a) = 0
"""
RECTANGLE = """\
unknowns: [q]
for_every: [x]
parameters: {a: {from: 2, to: 5}}
problem: (x + a)^2 = x^2 + value(2*a)*x + q
stem: Find $q$.
figure: {kind: area-model, of: (x + a)*(x + a)}
response: {kind: entry, marks: 1, blanks: {q: {form: integer}}}
key: q = a^2
"""


def told(text: str) -> dict[str, Diagnostic]:
    template = read_template(parse((HEAD + text).encode(), "led.yaml"), NO_SLIPS).template
    return {each.code: each for each in review(Entry(make_recipe(template), "", "led.yaml")).diagnostics}


@pytest.mark.parametrize(
    ("text", "code", "hint"),
    [
        (BESIDE_A_ROOT, "problem-not-solved", "blanks: {answer: {form: surd}}"),
        (PENDULUM, "problem-not-solved", "unknowns: {L: L > 0}"),
        (OTHER_LETTERS, "solution-line-wrong", "stands in `say:`"),
        (OTHER_LETTERS.replace("{math: S", "{aside: S"), "solution-line-wrong", "stands in `say:`"),
        (RECTANGLE, "figure-cannot-be-drawn", "write of: x^2 + b*x"),
    ],
)
def test_a_fault_is_told_with_what_would_be_right(text: str, code: str, hint: str) -> None:
    assert hint in told(text)[code].hint


@pytest.mark.parametrize("text", [AS_IS_ADVISED, PENDULUM.replace("[L]", "{L: L > 0}")])
def test_what_is_advised_is_right(text: str) -> None:
    assert not [code for code, each in told(text).items() if each.level.name == "WRONG"]


def test_a_power_that_is_not_seen_is_doubtful() -> None:
    found = told(NO_POWER)["odd-looks"]

    assert "exponent 0" in found.message
    assert found.span is not None
    assert 7 == found.span.line
