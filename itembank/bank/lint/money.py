"""`money-not-in-pence`: a sum of money shown as 79/4 or 22.5, where people write 19.75 and 22.50."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import sides, written_sides
from itembank.content import Content, Emphasis, Hole, Inline, Listing, Paragraph, Text
from itembank.errors import Span
from itembank.expressions import spelling, tree
from itembank.expressions.display import Decimal, Display, Maths, Numeral, Over
from itembank.generator.lines import written_lines
from itembank.items import Item
from itembank.templates.template import Expression, PartTemplate

_SIGN = re.compile(r"[$£€¥]\s*$")
_UNIT = re.compile(r"[$£€¥]|pounds?|dollars?|euros?")
_PENCE = 2
"""Decimal places of a sum of money that is no whole number."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        told: set[Span] = set()
        for item in sample.items:
            for remark in (*_in_stem(part, item, number), *_in_lines(sample, part, item, number)):
                if remark.span not in told:
                    told.add(remark.span)
                    yield remark


def _in_stem(part: PartTemplate, item: Item, number: int) -> Iterator[Remark]:
    """Sums of the stem: what stands directly behind the sign of a currency."""
    made = item.parts[number].stem
    for before, index in _holes(made):
        hole, filling = part.stem.holes[index], made.fillings[index]
        if not isinstance(hole, Expression) or not isinstance(filling, Maths):
            continue
        if _SIGN.search(before) and _is_odd(filling.shape.display, filling):
            yield _remark(hole.span(), spelling.terminal(filling), hole.text.strip())


def _in_lines(sample: Sample, part: PartTemplate, item: Item, number: int) -> Iterator[Remark]:
    """Sides of lines that are one number, where the part asks for money."""
    if not any(_UNIT.fullmatch(blank.unit) for blank in part.response.blanks):
        return
    lines = written_lines(sample.template, item, number)
    for line, made in zip(lines, item.parts[number].solution, strict=True):
        if line.maths is None or made.maths is None:
            continue
        shown = list(sides(made.maths.shape.display))
        source = part.problem if line.maths.raw == tree.Name("problem") else line.maths
        written = list(written_sides(source.raw or source.node))
        for place, side in enumerate(shown):
            if _is_odd(side, made.maths):
                start, end = written[place].place if len(written) == len(shown) else (0, 0)
                text = source.text[start:end] or "..."
                yield _remark(line.maths.span(), spelling.terminal(made.maths), text)
                break


def _remark(span: Span, shown: str, text: str) -> Remark:
    return Remark(
        span,
        f"a sum of money is not shown with two decimal places: {shown}",
        f"write round({text}, 2), after = where that is exact and after ≈ where it rounds",
    )


def _is_odd(node: Display, maths: Maths) -> bool:
    """Whether a node is one number that two decimal places hold, shown as a fraction or with other places."""
    match node:
        case Numeral(hole=hole) if hole >= 0:
            held = maths.numbers[hole]
            return isinstance(held, Decimal) and held.places != _PENCE
        case Over(Numeral(), Numeral(hole=hole)) if hole >= 0:
            below = maths.numbers[hole]
            return isinstance(below, int) and 100 % below == 0
        case _:
            return False


def _holes(content: Content) -> Iterator[tuple[str, int]]:
    """The text directly before each hole, and the hole's number."""
    for block in content.shape.blocks:
        match block:
            case Paragraph(inlines):
                yield from _after_texts(inlines)
            case Listing(items):
                for entry in items:
                    for inner in entry:
                        if isinstance(inner, Paragraph):
                            yield from _after_texts(inner.inlines)
            case _:
                for row in (block.header, *block.rows):
                    for cell in row:
                        yield from _after_texts(cell)


def _after_texts(inlines: tuple[Inline, ...]) -> Iterator[tuple[str, int]]:
    before = ""
    for node in inlines:
        match node:
            case Hole(index):
                yield before, index
                before = ""
            case Text(text):
                before = text
            case Emphasis(inner):
                yield from _after_texts(inner)
                before = ""
            case _:
                before = ""


RULE = Rule("money-not-in-pence", "common practice, no source", _look)
