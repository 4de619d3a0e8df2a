"""A part with boxes to fill, as pieces of its document."""

from __future__ import annotations

from typing import Any

from itembank.items import EntryResponse, Part
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import staff
from itembank.writers.qti3.entry import entry_plan
from itembank.writers.qti3.follow import follow_looks
from itembank.writers.qti3.looks import Typed, entry_facts, entry_looks
from itembank.writers.qti3.markup import blocks, maths, tag
from itembank.writers.qti3.pieces import Written, feedback, fill, note, phrase, stem

__all__ = ["write_entry"]


def write_entry(
    part: Part, response: EntryResponse, said: Phrases, earlier: tuple[Part, ...], typed: Typed
) -> Written:
    """A part with boxes to fill.

    earlier: the parts before it, from which marks may follow through; typed: which numbers are typed as text.
    """
    boxes = [blank for blank in response.blanks if not blank.words]
    follow = follow_looks(part, earlier) if part.follow is not None else None
    plan = entry_plan(entry_looks(part.label, response, said, follow, typed))
    numbers = part.follow.numbers if part.follow is not None else ()
    facts: Any = entry_facts(response, follow, numbers, typed)
    suffix = f"_{part.label}" if part.label else ""
    causes, sentences = [], [(f"F0{suffix}", phrase("right", said))]
    if plan.has_alike:
        sentences.append((f"FU{suffix}", phrase("unsimplified", said)))
    if plan.has_follow:
        sentences.append((f"FF{suffix}", phrase("follows-earlier", said)))
    for number, entry in enumerate(response.recognised, start=1):
        name = f"F{number}{suffix}" if entry.slip.pupil is not None else ""
        chosen = "" if boxes else " ".join(str(values[0][0]) for values in entry.values)
        told = None
        if entry.slip.pupil is not None:
            sentences.append(told := (name, blocks(entry.slip.pupil, said)))
        causes.append(staff.Cause("", name, entry.slip.answer, note(entry.slip), chosen, told))
    statement = (maths(part.problem.statement, said),) if boxes and not boxes[0].unknown else ()
    body = stem(part, said) + tag("div", blocks(response.instruction, said), class_="instruction")
    return Written(
        plan.declarations.fill(facts),
        body + fill(plan.boxes, statement),
        staff.part_block(part, tuple(causes), said, plan.has_follow),
        plan.processing.fill(facts),
        feedback(sentences),
    )
