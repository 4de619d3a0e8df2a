"""The few words this writer adds of its own, in English; everything else a pupil or a teacher reads is the item's.

An item in another language keeps them, marked as English, and the writer says so among its shortfalls.
"""

from __future__ import annotations

from typing import Final

__all__ = [
    "ALL_ANSWERS",
    "AND",
    "ANSWERS",
    "DOMAIN",
    "FOLLOWS",
    "FOLLOW_THROUGH",
    "KEY",
    "LANGUAGE",
    "LINES",
    "LINE_FOLLOWS",
    "MARKED_BY_HAND",
    "MATCH",
    "NO_SOLUTION",
    "OR",
    "ORDER",
    "PROBLEM",
    "RIGHT",
    "UNSIMPLIFIED",
    "WRITTEN",
    "box_label",
    "is_english",
]  # fmt: skip

LANGUAGE: Final = "en"
RIGHT: Final = "That is right."
UNSIMPLIFIED: Final = "The value is right, but it is not in the form that was asked for."
FOLLOWS: Final = "This follows from your earlier answer and earns marks; look at the earlier part again."
NO_SOLUTION: Final = "There is no real solution."
ANSWERS: Final = "Choose one answer."
ALL_ANSWERS: Final = "Choose every right answer."
LINES: Final = "Choose the line that does not follow."
ORDER: Final = "Put these into order."
MATCH: Final = "Find what belongs together."
WRITTEN: Final = "Your answer"
MARKED_BY_HAND: Final = "A person marks this answer, by the marks at the lines of the solution."
LINE_FOLLOWS: Final = "That line follows from what stands above it."
OR: Final = "or"
AND: Final = "and"
PROBLEM: Final = "Problem:"
DOMAIN: Final = "where"
KEY: Final = "Key:"
FOLLOW_THROUGH: Final = "Follow-through from the pupil's own earlier answers:"

_ROLES: Final = {
    "value": "",
    "k": "number before the brackets",
    "a": "first bracket, number before the letter",
    "b": "first bracket, number without the letter",
    "c": "second bracket, number before the letter",
    "d": "second bracket, number without the letter",
    "sign": "inequality sign",
    "word": "the words that fit",
    "join": "how the two inequalities are joined",
    "numerator": "numerator",
    "denominator": "denominator",
    "p": "term before the root",
    "q": "factor before the root",
    "r": "number under the root",
    "s": "denominator",
}


def is_english(language: str) -> bool:
    """Whether a language tag (BCP 47) means English.

    >>> is_english("en-GB"), is_english("enm")
    (True, False)
    """
    return language.lower().split("-")[0] == LANGUAGE


def box_label(unknown: str, role: str, slot: int, slots: int) -> str:
    """What a screen reader says of a box.

    unknown: "" for an expression; slot counts from 1.

    >>> box_label("x", "r", 1, 1), box_label("x", "value", 2, 2)
    ('x, number under the root', 'x, solution 2')
    """
    told = [unknown.replace("_", " ") or "answer"]
    if slots > 1:
        told.append(f"solution {slot}")
    if _ROLES[role]:
        told.append(_ROLES[role])
    return ", ".join(told)
