"""The weights of features, from the one file that holds them, and a bank's own in their place.

All numbers are whole thousandths of a logit. The file is read where no bank has its weights at hand already.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from itembank.difficulty.observed import NOTHING_OBSERVED, Observed
from itembank.errors import DomainError

__all__ = ["FEATURES", "FURTHEST", "USUAL_SOURCE", "Weight", "Weights", "usual_weights", "written_weights"]

FEATURES = (
    "start", "know", "reason", "steps", "options", "entered", "boxes", "several-right", "to-order", "to-match",
    "lines-to-check", "written", "long-stem", "size-in-problem", "size-in-key", "decimals", "minus-signs",
    "minus-in-key", "fraction-in-problem", "fraction-in-key", "roots-in-problem", "surd-in-key", "surd-simplified",
    "several-values", "no-real-solution", "unknowns", "letters", "powers", "leading-number", "brackets",
    "inequality",
)  # fmt: skip
"""Every feature, in the order in which contributions are told; the file has an entry for each."""

FURTHEST = 20_000
"""No weight is further from 0: twenty logits are certainty."""

USUAL_SOURCE = "the program's own weights, not calibrated"


@dataclass(frozen=True, slots=True)
class Weight:
    """What a feature adds each time it is counted, and how often it is counted at most."""

    name: str
    adds: int
    most: int


@dataclass(frozen=True, slots=True)
class Weights:
    """A weight for each feature, in the order of `FEATURES`.

    sizes: up to which numbers a size goes, ascending. words, cuts: what a difficulty is called, and up to which
    thousandths; one word more than cuts. source: where the weights come from, for people. observed: what sittings of
    the bank's items told.
    """

    features: tuple[Weight, ...]
    sizes: tuple[int, ...]
    words: tuple[str, ...]
    cuts: tuple[int, ...]
    source: str = USUAL_SOURCE
    observed: Observed = NOTHING_OBSERVED

    @property
    def told(self) -> str:
        """Where predictions come from, for people."""
        if not self.observed.source:
            return self.source
        return f"{self.source}, and by what sittings told of its items ({self.observed.source})"

    def word(self, thousandths: int) -> str:
        """What a difficulty is called, in the words of Learning Object Metadata.

        >>> usual_weights().word(-400), usual_weights().word(501)
        ('medium', 'difficult')
        """
        return self.words[bisect_left(self.cuts, thousandths)]

    def size(self, number: int) -> int:
        """The size of a whole number >= 0: how many of `sizes` it is above.

        >>> usual_weights().size(12), usual_weights().size(13)
        (0, 1)
        """
        return bisect_left(self.sizes, number)

    def replaced(self, own: Mapping[str, int], source: str = "", cuts: tuple[int, ...] = ()) -> Weights:
        """These weights with a bank's own in their place, and its cuts where it has some.

        Raises DomainError for a feature that is none, and for cuts that do not ascend.
        """
        for name in own:
            if name not in FEATURES:
                raise DomainError(f"there is no feature {name!r}")
        if cuts and (len(cuts) != len(self.cuts) or list(cuts) != sorted(set(cuts))):
            raise DomainError(f"{len(self.cuts)} ascending numbers are needed")
        features = tuple(replace(each, adds=own.get(each.name, each.adds)) for each in self.features)
        return replace(
            self, features=features, cuts=cuts or self.cuts, source=source or "the bank's own weights"
        )


@cache
def usual_weights() -> Weights:
    """The weights of the file."""
    return _read(written_weights())


def written_weights() -> dict[str, Any]:
    """The file as it is written, with the reason and the source of each weight."""
    import tomllib
    from importlib.resources import files

    text = (files("itembank.difficulty") / "weights.toml").read_text("utf-8")
    return tomllib.loads(text)


def _read(written: dict[str, Any]) -> Weights:
    table = written["feature"]
    features = tuple(Weight(name, table[name]["adds"], table[name]["most"]) for name in FEATURES)
    words = written["words"]
    return Weights(features, tuple(written["sizes"]["up_to"]), tuple(words["says"]), tuple(words["up_to"]))
