"""Intervals and brackets typed into a cartridge's one line: right exactly when they say what the key says."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from itertools import pairwise
from math import gcd
from pathlib import Path

import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.audit.verify import verify
from itembank.items import Blank, EntryResponse, Item
from itembank.writers import common_cartridge as cc
from tests.cartridge_scorer import Question
from tests.template_items import items
from tests.unit.audit.test_cartridges import codes, spoiled

BANK = cc.Collection("bank-statements", "Statements", is_bank=True)
INTERVALS = ("interval", "interval-rays")
BRACKETS = ("brackets", "brackets-scale")
X = sympy.Symbol("x")
SIGNS = {"<": "__lt__", ">": "__gt__", "<=": "__le__", ">=": "__ge__"}


@cache
def made(name: str) -> tuple[Item, ...]:
    """Items of a good template."""
    return tuple(items(name, 12))


def question(item: Item) -> Question:
    """The one question of an item."""
    return Question(*cc.written(item).items)


def blank_of(item: Item) -> Blank:
    """The one blank of an item."""
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    return response.blanks[0]


def holds(statement: str, unknown: str, value: Fraction) -> bool:
    """Whether a typed statement is true for a value, read here and compared exactly."""
    join = any if " or " in statement else all

    def number(text: str) -> Fraction:
        return value if text.strip() == unknown else Fraction(text.strip().replace("−", "-"))

    def true(piece: str) -> bool:
        terms = re.split("(<=|>=|<|>)", piece.replace("≤", "<=").replace("≥", ">="))
        pairs = zip(terms[0::2], terms[1::2], terms[2::2], strict=False)
        return all(bool(getattr(number(a), SIGNS[sign])(number(b))) for a, sign, b in pairs)

    return join(true(piece) for piece in re.split(" and | or ", statement))


def same(first: str, second: str, unknown: str) -> bool:
    """Whether two statements are true for the same values: at each end, and between and beyond all ends."""
    ends = sorted(
        {Fraction(e.replace("−", "-")) for e in re.findall(r"[-−]?\d+(?:/\d+)?", f"{first} {second}")}
    )
    middles = [(a + b) / 2 for a, b in pairwise(ends)]
    tried = [ends[0] - 1, *ends, *middles, ends[-1] + 1]
    return all(holds(first, unknown, value) == holds(second, unknown, value) for value in tried)


@given(st.sampled_from(INTERVALS), st.integers(0, 11), st.data())
@settings(deadline=None, max_examples=300)
def test_typed_inequalities_are_right_when_they_say_what_the_key_says(
    name: str, which: int, data: st.DataObject
) -> None:
    """The first listed spelling is the key's own; any other statement earns all or nothing as the two agree or not."""
    item = made(name)[which]
    asked, blank = question(item), blank_of(item)
    if not blank.values:
        assert 100 == asked.answer("none").score
        return
    key = asked.listed()[0]
    assert holds_everywhere_as_keyed(key, blank)
    typed = data.draw(st.sampled_from(asked.listed()))
    swapped = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "and": "or", "or": "and"}
    pieces = re.split("(<=|>=|<|>|and|or)", typed.replace("≤", "<=").replace("≥", ">="))
    if data.draw(st.booleans()):
        at = data.draw(st.sampled_from([i for i, piece in enumerate(pieces) if piece in swapped]))
        pieces[at] = swapped[pieces[at]]
    if data.draw(st.booleans()):
        at = data.draw(st.sampled_from([i for i, piece in enumerate(pieces) if re.search(r"\d", piece)]))
        pieces[at] = re.sub(r"\d+", lambda found: str(int(found[0]) + 1), pieces[at], count=1)
    typed = "".join(pieces)
    score = asked.answer(typed).score

    assert (100 if same(typed, key, blank.unknown) else 0) == score, (typed, key)


def holds_everywhere_as_keyed(statement: str, blank: Blank) -> bool:
    """Whether a statement has a piece for each inequality of the blank, with its very end."""
    ends = {Fraction(*ray[1:]) for ray in blank.values}  # type: ignore[arg-type]
    return ends == {Fraction(each) for each in re.findall(r"-?\d+(?:/\d+)?", statement)}


@pytest.mark.parametrize("name", INTERVALS)
def test_what_pupils_usually_write_counts(name: str) -> None:
    """Either side, a chain, no blanks, either minus sign; common practice, no source."""
    kinds = set()
    for item in made(name):
        asked, blank = question(item), blank_of(item)
        if len(blank.values) == 2 and blank.join == "and":
            kinds.add("chain")
            ends = sorted((Fraction(*ray[1:]), str(ray[0])) for ray in blank.values)  # type: ignore[arg-type]
            (low, first_sign), (high, _) = ends
            sign = {"gt": "<", "ge": "<="}[first_sign]
            assert 100 == asked.answer(f"{low}{sign}{blank.unknown}{sign}{high}").score
            assert 100 == asked.answer(f"{low} {sign} {blank.unknown} {sign} {high}".replace("-", "−")).score
        for typed in asked.listed():
            if asked.answer(typed).score == 100:
                assert 100 == asked.answer(typed.upper()).score
    assert kinds == {"chain"} or name == "interval-rays"


@given(st.sampled_from(BRACKETS), st.integers(0, 11), st.data())
@settings(deadline=None, max_examples=300)
def test_typed_brackets_are_right_when_their_product_is_equal(
    name: str, which: int, data: st.DataObject
) -> None:
    """Compared with sympy's product. What is listed with a common factor left in a bracket earns one mark less."""
    item = made(name)[which]
    asked, blank = question(item), blank_of(item)
    key = [int(str(each)) for each in blank.values[0]]
    numbers = data.draw(
        st.sampled_from([re.split(", ", t) for t in asked.listed() if ", " in t and "−" not in t])
    )
    entry = [int(each) for each in numbers]
    if data.draw(st.booleans()):
        at = data.draw(st.integers(0, len(entry) - 1))
        entry[at] += data.draw(st.sampled_from([-2, -1, 1, 2]))
    result = asked.answer(", ".join(map(str, entry)))
    equal = product(entry) == product(key)
    simple = len(entry) == 4 or gcd(*entry[1:3]) == gcd(*entry[3:]) == 1

    if equal and simple:
        assert (100, ("F0",)) == (result.score, result.feedback)
    elif equal:
        less = 100 * (item.marks - 1) / item.marks
        assert abs(float(result.score) - less) < 0.01 or not listed(asked, entry)
    else:
        assert 0 == result.score


def product(numbers: list[int]) -> sympy.Poly:
    """The product of brackets with these numbers."""
    k, a, b, c, d = numbers if len(numbers) == 5 else [1, *numbers]
    return sympy.Poly(k * (a * X + b) * (c * X + d), X)


def listed(asked: Question, entry: list[int]) -> bool:
    """Whether an entry is listed at all."""
    return ", ".join(map(str, entry)) in asked.listed()


def test_a_root_at_an_end_is_left_out_and_told() -> None:
    written = cc.written(made("interval-surds")[0])

    assert () == written.items
    assert any("cannot be typed in one line" in line for line in written.lost)


@pytest.mark.parametrize("name", [*INTERVALS, *BRACKETS])
@pytest.mark.parametrize("thorough", [False, True])
def test_the_audit_finds_nothing_wrong(name: str, thorough: bool, tmp_path: Path) -> None:
    chosen = made(name)[: 3 if thorough else 12]
    (tmp_path / "bank.xml").write_text(
        cc.question_bank(BANK, [text for item in chosen for text in cc.written(item).items]), encoding="utf-8"
    )
    report = verify(tmp_path / "bank.xml", thorough=thorough)

    assert (len(chosen), ()) == (report.items, report.findings)


def first(name: str) -> str:
    """The first question of a template with two inequalities, an end that is a fraction, or brackets."""

    def is_wanted(blank: Blank) -> bool:
        return (
            name in BRACKETS or len(blank.values) == 2 or any(ray[-1] not in {0, 1} for ray in blank.values)
        )

    return next(cc.written(item).items[0] for item in made(name) if is_wanted(blank_of(item)))


def doubled(text: str) -> str:
    """The end of the first spelling is not in lowest terms."""
    return re.sub(
        r"(RESPONSE\">[^<]*?)(\d+)/(\d+)", lambda f: f"{f[1]}{2 * int(f[2])}/{2 * int(f[3])}", text, count=1
    )


def rule_gone(text: str) -> str:
    """The first spelling is listed no more."""
    return re.sub(r"<respcondition.*?</respcondition>", "", text, count=1)


def another(typed: str) -> Callable[[str], str]:
    """The first spelling says something else."""
    return lambda text: re.sub(r'("RESPONSE">)[^<]*(?=</varequal>)', rf"\g<1>{typed}", text, count=1)


def swapped(text: str, one: str, other: str) -> str:
    """Two pieces change places everywhere."""
    return text.replace(one, "\0").replace(other, one).replace("\0", other)


TAMPERED: list[tuple[str, str, Callable[[str], str], str]] = [
    ("a spelling of an interval is gone", "interval", rule_gone, "spelling-missing"),
    ("another interval earns everything", "interval", another("x &lt; 999"), "wrong-entry-earns"),
    ("an answer that says nothing is listed", "interval", another("x &lt;"), "unclear-entry"),
    ("one inequality of two earns everything", "interval", another("x &gt; 1"), "wrong-entry-earns"),
    ("every right interval earns half", "interval", lambda t: t.replace('Set">100<', 'Set">50<'), "key-misses-maximum"),
    ("a right interval is told nothing", "interval",
     lambda t: spoiled(t, '<displayfeedback feedbacktype="Response" linkrefid="F0"/>', ""), "wrong-feedback"),
    ("the stem of an interval shows another number", "interval",
     lambda t: re.sub(r"(data-role=.stem.*?&lt;mn&gt;)\d+", r"\g<1>98", t, count=1), "annotation-differs"),
    ("pupils are not told to type inequalities", "interval",
     lambda t: re.sub(r' data-typed="inequalities"', "", t), "unclear-interaction"),
    ("an unreduced end earns everything", "interval-rays", doubled, "unsimplified-mark"),
    ("a spelling of brackets is gone", "brackets", rule_gone, "spelling-missing"),
    ("other brackets earn everything", "brackets", another("1, 1, 1, 1"), "wrong-entry-earns"),
    ("two gaps of brackets change places", "brackets",
     lambda t: swapped(t, 'data-box="a"', 'data-box="b"'), "unclear-box"),
    ("a gap of brackets is another", "brackets-scale",
     lambda t: spoiled(t, 'data-box="k"', 'data-box="j"'), "unclear-box"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "change", "code"), [each[1:] for each in TAMPERED], ids=[e[0] for e in TAMPERED]
)
def test_what_was_tampered_with_is_told(
    name: str, change: Callable[[str], str], code: str, tmp_path: Path
) -> None:
    text = first(name)
    found = []
    for each in (text, change(text)):
        (tmp_path / "bank.xml").write_text(cc.question_bank(BANK, [each]), encoding="utf-8")
        found.append(codes(verify(tmp_path / "bank.xml")))

    assert text != change(text)
    assert set() == found[0]
    assert code in found[1]
