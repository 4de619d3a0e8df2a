"""Several right options: their declaration with its mapping, how they are laid out, and how they are marked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import ChoicesResponse, Part, marks_text
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import rules, staff
from itembank.writers.qti3.choice import option_cause
from itembank.writers.qti3.markup import blocks, tag
from itembank.writers.qti3.pieces import Written, feedback, fill, phrase, shown, stem

__all__ = ["write_choices"]


class _Looks(NamedTuple):
    """options: for each its identifier, whether it is right, and whether choosing it shows a sentence."""

    label: str
    options: tuple[tuple[str, bool, bool], ...]
    marks: int
    share: Fraction


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """The response with a hole for each option's content in `interaction`; feedback: the name for each option."""

    declaration: str
    interaction: Pattern
    processing: str
    feedback: tuple[str, ...]


def write_choices(part: Part, response: ChoicesResponse, said: Phrases) -> Written:
    """A part with several right options."""
    plan = _plan(_looks(part.label, response), said)
    suffix = f"_{part.label}" if part.label else ""
    contents = tuple([shown(option.content, said) for option in response.options])
    causes, sentences = [], [(f"F0{suffix}", phrase("right", said))]
    for option, name, content in zip(response.options, plan.feedback, contents, strict=True):
        told = None
        if name and option.slip is not None and option.slip.pupil is not None:
            sentences.append(told := (name, blocks(option.slip.pupil, said)))
        causes.append(option_cause(part, option, name, content, said, told))
    return Written(
        plan.declaration,
        stem(part, said) + fill(plan.interaction, contents),
        staff.part_block(part, tuple(causes), said),
        plan.processing,
        feedback(sentences),
    )


def _looks(label: str, response: ChoicesResponse) -> _Looks:
    options = [
        (option.identifier, option.is_key, option.slip is not None and option.slip.pupil is not None)
        for option in response.options
    ]
    return _Looks(label, tuple(options), response.marks, response.share)


@cache
def _plan(looks: _Looks, said: Phrases) -> _Plan:
    suffix = f"_{looks.label}" if looks.label else ""
    response, score = f"RESPONSE{suffix}", f"SCORE{suffix}"
    right = tag(
        "qti-correct-response", *(tag("qti-value", name) for name, is_key, _ in looks.options if is_key)
    )
    declaration = tag(
        "qti-response-declaration", right, _mapping(looks),
        identifier=response, cardinality="multiple", base_type="identifier",
    )  # fmt: skip
    choices = (
        tag("qti-simple-choice", hole_mark(index), identifier=identifier)
        for index, (identifier, _, _) in enumerate(looks.options)
    )
    interaction = tag(
        "qti-choice-interaction", *choices, response_identifier=response, class_="qti-labels-upper-alpha",
        shuffle="false", max_choices="0", min_choices="0", aria_label=said("all-right-answers"),
    )  # fmt: skip
    names = tuple(
        f"F{number}{suffix}" if told and not is_key else ""
        for number, (_, is_key, told) in enumerate(looks.options, start=1)
    )
    return _Plan(
        declaration, Pattern(interaction), "".join(_rules(looks, response, score, suffix, names)), names
    )


def _mapping(looks: _Looks) -> str:
    """What each option adds: a share for a right one, as much less for a wrong one, from 0 up to the total."""
    if not looks.share:
        return ""
    share = marks_text(looks.share)
    entries = (
        tag(
            "qti-map-entry",
            map_key=name,
            mapped_value=share if is_key else f"-{share}",
            case_sensitive="true",
        )
        for name, is_key, _ in looks.options
    )
    return tag("qti-mapping", *entries, lower_bound="0", upper_bound=str(looks.marks), default_value="0")


def _rules(looks: _Looks, response: str, score: str, suffix: str, names: tuple[str, ...]) -> Iterator[str]:
    right = [rules.show(f"F0{suffix}")]
    if looks.share:
        yield rules.map_to(score, response)
    else:
        right.insert(0, rules.add(score, looks.marks))
    yield rules.condition([(rules.is_right(response), right)])
    for (identifier, _, _), name in zip(looks.options, names, strict=True):
        if name:
            yield rules.condition([(rules.has_chosen(response, identifier), [rules.show(name)])])
