"""The three answers a proof can give. "Cannot tell" is never "true": only Proved leaves the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Proved:
    """The claim holds; `witness` is something a person can check by hand."""

    witness: str


@dataclass(frozen=True, slots=True)
class Refuted:
    """The claim fails; `counterexample` shows where."""

    counterexample: str


@dataclass(frozen=True, slots=True)
class Undecided:
    """No decision; `reason` says what stood in the way."""

    reason: str


Verdict: TypeAlias = Proved | Refuted | Undecided
