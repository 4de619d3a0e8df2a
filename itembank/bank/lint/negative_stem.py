"""`negative-stem`: a stem that asks for what is not so, without stress on the word that turns it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.question import ORDER
from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks

_TURNS = re.compile(r"\b(not|except|never)\b", re.I)
_JUDGES = re.compile(r"\b(false|incorrect|untrue|wrong)\b", re.I)
_SOMEBODY = re.compile(r"\b(he|she|they|you|I)\s+(\w+\s+)?(wrong|incorrect)\b|\b(why|where)\b[^.?!]*", re.I)
"""Somebody is wrong, or the reason is asked for: what is to be found is not the wrong one of several."""
_SENTENCES = re.compile(r"(?<=[.?!])\s+")
_STRESSED = re.compile(r"\*\*(not|except|never|false|incorrect|untrue|wrong)\*\*", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        if part.response.kind == "wrong-line":  # nothing else can be asked
            continue
        found = _found(_STRESSED.sub("", asks(part)))
        if found:
            yield Remark(
                part.stem.source.span,
                f"the stem says `{found[0]}` without stress",
                f"ask for what is so, or write **{found[0].upper()}**",
            )


def _found(text: str) -> re.Match[str] | None:
    """`not` wherever it stands; `wrong` where the sentence asks for what is so judged, not where it only tells it."""
    if turned := _TURNS.search(text):
        return turned
    for sentence in _SENTENCES.split(text):
        judged = _JUDGES.search(_SOMEBODY.sub("", sentence))
        if judged and ("?" in sentence or ORDER.search(sentence)):
            return judged
    return None


RULE = Rule(
    "negative-stem", f"{HALADYNA}, guideline 17 (positive wording; a negative word in bold capitals)", _look
)
