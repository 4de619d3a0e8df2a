"""Sign tables: every sign worked out anew from what is written in its row, and what is drawn against what is said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

from lxml import etree

from itembank.audit import conditions, real_sets
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Numeral, Relation
from itembank.audit.letters import LOWERED
from itembank.audit.numbers import Number, sign
from itembank.audit.picture_labels import RAISED
from itembank.audit.picture_lines import SVG, strokes
from itembank.audit.picture_meaning import Row, Table, table_told

__all__ = ["table_faults"]

_PLAIN: Final = {**RAISED, **str.maketrans(LOWERED, "0123456789")}
_SIGNS: Final = {-1: "−", 0: "0", 1: "+"}


def table_faults(root: etree._Element, words: str, language: str) -> Iterator[str]:
    """What disagrees, in plain words. Raises ValueError where a number cannot be read."""
    try:
        table = table_told(words, language)
        wrong = [row for row in table.rows if not _is_right(row, table)]
    except CannotTell:
        yield "its words cannot be read"
        return
    if any(sign(after - before) <= 0 for before, after in zip(table.zeros, table.zeros[1:], strict=False)):
        yield "the numbers above its columns do not ascend"
    if wrong:
        yield "its words tell a sign that the expression has not there"
    cells = _cells(root)
    if len(cells) != len(table.rows) + 1 or any(len(row) != 2 * len(table.zeros) + 2 for row in cells):
        yield "its rows and columns are not those that its words tell of"
        return
    for row, (name, *drawn) in zip(table.rows, cells[1:], strict=True):
        if _signs_of_writing(name) != _signs_of_writing(row.text):
            yield "an expression before its rows is not the one that its words tell"
            return
        if drawn != [_SIGNS[each] for each in row.signs]:
            yield "its signs are not those that its words tell"
            return
    if any(not _shows(text, zero) for text, zero in zip(cells[0][2::2], table.zeros, strict=True)):
        yield "the numbers above its columns are not those that its words tell"


def _is_right(row: Row, table: Table) -> bool:
    """Whether an expression has the signs that are told of it. Raises CannotTell."""
    for relation, order in ((">", 1), ("<", -1)):
        told = [each == order for each in row.signs]
        asked = conditions.condition(Relation(row.node, relation, Numeral("0")))
        if real_sets.solve(asked, table.letter) != real_sets.tidy(table.zeros, told[1::2], told[::2]):
            return False
    return True


def _cells(root: etree._Element) -> list[list[str]]:
    """What is written in each cell, row by row, from left to right."""
    lines = strokes(root)
    across = sorted({line.x for line in lines if line.x == line.to_x})
    if len(across) < 2:
        return []
    reach = across[0], across[-1]
    down = sorted({line.y for line in lines if line.y == line.to_y and (line.x, line.to_x) == reach})
    cells: list[list[list[tuple[Fraction, str]]]] = [[[] for _ in across[1:]] for _ in down[1:]]
    for text in root.iter(f"{SVG}text"):
        x, y = Fraction(text.get("x", "")), Fraction(text.get("y", ""))
        row, column = _between(down, y), _between(across, x)
        if row is not None and column is not None:
            cells[row][column].append((x, text.text or ""))
    return [["".join(each for _, each in sorted(cell)) for cell in row] for row in cells]


def _between(ends: Sequence[Fraction], value: Fraction) -> int | None:
    return next((at for at in range(len(ends) - 1) if ends[at] < value < ends[at + 1]), None)


def _signs_of_writing(text: str) -> list[str]:
    """Digits, letters and signs in any order: powers, indices, roots and fractions are drawn in places of their own."""
    return sorted(each for each in text.translate(_PLAIN) if each.isalnum() or each in "+−")


def _shows(text: str, number: Number) -> bool:
    """Whether the digits of a rational number are those that are written, a fraction's one above the other."""
    if not isinstance(number, int | Fraction):
        return True
    digits = str(abs(number.numerator)) + (str(number.denominator) if number.denominator > 1 else "")
    return sorted(digits) == sorted(text.replace("−", "")) and ("−" in text) == (number < 0)
