"""Several right options: a rule for every set of them that earns marks.

The profile sets a score and cannot add to it, so each set of options that earns a part of the marks is told by name:
the options chosen, and those not chosen. The sentences for wrong options come before and let the processing go on.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from itertools import product
from typing import Final

from itembank.expressions.display import Pattern
from itembank.items import ChoicesResponse
from itembank.writers.common_cartridge.choice import is_told, options_pattern, told_in_words
from itembank.writers.common_cartridge.markup import material
from itembank.writers.common_cartridge.pieces import Response, phrase
from itembank.writers.common_cartridge.processing import (
    all_of,
    condition,
    is_answer,
    percent,
    processing,
    remark,
)
from itembank.writers.common_cartridge.texts import blocks, fill, shown
from itembank.writers.phrases import Phrases

__all__ = ["choices"]

MOST_OPTIONS: Final = 7
"""Above so many options there are too many sets of them: then only the right options together earn marks."""


def choices(response: ChoicesResponse, said: Phrases) -> Response:
    """Several right options."""
    share = response.share if len(response.options) <= MOST_OPTIONS else Fraction(0)
    looks = tuple([(option.identifier, option.is_key, is_told(option)) for option in response.options])
    options, rules = _patterns(looks, share, response.marks)
    feedback = [("F0", phrase("right", said))]
    for option in response.options:
        if not option.is_key and option.slip is not None and option.slip.pupil is not None:
            feedback.append((f"F_{option.identifier}", blocks(option.slip.pupil, said)))
    contents = tuple([material(shown(option.content, said)) for option in response.options])
    lost = ("a part of the right options earns nothing, the profile would need too many rules",)
    return Response(
        "cc.multiple_response.v0p1", f"choices-{response.sense}", "", fill(options, contents), rules,
        tuple(feedback), lost if share != response.share else (),
        in_words=told_in_words(response.options, said) if response.sense == "words" else (),
    )  # fmt: skip


@cache
def _patterns(looks: tuple[tuple[str, bool, bool], ...], share: Fraction, marks: int) -> tuple[Pattern, str]:
    names = tuple(identifier for identifier, _, _ in looks)
    right = frozenset(identifier for identifier, is_key, _ in looks if is_key)
    rules = [
        remark(is_answer(identifier), f"F_{identifier}")
        for identifier, is_key, told in looks
        if told and not is_key
    ]
    for chosen, earned in _earning(names, right, share, marks):
        others = (name for name in names if name not in chosen)
        told = "F0" if chosen == right else ""
        rules.append(
            condition(all_of((n for n in names if n in chosen), others), percent(earned, marks), told)
        )
    return options_pattern(names, several=True), processing(rules)


def _earning(
    names: tuple[str, ...], right: frozenset[str], share: Fraction, marks: int
) -> Iterator[tuple[frozenset[str], Fraction]]:
    """The sets that earn marks, the right one first; each right option adds a share, each wrong one costs it."""
    yield right, Fraction(marks)
    for taken in product((True, False), repeat=len(names)) if share else ():
        chosen = frozenset(name for name, is_taken in zip(names, taken, strict=True) if is_taken)
        earned = share * (len(chosen & right) - len(chosen - right))
        if earned > 0 and chosen != right:
            yield chosen, earned
