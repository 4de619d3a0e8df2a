"""`doubled-word`: the same word twice in a row in a stem, an option or a line of the solution."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.templates.template import PartTemplate, TextTemplate

_TWICE = re.compile(r"\b([a-z]{2,})\s+\1\b", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        for text in _texts(part):
            found = _TWICE.search(re.sub(r"\$[^$]*\$", "$", text.source.text))
            if found:
                yield Remark(text.source.span, f"`{found[0]}` says a word twice", "take one out")


def _texts(part: PartTemplate) -> Iterator[TextTemplate]:
    yield part.stem
    yield from (row.text for row in part.response.words)
    yield from (line.say for line in part.solution if line.say is not None)


RULE = Rule("doubled-word", f"{HALADYNA}, guideline 11 (edit and proofread)", _look)
