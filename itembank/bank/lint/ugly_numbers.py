"""`numbers-too-ugly`: numbers so large, without a calculator, that arithmetic and not algebra is tested."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import numerals
from itembank.expressions.display import Maths
from itembank.items import ChoiceResponse, Item

LARGEST = 999
ALLOWED_IN = 10
"""Doubtful where it is so in more than one item of so many."""


def _look(sample: Sample) -> Iterator[Remark]:
    if sample.template.about.calculator == "yes":
        return
    for number, part in enumerate(sample.template.parts):
        for where, shown in (("stem", _stem), ("options", _options)):
            too_large = [item for item in sample.items if any(n > LARGEST for n in shown(item, number))]
            if ALLOWED_IN * len(too_large) > len(sample.items):
                largest = max(n for item in too_large for n in shown(item, number))
                yield Remark(
                    part.stem.source.span if where == "stem" else part.response.span,
                    f"in {len(too_large)} of {len(sample.items)} items the {where} show a number above {LARGEST} "
                    f"({largest} for one), and there is no calculator",
                    "make the ranges smaller",
                )


def _stem(item: Item, number: int) -> list[int]:
    fillings = item.parts[number].stem.fillings
    return [n for filling in fillings if isinstance(filling, Maths) for n in numerals(filling)]


def _options(item: Item, number: int) -> list[int]:
    response = item.parts[number].response
    if not isinstance(response, ChoiceResponse):
        return []
    return [n for o in response.options if isinstance(o.content, Maths) for n in numerals(o.content)]


RULE = Rule("numbers-too-ugly", "common practice, no source; the largest number is ours", _look)
