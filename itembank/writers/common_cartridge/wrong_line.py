"""Lines of working of which one does not follow: a choice of one line."""

from __future__ import annotations

from functools import cache

from itembank.expressions.display import Pattern
from itembank.items import ShownLine, WrongLineResponse
from itembank.writers.common_cartridge.choice import options_pattern
from itembank.writers.common_cartridge.markup import html, material
from itembank.writers.common_cartridge.pieces import LeftOut, Response, phrase
from itembank.writers.common_cartridge.processing import condition, is_answer, percent, processing
from itembank.writers.common_cartridge.texts import blocks, fill, maths
from itembank.writers.phrases import Phrases

__all__ = ["wrong_line"]


def wrong_line(response: WrongLineResponse, said: Phrases) -> Response:
    """The line that does not follow. Raises LeftOut for fewer than three lines."""
    if len(response.lines) < 3:
        raise LeftOut("a choice of two is a statement that is true or false, which this item is not")
    options, rules = _patterns(len(response.lines), response.wrong)
    found = phrase("right", said)
    if response.slip.pupil is not None:
        found += blocks(response.slip.pupil, said)
    follows = phrase("line-follows", said)
    feedback = tuple(
        (f"F_{name}", found if index == response.wrong else follows)
        for index, name in enumerate(_names(len(response.lines)))
    )
    contents = tuple([material(_line(line, said)) for line in response.lines])
    return Response("cc.multiple_choice.v0p1", "wrong-line", "", fill(options, contents), rules, feedback)


def _names(lines: int) -> tuple[str, ...]:
    return tuple(f"L{number}" for number in range(1, lines + 1))


def _line(line: ShownLine, said: Phrases) -> str:
    """What is said, and the mathematics in a paragraph of its own."""
    return (blocks(line.say, said) if line.say is not None else "") + html("p", maths(line.maths, said))


@cache
def _patterns(lines: int, wrong: int) -> tuple[Pattern, str]:
    names = _names(lines)
    ordered = [names[wrong], *(name for name in names if name != names[wrong])]
    rules = [
        condition(is_answer(name), percent(1, 1) if name == names[wrong] else "", f"F_{name}")
        for name in ordered
    ]
    return options_pattern(names), processing(rules)
