"""Why words do not fit an assignment's answer: which of them are right at once, or of which it cannot be told."""

from __future__ import annotations

from collections.abc import Sequence

from itembank.errors import Span
from itembank.expressions import canonical
from itembank.expressions.canonical import Form
from itembank.generator.unfit import NotAnItem
from itembank.templates.template import WordRow

__all__ = ["told", "value_told", "words_misfit"]


def words_misfit(
    number: int,
    rows: Sequence[WordRow],
    held: Sequence[bool | None] | None,
    of: str,
    *,
    several: bool = False,
) -> NotAnItem:
    """What is raised where not exactly one of the rows is right, or with `several` where none or every one is.

    held: for each row whether it is right, None where that cannot be told; None where the answer is no rational value.
    of: the answer in words, or the row of a match whose answer it is.
    """
    if held is None:
        return _misfit(
            number, f"it cannot be told which words are right for {of}: words tell of one rational value"
        )
    undecided = [row for row, holds in zip(rows, held, strict=True) if holds is None]
    if undecided:
        reason = f"it cannot be told whether {_text(undecided[0])} is right for {of}"
        return _misfit(number, reason, undecided[0].when.span())
    right = [row for row, holds in zip(rows, held, strict=True) if holds]
    if not right:
        return _misfit(number, f"no row of words is right for {of}: none of {told(map(_text, rows))}")
    if several:
        return _misfit(number, f"every row of words is right for {of}, and none is left as a wrong option")
    return _misfit(
        number,
        f"more than one row of words is right for {of}: {told(map(_text, right))}",
        right[1].when.span(),
    )


def value_told(unknowns: Sequence[str], form: Form) -> str:
    """An answer in words: `D = 5`, or `an answer that is no rational number`."""
    value = canonical.rational(form)
    if value is None:
        return "an answer that is no one rational number"
    above, below = value
    shown = str(above) if below == 1 else f"{above}/{below}"
    return f"{unknowns[0]} = {shown}" if unknowns else f"the answer {shown}"


def told(words: Sequence[str] | map[str]) -> str:
    """Words joined as in a sentence.

    >>> told(["a", "b", "c"])
    'a, b and c'
    """
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def _text(row: WordRow) -> str:
    return f"`{' '.join(row.text.source.text.split())}`"


def _misfit(number: int, reason: str, span: Span | None = None) -> NotAnItem:
    return NotAnItem("words-do-not-fit", reason, number, span)
