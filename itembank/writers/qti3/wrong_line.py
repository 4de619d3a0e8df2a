"""Lines of working of which one does not follow: a choice of one line, marked by its number."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import Part, ShownLine, WrongLineResponse
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import rules, staff
from itembank.writers.qti3.markup import blocks, maths, tag
from itembank.writers.qti3.pieces import Written, feedback, fill, note, phrase, stem

__all__ = ["write_wrong_line"]


class _Looks(NamedTuple):
    """lines: how many; wrong: the number of the wrong one, from 1; told: whether finding it shows a sentence."""

    label: str
    lines: int
    wrong: int
    told: bool
    marks: int


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """The response; `interaction` has a hole for each line."""

    declaration: str
    interaction: Pattern
    processing: str


def write_wrong_line(part: Part, response: WrongLineResponse, said: Phrases) -> Written:
    """A part that asks for the line that does not follow."""
    told = response.slip.pupil is not None
    looks = _Looks(part.label, len(response.lines), response.wrong + 1, told, response.marks)
    plan, suffix = _plan(looks, said), f"_{part.label}" if part.label else ""
    sentences = [
        (f"F0{suffix}", phrase("right", said)),
        (f"FL{suffix}", phrase("line-follows", said)),
    ]
    of_slip = None
    if response.slip.pupil is not None:
        sentences.append(of_slip := (f"F1{suffix}", blocks(response.slip.pupil, said)))
    causes = []
    for index, line in enumerate(response.lines):
        is_wrong = index == response.wrong
        name = f"F0{suffix}" if is_wrong else f"FL{suffix}"
        remark = note(response.slip) if is_wrong else None
        sentence = of_slip if is_wrong else None
        causes.append(staff.Cause(_identifier(index + 1), name, line.maths, remark, told=sentence))
    return Written(
        plan.declaration,
        stem(part, said) + fill(plan.interaction, tuple([_line(line, said) for line in response.lines])),
        staff.part_block(part, tuple(causes), said),
        plan.processing,
        feedback(sentences),
    )


def _line(line: ShownLine, said: Phrases) -> str:
    """What is said, and the mathematics in a paragraph of its own."""
    return (blocks(line.say, said) if line.say is not None else "") + tag("p", maths(line.maths, said))


def _identifier(number: int) -> str:
    return f"L{number}"


@cache
def _plan(looks: _Looks, said: Phrases) -> _Plan:
    suffix = f"_{looks.label}" if looks.label else ""
    response, score = f"RESPONSE{suffix}", f"SCORE{suffix}"
    declaration = tag(
        "qti-response-declaration", tag("qti-correct-response", tag("qti-value", _identifier(looks.wrong))),
        identifier=response, cardinality="single", base_type="identifier",
    )  # fmt: skip
    lines = (
        tag("qti-simple-choice", hole_mark(number - 1), identifier=_identifier(number))
        for number in range(1, looks.lines + 1)
    )
    interaction = tag(
        "qti-choice-interaction", *lines, response_identifier=response, class_="qti-labels-decimal",
        shuffle="false", max_choices="1", min_choices="0", aria_label=said("line-not-following"),
    )  # fmt: skip
    found = [rules.add(score, looks.marks), rules.show(f"F0{suffix}")]
    if looks.told:
        found.append(rules.show(f"F1{suffix}"))
    others = rules.negated(rules.is_empty(response))
    processing = rules.condition([(rules.is_right(response), found), (others, [rules.show(f"FL{suffix}")])])
    return _Plan(declaration, Pattern(interaction), processing)
