"""From a canonical form to what belongs in a pupil's boxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import isqrt
from typing import Any, TypeAlias, cast

from itembank.errors import DomainError
from itembank.expressions import canonical
from itembank.expressions.canonical import Form, Kind
from itembank.expressions.display import Decimal
from itembank.expressions.exact import rounded
from itembank.items import BoxValue
from itembank.templates.template import BlankTemplate, PartTemplate


class NotInForm(DomainError):
    """An answer that cannot be written in the form its blank asks for."""


def box_roles(form: str, has_rational_part: bool, has_denominator: bool) -> tuple[str, ...]:
    """The boxes of one value: p only where a rational part can occur, s only where a denominator can.

    >>> box_roles("surd", False, True)
    ('q', 'r', 's')
    """
    if form == "fraction":
        return ("numerator", "denominator")
    if form == "brackets":
        return (("k",) if has_denominator else ()) + ("a", "b", "c", "d")
    if form.startswith("interval"):
        return ("sign", *box_roles(form.partition(" ")[2], has_rational_part, has_denominator))
    if form != "surd":
        return ("value",)
    return (("p",) if has_rational_part else ()) + ("q", "r") + (("s",) if has_denominator else ())


def box_groups(blank: BlankTemplate, roles: tuple[str, ...], form: Form) -> tuple[tuple[BoxValue, ...], ...]:
    """One group of box contents for each value of a form, ascending. Raises NotInForm."""
    if blank.letter:
        return (bracket_group(roles, form),)
    return tuple(_group(blank, roles, single) for single in split(form, blank.form == "surd"))


Marked: TypeAlias = tuple[Form | tuple[Fraction, ...], ...]


def as_marked(part: PartTemplate, forms: Sequence[Form]) -> Marked | None:
    """An answer as its boxes are marked, blank by blank: decimals once rounded, other numbers by their form.

    None where it does not fit the boxes. Words beside boxes are left out: the numbers alone tell the cause.
    """
    found: list[Form | tuple[Fraction, ...]] = []
    for blank in part.response.blanks:
        if blank.words:
            continue
        form = forms[part.unknowns.index(blank.unknown)] if len(forms) > 1 else forms[0]
        if blank.form != "decimal":
            found.append(form)
            continue
        try:
            found.append(tuple(map(_number, box_groups(blank, ("value",), form))))
        except NotInForm:
            return None
    return tuple(found)


def marked_alike(part: PartTemplate, first: Marked, second: Marked) -> bool:
    """Whether two answers earn the same: decimals within their blank's tolerance, other numbers equal."""
    blanks = [blank for blank in part.response.blanks if not blank.words]
    for blank, one, other in zip(blanks, first, second, strict=True):
        if blank.form != "decimal":
            if one != other:
                return False
            continue
        pair = cast("tuple[tuple[Fraction, ...], tuple[Fraction, ...]]", (one, other))
        allowed = blank.tolerance or Fraction(0)
        if len(one) != len(other) or any(abs(a - b) > allowed for a, b in zip(*pair, strict=True)):
            return False
    return True


def _number(group: tuple[BoxValue, ...]) -> Fraction:
    (held,) = group
    assert isinstance(held, Decimal)
    return held.value


def split(form: Form, pairs_stay: bool) -> list[Form]:
    """The single values of a form; a pair p ± q*sqrt(r) stays one where pairs_stay."""
    kind, numbers = form
    if kind[0] == "none":
        return []
    if kind[0] == "region":
        raise NotInForm("the answer has intervals in it, which the form interval takes")
    if kind[0] == "set":
        return members(form)
    if kind[0] == "surd" and kind[4] == "±" and not pairs_stay:
        negative = {"1": "-1", "+": "-"}[str(kind[2])]
        return [((*kind[:2], negative, kind[3], "+"), numbers), ((*kind[:4], "+"), numbers)]
    return [form]


def members(form: Form) -> list[Form]:
    """The forms that a set is made of, or the coordinates of points one after another.

    >>> members((("set", ("-",), ("+",)), (2, 5)))
    [(('-',), (2,)), (('+',), (5,))]
    """
    kind, numbers = form
    return in_turn(cast("tuple[Kind, ...]", kind[1:]), numbers)


def in_turn(kinds: Iterable[Kind], numbers: tuple[int, ...]) -> list[Form]:
    """Each kind with as many of the numbers as it takes, one kind after the other."""
    found: list[Form] = []
    position = 0
    for kind in kinds:
        after = position + width(kind)
        found.append((kind, numbers[position:after]))
        position = after
    return found


def as_values(form: Form) -> Form:
    """The form of each value by itself: a pair p ± q*sqrt(r) as the set of its two.

    >>> from itembank.expressions import canonical
    >>> as_values(canonical.surd(3, 1, 1, 1, 5, 1, True))
    (('set', ('surd', '+', '-1', '1', '+'), ('surd', '+', '1', '1', '+')), (3, 5, 3, 5))
    """
    if form[0][0] != "surd" or form[0][4] != "±":
        return form
    low, high = split(form, pairs_stay=False)
    return ("set", low[0], high[0]), (*low[1], *high[1])


def width(kind: Kind) -> int:
    """How many numbers the holes of one value take."""
    match kind:
        case ("0",) | ("1",) | ("-1",):
            return 0
        case ("+/",) | ("-/",):
            return 2
        case ("surd", p, q, d, _):
            return 1 + (p != "0") + (q in {"+", "-"}) + (d == "+")
        case _:
            return 1


def bracket_group(roles: tuple[str, ...], form: Form) -> tuple[BoxValue, ...]:
    """What stands in the boxes of brackets; without a box for it, a whole number goes into the first bracket.

    >>> bracket_group(("a", "b", "c", "d"), canonical.factors(1, -1, -6))
    (1, -3, 1, 2)
    """
    kind: Any
    kind, held = form
    if kind[0] != "factors":
        raise NotInForm("the answer is no product of brackets")
    read = [_rational(part) for part in in_turn((kind[1], *kind[2], *(kind[3] or ())), held)]
    (scale, below), (a, _), (b, _), *rest = read
    (c, _), (d, _) = rest or read[1:3]
    if below != 1:
        raise NotInForm("a fraction stands before the brackets")
    values = {"k": scale, "a": a, "b": b, "c": c, "d": d}
    if "k" not in roles:
        values |= {"a": a * scale, "b": b * scale}
    return tuple(values[role] for role in roles)


def _group(blank: BlankTemplate, roles: tuple[str, ...], form: Form) -> tuple[BoxValue, ...]:
    if blank.form == "surd":
        parts = _surd_parts(form)
        for role, default in (("p", 0), ("s", 1)):
            if role not in roles and parts[role] != default:
                raise NotInForm(f"the answer needs a box for {role}")
        return tuple(parts[role] for role in roles)
    if blank.form == "decimal":
        return (Decimal(_decimal(form, blank.places), blank.places),)
    n, d = _rational(form)
    if blank.form == "fraction":
        return (n, d)
    if d != 1:
        raise NotInForm(f"the answer {n}/{d} is no whole number")
    return (n,)


def _rational(form: Form) -> tuple[int, int]:
    value = canonical.rational(form)
    if value is None:
        raise NotInForm("the answer is irrational")
    return value


def _surd_parts(form: Form) -> dict[str, int]:
    kind: Any
    kind, numbers = form
    if kind[0] != "surd":
        raise NotInForm("the answer has no root")
    held = list(numbers)
    p = held.pop(0) * (1 if kind[1] == "+" else -1) if kind[1] != "0" else 0
    q = {"1": 1, "-1": -1}.get(kind[2]) or held.pop(0) * (1 if kind[2] == "+" else -1)
    r = held.pop(0)
    return {"p": p, "q": q, "r": r, "s": held.pop(0) if held else 1}


def _decimal(form: Form, places: int) -> Fraction:
    """The value rounded half away from zero to so many places, exactly: no float, by whole-number roots."""
    if form[0][0] != "surd":
        return rounded(Fraction(*_rational(form)), places)
    parts = _surd_parts(form)
    scale = 10**places
    p, q, s = 2 * scale * parts["p"], 2 * scale * parts["q"], parts["s"]
    square = q * q * parts["r"]
    root = isqrt(square)
    # floor of (p ± sqrt(square)) / s; the square is no perfect one, so the lower side is one further down
    doubled = (p + root) // s if q > 0 else (p - root - 1) // s
    # an irrational number is never half-way, so adding one half and rounding down is right for either sign
    return Fraction((doubled + 1) // 2, scale)
