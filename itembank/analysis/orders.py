"""In which order questions and options were printed: one paper, or several versions of it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from itembank.analysis.columns import OF_A_SHEET, pupil_of, question_named, special_columns
from itembank.analysis.keys import Keys
from itembank.analysis.tables import Table, read_table
from itembank.errors import InputError

__all__ = ["NUMBERED", "Orders", "read_options", "read_orders"]

NUMBERED: Final = re.compile(r"question(?: ([A-Z]))?", re.IGNORECASE)
"""What the first cell of a line says that numbers the columns of a mark sheet."""
_LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Orders:
    """versions: letter -> places of questions as printed; "" is the only version of a paper.

    numbers: below each version, question -> its number there, as `3(b)`. options: below each version, question -> the
    letters of `items.json` in the order printed there. named: the pupils of a class
    list, `folded`, with the version of each, "" for none.
    """

    versions: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    options: Mapping[str, Mapping[int, tuple[str, ...]]] = field(default_factory=dict)
    numbers: Mapping[str, Mapping[int, str]] = field(default_factory=dict)
    named: Mapping[str, str] = field(default_factory=dict)

    def printed(self) -> dict[int, str]:
        """The number of each question in the paper, or in each version: `3(b)`, or `A 3(b), B 5(b)`."""
        told: dict[int, list[str]] = {}
        for version in sorted(self.numbers):
            for place, number in self.numbers[version].items():
                told.setdefault(place, []).append(f"{version} {number}".strip())
        return {place: ", ".join(numbers) for place, numbers in told.items()}

    def printed_options(self, keys: Keys) -> dict[int, dict[str, str]]:
        """For each question with options: name of the option -> where it stands, `3(b) C`, or `A 3(b) C, B 5(b) A`."""
        told: dict[int, dict[str, str]] = {}
        for place, question in enumerate(keys.questions):
            if question.kind not in ("choice", "choices"):
                continue
            names = tuple(each.name for each in question.offered)
            found: dict[str, list[str]] = {}
            for version in sorted(self.numbers):
                if (number := self.numbers[version].get(place)) is not None:
                    printed = self.options.get(version, {}).get(place, () if version else names)
                    for letter, name in zip(_LETTERS, printed, strict=False):
                        found.setdefault(name, []).append(f"{version} {number} {letter}".strip())
            told[place] = {name: ", ".join(where) for name, where in found.items()}
        return told

    def of_pupil(self, version: str, columns: tuple[int, ...]) -> tuple[int, ...] | None:
        """The order of a pupil's paper: of the version, of the only paper, or of columns where nothing is known.

        None where there are versions and the pupil's is not among them.
        """
        if not self.versions:
            return columns
        return self.versions.get(version, self.versions.get(""))

    def letters(self, version: str, place: int, own: Mapping[str, str]) -> Mapping[str, str] | None:
        """Letter as printed -> name of the option, for a question in a version.

        own: what letters stand for where there is one paper only; None where the version must be known and is not.
        """
        if not any(self.versions):
            return own
        if version not in self.versions:
            return None
        printed = self.options.get(version, {}).get(place)
        return dict(zip(_LETTERS, printed, strict=False)) if printed else own


def read_orders(path: str, data: bytes, keys: Keys) -> Orders:
    """The order of questions, from the lines `question` or `question A`, ... of a build's mark sheet.

    Raises InputError as `read_table` does.
    """
    table = read_table(path, data)
    columns = {
        column: place
        for column, cell in enumerate(table.head)
        if (place := question_named(cell.text, keys)) is not None
    }
    versions, labels = {}, {}
    for row in table.rows:
        named = NUMBERED.fullmatch(row[0].text)
        if named:
            texts = {place: row[column].text for column, place in columns.items() if column < len(row)}
            numbers = {place: _natural(text) for place, text in texts.items() if _natural(text)[0]}
            version = (named[1] or "").upper()
            versions[version] = tuple(sorted(numbers, key=numbers.__getitem__))
            labels[version] = {place: texts[place] for place in numbers}
    return Orders(versions, numbers=labels, named=_named(table))


def _named(table: Table) -> dict[str, str]:
    try:
        special = special_columns(table, [])
    except InputError:
        return {}
    lines = (
        row for row in table.rows if row[0].text not in OF_A_SHEET and not NUMBERED.fullmatch(row[0].text)
    )
    found = (pupil_of(table.path, row, special, {}, []) for row in lines)
    return {folded(name): version for name, version in found if name}


def folded(name: str) -> str:
    """A name as names are compared."""
    return " ".join(name.split()).casefold()


def read_options(path: str, data: bytes, keys: Keys, orders: Orders) -> Orders:
    """The same with the order of options in each version, from a build's `...-versions.csv`."""
    table = read_table(path, data)
    at = {cell.text: column for column, cell in enumerate(table.head)}
    options: dict[str, dict[int, tuple[str, ...]]] = {}
    if not {"item", "version", "question", "order"} <= at.keys():
        return orders
    for row in table.rows:
        cells = {name: row[column].text for name, column in at.items() if column < len(row)}
        label = re.sub(r"[^a-z]", "", cells.get("question", ""))
        place = question_named(cells.get("item", "") + label, keys)
        if place is not None and cells.get("order"):
            options.setdefault(cells["version"], {})[place] = tuple(cells["order"].split())
    return replace(orders, options=options)


def _natural(text: str) -> tuple[int, str]:
    """A question's number as it is ordered: `3(b)` after `3(a)`; (0, "") where there is none."""
    found = re.match(r"([1-9][0-9]{0,5})(.*)", text)
    return (int(found[1]), found[2]) if found else (0, "")
