"""Rows to be matched: a choice for each row, with every target as an option, and its share of the marks.

The profile has nothing that pairs. One typed line of letters was weighed and dropped: chosen targets are marked on
every platform, and each slip keeps its sentence. Each row is a question of its own with all rows in sight, named by the
item's code and the row, as parts are; where the marks are for all rows together there is no honest form, and the part
is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import MatchResponse, MatchRow
from itembank.writers.common_cartridge.choice import options_pattern
from itembank.writers.common_cartridge.markup import html, material, words
from itembank.writers.common_cartridge.pieces import LeftOut, Response, Words, paragraph, phrase
from itembank.writers.common_cartridge.processing import condition, is_answer, percent, processing
from itembank.writers.common_cartridge.texts import blocks, fill, maths, shown
from itembank.writers.phrases import Phrases

__all__ = ["match_rows"]

_SPLIT = "each row to be matched becomes a question of its own"


def match_rows(response: MatchResponse, said: Phrases) -> Iterator[Response]:
    """A question for each row, in printed order. Raises LeftOut where marks or targets do not allow it."""
    if len(response.targets) < 3:
        raise LeftOut("a choice of two is a statement that is true or false, which its rows are not")
    if not response.share:
        raise LeftOut("its marks are for all rows together, and each row would be a question of its own")
    if response.share.denominator != 1:
        raise LeftOut("a row earns a part of a mark, and the weight of a question is a whole number")
    return (_row(response, row, response.share, said) for row in response.rows)


def _row(response: MatchResponse, row: MatchRow, share: Fraction, said: Phrases) -> Response:
    told = tuple([(t.identifier, t.slip is not None and t.slip.pupil is not None) for t in response.targets])
    feedback = [(f"F_{row.target}", phrase("right", said))]
    for target in response.targets:
        if target.identifier != row.target and target.slip is not None and target.slip.pupil is not None:
            feedback.append((f"F_{target.identifier}", blocks(target.slip.pupil, said)))
    contents = tuple([material(shown(target.content, said)) for target in response.targets])
    options = options_pattern(tuple([target.identifier for target in response.targets]))
    return Response(
        "cc.multiple_choice.v0p1", "match-words" if response.by_words else "match",
        fill(_all_rows(len(response.rows)), tuple([maths(each.statement, said) for each in response.rows]))
        + paragraph(said("asked-row", number=row.identifier[1:]), said, class_="asked", data_asked=row.identifier),
        fill(options, contents), _rules(told, row.target), tuple(feedback), (_SPLIT,), f"_{row.identifier.lower()}",
        int(share), in_words=_told(response, row, said) if response.by_words else (),
    )  # fmt: skip


def _told(response: MatchResponse, row: MatchRow, said: Phrases) -> tuple[Words, ...]:
    right = next(target for target in response.targets if target.identifier == row.target)
    return (Words(right.identifier, shown(right.content, said), row=row.identifier[1:]),)


@cache
def _all_rows(count: int) -> Pattern:
    shown = (
        html(
            "p",
            html("strong", words(str(index + 1)), class_="letter"),
            " ",
            hole_mark(index),
            data_row=f"R{index + 1}",
        )
        for index in range(count)
    )
    return Pattern(html("div", *shown, class_="rows"))


@cache
def _rules(targets: tuple[tuple[str, bool], ...], right: str) -> str:
    rules = [condition(is_answer(right), percent(1, 1), f"F_{right}")]
    rules += [condition(is_answer(name), "", f"F_{name}") for name, told in targets if told and name != right]
    return processing(rules)
