"""A part's response as the profile carries it: what is shown, how it is marked, and what is lost.

A part becomes one question, only a match one for each of its rows, and an entry with words in it one for each of them.
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
from itembank.writers.common_cartridge.one_of import has_words, with_words
from itembank.writers.common_cartridge.order import order
from itembank.writers.common_cartridge.pieces import Response
from itembank.writers.common_cartridge.written import essay
from itembank.writers.common_cartridge.wrong_line import wrong_line
from itembank.writers.phrases import Phrases

__all__ = ["responses"]


def responses(part: Part, language: str, said: Phrases) -> tuple[Response, ...]:
    """What the profile makes of a part. said: the words added.

    Raises LeftOut.
    """
    match part.response:
        case ChoiceResponse() as asked:
            return (choice(asked, said),)
        case ChoicesResponse() as asked:
            return (choices(asked, said),)
        case WrongLineResponse() as asked:
            return (wrong_line(asked, said),)
        case EntryResponse() as asked:
            if has_words(asked):
                return with_words(part, asked, language, said)
            return (entry(part, asked, language, said),)
        case OrderResponse() as asked:
            return (order(asked, said),)
        case MatchResponse() as asked:
            return tuple(match_rows(asked, said))
        case WrittenResponse() as asked:
            return (essay(part, asked, said),)
        case _:
            assert_never(part.response)
