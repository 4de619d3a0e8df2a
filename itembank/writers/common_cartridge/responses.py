"""A part's response as the profile carries it: what is shown, how it is marked, and what is lost."""

from __future__ import annotations

from itembank.items import ChoiceResponse, ChoicesResponse, EntryResponse, Part, WrongLineResponse
from itembank.writers.common_cartridge.choice import choice
from itembank.writers.common_cartridge.choices import choices
from itembank.writers.common_cartridge.entry import entry
from itembank.writers.common_cartridge.pieces import LeftOut, Response
from itembank.writers.common_cartridge.wrong_line import wrong_line

__all__ = ["response"]


def response(part: Part, language: str, foreign: str) -> Response:
    """What the profile makes of a part. foreign: language of the words added, "" where it is the item's own.

    Raises LeftOut.
    """
    match part.response:
        case ChoiceResponse() as asked:
            return choice(asked, foreign)
        case ChoicesResponse() as asked:
            return choices(asked, foreign)
        case WrongLineResponse() as asked:
            return wrong_line(asked, foreign)
        case EntryResponse() as asked:
            return entry(part, asked, language, foreign)
        case _:
            raise LeftOut("the profile has no kind of question for what it asks")
