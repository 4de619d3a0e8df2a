"""Questions in a cartridge, answered: the scorer's verdict is what exact mathematics and the list of spellings say.

The oracle reads a typed answer by the words the pupil is given (numbers in order, one mark between them) and decides by
arithmetic of its own on the item; it knows nothing of how the writer lists spellings.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.content import Content
from itembank.expressions.display import Decimal as Shown
from itembank.items import Blank, ChoiceResponse, EntryResponse, Item
from itembank.writers import common_cartridge as cc
from itembank.writers.common_cartridge.spellings import spellings
from tests import qti_items, samples
from tests.cartridge_scorer import Question

ITEMS = (*samples.ALL, *qti_items.MORE)
CHOICES = (samples.choice_item, samples.words_item)
SEPARATORS = (", ", ",", "; ", ";", " ")
TYPED = (
    samples.surd_entry_item, samples.integer_entry_item, samples.identity_item, samples.rewrite_item,
    qti_items.single_surd_item, qti_items.whole_surd_item, qti_items.bare_surd_item, qti_items.fractions_item,
    qti_items.repeated_root_item, qti_items.decimals_item, qti_items.plain_decimal_item, qti_items.in_order_item,
)  # fmt: skip


@cache
def question(make: Callable[[], Item]) -> Question:
    """The one question of an item."""
    (only,) = cc.written(make()).items
    return Question(only)


def percent(marks: int, total: int) -> Decimal:
    """Marks as a percentage, to two places, halves up."""
    return Decimal(int(Fraction(10_000 * marks, total) + Fraction(1, 2))) / 100


@cache
def entry(make: Callable[[], Item]) -> EntryResponse:
    """The response of an item with boxes."""
    response = make().parts[0].response
    assert isinstance(response, EntryResponse)
    return response


# choices


@pytest.mark.parametrize("make", CHOICES)
def test_the_key_earns_everything_and_each_slip_nothing_with_its_sentence(make: Callable[[], Item]) -> None:
    asked, response = question(make), make().parts[0].response
    assert isinstance(response, ChoiceResponse)
    sentences = {
        feedback.get("ident"): "".join(text.text or "" for text in asked.named("mattext", feedback))
        for feedback in asked.named("itemfeedback")
    }
    for option in response.options:
        result = asked.answer([option.identifier])
        assert result.solution
        assert Decimal(100 if option.is_key else 0) == result.score
        told = " ".join(sentences[name] for name in result.feedback)
        if option.is_key:
            assert "That is right." in told
        elif option.slip is not None and isinstance(option.slip.pupil, Content):
            assert f"Look again at {option.slip.name}." in told
        else:
            assert "" == told

    assert Decimal(0) == asked.answer([]).score
    assert () == asked.answer([]).feedback


# typed answers


def parsed(text: str, gaps: int) -> list[str] | None:
    """The numbers of an answer typed as asked; None for one that is not."""
    for mark in SEPARATORS if gaps > 1 else ():
        pieces = text.split(mark)
        if len(pieces) > 1 and all(re.fullmatch(r"[-−]?[0-9./]+", each) for each in pieces):
            if "-" in text and "−" in text:
                return None
            return [each.replace("−", "-") for each in pieces]
    alone = re.sub(r"^([-−]) ", r"\1", text)
    alone = re.sub(r"^\+", "", alone) if not re.match(r"\+[-−]", alone) else alone
    alone = re.sub(r"^([-−]?[0-9]+)\.0?$", r"\1", alone)  # a whole number with a nought behind its point
    return [alone.replace(" / ", "/").replace("−", "-")]


def number(text: str, form: str) -> Fraction | None:
    """A number in its form: whole, a fraction n/d or whole, a decimal."""
    pattern = {"integer": "-?[0-9]+", "fraction": "-?[0-9]+(/[0-9]+)?", "decimal": r"-?[0-9]+(\.[0-9]+)?"}
    if not re.fullmatch(pattern.get(form, "-?[0-9]+"), text) or re.search(r"(^|[-/])0[0-9]|^-0$", text):
        return None
    above, _, below = text.partition("/")
    return None if below and not int(below) else Fraction(above) / int(below or 1)


def expected(response: EntryResponse, text: str) -> int:
    """Marks of a typed answer: none unless every gap is right or equal, by arithmetic on the keyed values."""
    gaps = sum(
        blank.slots * (1 if blank.form == "fraction" else len(blank.boxes)) for blank in response.blanks
    )
    typed = parsed(text, gaps)
    if typed is None:
        return 0
    if len(response.blanks) > 1:
        if len(typed) != gaps:
            return 0
        worth = [_blank(blank, [each]) for blank, each in zip(response.blanks, typed, strict=True)]
        return sum(worth) if all(worth) or _is_known(response, typed) else 0
    return _blank(response.blanks[0], typed)


def _is_known(response: EntryResponse, typed: list[str]) -> bool:
    """Whether a typed answer is one of the known wrong ones, in which each blank that is right earns its marks."""
    return any(
        all(
            _blank(replace(blank, values=values), [each]) == blank.worth
            for blank, values, each in zip(response.blanks, entry.values, typed, strict=True)
        )
        for entry in response.recognised
        if entry.slip.pupil is not None
    )


def _blank(blank: Blank, typed: list[str]) -> int:
    if blank.form == "surd":
        return _surd(blank, typed)
    right = [_value(blank, value) for value in blank.values]
    read = [_in_form(blank, each) for each in typed]
    if None in read or not len(right) <= len(read) <= blank.slots:
        return 0
    orders = permutations(read) if blank.any_order else [tuple(read)]
    for order in orders:
        if len(order) == len(right) and all(_near(blank, a, b) for a, b in zip(order, right, strict=True)):
            return blank.worth
    every = blank.any_order and all(any(_near(blank, a, b) for b in right) for a in read)
    return blank.worth if every and all(any(_near(blank, a, b) for a in read) for b in right) else 0


def _in_form(blank: Blank, text: str) -> Fraction | None:
    found = number(text, blank.form)
    if found is None or (
        blank.form == "fraction" and "/" in text and text != f"{found.numerator}/{found.denominator}"
    ):
        return None
    if blank.form == "decimal" and len(text.partition(".")[2]) > max(blank.places, 0):
        return None
    return found


def _value(blank: Blank, value: tuple[object, ...]) -> Fraction:
    if blank.form == "fraction":
        return Fraction(*value)  # type: ignore[arg-type]
    (held,) = value
    return held.value if isinstance(held, Shown) else Fraction(held)  # type: ignore[arg-type]


def _near(blank: Blank, typed: Fraction | None, right: Fraction) -> bool:
    within = blank.tolerance.value if blank.tolerance else Fraction(0)
    return typed is not None and abs(typed - right) <= within


def _surd(blank: Blank, typed: list[str]) -> int:
    keyed = dict(zip(blank.boxes, blank.values[0], strict=True))
    if len(typed) == len(blank.boxes) - 1 and keyed.get("s") == 1 and blank.boxes[-1] == "s":
        typed = [*typed, "1"]
    read = [number(each, "integer") for each in typed]
    if len(read) != len(blank.boxes) or None in read:
        return 0
    held = {role: int(each) for role, each in zip(blank.boxes, read, strict=True) if each is not None}
    if held == keyed:
        return blank.worth
    p, q, r, s = (held.get(role, usual) for role, usual in (("p", 0), ("q", 1), ("r", 0), ("s", 1)))
    kp, kq, kr, ks = (
        int(str(keyed.get(role, usual))) for role, usual in (("p", 0), ("q", 1), ("r", 0), ("s", 1))
    )
    same = s == ks and p == kp and r > 0 and q * q * r == kq * kq * kr and (blank.pair or q * kq > 0)
    return blank.worth - 1 if same and "q" in held else 0


@st.composite
def typed_answers(draw: st.DrawFn, response: EntryResponse) -> str:
    """Answers near the right one: numbers changed, reordered, left out, unsimplified; spelt in good and bad ways."""
    tokens: list[list[str]] = []
    for blank in response.blanks:
        for value in blank.values:
            if blank.form == "fraction":
                tokens.append(["/".join(map(str, value))])
            else:
                tokens.append([str(each) for each in value])
    if draw(st.booleans()):
        tokens = list(draw(st.permutations(tokens)))
    if draw(st.integers(0, 5)) == 0:
        tokens = [*tokens, draw(st.sampled_from(tokens))]
    flat = [each for token in tokens for each in token]
    changes = draw(st.integers(0, 3))
    if changes == 1 and flat:
        at = draw(st.integers(0, len(flat) - 1))
        flat[at] = draw(
            st.sampled_from(
                [
                    f"{flat[at]}0",
                    f"0{flat[at]}",
                    flat[at].removeprefix("-"),
                    f"-{flat[at]}",
                    "7",
                    "1/2",
                    "2.4",
                    "12",
                ]
            )
        )
    if changes == 2 and len(flat) > 1:
        del flat[draw(st.integers(0, len(flat) - 1))]
    if changes == 3 and len(flat) > 2:
        at = draw(st.integers(0, len(flat) - 2))
        flat[at], flat[at + 1] = draw(
            st.sampled_from(
                [
                    ("1", "28"),
                    ("-1", flat[at + 1]),
                    ("1", "12"),
                    ("1", "72"),
                    ("2", "18"),
                    ("3", "8"),
                    ("-2", "3"),
                ]
            )
        )
    text = draw(st.sampled_from([*SEPARATORS, " ,", "/", ", and "])).join(flat)
    spoilt = st.sampled_from(
        [
            lambda t: t.replace("-", "−"),
            lambda t: t.replace("-", "−", 1),
            lambda t: f"+{t}",
            lambda t: f"{t} ",
            str,
            str,
            str,
        ]
    )
    return draw(spoilt)(text)


@pytest.mark.parametrize("make", TYPED)
@given(data=st.data())
def test_a_typed_answer_earns_what_exact_mathematics_says(
    make: Callable[[], Item], data: st.DataObject
) -> None:
    response = entry(make)
    text = data.draw(typed_answers(response))

    assert percent(expected(response, text), response.marks) == question(make).answer(text).score, text


@pytest.mark.parametrize("make", TYPED)
def test_every_listed_answer_earns_what_exact_mathematics_says(make: Callable[[], Item]) -> None:
    response, asked = make().parts[0].response, question(make)
    assert isinstance(response, EntryResponse)
    scores = []
    for text in asked.listed():
        scores.append(asked.answer(text).score)
        assert percent(expected(response, text), response.marks) == scores[-1], text

    assert max(scores) == 100


@given(st.text(max_size=12))
def test_anything_else_earns_nothing(text: str) -> None:
    for make in TYPED:
        asked = question(make)
        if text.casefold() not in {each.casefold() for each in asked.listed()}:
            assert Decimal(0) == asked.answer(text).score


@pytest.mark.parametrize("make", [each for each in TYPED if each is not qti_items.single_surd_item])
def test_a_known_wrong_entry_earns_what_is_right_of_it_and_is_told_its_sentence(
    make: Callable[[], Item],
) -> None:
    response, asked = make().parts[0].response, question(make)
    assert isinstance(response, EntryResponse)
    for number_, wrong in enumerate(response.recognised, start=1):
        tokens = []
        for blank, values in zip(response.blanks, wrong.values, strict=True):
            for value in values:
                tokens += [value] if blank.form == "fraction" else [(each,) for each in value]
        for text in spellings(tokens):  # type: ignore[arg-type]
            result = asked.answer(text)
            assert (f"F{number_}",) == result.feedback
            assert percent(expected(response, text), response.marks) == result.score
            assert result.score < 100


def test_no_real_solution_is_typed_in_words() -> None:
    asked = question(samples.no_solution_entry_item)

    assert [Decimal(100)] * 3 == [asked.answer(text).score for text in ("none", "None", "no real solution")]
    assert [Decimal(0)] * 3 == [asked.answer(text).score for text in ("", "0", "nothing")]


def test_the_empty_answer_earns_nothing_anywhere() -> None:
    for make in ITEMS:
        for each in cc.written(make()).items:
            assert (Decimal(0), ()) == (Question(each).answer("").score, Question(each).answer(()).feedback)


# spellings


@given(st.lists(st.integers(-99, 99).map(lambda n: (n,)), min_size=1, max_size=4))
def test_each_spelling_of_whole_numbers_is_read_back_as_these_numbers(tokens: list[tuple[int, ...]]) -> None:
    for text in spellings(tokens):
        typed = parsed(text, len(tokens))
        assert typed is not None
        assert [str(n) for (n,) in tokens] == typed


@given(st.integers(-999, 999), st.integers(2, 99))
def test_a_decimal_comma_is_taken_where_the_language_has_it(hundredths: int, other: int) -> None:
    digits = str(Shown(Fraction(hundredths, 100), 2))

    assert digits.replace(".", ",") in spellings([digits], decimal_comma=True)
    assert digits.replace(".", ",") not in spellings([digits])
    assert f"{digits.replace('.', ',')}; {other}" in spellings([digits, (other,)], decimal_comma=True)
    assert f"{digits.replace('.', ',')}, {other}" not in spellings([digits, (other,)], decimal_comma=True)
