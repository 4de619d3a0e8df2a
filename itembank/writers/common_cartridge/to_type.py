"""What a pupil is told to type where boxes have become one typed answer."""

from __future__ import annotations

from itembank.expressions import spelling
from itembank.items import EntryResponse
from itembank.writers.common_cartridge.spellings import no_solution
from itembank.writers.phrases import Phrases

__all__ = ["how_to_write", "type_gaps", "type_none"]


def how_to_write(entered: EntryResponse, said: Phrases) -> str:
    """In which form numbers are asked for: the item's own sentence speaks of boxes and ticks, which are not here."""
    forms = [blank.form for blank in entered.blanks]
    told = []
    if "brackets" in forms:
        told += [said("type-brackets"), said("write-brackets-order")]
        if any("k" in blank.boxes for blank in entered.blanks):
            told.append(said("write-brackets-factor"))
    if entered.points:
        told += [said("type-points")] if entered.blanks[0].slots > 1 else []
    elif any(blank.any_order and blank.slots > 1 for blank in entered.blanks):
        told.append(said("type-any-order"))
    if "surd" in forms:
        told.append(said("type-surd"))
    elif "fraction" in forms:
        told.append(said("write-fraction"))
    one_by_one = said.words.numbers_one_by_one(
        [(spelling.letter(blank.unknown), blank.form, blank.places) for blank in entered.blanks]
    )
    if one_by_one:
        return " ".join([*told, *one_by_one])
    if {"surd", "fraction"}.isdisjoint(forms) and "integer" in forms:
        told.append(said("write-integer" if len(forms) == 1 and not told else "write-integers"))
    for places in sorted({blank.places for blank in entered.blanks if blank.form == "decimal"}):
        told.append(said.words.counted("write-decimal", places))
    return " ".join(told)


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
