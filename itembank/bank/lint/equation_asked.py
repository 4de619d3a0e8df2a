"""`equation-asked-for`: the stem asks which equation it is, and the options are solutions."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import asks
from itembank.templates.template import SUBJECT

_WHICH = re.compile(
    r"\b(which|what)( is an| is the| of these)?( quadratic| linear)? (equation|inequality)\b"
    r"|\bqué (ecuación|inecuación)\b|\bwelche (Gleichung|Ungleichung)\b",
    re.I,
)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        solved = bool(part.unknowns) and not part.for_every and part.shape != SUBJECT
        if solved and part.response.offers_answers and _WHICH.search(asks(part)):
            yield Remark(
                part.response.span,
                "the stem asks which equation it is, and the options are solutions, worked out",
                "to show equations as they are written, give the right one: "
                "response: {kind: choice, options: 4, right: x^2 - 3*x + 2 = 0}; slips are then shown as written too",
            )


RULE = Rule("equation-asked-for", "common practice, no source", _look)
