"""The few words this writer adds of its own, in English; those it shares with QTI 3.0 stand there.

An item in another language keeps them, marked as English, and the writer says so among its shortfalls.
"""

from __future__ import annotations

from typing import Final

from itembank.writers.common_cartridge.inequalities import EXAMPLES
from itembank.writers.common_cartridge.spellings import NO_SOLUTION

__all__ = [
    "ANSWER",
    "ESSAY",
    "LEAVE_OUT",
    "NO_UNIT",
    "TYPE_NONE",
    "asked",
    "asked_row",
    "type_gaps",
    "type_inequalities",
    "type_letters",
]

ANSWER: Final = "Answer:"
LEAVE_OUT: Final = "Leave out what stays empty."
NO_UNIT: Final = "Leave out the unit."
TYPE_NONE: Final = f"If there is no real solution, type: {NO_SOLUTION[0]}."
ESSAY: Final = "Type your working and your answer."


def type_gaps(count: int, of_fractions: bool, is_listed_with_semicolons: bool) -> str:
    """What the pupil is told to type. count: gaps.

    >>> type_gaps(1, False, False)
    'Type the number that belongs in [1].'
    >>> type_gaps(3, False, False)
    'Type the numbers that belong in [1], [2] and [3], in this order, with commas between them.'
    """
    fractions = " Type a fraction as 3/4." if of_fractions else ""
    if count == 1:
        return f"Type the number that belongs in [1].{fractions}"
    named = ", ".join(f"[{number}]" for number in range(1, count)) + f" and [{count}]"
    mark = "semicolons" if is_listed_with_semicolons else "commas"
    return f"Type the numbers that belong in {named}, in this order, with {mark} between them.{fractions}"


def type_letters(letters: tuple[str, ...]) -> str:
    """What the pupil is told to type. letters: as printed, which is never the right order.

    >>> type_letters(("A", "B", "C"))
    'Type the letters in the right order, with commas between them, for instance A, B, C.'
    """
    return (
        f"Type the letters in the right order, with commas between them, for instance {', '.join(letters)}."
    )


def asked(label: str) -> str:
    """Which of several parts a question is about.

    >>> asked("b")
    'This question asks for part (b).'
    """
    return f"This question asks for part ({label})."


def asked_row(number: str) -> str:
    """Which of several rows a question is about.

    >>> asked_row("2")
    'This question asks for row 2. Choose what belongs to it.'
    """
    return f"This question asks for row {number}. Choose what belongs to it."


def type_inequalities(unknown: str) -> str:
    """What the pupil is told to type for an interval.

    >>> type_inequalities("t")
    'Type the answer as inequalities for t, for instance t < 4, or t >= -1 and t < 4, or t < -1 or t > 4.'
    """
    examples = ", or ".join(each.format(x=unknown) for each in EXAMPLES)
    return f"Type the answer as inequalities for {unknown}, for instance {examples}."
