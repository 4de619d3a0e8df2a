"""Follow-through on the second road: earlier keys put into its plain text, which is read back and solved by sympy."""

from __future__ import annotations

import re
from collections.abc import Sequence

from itembank.expressions import spelling
from itembank.items import Part
from itembank.proof.findings import Finding
from itembank.proof.symbolic_numbers import CannotTell, Rooted
from itembank.proof.symbolic_part import Answer, Asked
from itembank.proof.symbolic_sets import solutions
from itembank.proof.symbolic_text import piece
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_follow_through"]

CLAIM = "with the right earlier answers the follow-through is the key"
_NAME = re.compile(r"[A-Za-z]+(_[0-9]+)?\Z")
_IS_KEY = Proved("read back with the earlier keys and solved, both have the same exact values (sympy)")


def prove_follow_through(asked: Asked, earlier: Sequence[Part], wanted: Answer) -> Finding:
    """The claim that `follow_through.prove_follow_through` proves, with sympy's verdict."""
    return Finding("follow-through", CLAIM, _verdict(asked, earlier, wanted), "key")


def _verdict(asked: Asked, earlier: Sequence[Part], wanted: Answer) -> Verdict:
    part = asked.part
    assert part.follow is not None
    text = shown = spelling.plain(part.follow)
    named = set(asked.unknowns)
    for before in reversed(earlier):
        for name, value in _told(spelling.plain(before.key)).items():
            if name not in named:
                named.add(name)
                text = re.sub(rf"\b{name}\b", f"({value})", text)
    try:
        points = solutions(asked.space, piece(text), asked.unknowns)
    except CannotTell as stuck:
        return Undecided(f"{shown}: {stuck}")
    if not isinstance(wanted, Rooted) and points == wanted:
        return _IS_KEY
    return Refuted(f"{shown} is not {spelling.plain(part.key)} for the earlier answers")


def _told(key: str) -> dict[str, str]:
    """unknown -> its value, as text, where a key says so."""
    found = {}
    for statement in key.split(" and "):
        name, sign, value = statement.partition(" = ")
        if sign and _NAME.match(name) and " or " not in value:
            found[name] = value
    return found
