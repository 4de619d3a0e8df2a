"""What `check` says of slips: shares over the whole box, and wrong roots that the domain rules out."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import isqrt
from pathlib import Path

from click.testing import CliRunner

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.bank.sources import entries_of
from itembank.cli.check import command
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
    assert [inverted, shifted] == [dict(share.fates)["recognised"] for share in found.slips]
    assert [len(box)] * 2 == [share.seen for share in found.slips]


def test_a_slip_that_the_boxes_hold_at_times_is_recognised_then_and_fits_no_box_else(tmp_path: Path) -> None:
    text = LINE.replace("form: fraction", "form: integer")
    found = review(entry_of(tmp_path, text))

    box = list(product([g for g in range(-4, 5) if g], range(1, 10)))
    inverted = [Fraction(w, g * w) for g, w in box if Fraction(w, g * w) != g]
    whole = sum(each.denominator == 1 for each in inverted)
    share = dict(found.slips[0].fates)
    assert (whole, len(inverted) - whole) == (share.get("recognised", 0), share["fits no box"])
    assert len(box) == sum(share.values())


def test_a_slip_that_rounds_to_the_key_is_the_key(tmp_path: Path) -> None:
    text = (
        LINE.replace("g: {from: -4, to: 4, leaving_out: [0]}", "g: {from: 1, to: 2}")
        .replace("form: fraction,", "form: decimal, places: 1,")
        .replace("value: m = w/t", "value: m = g + w/200")
    )
    found = review(entry_of(tmp_path, text))

    share = dict(found.slips[0].fates)
    assert {
        "equals the key": 18
    } == share  # a twentieth at most, and only more than that rounds to another tenth


def test_a_choice_of_words_says_where_a_slip_leads_to_words_of_the_key(tmp_path: Path) -> None:
    text = """\
template: which-sign
version: 1
title: Say the sign
unknowns: [m]
parameters: {g: {from: -4, to: 4, leaving_out: [0]}, w: {from: 1, to: 3}}
problem: m = g*w
stem: The number $m$ is $g$ times $w$. Which sign has it?
response:
  kind: entry
  blanks:
    m: {form: one-of, before: m is, marks: B1, words: [{text: positive, when: m > 0}, {text: negative, when: m < 0}]}
key: m = g*w
slips:
  - {slip: added, value: m = g + w}
  - {slip: turned, value: m = -g*w}
  - {slip: turned-and-more, value: m = -2*g*w}
"""
    found = review(entry_of(tmp_path, text))
    box = list(product([g for g in range(-4, 5) if g], range(1, 4)))
    shares = {share.name: dict(share.fates) for share in found.slips}

    assert sum((g + w) * g < 0 for g, w in box) == shares["added"]["recognised"]
    assert {"has no words of its own": len(box)} == shares["turned-and-more"]
    assert not {d.code for d in found.diagnostics} & {
        "slip-never-appears",
        "slip-seldom-appears",
        "slip-fits-no-box",
    }


def test_check_says_which_entries_are_recognised(tmp_path: Path) -> None:
    path = tmp_path / "t.yaml"
    path.write_text(LINE.replace("form: fraction", "form: integer"), "utf-8")
    done = CliRunner().invoke(command, [str(path)], standalone_mode=False)

    (line,) = [line for line in done.output.splitlines() if line.startswith("    slip run-over-rise: ")]
    assert "recognised" in line
    assert "fits no box" in line
    assert "offered" not in line


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
