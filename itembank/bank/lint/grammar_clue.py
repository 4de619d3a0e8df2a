"""`grammar-clue`: options of which the words before them fit some and not others.

Looked at where options go on with a line: behind what stands before a blank, or behind a stem that is no whole
sentence. Told are `a` and `an`, and `is` and `are`, in English. In a stem that asks for *both solutions*, options with
one value are out without any algebra; that is told too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks, choices, number_of_values
from itembank.errors import Span
from itembank.templates.template import PartTemplate, WordRow

ALLOWED_IN = 4
"""Doubtful where it is so in more than one item of so many."""
_SAID_AS_VOWEL = re.compile(r"[aeio]|u(?!ni|se|su|ti)|hour|hono|8|11\b|18\b", re.I)
_ONE = re.compile(r"(an?|one|1|this|another|each|every)\b", re.I)
_SEVERAL = re.compile(r"(two|three|four|five|six|both|all|several|some|many|these|[2-9]|\d\d+)\b", re.I)
_BOTH = re.compile(
    r"\b(find|give|enter|state|write|which are)\b[^.?!]*\bboth (\w+ )?(solutions|roots|values|answers|numbers)\b",
    re.I,
)


class _Line(NamedTuple):
    """What options go on with, and where it stands."""

    lead: str
    rows: tuple[WordRow, ...]
    span: Span


def _look(sample: Sample) -> Iterator[Remark]:
    if not sample.template.about.language.startswith("en"):
        return
    for number, part in enumerate(sample.template.parts):
        for line in _lines(part):
            last = line.lead.split()[-1].lower()
            misfit = _MISFITS.get(last)
            texts = [row.text.source.text.strip() for row in line.rows]
            out = [text for text in texts if misfit is not None and misfit(text)]
            if out and len(out) < len(texts):
                yield Remark(
                    line.span,
                    f"`{last}` does not go with `{out[0]}`, but with other options",
                    "put the word into the options, or word them alike",
                )
        if _BOTH.search(asks(part)):
            told = sum(
                any(number_of_values(option) == 1 for option in response.options)
                for item in sample.items
                for place, response in choices(item)
                if place == number and not response.by_words
            )
            if ALLOWED_IN * told > len(sample.items):
                yield Remark(
                    part.stem.source.span,
                    f"the stem asks for both, and in {told} of {len(sample.items)} items an option has one value",
                    "write: solve the equation; or offer two values in every option",
                )


def _lines(part: PartTemplate) -> Iterator[_Line]:
    stem = part.stem.source
    text = stem.text.strip()
    if part.response.words and re.search(r"[A-Za-z]$", text):
        yield _Line(text, part.response.words, stem.span)
    for blank in part.response.blanks:
        before = blank.before.source.text.strip() if blank.before is not None else ""
        if blank.words and re.search(r"[A-Za-z]$", before):
            yield _Line(before, blank.words, blank.span)


_MISFITS: dict[str, Callable[[str], object]] = {
    "a": _SAID_AS_VOWEL.match,
    "an": lambda text: not _SAID_AS_VOWEL.match(text),
    **dict.fromkeys(("is", "was"), _SEVERAL.match),
    **dict.fromkeys(("are", "were"), _ONE.match),
}
"""Last word before the options -> whether an option does not go with it."""

RULE = Rule("grammar-clue", f"{HALADYNA}, guideline 28 (no clues from grammar)", _look)
