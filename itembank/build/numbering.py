"""Where questions and options stand in the papers, for whoever marks and for the analysis of results."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from itembank.build.class_list import Pupil
from itembank.build.staff import csv_line
from itembank.items import ChoiceResponse, ChoicesResponse, Item, Part
from itembank.spreadsheets import as_csv
from itembank.writers.order import LETTERS
from itembank.writers.paper import combined_rows, question_name

__all__ = ["name_pupils", "number_columns", "versions_csv"]


def versions_csv(items: Sequence[Item], every: Sequence[Sequence[Item]]) -> str:
    """Where each part stands in each version, its right option there, and which options its letters are.

    items: as in `items.json`; every: the items of each version. The column `order` has for the letters A, B, ... of the
    version the letters that `items.json` has for these options, "" where options do not move.
    """
    own = {(item.code, part.label): part for item in items for part in item.parts}
    printed = [
        {(item.code, part.label): part for item in version for part in item.parts} for version in every
    ]
    rows: list[tuple[object, ...]] = [("item", "version", "question", "option", "marks", "order")]
    code, labels = "", iter([""])
    for row in combined_rows(every):
        if row.key.code:
            code = row.key.code
            labels = iter([part.label for item in every[0] if item.code == code for part in item.parts])
        label = next(labels)
        for at, (letter, (question, option)) in enumerate(zip(LETTERS, row.places, strict=False)):
            order = _order(own[code, label], printed[at][code, label])
            rows.append((code, letter, question, option, row.key.marks, order))
    return as_csv(rows)


def _order(own: Part, printed: Part) -> str:
    if not isinstance(own.response, ChoiceResponse | ChoicesResponse):
        return ""
    if not isinstance(printed.response, ChoiceResponse | ChoicesResponse):
        return ""
    letters = {option._replace(identifier=""): option.identifier for option in own.response.options}
    return " ".join(letters[option._replace(identifier="")] for option in printed.response.options)


def number_columns(sheet: Path, every: Sequence[tuple[str, Sequence[Item]]]) -> None:
    """A mark sheet's columns in the order of the paper, of the first version where there are several, numbered.

    Below the maxima come lines with the number that each question has in the paper, or in each version.
    sheet: the CSV file, which is there. every: the letter of each version, "" for the only one, with its items.
    """
    printed = [
        (
            f"question {letter}".strip(),
            {
                f"{item.code}{part.label}": question_name(number, part)
                for number, item in enumerate(items, 1)
                for part in item.parts
            },
        )
        for letter, items in every
    ]
    with sheet.open(encoding="utf-8", newline="") as file:
        head, *told = csv.reader(file)
    place = {code: column for column, code in enumerate(head)}
    columns = [0, *(place[code] for code in printed[0][1]), len(head) - 1]
    lines = [[line[column] for column in columns] for line in (head, *told)]
    numbers = [[name, *(names[code] for code in lines[0][1:-1]), ""] for name, names in printed]
    sheet.write_text("".join(csv_line(tuple(line)) for line in (*lines, *numbers)), "utf-8", newline="")


def name_pupils(sheet: Path, pupils: Sequence[Pupil], *, with_versions: bool) -> None:
    """A line for each pupil of a class list at the end of a mark sheet; the cells of marks stay empty.

    with_versions: a second column says which version each pupil has, as the analysis of results needs it. Where a name
    is not in ASCII the file begins with a byte-order mark, by which spreadsheets know UTF-8.
    """
    with sheet.open(encoding="utf-8", newline="") as file:
        head, *told = csv.reader(file)
    lines = [*told, *([pupil.name] + [""] * (len(head) - 1) for pupil in pupils)]
    if with_versions:
        letters = [""] * len(told) + [pupil.version for pupil in pupils]
        head.insert(1, "version")
        lines = [[line[0], letter, *line[1:]] for line, letter in zip(lines, letters, strict=True)]
    text = "".join(csv_line(tuple(line)) for line in (head, *lines))
    sheet.write_text(text, "utf-8" if text.isascii() else "utf-8-sig", newline="\n")
