"""`options-begin-alike`: words that all options share belong in the stem."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import takewhile

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample

SHARED_WORDS = 3


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        rows = [row.text.source.text.split() for row in part.response.words]
        if len(rows) < 2:
            continue
        shared = [
            first for first, *_ in takewhile(lambda column: len(set(column)) == 1, zip(*rows, strict=False))
        ]
        if len(shared) >= SHARED_WORDS:
            yield Remark(
                part.response.span,
                f"every option begins with `{' '.join(shared)}`",
                "put it into the stem",
            )


RULE = Rule("options-begin-alike", f"{HALADYNA}, guideline 15 (the main idea in the stem)", _look)
