"""Things to be put into order: the declaration, how they are laid out, and how an order is marked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import OrderResponse, Part, marks_text
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import rules, staff
from itembank.writers.qti3.markup import maths, tag
from itembank.writers.qti3.pieces import Written, feedback, fill, phrase, stem

__all__ = ["write_order"]


class _Looks(NamedTuple):
    """printed: the identifiers as printed; order: as they belong."""

    label: str
    printed: tuple[str, ...]
    order: tuple[str, ...]
    marks: int
    share: Fraction


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """The response; `interaction` has a hole for each thing as printed."""

    declaration: str
    interaction: Pattern
    processing: str


def write_order(part: Part, response: OrderResponse, said: Phrases) -> Written:
    """A part that asks for an order."""
    printed = tuple([thing.identifier for thing in response.things])
    order = tuple([thing.identifier for thing in response.in_order])
    plan = _plan(_Looks(part.label, printed, order, response.marks, response.share), said)
    contents = tuple([maths(thing.maths, said) for thing in response.things])
    causes = [staff.Cause(thing.identifier, "", thing.maths) for thing in response.in_order]
    suffix = f"_{part.label}" if part.label else ""
    return Written(
        plan.declaration,
        stem(part, said) + fill(plan.interaction, contents),
        staff.part_block(part, tuple(causes), said),
        plan.processing,
        feedback([(f"F0{suffix}", phrase("right", said))]),
    )


@cache
def _plan(looks: _Looks, said: Phrases) -> _Plan:
    suffix = f"_{looks.label}" if looks.label else ""
    response, score = f"RESPONSE{suffix}", f"SCORE{suffix}"
    declaration = tag(
        "qti-response-declaration",
        tag("qti-correct-response", *(tag("qti-value", name) for name in looks.order)),
        identifier=response, cardinality="ordered", base_type="identifier",
    )  # fmt: skip
    choices = (
        tag("qti-simple-choice", hole_mark(index), identifier=name)
        for index, name in enumerate(looks.printed)
    )
    interaction = tag(
        "qti-order-interaction", *choices, response_identifier=response, class_="qti-labels-upper-alpha",
        shuffle="false", aria_label=said("put-into-order"),
    )  # fmt: skip
    return _Plan(declaration, Pattern(interaction), "".join(_rules(looks, response, score, suffix)))


def _rules(looks: _Looks, response: str, score: str, suffix: str) -> Iterator[str]:
    right = [rules.show(f"F0{suffix}")]
    if looks.share:
        added = rules.add_share(score, marks_text(looks.share))
        for place, name in enumerate(looks.order, start=1):
            yield rules.condition([(rules.stands_at(response, place, name), [added])])
    else:
        right.insert(0, rules.add(score, looks.marks))
    yield rules.condition([(rules.is_right(response), right)])
