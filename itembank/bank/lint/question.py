"""`stem-asks-nothing`: a stem with neither a question nor a word that tells the pupil what to do."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks

_VERBS = (
    "add calculate choose compare complete compute convert copy decide deduce describe determine divide draw enter "
    "estimate evaluate expand explain express factorise factorize factor find fill give identify increase insert "
    "interpret list make match multiply name obtain order pick plot predict prove put "
    "rationalise rationalize read rearrange reduce round select show simplify sketch solve sort state subtract "
    "substitute tick use verify work write"
)
ORDER = re.compile(rf"\b({'|'.join(_VERBS.split())})\b", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        text = asks(part)
        if "?" not in text and not ORDER.search(text):
            yield Remark(
                part.stem.source.span,
                "the stem neither asks a question nor says what is to be done",
                "end it with a question, or begin it with Solve, Find, Write ...",
            )


RULE = Rule(
    "stem-asks-nothing", f"{HALADYNA}, guidelines 14 and 15 (clear directions, main idea in the stem)", _look
)
