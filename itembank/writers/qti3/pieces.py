"""What the writers of all kinds of responses share: the pieces of a part, stems, feedback, notes for staff."""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from itembank.content import Content
from itembank.expressions.display import Maths, Pattern, hole_mark
from itembank.items import Part, Slip
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import spoken
from itembank.writers.qti3.markup import PICTURE, blocks, inline, maths, tag, words

__all__ = ["PICTURE", "Written", "feedback", "fill", "note", "phrase", "shown", "stem"]


class Written(NamedTuple):
    """A part as markup: for the declarations, the body, the staff block, the rules and the feedback."""

    declarations: str
    body: str
    told: str
    processing: str
    feedback: str


def shown(content: Maths | Content, said: Phrases) -> str:
    """Mathematics, or a text without a paragraph around it where it has only one."""
    return maths(content, said) if isinstance(content, Maths) else inline(content, said)


def note(slip: Slip | None) -> Content | None:
    """The sentence for the teacher."""
    return None if slip is None else slip.teacher


def fill(pattern: Pattern, markup: tuple[str, ...]) -> str:
    """A pattern with pieces of markup in its holes."""
    filled: Any = markup
    return pattern.fill(filled)


def stem(part: Part, said: Phrases) -> str:
    """What the pupil reads, with the label of the part."""
    heard = "" if said.foreign else spoken.reference(part)
    text = blocks(part.stem, said)
    return fill(_stem_pattern(part.label, heard), (text if part.figure is None else text + PICTURE,))


@cache
def _stem_pattern(label: str, heard: str) -> Pattern:
    shown = tag("p", words(f"({label})"), class_="part-label") if label else ""
    entry = {"data_catalog_idref": heard} if heard else {}
    return Pattern(tag("div", shown, hole_mark(0), class_="stem", data_part=label, data_role="stem", **entry))


@cache
def phrase(key: str, said: Phrases) -> str:
    """A sentence this writer adds, by its key in the translation files."""
    return tag("p", words(said(key)), **({"xml__lang": said.foreign} if said.foreign else {}))


def feedback(sentences: list[tuple[str, str]]) -> str:
    """Sentences for the pupil, each a feedback's name and markup."""
    return fill(_modal(tuple([name for name, _ in sentences])), tuple([told for _, told in sentences]))


@cache
def _modal(names: tuple[str, ...]) -> Pattern:
    return Pattern(
        "".join(
            tag(
                "qti-modal-feedback", tag("qti-content-body", hole_mark(hole)),
                outcome_identifier="FEEDBACK", identifier=name, show_hide="show",
            )
            for hole, name in enumerate(names)
        )
    )  # fmt: skip
