"""A part's response as the profile carries it: what is shown, how it is marked, and what is lost.

A part becomes one question, only a match one for each of its rows.
"""

from __future__ import annotations

from typing import assert_never

from itembank.items import (
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    MatchResponse,
    OrderResponse,
    Part,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.writers.common_cartridge.choice import choice
from itembank.writers.common_cartridge.choices import choices
from itembank.writers.common_cartridge.entry import entry
from itembank.writers.common_cartridge.match import match_rows
from itembank.writers.common_cartridge.order import order
from itembank.writers.common_cartridge.pieces import Response
from itembank.writers.common_cartridge.written import essay
from itembank.writers.common_cartridge.wrong_line import wrong_line

__all__ = ["responses"]


def responses(part: Part, language: str, foreign: str) -> tuple[Response, ...]:
    """What the profile makes of a part. foreign: language of the words added, "" where it is the item's own.

    Raises LeftOut.
    """
    match part.response:
        case ChoiceResponse() as asked:
            return (choice(asked, foreign),)
        case ChoicesResponse() as asked:
            return (choices(asked, foreign),)
        case WrongLineResponse() as asked:
            return (wrong_line(asked, foreign),)
        case EntryResponse() as asked:
            return (entry(part, asked, language, foreign),)
        case OrderResponse() as asked:
            return (order(asked, foreign),)
        case MatchResponse() as asked:
            return tuple(match_rows(asked, foreign))
        case WrittenResponse() as asked:
            return (essay(part, asked, foreign),)
        case _:
            assert_never(part.response)
