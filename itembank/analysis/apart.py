"""Whether pupils in one table had different questions, so that empty cells are no questions left out."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import reduce
from operator import or_
from typing import Final

from itembank.analysis.blocks import counted
from itembank.analysis.responses import FEWEST_TO_TELL, Record
from itembank.analysis.together import bits_of
from itembank.errors import Diagnostic, Level

__all__ = ["may_be_forms"]

_FEWEST_QUESTIONS: Final = 3
"""Questions on either side below which pupils may just have left out what others answered (house rule)."""
_MOST: Final = Fraction(2, 3)
_HINT: Final = (
    "write n/a where a question was not given, or give each form in a file with the columns of its questions"
)


def may_be_forms(records: Sequence[Record]) -> list[Diagnostic]:
    """That some questions are empty for everyone who answered others, and these for everyone who answered those.

    Nobody who leaves out what is hard does so by chance in several questions at once: such a table holds forms of a
    test side by side, or sections of which each pupil chose one.
    """
    filled, empty = _bits(records, is_blank=False), _bits(records, is_blank=True)
    partly = [
        place
        for place, mine in filled.items()
        if min(mine.bit_count(), empty.get(place, 0).bit_count()) >= FEWEST_TO_TELL
    ]
    if not partly:
        return _mostly_empty(records)
    most = max(partly, key=lambda place: (filled[place].bit_count(), -place))
    those = [
        place for place in partly if not filled[place] & ~empty[most] and not filled[most] & ~empty[place]
    ]
    whom = reduce(or_, (filled[place] for place in those), 0)
    these = [place for place in partly if not filled[place] & whom and not whom & ~empty[place]]
    if min(len(these), len(those)) < _FEWEST_QUESTIONS:
        return _mostly_empty(records)
    mine = reduce(or_, (filled[place] for place in these), 0)
    message = (
        f"{counted(mine.bit_count(), 'pupil')} answered some of {len(these)} questions and none of {len(those)} "
        f"others, {whom.bit_count()} the other way round, and nobody both: where they had different forms, questions "
        "that a pupil was not given count here as left out, with 0 marks"
    )
    first = next(record for number, record in enumerate(records) if (mine | whom) >> number & 1)
    return [Diagnostic("may-be-forms", message, first.place, Level.DOUBTFUL, hint=_HINT)]


def _mostly_empty(records: Sequence[Record]) -> list[Diagnostic]:
    """The same of many forms with few pupils each: most pupils have hardly anything."""
    present = [each for each in records if not all(answer.is_blank for answer in each.answers.values())]
    empty = [
        each
        for each in present
        if sum(answer.is_blank for answer in each.answers.values()) > _MOST * len(each.answers)
    ]
    if len(empty) < FEWEST_TO_TELL or len(empty) <= _MOST * len(present):
        return []
    message = (
        f"{len(empty)} of {counted(len(present), 'pupil')} have nothing in more than two thirds of the questions: "
        "where these were not given to them, they count here as left out, with 0 marks"
    )
    return [Diagnostic("may-be-forms", message, empty[0].place, Level.DOUBTFUL, hint=_HINT)]


def _bits(records: Sequence[Record], *, is_blank: bool) -> dict[int, int]:
    """For each question the records that have something there, or nothing, a bit for each."""
    found: dict[int, list[int]] = {}
    for number, record in enumerate(records):
        for place, answer in record.answers.items():
            if answer.is_blank is is_blank:
                found.setdefault(place, []).append(number)
    return {place: bits_of(numbers) for place, numbers in found.items()}
