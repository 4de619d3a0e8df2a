"""What the columns of a table of results are: pupil, version, total, and questions of the build."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from itertools import pairwise
from typing import Final

from itembank.analysis.keys import Keys
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, InputError, Level

__all__ = [
    "OF_A_SHEET", "SUMMARIES", "WHO", "first_word", "is_summary", "pupil_of", "question_named", "question_numbered",
    "questions_of", "special_columns", "unknown_item", "version_unknown", "with_second_head",
]  # fmt: skip

_NAMES: Final = {
    "pupil": "pupil", "name": "pupil", "full name": "pupil", "student": "pupil", "candidate": "pupil",
    "pupil name": "pupil", "student name": "pupil", "candidate name": "pupil", "learner": "pupil", "pupils": "pupil",
    "alumno": "pupil", "alumna": "pupil", "alumno/a": "pupil", "estudiante": "pupil", "nombre completo": "pupil",
    "apellidos y nombre": "pupil", "nombre y apellidos": "pupil", "id": "pupil",
    "schüler": "pupil", "schülerin": "pupil", "schüler/in": "pupil", "schüler*in": "pupil", "schülername": "pupil",
    "vorname": "given", "nachname": "family", "familienname": "family",
    "first name": "given", "given name": "given", "forename": "given", "nombre": "given", "nombres": "given",
    "family name": "family", "last name": "family", "surname": "family", "apellidos": "family", "apellido": "family",
    "version": "version", "versión": "version",
    "form": "form", "testform": "form", "forma": "form", "modelo": "form", "fassung": "form",
    "total": "total", "gesamt": "total", "summe": "total", "gesamtpunkte": "total",
    "gruppe": "group", "klasse": "group", "kurs": "group",
    "aufgabe": "item", "antwort": "answer", "punkte": "mark",
    "pregunta": "item", "respuesta": "answer", "puntos": "mark",
    "group": "group", "class": "group", "set": "group", "grupo": "group", "clase": "group",
    "item": "item", "question": "item", "code": "item",
    "answer": "answer", "response": "answer", "chosen": "answer", "option": "answer",
    "mark": "mark", "marks": "mark", "score": "mark",
    "judgement": "judgement", "judgment": "judgement",
}  # fmt: skip
WHO: Final = frozenset(head for head, what in _NAMES.items() if what in ("pupil", "given", "family"))
"""What the head of a table says of who a line speaks of."""
_OF_PUPIL: Final = ("pupil", "given", "family")
LONGEST_NAME: Final = 120
_WORDS: Final = re.compile(r"[A-Za-z0-9]+")
_NUMBERED: Final = re.compile(
    r"(?:question|pregunta|aufgabe|frage|q|no|nr|n)?[.º°\s]*([0-9]{1,3})[\s.]*\(?([a-z]?)\)?", re.IGNORECASE
)
SUMMARIES: Final = frozenset((
    "mean", "average", "median", "total", "totals", "sum", "facility", "standard deviation", "std dev", "stdev",
    "mittelwert", "durchschnitt", "summe", "gesamt", "standardabweichung", "klassendurchschnitt",
    "class average", "class mean", "media", "promedio", "mediana", "suma", "totales", "desviación típica",
))  # fmt: skip
"""What the first cell of a line says that spreadsheets work out of the lines above it."""


OF_A_SHEET: Final = ("maximum", "máximo", "question")
"""What lines of numbers below a head begin with, which are no names of columns."""


def special_columns(table: Table, found: list[Diagnostic]) -> dict[str, int]:
    """The columns that are no questions, by what they are; the first of each counts.

    `pupil` is always among them. Raises InputError `no-pupil-column`.
    """
    special: dict[str, int] = {}
    for column, cell in enumerate(table.head):
        what = _meant(cell)
        if what is not None:
            special.setdefault(what, column)
    if "pupil" not in special:
        for half in ("given", "family"):
            if half in special:
                special.setdefault("pupil", special[half])
    if "pupil" not in special:
        message = "no column is called `pupil`"
        hint = (
            "the first line of the file names the columns: `pupil` or `name`, or `first name` and `family name`, then "
            "the codes of items"
        )
        raise InputError([*found, wrong("no-pupil-column", message, table.path, table.head[0], hint)])
    return special


def question_named(text: str, keys: Keys) -> int | None:
    """The question that a text names: its code and letter, alone or among other words, as in `Title (CODE)`.

    None where it names none, or more than one.
    """
    known = keys.by_column()
    if text in known:
        return known[text]
    if (place := _in_any_letters(text, known)) is not None:
        return place
    words = _WORDS.findall(text)
    found = {known[word] for word in words if word in known}
    pairs = (first + second for first, second in pairwise(words))
    found |= {known[pair] for pair in pairs if pair in known}
    return found.pop() if len(found) == 1 else None


def _in_any_letters(text: str, known: Mapping[str, int]) -> int | None:
    """The question whose name a text is but for capitals, which programs change on the way; None for none or two."""
    alike = [place for name, place in known.items() if name.casefold() == text.casefold()]
    return alike[0] if len(alike) == 1 else None


def question_numbered(text: str, keys: Keys) -> int | None:
    """The question whose number in the only paper of the build a text tells: `3b`, `Q3 (b)`, `question 12`.

    None where it tells none, or there are versions, in each of which the number is another question's.
    """
    told = _NUMBERED.fullmatch(text.strip())
    return keys.by_number().get(f"{told[1]}{told[2].lower()}") if told else None


def first_word(row: tuple[Cell, ...], special: dict[str, int]) -> str:
    """What a line begins with: the first text among its first cell and those of a name, in small letters."""
    columns = [0, *sorted(special[part] for part in ("pupil", "given", "family") if part in special)]
    texts = (row[column].text for column in columns if column < len(row))
    return next((text.casefold() for text in texts if text), "")


def is_summary(path: str, row: tuple[Cell, ...], special: dict[str, int], found: list[Diagnostic]) -> bool:
    """Whether a line is one of means or sums; that it is left out is told."""
    if first_word(row, special).strip(" .:") not in SUMMARIES:
        return False
    message = f"the line that begins with `{row[0].text[:40]}` is taken for no pupil and left out"
    hint = "if it is a pupil's name, write it with another name before or behind it"
    found.append(wrong("summary-line", message, path, row[0], hint, Level.DOUBTFUL))
    return True


def questions_of(
    table: Table, keys: Keys, special: dict[str, int], found: list[Diagnostic]
) -> dict[int, int]:
    """column -> place of the question; what is wrong or doubtful goes to `found`.

    A column that is no question is wrong, for its head may be a code with a slip of the pen; where every question of
    the build has a column it is doubtful.
    """
    columns: dict[int, int] = {}
    taken: dict[int, Cell] = {}
    unknown: list[Cell] = []
    by_number: list[Cell] = []
    for column, cell in enumerate(table.head):
        if not cell.text or column in special.values():
            continue
        if _meant(cell) is not None:
            continue
        place = question_named(cell.text, keys)
        if place is None and (place := question_numbered(cell.text, keys)) is not None:
            by_number.append(cell)
        if place is None:
            unknown.append(cell)
        elif place in taken:
            message = f"the column {cell.text[:40]} stands here twice"
            found.append(wrong("same-column-twice", message, table.path, cell, "leave one of them out"))
        else:
            columns[column] = place
            taken[place] = cell
    missing = [question.column for place, question in enumerate(keys.questions) if place not in taken]
    if not columns:
        message = "no column is an item of this build"
        hint = (
            f"columns have the codes of staff/mark-sheet.csv, such as {keys.questions[0].column}; "
            "look whether the table belongs to another build"
        )
        raise InputError([*found, wrong("unknown-item", message, table.path, table.head[0], hint)])
    if not missing:
        for cell in unknown:
            message = f"the column `{cell.text[:40]}` is no question and is left alone"
            found.append(wrong("no-question", message, table.path, cell, "", Level.DOUBTFUL))
    else:
        found += (unknown_item(table.path, cell, keys) for cell in unknown)
        some = ", ".join(missing[:5]) + (" ..." if len(missing) > 5 else "")
        message = f"{len(missing)} of {len(keys.questions)} questions have no column here: {some}"
        hint = "they are taken as not given to these pupils"
        found.append(wrong("missing-column", message, table.path, table.head[0], hint, Level.DOUBTFUL))
    if by_number:
        message = (
            f"{len(by_number)} columns are named by numbers: they are taken for those of the printed paper"
        )
        hint = "name columns by the codes of items where they are not"
        found.append(wrong("taken-for-numbers", message, table.path, by_number[0], hint, Level.DOUBTFUL))
    return columns


def with_second_head(table: Table, keys: Keys) -> Table:
    """The table with its second line put into the head where only that one names questions, below merged headings."""
    if not table.rows or any(_is_question(cell, keys) for cell in table.head):
        return table
    second, *rows = table.rows
    if _has_a_line_for_each_answer(table.head, second):
        return table
    if second[0].text.casefold() in OF_A_SHEET:
        return table
    if not any(_is_question(cell, keys) for cell in second):
        return table
    head = tuple(
        second[column] if column < len(second) and second[column].text else cell
        for column, cell in enumerate(table.head)
    )
    return Table(table.path, head, tuple(rows))


def _has_a_line_for_each_answer(head: tuple[Cell, ...], first: tuple[Cell, ...]) -> bool:
    """Whether the line below the head is of a pupil's answer, and not of names below merged headings."""
    meant = [_meant(cell) for cell in head]
    if "item" not in meant or not {"answer", "mark"} & set(meant):
        return False
    return any(
        cell.text and cell.text.casefold() not in WHO
        for cell, what in zip(first, meant, strict=False)
        if what in _OF_PUPIL
    )


def _meant(cell: Cell) -> str | None:
    """What the head of a column says that it holds, where that is no question."""
    return _NAMES.get(" ".join(cell.text.casefold().split()))


def _is_question(cell: Cell, keys: Keys) -> bool:
    return question_named(cell.text, keys) is not None or question_numbered(cell.text, keys) is not None


def unknown_item(path: str, cell: Cell, keys: Keys) -> Diagnostic:
    """That a cell names no question."""
    message = f"`{cell.text[:40]}` is no item of this build"
    return wrong("unknown-item", message, path, cell, _hint(cell.text, keys))


def _hint(text: str, keys: Keys) -> str:
    from itembank.expressions.vocabulary import nearest

    codes = [word for word in _WORDS.findall(text) if len(word) > 3]
    near = nearest(codes[0].upper() if codes else text, keys.by_column())
    if near:
        return f"nearest: {near}"
    numbers = [int(number) for number in keys.by_number() if number.isdigit()]
    paper = f", or the numbers of the paper, {min(numbers)} to {max(numbers)}" if numbers else ""
    return f"items have the codes of staff/mark-sheet.csv{paper}"


def pupil_of(
    path: str,
    row: tuple[Cell, ...],
    special: dict[str, int],
    seen: dict[str, Cell],
    found: list[Diagnostic],
    versions: Collection[str] = (),
) -> tuple[str, str]:
    """The name and the version of a line; each name stands in one line only.

    versions: the letters there are; another one is wrong, "" is not.
    """
    halves = [special[half] for half in ("given", "family") if half in special]
    columns = halves if len(halves) == 2 else [special["pupil"]]
    name = " ".join(" ".join(row[column].text for column in columns if column < len(row)).split())
    folded = name.casefold()
    cell = row[min(columns[0], len(row) - 1)]
    if not name or len(name) > LONGEST_NAME:
        message = (
            "the line names no pupil" if not name else f"a name is longer than {LONGEST_NAME} characters"
        )
        found.append(
            wrong("no-pupil", message, path, cell, "one pupil on each line; any name or number will do")
        )
    elif folded in seen:
        message = f"the pupil of this line stands in line {seen[folded].line} too"
        hint = "leave one of the two lines out, or tell two pupils of one name apart"
        found.append(wrong("same-pupil-twice", message, path, cell, hint))
    seen.setdefault(folded, cell)
    column = special.get("version")
    version = row[column].text.upper() if column is not None and column < len(row) else ""
    if version and any(versions) and version not in versions:
        message = f"there is no version `{version[:20]}` of the paper"
        assert column is not None
        found.append(
            wrong("no-version", message, path, row[column], f"there are: {', '.join(sorted(versions))}")
        )
    return name, version


def version_unknown(table: Table) -> Diagnostic:
    """That nobody can tell what was not reached, for the versions of the paper differ in order."""
    message = "there are versions of the paper, and it is not told which one each pupil had: blanks count as omitted"
    hint = "add a column `version`"
    return wrong("version-unknown", message, table.path, table.head[0], hint, Level.DOUBTFUL)
