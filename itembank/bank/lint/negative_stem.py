"""`negative-stem`: a stem that asks for what is not so, without stress on the word that turns it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks

_WORD = re.compile(r"\b(not|except|never|false|incorrect|untrue|wrong)\b", re.I)
_STRESSED = re.compile(r"\*\*(not|except|never|false|incorrect|untrue|wrong)\*\*", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        found = _WORD.search(_STRESSED.sub("", asks(part)))
        if found:
            yield Remark(
                part.stem.source.span,
                f"the stem says `{found[0]}` without stress",
                f"ask for what is so, or write **{found[0].upper()}**",
            )


RULE = Rule(
    "negative-stem", f"{HALADYNA}, guideline 17 (positive wording; a negative word in bold capitals)", _look
)
