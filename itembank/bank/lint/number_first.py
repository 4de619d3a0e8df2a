"""`number-behind-letter`: a product that shows its number last, `m × 4`, where people write 4m.

A number before a letter of its own is that letter's, as in 4x³ × 2x².
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.errors import Span
from itembank.expressions import spelling
from itembank.expressions.display import Display, Factors, Letter, Maths, Numeral, Raised, parts
from itembank.generator.lines import written_lines
from itembank.items import Item
from itembank.templates.template import Expression, PartTemplate


def _look(sample: Sample) -> Iterator[Remark]:
    told: set[Span] = set()
    for number, part in enumerate(sample.template.parts):
        for item in sample.items:
            for expression, shown in _shown(sample, part, item, number):
                span = expression.span()
                if span not in told and _is_turned(shown.shape.display):
                    told.add(span)
                    yield Remark(
                        span,
                        f"a number stands behind a letter: {spelling.terminal(shown)}",
                        "write the number first, 4*m for m*4; parameters and derived values are numbers",
                    )


def _shown(sample: Sample, part: PartTemplate, item: Item, number: int) -> Iterator[tuple[Expression, Maths]]:
    """What an item shows in its stem, its working and its follow-through, with what the author wrote for it."""
    made = item.parts[number]
    for hole, filling in zip(part.stem.holes, made.stem.fillings, strict=True):
        if isinstance(hole, Expression) and isinstance(filling, Maths):
            yield hole, filling
    for line, shown in zip(written_lines(sample.template, item, number), made.solution, strict=True):
        if line.maths is not None and shown.maths is not None:
            yield line.maths, shown.maths
    if made.follow is not None and part.key is not None:
        yield part.key, made.follow


def _is_turned(node: Display) -> bool:
    if isinstance(node, Factors):
        for number, (before, after) in enumerate(pairwise(node.factors), 2):
            following = node.factors[number : number + 1]
            if isinstance(after, Numeral) and _is_letter(before) and not any(map(_is_letter, following)):
                return True
    return any(_is_turned(part) for part in parts(node))


def _is_letter(node: Display) -> bool:
    return isinstance(node.base if isinstance(node, Raised) else node, Letter)


RULE = Rule("number-behind-letter", "common practice, no source", _look)
