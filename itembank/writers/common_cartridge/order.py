"""Things to be put into order: each bears a letter, and the letters are typed in the order they belong.

A choice among whole orders was weighed and dropped: it would show the right one, and its wrong ones would be nobody's
slip. Typed letters keep what is asked, the letters of the item, and the marks for each thing in its place: every order
that earns something is listed, in each usual spelling.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from itertools import permutations
from math import factorial
from typing import Final

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import OrderResponse
from itembank.writers.common_cartridge.markup import html, words
from itembank.writers.common_cartridge.pieces import LINE, Response, paragraph, phrase
from itembank.writers.common_cartridge.processing import condition, is_answer, percent, processing
from itembank.writers.common_cartridge.texts import fill, maths
from itembank.writers.phrases import Phrases

__all__ = ["SEPARATORS", "order"]

SEPARATORS: Final = (", ", ",", " ", "")
"""What may stand between letters. Source: common practice, no source."""
MOST_RULES: Final = 390
_WHOLE_ONLY: Final = (
    "things in their places earn nothing where others are not, the profile would need too many rules"
)
_TYPED: Final = "an order is typed as the letters of its things, which counts in the listed spellings only"


def order(response: OrderResponse, said: Phrases) -> Response:
    """A part that asks for an order."""
    printed = tuple([thing.identifier for thing in response.things])
    right = tuple([thing.identifier for thing in response.in_order])
    share = response.share if _is_listed(len(right)) else Fraction(0)
    lost = (_TYPED,) if share == response.share else (_TYPED, _WHOLE_ONLY)
    return Response(
        "cc.fib.v0p1", f"order-{response.by}",
        fill(_things(printed), tuple([maths(thing.maths, said) for thing in response.things]))
        + paragraph(said("type-letters", letters=", ".join(printed)), said, class_="typed"),
        LINE, _rules(right, share, response.marks), (("F0", phrase("right", said)),), lost,
    )  # fmt: skip


@cache
def _is_listed(count: int) -> bool:
    """Whether every order with something in its place can be listed."""
    return factorial(count) <= MOST_RULES and len(SEPARATORS) * sum(1 for _ in _fitting(count)) <= MOST_RULES


def _fitting(count: int) -> Iterator[tuple[int, ...]]:
    """The orders with something in its place, the right one first."""
    for each in permutations(range(count)):
        if any(place == index for index, place in enumerate(each)):
            yield each


@cache
def _things(printed: tuple[str, ...]) -> Pattern:
    shown = (
        html("p", html("strong", words(name), class_="letter"), " ", hole_mark(index), data_thing=name)
        for index, name in enumerate(printed)
    )
    return Pattern(html("div", *shown, class_="things"))


@cache
def _rules(right: tuple[str, ...], share: Fraction, marks: int) -> str:
    earning = _fitting(len(right)) if share else (tuple(range(len(right))),)
    rules = []
    for each in earning:
        typed = [right[index] for index in each]
        is_right = list(right) == typed
        earned = marks if is_right else share * sum(a == b for a, b in zip(right, typed, strict=True))
        score = percent(earned, marks)
        rules += [
            condition(is_answer(mark.join(typed)), score, "F0" if is_right else "") for mark in SEPARATORS
        ]
    return processing(rules)
