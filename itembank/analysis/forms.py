"""Tables that hold pupils of several forms: only those who had the form of the build are marked by its key."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from itembank.analysis.blocks import counted
from itembank.analysis.columns import pupil_of, special_columns
from itembank.analysis.keys import Keys
from itembank.analysis.orders import Orders, folded
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, InputError, Level

__all__ = ["of_this_form", "with_versions"]

_LETTER: Final = re.compile(
    r"(?:form|testform|forma|modelo|version|versión|fassung|variante)?[\s.:]*([a-z])", re.IGNORECASE
)
_VERSION: Final = "version"


def with_versions(table: Table, orders: Orders) -> tuple[Table, list[Diagnostic]]:
    """The table with a column of the versions that the build's class list dealt out, where it has none of its own.

    Whoever the list does not name has none. Raises InputError `no-pupil-column`.
    """
    special = special_columns(table, [])
    if not any(orders.versions) or _VERSION in special or "form" in special:
        return table, []
    dealt = [
        orders.named.get(folded(pupil_of(table.path, row, special, {}, [])[0]), "") for row in table.rows
    ]
    if not any(dealt):
        return table, []
    width = len(table.head)
    head = (*table.head, table.head[-1]._replace(text=_VERSION))
    rows = tuple(
        (*row, *[row[-1]._replace(text="")] * (width - len(row)), row[0]._replace(text=version))
        for row, version in zip(table.rows, dealt, strict=True)
    )
    message = (
        "no column tells versions of the paper: they are taken from the class list of staff/mark-sheet.csv"
    )
    hint = "a column `version` tells who had another than that"
    doubt = wrong("versions-of-class-list", message, table.path, table.head[0], hint, Level.DOUBTFUL)
    return replace(table, head=head, rows=rows), [doubt]


def of_this_form(table: Table, keys: Keys, orders: Orders) -> tuple[Table, list[Diagnostic]]:
    """The table without the lines of pupils who had another form, and what is doubtful.

    A column `form` or `version` tells the letter of each. In a build with versions `form` means these. Where it holds
    no letters (form 7B is a class) it says nothing. Raises InputError `no-pupil-column`, and `other-form` where every
    line is of another form.
    """
    special = special_columns(table, [])
    column = special.get(_VERSION, special.get("form"))
    if column is None:
        return table, []
    head = table.head[column]
    letters = {row: _letter(row, column) for row in table.rows}
    told = sorted({letter for letter in letters.values() if letter})
    if any(orders.versions):
        if _VERSION not in special and told and orders.versions.keys() >= set(told):
            return replace(table, head=_renamed(table, column), rows=_with_letters(table, column)), []
        return table, []
    if not told or told == [keys.form]:
        return table, []
    if not keys.form or any(not _LETTER.fullmatch(letter) for letter in told):
        return table, _unknown(table, head, told) if len(told) > 1 else []
    others = ", ".join(letter for letter in told if letter != keys.form)
    rows = tuple(row for row in table.rows if letters[row] in ("", keys.form))
    if keys.form not in told:
        message = f"all lines are of form {others}, and this build is form {keys.form}"
        hint = "name the folder of the form that these pupils had"
        raise InputError(wrong("other-form", message, table.path, head, hint))
    number = len(table.rows) - len(rows)
    message = (
        f"{counted(number, 'line')} of form {others} {'are' if number > 1 else 'is'} left out: this build is form "
        f"{keys.form}"
    )
    hint = "give this file with the folder of each form in turn"
    return replace(table, rows=rows), [wrong("other-form", message, table.path, head, hint, Level.DOUBTFUL)]


def _letter(row: tuple[Cell, ...], column: int) -> str:
    """The letter of a form, another text as it stands, "" for nothing."""
    text = row[column].text if column < len(row) else ""
    found = _LETTER.fullmatch(text)
    return found[1].upper() if found else text


def _renamed(table: Table, column: int) -> tuple[Cell, ...]:
    return tuple(cell._replace(text=_VERSION) if at == column else cell for at, cell in enumerate(table.head))


def _with_letters(table: Table, column: int) -> tuple[tuple[Cell, ...], ...]:
    return tuple(
        tuple(
            cell._replace(text=_letter(row, column)) if at == column else cell for at, cell in enumerate(row)
        )
        for row in table.rows
    )


def _unknown(table: Table, head: Cell, told: list[str]) -> list[Diagnostic]:
    """That a column tells several forms, none of which is known here."""
    some = ", ".join(f"`{each[:20]}`" for each in told[:4]) + (" ..." if len(told) > 4 else "")
    message = f"the column `{head.text[:40]}` tells {some}, and all lines are taken for this build's"
    hint = "leave out who had another paper; letters of forms are A, B, ... as on the papers"
    return [wrong("forms-unknown", message, table.path, head, hint, Level.DOUBTFUL)]
