"""Inequalities in boxes: what is keyed says exactly the key's set, and answers nearly right to see what they earn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from itembank.audit import polynomials, real_sets
from itembank.audit.box_values import end_items
from itembank.audit.conditions import All, Any, Atom
from itembank.audit.entry_check import entered_values, groups, keyed_text, not_in_form
from itembank.audit.facts import SIGNS, Box, Facts
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.numbers import Number, Rational
from itembank.audit.part_view import PartView
from itembank.audit.probes import UNSIMPLIFIED_MARK, Group, Probe, unsimplified
from itembank.audit.real_sets import RealSet
from itembank.audit.rule_expressions import Value

__all__ = ["entered_interval", "interval_probes", "interval_values", "is_interval"]

_LOOSER = {"lt": "le", "le": "lt", "gt": "ge", "ge": "gt"}
_TURNED = {"lt": "gt", "gt": "lt", "le": "ge", "ge": "le"}


def is_interval(view: PartView) -> bool:
    """Whether a part's boxes take inequalities."""
    return any(box.form.startswith("interval ") for box in view.boxes)


def interval_values(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with what is keyed in the boxes of inequalities."""
    if len(view.part.unknowns) != 1 or {box.unknown for box in view.boxes} != set(view.part.unknowns):
        yield Fault("unclear-box", "inequalities are asked for of more than one unknown", place=view.place)
        return
    join = _join(view)
    if join is None or set(join.choices) != {"and", "or"}:
        yield Fault("unclear-box", "it cannot be said how two inequalities are joined", place=view.place)
        return
    rays: list[Atom] = []
    for group in groups(view.boxes).values():
        if "sign" not in group or set(group["sign"].choices) != set(SIGNS):
            yield Fault("unclear-box", "an inequality has no choice of its sign", place=view.place)
            return
        if not _is_whole(group):
            yield Fault("unclear-box", "an inequality has a sign and no box for its end", place=view.place)
            return
        texts = {role: keyed_text(facts, box) for role, box in group.items()}
        if not any(texts.values()):
            continue
        if "" in texts.values():
            place = group["sign"].response
            yield Fault(
                "half-filled", "some boxes of an inequality are keyed and others are not", place=place
            )
            return
        sign, end = texts.pop("sign"), _end(group)
        if sign not in SIGNS:
            yield Fault("wrong-form", f"{sign!r} is no inequality sign", place=group["sign"].response)
            return
        message = not_in_form(_ends(group), texts, False)
        if message:
            yield Fault("wrong-form", message, place=view.place)
            return
        ((value, _),) = entered_values(texts, end)
        rays.append(_ray(view, sign, value))
    joined = keyed_text(facts, join)
    if (len(rays) > 1) != bool(joined):
        yield Fault("half-filled", "it is not keyed how two inequalities are joined", place=join.response)
        return
    asked = Any(tuple(rays)) if joined == "or" else All(tuple(rays))
    found = real_sets.solve(asked, view.part.unknowns[0]) if rays else real_sets.EMPTY
    if found != _asked(view):
        yield Fault(
            "wrong-boxes", "the keyed inequalities are not exactly the key's solutions", place=view.place
        )


def _asked(view: PartView) -> RealSet:
    """The key's set."""
    found = view.mathematics.solutions(view.statement(view.part.key))
    if isinstance(found, RealSet):
        return found
    if not found:
        return real_sets.EMPTY
    raise CannotTell("the key has single values for solutions")


def _ray(view: PartView, sign: str, end: Number) -> Atom:
    letter = polynomials.letter(view.part.unknowns[0])
    return Atom(polynomials.subtract(letter, polynomials.number(end)), SIGNS[sign])


def _join(view: PartView) -> Box | None:
    found = [box for box in view.boxes if box.role == "join"]
    return found[0] if len(found) == 1 else None


def _ends(group: Mapping[str, Box]) -> str:
    return group["sign"].form.removeprefix("interval ")


def _end(group: Mapping[str, Box]) -> dict[str, Box]:
    """The boxes of the end alone, as those of a value."""
    form = _ends(group)
    return {
        role: Box(b.response, b.part, b.unknown, form, role, b.slot, b.before)
        for role, b in group.items()
        if role != "sign"
    }


def entered_interval(view: PartView, found: RealSet) -> dict[str, Value] | None:
    """The boxes filled with a set's inequalities; None where they do not go into them."""
    rays: list[tuple[str, Number]] = []
    pieces = _pieces(found)
    for low, low_in, high, high_in in pieces:
        if low is not None:
            rays.append(("ge" if low_in else "gt", low))
        if high is not None:
            rays.append(("le" if high_in else "lt", high))
    slots, join = list(groups(view.boxes).values()), _join(view)
    if not rays or len(rays) > len(slots) or join is None or not all(map(_is_whole, slots)):
        return None
    answers: dict[str, Value] = {}
    if len(rays) > 1:
        answers[join.response] = Value("identifier", ("and" if len(pieces) == 1 else "or",))
    for (sign, value), group in zip(rays, slots, strict=False):
        items = end_items(_end(group), value)
        if items is None:
            return None
        answers[group["sign"].response] = Value("identifier", (sign,))
        answers |= {group[role].response: Value("integer", (item,)) for role, item in items.items()}
    return answers


def _is_whole(group: Mapping[str, Box]) -> bool:
    """Whether boxes that are told as one inequality are a sign and an end."""
    return "sign" in group and len(group) > 1


def _pieces(found: RealSet) -> list[tuple[Number | None, bool, Number | None, bool]]:
    """The intervals from left to right; a point is one whose ends are alike."""
    pieces: list[tuple[Number | None, bool, Number | None, bool]] = []
    is_open, low_in = found.between[0], False
    start: Number | None = None
    for corner, at, after in zip(found.corners, found.at, found.between[1:], strict=True):
        if is_open and not (at and after):
            pieces.append((start, low_in, corner, at))
            is_open = False
            if after:
                is_open, start, low_in = True, corner, False
        elif not is_open and after:
            is_open, start, low_in = True, corner, at
        elif not is_open and at:
            pieces.append((corner, True, corner, True))
    if is_open:
        pieces.append((start, low_in, None, False))
    return pieces


def interval_probes(
    view: PartView, right: Mapping[str, Value], total: Rational, worth: Rational
) -> Iterator[Probe]:
    """Probes of keyed inequalities. right: the right answers of all parts, which earn `total`; worth: the part's."""
    slots = [group for group in groups(view.boxes).values() if _is_whole(group)]
    filled = [group for group in slots if group["sign"].response in right]
    join = _join(view)
    if not filled or join is None:
        return
    none = total - worth
    place = filled[0]["sign"].response
    if len(filled) == 2:
        swapped = {**right, **_moved(filled[0], filled[1], right), **_moved(filled[1], filled[0], right)}
        yield Probe(
            swapped, total, True, "order-matters", "the same inequalities in another order earn less", place
        )
        for group in filled:
            yield from _group_probes(group, swapped, total, none)
        other = "or" if right[join.response].items == ("and",) else "and"
        joined = {**right, join.response: Value("identifier", (other,))}
        yield Probe(
            joined,
            none,
            False,
            "wrong-entry-earns",
            "inequalities joined otherwise earn marks",
            join.response,
        )
        one = {name: value for name, value in right.items() if name not in _names(filled[1])}
        yield Probe(one, none, False, "wrong-entry-earns", "one of two inequalities earns marks", place)
    for spare in slots if len(filled) == 1 else ():
        if spare is not filled[0]:
            moved = {name: value for name, value in right.items() if name not in _names(filled[0])}
            moved |= _moved(filled[0], spare, right)
            message = "the inequality in the other place earns less"
            yield Probe(moved, total, True, "order-matters", message, place)
            yield from _group_probes(spare, moved, total, none)
    for group in filled:
        yield from _group_probes(group, right, total, none)


def _names(group: Group) -> set[str]:
    return {box.response for box in group.values()}


def _moved(here: Group, there: Group, right: Mapping[str, Value]) -> dict[str, Value]:
    return {there[role].response: right[here[role].response] for role in here}


def _group_probes(
    group: Group, right: Mapping[str, Value], total: Rational, none: Rational
) -> Iterator[Probe]:
    sign = group["sign"].response
    (word,) = right[sign].items
    for other in (_LOOSER[str(word)], _TURNED[str(word)]):
        changed = {**right, sign: Value("identifier", (other,))}
        yield Probe(changed, none, False, "wrong-entry-earns", "another inequality sign earns marks", sign)
    without = {name: value for name, value in right.items() if name != sign}
    yield Probe(without, none, False, "wrong-entry-earns", "an inequality without a sign earns marks", sign)
    end = _end(group)
    whole = {r: item for r, box in end.items() if isinstance(item := right[box.response].items[0], int)}
    for role, box in end.items():
        if role in {"value", "numerator", "p"}:
            more = {**right, box.response: Value("integer", (whole[role] + 1,))}
            yield Probe(more, none, False, "wrong-entry-earns", "another end earns marks", box.response)
    for role in ("s", "denominator"):
        if role in end:
            nothing = {**right, end[role].response: Value("integer", (0,))}
            message = "a denominator of 0 earns marks"
            yield Probe(nothing, none, False, "zero-denominator-earns", message, end[role].response)
    if other_form := unsimplified(whole, "denominator" if "denominator" in end else "s"):
        answers = {**right, **{end[r].response: Value("integer", (item,)) for r, item in other_form.items()}}
        message = "an equal end that is not in simplest form does not earn one mark less"
        least = total - min(Fraction(1), total - none)
        yield Probe(answers, least, True, UNSIMPLIFIED_MARK, message, sign)
