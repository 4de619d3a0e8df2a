"""The marks that nobody disputes, as a mark sheet: what is left to settle stands there as a question mark."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from itembank import spreadsheets
from itembank.analysis.blocks import UNTOLD
from itembank.analysis.exact import marks_told
from itembank.double_marking.reading import DoubleMarking

__all__ = ["disputed", "undisputed_marks"]


def undisputed_marks(found: DoubleMarking) -> str:
    """A mark sheet as CSV, in the order of the paper: a mark where all who gave one gave the same, `?` where not.

    `analyse` refuses the question marks, so none is taken for an answer left out before it is settled.
    """
    questions = found.keys.questions
    places = [
        place
        for place in found.order
        if any(place in m for marker in found.markers for m in marker.marks.values())
    ]
    versions = {pupil: letter for marker in found.markers for pupil, letter in marker.versions.items()}
    has_versions = any(versions.values())
    more = ["version"] if has_versions else []
    rows = [
        ["pupil", *more, *(questions[place].column for place in places)],
        ["maximum", *[""] * len(more), *(str(questions[place].maximum) for place in places)],
    ]
    for pupil, name in _pupils(found).items():
        cells = [_cell(_given(found, pupil, place)) for place in places]
        rows.append([name, *([versions.get(pupil, "")] if has_versions else []), *cells])
    return spreadsheets.as_csv(rows)


def disputed(found: DoubleMarking) -> int:
    """How many marks of the sheet are to be settled."""
    return sum(
        len(_given(found, pupil, place)) > 1
        for pupil in _pupils(found)
        for place in range(len(found.keys.questions))
    )


def _pupils(found: DoubleMarking) -> dict[str, str]:
    """Pupils with a mark, each as first written."""
    names: dict[str, str] = {}
    for marker in found.markers:
        for pupil, marks in marker.marks.items():
            if marks:
                names.setdefault(pupil, marker.names[pupil])
    return names


def _given(found: DoubleMarking, pupil: str, place: int) -> set[Fraction]:
    return set(_marks(found, pupil, place))


def _marks(found: DoubleMarking, pupil: str, place: int) -> Iterator[Fraction]:
    for marker in found.markers:
        if place in (marks := marker.marks.get(pupil, {})):
            yield marks[place]


def _cell(given: set[Fraction]) -> str:
    if len(given) > 1:
        return UNTOLD
    return marks_told(next(iter(given))) if given else ""
