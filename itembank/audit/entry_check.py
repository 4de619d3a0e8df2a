"""Boxes: what is keyed in them is exactly the key's solutions, in the form that is asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from math import gcd

from itembank.audit import numbers
from itembank.audit.facts import Box, Facts
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Letter, Point
from itembank.audit.numbers import Number
from itembank.audit.part_view import PartView
from itembank.audit.structure import decimal, integer

__all__ = [
    "check_entry", "entered_values", "entry_values", "groups", "is_pair", "keyed_text", "not_in_form",
]  # fmt: skip

_ROLES = {
    "integer": {"value"}, "decimal": {"value"}, "fraction": {"numerator", "denominator"}, "surd": {"p", "q", "r", "s"},
}  # fmt: skip
_ROLES["brackets"] = {"k", "a", "b", "c", "d"}
_ROLES |= {f"interval {ends}": {"sign", "join", *roles} for ends, roles in _ROLES.items()}


def check_entry(
    view: PartView, facts: Facts, compared: Callable[[PartView, Facts], Iterator[Fault]] | None = None
) -> Iterator[Fault]:
    """Everything wrong with the boxes of a part and what is keyed in them.

    compared: what is wrong with the keyed values, `entry_values` unless said.
    """
    if view.choice is not None or not view.boxes:
        yield Fault("unclear-interaction", "a part of this kind has boxes and no choice", place=view.place)
        return
    try:
        yield from _tick(view, facts)
        unclear = list(_unclear(view))
        yield from unclear
        if not unclear:
            yield from (compared or entry_values)(view, facts)
    except CannotTell as stuck:
        yield Fault("cannot-tell", f"what belongs in the boxes cannot be decided: {stuck}", place=view.place)


def groups(boxes: tuple[Box, ...]) -> dict[tuple[str, int], dict[str, Box]]:
    """The boxes of each value: (unknown, slot) -> role -> box; what joins two inequalities belongs to neither."""
    found: dict[tuple[str, int], dict[str, Box]] = {}
    for box in boxes:
        if box.role in {"join", "word"}:
            continue
        found.setdefault((box.unknown, box.slot), {})[box.role] = box
    return found


def is_pair(group: Mapping[str, Box]) -> bool:
    """Whether the boxes stand for two values: a ± is shown before the root's factor."""
    first = group.get("q") or group.get("r")
    return first is not None and "±" in first.before


def _tick(view: PartView, facts: Facts) -> Iterator[Fault]:
    none = view.part.shape != "rewrite" and view.mathematics.has_none(view.problem())
    declared = facts.response(view.tick.response) if view.tick else None
    ticked = bool(declared and declared.correct)
    if none and view.tick is None:
        yield Fault(
            "no-tick", "the problem has no real solution and the item has no way to say so", place=view.place
        )
    elif none and not ticked:
        yield Fault(
            "wrong-tick", "the problem has no real solution and the tick is not keyed", place=view.place
        )
    elif ticked and not none:
        yield Fault("wrong-tick", "the tick is keyed and the problem has a real solution", place=view.place)


def _unclear(view: PartView) -> Iterator[Fault]:
    if len({(box.unknown, box.slot, box.role) for box in view.boxes}) < len(view.boxes):
        yield Fault("unclear-box", "two boxes say they are the same", place=view.place)
    for box in view.boxes:
        if box.form == "one-of":
            continue
        if box.unknown and box.unknown not in view.part.unknowns:
            yield Fault("unclear-box", f"{box.unknown!r} is no unknown of the problem", place=box.response)
        if bool(box.unknown) == (view.part.shape == "rewrite"):
            yield Fault("unclear-box", "the box does not fit the shape of the problem", place=box.response)
        if box.role not in _ROLES.get(box.form, set()):
            yield Fault("unclear-box", f"a {box.form} has no box {box.role!r}", place=box.response)
    for group in groups(view.boxes).values():
        yield from _unclear_group(group)
    yield from _beside(view)


def _beside(view: PartView) -> Iterator[Fault]:
    """What stands before a box is its unknown, or the problem."""
    for box in view.boxes:
        unknowns = {each.unknown for each in view.boxes if each.beside == box.beside}
        for node in box.beside:
            named = view.letters(view.part.problem) if box.form == "brackets" else unknowns
            known = isinstance(node, Letter) and node.name in named
            if isinstance(node, Point):  # `points_check` looks at which letter is which coordinate
                known = {node.first, node.second} == {Letter(name) for name in view.part.unknowns}
            if not known and node != view.part.problem:
                message = "the formula beside the box is neither its unknown nor the problem"
                yield Fault("stem-differs", message, place=box.response)


def _unclear_group(group: dict[str, Box]) -> Iterator[Fault]:
    box = next(iter(group.values()))
    if len({each.form for each in group.values()}) > 1:
        yield Fault("unclear-box", "the boxes of one value have different forms", place=box.response)
    form = box.form.removeprefix("interval ")
    if form == "fraction" and len(group) - ("sign" in group) != 2:
        yield Fault("unclear-box", "a fraction has not two boxes", place=box.response)
    if form != "surd":
        return
    root = group.get("r")
    if root is None:
        yield Fault("unclear-box", "a surd has no box under the root", place=box.response)
        return
    first = group.get("q") or root
    if "p" in group and sum(first.before.count(sign) for sign in "±+−") != 1:
        yield Fault(
            "unclear-box", "it is not plain whether + or ± stands between the boxes", place=first.response
        )
    if "√" not in root.before:
        yield Fault("unclear-box", "no root stands before the box of what is under it", place=root.response)


def entry_values(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the numbers that are keyed."""
    entered: dict[str, list[tuple[Number, Fraction]]] = {}
    for (unknown, _), group in groups(view.boxes).items():
        texts = {role: keyed_text(facts, box) for role, box in group.items()}
        place = next(iter(group.values())).response
        if all(text == "" for text in texts.values()):
            continue
        if "" in texts.values():
            yield Fault("half-filled", "some boxes of the value are keyed and others are not", place=place)
            return
        message = not_in_form(next(iter(group.values())).form, texts, is_pair(group))
        if message:
            yield Fault("wrong-form", message, place=place)
            return
        entered.setdefault(unknown, []).extend(entered_values(texts, group))
    yield from _compared(view, entered)


def keyed_text(facts: Facts, box: Box) -> str:
    """What is keyed for a box, as text; "" where it stays empty."""
    declared = facts.response(box.response)
    return declared.correct[0] if declared and declared.correct else ""


def not_in_form(form: str, texts: Mapping[str, str], pair: bool) -> str:
    """Why keyed boxes are not in the form that is asked for, "" where they are."""
    if form == "decimal":
        return "" if decimal(texts["value"]) is not None else "the keyed decimal is none"
    values = {role: integer(text) for role, text in texts.items()}
    whole = {role: value for role, value in values.items() if value is not None}
    if len(whole) < len(values):
        return "a box that takes a whole number is keyed with something else"
    if form == "fraction":
        return _not_a_fraction(whole["numerator"], whole["denominator"])
    if form == "surd":
        return _not_simplest(whole, pair)
    return ""


def _not_a_fraction(numerator: int, denominator: int) -> str:
    if denominator < 1:
        return "the denominator is below 1"
    return "" if gcd(numerator, denominator) == 1 else "the fraction is not in lowest terms"


def _not_simplest(whole: dict[str, int], pair: bool) -> str:
    p, q, r, s = whole.get("p", 0), whole.get("q", 1), whole["r"], whole.get("s", 1)
    if s < 1:
        return "the denominator is below 1"
    if q == 0 or (pair and q < 1):
        return "the factor before the root is not 1 or more"
    if r < 2 or numbers.square_part(r)[0] != 1:
        return "the number under the root is not free of squares"
    return "" if gcd(p, q, s) == 1 else "the surd is not in lowest terms"


def entered_values(texts: Mapping[str, str], group: Mapping[str, Box]) -> list[tuple[Number, Fraction]]:
    """The values of one group, each with how far the exact value may lie from it."""
    form = next(iter(group.values())).form
    if form == "decimal":
        text = texts["value"]
        return [(Fraction(text), Fraction(1, 2 * 10 ** len(text.partition(".")[2])))]
    whole = {role: int(text) for role, text in texts.items()}
    if form == "integer":
        return [(whole["value"], Fraction(0))]
    if form == "fraction":
        return [(numbers.divide(whole["numerator"], whole["denominator"]), Fraction(0))]
    root = numbers.square_root(whole["r"]) * whole.get("q", 1)
    values = [numbers.divide(whole.get("p", 0) + root, whole.get("s", 1))]
    if is_pair(group):
        values.append(numbers.divide(whole.get("p", 0) - root, whole.get("s", 1)))
    return [(value, Fraction(0)) for value in values]


def _compared(view: PartView, entered: dict[str, list[tuple[Number, Fraction]]]) -> Iterator[Fault]:
    asked = {box.unknown for box in view.boxes if box.form != "one-of"}
    if not asked and view.boxes:
        return  # words alone
    found = view.values(view.part.key)
    if view.part.shape == "rewrite":
        if not _agree([row[0] for row in found], entered.get("", [])):
            yield Fault("wrong-boxes", "the keyed boxes are not the value of the key", place=view.place)
        return
    if set(view.part.unknowns) - {box.unknown for box in view.boxes}:
        yield Fault("unclear-box", "there is an unknown without a box", place=view.place)
    for unknown in sorted(asked):
        column = view.part.unknowns.index(unknown)
        if not _agree(list({row[column] for row in found}), entered.get(unknown, [])):
            message = f"the keyed boxes for {unknown} are not exactly the key's solutions"
            yield Fault("wrong-boxes", message, place=view.place)


def _agree(right: list[Number], entered: list[tuple[Number, Fraction]]) -> bool:
    """Whether the entered values are the right ones, one for one."""
    return (
        len(right) == len(entered)
        and all(any(_near(value, exact, within) for value, within in entered) for exact in right)
        and all(any(_near(value, exact, within) for exact in right) for value, within in entered)
    )


def _near(value: Number, exact: Number, within: Fraction) -> bool:
    if within == 0:
        return value == exact
    difference = exact - value
    return numbers.sign(difference - within) <= 0 <= numbers.sign(difference + within)
