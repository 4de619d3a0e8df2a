"""What entries that look alike have in common, and the numbers in which they differ.

Two entries of one template differ in numbers, seldom in looks. What depends on looks is written once, with holes; an
item's numbers (its facts) are put in.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from itembank.expressions.display import Decimal, Filling
from itembank.items import Blank, BoxValue, EntryResponse
from itembank.writers.phrases import Phrases
from itembank.writers.qti3.follow import FollowLooks, follow_limit
from itembank.writers.qti3.forms import Fact, form_name, form_of, marking_name

__all__ = ["UNTYPED", "BlankLooks", "EntryLooks", "Typed", "entry_facts", "entry_looks"]


class Typed(NamedTuple):
    """Which numbers are typed as text. mark: the decimal mark, "" for none; worked_with: unknowns in arithmetic."""

    mark: str
    worked_with: frozenset[str] = frozenset()

    def mark_of(self, blank: Blank) -> str:
        """The decimal mark for a blank, "" where its numbers are numbers to the platform."""
        return "" if blank.unknown in self.worked_with or blank.follow_worth else self.mark


UNTYPED: Final = Typed("")


class BlankLooks(NamedTuple):
    """What a blank's rules and boxes depend on, its numbers apart.

    whole: for each value, see `Form.is_whole`; words, before: of words to choose from; room: characters in a box;
    tolerance: of a decimal, "" for none.
    """

    unknown: str
    form: str
    roles: tuple[str, ...]
    slots: int
    any_order: bool
    pair: bool
    worth: int
    whole: tuple[bool, ...]
    follow_worth: int = 0
    join: str = ""
    unit: str = ""
    letter: str = ""
    marking: str = ""
    words: tuple[str, ...] = ()
    before: str = ""
    room: int = 0
    unit_first: bool = False
    tolerance: str = ""


class EntryLooks(NamedTuple):
    """What an entry's rules and boxes depend on, its numbers apart.

    label: of the part. recognised: for each recognised entry `whole` of each blank's values, and whether there is a
    sentence for the pupil, and what joins two inequalities. said: the words this writer adds. follow: where marks
    follow through from earlier parts. points: the blanks are the coordinates of points; share: what each earns, 0
    where only all of them earn the marks.
    """

    label: str
    blanks: tuple[BlankLooks, ...]
    tick: bool
    tick_is_right: bool
    marks: int
    recognised: tuple[tuple[tuple[tuple[bool, ...], ...], bool, str], ...]
    said: Phrases
    follow: FollowLooks | None = None
    points: bool = False
    share: Fraction = Fraction(0)


def entry_looks(
    label: str,
    response: EntryResponse,
    said: Phrases,
    follow: FollowLooks | None = None,
    typed: Typed = UNTYPED,
) -> EntryLooks:
    """The looks of a response. typed: which numbers are typed as text."""
    mark_of = typed.mark_of
    blanks = tuple(
        [
            BlankLooks(
                blank.unknown, form_name(blank), blank.boxes, blank.slots, blank.any_order, blank.pair, blank.worth,
                _whole(blank, blank.values), blank.follow_worth if follow else 0, blank.join, blank.unit,
                blank.letter, marking_name(blank, mark_of(blank)),
                tuple([word.text for word in blank.words]) if blank.words else (), blank.before,
                _room(response, index, blank), blank.unit_first,
                "" if blank.tolerance is None else str(blank.tolerance),
            )
            for index, blank in enumerate(response.blanks)
        ]
    )  # fmt: skip
    recognised = tuple(
        [
            (tuple(map(_whole, response.blanks, entry.values)), entry.slip.pupil is not None, entry.join)
            for entry in response.recognised
        ]
    )
    return EntryLooks(
        label, blanks, response.tick, response.tick_is_right, response.marks, recognised, said, follow,
        response.points, response.share,
    )  # fmt: skip


_ROOM: Final = 12
"""Characters in a box of whole numbers: all that the standard's type `integer` holds, and one to spare."""


def _room(response: EntryResponse, index: int, blank: Blank) -> int:
    """Characters that fit into a box, by its form alone, so that no length tells how many digits the key has.

    Only where something right or recognised is longer still there is more, for a platform may take it as a limit.
    """
    room = _ROOM if len(blank.boxes) > 1 else 2 * _ROOM
    for values in (blank.values, *[entry.values[index] for entry in response.recognised]):
        for value in values:
            for held in value:
                while _characters(held) > room:
                    room *= 2
    return room


def _characters(held: BoxValue) -> int:
    """At most so many characters stand in a number, sign and point included; what is chosen has none."""
    if isinstance(held, int):
        return len(str(held))
    if isinstance(held, Decimal):
        return len(str(abs(held.value).__floor__())) + held.places + 2
    return 0


def _whole(blank: Blank, values: tuple[tuple[BoxValue, ...], ...]) -> tuple[bool, ...]:
    form = form_of(form_name(blank))
    return tuple([form.is_whole(blank, value) for value in values])


def entry_facts(
    response: EntryResponse, follow: FollowLooks | None = None, numbers: tuple[Filling, ...] = (),
    typed: Typed = UNTYPED,
) -> tuple[Fact, ...]:  # fmt: skip
    """The facts of a response: of each blank's values, then what each recognised entry holds.

    numbers: of the follow-through, which stand last, and before them how large earlier answers may be.
    """
    facts: list[Fact] = []
    for blank in response.blanks:
        form = form_of(marking_name(blank, typed.mark_of(blank)))
        for value in blank.values:
            facts += form.facts(blank, value)
    for entry in response.recognised:
        for blank, values in zip(response.blanks, entry.values, strict=True):
            form = form_of(marking_name(blank, typed.mark_of(blank)))
            for value in values:
                facts += form.facts(blank, value)
    if follow is not None:
        facts += (follow_limit(follow, numbers), *numbers)
    return tuple(facts)
