"""Orders typed as letters: which order is right, what every listed one earns, and what is missing from the list."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import permutations
from typing import Final

from itembank.audit.cartridge_marking import check_nothing, run
from itembank.audit.cartridge_reader import Question
from itembank.audit.findings import Fault

__all__ = ["check_letters", "keyed_order", "read_letters"]

_FULL: Final = Fraction(100)
_ROUNDED: Final = Fraction(1, 100)
_MARKS: Final = (", ", ",", " ", "")
_MOST_THINGS: Final = 6


def read_letters(text: str) -> tuple[str, ...]:
    """The letters of a typed order; capitals and small letters are one.

    >>> read_letters("b, A,c"), read_letters("BAC")
    (('B', 'A', 'C'), ('B', 'A', 'C'))
    """
    return tuple(text.replace(",", "").replace(" ", "").upper())


def keyed_order(question: Question) -> tuple[str, ...]:
    """The order that earns everything. Raises Fault `no-key` where there is not one."""
    full = {read_letters(rule.equal[0]) for rule in question.conditions if rule.equal and rule.score == _FULL}
    if len(full) != 1:
        raise Fault("no-key", f"{len(full)} orders earn everything, not one")
    return full.pop()


def check_letters(question: Question) -> Iterator[Fault]:
    """Whether each order earns what its things in their places come to, however it is spelt; or all or nothing."""
    right = keyed_order(question)
    listed = {text.casefold() for rule in question.conditions for text in rule.equal}
    scores = {text: run(question, frozenset({text})) for text in sorted(listed)}
    shared = any(0 < score < _FULL for score, _ in scores.values())
    for text, (score, shown) in scores.items():
        letters = read_letters(text)
        place = f"answer {text!r}"
        if sorted(letters) != sorted(question.things):
            yield Fault(
                "unclear-entry", f"the listed answer {text!r} does not name every thing once", place=place
            )
            continue
        if abs(score - _due(letters, right, shared)) > _ROUNDED:
            yield Fault("wrong-entry-earns", f"the order earns {score} of 100", place=place)
        if shown != (("F0",) if letters == right else ()):
            yield Fault("wrong-feedback", "the order is not told what it is", place=place)
    yield from _missing(right, listed, shared)
    yield from check_nothing(question)


def _missing(right: tuple[str, ...], listed: set[str], shared: bool) -> Iterator[Fault]:
    if shared and len(right) > _MOST_THINGS:
        raise Fault("too-many-options", f"more than {_MOST_THINGS} things earn something each")
    for letters in permutations(right) if shared else (right,):
        if _due(letters, right, shared):
            for text in (mark.join(letters) for mark in _MARKS):
                if text.casefold() not in listed:
                    yield Fault("spelling-missing", f"the order {text!r} does not earn what it should")


def _due(letters: tuple[str, ...], right: tuple[str, ...], shared: bool) -> Fraction:
    if letters == right:
        return _FULL
    placed = sum(one == other for one, other in zip(letters, right, strict=True))
    return _FULL * placed / len(right) if shared else Fraction(0)
