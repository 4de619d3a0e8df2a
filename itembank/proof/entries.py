"""The boxes of an entry: what they are worth together, and whether they are in the form that is asked."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

from itembank.expressions import numbers, polynomials
from itembank.expressions.numbers import Exact
from itembank.expressions.polynomials import Polynomial
from itembank.items import Blank, BoxValue, EntryResponse, Part
from itembank.proof import claims, identity, meaning
from itembank.proof.box_values import box_values
from itembank.proof.entered_points import entered_points, point_fault
from itembank.proof.identity import Identity
from itembank.proof.intervals import end_blank, entered_region, interval_fault
from itembank.verdicts import Proved


def entry_set(
    part: Part, response: EntryResponse, values: tuple[tuple[tuple[BoxValue, ...], ...], ...], join: str = ""
) -> Identity:
    """The identity of what is entered: one tuple of groups for each blank, in the blanks' order.

    join: of the inequalities of an interval.
    """
    blank = response.blanks[0]
    if blank.ends:
        ends = end_blank(blank)
        signs = [(str(group[0]), box_values(ends, group[1:])[0]) for group in values[0]]
        return identity.of_region(entered_region(signs, join))
    if blank.letter:
        return identity.of_expression(bracket_product(blank, values[0][0]))
    if part.problem.shape == "rewrite":
        return identity.of_number(box_values(response.blanks[0], values[0][0])[0])
    if response.points:
        return entered_points(part, response, values)
    if len(response.blanks) == 1:
        quick = (
            _surd_identity(blank, values[0]) if blank.form == "surd" else _whole_identity(blank, values[0])
        )
        if quick is not None:
            return quick
    if len(response.blanks) == 1:
        found = [value for group in values[0] for value in box_values(response.blanks[0], group)]
        return identity.of_set(frozenset((value,) for value in found), 1)
    order = [
        next(i for i, b in enumerate(response.blanks) if b.unknown == name) for name in part.problem.unknowns
    ]
    point = tuple(box_values(response.blanks[i], values[i][0])[0] for i in order)
    return identity.of_set(frozenset({point}), len(point))


def _whole_identity(blank: Blank, groups: tuple[tuple[BoxValue, ...], ...]) -> Identity | None:
    """One or two whole numbers by the polynomial with these roots; None for anything else."""
    if blank.form != "integer":
        return None
    match groups:
        case ((int(only),),):
            return (0, 1, -only)
        case ((int(first),), (int(second),)) if first != second:
            return (1, -(first + second), first * second)
        case _:
            return None


def _surd_identity(blank: Blank, groups: tuple[tuple[BoxValue, ...], ...]) -> Identity | None:
    """(p ± q√r)/s by its polynomial s²t² - 2pst + p² - q²r; None for what is no such pair."""
    if not blank.pair or len(groups) != 1:
        return None
    held = dict(zip(blank.boxes, groups[0], strict=True))
    p, q, r, s = (held.get(role, default) for role, default in (("p", 0), ("q", 1), ("r", 1), ("s", 1)))
    if not (isinstance(p, int) and isinstance(q, int) and isinstance(r, int) and isinstance(s, int)) or not (
        q and r > 0 and s
    ):
        return None
    a, b, c = s * s, -2 * p * s, p * p - q * q * r
    common = gcd(a, b, c)
    return (a // common, b // common, c // common)


def entry_faults(part: Part, response: EntryResponse, wanted: Identity) -> str:
    """What is wrong with an entry's keyed boxes; "" when they hold exactly the key in the asked form."""
    for blank in response.blanks:
        if fault := _room_fault(blank, of_points=response.points):
            return fault
    if wanted == identity.EMPTY:
        if any(blank.values for blank in response.blanks):
            return "there is no real solution, but boxes are keyed"
        return (
            ""
            if response.tick and response.tick_is_right
            else "there is no real solution, but no tick says so"
        )
    if response.tick_is_right:
        return "the tick is keyed, but there are solutions"
    if response.points and (fault := point_fault(response)):
        return fault
    for blank in response.blanks:
        if not blank.values:
            return f"nothing is keyed for {blank.unknown or 'the answer'}"
        fault = interval_fault(blank, blank.values) if blank.ends else ""
        for group in blank.values if not fault else ():
            fault = _form_fault(end_blank(blank), group[1:]) if blank.ends else _form_fault(blank, group)
            if fault:
                break
        if fault:
            return fault
    if any(blank.form == "decimal" for blank in response.blanks):
        return _decimal_fault(part, response)
    found = entry_set(
        part, response, tuple(blank.values for blank in response.blanks), response.blanks[0].join
    )
    return "" if found == wanted else "the keyed boxes are not the key"


def _room_fault(blank: Blank, *, of_points: bool) -> str:
    """Why what is keyed cannot be entered: values that share boxes, or come in one order only.

    of_points: the values are coordinates, which several points may share; `point_fault` looks at the points.
    """
    if blank.slots < max(1, len(blank.values)):
        return f"there are not boxes enough for the values of {blank.unknown or 'the answer'}"
    if of_points:
        return ""
    if len(set(blank.values)) < len(blank.values):
        return f"a value of {blank.unknown or 'the answer'} is keyed twice"
    if len(blank.values) > 1 and not blank.any_order:
        return f"the values of {blank.unknown or 'the answer'} are keyed in one order only"
    return ""


def marked_alike(
    response: EntryResponse,
    first: tuple[tuple[tuple[BoxValue, ...], ...], ...],
    second: tuple[tuple[tuple[BoxValue, ...], ...], ...],
) -> bool:
    """Whether boxes filled one way are marked as those filled another: decimals within their blank's tolerance."""
    if first == second or not any(blank.form == "decimal" for blank in response.blanks):
        return first == second
    for blank, *pair in zip(response.blanks, first, second, strict=True):
        one, other = (sorted((box_values(blank, group)[0] for group in each), key=_Order) for each in pair)
        allowed = blank.tolerance.value if blank.tolerance is not None else Fraction(0)
        if len(one) != len(other) or any(
            numbers.compare(_distance(a, b), allowed) > 0 for a, b in zip(one, other, strict=True)
        ):
            return False
    return True


def _distance(first: Exact, second: Exact) -> Exact:
    difference = numbers.subtract(first, second)
    return difference if numbers.sign(difference) >= 0 else numbers.negate(difference)


def _whole(held: dict[str, BoxValue], role: str, default: int) -> int:
    value = held.get(role, default)
    return value if isinstance(value, int) else default


def bracket_product(blank: Blank, boxes: tuple[BoxValue, ...]) -> Polynomial:
    """k(ax + b)(cx + d), multiplied out."""
    held = dict(zip(blank.boxes, boxes, strict=True))
    product = polynomials.number(_whole(held, "k", 1))
    for first, second in ("ab", "cd"):
        linear = polynomials.scale(polynomials.letter(blank.letter), _whole(held, first, 0))
        product = polynomials.multiply(
            product, polynomials.add(linear, polynomials.number(_whole(held, second, 0)))
        )
    return product


def _form_fault(blank: Blank, group: tuple[BoxValue, ...]) -> str:
    held = dict(zip(blank.boxes, group, strict=True))
    if blank.letter:
        if any(not isinstance(value, int) for value in held.values()):
            return "brackets have whole numbers in their boxes"
        common = [gcd(_whole(held, first, 0), _whole(held, second, 0)) for first, second in ("ab", "cd")]
        return "a bracket has a common factor" if "k" in held and common != [1, 1] else ""
    if blank.form == "integer" and not isinstance(held["value"], int):
        return f"{held['value']} is no whole number"
    if blank.form == "fraction":
        n, d = held["numerator"], held["denominator"]
        if not (isinstance(n, int) and isinstance(d, int) and d >= 1 and gcd(n, d) == 1):
            return f"{n}/{d} is not in lowest terms"
    if blank.form == "surd":
        p, q, r, s = (held.get(role, default) for role, default in (("p", 0), ("q", 1), ("r", 1), ("s", 1)))
        if not (isinstance(p, int) and isinstance(q, int) and isinstance(r, int) and isinstance(s, int)):
            return "a surd has whole numbers in its boxes"
        if s < 1 or r < 2 or q == 0 or (blank.pair and q < 1) or gcd(p, q, s) != 1:
            return f"({p} + {q}√{r})/{s} is not in simplest form"
        if not isinstance(claims.prove("squarefree", r), Proved):
            return f"{r} has a square factor"
    return ""


def _decimal_fault(part: Part, response: EntryResponse) -> str:
    """Decimals are right when each lies within half a unit of its last place of the exact value."""
    solutions = (
        meaning.solutions(
            part.problem.statement, part.problem.unknowns, part.problem.for_every, part.problem.main_letter
        )
        if part.problem.shape != "rewrite"
        else frozenset({(meaning.value(part.problem.statement).constant(),)})
    )
    if part.problem.domain is not None:
        domain = part.problem.domain
        solutions = frozenset(
            s
            for s in solutions
            if meaning.satisfies(domain, dict(zip(part.problem.unknowns, s, strict=True)))
        )
    for position, blank in enumerate(response.blanks):
        exact = sorted({s[_column(part, blank)] for s in solutions}, key=_Order)
        keyed = sorted((box_values(blank, group)[0] for group in blank.values), key=_Order)
        if len(exact) != len(keyed):
            return f"blank {position + 1} has {len(keyed)} values, the problem {len(exact)}"
        half = Fraction(1, 2 * 10**blank.places) if blank.form == "decimal" else Fraction(0)
        for right, shown in zip(exact, keyed, strict=True):
            if numbers.compare(_distance(right, shown), half) > 0:
                return f"{shown} is not the value to {blank.places} places"
    return ""


def _column(part: Part, blank: Blank) -> int:
    return part.problem.unknowns.index(blank.unknown) if blank.unknown else 0


class _Order:
    """Sorts exact numbers."""

    def __init__(self, number: Exact) -> None:
        self.number = number

    def __lt__(self, other: _Order) -> bool:
        return numbers.compare(self.number, other.number) < 0
