"""`form-not-asked`: the key is a surd, and the stem does not say that an exact or simplest form is wanted."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks, has
from itembank.expressions.display import Root
from itembank.templates.template import SUBJECT

_SAID = re.compile(
    r"\b(surds?|exact\w*|simpl\w+|simpler|roots? of the smallest|rationalis\w+|decimal places?)\b", re.I
)


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        shown = part.response.kind == "choice" and not part.response.written_out
        with_root = sum(has(item.parts[number].key.shape.display, Root) for item in sample.items)
        if (
            part.shape != SUBJECT
            and shown
            and 2 * with_root > len(sample.items)
            and not _SAID.search(asks(part))
        ):
            yield Remark(
                part.stem.source.span,
                "the key has a root in it, and the stem does not say in which form it is wanted",
                "add: Give your answer in simplest surd form.",
            )


RULE = Rule(
    "form-not-asked",
    f"{HALADYNA}, guideline 14 (the stem states the form whenever the key depends on it)",
    _look,
)
