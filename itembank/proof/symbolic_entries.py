"""The boxes of an entry on the second road: their values in sympy's numbers, their form by its number theory."""

from __future__ import annotations

from dataclasses import replace
from functools import cmp_to_key
from math import gcd

from itembank.expressions.display import Decimal
from itembank.items import SIGNS, Blank, BoxValue, EntryResponse
from itembank.proof.symbolic_numbers import CannotTell, Rooted, rational, square_root, square_root_parts
from itembank.proof.symbolic_part import Answer, Asked, same
from itembank.proof.symbolic_positive import PositiveFormula
from itembank.proof.symbolic_reading import Fraction
from itembank.proof.symbolic_regions import Stretches
from itembank.proof.symbolic_rounding import within
from itembank.proof.symbolic_sets import Points
from itembank.proof.symbolic_text import piece

__all__ = ["entered", "entry_fault"]

Groups = tuple[tuple[BoxValue, ...], ...]


def entered(asked: Asked, response: EntryResponse, values: tuple[Groups, ...], join: str = "") -> Answer:
    """What an entry says: one tuple of groups of boxes for each blank. Raises CannotTell.

    join: of the inequalities of an interval.
    """
    blanks = response.blanks
    if blanks[0].ends:
        return asked.answer(piece(_inequalities(blanks[0], values[0], join)))
    if blanks[0].letter:
        return asked.space.value(piece(_brackets(blanks[0], values[0][0])))
    if asked.rewrite:
        (value, *others) = _numbers(blanks[0], values[0][0])
        if others:
            raise CannotTell("a pair of values stands for an expression")
        return value
    if response.points:
        return _points(asked, response, values)
    if len(blanks) == 1:
        return frozenset((number,) for group in values[0] for number in _numbers(blanks[0], group))
    point: dict[str, Rooted] = {}
    for blank, groups in zip(blanks, values, strict=True):
        found = [number for group in groups for number in _numbers(blank, group)]
        if len(found) != 1:
            raise CannotTell("several values in one of several blanks")
        point[blank.unknown] = found[0]
    return frozenset({tuple(point[name] for name in asked.unknowns)})


def _points(asked: Asked, response: EntryResponse, values: tuple[Groups, ...]) -> Points:
    """The boxes of both coordinates with one number are one point."""
    if len({len(groups) for groups in values}) > 1 or set(asked.unknowns) != {
        b.unknown for b in response.blanks
    }:
        raise CannotTell("a point is entered by one of its coordinates only")
    found: set[tuple[Rooted, ...]] = set()
    for groups in zip(*values, strict=True):
        point = {b.unknown: _numbers(b, group) for b, group in zip(response.blanks, groups, strict=True)}
        found.add(tuple(point[name][0] for name in asked.unknowns))
    return frozenset(found)


def _brackets(blank: Blank, boxes: tuple[BoxValue, ...]) -> str:
    """The product of brackets in the language's own spelling."""
    held = dict(zip(blank.boxes, boxes, strict=True))
    first, second = (f"(({held[a]})*{blank.letter} + ({held[b]}))" for a, b in ("ab", "cd"))
    return f"({held.get('k', 1)})*{first}*{second}"


def _inequalities(blank: Blank, groups: Groups, join: str) -> str:
    """The inequalities of an interval in the language's own spelling."""
    told = []
    for sign, *end in groups:
        held = dict(zip(blank.boxes[1:], end, strict=True))
        value = f"({held['value']})" if "value" in held else ""
        if blank.ends == "fraction":
            value = f"({held['numerator']})/({held['denominator']})"
        if blank.ends == "surd":
            root = f"({held.get('q', 1)})*sqrt({held['r']})"
            value = f"(({held.get('p', 0)}) + {root})/({held.get('s', 1)})"
        told.append(f"{blank.unknown} {SIGNS.get(str(sign), '?')} {value}")
    return f" {join} ".join(told)


def _numbers(blank: Blank, boxes: tuple[BoxValue, ...]) -> list[Rooted]:
    """The numbers that one group of boxes stands for; two for a pair with ±."""
    held = {role: _number(value) for role, value in zip(blank.boxes, boxes, strict=True)}
    if blank.form in {"integer", "decimal"}:
        return [held["value"]]
    if blank.form == "fraction":
        return [held["numerator"] * held["denominator"].inverse()]
    zero, one = rational(0), rational(1)
    surd = held.get("q", one) * square_root(held.get("r", one))
    below = held.get("s", one).inverse()
    signed = (surd, -surd) if blank.pair else (surd,)
    return [(held.get("p", zero) + each) * below for each in signed]


def _number(value: BoxValue) -> Rooted:
    match value:
        case None:
            raise CannotTell("an empty box")
        case Decimal(exact):
            return rational(exact.numerator, exact.denominator)
        case str():
            raise CannotTell("a word stands in a box of numbers")
        case _:
            return rational(value)


def entry_fault(asked: Asked, response: EntryResponse, wanted: Answer) -> str:
    """What is wrong with the keyed boxes; "" where they hold exactly the key in the asked form."""
    if not isinstance(wanted, Rooted) and not wanted:
        if any(blank.values for blank in response.blanks):
            return "there is no real solution, but boxes are keyed"
        ticked = response.tick and response.tick_is_right
        return "" if ticked else "there is no real solution, but no tick says so"
    if response.tick_is_right:
        return "the tick is keyed, but there are solutions"
    for blank in response.blanks:
        if not blank.values:
            return f"nothing is keyed for {blank.unknown or 'the answer'}"
        for group in blank.values:
            held = dict(zip(blank.boxes, group, strict=True))
            held.pop("sign", None)
            fault = _form_fault(replace(blank, form=blank.ends, pair=False) if blank.ends else blank, held)
            if fault:
                return fault
    if any(blank.form == "decimal" for blank in response.blanks):
        return _decimal_fault(asked, response, wanted)
    values = tuple(blank.values for blank in response.blanks)
    if response.points and len({len(groups) for groups in values}) > 1:
        return "a point is keyed by one of its coordinates only"
    found = entered(asked, response, values, response.blanks[0].join)
    if response.points and isinstance(found, frozenset) and len(found) < len(values[0]):
        return "a point is keyed twice"
    return "" if same(found, wanted) else "the keyed boxes are not the key"


def _form_fault(blank: Blank, held: dict[str, BoxValue]) -> str:
    if blank.form == "decimal":
        return ""
    whole = {role: value for role, value in held.items() if isinstance(value, int)}
    if len(whole) != len(held):
        return "a whole number is missing in a box"
    if blank.letter and "k" in whole and (gcd(whole["a"], whole["b"]), gcd(whole["c"], whole["d"])) != (1, 1):
        return "a bracket has a common factor"
    if blank.form == "fraction":
        n, d = whole["numerator"], whole["denominator"]
        return "" if d >= 1 and gcd(n, d) == 1 else f"{n}/{d} is not in lowest terms"
    if blank.form == "surd":
        p, q, r, s = (whole.get(role, default) for role, default in (("p", 0), ("q", 1), ("r", 1), ("s", 1)))
        if s < 1 or r < 2 or q == 0 or (blank.pair and q < 1) or gcd(p, q, s) != 1:
            return f"({p} + {q}√{r})/{s} is not in simplest form"
        if square_root_parts(r) != (1, r):
            return f"{r} has a square factor"
    return ""


def _decimal_fault(asked: Asked, response: EntryResponse, wanted: Answer) -> str:
    if isinstance(wanted, Stretches):
        raise CannotTell("decimals for whole stretches")
    if isinstance(wanted, Fraction | PositiveFormula):
        raise CannotTell("decimals for an expression with letters")
    points: Points = frozenset({(wanted.number(),)}) if isinstance(wanted, Rooted) else wanted
    for position, blank in enumerate(response.blanks):
        column = asked.unknowns.index(blank.unknown) if blank.unknown else 0
        exact = _sorted({point[column] for point in points})
        keyed = _sorted({number for group in blank.values for number in _numbers(blank, group)})
        if len(exact) != len(keyed):
            return f"blank {position + 1} has {len(keyed)} values, the problem {len(exact)}"
        for right, shown in zip(exact, keyed, strict=True):
            fits = within(right, shown, blank.places) if blank.form == "decimal" else right == shown
            if not fits:
                return f"blank {position + 1} is not the value to {blank.places} places"
    return ""


def _sorted(numbers: set[Rooted]) -> list[Rooted]:
    return sorted(numbers, key=cmp_to_key(_order))


def _order(first: Rooted, second: Rooted) -> int:
    return (first - second).sign()
