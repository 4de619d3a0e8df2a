"""Unknowns that stand for whole numbers: as many values as counting finds, on every road, and marked as such.

Checked against counting by trial, here; the question is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import islice, pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from itembank.audit import real_sets, whole_numbers
from itembank.audit.findings import Unread
from itembank.audit.latex_reader import read_latex
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.verify import audit_item
from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic, InputError
from itembank.expressions.conventions import conventions
from itembank.expressions.latex import latex
from itembank.expressions.mathml import NAMESPACE, mathml, presentation
from itembank.expressions.omml import omml
from itembank.expressions.spelling import plain, terminal
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.items import ChoiceResponse, EntryResponse, Item
from itembank.proof import regions
from itembank.proof.findings import Finding
from itembank.proof.prover import faults, prove
from itembank.proof.solver import CannotDecide
from itembank.proof.symbolic import prove_with_sympy
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.writers import qti3
from itembank.writers.mathml_as_latex import latex_of
from itembank.yaml_source import parse
from tests import samples
from tests.kinds_bank import walk_items
from tests.qti_scorer import ScoredItem

LISTED = """\
template: listed
version: 1
title: List the whole numbers
calculator: no
unknowns: {n: integer and n > 1}
parameters: {a: {from: 2, to: 5}, b: {from: 1, to: 9}, m: {from: 3, to: 5}, r: {from: 0, to: 1}}
derived: {c: a*m + b + r}
problem: a*n + b <= c
stem: List all integers $n$ with $n > 1$ and $a*n + b <= c$.
response: {kind: entry, marks: 3, blanks: {n: {form: integer, boxes: 5}}}
key: 1 < n <= m
slips:
  - {slip: end-not-counted, value: 1 < n < m, teacher: Not counted., source: "common practice, no source"}
solution:
  - {math: a*n <= c - b, marks: M1}
  - {math: n <= m, marks: M1}
  - {math: 1 < n <= m, marks: A1}
"""
CHOSEN = """\
template: chosen
version: 1
title: Choose the whole numbers
calculator: no
unknowns: {n: integer}
parameters: {p: {from: -6, to: 3, leaving_out: [0]}, q: {from: 7, to: 9}}
problem: (n - p)*(n - q) < 0 and n > q - 4
stem: Which integers satisfy $problem$?
response: {kind: choice, options: 3}
key: q - 4 < n < q
slips:
  - {slip: ends-counted, value: q - 4 <= n <= q, teacher: Counts., source: "common practice, no source"}
  - {slip: an-end-counted, value: q - 4 < n <= q, teacher: Counts., source: "common practice, no source"}
"""
ONE_OF_TWO = """\
template: one-of-two
version: 1
title: Find the whole number
calculator: no
unknowns: {m: integer, n: n > 0 and integer}
parameters: {p: {from: 2, to: 9}, q: {from: 1, to: 9}}
problem: m - n = p - q and (m - p)*(2*m - 1) = 0
stem: Find the integers $m$ and $n$ with $m - n = p - q$ and $(m - p)*(2*m - 1) = 0$.
response: {kind: entry, marks: 2, blanks: {m: {form: integer}, n: {form: integer}}}
key: m = p and n = q
"""


@cache
def _bound(text: str) -> Bound:
    return Bound(make_recipe(read_template(parse(text.encode(), "whole.yaml"), NO_SLIPS).template))


def _items(text: str, count: int) -> Iterator[Item]:
    return islice(walk_items(_bound(text)), count)


def _told(text: str) -> list[Diagnostic]:
    try:
        return review(Entry(_bound(text).recipe, "", "whole.yaml")).diagnostics
    except InputError as wrong:
        return list(wrong.diagnostics)


def _wrong(text: str) -> dict[str, Diagnostic]:
    return {each.code: each for each in _told(text)}


@pytest.mark.parametrize("text", [LISTED, CHOSEN, ONE_OF_TWO])
def test_every_road_proves_them(text: str) -> None:
    assert not [each for each in _told(text) if each.level.name == "WRONG"]
    for item in _items(text, 20):
        assert () == faults(prove(item))
        assert () == faults(prove_with_sympy(item))
        assert () == audit_item(qti3.item_xml(item).encode(), "items/X.xml")[1]


def test_the_key_lists_what_counting_finds_whatever_the_number_of_boxes() -> None:
    sizes = set()
    for item in _items(LISTED, 40):
        part = item.parts[0]
        said = plain(part.problem.statement).replace("*n", "*{0}").replace("<=", "<=")
        a, _, rest = said.partition("*{0} + ")
        b, _, c = rest.partition(" <= ")
        counted = [number for number in range(2, 100) if int(a) * number + int(b) <= int(c)]
        assert isinstance(part.response, EntryResponse)
        (blank,) = part.response.blanks

        assert " or ".join(f"n = {number}" for number in counted) == plain(part.key)
        assert 5 == blank.slots
        sizes.add(len(counted))
    assert {2, 3, 4} == sizes


def test_every_order_earns_the_marks_and_a_number_more_or_less_does_not() -> None:
    item = next(each for each in _items(LISTED, 40) if plain(each.parts[0].key) == "n = 2 or n = 3 or n = 4")
    scored = ScoredItem(qti3.item_xml(item))
    names = [name for name in scored.responses if name.startswith("BOX")]
    assert 5 == len(names)

    for order in permutations(["2", "3", "4", "", ""]):
        assert 3 == scored.answer({n: given or None for n, given in zip(names, order, strict=True)}).score
    for wrong in (["2", "3", "", "", ""], ["2", "3", "4", "5", ""], ["1", "2", "3", "4", ""]):
        assert 0 == scored.answer({n: given or None for n, given in zip(names, wrong, strict=True)}).score


def test_it_is_said_of_the_letter_in_each_reading() -> None:
    (item,) = _items(CHOSEN, 1)
    domain = item.parts[0].problem.domain
    assert domain is not None

    assert "n ∈ integers" == plain(domain)
    assert "n ∈ ℤ" == terminal(domain)
    assert "<in/><ci>n</ci><ci>integers</ci>" in qti3.item_xml(item).replace("ℤ", "integers")


def test_without_it_neither_road_nor_the_audit_takes_the_key() -> None:
    (item,) = _items(CHOSEN, 1)
    part = item.parts[0]
    spoiled = replace(item, parts=(replace(part, problem=replace(part.problem, domain=None)),))

    for prover in (prove, prove_with_sympy):
        assert "wrong-key" in {fault.code for fault in faults(tuple(prover(spoiled)))}
    found = audit_item(qti3.item_xml(spoiled).encode(), "items/X.xml")[1]
    assert "wrong-key" in {fault.code for fault in found}


@pytest.mark.parametrize("more", ["n = 2", "n = 2 or n = 3 or n = 4 or n = 5 or n = 6 or n = 7", "n = 5/2"])
def test_a_key_of_other_numbers_is_refuted_on_every_road(more: str) -> None:
    (item,) = _items(LISTED, 1)
    spoiled = replace(item, parts=(replace(item.parts[0], key=samples.maths(more)),))

    def keys(found: tuple[Finding, ...]) -> set[str]:
        return {fault.code for fault in faults(found)} & {"wrong-key", "domain"}

    assert keys(tuple(prove(spoiled)))
    assert keys(tuple(prove_with_sympy(spoiled)))
    assert audit_item(qti3.item_xml(spoiled).encode(), "items/X.xml")[1]


def test_a_line_may_say_the_same_of_whole_numbers_in_another_way_and_no_other() -> None:
    assert not _wrong(LISTED.replace("math: 1 < n <= m", "math: 1 < n < m + 1"))
    told = _wrong(LISTED.replace("math: 1 < n <= m", "math: 1 < n < m"))

    assert ["solution-line-wrong"] == [*told]


@pytest.mark.parametrize(
    ("domain", "what"),
    [
        ("whole", "integer"),
        ("natural", "integer"),
        ("a positive integer", "integer and n > 0"),
        ("ℕ", "integer"),
    ],
)
def test_other_words_are_answered_with_ours(domain: str, what: str) -> None:
    told = _wrong(LISTED.replace("integer and n > 1", domain))["kind-of-number"]

    assert what in told.hint
    assert told.span is not None
    assert 5 == told.span.line


def test_boxes_are_said_where_the_key_does_not_tell_how_many() -> None:
    told = _wrong(LISTED.replace(", boxes: 5", ""))["whole-numbers-one-by-one"]
    assert "boxes: 6" in told.hint
    told = _wrong(LISTED.replace("form: integer, boxes: 5", "form: interval"))["whole-numbers-one-by-one"]
    assert "choice" in told.hint


def test_too_few_boxes_are_told_with_how_many_it_takes() -> None:
    told = [each.message for each in _told(LISTED.replace("boxes: 5", "boxes: 2"))]
    assert any("4 values, and 2 boxes" in message or "3 values, and 2 boxes" in message for message in told)


@pytest.mark.parametrize("boxes", ["1", "9"])
def test_a_number_of_boxes_that_no_page_holds_is_told(boxes: str) -> None:
    assert "boxes-of-numbers" in _wrong(LISTED.replace("boxes: 5", f"boxes: {boxes}"))


def test_boxes_belong_to_an_only_unknown() -> None:
    assert "boxes-of-numbers" in _wrong(
        ONE_OF_TWO.replace("m: {form: integer}", "m: {form: integer, boxes: 3}")
    )


def test_a_domain_shared_by_the_parts_holds_in_each() -> None:
    text = LISTED.partition("problem:")[0] + (
        "parts:\n"
        "  - problem: a*n + b <= c\n"
        "    stem: List all integers $n$ with $n > 1$ and $a*n + b <= c$.\n"
        "    response: {kind: entry, marks: 3, blanks: {n: {form: integer, boxes: 5}}}\n"
        "    key: 1 < n <= m\n"
    )
    assert not [each for each in _told(text) if each.level.name == "WRONG"]


ends = st.fractions(-20, 20, max_denominator=6)


@given(st.lists(st.tuples(ends, ends, st.booleans(), st.booleans()), max_size=4), st.sampled_from([-1, 0, 1]))
def test_both_roads_find_the_whole_numbers_that_trying_finds(
    stretches: list[tuple[Fraction, Fraction, bool, bool]], ray: int
) -> None:
    pieces = [
        regions.Piece(min(a, b), a == b or low, max(a, b), a == b or high) for a, b, low, high in stretches
    ]
    if ray:
        pieces.append(
            regions.Piece(
                *((None, False, Fraction(-21), True) if ray < 0 else (Fraction(21), True, None, False))
            )
        )
    region = regions.union(pieces)

    def holds(number: int, region: regions.Region) -> bool:
        return any(
            (p.low is None or p.low < number or (p.low == number and p.low_in))
            and (p.high is None or number < p.high or (p.high == number and p.high_in))
            for p in region
        )

    tried = [number for number in range(-30, 31) if holds(number, region)]
    found = regions.whole_numbers(region)
    assert tried == [number for number in range(-30, 31) if holds(number, found)]
    corners = sorted({end for p in region for end in (p.low, p.high) if end is not None})
    as_set = real_sets.tidy(
        corners,
        [
            any((p.low == c and p.low_in) or (p.high == c and p.high_in) or _within(p, c) for p in region)
            for c in corners
        ],
        _gaps(region, corners),
    )
    other = whole_numbers.of_set(as_set)
    if isinstance(other, frozenset):
        assert {(number,) for number in tried} == other
        assert not ray
    else:
        held = [n for n in range(-30, 31) if n in other.corners or _in_ray(other, n)]
        assert tried == held


def _within(piece: regions.Piece, number: Fraction) -> bool:
    return (piece.low is None or piece.low < number) and (piece.high is None or number < piece.high)


def _gaps(region: regions.Region, corners: list[Fraction]) -> list[bool]:
    if not corners:
        return [bool(region)]
    middles = [
        corners[0] - 1,
        *((a + b) / 2 for a, b in pairwise(corners)),
        corners[-1] + 1,
    ]
    return [any(_within(piece, middle) for piece in region) for middle in middles]


def _in_ray(found: real_sets.RealSet, number: int) -> bool:
    left = found.between[0] and (not found.corners or number <= found.corners[0])
    right = found.between[-1] and (not found.corners or number >= found.corners[-1])
    return left or right


def test_too_many_are_not_told_one_by_one() -> None:
    many = (regions.Piece(Fraction(0), True, Fraction(5000), True),)
    with pytest.raises(CannotDecide, match="whole numbers"):
        regions.whole_numbers(many)


def test_options_are_lists_of_whole_numbers() -> None:
    (item,) = _items(CHOSEN, 1)
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    shown = sorted(plain(option.content).count("n =") for option in response.options)
    assert [3, 4, 5] == shown


def test_whole_numbers_that_are_listed_stand_behind_one_sign() -> None:
    """Common practice, no source; the language's own spelling stays with `or`, which it reads back."""
    item = next(each for each in _items(LISTED, 40) if plain(each.parts[0].key).endswith("n = 4"))
    key = item.parts[0].key

    assert "n = 2 or n = 3 or n = 4" == plain(key)
    assert "n = 2, 3, 4" == terminal(key)
    assert r"n = 2,\, 3,\, 4" == latex(key)
    assert "n=2;3;4" == re.sub(r"<[^>]*>", "", presentation(key, conventions("es"))).replace(" ", "")
    assert ["2", "3", "4"] == re.findall(r"<m:t[^>]*>(\d)</m:t>", omml(key))
    assert latex(key) == latex_of(mathml(key))


def test_two_solutions_of_an_equation_are_no_list() -> None:
    text = LISTED.replace("a*n + b <= c", "(n - a)*(n - b - 9) = 0").replace(
        "1 < n <= m", "n = a or n = b + 9"
    )
    (item,) = _items(text[: text.index("slips")], 1)

    assert " or " in terminal(item.parts[0].key)


def _read_shown(markup: str) -> object:
    return read_presentation(etree.fromstring(markup.replace("<math>", f'<math xmlns="{NAMESPACE}">')))


@pytest.mark.parametrize(
    ("read", "listed", "joined"),
    [
        (
            _read_shown,
            "<math><mi>n</mi><mo>=</mo><mn>2</mn><mo>,</mo><mn>3</mn></math>",
            "<math><mi>n</mi><mo>=</mo><mn>2</mn><mtext>or</mtext><mi>n</mi><mo>=</mo><mn>3</mn></math>",
        ),
        (read_latex, r"n = 2,\, 3", r"n = 2\ \text{or}\ n = 3"),
    ],
)
def test_a_list_is_read_back_as_what_it_says(read: Callable[[str], object], listed: str, joined: str) -> None:
    """Behind = alone, and behind one letter: n < 2, 3 and 2n = 2, 3 say nothing."""
    assert read(joined) == read(listed)
    unequal = "≠" if listed.startswith("<") else r"\ne"
    for other in (
        listed.replace("=", unequal),
        listed.replace("<mi>n</mi>", "<mn>5</mn>").replace("n =", "5 ="),
    ):
        with pytest.raises(Unread):
            read(other)


def test_a_list_that_lacks_a_number_is_found_by_the_audit() -> None:
    item = next(each for each in _items(CHOSEN, 40))
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    first, *others = terminal(response.key.content).split(", ")
    packed = qti3.item_xml(item)
    shown = re.findall(r"<math [^>]*>.*?</math>", packed)
    key = next(each for each in shown if _numbers(each) == [first.removeprefix("n = "), *others])
    last = rf'<mo>,</mo><mspace width="0.25em"/><mn>{others[-1]}</mn>'
    assert last in key

    found = audit_item(packed.replace(key, key.replace(last, "")).encode(), "items/X.xml")[1]

    assert found


def _numbers(markup: str) -> list[str]:
    """The numbers of a list of positive ones in markup, [] for other mathematics."""
    return re.findall(r"<mn>(\d+)</mn>", markup) if "<mo>,</mo>" in markup and "<mo>=" in markup else []
