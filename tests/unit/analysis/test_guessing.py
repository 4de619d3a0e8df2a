"""Chances of luck: against every way to guess, one after the other, and against tables of the binomial distribution."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from itertools import permutations, product

import pytest

from itembank.analysis.exact import rounded
from itembank.analysis.guessing import at_least, at_most, guessed, known, together
from itembank.analysis.keys import RIGHT, Offered, Question


def asked(
    kind: str, offered: Iterable[Offered], maximum: int = 1, share: str = "", words: Iterable[int] = ()
) -> Question:
    """A question. words: of each choice of words in an entry, how many there are, 0 for a box to type in."""
    blanks = tuple({"words": ["a"] * number} if number else {} for number in words)
    return Question("K7Q2M", "", "a-template", "", maximum, kind, tuple(offered), share, blanks=blanks)


def options(right: int, wrong: int) -> list[Offered]:
    """Options, the right ones first."""
    return [Offered("ABCDEFGH"[at], "", is_right=at < right) for at in range(right + wrong)]


def counted(marks: Iterable[Fraction]) -> dict[Fraction, Fraction]:
    """The chance of each number of marks where all ways are as likely."""
    found = Counter(marks)
    return {got: Fraction(times, found.total()) for got, times in found.items()}


@pytest.mark.parametrize(("right", "wrong"), [(1, 3), (1, 1)])
def test_a_choice_is_guessed_one_time_in_as_many_as_there_are_options(right: int, wrong: int) -> None:
    found = guessed(asked("choice", options(right, wrong), 2))
    assert {Fraction(2): Fraction(1, 1 + wrong), Fraction(0): Fraction(wrong, 1 + wrong)} == found


@pytest.mark.parametrize(("right", "wrong"), [(2, 3), (3, 1), (1, 4), (4, 0)])
def test_several_options_are_guessed_as_every_set_of_them(right: int, wrong: int) -> None:
    ways = list(product((False, True), repeat=right + wrong))
    whole = [Fraction(2 * (taken == (True,) * right + (False,) * wrong)) for taken in ways]
    shares = [
        min(max(Fraction(sum(taken[:right]) - sum(taken[right:]), 2), Fraction(0)), Fraction(2))
        for taken in ways
    ]

    assert counted(whole) == guessed(asked("choices", options(right, wrong), 2))
    assert counted(shares) == guessed(asked("choices", options(right, wrong), 2, "0.5"))


@pytest.mark.parametrize(("rows", "targets"), [(3, 4), (2, 2), (4, 3)])
def test_rows_are_guessed_each_by_itself(rows: int, targets: int) -> None:
    offered = [
        Offered(f"{row} {'ABCD'[target]}", "", is_right=target == 0)
        for row in range(rows)
        for target in range(targets)
    ]
    ways = [sum(each == 0 for each in way) for way in product(range(targets), repeat=rows)]

    assert counted(Fraction(hits) for hits in ways) == guessed(asked("match", offered, rows, "1"))
    assert counted(Fraction(3 * (hits == rows)) for hits in ways) == guessed(asked("match", offered, 3))


@pytest.mark.parametrize("things", [1, 2, 3, 5])
def test_orders_are_guessed_as_every_order(things: int) -> None:
    offered = [Offered(" ".join("ABCDE"[:things]), "", is_right=True)]
    hits = [sum(at == place for at, place in enumerate(order)) for order in permutations(range(things))]

    assert counted(Fraction(each, 2) for each in hits) == guessed(asked("order", offered, 4, "0.5"))
    assert counted(Fraction(each == things) for each in hits) == guessed(asked("order", offered, 1))


def test_what_is_typed_is_not_guessed_words_and_a_tick_are() -> None:
    key = [Offered(RIGHT, "x = 3", is_right=True)]
    nothing = {Fraction(0): Fraction(1)}

    assert nothing == guessed(asked("entry", key, words=[0]))
    assert nothing == guessed(asked("entry", key, words=[3, 0])), "one of the boxes is typed"
    assert nothing == guessed(asked("written", []))
    assert {Fraction(1): Fraction(1, 6), Fraction(0): Fraction(5, 6)} == guessed(
        asked("entry", key, words=[3, 2])
    )
    none = [Offered(RIGHT, "none", is_right=True)]
    assert {Fraction(2): Fraction(1, 2), Fraction(0): Fraction(1, 2)} == guessed(
        asked("entry", none, 2, words=[0])
    )


@pytest.mark.parametrize(
    ("questions", "options_each", "right", "table"),
    [(10, 2, 8, "0.0547"), (10, 4, 5, "0.0781"), (5, 5, 3, "0.0579"), (20, 2, 15, "0.0207")],
)
def test_guessing_choices_is_binomial(questions: int, options_each: int, right: int, table: str) -> None:
    """Upper tails of the binomial distribution, as any handbook's tables print them (from memory)."""
    found = together([guessed(asked("choice", options(1, options_each - 1)))] * questions)
    assert table == str(rounded(at_least(found, Fraction(right)), 4))


@pytest.mark.parametrize(
    ("questions", "right", "table"), [(10, 7, "0.0702"), (5, 3, "0.0815"), (20, 16, "0.1330")]
)
def test_who_knows_and_slips_is_binomial_too(questions: int, right: int, table: str) -> None:
    """Lower tails of the binomial distribution with 0.9, as any handbook's tables print them (from memory)."""
    found = together([known(asked("entry", []), Fraction(1, 10))] * questions)
    assert table == str(rounded(at_most(found, Fraction(right)), 4))


@pytest.mark.parametrize(
    "question",
    [
        asked("choices", options(3, 2), 3, "1"),
        asked("order", [Offered("B C A D", "", is_right=True)], 2, "0.5"),
        asked("choice", options(1, 3)),
    ],
)
def test_chances_add_up_to_one(question: Question) -> None:
    chances = together([guessed(question)] * 3)
    assert 1 == sum(chances.values()) == at_least(chances, Fraction(0))
    assert 0 == at_most(chances, Fraction(-1))
