"""An answer in writing: a box for text that no rule marks, and a note for the person who does."""

from __future__ import annotations

from functools import cache

from itembank.items import Part, WrittenResponse
from itembank.writers.qti3 import phrases, staff
from itembank.writers.qti3.markup import tag
from itembank.writers.qti3.pieces import Written, note, phrase, stem

__all__ = ["write_written"]


def write_written(part: Part, response: WrittenResponse, language: str) -> Written:
    """A part that a person marks, by the marks at the lines of the solution in the block for staff."""
    declaration, box = _box(part.label, response.lines)
    causes = tuple([staff.Cause("", "", slip.answer, note(slip)) for slip in part.slips])
    told = staff.part_block(part, causes, language)
    return Written(declaration, stem(part, language) + box + _note(language), told, "", "")


@cache
def _box(label: str, lines: int) -> tuple[str, str]:
    response = f"RESPONSE_{label}" if label else "RESPONSE"
    declaration = tag(
        "qti-response-declaration", identifier=response, cardinality="single", base_type="string"
    )
    box = tag(
        "qti-extended-text-interaction", response_identifier=response, expected_lines=str(lines),
        aria_label=phrases.WRITTEN,
    )  # fmt: skip
    return declaration, box


@cache
def _note(language: str) -> str:
    body = tag("qti-content-body", phrase(phrases.MARKED_BY_HAND, language))
    return tag("qti-rubric-block", body, use="scoring", view="scorer")
