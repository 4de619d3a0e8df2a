"""Follow-through: the key told in earlier unknowns is the key, once those are what the earlier parts ask for."""

from __future__ import annotations

from collections.abc import Sequence

from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.numbers import Exact
from itembank.items import Part
from itembank.proof import identity, meaning
from itembank.proof.findings import Finding
from itembank.proof.identity import Identity
from itembank.proof.solver import CannotDecide, Solution
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_follow_through"]

CLAIM = "with the right earlier answers the follow-through is the key"
_IS_KEY = Proved("with the earlier keys put in, both have the same exact values")


def prove_follow_through(part: Part, earlier: Sequence[Part], wanted: Identity) -> Finding:
    """The claim for a part whose marks follow through. earlier: the parts before it; wanted: its key's identity."""
    return Finding("follow-through", CLAIM, _verdict(part, earlier, wanted), "key")


def _verdict(part: Part, earlier: Sequence[Part], wanted: Identity) -> Verdict:
    assert part.follow is not None
    unknowns = part.problem.unknowns
    try:
        found = identity.of_set(_values(part, earlier), len(unknowns))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{spelling.terminal(part.follow)}: {stuck}")
    if found == wanted:
        return _IS_KEY
    return Refuted(
        f"{spelling.terminal(part.follow)} is not {spelling.terminal(part.key)} for the earlier answers"
    )


def _values(part: Part, earlier: Sequence[Part]) -> frozenset[Solution]:
    """What the follow-through gives the part's unknowns where the earlier keys hold."""
    assert part.follow is not None
    spoken = meaning.looks(part.follow.shape).letters - set(part.problem.unknowns)
    settings: list[dict[str, Exact]] = [{}]
    for before in reversed(earlier):
        unknowns = before.problem.unknowns
        if not spoken & set(unknowns):
            continue
        spoken -= set(unknowns)
        keys = meaning.solutions(before.key, unknowns, (), before.problem.main_letter)
        settings = [{**dict(zip(unknowns, key, strict=True)), **each} for each in settings for key in keys]
    found: set[Solution] = set()
    for known in settings:
        for system in meaning.systems(part.follow, part.problem.main_letter, known):
            found |= system.solutions(part.problem.unknowns)
    return frozenset(found)
