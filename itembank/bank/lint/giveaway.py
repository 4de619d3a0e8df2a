"""`stem-gives-key`: the key stands in the stem, word for word, or in the row of a match that it belongs to."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import is_statement, seen
from itembank.content import Content
from itembank.expressions.display import Maths
from itembank.items import ChoiceResponse, MatchResponse, Part

_ASKED = "do not show what is asked for"
_WORKED_OUT = (
    "numbers are worked out where they are shown: write keep(...) around what the pupil is to work out"
)


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        if part.response.kind in {"written", "order", "choices"}:
            continue  # "Show that ...": the working is asked for; "Which are equal to ...?": the key may be shown
        parts = [item.parts[number] for item in sample.items]
        told = [each for each in parts if _gives(_asked(each), each.stem)]
        if told and part.response.kind != "match":
            yield Remark(
                part.stem.source.span,
                f"the stem shows the key `{seen(_asked(told[0]))}` (in {len(told)} of {len(parts)} items)",
                _ASKED if is_statement(_asked(told[0])) else _WORKED_OUT,
            )
        rows = [row for each in parts if (row := _row_that_gives(each))]
        if rows:
            yield Remark(
                part.response.span,
                f"a row shows its target as it stands, `{seen(rows[0])}` (in {len(rows)} of {len(parts)} items)",
                _ASKED if is_statement(rows[0]) else _WORKED_OUT,
            )


def _asked(part: Part) -> Maths:
    """What the pupil has to find, as it is shown: of a choice the right option, which may be an equation."""
    if isinstance(part.response, ChoiceResponse) and isinstance(part.response.key.content, Maths):
        return part.response.key.content
    return part.key


def _gives(key: Maths, stem: Content) -> bool:
    if not is_statement(key):
        return seen(key) in {seen(filling) for filling in stem.fillings if isinstance(filling, Maths)}
    return f" {seen(key)} " in f" {seen(stem)} ".replace(".", " ").replace(",", " ")


def _row_that_gives(part: Part) -> Maths | None:
    """The first row of a match that looks like its target; None where none does."""
    if not isinstance(part.response, MatchResponse):
        return None
    targets = {target.identifier: target.content for target in part.response.targets}
    shown = ((row.statement, targets[row.target]) for row in part.response.rows)
    return next((r for r, target in shown if isinstance(target, Maths) and seen(r) == seen(target)), None)


RULE = Rule("stem-gives-key", f"{HALADYNA}, guidelines 4 and 28 (no item implies a key)", _look)
