"""What a pupil is told to type where boxes have become one typed answer."""

from __future__ import annotations

from itembank.writers.common_cartridge.spellings import no_solution
from itembank.writers.phrases import Phrases

__all__ = ["type_gaps", "type_none"]


def type_gaps(count: int, said: Phrases, *, has_semicolons: bool = False) -> str:
    """What is said of numbered gaps. count: of them; has_semicolons: numbers are set apart by these, not by commas.

    >>> from itembank.writers.phrases import phrases
    >>> type_gaps(1, phrases("en"))
    'Type the number that belongs in [1].'
    >>> type_gaps(3, phrases("es"))
    'Escribe los números que van en [1], [2] y [3], en este orden, separados por comas.'
    """
    if count == 1:
        return said("type-number")
    gaps = ", ".join(f"[{number}]" for number in range(1, count))
    return said(
        "type-numbers", gaps=gaps, last=f"[{count}]", marks=said("semicolons" if has_semicolons else "commas")
    )


def type_none(said: Phrases) -> str:
    """What is said where there may be no real solution."""
    return said("type-none", none=no_solution(said)[0])
