"""What a table holds of another build: its items by their codes, and pupils who sat that one and not this.

A code carries a check character, so a well-formed one that is not of this build is an item of another and no slip of
the pen.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from typing import Final

from itembank.analysis.blocks import counted
from itembank.analysis.chosen import is_long
from itembank.analysis.columns import (
    is_summary,
    label_of,
    pupil_of,
    question_named,
    question_numbered,
    special_columns,
)
from itembank.analysis.keys import Keys
from itembank.analysis.line_names import names_maxima
from itembank.analysis.mark_columns import ANSWERS
from itembank.analysis.mark_sheet import DASHES
from itembank.analysis.orders import NUMBERED
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, Level
from itembank.item_code_shape import LENGTH, is_code

__all__ = ["code_of_another", "items_of_others", "of_this_build", "sat_another", "who_sat_another"]

_CODE: Final = re.compile(rf"[A-Za-z0-9]{{{LENGTH + 1}}}(?=[a-z]?(?![A-Za-z0-9]))")
_NOTHING: Final = ("", *DASHES)


def code_of_another(text: str, keys: Keys) -> str:
    """The code of an item in a text that names no question of this build; "" for none."""
    if question_named(text, keys) is not None:
        return ""
    return next((code for code in map(str.upper, _CODE.findall(text)) if is_code(code)), "")


def who_sat_another(
    answered: Mapping[str, Collection[int]], of_others: Collection[str], questions: int
) -> frozenset[str]:
    """The pupils who sat another build and not this one, of those who answered items of others.

    answered: for each pupil the questions of this build with an answer. Forms may have items in common, so these do
    not tell; but if whoever answered items of others left the same half of this build's questions empty, or more, they
    were not given them. Where somebody answered most of both, two tests stand in one table, and where nobody
    answered this build's alone, more was asked beside it: nobody is told.
    """
    if all(pupil in of_others for pupil, places in answered.items() if places):
        return frozenset()
    common: set[int] = set()
    for pupil in of_others:
        common.update(answered.get(pupil, ()))
    return frozenset(of_others) if 2 * len(common) <= questions else frozenset()


def items_of_others(path: str, codes: Iterable[str], cell: Cell | None) -> Diagnostic:
    """That there are items that are not of this build, which are left alone."""
    told = list(dict.fromkeys(codes))
    some = ", ".join(told[:3]) + (" ..." if len(told) > 3 else "")
    message = f"what is told of {counted(len(told), 'item')} of another build is left alone: {some}"
    hint = "give it with the folder of that build, if there is one"
    return wrong("item-of-another-build", message, path, cell, hint, Level.DOUBTFUL)


def of_this_build(table: Table, keys: Keys) -> tuple[Table, list[Diagnostic]]:
    """The table without items of another build and without pupils who sat that one alone, and what is doubtful.

    It stays as it is where nothing in it is of this build. Raises InputError `no-pupil-column`.
    """
    return _lines_of_this_build(table, keys) if is_long(table) else _columns_of_this_build(table, keys)


def _columns_of_this_build(table: Table, keys: Keys) -> tuple[Table, list[Diagnostic]]:
    special = special_columns(table, [])
    own: dict[int, int] = {}
    others: dict[int, str] = {}
    for column, cell in enumerate(table.head):
        place = question_named(cell.text, keys)
        if place is not None:
            own[column] = place
        elif column not in special.values() and (code := code_of_another(cell.text, keys)):
            others[column] = code
    if not own or not others:
        return table, []
    head = tuple(cell._replace(text="") if at in others else cell for at, cell in enumerate(table.head))
    doubts = [items_of_others(table.path, others.values(), table.head[min(others)])]
    answered: dict[str, set[int]] = {}
    of_others: set[str] = set()
    for number, row in enumerate(table.rows):
        if _is_of_a_pupil(table.path, row, special):
            filled = {at for at, cell in enumerate(row) if cell.text.casefold() not in _NOTHING}
            answered[str(number)] = {own[at] for at in own.keys() & filled}
            if others.keys() & filled:
                of_others.add(str(number))
    gone = who_sat_another(answered, of_others, len(set(own.values())))
    rows = tuple(row for number, row in enumerate(table.rows) if str(number) not in gone)
    if gone:
        doubts.append(sat_another(table.path, len(gone), table.head[0]))
    return replace(table, head=head, rows=rows), doubts


def _is_of_a_pupil(path: str, row: tuple[Cell, ...], special: dict[str, int]) -> bool:
    label = label_of(row, special)
    is_of_a_sheet = label in ANSWERS or names_maxima(label) or NUMBERED.fullmatch(label)
    return not is_of_a_sheet and not is_summary(path, row, special, [])


def _lines_of_this_build(table: Table, keys: Keys) -> tuple[Table, list[Diagnostic]]:
    special = special_columns(table, [])
    item, answer = special["item"], special.get("answer", special.get("mark", 0))
    others: dict[int, str] = {}
    answered: dict[str, set[int]] = {}
    of_others = set()
    names = []
    for number, row in enumerate(table.rows):
        names.append(pupil_of(table.path, row, special, {}, [])[0].casefold())
        text = row[item].text if item < len(row) else ""
        place = question_named(text, keys)
        if place is None:
            place = question_numbered(text, keys)
        if place is None and (code := code_of_another(text, keys)):
            others[number] = code
            of_others.add(names[-1])
        elif answer < len(row) and row[answer].text.casefold() not in _NOTHING and place is not None:
            answered.setdefault(names[-1], set()).add(place)
    if not others or not answered:
        return table, []
    first = table.rows[min(others)][item]
    doubts = [items_of_others(table.path, others.values(), first)]
    gone = who_sat_another(answered, of_others, len(keys.questions))
    rows = tuple(
        row for number, row in enumerate(table.rows) if number not in others and names[number] not in gone
    )
    if gone:
        doubts.append(sat_another(table.path, len(gone), table.head[0]))
    return replace(table, rows=rows), doubts


def sat_another(path: str, number: int, cell: Cell | None) -> Diagnostic:
    """That some pupils had another form."""
    message = (
        f"{counted(number, 'pupil')} answered items of another build and few or none of this one: they are taken for "
        "pupils of another form and left out"
    )
    hint = "give their results with the folder of their form"
    return wrong("other-form", message, path, cell, hint, Level.DOUBTFUL)
