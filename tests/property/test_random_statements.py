"""Statements in one unknown put together at random, with keys and lines that are right or spoilt in one place.

The oracle knows nothing of algebra: each relation is a function of a fraction, and whatever it does it does between the
numbers at which it may change, so two sets are equal if they agree at those numbers and once between each two. What is
right has to be proved, what is spoilt must not be; both by the item's proof, and by the audit of the file alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from operator import eq, ge, gt, le, lt, ne

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from itembank.audit.verify import audit_item
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.items import Item
from itembank.proof.prover import faults, prove
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.writers.qti3 import item_xml
from itembank.yaml_source import parse

SIGNS: dict[str, Callable[[Fraction, Fraction], bool]] = {
    "=": eq, "!=": ne, "<": lt, "<=": le, ">": gt, ">=": ge,
}  # fmt: skip
ROOTS = st.fractions(-6, 6, max_denominator=3)
SOME = settings(
    derandomize=True, max_examples=80, deadline=None, suppress_health_check=list(HealthCheck), database=None
)


@dataclass(frozen=True)
class Said:
    """A statement: its text, where it may change, and whether it holds at a number."""

    text: str
    corners: frozenset[Fraction]
    holds: Callable[[Fraction], bool]


def tidy(text: str) -> str:
    """No sign before a sign."""
    return text.replace("+ -", "- ").replace("- -", "+ ")


@st.composite
def relations(draw: st.DrawFn) -> Said:
    """A product of two brackets, multiplied out or not; a modulus; a quotient; a linear relation of two sides."""
    sign, p, q = draw(st.sampled_from(sorted(SIGNS))), draw(ROOTS), draw(ROOTS)
    a = draw(st.sampled_from([-3, -2, -1, 1, 2, 3]))
    nought = Fraction(0)
    match draw(st.sampled_from(["brackets", "expanded", "modulus", "quotient", "linear"])):
        case "brackets":
            text = f"{a}*(x - {p})*(x - {q}) {sign} 0"
            return Said(tidy(text), frozenset({p, q}), lambda x: SIGNS[sign](a * (x - p) * (x - q), nought))
        case "expanded":
            text = f"{a}*x^2 - {a * (p + q)}*x {sign} {-a * p * q}"
            return Said(tidy(text), frozenset({p, q}), lambda x: SIGNS[sign](a * (x - p) * (x - q), nought))
        case "modulus":
            corners = frozenset({p, (p * a + q) / a, (p * a - q) / a})
            text = f"abs({a}*x - {a * p}) {sign} {q}"
            return Said(tidy(text), corners, lambda x: SIGNS[sign](abs(a * x - a * p), q))
        case "quotient":
            assume(p != q)
            text = f"(x - {p})*(x - {q})/(x - {q}) = 0"
            return Said(tidy(text), frozenset({p, q}), lambda x: x == p and x != q)
        case _:
            text = f"{a}*x - {q} {sign} {p}*x + 1"
            corners = frozenset() if a == p else frozenset({(q + 1) / (a - p)})
            return Said(tidy(text), corners, lambda x: SIGNS[sign](a * x - q, p * x + 1))


@st.composite
def problems(draw: st.DrawFn) -> Said:
    """One relation, or two that are joined; a quotient stands beside equations only."""
    first = draw(relations())
    if draw(st.integers(0, 2)):
        return first
    second, word = draw(relations()), draw(st.sampled_from(["and", "or"]))
    joined = all if word == "and" else any
    assume("/(x" not in first.text + second.text or not re.search("[<>!]|abs", first.text + second.text))
    return Said(
        f"{first.text} {word} {second.text}",
        first.corners | second.corners,
        lambda x: joined([first.holds(x), second.holds(x)]),
    )


def at(corners: Sequence[Fraction], holds: Callable[[Fraction], bool]) -> list[bool]:
    """Whether something holds before, at and after each corner."""
    if not corners:
        return [holds(Fraction(0))]
    between = [
        corners[0] - 1,
        *((low + high) / 2 for low, high in pairwise(corners)),
        corners[-1] + 1,
    ]
    mixed = [holds(between[0])]
    for corner, after in zip(corners, between[1:], strict=True):
        mixed += [holds(corner), holds(after)]
    return mixed


def written(corners: Sequence[Fraction], truth: Sequence[bool]) -> str:
    """A set in signs of inequality. truth: before, at and after each corner."""
    pieces: list[str] = []
    start = 0
    while start < len(truth):
        if not truth[start]:
            start += 1
            continue
        end = start
        while end + 1 < len(truth) and truth[end + 1]:
            end += 1
        low = "" if start == 0 else f"x {'>=' if start % 2 else '>'} {corners[(start - 1) // 2]}"
        high = "" if end == len(truth) - 1 else f"x {'<=' if end % 2 else '<'} {corners[end // 2]}"
        single = start == end and start % 2
        pieces.append(f"x = {corners[start // 2]}" if single else " and ".join(filter(None, (low, high))))
        start = end + 1
    return " or ".join(pieces) or "none"


TEMPLATE = """\
template: statement
version: 1
title: A statement
unknowns: [x]
problem: {problem}
stem: Solve $problem$.
response: {{kind: written}}
key: {key}
solution:
  - math: {line}
    marks: M1
  - math: {key}
    marks: A1
"""


def made(problem: str, key: str, line: str) -> Item:
    """The only item of a template."""
    text = TEMPLATE.format(problem=problem, key=key, line=line)
    ready = Bound(make_recipe(read_template(parse(text.encode(), "statement.yaml"), NO_SLIPS).template))
    maker = Instantiator(ready, 1)
    (drawn,) = walk(ready, 1)
    return maker.item(drawn.position, drawn.draft, item_code(maker.address(drawn.position), OPEN_SECRET))


@SOME
@given(problems(), st.integers(0, 2**16))
def test_what_is_right_is_proved_and_what_is_spoilt_is_not(problem: Said, place: int) -> None:
    corners = sorted(problem.corners)
    truth = at(corners, problem.holds)
    spoilt = [*truth]
    spoilt[place % len(truth)] = not truth[place % len(truth)]
    assume(not all(truth) and not all(spoilt))  # nothing is written where every number is a solution
    right, wrong = written(corners, truth), written(corners, spoilt)

    good = made(problem.text, right, right)
    assert () == faults(prove(good))
    assert () == audit_item(item_xml(good).encode(), "items/X.xml")[1]

    for key, line, code in ((wrong, right, "wrong-key"), (right, wrong, "solution-line")):
        bad = made(problem.text, key, line)
        assert code in {fault.code for fault in faults(prove(bad))}
        found = {fault.code for fault in audit_item(item_xml(bad).encode(), "items/X.xml")[1]}
        assert found
        assert not any(re.search("cannot|unknown", each) for each in found)
