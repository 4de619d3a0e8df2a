"""Rows to be matched: directed pairs with their mapping, how both sides are laid out, and how they are marked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import MatchResponse, Part, marks_text
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import rules, staff
from itembank.writers.qti3.markup import blocks, maths, tag
from itembank.writers.qti3.pieces import Written, feedback, fill, note, phrase, shown, stem

__all__ = ["write_match"]


class _Looks(NamedTuple):
    """pairs: each row with its target; targets: each with whether matching it shows a sentence; once: no target
    belongs to two rows.
    """

    label: str
    pairs: tuple[tuple[str, str], ...]
    targets: tuple[tuple[str, bool], ...]
    once: bool
    marks: int
    share: Fraction


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """The response; `interaction` has holes for the rows, then the targets. feedback: the name for each target."""

    declaration: str
    interaction: Pattern
    processing: str
    feedback: tuple[str, ...]


def write_match(part: Part, response: MatchResponse, said: Phrases) -> Written:
    """A part that asks what belongs together."""
    plan = _plan(
        _Looks(
            part.label,
            tuple([(row.identifier, row.target) for row in response.rows]),
            tuple([(t.identifier, t.slip is not None and t.slip.pupil is not None) for t in response.targets]),
            not response.by_words, response.marks, response.share,
        ),
        said,
    )  # fmt: skip
    suffix = f"_{part.label}" if part.label else ""
    rows = tuple([maths(row.statement, said) for row in response.rows])
    targets = tuple([shown(target.content, said) for target in response.targets])
    sentences = [(f"F0{suffix}", phrase("right", said))]
    names = [target.identifier for target in response.targets]
    reads = tuple(zip(names, targets, strict=True)) if response.by_words else ()
    causes = [
        staff.Cause(f"{row.identifier}-{row.target}", "", content)
        for row, content in zip(response.rows, rows, strict=True)
    ]
    for target, name, content in zip(response.targets, plan.feedback, targets, strict=True):
        if target.slip is not None:
            told = None
            if target.slip.pupil is not None:
                sentences.append(told := (name, blocks(target.slip.pupil, said)))
            causes.append(staff.Cause(target.identifier, name, content, note(target.slip), told=told))
    return Written(
        plan.declaration,
        stem(part, said) + fill(plan.interaction, (*rows, *targets)),
        staff.part_block(part, tuple(causes), said, reads=reads),
        plan.processing,
        feedback(sentences),
    )


@cache
def _plan(looks: _Looks, said: Phrases) -> _Plan:
    suffix = f"_{looks.label}" if looks.label else ""
    response, score = f"RESPONSE{suffix}", f"SCORE{suffix}"
    right = tag("qti-correct-response", *(tag("qti-value", f"{row} {to}") for row, to in looks.pairs))
    declaration = tag(
        "qti-response-declaration", right, _mapping(looks),
        identifier=response, cardinality="multiple", base_type="directedPair",
    )  # fmt: skip
    rows = (
        tag("qti-simple-associable-choice", hole_mark(at), identifier=row, match_max="1")
        for at, (row, _) in enumerate(looks.pairs)
    )
    often = "1" if looks.once else "0"
    targets = (
        tag("qti-simple-associable-choice", hole_mark(at), identifier=name, match_max=often)
        for at, (name, _) in enumerate(looks.targets, start=len(looks.pairs))
    )
    interaction = tag(
        "qti-match-interaction", tag("qti-simple-match-set", *rows), tag("qti-simple-match-set", *targets),
        response_identifier=response, shuffle="false", max_associations=str(len(looks.pairs)),
        min_associations="0", aria_label=said("belongs-together"),
    )  # fmt: skip
    names = tuple(
        f"F{number}{suffix}" if told else "" for number, (_, told) in enumerate(looks.targets, start=1)
    )
    processing = "".join(_rules(looks, response, score, suffix, names))
    return _Plan(declaration, Pattern(interaction), processing, names)


def _mapping(looks: _Looks) -> str:
    if not looks.share:
        return ""
    share = marks_text(looks.share)
    entries = (
        tag("qti-map-entry", map_key=f"{row} {to}", mapped_value=share, case_sensitive="true")
        for row, to in looks.pairs
    )
    return tag("qti-mapping", *entries, lower_bound="0", upper_bound=str(looks.marks), default_value="0")


def _rules(looks: _Looks, response: str, score: str, suffix: str, names: tuple[str, ...]) -> Iterator[str]:
    right = [rules.show(f"F0{suffix}")]
    if looks.share:
        yield rules.map_to(score, response)
    else:
        right.insert(0, rules.add(score, looks.marks))
    yield rules.condition([(rules.is_right(response), right)])
    for (target, _), name in zip(looks.targets, names, strict=True):
        if name:
            led = rules.any_of(*(rules.has_pair(response, row, target) for row, _ in looks.pairs))
            yield rules.condition([(led, [rules.show(name)])])
