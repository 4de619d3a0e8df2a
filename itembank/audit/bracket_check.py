"""A product of two brackets in boxes: what is keyed equals the problem, and products nearly right are tried."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from math import gcd

from itembank.audit import polynomials, ratios
from itembank.audit.entry_check import groups, keyed_text
from itembank.audit.facts import Facts
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node, Numeral, Power, Product, Sum
from itembank.audit.letters import seen_letter
from itembank.audit.numbers import Rational
from itembank.audit.part_view import PartView
from itembank.audit.polynomials import Polynomial
from itembank.audit.probes import UNSIMPLIFIED_MARK, Probe, first_box, put
from itembank.audit.rule_expressions import Value
from itembank.audit.structure import integer

__all__ = ["bracket_probes", "bracket_values", "entered_brackets", "has_brackets"]


def has_brackets(view: PartView) -> bool:
    """Whether a part's boxes stand in brackets."""
    return any(box.form == "brackets" for box in view.boxes)


def bracket_values(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with what is keyed in the boxes of brackets."""
    found = groups(view.boxes)
    if view.part.shape != "rewrite" or len(found) != 1:
        yield Fault("unclear-box", "brackets take one expression apart", place=view.place)
        return
    (group,) = found.values()
    if not {"a", "b", "c", "d"} <= set(group):
        yield Fault("unclear-box", "a bracket has not two boxes", place=view.place)
        return
    letter = _letter(view)
    before = f"{seen_letter(letter)}+"
    shown = {"a": "(", "b": before, "c": ")(", "d": before}
    if any(not group[role].before.endswith(signs) for role, signs in shown.items()):
        yield Fault(
            "unclear-box", "it is not plain what stands between the boxes of brackets", place=view.place
        )
        return
    held: dict[str, int] = {}
    for role, box in group.items():
        value = integer(keyed_text(facts, box))
        if value is None:
            message = "a box that takes a whole number is keyed with something else"
            yield Fault("wrong-form", message, place=box.response)
            return
        held[role] = value
    if _polynomial(letter, held) != _value(view.part.problem):
        yield Fault("wrong-boxes", "the keyed brackets are not equal to the problem", place=view.place)
    if "k" in held and (gcd(held["a"], held["b"]), gcd(held["c"], held["d"])) != (1, 1):
        yield Fault("wrong-form", "a bracket has a common factor", place=view.place)


def _letter(view: PartView) -> str:
    named = view.letters(view.part.problem)
    if len(named) != 1:
        raise CannotTell("the problem is no expression in one letter")
    return min(named)


def _value(node: Node) -> Polynomial:
    (found,) = ratios.expression(node)
    below = polynomials.constant(found.below)
    if below != 1:
        raise CannotTell("the expression is no polynomial")
    return found.above


def _polynomial(letter: str, held: Mapping[str, int]) -> Polynomial:
    product = polynomials.number(held.get("k", 1))
    for first, second in ("ab", "cd"):
        linear = polynomials.scale(polynomials.letter(letter), held[first])
        product = polynomials.multiply(product, polynomials.add(linear, polynomials.number(held[second])))
    return product


def entered_brackets(view: PartView, node: Node) -> dict[str, Value] | None:
    """The boxes filled with a product as it is displayed; None where it does not go into them."""
    (group,) = groups(view.boxes).values()
    letter = _letter(view)
    scale, brackets = 1, list[tuple[int, int]]()
    for factor in _factors(node):
        polynomial = _value(factor)
        powers = polynomials.by_powers(polynomial, letter)
        numbers = [polynomials.constant(powers.get(exponent, {})) for exponent in (1, 0)]
        whole = [number for number in numbers if isinstance(number, int)]
        if max(powers, default=0) > 1 or len(whole) < 2:
            return None
        if whole[0]:
            brackets.append((whole[0], whole[1]))
        else:
            scale *= whole[1]
    if len(brackets) != 2:
        return None
    ((a, b), (c, d)) = brackets
    held = {"k": scale, "a": a, "b": b, "c": c, "d": d}
    if "k" not in group:
        held |= {"a": a * scale, "b": b * scale}
    return put(group, {}, {role: held[role] for role in group})


def _factors(node: Node) -> Iterator[Node]:
    match node:
        case Product(factors):
            for factor in factors:
                yield from _factors(factor)
        case Power(base, Numeral("2")):
            yield from (base, base)
        case Sum((("-", inner),)):
            yield Sum((("-", Numeral("1")),))
            yield from _factors(inner)
        case _:
            yield node


def bracket_probes(
    view: PartView, right: Mapping[str, Value], total: Rational, worth: Rational
) -> Iterator[Probe]:
    """Products equal and nearly equal. right: the right answers of all parts, which earn `total`; worth: the part's."""
    (group,) = groups(view.boxes).values()
    if any(box.response not in right for box in group.values()):
        return
    held = {r: item for r, box in group.items() if isinstance(item := right[box.response].items[0], int)}
    place, none = first_box(group), total - worth
    a, b, c, d = (held[role] for role in "abcd")

    def tried(**changed: int) -> dict[str, Value]:
        return put(group, right, {**held, **changed})

    swapped = tried(a=c, b=d, c=a, d=b)
    yield Probe(swapped, total, True, "order-matters", "the same brackets in another order earn less", place)
    turned = tried(a=-a, b=-b, c=-c, d=-d)
    yield Probe(turned, total, True, "order-matters", "both brackets with the other sign earn less", place)
    for role in group:
        message = "another number in a bracket earns marks"
        yield Probe(tried(**{role: held[role] + 1}), none, False, "wrong-entry-earns", message, place)
    if b or d:
        message = "a bracket with the other sign earns marks"
        yield Probe(tried(b=-b, d=d if b else -d), none, False, "wrong-entry-earns", message, place)
    for role, box in group.items():
        missing = {name: value for name, value in right.items() if name != box.response}
        yield Probe(missing, none, False, "wrong-entry-earns", f"an empty box {role} earns marks", place)
    if "k" in held and held["k"] % 2 == 0:
        inside = tried(k=held["k"] // 2, a=2 * a, b=2 * b)
        message = "a common factor left in a bracket does not cost one mark"
        yield Probe(inside, total - min(Fraction(1), worth), True, UNSIMPLIFIED_MARK, message, place)
