"""What judges would accept, from a table: a line for each judge with two marks and two shares of pupils who fail."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from itembank.analysis.mark_sheet import marked
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, InputError
from itembank.standard_setting.hofstee import Acceptable

__all__ = ["ACCEPTED", "read_accepted"]

_CUTS: Final = ("least mark", "most mark")
_FAILS: Final = ("least fail", "most fail")
ACCEPTED: Final = (*_CUTS, *_FAILS)
"""The heads of its columns besides `judge`."""


def read_accepted(table: Table, maximum: int) -> list[Acceptable]:
    """What each judge would accept. maximum: of the test.

    A line with nothing but a judge's name tells nothing. Marks may be a share of the maximum, with %; shares who fail
    are per cent, with the sign or without.
    Raises InputError with all that is wrong:
    `no-judge`, `no-such-limit`, `not-a-limit`, `limits-crossed`, `nothing-accepted`.
    """
    heads = [" ".join(cell.text.casefold().split()) for cell in table.head]
    if lacking := [name for name in ACCEPTED if name not in heads]:
        message = f"there is no column `{lacking[0]}`"
        hint = f"the columns are judge, {', '.join(ACCEPTED)}: marks to pass with, and per cent who fail"
        raise InputError(wrong("no-such-limit", message, table.path, table.head[0], hint))
    at = {name: heads.index(name) for name in ("judge", *ACCEPTED) if name in heads}
    found: list[Diagnostic] = []
    told = []
    for number, row in enumerate(table.rows, 1):
        name = row[at["judge"]].text if "judge" in at else str(number)
        if not name:
            found.append(wrong("no-judge", "the line names no judge", table.path, row[0], "any name will do"))
            continue
        cells = [
            row[at[each]] if at[each] < len(row) else Cell("", row[-1].line, row[-1].column)
            for each in ACCEPTED
        ]
        if name and not any(cell.text for cell in cells):
            continue
        limits = [
            _limit(table.path, cell, maximum if at_ < 2 else 1, found) for at_, cell in enumerate(cells)
        ]
        least_cut, most_cut, least_fail, most_fail = limits
        if least_cut is None or most_cut is None or least_fail is None or most_fail is None:
            continue
        for least, most, cell in ((least_cut, most_cut, cells[1]), (least_fail, most_fail, cells[3])):
            if least > most:
                message = "the least that is acceptable is more than the most"
                found.append(wrong("limits-crossed", message, table.path, cell, "exchange the two"))
        told.append(Acceptable(name, least_cut, most_cut, least_fail, most_fail))
    if found:
        raise InputError(found)
    if not told:
        hint = "a line for each judge, with two marks and two shares of pupils who fail"
        message = "no line tells what a judge accepts"
        raise InputError(wrong("nothing-accepted", message, table.path, table.head[0], hint))
    return told


def _limit(path: str, cell: Cell, maximum: int, found: list[Diagnostic]) -> Fraction | None:
    """Marks, or for a maximum of 1 a share."""
    is_share = maximum == 1
    value = marked(cell.text.removesuffix("%").rstrip())
    if value is not None and (is_share or cell.text.endswith("%")):
        value = value * maximum / 100
    if value is None or value > maximum:
        message = f"`{cell.text[:20]}` is no " + ("share of pupils" if is_share else "mark of this test")
        hint = "0 to 100 per cent" if is_share else f"0 to {maximum}, or per cent of these with the sign %"
        found.append(wrong("not-a-limit", message, path, cell, hint))
        return None
    return value
