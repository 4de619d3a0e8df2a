"""How many items a template makes is counted, and is the number of assignments of which one is made, gone through."""

from __future__ import annotations

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.generator import counting
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.counting import Counter
from itembank.generator.instantiate import draft
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.templates.template import Template
from itembank.yaml_source import parse

TEMPLATE = """\
template: shown
version: 1
title: Shown
demand: use
calculator: no
unknowns: [x]
parameters:
  k: {from: -3, to: 6}
  m: {from: 0, to: 9}
derived: {DERIVED}
problem: x + m = k
stem: Solve $problem$, with SHOWN.
response: {kind: entry, blanks: {x: {form: integer}}}
key: x = k - m
solution: [{say: See LATER., math: x = k - m}]
"""


def template(derived: str, shown: str, later: str = "$x$") -> Template:
    text = TEMPLATE.replace("{DERIVED}", derived).replace("SHOWN", shown).replace("LATER", later)
    return read_template(parse(text.encode(), "shown.yaml"), NO_SLIPS).template


def counted_and_made(derived: str, shown: str) -> tuple[int, int]:
    bound = Bound(make_recipe(template(derived, shown)))
    made = sum(draft(bound, bound.assignment(index)) is not None for index in range(bound.size))
    return Counter(bound).count().feasible, made


@pytest.mark.parametrize(
    ("derived", "shown", "items"),
    [
        ("{c: k}", "$12/(k - 3)$", 90),
        ("{r: 12/(k - 3)}", "$r$", 90),
        ("{r: 12/(k - 3), s: r - r}", "$s$ and $1/(m + 4)$", 90),
        ("{r: 12/(k - 3), s: r*0}", "$k$", 100),  # what is not shown needs no value
        ("{r: sqrt(k)}", "$r$", 70),
        ("{r: k*m}", "$1/r$", 81),
        ("{c: k}", "$k^(-1)$", 90),
        ("{c: k}", "$k^m$", 99),  # 0^0
        ("{c: k}", "$2^k$", 100),
        ("{c: k}", "$k^2$", 100),
        ("{c: k}", "$k^(1/2)$", 70),
        ("{c: k}", "$mod(m, k)$", 90),
        ("{c: k}", "$gcd(k, m)$", 100),
        ("{c: k}", "$round(1/k, 2)$ and $1/abs(k - m)$", 84),
        ("{c: k}", "$value(sqrt(k - 2)/(m - 1))$", 45),
        ("{c: k}", "$factor(x^2 + k*x + m)$", 21),
        ("{c: k}", "$x^(1/k)$", 90),
    ],
)
def test_what_is_shown_without_a_value_is_not_counted(derived: str, shown: str, items: int) -> None:
    assert (items, items) == counted_and_made(derived, shown)


def test_of_very_many_a_share_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counting, "MOST_EXACT_TESTS", 50)
    monkeypatch.setattr(counting, "EXACT_SAMPLE", 100)

    count = Counter(Bound(make_recipe(template("{c: k}", "$factor(x^2 + k*x + m)$")))).count()

    assert (100, 21, False) == (count.allowed, count.feasible, count.exact)


def test_everything_without_a_value_is_told_at_its_own_place() -> None:
    shown = template("{r: 1/(m - 7)}", "$12/(k - 3)$ and $2*r$", "$12/(k - 4)$")
    found = review(Entry(make_recipe(shown), "", "shown.yaml"))

    told = [each for each in found.diagnostics if each.code == "undefined"]
    assert [(10, 14), (12, 30), (15, 23)] == sorted((d.span.line, d.span.column) for d in told if d.span)
    assert 72 == found.count.feasible
