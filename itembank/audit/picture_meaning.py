"""What the words in place of a picture say, as mathematics: the numbers of a number line, the signs of a table."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Final, TypeAlias

from itembank.audit.findings import CannotTell
from itembank.audit.formula import Node
from itembank.audit.letters import letter_in_words
from itembank.audit.numbers import Number, sign
from itembank.audit.plain_text import read_number, read_text
from itembank.audit.real_sets import RealSet, tidy

__all__ = [
    "Piece",
    "Row",
    "Table",
    "is_curve",
    "is_line",
    "is_table",
    "numbers_marked",
    "pieces_told",
    "table_told",
]

_TOLD: Final = {
    "en": {
        "line": "Number line for {letter}: {rest}.", "none": "no number is marked", "and": "; and ",
        "point": "the point {low}", "all": "all numbers", "up-to": "all numbers up to {high}",
        "from": "all numbers from {low} on", "between": "all numbers from {low} to {high}",
        "closed": " (full dot, it belongs to them)", "open": " (ring, it does not belong to them)",
        "table": "Sign table for {letter}: {rest}.", "row": "{text} is {rest}",
        "negative": "negative ", "zero": "zero ", "positive": "positive ",
        "everywhere": "everywhere", "below": "below {low}", "at": "at {low}", "inside": "between {low} and {high}",
        "above": "above {low}", "curve": "A parabola that {rest}",
    },
    "es": {
        "line": "Recta numérica para {letter}: {rest}.", "none": "no hay ningún número marcado", "and": "; y ",
        "point": "el punto {low}", "all": "todos los números", "up-to": "todos los números hasta {high}",
        "from": "todos los números desde {low} en adelante",
        "between": "todos los números desde {low} hasta {high}",
        "closed": " (punto lleno, es uno de ellos)", "open": " (punto vacío, no es uno de ellos)",
        "table": "Tabla de signos para {letter}: {rest}.", "row": "{text} es {rest}",
        "negative": "negativo ", "zero": "cero ", "positive": "positivo ",
        "everywhere": "en todas partes", "below": "por debajo de {low}", "at": "en {low}",
        "inside": "entre {low} y {high}", "above": "por encima de {low}", "curve": "Una parábola que {rest}",
    },
    "de": {
        "line": "Zahlengerade für {letter}: {rest}.", "none": "keine Zahl ist markiert", "and": "; und ",
        "point": "der Punkt {low}", "all": "alle Zahlen", "up-to": "alle Zahlen bis {high}",
        "from": "alle Zahlen ab {low}", "between": "alle Zahlen von {low} bis {high}",
        "closed": " (voller Punkt, gehört dazu)", "open": " (leerer Kreis, gehört nicht dazu)",
        "table": "Vorzeichentabelle für {letter}: {rest}.", "row": "{text} ist {rest}",
        "negative": "negativ ", "zero": "null ", "positive": "positiv ",
        "everywhere": "überall", "below": "unterhalb von {low}", "at": "bei {low}",
        "inside": "zwischen {low} und {high}", "above": "oberhalb von {low}", "curve": "Die Parabel ist {rest}",
    },
}  # fmt: skip
"""What is said of pictures, by language, as the audit knows it: its own table."""
_PLACE: Final = re.compile(r"\\{([a-z]+)\\}")
_FULL, _RING = "●", "○"
"""Marks put in the place of what is said of an end, so that no words stand between the numbers of a piece."""
_WHERE: Final = ("everywhere", "below", "at", "inside", "above")
_SIGNS: Final = {"negative": -1, "zero": 0, "positive": 1}


@cache
def _pattern(language: str, key: str) -> re.Pattern[str]:
    """The words of a key, a group for each of its places."""
    return re.compile(_PLACE.sub(r"(?P<\1>.+)", re.escape(_TOLD[language][key])) + r"\Z")


def is_line(words: str, language: str) -> bool:
    """Whether the words are of a number line."""
    return _pattern(language, "line").match(words) is not None


def is_table(words: str, language: str) -> bool:
    """Whether the words are of a sign table."""
    return _pattern(language, "table").match(words) is not None


def is_curve(words: str, language: str) -> bool:
    """Whether the words are of a parabola."""
    return _pattern(language, "curve").match(words) is not None


@dataclass(frozen=True, slots=True)
class Piece:
    """Numbers between two ends, None where it goes on for ever, and whether each end is one of them."""

    low: Number | None
    low_in: bool
    high: Number | None
    high_in: bool


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table: what is written, as text and as it is read, and its sign in each column."""

    text: str
    node: Node
    signs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """zeros: what stands above the columns; before, between and after them are intervals."""

    letter: str
    zeros: tuple[Number, ...]
    rows: tuple[Row, ...]


def pieces_told(words: str, language: str) -> tuple[str, tuple[Piece, ...]]:
    """The letter of a number line and what is marked, ascending. Raises CannotTell."""
    found, said = _pattern(language, "line").match(words), _TOLD[language]
    if found is None:
        raise CannotTell("the words of a number line cannot be read")
    if found["rest"] == said["none"]:
        return letter_in_words(found["letter"]), ()
    rest = found["rest"].replace(said["closed"], _FULL).replace(said["open"], _RING)
    pieces = tuple(_piece(each, language) for each in rest.split(said["and"]))
    ends = [end for piece in pieces for end in (piece.low, piece.high)]
    bounded = [end for end in ends if end is not None]
    if None in ends[1:-1] or any(sign(after - before) < 0 for before, after in pairwise(bounded)):
        raise CannotTell("the pieces of a number line do not ascend")
    return letter_in_words(found["letter"]), pieces


def _piece(text: str, language: str) -> Piece:
    for key in ("point", "between", "from", "up-to", "all"):
        found = _pattern(language, key).match(text)
        told = {} if found is None else found.groupdict()
        if key == "point" and told:
            at = read_number(told["low"])
            return Piece(at, True, at, True)
        ends = [_end(told.get(name)) for name in ("low", "high")]
        if found is not None and None not in ends:
            (low, low_in), (high, high_in) = (end or (None, False) for end in ends)
            return Piece(low, low_in, high, high_in)
    raise CannotTell("the words of a number line cannot be read")


def _end(text: str | None) -> tuple[Number | None, bool] | None:
    """The number and whether it belongs to the piece; None where the text says more or less."""
    if text is None:
        return None, False
    return (read_number(text[:-1]), text[-1] == _FULL) if text[-1:] in {_FULL, _RING} else None


def numbers_marked(pieces: tuple[Piece, ...]) -> RealSet:
    """The numbers of all pieces together."""
    corners: list[Number] = []
    at: list[bool] = []
    between = [bool(pieces) and pieces[0].low is None]
    for piece in pieces:
        for end, is_in, inside_after in (
            (piece.low, piece.low_in, piece.low != piece.high), (piece.high, piece.high_in, False)
        ):  # fmt: skip
            if end is None:
                continue
            if corners and corners[-1] == end:
                at[-1], between[-1] = at[-1] or is_in, inside_after
            else:
                corners.append(end)
                at.append(is_in)
                between.append(inside_after)
    return tidy(corners, at, between)


def table_told(words: str, language: str) -> Table:
    """What a sign table says. Raises CannotTell."""
    found = _pattern(language, "table").match(words)
    if found is None:
        raise CannotTell("the words of a sign table cannot be read")
    told = [_row(each, found["letter"], language) for each in found["rest"].split("; ")]
    zeros: tuple[Number, ...] = tuple(ends[0] for _, where, ends in told[0][2] if where == "at")
    columns = _columns(zeros)
    if any([(where, ends) for _, where, ends in row] != columns for _, _, row in told):
        raise CannotTell("the columns of a sign table cannot be told apart")
    return Table(
        letter_in_words(found["letter"]),
        zeros,
        tuple(Row(text, node, tuple(each for each, _, _ in row)) for text, node, row in told),
    )


_Column: TypeAlias = tuple[int, str, tuple[Number, ...]]


def _row(text: str, letter: str, language: str) -> tuple[str, Node, list[_Column]]:
    found = _pattern(language, "row").match(text)
    if found is None:
        raise CannotTell("the words of a sign table cannot be read")
    columns = [_column(each, language) for each in found["rest"].split(", ")]
    return found["text"], read_text(found["text"], letter), columns


def _column(text: str, language: str) -> _Column:
    for name, order in _SIGNS.items():
        said = _TOLD[language][name]
        if not text.startswith(said):
            continue
        for where in _WHERE:
            found = _pattern(language, where).match(text.removeprefix(said))
            if found is not None:
                ends = [
                    each for each in (found.groupdict().get("low"), found.groupdict().get("high")) if each
                ]
                return order, where, tuple(map(read_number, ends))
    raise CannotTell("the words of a sign table cannot be read")


def _columns(zeros: tuple[Number, ...]) -> list[tuple[str, tuple[Number, ...]]]:
    """Where each column is: below the first number, at it, between two, ..."""
    if not zeros:
        return [("everywhere", ())]
    columns: list[tuple[str, tuple[Number, ...]]] = [("below", zeros[:1])]
    for place, zero in enumerate(zeros):
        columns.append(("at", (zero,)))
        after = zeros[place : place + 2]
        columns.append(("inside", after) if len(after) == 2 else ("above", after))
    return columns
