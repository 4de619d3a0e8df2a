"""In which order questions and options were printed: one paper, or several versions of it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from itembank.analysis.columns import question_named
from itembank.analysis.keys import Keys
from itembank.analysis.tables import read_table

__all__ = ["Orders", "read_orders"]


@dataclass(frozen=True, slots=True)
class Orders:
    """versions: letter -> places of questions as printed; "" is the only version of a paper.

    options: below each version, question -> the letters of `items.json` in the order printed there.
    """

    versions: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    options: Mapping[str, Mapping[int, tuple[str, ...]]] = field(default_factory=dict)

    def of_version(self, version: str) -> tuple[int, ...]:
        """Places of questions in a version; () where nothing is known of it."""
        return self.versions.get(version, ())

    def of_columns(self, columns: Mapping[int, int]) -> tuple[int, ...]:
        """The order of the only paper where it is known, else that of the columns of a table."""
        return self.versions.get("") or tuple(columns[column] for column in sorted(columns))

    def letters(self, version: str, place: int, own: Mapping[str, str]) -> Mapping[str, str] | None:
        """Letter as printed -> name of the option, for a question in a version.

        own: what letters stand for where there is one paper only; None where the version must be known and is not.
        """
        if not any(self.versions):
            return own
        if version not in self.versions:
            return None
        printed = self.options.get(version, {}).get(place)
        return dict(zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", printed, strict=False)) if printed else own


def read_orders(path: str, data: bytes, keys: Keys) -> Orders:
    """What `staff/...-versions.csv` of a build says. Raises InputError as `read_table` does."""
    table = read_table(path, data)
    at = {cell.text: column for column, cell in enumerate(table.head)}
    sequences: dict[str, list[tuple[int, str, int]]] = {}
    options: dict[str, dict[int, tuple[str, ...]]] = {}
    for row in table.rows:
        number = re.match(r"([0-9]+)(.*)", row[at["question"]].text)
        if number is None:
            continue
        label = number[2].strip(" .()")
        version = row[at["version"]].text
        place = question_named(row[at["item"]].text + label, keys)
        if place is None:
            place = question_named(row[at["item"]].text, keys)
        if place is None:
            continue
        sequences.setdefault(version, []).append((int(number[1]), label, place))
        letters = row[at["order"]].text if "order" in at else ""
        if letters:
            options.setdefault(version, {})[place] = tuple(letters.split())
    return Orders(
        {version: tuple(place for _, _, place in sorted(found)) for version, found in sequences.items()},
        options,
    )
