"""Judgements from disk, each file recognised by the heads of its columns."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from itembank.analysis.columns import NAMES_OF_PUPILS, WHO
from itembank.analysis.keys import Keys, Question
from itembank.analysis.response_files import read_build, read_results, read_whole_table
from itembank.analysis.responses import Results
from itembank.analysis.tables import Table, wrong
from itembank.errors import Diagnostic, InputError, Level
from itembank.standard_setting.accepted_file import ACCEPTED, read_accepted
from itembank.standard_setting.by_pupils import Judgement
from itembank.standard_setting.form import paper_order
from itembank.standard_setting.judged_file import read_judged
from itembank.standard_setting.pass_mark import Judgements, PassMark, Setting, pass_mark
from itembank.standard_setting.ratings_file import ITEMS, JUDGES, Scale, read_ratings

__all__ = ["read_judgements", "read_pass_mark"]


def read_pass_mark(
    build: Path,
    judgements: Sequence[Path],
    responses: Sequence[Path] = (),
    scale: Scale = Scale.MARKS,
    boundary: str = "",
    lower: Sequence[Path] = (),
) -> tuple[PassMark, list[Diagnostic]]:
    """Where the mark of a build lies, and what is doubtful in the files.

    boundary: what it is for, "" for a pass; lower: judgements of the boundary below it. Raises InputError as
    `read_build`, `read_results` and `read_judgements`, and `same-judgements-twice`.
    """
    keys, orders = read_build(build)
    results = read_results(keys, orders, responses) if responses else None
    questions = paper_order(keys, orders)
    said = read_judgements(judgements, keys, questions, results, scale)
    named = {path.resolve() for path in judgements}
    for path in lower:
        if path.resolve() in named:
            message = f"{path} is named for both boundaries"
            hint = "judges say of each boundary what they expect, in a file of its own"
            raise InputError(wrong("same-judgements-twice", message, str(path), None, hint))
    below = read_judgements(lower, keys, questions, results, scale) if lower else None
    found = pass_mark(Setting(keys.title, questions, boundary), said, results, below)
    doubts = [*(results.doubts if results else ()), *said.doubts, *(below.doubts if below else ())]
    if found.beside is not None and not found.beside.steps:
        message = "no method tells a mark of both boundaries, so they cannot be held against each other"
        hint = "give judgements of one kind for both: ratings of every question, judged pupils, or limits"
        doubts.append(wrong("nothing-beside", message, str(lower[0]), None, hint, Level.DOUBTFUL))
    return found, doubts


def read_judgements(
    files: Sequence[Path],
    keys: Keys,
    questions: Sequence[Question],
    results: Results | None,
    scale: Scale = Scale.MARKS,
) -> Judgements:
    """The judgements of all files together.

    A table with a pupil's column tells how pupils are judged, one with `least mark` what judges would accept; any other
    is of ratings. questions: of the build, as the panel is to have them; results: of the pupils.
    Raises InputError as the readers of these do, `no-responses` where it takes results and there are none, and
    `same-judgements-twice`.
    """
    of_items: list[Table] = []
    of_pupils: list[Table] = []
    of_limits: list[Table] = []
    known: set[Path] = set()
    for path in files:
        if path.resolve() in known:
            message = f"{path} is named twice"
            raise InputError(wrong("same-judgements-twice", message, str(path), None, "name it once"))
        known.add(path.resolve())
        table = read_whole_table(path, WHO | ITEMS | JUDGES)
        heads = {" ".join(cell.text.casefold().split()) for cell in table.head}
        (of_limits if heads & set(ACCEPTED) else of_pupils if _is_of_pupils(heads) else of_items).append(
            table
        )
    doubts: list[Diagnostic] = []
    panel = None
    if of_items:
        panel, doubts = read_ratings(of_items, keys, questions, scale)
    maximum = sum(question.maximum for question in questions)
    accepted = [each for table in of_limits for each in read_accepted(table, maximum)]
    if results is None:
        if needing := [*of_pupils, *of_limits]:
            message = "these judgements say where a mark lies only beside the marks that pupils earned"
            raise InputError(wrong("no-responses", message, needing[0].path, None, "add --responses FILE"))
        return Judgements(panel, doubts=tuple(doubts))
    names = [" ".join(sitting.pupil.split()).casefold() for sitting in results.sittings]
    judged: dict[str, Judgement] = {}
    for table in of_pupils:
        more, doubtful = read_judged(table, names)
        if again := judged.keys() & more.keys():
            message = f"{len(again)} pupils of this table are judged in another one, too"
            hint = "leave them out of one of the two"
            raise InputError(wrong("judged-twice", message, table.path, table.head[0], hint))
        judged |= more
        doubts += doubtful
    return Judgements(panel, tuple(judged.items()), tuple(accepted), tuple(doubts))


_JUDGED: Final = frozenset(("judgement", "judgment"))


def _is_of_pupils(heads: set[str]) -> bool:
    """Whether a table names pupils: what is numbered alone are questions, unless it says judgements of pupils."""
    return not heads.isdisjoint(NAMES_OF_PUPILS | _JUDGED) and heads.isdisjoint(ITEMS | JUDGES)
