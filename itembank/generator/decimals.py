"""Answers as the boxes of decimals show them: `n = 96.05` and not `n = 1921/20`, `x ≈ 2.85` beside (5 + √41)/4."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from typing import cast

from itembank.expressions import canonical, tree
from itembank.expressions.canonical import Form, Kind
from itembank.expressions.display import Decimal, Maths, Shape
from itembank.expressions.form_layout import node_of
from itembank.expressions.layout import lay_out
from itembank.expressions.tree import Node
from itembank.generator.bound import Forms
from itembank.generator.boxes import width
from itembank.items import BoxValue
from itembank.templates.template import PartTemplate

__all__ = ["as_decimals", "in_decimals", "places_asked", "rounded_answer"]


def places_asked(part: PartTemplate) -> int:
    """The decimal places that the only blank of a part asks for; 0 where it asks for no decimal."""
    blanks = part.response.blanks
    return blanks[0].places if len(blanks) == 1 and blanks[0].form == "decimal" else 0


def in_decimals(part: PartTemplate, forms: Forms) -> Forms:
    """An answer's forms, those of unknowns whose blanks ask for decimals shown as such, where they end in time."""
    blanks = part.response.blanks
    if not any(blank.form == "decimal" for blank in blanks):
        return forms
    if len(blanks) == 1:
        return tuple([as_decimals(form, blanks[0].places) for form in forms])
    places = {blank.unknown: blank.places for blank in blanks if blank.form == "decimal"}
    if len(forms) != len(part.unknowns):
        return forms
    return tuple(
        as_decimals(form, places[name]) if name in places else form
        for name, form in zip(part.unknowns, forms, strict=True)
    )


def as_decimals(form: Form, places: int) -> Form:
    """The form of one number, or of a set of them, shown with so many decimal places, exactly.

    A form of which some number does not end there comes back as it was.

    >>> as_decimals(canonical.ratio(1921, 20), 2)
    (('+.',), (Decimal(value=Fraction(1921, 20), places=2),))
    >>> as_decimals(canonical.ratio(2, 3), 2)
    (('+/',), (2, 3))
    """
    kind, numbers = form
    if kind[0] != "set":
        return _decimal(form, places) or form
    shown: list[Form] = []
    position = 0
    for each in cast("tuple[Kind, ...]", kind[1:]):
        after = position + width(each)
        decimal = _decimal((each, numbers[position:after]), places)
        if decimal is None:
            return form
        shown.append(decimal)
        position = after
    return ("set", *(each for each, _ in shown)), tuple(number for _, held in shown for number in held)


def _decimal(form: Form, places: int) -> Form | None:
    found = canonical.rational(form)
    if found is None:
        return None
    value = Fraction(*found)
    if value == 0:
        return form
    if 10**places % value.denominator:
        return None
    return ("+." if value > 0 else "-.",), (Decimal(abs(value), places),)  # type: ignore[return-value]


def rounded_answer(unknown: str, groups: Sequence[tuple[BoxValue, ...]], answer: Maths) -> Maths | None:
    """`x ≈ -0.35 or x ≈ 2.85`, an answer as the boxes of a decimal hold it; None where it shows its decimals.

    groups: what the boxes hold; answer: the key, or what a slip leads to.
    """
    if any(isinstance(number, Decimal) for number in answer.numbers) or not unknown:
        return None
    values = [group[0] for group in groups]
    decimals = sorted((value for value in values if isinstance(value, Decimal)), key=_value)
    if not decimals or len(decimals) != len(values):
        return None
    signs = tuple(_sign(each.value) for each in decimals)
    return Maths(
        _close_to(unknown, signs),
        tuple(Decimal(abs(each.value), each.places) for each in decimals),
    )


def _value(decimal: Decimal) -> Fraction:
    return decimal.value


def _sign(value: Fraction) -> str:
    return "-." if value < 0 else "+."


@cache
def _close_to(unknown: str, signs: Sequence[str]) -> Shape:
    name = tree.Name(unknown)
    parts = tuple(
        tree.Relation((name, cast(Node, node_of((sign,), hole)[0])), ("≈",))
        for hole, sign in enumerate(signs)
    )
    return lay_out(tree.Or(parts) if len(parts) > 1 else parts[0], len(parts))
