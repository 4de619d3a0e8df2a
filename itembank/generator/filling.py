"""Plans and texts filled with an item's forms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from itembank.content import Content
from itembank.content import Filling as TextFilling
from itembank.expressions.display import Display, Letter, Maths, parts
from itembank.generator.bound import Forms
from itembank.generator.recipe import Shown, TextRecipe
from itembank.templates.template import Words

Rows = Mapping[str, Mapping[str, str]]
"""Parameter of words -> the columns of the row chosen for the item."""


def filled(shown: Shown, forms: Forms) -> Maths:
    """Displayed mathematics of a plan."""
    return shown.plan.fill(tuple([forms[leaf] for leaf in shown.leaves]))


def followed(shown: Shown, forms: Forms, unknowns: Sequence[str]) -> Maths | None:
    """The key in the unknowns of earlier parts; None where these numbers leave none of them in it, as b - m*0 does.

    unknowns: the part's own.
    """
    maths = filled(shown, forms)
    return maths if _letters(maths.shape.display) > set(unknowns) else None


@cache
def _letters(display: Display) -> frozenset[str]:
    if isinstance(display, Letter):
        return frozenset({display.name})
    return frozenset(name for part in parts(display) for name in _letters(part))


def filled_text(text: TextRecipe, forms: Forms, rows: Rows) -> Content:
    """A text with its mathematics and words."""
    if text.constant is not None:
        return text.constant
    fillings: list[TextFilling] = [
        rows[hole.parameter][hole.column] if isinstance(hole, Words) else filled(hole, forms)
        for hole in text.holes
    ]
    return Content(text.shape, tuple(fillings))
