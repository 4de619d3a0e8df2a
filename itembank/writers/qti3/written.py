"""An answer in writing: a box for text that no rule marks, and a note for the person who does."""

from __future__ import annotations

from functools import cache

from itembank.items import Part, WrittenResponse
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import staff
from itembank.writers.qti3.markup import tag
from itembank.writers.qti3.pieces import Written, note, phrase, stem

__all__ = ["write_written"]


def write_written(part: Part, response: WrittenResponse, said: Phrases) -> Written:
    """A part that a person marks, by the marks at the lines of the solution in the block for staff."""
    declaration, box = _box(part.label, response.lines, said)
    causes = tuple([staff.Cause("", "", slip.answer, note(slip)) for slip in part.slips])
    told = staff.part_block(part, causes, said)
    return Written(declaration, stem(part, said) + box + _note(said), told, "", "")


@cache
def _box(label: str, lines: int, said: Phrases) -> tuple[str, str]:
    response = f"RESPONSE_{label}" if label else "RESPONSE"
    declaration = tag(
        "qti-response-declaration", identifier=response, cardinality="single", base_type="string"
    )
    box = tag(
        "qti-extended-text-interaction", response_identifier=response, expected_lines=str(lines),
        aria_label=said("your-answer"),
    )  # fmt: skip
    return declaration, box


@cache
def _note(said: Phrases) -> str:
    body = tag("qti-content-body", phrase("marked-by-hand", said))
    return tag("qti-rubric-block", body, use="scoring", view="scorer")
