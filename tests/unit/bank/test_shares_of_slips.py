"""What `check` says of slips: shares over the whole box, and wrong roots that the domain rules out."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import isqrt
from pathlib import Path

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.cli.sources import entries_of
from itembank.expressions import spelling
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Instantiator
from itembank.generator.space import walk

LINE = """\
template: gradient
version: 1
title: Find the gradient
unknowns: [m]
parameters:
  g: {from: -4, to: 4, leaving_out: [0]}
  w: {from: 1, to: 9}
derived: {t: g*w}
problem: t = m*w
stem: A line rises by $t$ over a run of $w$. Find its gradient $m$.
response: {kind: entry, blanks: {m: {form: fraction, marks: B1}}}
key: m = g
slips:
  - {slip: run-over-rise, value: m = w/t}
  - {slip: difference, value: m = t - w}
solution:
  - math: m = t/w
    marks: B1
"""
SIDE = """\
template: longest-side
version: 1
title: Find the longest side
unknowns: {c: c > 0}
parameters: {a: {from: 1, to: 9}, b: {from: 1, to: 9}}
constraints: [a < b]
problem: c^2 = a^2 + b^2
stem: The short sides are $a$ and $b$. Find the longest side $c$.
response: {kind: choice, options: 3}
key: c = surd(a^2 + b^2)
slips:
  - {slip: difference, value: c^2 = b^2 - a^2}
  - {slip: added, value: c = a + b}
solution:
  - math: c = surd(a^2 + b^2)
    marks: B1
"""


def entry_of(tmp_path: Path, text: str) -> Entry:
    path = tmp_path / "t.yaml"
    path.write_text(text, "utf-8")
    ((entry,), _, _) = entries_of(path)
    return entry


def test_shares_of_slips_are_those_of_the_whole_box(tmp_path: Path) -> None:
    found = review(entry_of(tmp_path, LINE))

    box = list(product([g for g in range(-4, 5) if g], range(1, 10)))
    inverted = sum(Fraction(w, g * w) != g for g, w in box)
    shifted = sum(g * w - w not in {g, Fraction(w, g * w)} for g, w in box)
    assert [inverted, shifted] == [dict(share.fates)["offered"] for share in found.slips]
    assert [len(box)] * 2 == [share.seen for share in found.slips]


def test_a_wrong_equations_roots_outside_the_domain_are_no_options(tmp_path: Path) -> None:
    bound = Bound(entry_of(tmp_path, SIDE).recipe)
    instantiator = Instantiator(bound, 1)
    seen = 0
    for drawn in walk(bound, 1):
        item = instantiator.item(drawn.position, drawn.draft, "CODE")
        a, b = (int(str(item.values[name])) for name in "ab")
        (slip, *_) = item.parts[0].slips
        shown = spelling.plain(slip.answer)
        assert "±" not in shown
        assert " or " not in shown
        if isqrt(b * b - a * a) ** 2 == b * b - a * a:
            assert f"c = {isqrt(b * b - a * a)}" == shown
        seen += 1
    assert seen > 30
