"""One right option among several: its declaration, how it is laid out, and how it is marked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from itembank.expressions.display import Maths, Pattern, hole_mark
from itembank.items import ChoiceResponse, Option, Part
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import rules, staff
from itembank.writers.qti3.markup import blocks, maths, tag
from itembank.writers.qti3.pieces import Written, feedback, fill, note, phrase, shown, stem

__all__ = [
    "ChoiceLooks",
    "ChoicePlan",
    "choice_looks",
    "choice_plan",
    "feedback_names",
    "option_cause",
    "write_choice",
]


class ChoiceLooks(NamedTuple):
    """What a choice depends on, the options' contents apart.

    label: of the part. options: for each its identifier, whether it is the key, and whether choosing it shows a
    sentence.
    """

    label: str
    options: tuple[tuple[str, bool, bool], ...]
    marks: int


@dataclass(frozen=True, slots=True, eq=False)
class ChoicePlan:
    """A choice; `interaction` has a hole for each option's content."""

    declaration: str
    interaction: Pattern
    processing: str


def choice_looks(label: str, response: ChoiceResponse) -> ChoiceLooks:
    """The looks of a response."""
    options = [
        (option.identifier, option.is_key, option.slip is not None and option.slip.pupil is not None)
        for option in response.options
    ]
    return ChoiceLooks(label, tuple(options), response.marks)


@cache
def feedback_names(looks: ChoiceLooks) -> tuple[str, ...]:
    """For each option the feedback it shows, "" for none: F0 for the key, F1, F2, ... for the others in turn."""
    suffix = f"_{looks.label}" if looks.label else ""
    names, number = [], 0
    for _, is_key, told in looks.options:
        number += not is_key
        names.append(f"F0{suffix}" if is_key else f"F{number}{suffix}" if told else "")
    return tuple(names)


@cache
def choice_plan(looks: ChoiceLooks, said: Phrases) -> ChoicePlan:
    """Declaration, interaction and rules for choices that look alike."""
    suffix = f"_{looks.label}" if looks.label else ""
    response, score = f"RESPONSE{suffix}", f"SCORE{suffix}"
    key = next(identifier for identifier, is_key, _ in looks.options if is_key)
    declaration = tag(
        "qti-response-declaration", tag("qti-correct-response", tag("qti-value", key)),
        identifier=response, cardinality="single", base_type="identifier",
    )  # fmt: skip
    choices = (
        tag("qti-simple-choice", hole_mark(index), identifier=identifier)
        for index, (identifier, _, _) in enumerate(looks.options)
    )
    interaction = tag(
        "qti-choice-interaction", *choices, response_identifier=response, class_="qti-labels-upper-alpha",
        shuffle="false", max_choices="1", min_choices="0", aria_label=said("one-answer"),
    )  # fmt: skip
    branches = [(rules.is_right(response), [rules.add(score, looks.marks), rules.show(f"F0{suffix}")])]
    for (identifier, is_key, _), name in zip(looks.options, feedback_names(looks), strict=True):
        if name and not is_key:
            branches.append((rules.choice_is(response, identifier), [rules.show(name)]))
    return ChoicePlan(declaration, Pattern(interaction), rules.condition(branches))


def write_choice(part: Part, response: ChoiceResponse, said: Phrases) -> Written:
    """A part with one right option."""
    looks = choice_looks(part.label, response)
    plan, names = choice_plan(looks, said), feedback_names(looks)
    contents = tuple([shown(option.content, said) for option in response.options])
    causes, sentences = [], []
    for option, name, content in zip(response.options, names, contents, strict=True):
        told = None
        if option.is_key:
            sentences.append((name, phrase("right", said)))
        elif option.slip is not None and option.slip.pupil is not None:
            sentences.append(told := (name, blocks(option.slip.pupil, said)))
        causes.append(option_cause(part, option, name, content, said, told))
    return Written(
        plan.declaration,
        stem(part, said) + fill(plan.interaction, contents),
        staff.part_block(part, tuple(causes), said),
        plan.processing,
        feedback(sentences),
    )


def option_cause(
    part: Part, option: Option, name: str, content: str, said: Phrases, told: tuple[str, str] | None
) -> staff.Cause:
    """What staff are told of an option. content: what it shows; name: of its feedback; told: that and what it says."""
    reads = "" if isinstance(option.content, Maths) else content
    value = _value(part, option, content, said)
    return staff.Cause(option.identifier, name, value, note(option.slip), told=told, reads=reads)


def _value(part: Part, option: Option, content: str, said: Phrases) -> str:
    """What an option comes to: itself, or of words the answer that leads to them."""
    if isinstance(option.content, Maths):
        return content
    if option.is_key:
        return maths(part.key, said)
    return maths(option.slip.answer, said) if option.slip is not None else ""
