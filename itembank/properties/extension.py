"""What a property of an extension must supply: its words, a test for the search, and two provers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from itembank.errors import no_functions
from itembank.properties.catalogue import DEGENERATE_INPUTS, Takes
from itembank.verdicts import Verdict

__all__ = ["PropertyExtension"]


@dataclass(frozen=True, slots=True)
class PropertyExtension:
    """A property of numbers or polynomials that authors may name in conditions.

    name: as authors write it. takes: what it is asked about, see `properties.catalogue.Takes`; it says what the
    functions are given. meaning: one sentence that decides every input. claim: the wording after a subject.
    example: its use in the language. source: where the notion is defined.
    true_at: the names of those of `DEGENERATE_INPUTS[takes]` where it holds.
    test: quick and exact, for the search, on whole numbers: a, b, c, d for (a t^2 + b t + c)/d, or n, d for n/d.
    prove: by another road than the test, on the same whole numbers (of a polynomial also the letter); leaves a witness
    or a counterexample that a person can check.
    again: a third road, for full proofs: True or False of exact numbers (Fraction): the three coefficients, or n and d.
    """

    name: str
    takes: Takes
    meaning: str
    claim: str
    example: str
    source: str
    true_at: frozenset[str]
    test: Callable[..., bool]
    prove: Callable[..., Verdict]
    again: Callable[..., bool]

    def misshapen(self) -> str:
        """What is wrong with it that needs no trial, in words after its name; "" where nothing is."""
        if self.takes not in DEGENERATE_INPUTS:
            return f"takes `{self.takes}`: a property takes one of {', '.join(DEGENERATE_INPUTS)}"
        unknown = sorted(set(self.true_at) - DEGENERATE_INPUTS[self.takes].keys())
        if unknown:
            return f"is true at `{unknown[0]}`, which is none of DEGENERATE_INPUTS[{self.takes!r}]"
        return no_functions(test=self.test, prove=self.prove, again=self.again)
