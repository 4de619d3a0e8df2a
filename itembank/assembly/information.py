"""What an item tells of a pupil's ability, by the Rasch model, from its difficulty as predicted or calibrated."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from functools import lru_cache

__all__ = ["information"]

_DIGITS = 40


@lru_cache(maxsize=65_536)
def information(difficulty: int, ability: int) -> int:
    """The information of one item of a difficulty at an ability, in millionths; both are in thousandths of a logit.

    I = P (1 - P), with P = 1 / (1 + exp(b - theta)) the chance of a right answer: at most 1/4, where both are equal. An
    item of several marks counts as one that is right or wrong. Sources: G. Rasch, Probabilistic Models for Some
    Intelligence and Attainment Tests (1960), for P; F. M. Lord, Applications of Item Response Theory to Practical
    Testing Problems (1980), ch. 5, for I (both from memory). Worked out with 40 decimal digits and rounded once, half
    to even, so that it is the same everywhere.

    >>> information(0, 0), information(-1600, 0), information(1500, 0)
    (250000, 139764, 149146)
    """
    with localcontext() as context:
        context.prec = _DIGITS
        grown = Decimal(ability - difficulty).scaleb(-3).exp()
        share = grown / (1 + grown) ** 2
        return int(share.scaleb(6).quantize(Decimal(1), ROUND_HALF_EVEN))
