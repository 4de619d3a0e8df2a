"""`keep-not-shown`: an answer held as written by `keep`, where options are worked out and shown in one form."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.expressions import tree
from itembank.templates.template import SUBJECT


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        if not part.response.offers_answers or not part.unknowns or part.shape == SUBJECT:
            continue
        answers = [part.key, *(slip.value for slip in part.slips)]
        kept = next((each for each in answers if each is not None and tree.calls(each.node, "keep")), None)
        if kept is not None:
            yield Remark(
                kept.span(),
                "options are solutions, worked out and shown in one form: `keep` changes nothing in them",
                "to choose among ways to write a number, ask for it without `unknowns`: "
                "problem: value(a*10^m), key: keep(a*10^m); to show equations as they are written, give the right one: "
                "response: {kind: choice, options: 4, right: x^2 - 3*x + 2 = 0}",
            )


RULE = Rule("keep-not-shown", "common practice, no source", _look)
