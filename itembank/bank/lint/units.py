"""`unit-missing`: the stem gives quantities in a unit, and neither the question nor the boxes say the answer's."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import asks
from itembank.templates.template import PartTemplate

_SHORT = r"(mm|cm|km|m|kg|g|ml|l|s|h|min|°C)[²³]?"
_LONG = r"(milli|centi|kilo)?(met(re|er)s?|grams?|lit(re|er)s?)|seconds?|minutes?|hours?|days?|years?|degrees"
_MONEY = r"pounds?|dollars?|euros?|pence|cents?"
_GIVEN = re.compile(
    rf"\d\s*({_SHORT}|{_LONG}|{_MONEY})(?![\w²³])|\bin ({_SHORT}|{_LONG}|{_MONEY})(?![\w²³])|\\\$|[£€]"
)
_NAMED = re.compile(rf"\b({_LONG}|{_MONEY})\b|\b(square|cubic)\b|\bin ({_SHORT})(?!\w)", re.I)
_SINGULAR = (
    r"(milli|centi|kilo)?(met(re|er)|gram|lit(re|er))|second|minute|hour|day|year|pound|dollar|euro|cent"
)
_MONEY_SIGNS = {"£": "pounds", "€": "euros", "\\$": "dollars"}
_NO_NOUN = re.compile(
    rf"({_SHORT}|a|after|and|are|as|at|be|before|by|does|for|from|has|have|if|in|is|less|more|must|of|on|or|so|such|than|"
    r"that|the|to|was|were|when|where|which|will|with)\Z",
    re.I,
)
_NO_QUANTITY = re.compile(r"\bhow many\b|\bwhat number\b", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        text = part.stem.source.text
        if not _GIVEN.search(_given(text)) or part.response.kind not in {
            "entry",
            "choice",
        }:
            continue
        last = re.split(r"(?<=[.?!])\s+", asks(part).strip())[-1]
        if part.for_every or _are_counts(part):  # numbers of an identity have no unit
            continue
        has_unit = any(blank.unit for blank in part.response.blanks) or bool(part.response.words)
        if not has_unit and not _NAMED.search(last) and not _NO_QUANTITY.search(last):
            yield Remark(
                part.stem.source.span,
                "the stem gives quantities in a unit, and the question does not say in which the answer is wanted",
                f"end with the unit, such as: in {' or: in '.join(_units(_given(text)))}; or give the blank a `unit`",
            )


def _are_counts(part: PartTemplate) -> bool:
    """Whether the stem says of what each unknown is the number: `$x$ roses`, or a word of a row."""
    text = part.stem.source.text
    return part.unknowns != () and all(
        any(
            match[1].startswith("$") or not _NO_NOUN.match(match[1])
            for match in re.finditer(rf"\${re.escape(unknown)}\$ ([A-Za-z]+|\$\w+\.\w+\$)", text)
        )
        for unknown in part.unknowns
    )


def _given(text: str) -> str:
    """The text with a number for each formula."""
    return re.sub(r"(?<!\\)\$[^$]*\$", " 1 ", text)


def _units(text: str) -> list[str]:
    """The units of the quantities in a text, and others that it names, as they stand behind `in`, each once."""
    found: list[str] = []
    for match in _GIVEN.finditer(text):
        per = re.match(r"/\w+", text[match.end() :])
        unit = _MONEY_SIGNS.get(match[0], "") or re.sub(r"^(\d\s*|in\s+)", "", match[0])
        found.append(unit + (per[0] if per else ""))
    found += [match[0] for match in re.finditer(rf"\b({_LONG})\b", text)]
    return list(dict.fromkeys(f"{unit}s" if re.fullmatch(_SINGULAR, unit) else unit for unit in found))


RULE = Rule("unit-missing", "common practice, no source", _look)
