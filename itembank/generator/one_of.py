"""Words to choose in a line: which are right, and what a slip leads to."""

from __future__ import annotations

from itembank.content import Content, Emphasis, Hole, LineBreak, Paragraph, Text
from itembank.expressions.canonical import NONE, Form
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.filling import Rows, filled, filled_text
from itembank.generator.words_fit import value_told, words_misfit
from itembank.items import WORD_NAMES, Blank, Word
from itembank.templates.template import BlankTemplate

__all__ = ["led_to", "words_blank"]


def words_blank(
    bound: Bound,
    number: int,
    place: int,
    key: Forms,
    forms: Forms,
    arguments: Arguments,
    rows: Rows,
) -> Blank:
    """A blank of a part where words are chosen. Raises NotAnItem where not exactly one of them is right."""
    part = bound.recipe.parts[number]
    recipe, template = part.one_of[place], part.template.response.blanks[place]
    assert recipe is not None
    right = bound.word(number, place, key[0], arguments)
    if right < 0:
        held = bound.words_held(number, place, key[0], arguments)
        raise words_misfit(number, template.words, held, value_told(part.template.unknowns, key[0]))
    words = tuple(
        Word(
            in_a_line(filled_text(text, forms, rows)),
            row.when.node,
            filled(shown, forms) if shown is not None else None,
        )
        for text, shown, row in zip(recipe.texts, recipe.shown, template.words, strict=True)
    )
    before = in_a_line(filled_text(recipe.before, forms, rows)) if recipe.before is not None else ""
    return Blank(
        _unknown(template, part.template.unknowns), "one-of", ("word",), ((WORD_NAMES[right],),), 1,
        marks=template.marks, words=words, before=before,
    )  # fmt: skip


def _unknown(template: BlankTemplate, unknowns: tuple[str, ...]) -> str:
    """The unknown whose place the words take, "" for a blank with a name of its own."""
    return template.unknown if template.unknown in unknowns else ""


def led_to(bound: Bound, number: int, place: int, form: Form, arguments: Arguments) -> str:
    """The name of the words that a wrong answer leads to, "" for none."""
    found = bound.word(number, place, form, arguments) if form != NONE else -1
    return WORD_NAMES[found] if found >= 0 else ""


def in_a_line(content: Content) -> str:
    """A text without mathematics as plain characters in one line."""

    def told(node: object) -> str:
        match node:
            case Text(text):
                return text
            case Emphasis(inlines) | Paragraph(inlines):
                return "".join(map(told, inlines))
            case Hole(index):
                return str(content.fillings[index])
            case LineBreak():
                return " "
            case _:
                return ""

    return " ".join(" ".join(map(told, content.shape.blocks)).split())
