"""A table that tells the group of each pupil: a class list, or the mark sheet itself with a column `group`."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from itembank.analysis.columns import GROUPS, special_columns
from itembank.analysis.group_differences import Groups
from itembank.analysis.pupil_lines import pupil_lines
from itembank.analysis.response_files import read_whole_table
from itembank.analysis.responses import Results
from itembank.analysis.tables import Table, wrong
from itembank.errors import Diagnostic, InputError, Level

__all__ = ["groups_of", "read_groups"]

MOST_GROUPS = 40


def read_groups(path: Path, results: Results) -> tuple[Groups, list[Diagnostic]]:
    """The groups of the pupils of some results, and what is doubtful.

    Raises InputError as tables of results do, and as `groups_of`.
    """
    names = [" ".join(sitting.pupil.split()).casefold() for sitting in results.sittings]
    return groups_of(read_whole_table(path, telling=GROUPS), names)


def groups_of(table: Table, pupils: Collection[str]) -> tuple[Groups, list[Diagnostic]]:
    """Pupil -> group, and what is doubtful. pupils: those with results, in small letters.

    Raises InputError `no-pupil-column`, `no-group-column`, `no-pupil`, `same-pupil-twice`, `too-many-groups`, and
    `no-pupil-grouped` where nobody with results has a group.
    """
    found: list[Diagnostic] = []
    special = special_columns(table, found)
    if "group" not in special:
        message = "no column tells the group of pupils"
        hint = "call one column of the table `group` (or `class`): what stands there is the group"
        raise InputError(wrong("no-group-column", message, table.path, table.head[0], hint))
    column = special["group"]
    groups: dict[str, str] = {}
    for name, cell in pupil_lines(table, special, column, found):
        if cell is not None:
            groups.setdefault(name, " ".join(cell.text.split()))
    if found:
        raise InputError(found)
    if len(set(groups.values())) > MOST_GROUPS:
        message = f"there are more than {MOST_GROUPS} groups"
        hint = "look whether the column is the right one; a group is what many pupils have in common"
        raise InputError(wrong("too-many-groups", message, table.path, table.head[column], hint))
    without = [name for name in pupils if name not in groups]
    if len(without) == len(pupils):
        message = "nobody with results has a group in this table"
        hint = "write names in it as the results have them"
        raise InputError(wrong("no-pupil-grouped", message, table.path, table.head[column], hint))
    doubts = []
    if without:
        message = f"{len(without)} of {len(pupils)} pupils with results have no group here, and are in no comparison"
        hint = "write their names as the results have them, and a group"
        doubts.append(wrong("no-group", message, table.path, table.head[column], hint, Level.DOUBTFUL))
    return {name: groups[name] for name in pupils if name in groups}, doubts
