"""Cells of which a spreadsheet made dates: who types 3/2 or 1-4 into one finds 3 February or 1 April there.

What was typed cannot be told from the date (3/2 or 2/3?), so it is asked for again and never guessed.
"""

from __future__ import annotations

import re
from typing import Final

__all__ = ["TYPE_AGAIN", "is_date"]

TYPE_AGAIN: Final = (
    "a spreadsheet has made a date of what was typed, as of 3/2: format the column as text, and type it again"
)
_MONTH: Final = (
    "jan|ene|gen|feb|fev|fév|mar|mär|apr|abr|avr|may|mai|mag|maj|jun|jui|giu|jul|lug|aug|ago|aoû|sep|set|oct|okt|out|"
    "ott|nov|dec|dez|dic|déc|des"
)
"""How names of months begin in the languages of many spreadsheets. From memory."""
_YEAR: Final = r"(?:19|20)[0-9]{2}"
_IN_NUMBERS: Final = re.compile(
    rf"(?:{_YEAR}-[01]?[0-9]-[0-3]?[0-9]|[0-3]?[0-9]([./-])[0-3]?[0-9]\1{_YEAR})(?:[ T][0-9:.]+)?"
)
_BY_NAME: Final = re.compile(
    rf"(?:[0-9]{{1,2}}[-./ ]+)?(?!marks?\b)(?:{_MONTH})[^\W\d_]{{0,7}}\.?(?:[-./, ]+[0-9]{{1,4}})?",
    re.IGNORECASE,
)


def is_date(text: str) -> bool:
    """Whether a text is a date as spreadsheets write it, and nothing that a pupil writes.

    >>> all(map(is_date, ("03-Feb", "1. März 26", "feb-03", "2026-02-03", "3/2/2026", "01.02.2026 00:00")))
    True
    >>> any(map(is_date, ("3/2", "2 and 13", "May", "-3", "2026", "1.5", "x = 3", "1 mark")))
    False
    """
    if _IN_NUMBERS.fullmatch(text):
        return True
    return _BY_NAME.fullmatch(text) is not None and any(map(str.isdigit, text))
