"""Answers as the boxes of decimals show them: `n = 96.05` and not `n = 1921/20`, `x ≈ 2.85` for (5 + √41)/4."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import cache
from typing import TypeAlias, cast

from itembank.expressions import canonical, tree
from itembank.expressions.canonical import Form, Kind
from itembank.expressions.display import Decimal, Maths, Shape
from itembank.expressions.form_layout import node_of
from itembank.expressions.layout import lay_out
from itembank.expressions.tree import Node
from itembank.generator.bound import Forms
from itembank.generator.boxes import members
from itembank.items import BoxValue
from itembank.templates.template import PartTemplate

__all__ = ["as_decimals", "in_decimals", "rounded_answer"]

_Groups: TypeAlias = Sequence[tuple[BoxValue, ...]]


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
    return _ended(form, places) or form


def _ended(form: Form, places: int) -> Form | None:
    """The same; None where some number does not end there."""
    if form[0][0] != "set":
        return _decimal(form, places)
    shown: list[Form] = []
    for each in members(form):
        decimal = _decimal(each, places)
        if decimal is None:
            return None
        shown.append(decimal)
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


def rounded_answer(part: PartTemplate, forms: Forms, held: Sequence[_Groups]) -> Maths | None:
    """An answer as the boxes of decimals hold it, where they round it; None where it shows its decimals.

    `x ≈ -0.35 or x ≈ 2.85`; of several unknowns `p = 3.50 and q ≈ 0.33`; of an expression `√8 ≈ 2.83`, for the decimal
    alone would not say that it is rounded. forms: the key's, or what a slip leads to; held: what each blank's boxes
    hold of it, all of them numbers.
    """
    blanks = part.response.blanks
    if len(blanks) == 1:
        (blank,), (form,) = blanks, forms
        if blank.form != "decimal" or form == canonical.NONE or _ended(form, blank.places) is not None:
            return None
        decimals = _in_boxes(held[0])
        if not decimals:
            return None
        exact = () if blank.unknown else (form,)
        kinds = tuple([each for each, _ in (*exact, *map(_form, decimals))])
        shape = _close_to(blank.unknown, kinds) if blank.unknown else _close_values(*kinds)
        return _filled(shape, [*exact, *map(_form, decimals)])
    if len(forms) != len(part.unknowns):
        return None
    shown: list[Form] = []
    signs: list[str] = []
    for name, form in zip(part.unknowns, forms, strict=True):
        index = next(index for index, blank in enumerate(blanks) if blank.unknown == name)
        is_rounded = blanks[index].form == "decimal" and _ended(form, blanks[index].places) is None
        decimals = _in_boxes(held[index]) if is_rounded else []
        if form == canonical.NONE or (is_rounded and len(decimals) != 1):
            return None
        if is_rounded:
            shown.append(_form(decimals[0]))
        else:
            shown.append(as_decimals(form, blanks[index].places) if blanks[index].form == "decimal" else form)
        signs.append("≈" if is_rounded else "=")
    if "≈" not in signs:
        return None
    return _filled(_together(part.unknowns, tuple(signs), tuple([kind for kind, _ in shown])), shown)


def _in_boxes(groups: _Groups) -> list[Decimal]:
    """The decimals in a blank's boxes, ascending."""
    found = [group[0] for group in groups if isinstance(group[0], Decimal)]
    return sorted(found, key=lambda decimal: decimal.value)


def _form(decimal: Decimal) -> Form:
    """The form of a decimal, 0.00 too."""
    sign = "-." if decimal.value < 0 else "+."
    return (sign,), (Decimal(abs(decimal.value), decimal.places),)  # type: ignore[return-value]


def _filled(shape: Shape, forms: Sequence[Form]) -> Maths:
    return Maths(shape, tuple([number for _, numbers in forms for number in numbers]))


@cache
def _close_to(unknown: str, kinds: Sequence[Kind]) -> Shape:
    """x ≈ decimal or x ≈ decimal."""
    parts, used = _related(((unknown, "≈", kind) for kind in kinds), 0)
    return lay_out(tree.Or(parts) if len(parts) > 1 else parts[0], used)


@cache
def _close_values(exact: Kind, decimal: Kind) -> Shape:
    """exact ≈ decimal."""
    left, used = node_of(exact, 0)
    right, used = node_of(decimal, used)
    return lay_out(tree.Relation((cast(Node, left), cast(Node, right)), ("≈",)), used)


@cache
def _together(unknowns: Sequence[str], signs: Sequence[str], kinds: Sequence[Kind]) -> Shape:
    """p = number and q ≈ decimal."""
    parts, used = _related(zip(unknowns, signs, kinds, strict=True), 0)
    return lay_out(tree.And(parts), used)


def _related(said: Iterable[tuple[str, str, Kind]], used: int) -> tuple[tuple[Node, ...], int]:
    parts: list[Node] = []
    for name, sign, kind in said:
        value, used = node_of(kind, used)
        parts.append(tree.Relation((tree.Name(name), cast(Node, value)), (sign,)))
    return tuple(parts), used
