"""`unit-missing`: the stem gives quantities in a unit, and neither the question nor the boxes say the answer's."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import asks

_SHORT = r"(mm|cm|km|m|kg|g|ml|l|s|h|min|°C)[²³]?"
_LONG = r"(milli|centi|kilo)?(met(re|er)s?|grams?|lit(re|er)s?)|seconds?|minutes?|hours?|days?|years?|degrees"
_MONEY = r"pounds?|dollars?|euros?|pence|cents?"
_GIVEN = re.compile(
    rf"\d\s*({_SHORT}|{_LONG}|{_MONEY})(?![\w²³])|\bin ({_SHORT}|{_LONG}|{_MONEY})(?![\w²³])|\\\$|[£€]"
)
_NAMED = re.compile(rf"\b({_LONG}|{_MONEY})\b|\b(square|cubic)\b|\bin ({_SHORT})(?!\w)", re.I)
_NO_QUANTITY = re.compile(r"\bhow many\b|\bwhat number\b", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        text = part.stem.source.text
        if not _GIVEN.search(re.sub(r"(?<!\\)\$[^$]*\$", " 1 ", text)) or part.response.kind not in {
            "entry",
            "choice",
        }:
            continue
        last = re.split(r"(?<=[.?!])\s+", asks(part).strip())[-1]
        has_unit = any(blank.unit for blank in part.response.blanks) or bool(part.response.words)
        if not has_unit and not _NAMED.search(last) and not _NO_QUANTITY.search(last):
            yield Remark(
                part.stem.source.span,
                "the stem gives quantities in a unit, and the question does not say in which the answer is wanted",
                "end with: in metres; or give the blank a `unit`",
            )


RULE = Rule("unit-missing", "common practice, no source", _look)
