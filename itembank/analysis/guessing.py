"""How many marks luck alone earns: what somebody gets who knows nothing and guesses, as exact chances.

Whoever guesses takes every option, or every way to fill a question that is answered by choosing, equally often. What is
typed is not guessed: there are too many ways to. The one exception is "no real solution", which somebody ticks, or does
not, without knowing: one time in two.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import comb, factorial
from typing import Final, TypeAlias

from itembank.analysis.keys import Question

__all__ = ["Chances", "at_least", "at_most", "guessed", "known", "together"]

Chances: TypeAlias = Mapping[Fraction, Fraction]
"""Marks -> the chance to get just these; the chances add up to 1."""

_TICKED: Final = "none"
"""How `items.json` spells a key that is no real solution."""


def guessed(question: Question) -> Chances:
    """The marks of a question for somebody who guesses.

    >>> from itembank.analysis.keys import Offered
    >>> options = tuple(Offered(letter, "", is_right=letter == "C") for letter in "ABCD")
    >>> guessed(Question("K7Q2M", "", "a", "", 2, "choice", options))
    {Fraction(2, 1): Fraction(1, 4), Fraction(0, 1): Fraction(3, 4)}
    """
    offered, share = question.offered, Fraction(question.share or 0)
    right = sum(each.is_right for each in offered)
    match question.kind:
        case "choice" | "wrong-line":
            return _whole(question, Fraction(right, len(offered)))
        case "choices" if share:
            return _shares_of_choices(question, right, share)
        case "choices":
            return _whole(question, Fraction(1, 2 ** len(offered)))
        case "match":
            rows = len({each.name.partition(" ")[0] for each in offered})
            hit = Fraction(rows, len(offered))  # one target in so many, in each row
            return (
                together([{share: hit, Fraction(0): 1 - hit}] * rows)
                if share
                else _whole(question, hit**rows)
            )
        case "order":
            places = len(offered[0].name.split())
            return (
                _shares_of_places(places, share)
                if share
                else _whole(question, Fraction(1, factorial(places)))
            )
        case "entry":
            return _whole(question, _entered(question))
        case _:
            return _whole(question, Fraction(0))


def known(question: Question, slipping: Fraction) -> Chances:
    """The marks for somebody who has learnt the method, and still gets nothing in this share of questions."""
    return _whole(question, 1 - slipping)


def together(each: Iterable[Chances]) -> dict[Fraction, Fraction]:
    """The marks of several questions in all, of which none has to do with another."""
    total = {Fraction(0): Fraction(1)}
    for chances in each:
        more: dict[Fraction, Fraction] = {}
        for marks, chance in total.items():
            for added, its_chance in chances.items():
                more[marks + added] = more.get(marks + added, Fraction(0)) + chance * its_chance
        total = more
    return total


def at_least(chances: Chances, marks: Fraction) -> Fraction:
    """The chance to get these marks or more."""
    return sum((chance for got, chance in chances.items() if got >= marks), Fraction(0))


def at_most(chances: Chances, marks: Fraction) -> Fraction:
    """The chance to get these marks or fewer."""
    return sum((chance for got, chance in chances.items() if got <= marks), Fraction(0))


def _whole(question: Question, chance: Fraction) -> Chances:
    """All marks or none."""
    found = {Fraction(question.maximum): chance, Fraction(0): 1 - chance}
    return {marks: its_chance for marks, its_chance in found.items() if its_chance}


def _shares_of_choices(question: Question, right: int, share: Fraction) -> Chances:
    """Every option taken or not: a share for each right one, less one for each wrong one, from 0 to the maximum."""
    wrong, maximum = len(question.offered) - right, Fraction(question.maximum)
    found: dict[Fraction, Fraction] = {}
    for good in range(right + 1):
        for bad in range(wrong + 1):
            marks = min(max((good - bad) * share, Fraction(0)), maximum)
            ways = Fraction(comb(right, good) * comb(wrong, bad), 2 ** (right + wrong))
            found[marks] = found.get(marks, Fraction(0)) + ways
    return found


def _shares_of_places(places: int, share: Fraction) -> Chances:
    """Orders by how many things stand in their places. Source: the rencontres numbers, for example Riordan 1958."""
    return {
        right * share: Fraction(comb(places, right) * _deranged(places - right), factorial(places))
        for right in range(places + 1)
        if right != places - 1
    }


def _deranged(things: int) -> int:
    """Orders in which nothing stands in its place."""
    return sum((-1) ** k * factorial(things) // factorial(k) for k in range(things + 1))


def _entered(question: Question) -> Fraction:
    if question.offered and question.offered[0].text == _TICKED:
        return Fraction(1, 2)
    words = [blank.get("words") for blank in question.blanks]
    if not words or not all(words):
        return Fraction(0)
    chance = Fraction(1)
    for each in words:
        chance /= len(each or ())
    return chance
