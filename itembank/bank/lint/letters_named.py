"""`letter-not-named`: boxes or options give values to several letters, and no stem says what one of them stands for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import asks
from itembank.content import Content
from itembank.expressions.display import Display, Letter, Maths, parts
from itembank.templates.template import PartTemplate


def _look(sample: Sample) -> Iterator[Remark]:
    named: set[str] = set()
    for number, part in enumerate(sample.template.parts):
        for item in sample.items:
            named |= _letters(item.parts[number].stem)
        named |= set(re.findall(r"\b[A-Za-z]\b", asks(part))) - {"a", "A", "I"}  # these are words
        missing = [letter for letter in _asked(part) if letter not in named]
        if missing:
            letters = " and ".join([f"`{letter}`" for letter in missing])
            where = "boxes are for" if part.response.kind == "entry" else "options speak of"
            yield Remark(
                part.stem.source.span,
                f"the {where} {letters}, which no stem names",
                f"say in the stem what stands for what, as in: Find the larger number ${missing[0]}$ and ...",
            )


def _asked(part: PartTemplate) -> tuple[str, ...]:
    """The unknowns that stand before boxes or in options, where a pupil has to tell several apart."""
    if part.response.kind == "entry":
        boxes = tuple(blank.unknown for blank in part.response.blanks if blank.form != "one-of")
        return boxes if len(boxes) > 1 and set(boxes) <= set(part.unknowns) else ()
    in_options = part.response.kind in {"choice", "choices"} and not part.response.words
    return part.unknowns if in_options and len(part.unknowns) > 1 else ()


def _letters(content: Content) -> set[str]:
    formulas = [filling for filling in content.fillings if isinstance(filling, Maths)]
    return {name for formula in formulas for name in _of(formula.shape.display)}


def _of(display: Display) -> Iterator[str]:
    if isinstance(display, Letter):
        yield display.name
    for part in parts(display):
        yield from _of(part)


RULE = Rule("letter-not-named", "common practice, no source", _look)
