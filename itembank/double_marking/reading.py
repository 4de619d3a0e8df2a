"""The marks of each marker, from files as `analyse` takes them: one file or several of one name for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from pathlib import Path

from itembank.analysis.keys import Keys
from itembank.analysis.orders import Orders
from itembank.analysis.response_files import read_build, read_records
from itembank.analysis.responses import by_pupil
from itembank.double_marking.agreement import Agreement, Marker, agreement
from itembank.errors import Diagnostic, InputError, Level, Span

__all__ = ["DoubleMarking", "read_markers"]


@dataclass(frozen=True, slots=True)
class DoubleMarking:
    """What several markers gave.

    keys: the questions; order: their places as printed. agreements: of every two who marked a script in common.
    """

    title: str
    keys: Keys
    order: tuple[int, ...]
    markers: tuple[Marker, ...]
    agreements: tuple[Agreement, ...]
    doubts: tuple[Diagnostic, ...]


def read_markers(
    build: Path, sheets: Sequence[Path], within: Fraction | None = None, pass_mark: int | None = None
) -> DoubleMarking:
    """Every two markers held against each other.

    build: a folder as `read_build` takes it. sheets: one file for each marker, at least two, whose name is the
    marker's. within, pass_mark: as in `agreement`. Raises InputError with what is wrong in any file, `one-marker` for
    the same file twice, `nothing-in-common`, `beyond-the-maximum` for a pass mark that nobody can reach.
    """
    keys, orders = read_build(build)
    _refuse_the_same_twice(sheets)
    doubts: list[Diagnostic] = []
    faults: list[Diagnostic] = []
    markers = []
    for name, path in zip(_names(sheets), sheets, strict=True):
        try:
            markers.append(_marker(name, path, keys, orders, doubts))
        except InputError as failed:
            faults += failed.diagnostics
    if faults:
        raise InputError(faults)
    pairs = [agreement(keys.questions, *pair, within, pass_mark) for pair in combinations(markers, 2)]
    found = tuple(each for each in pairs if each is not None)
    if not found:
        message = "no question of any pupil has a mark in two of these files"
        hint = "each marker fills in a mark sheet of their own, with the same names of pupils"
        raise InputError(Diagnostic("nothing-in-common", message, Span(str(sheets[-1]), 1, 1), hint=hint))
    for (one, other), each in zip(combinations(markers, 2), pairs, strict=True):
        if each is None:
            message = f"{one.name} and {other.name} have no mark in common, so nothing is told of these two"
            doubts.append(Diagnostic("nothing-in-common", message, None, Level.DOUBTFUL))
    most = max(script.most for each in found for script in each.scripts)
    if pass_mark is not None and pass_mark > most:
        message = f"nobody can reach {pass_mark} marks: scripts have at most {most} that two gave"
        raise InputError(Diagnostic("beyond-the-maximum", message, hint=f"a pass mark from 0 to {most}"))
    order = orders.versions.get("", tuple(range(len(keys.questions))))
    return DoubleMarking(keys.title, keys, order, tuple(markers), found, tuple(doubts))


def _refuse_the_same_twice(sheets: Sequence[Path]) -> None:
    for one, other in combinations(sheets, 2):
        if one == other or (one.exists() and other.exists() and one.samefile(other)):
            message = f"{other} is named twice, and one sheet is of one marker"
            hint = "name a file for each marker"
            raise InputError(Diagnostic("one-marker", message, Span(str(other), 1, 1), hint=hint))


def _names(sheets: Sequence[Path]) -> list[str]:
    """The names of the files; with their folders where several are called the same."""
    stems = [path.stem for path in sheets]
    return [
        stem if stems.count(stem) == 1 else path.with_suffix("").as_posix()
        for stem, path in zip(stems, sheets, strict=True)
    ]


def _marker(name: str, path: Path, keys: Keys, orders: Orders, doubts: list[Diagnostic]) -> Marker:
    records, told = read_records(keys, orders, path)
    doubts += told
    merged = by_pupil(records)
    marks = {
        pupil: {
            place: answer.mark
            for place, answer in sorted(record.answers.items())
            if answer.mark is not None and not answer.is_blank
        }
        for pupil, record in merged.items()
    }
    names = {pupil: record.pupil for pupil, record in merged.items()}
    return Marker(name, marks, names, {pupil: record.version for pupil, record in merged.items()})
