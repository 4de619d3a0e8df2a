"""What the columns of a table of results are: pupil, version, total, and questions of the build."""

from __future__ import annotations

import re
from collections.abc import Collection
from itertools import pairwise
from typing import Final

from itembank.analysis.keys import Keys
from itembank.analysis.line_names import names_maxima, names_summary
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, InputError, Level

__all__ = [
    "GROUPS", "NAMES_OF_PUPILS", "OF_A_SHEET", "WHO", "has_questions", "is_summary", "label_of", "pupil_of",
    "question_named", "question_numbered", "questions_of", "special_columns", "unknown_item", "version_unknown",
    "with_second_head",
]  # fmt: skip

_NAMES: Final = {
    "pupil": "pupil", "name": "pupil", "full name": "pupil", "student": "pupil", "candidate": "pupil",
    "pupil name": "pupil", "student name": "pupil", "candidate name": "pupil", "learner": "pupil", "pupils": "pupil",
    "alumno": "pupil", "alumna": "pupil", "alumno/a": "pupil", "estudiante": "pupil", "nombre completo": "pupil",
    "apellidos y nombre": "pupil", "nombre y apellidos": "pupil",
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
    **dict.fromkeys((
        "last name, first name", "surname, first name", "surname, forename", "first and last name", "pupil's name",
        "student's name", "learner name", "names", "students", "name, vorname", "nachname, vorname", "vorname nachname",
        "vor- und nachname", "vorname und nachname", "vollständiger name", "schüler/-in", "schüler(in)", "lernende",
        "lernende/r", "teilnehmer", "teilnehmerin", "teilnehmer/in", "teilnehmende", "prüfling", "apellidos, nombre",
        "nombre y apellido", "alumnos", "alumnado", "estudiantes", "participante",
    ), "pupil"),
    **dict.fromkeys((
        "id", "pupil id", "student id", "id number", "upn", "nr", "nr.", "no", "no.", "#", "number", "pupil number",
        "student number", "candidate number", "candidate no", "exam number", "code name", "nickname", "nummer",
        "schülernummer", "matrikelnummer", "kennnummer", "kürzel", "número", "número de alumno", "n.º", "nº",
        "identificador", "user", "username", "user name", "benutzername", "usuario", "email", "e-mail", "email address",
        "correo",
    ), "number"),
}  # fmt: skip
NAMES_OF_PUPILS: Final = frozenset(
    head for head, what in _NAMES.items() if what in ("pupil", "given", "family")
)
"""What the head of a table says of names."""
WHO: Final = NAMES_OF_PUPILS | {head for head, what in _NAMES.items() if what == "number"}
"""What the head of a table says of who a line speaks of."""
GROUPS: Final = frozenset(head for head, what in _NAMES.items() if what == "group")
_OF_PUPIL: Final = ("pupil", "given", "family")
_OF_A_PUPIL: Final = (*_OF_PUPIL, "number")
LONGEST_NAME: Final = 120
_WORDS: Final = re.compile(r"[A-Za-z0-9]+")
_NUMBERED: Final = re.compile(
    r"(?:question|pregunta|preg|aufgabe|frage|ejercicio|item|task|answer|response|antwort|respuesta|q|p|no|nr|n)?"
    r"[.º°#\s]*([0-9]{1,3})[\s.]*\(?([a-z]?)\)?",
    re.IGNORECASE,
)
_WITH_MARKS: Final = re.compile(
    r"([^/(\[]*?(?:\([a-z]\))?)\s*(?:/\s*([0-9]{1,3})(?:[.,]0+)?"
    r"|[(\[]\s*/?\s*([0-9]{1,3})(?:[.,]0+)?\s*(?:marks?|m|points?|pts?|punkte?|p|puntos?)?\.?\s*[)\]])",
    re.IGNORECASE,
)
"""The number of a question with its maximum behind it."""
_TURN: Final = "a table with a line for each question has to be turned, so that each pupil has a line"
OF_A_SHEET: Final = ("maximum", "máximo", "question")
"""What lines of numbers below a head begin with, which are no names of columns."""


def special_columns(table: Table, found: list[Diagnostic]) -> dict[str, int]:
    """The columns that are no questions, by what they are; the first of each counts.

    `pupil` is always among them: where there are no names, what else tells pupils apart, a number or an address.
    Raises InputError `no-pupil-column`.
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
    if "number" in special:
        special.setdefault("pupil", special["number"])
    if "pupil" not in special:
        message = "no column is called `pupil`"
        hint = (
            "the first line of the file names the columns: `pupil` or `name`, or `first name` and `family name`, then "
            "the codes of items; "
            + (_TURN if "item" in special else "numbers of pupils stand below `number`")
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
    if (place := keys.in_any_letters(text)) is not None:
        return place
    words = _WORDS.findall(text)
    found = {known[word] for word in words if word in known}
    pairs = (first + second for first, second in pairwise(words))
    found |= {known[pair] for pair in pairs if pair in known}
    return found.pop() if len(found) == 1 else None


def question_numbered(text: str, keys: Keys) -> int | None:
    """The question whose number in the only paper of the build a text tells: `3b`, `Q3 (b)`, `question 12`.

    Its maximum may stand behind it, `Q3 (2)` or `3b /2`. None where it tells none, or another maximum, or there are
    versions, in each of which the number is another question's.
    """
    told = _NUMBERED.fullmatch(text.strip())
    if told:
        return keys.by_number().get(f"{told[1]}{told[2].lower()}")
    with_marks = _WITH_MARKS.fullmatch(text.strip())
    place = question_numbered(with_marks[1], keys) if with_marks else None
    if with_marks is None or place is None:
        return None
    return place if keys.questions[place].maximum == int(with_marks[2] or with_marks[3]) else None


def label_of(row: tuple[Cell, ...], special: dict[str, int]) -> str:
    """What a line is called: the name that it has, in one column or two, else its first cell; in small letters."""
    columns = sorted({special[part] for part in _OF_PUPIL if part in special})
    name = " ".join(row[column].text for column in columns if column < len(row)).split()
    return (" ".join(name) or row[0].text).casefold()


def is_summary(path: str, row: tuple[Cell, ...], special: dict[str, int], found: list[Diagnostic]) -> bool:
    """Whether a line is one of means, sums or right answers; that it is left out is told."""
    label = label_of(row, special)
    if not names_summary(label):
        return False
    told = next((cell for cell in row if cell.text.casefold() == label), row[0])
    message = f"the line that says `{told.text[:40]}` is taken for no pupil and left out"
    hint = "if it is a pupil's name, write it with another name before or behind it"
    found.append(wrong("summary-line", message, path, told, hint, Level.DOUBTFUL))
    return True


def questions_of(
    table: Table, keys: Keys, special: dict[str, int], found: list[Diagnostic]
) -> dict[int, int]:
    """column -> place of the question; what is wrong or doubtful goes to `found`.

    A column that is no question is doubtful; it is wrong where not every question of the build has a column and its
    head may be a code with a slip of the pen.
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
        if any(_is_question(row[0], keys) for row in table.rows):
            hint = _TURN
        raise InputError([*found, wrong("unknown-item", message, table.path, table.head[0], hint)])
    if not missing:
        found += (_left_alone(table.path, cell) for cell in unknown)
    else:
        found += (
            unknown_item(table.path, cell, keys)
            if _may_be_a_question(cell.text, keys)
            else _left_alone(table.path, cell)
            for cell in unknown
        )
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


def _left_alone(path: str, cell: Cell) -> Diagnostic:
    message = f"the column `{cell.text[:40]}` is no question and is left alone"
    return wrong("no-question", message, path, cell, "", Level.DOUBTFUL)


def _may_be_a_question(text: str, keys: Keys) -> bool:
    """Whether a head may be a code or a number with a slip of the pen, and is not words such as `Comment`."""
    return any(letter.isdigit() for letter in text) or _nearest(text, keys) != ""


def with_second_head(table: Table, keys: Keys) -> Table:
    """The table with its second line put into the head where only that one names questions, below merged headings."""
    if not table.rows or any(_is_question(cell, keys) for cell in table.head):
        return table
    second, *rows = table.rows
    if _names_a_pupil(table.head, second):
        return table
    if second[0].text.casefold() in OF_A_SHEET or names_maxima(second[0].text):
        return table
    if not any(_is_question(cell, keys) for cell in second):
        return table
    head = tuple(
        second[column] if column < len(second) and second[column].text else cell
        for column, cell in enumerate(table.head)
    )
    return Table(table.path, head, tuple(rows))


def _names_a_pupil(head: tuple[Cell, ...], below: tuple[Cell, ...]) -> bool:
    """Whether something stands below a head for names of pupils, which is no such head itself: names of questions
    below merged headings have nothing there, or such a head."""
    return any(
        cell.text and _meant(top) in _OF_A_PUPIL and _meant(cell) not in _OF_A_PUPIL
        for top, cell in zip(head, below, strict=False)
    )


def _meant(cell: Cell) -> str | None:
    """What the head of a column says that it holds, where that is no question."""
    return _NAMES.get(" ".join(cell.text.casefold().split()))


def has_questions(table: Table, keys: Keys) -> bool:
    """Whether a column of a table is a question of the build, or there is a line for each answer."""
    meant = set(map(_meant, table.head))
    if "item" in meant and meant & {"answer", "mark"}:
        return True
    return any(_is_question(cell, keys) for cell in with_second_head(table, keys).head)


def _is_question(cell: Cell, keys: Keys) -> bool:
    return question_named(cell.text, keys) is not None or question_numbered(cell.text, keys) is not None


def unknown_item(path: str, cell: Cell, keys: Keys) -> Diagnostic:
    """That a cell names no question."""
    message = f"`{cell.text[:40]}` is no item of this build"
    return wrong("unknown-item", message, path, cell, _hint(cell.text, keys))


def _nearest(text: str, keys: Keys) -> str:
    from itembank.expressions.vocabulary import nearest

    codes = [word for word in _WORDS.findall(text) if len(word) > 3]
    return nearest(codes[0].upper() if codes else text, keys.by_column())


def _hint(text: str, keys: Keys) -> str:
    if near := _nearest(text, keys):
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
        hint = "one pupil on each line; any name or number will do"
        if not name:
            hint += "; a line of sums or maxima says `total` or `maximum` there"
        found.append(wrong("no-pupil", message, path, cell, hint))
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
