"""Teachers' judgements from a table: a line for each pupil, who is below, at the border, or above."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final

from itembank.analysis.columns import special_columns
from itembank.analysis.pupil_lines import pupil_lines
from itembank.analysis.tables import Table, wrong
from itembank.errors import Diagnostic, InputError, Level
from itembank.standard_setting.by_pupils import Judgement

__all__ = ["read_judged"]

_WORDS: Final = {
    "below": Judgement.BELOW, "fail": Judgement.BELOW, "no": Judgement.BELOW,
    "borderline": Judgement.BORDERLINE, "border": Judgement.BORDERLINE, "just": Judgement.BORDERLINE,
    "above": Judgement.ABOVE, "pass": Judgement.ABOVE, "yes": Judgement.ABOVE,
}  # fmt: skip


def read_judged(table: Table, pupils: Collection[str]) -> tuple[Mapping[str, Judgement], list[Diagnostic]]:
    """Pupil with results -> judgement, and what is doubtful.

    pupils: those with results, in small letters.
    An empty cell is no judgement. Raises InputError with all that is wrong: `no-judgement-column`, `no-pupil-column`,
    `no-pupil`, `same-pupil-twice`, `not-a-judgement`, and `nobody-judged` where nobody with results has one.
    """
    found: list[Diagnostic] = []
    special = special_columns(table, found)
    if "judgement" not in special:
        message = "no column tells how pupils are judged"
        hint = (
            "call one column `judgement`; in it stands below, borderline or above. If these are judges' ratings, call "
            "the column with judges `judge`, or that with items `item`"
        )
        raise InputError(wrong("no-judgement-column", message, table.path, table.head[0], hint))
    column = special["judgement"]
    judged: dict[str, Judgement] = {}
    for name, cell in pupil_lines(table, special, column, found):
        if cell is None:
            continue
        judgement = _WORDS.get(cell.text.casefold())
        if judgement is None:
            message = f"`{cell.text[:20]}` is no judgement"
            hint = "below, borderline or above; nothing for a pupil whom nobody judges"
            found.append(wrong("not-a-judgement", message, table.path, cell, hint))
        else:
            judged[name] = judgement
    if found:
        raise InputError(found)
    known = {name: judged[name] for name in pupils if name in judged}
    if not known:
        message = "nobody with results is judged in this table"
        hint = "write names in it as the results have them, and below, borderline or above beside each"
        raise InputError(wrong("nobody-judged", message, table.path, table.head[column], hint))
    if others := len(judged) - len(known):
        message = f"{others} of {len(judged)} pupils who are judged have no results"
        hint = "write their names as the results have them; who was absent may stay"
        found.append(
            wrong("judged-without-results", message, table.path, table.head[column], hint, Level.DOUBTFUL)
        )
    return known, found
