"""Follow-through is right on a thousand random wrong first parts: the scorer's marks against exact mathematics here."""

from __future__ import annotations

from fractions import Fraction
from math import gcd
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.items import EntryResponse, Item
from itembank.writers.qti3 import item_xml, shortfalls
from tests.qti_scorer import ARITHMETIC, ScoredItem
from tests.template_items import items

ROUNDS = 1_000
LARGEST = 2**31 - 1


def scorers(name: str, count: int) -> list[tuple[Item, ScoredItem]]:
    return [(item, ScoredItem(item_xml(item))) for item in items(name, count)]


def typed(value: Fraction | int, *, times: int = 1) -> tuple[str, str]:
    value = Fraction(value)
    return str(value.numerator * times), str(value.denominator * times)


def keyed(item: Item, part: int, blank: int = 0) -> tuple[Fraction, ...]:
    """The values that are keyed in a blank."""
    response = item.parts[part].response
    assert isinstance(response, EntryResponse)
    return tuple(
        Fraction(*(each for each in group if isinstance(each, int)))
        for group in response.blanks[blank].values
    )


def marks_of_point(item: Item, p: int, q: int, u: int, v: int) -> int:
    """p, q keyed: 1 each; u keyed or -p: 1; v keyed: 2, or q: 1."""
    (p0,), (q0,), (u0,), (v0,) = keyed(item, 0), keyed(item, 0, 1), keyed(item, 1), keyed(item, 1, 1)
    return (p == p0) + (q == q0) + (u in {u0, -p}) + (2 if v == v0 else 1 if v == q else 0)


def test_whole_numbers_follow_on_a_thousand_wrong_first_parts() -> None:
    draw, wrong = Random(7), 0
    found = scorers("follow-through", 40)
    for _ in range(ROUNDS):
        item, scorer = draw.choice(found)
        p, q = draw.randint(-40, 40), draw.randint(-400, 400)
        if (p, q) == (keyed(item, 0)[0], keyed(item, 0, 1)[0]):
            continue
        wrong += 1
        for u, v in (
            (-p, q),
            (p, q),
            (-p, -q),
            (-p + 1, q - 1),
            (int(keyed(item, 1)[0]), int(keyed(item, 1, 1)[0])),
        ):
            entry = {"BOX_a_1": str(p), "BOX_a_2": str(q), "BOX_b_1": str(u), "BOX_b_2": str(v)}
            assert marks_of_point(item, p, q, u, v) == scorer.answer(entry).score, entry
    assert wrong >= ROUNDS - 5


def in_lowest_terms(n: int, d: int) -> bool:
    return d >= 1 and gcd(n, d) == 1


def marks_of_chain(
    item: Item, p: tuple[int, int], s: tuple[int, int], t: tuple[tuple[int, int], tuple[int, int]]
) -> int:
    """The marks of three parts, each equal but unsimplified value one less."""
    total = 0
    values = {"p": Fraction(*p), "s": Fraction(*s)}
    n = item.values["n"]
    assert isinstance(n, int)
    wanted = (
        (0, 1, None, [p]),
        (1, 2, {values["p"] ** 2}, [s]),
        (2, 3, {n - values["s"], 1 - values["p"]}, list(t)),
    )
    for part, worth, follows, entries in wanted:
        equal = {Fraction(*each) for each in entries}
        simple = all(in_lowest_terms(*each) for each in entries)
        if equal == set(keyed(item, part)) or (follows is not None and equal == follows):
            total += worth if simple else worth - 1
    return total


def test_fractions_and_pairs_follow_on_a_thousand_wrong_first_parts() -> None:
    draw = Random(11)
    found = scorers("follow-fractions", 30)
    for _ in range(ROUNDS):
        item, scorer = draw.choice(found)
        p = Fraction(draw.randint(-30, 30), draw.choice([1, 2, 3, 4, 5]))
        if p == keyed(item, 0)[0]:
            p += 1
        s = p * p if draw.random() < 0.7 else p * p + draw.choice([1, -1, Fraction(1, 2)])
        n = item.values["n"]
        assert isinstance(n, int)
        t = [n - s, 1 - p]
        if draw.random() < 0.3:
            t[draw.randrange(2)] += draw.choice([1, -1])
        draw.shuffle(t)
        pairs = [typed(each, times=draw.choice([1, 1, 1, 2, -1])) for each in (p, s, *t)]
        entry = dict(zip(BOXES, [text for pair in pairs for text in pair], strict=True))
        whole = [(int(a), int(b)) for a, b in pairs]

        assert marks_of_chain(item, whole[0], whole[1], (whole[2], whole[3])) == scorer.answer(entry).score, (
            entry
        )


BOXES = (
    "BOX_a_1", "BOX_a_2", "BOX_b_1", "BOX_b_2", "BOX_c_1", "BOX_c_2", "BOX_c_3", "BOX_c_4",
)  # fmt: skip


@given(st.integers(0, 9), st.integers(-LARGEST - 1, LARGEST), st.integers(-LARGEST - 1, LARGEST))
@settings(deadline=None, max_examples=80)
def test_very_large_entries_are_marked_alike_on_every_platform(which: int, p: int, v: int) -> None:
    """Where a product would leave 32 bits nothing is earned, whatever a platform does there."""
    item = list(items("follow-through", 10))[which]
    entry = {"BOX_a_1": str(p), "BOX_a_2": str(v), "BOX_b_1": str(-p), "BOX_b_2": str(v)}

    scores = {ScoredItem(item_xml(item), each).answer(entry).score for each in ARITHMETIC}
    assert len(scores) == 1
    if p > -LARGEST:
        assert {float(marks_of_point(item, p, v, -p, v))} == scores or abs(v) > LARGEST


@pytest.mark.parametrize("missing", ["BOX_a_1", "BOX_a_2"])
def test_nothing_follows_from_an_answer_that_was_not_given(missing: str) -> None:
    ((_, scorer),) = scorers("follow-through", 1)
    entry = {"BOX_a_1": "100", "BOX_a_2": "100", "BOX_b_1": "-100", "BOX_b_2": "100"}
    del entry[missing]

    assert scorer.answer(entry).score == 1
    assert "FF_b" in scorer.answer(entry).feedback


def test_what_follows_is_told_so_and_the_key_is_told_right() -> None:
    item, scorer = scorers("follow-fractions", 1)[0]
    key = {name: texts[0] for name, texts in scorer.key().items()}
    wrong = {**key, "BOX_a_1": "17", "BOX_a_2": "3", "BOX_b_1": "289", "BOX_b_2": "9"}

    assert {"F0_a", "F0_b", "F0_c"} == scorer.answer(key).feedback
    assert {"FF_b", "F0_c"} == scorer.answer(wrong).feedback
    assert item.marks - 1 == scorer.answer(wrong).score


def test_a_decimal_follows_from_nothing_and_the_report_says_so() -> None:
    for item, scorer in scorers("follow-decimals", 6):
        (p,), (q,) = keyed(item, 0), keyed(item, 0, 1)
        right = {"BOX_a_1": str(p), "BOX_a_2": str(q), "BOX_b_1": f"{float(p / 4 + q):.2f}"}
        follows = {"BOX_a_1": str(p + 4), "BOX_a_2": str(q), "BOX_b_1": f"{float(p / 4 + q + 1):.2f}"}

        assert 3 == scorer.answer(right).score
        assert 1 == scorer.answer(follows).score
        assert any(
            "follow-through marks are given for the right value only" in each for each in shortfalls(item)
        )
