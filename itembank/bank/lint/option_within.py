"""`option-within-another`: options that contain one another.

Words: an option whose words stand whole within another's overlaps it, unless what the other adds is a `not`.

Solutions: the guideline would have no set of values contain another. As an answer to *solve*, though, `x = 2` says that
2 is the only solution, so `x = 2` and `x = 2 or x = 3` exclude each other; a root that was lost is the commonest slip
in dividing by x or taking roots, and to forbid it would leave out what the item is for. What does harm is the pattern
of two lost roots beside the whole: `x = 2`, `x = 3`, `x = 2 or x = 3` show the last to be right without any algebra. So
a doubt is told where two options or more are parts of one and the same option. Not so of lists of whole numbers, where
an end that belongs to them or does not is what is asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import choices, lists_whole_numbers, pieces, seen
from itembank.expressions.display import Maths
from itembank.items import ChoiceResponse

ALLOWED_IN = 4
"""Doubtful where it is so in more than one item of so many."""
_NEGATIONS = {"not", "no", "never", "nor", "neither", "cannot"}


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        rows = [row.text.source for row in part.response.words]
        for shorter, longer in permutations(rows, 2):
            if _stands_in(shorter.text.split(), longer.text.split()):
                yield Remark(
                    shorter.span,
                    f"the words of this option stand whole within another: {longer.text.strip()}",
                    "word the options so that none says part of another",
                )
        told = [found for item in sample.items for place, response in choices(item)
                if place == number and not lists_whole_numbers(response)
                and (found := _whole_of_two(response))]  # fmt: skip
        if ALLOWED_IN * len(told) > len(sample.items):
            yield Remark(
                part.response.span,
                f"in {len(told)} of {len(sample.items)} items one option is made of two others: {told[0]} for one",
                "offer another slip in place of one of them",
            )


def _stands_in(shorter: list[str], longer: list[str]) -> bool:
    if len(shorter) >= len(longer):
        return False
    for start in range(len(longer) - len(shorter) + 1):
        end = start + len(shorter)
        if longer[start:end] == shorter:
            return not _NEGATIONS & {*longer[:start], *longer[end:]}
    return False


def _whole_of_two(response: ChoiceResponse) -> str:
    """The option that two or more others are parts of; "" where there is none."""
    sets = [
        (frozenset(pieces(o.content)), o.content) for o in response.options if isinstance(o.content, Maths)
    ]
    for whole, content in sets:
        if sum(part < whole for part, _ in sets if part) > 1:
            return seen(content)
    return ""


RULE = Rule(
    "option-within-another",
    f"{HALADYNA}, guideline 22 (options do not overlap); for sets of solutions the decision is ours",
    _look,
)
