"""Whether the picture of a stem shows the answer that is asked for."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.numbers import Exact
from itembank.figures import NumberLine, drawing
from itembank.generator.bound import Forms
from itembank.generator.runtime import canonical_values
from itembank.items import EntryResponse, Part
from itembank.proof.answers import answer_identity
from itembank.proof.pictures import marked
from itembank.proof.solver import CannotDecide

__all__ = ["answers_shown", "marks_the_solutions"]


def answers_shown(part: Part, key: Forms) -> tuple[str, ...]:
    """The labels of a stem's picture that tell a value of the key, or the key itself, as they read; () for none.

    key: the canonical forms of the part's key. The numbers of a scale tell nothing of their own.
    """
    if part.figure is None:
        return ()
    values = set(_values(key))
    shown = spelling.plain(part.key)
    found = []
    for label in drawing(part.figure).labels:
        if label.is_scale or isinstance(label.text, str):
            continue
        if values.intersection(label.tells) or spelling.plain(label.text) == shown:
            found.append(spelling.plain(label.text))
    return tuple(dict.fromkeys(found))


def marks_the_solutions(part: Part) -> bool:
    """Whether the number line of a stem marks just the solutions that are to be entered."""
    if not isinstance(part.figure, NumberLine) or not isinstance(part.response, EntryResponse):
        return False
    try:
        return marked(part.figure) == answer_identity(part, part.key)
    except (CannotDecide, DomainError):
        return False


def _values(key: Forms) -> Iterator[Exact]:
    for form in key:
        try:
            yield from canonical_values(form)
        except DomainError:  # an expression has no values; it is compared as it reads
            continue
