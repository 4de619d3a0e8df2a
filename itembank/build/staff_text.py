"""Texts and mathematics as the staff's own files hold them: plain, in one line."""

from __future__ import annotations

from typing import Any

from itembank.content import Content, Emphasis, Hole, Inline, LineBreak, Listing, Paragraph, Text
from itembank.difficulty import logits
from itembank.expressions import latex, mathml, spelling
from itembank.expressions.conventions import conventions
from itembank.expressions.display import Maths
from itembank.items import Difficulty

__all__ = ["difficulty_told", "plain_text", "sentence", "shown"]


def plain_text(content: Content | Maths | None) -> str:
    """A text, or the mathematics in its place, in one line, maths in the language's own spelling; "" for None."""
    if content is None:
        return ""
    if isinstance(content, Maths):
        return spelling.plain(content)

    def inline(node: Inline) -> str:
        match node:
            case Text(text):
                return text
            case Emphasis(inlines):
                return "".join(inline(part) for part in inlines)
            case Hole(index):
                filling = content.fillings[index]
                return filling if isinstance(filling, str) else spelling.plain(filling)
            case LineBreak():
                return " "

    def block(node: Any) -> str:
        match node:
            case Paragraph(inlines):
                return "".join(inline(part) for part in inlines)
            case Listing(items):
                return "; ".join(" ".join(block(b) for b in item) for item in items)
            case _:
                rows = (node.header, *node.rows)
                return "; ".join(" | ".join("".join(inline(i) for i in cell) for cell in row) for row in rows)

    return " ".join(block(node) for node in content.shape.blocks)


def sentence(content: Content | None, language: str) -> str:
    """A text that only people read, in one line: its maths as a page in a language shows it, `b² − 4ac`."""
    if content is None:
        return ""
    marks = conventions(language)
    fillings = tuple(f if isinstance(f, str) else spelling.terminal(f, marks) for f in content.fillings)
    return plain_text(Content(content.shape, fillings))


def shown(content: Maths | Content, language: str) -> dict[str, str]:
    """Mathematics or a text in the notations of the answer map, as an item in a language shows it."""
    if isinstance(content, Maths):
        return {
            "plain": spelling.plain(content),
            "latex": latex.latex(content),
            "mathml": mathml.mathml(content, conventions(language), annotated=False),
        }
    return {"plain": plain_text(content), "latex": "", "mathml": ""}


def difficulty_told(predicted: Difficulty) -> str:
    """A predicted difficulty in one line, with what contributed.

    >>> from itembank.items import Contribution
    >>> difficulty_told(Difficulty(-800, "easy", (Contribution("start", 1, -1600), Contribution("steps", 4, 800))))
    'difficulty -0.8 logits (easy): start -1.6, steps +0.8 (4)'
    """
    told = [
        f"{f'({each.part}) ' if each.part else ''}{each.feature} {logits(each.adds)}"
        + (f" ({each.times})" if each.times > 1 else "")
        for each in predicted.contributions
    ]
    return f"difficulty {logits(predicted.thousandths)} logits ({predicted.word}): {', '.join(told)}"
