"""What looks odd in an item though it is right."""

from __future__ import annotations

from collections.abc import Iterator
from math import isqrt

from itembank.errors import Span
from itembank.expressions import tree
from itembank.expressions.display import (
    Compared,
    Display,
    Factors,
    Joined,
    Maths,
    Numeral,
    Pattern,
    Root,
    Terms,
    parts,
)
from itembank.expressions.spelling import marked
from itembank.generator.lines import written_lines
from itembank.items import Item
from itembank.proof.meaning import letters
from itembank.templates.template import Template

__all__ = ["odd_looks"]


def odd_looks(whole: Template, item: Item, number: int) -> Iterator[tuple[str, Span]]:
    """Doubts of what a part shows, each with its place in the template.

    Of them: ±0, two plain numbers side by side, a vanished term of the problem, ±√9, 3 = 3. number: of the part.
    """
    template, part = whole.parts[number], item.parts[number]
    for doubt in part.problem.statement.shape.doubts:
        yield doubt, template.problem.span()
    if part.problem.statement.shape.vanished:
        yield "a term of the problem vanishes", template.problem.span()
    if template.key is not None:
        for doubt in part.key.shape.doubts:
            yield doubt, template.key.span()
    for line, written in zip(part.solution, written_lines(whole, item, number), strict=True):
        if line.maths is not None and written.maths is not None:
            for doubt in (*line.maths.shape.doubts, *_odd_numbers(line.maths)):
                yield doubt, written.maths.span()
            shown = letters(line.maths.shape.display)
            for name in part.problem.unknowns:
                if name in tree.names(written.maths.node) and name not in shown:
                    yield (
                        f"`{name}` vanishes from the line, which then says nothing of it",
                        written.maths.span(),
                    )
    values = {slip.name: slip.value for slip in template.slips}
    for slip in part.slips:
        for doubt in slip.answer.shape.doubts:
            yield doubt, values[slip.name].span()


def _odd_numbers(maths: Maths) -> Iterator[str]:
    """What shows only with numbers: ± before the root of a square, both sides the same, an alternative twice."""
    for node in _walk(maths.shape.display):
        match node:
            case Terms(terms) if any(sign == "±" and _is_root_of_square(term, maths) for sign, term in terms):
                yield "± before the root of a square"
            case Compared(operands) if (
                not letters(node) and len({_text(each, maths) for each in operands}) == 1
            ):
                yield "both sides show one number, for numbers are worked out: keep(...) holds what is written"
            case Joined("or", alternatives):
                if len({_text(each, maths) for each in alternatives}) < len(alternatives):
                    yield "an alternative stands twice"
            case _:
                pass


def _walk(node: Display) -> Iterator[Display]:
    yield node
    for part in parts(node):
        yield from _walk(part)


def _is_root_of_square(node: Display, maths: Maths) -> bool:
    match node:
        case Root(Numeral(hole, text), ""):
            number = maths.numbers[hole] if hole >= 0 else int(text) if text.isdigit() else None
            return isinstance(number, int) and isqrt(number) ** 2 == number
        case Factors(factors):
            return any(_is_root_of_square(factor, maths) for factor in factors)
        case _:
            return False


def _text(node: Display, maths: Maths) -> str:
    return Pattern(marked(node, "plain")).fill(maths.numbers)
