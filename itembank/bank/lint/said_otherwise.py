"""`said-otherwise`: a sentence of the worked solution shows a formula like one of the item, with other numbers.

Sentences are for people, and nothing proves what they say. Where a formula in one is built as a piece of the problem,
of the key, of the stem or of a line, and is that piece of none of them, it is often a slip of the pen: x² + 5x + 6
where x² − 5x + 6 is solved.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.expressions.display import Maths, Pair
from itembank.expressions.spelling import terminal
from itembank.generator.lines import written_lines
from itembank.items import Item, Part, WrongLineResponse
from itembank.proof.stem import is_piece
from itembank.templates.template import Expression, Template


def _look(sample: Sample) -> Iterator[Remark]:
    told: set[Expression] = set()
    for item in sample.items:
        for number in range(len(item.parts)):
            for hole, shown, like in _otherwise(sample.template, item, number):
                if hole not in told:
                    told.add(hole)
                    yield Remark(
                        hole.span(),
                        f"the sentence says {terminal(shown)}, the item {terminal(like)}",
                        "say what the item shows; where another formula is meant, say so: "
                        "lint: {said-otherwise: why it is another}",
                    )


def _otherwise(template: Template, item: Item, number: int) -> Iterator[tuple[Expression, Maths, Maths]]:
    """What the author wrote for a formula in a sentence, the formula, and what it is like and is not."""
    known = list(dict.fromkeys(each for part in item.parts for each in _shown(part)))
    for line, written in zip(item.parts[number].solution, written_lines(template, item, number), strict=True):
        if line.say is None or written.say is None:
            continue
        for filling, hole in zip(line.say.fillings, written.say.holes, strict=True):
            if isinstance(filling, Maths) and isinstance(hole, Expression) and not _is_point(filling):
                verdicts = [(is_piece(filling, each), each) for each in known]
                likes = [each for verdict, each in verdicts if verdict is False]
                if likes and not any(verdict for verdict, _ in verdicts):
                    yield hole, filling, likes[0]


def _shown(part: Part) -> Iterator[Maths]:
    """The formulas of a part that are proved, or that its stem shows."""
    yield part.problem.statement
    yield part.key
    yield from (each for each in part.stem.fillings if isinstance(each, Maths))
    yield from (line.maths for line in part.solution if line.maths is not None)
    yield from (slip.answer for slip in part.slips)
    if isinstance(part.response, WrongLineResponse):
        yield from (line.maths for line in part.response.lines)


def _is_point(maths: Maths) -> bool:
    """Whether it is a point by itself: any point would be like it."""
    return isinstance(maths.shape.display, Pair)


RULE = Rule("said-otherwise", "common practice, no source", _look)
