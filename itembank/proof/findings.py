"""What the prover says of an item: one finding for each claim, with its verdict and what it is about."""

from __future__ import annotations

from typing import Final, NamedTuple

from itembank.verdicts import Proved, Verdict

SHOWN_AS_ENTERED: Final = "a wrong entry is shown as its boxes hold it, rounded from what the slip leads to"

SOLVED_FOR_SUBJECT: Final = "the key is the problem solved for its subject"


class Finding(NamedTuple):
    """A claim about part `part` of an item and its verdict.

    code: kebab-case, what kind of claim. subject: what it is about, so that an author's line can be found:
    `problem`, `key`, `response`, `claim`, `slip`, `line` or `option`, with `place` counting from 0 (-1: the whole).
    claim: in words, as it should be.
    """

    code: str
    claim: str
    verdict: Verdict
    subject: str
    place: int = -1
    part: int = 0

    @property
    def holds(self) -> bool:
        """Whether it is proved."""
        return isinstance(self.verdict, Proved)
