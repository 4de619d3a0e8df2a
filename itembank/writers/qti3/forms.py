"""How one value in its boxes is marked, form by form: exactly as keyed, or equal but not in the form asked for.

A form knows the names of the facts that its rules need of a value (`names`), works them out (`facts`), and writes two
conditions with the facts as holes: `exact`, and `alike` for an equal value that is not simplified.

The standard's type `integer` is 32 bits wide and platforms differ in what happens beyond (they wrap round, stop at
the largest, or go on), so a condition is true only where every product in it stays within that range: an entry with
absurdly large numbers earns nothing for being equal.
Source: QTI 2.1 and 3.0, base types (from memory: -2147483648 to 2147483647); arithmetic of surds, common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import isqrt
from typing import Final, Protocol, TypeAlias

from itembank.errors import DomainError
from itembank.expressions.display import Decimal
from itembank.items import SIGNS, WORD_NAMES, Blank, BoxValue
from itembank.writers.qti3 import rules
from itembank.writers.qti3.spellings import number_pattern

__all__ = ["LARGEST", "Fact", "Form", "Names", "form_name", "form_of", "marking_name", "not_zero", "within"]

LARGEST: Final = 2**31 - 1
"""The largest number of the standard's type `integer`."""
_ROOT_OF_LARGEST: Final = isqrt(LARGEST)

Fact: TypeAlias = int | Decimal | str
Names: TypeAlias = Mapping[str, str]
"""role of a box -> identifier of its response, or name of a fact -> its hole."""


class Form(Protocol):
    """The marking of one form; all its numbers are exact."""

    base: str
    """The base type of the boxes."""

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        """Whether a denominator left empty is right, because it is 1; rules differ by this, so it is no fact."""

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        """Names of the facts, the boxes' roles first."""

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        """The facts of a value, in the order of `names`."""

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        """The boxes hold just what is keyed."""

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        """The boxes hold an equal value, perhaps not simplified; "" where a value can be written in one way only."""


def _whole(value: BoxValue) -> int:
    if not isinstance(value, int):
        raise DomainError(f"a box of whole numbers cannot hold {value}")
    return value


def _as_keyed(boxes: Names, facts: Names) -> str:
    return rules.all_of(
        *(rules.matches(rules.variable(name), rules.whole(facts[role])) for role, name in boxes.items())
    )


def within(identifier: str, limit: str) -> list[str]:
    """-limit <= response <= limit; the limit is at least 1."""
    value = rules.variable(identifier)
    return [rules.at_most(value, rules.whole(limit)), rules.at_least(value, rules.whole(f"-{limit}"))]


def _fits(first: str, second: str) -> str:
    """The product of two expressions stays within LARGEST; told without working it out."""
    room = rules.floor_divided(rules.whole(LARGEST), rules.larger(_size(second), rules.whole(1)))
    return rules.at_most(_size(first), room)


def _size(number: str) -> str:
    """An expression without its sign."""
    return rules.larger(number, rules.product(rules.whole(-1), number))


def not_zero(number: str) -> str:
    """A number, given as an expression, is not 0."""
    return rules.negated(rules.equal(number, rules.whole(0)))


class _Integer:
    """A whole number: one way to write it."""

    base = "integer"

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return False

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return roles

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        return tuple(_whole(each) for each in value)

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return _as_keyed(boxes, facts)

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return ""


class _Fraction:
    """n/d, keyed as N/D in lowest terms; alike where n*D = d*N and d is not 0."""

    base = "integer"

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return False

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return (*roles, "most above", "most below")

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        held = {role: _whole(each) for role, each in zip(blank.boxes, value, strict=True)}
        above, below = held["numerator"], held["denominator"]
        return (*held.values(), LARGEST // below, LARGEST // max(abs(above), 1))

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return _as_keyed(boxes, facts)

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        above, below = boxes["numerator"], boxes["denominator"]
        across = rules.equal(
            rules.product(rules.variable(above), rules.whole(facts["denominator"])),
            rules.product(rules.variable(below), rules.whole(facts["numerator"])),
        )
        limits = [*within(above, facts["most above"]), *within(below, facts["most below"])]
        return rules.all_of(*limits, not_zero(rules.variable(below)), across)


class _Decimal:
    """A decimal: right where least <= entry <= most.

    The two ends are worked out here, exactly. Comparing with a tolerance would leave the sum to the platform's
    floats, and an entry that lies just on the end could be refused; an entry and an end with the same digits are the
    same float on every platform.
    """

    base = "float"

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return False

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return (*roles, "least", "most")

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        (held,) = value
        if not isinstance(held, Decimal):
            raise DomainError(f"a box of decimals cannot hold {held}")
        if blank.tolerance is None:
            return (held, held, held)
        places = max(held.places, blank.tolerance.places)
        least, most = held.value - blank.tolerance.value, held.value + blank.tolerance.value
        return (held, Decimal(least, places), Decimal(most, places))

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        entry = rules.variable(boxes["value"])
        least, most = rules.real(facts["least"]), rules.real(facts["most"])
        return rules.all_of(rules.at_least(entry, least), rules.at_most(entry, most))

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return ""


class _Surd:
    """(p + q√r)/s, or both values with ±, keyed as (P + Q√R)/S in simplest form; a box not shown is p = 0 or s = 1.

    √R is irrational, so an entry is equal where its rational part is and its root part is: p*S = P*s and
    q²*r*S² = Q²*R*s², s not 0, r at least 1; of a single value q*s must also have the sign of Q (S is above 0).
    Where S is 1, an s box left empty is as good as a 1 in it.
    """

    base = "integer"

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return "s" in blank.boxes and value[blank.boxes.index("s")] == 1

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return (*roles, "square", "scale", "sign of q", "most p", "most s", "most square")

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        held = {role: _whole(each) for role, each in zip(blank.boxes, value, strict=True)}
        p, q, r, s = held.get("p", 0), held.get("q", 1), held["r"], held.get("s", 1)
        square = q * q * r
        most_s = min(isqrt(LARGEST // square), LARGEST // max(abs(p), 1)) if square else 1
        return (
            *held.values(), square, s * s, 1 if q > 0 else -1,
            LARGEST // s, max(min(most_s, _ROOT_OF_LARGEST), 1), LARGEST // (s * s),
        )  # fmt: skip

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        if not whole:
            return _as_keyed(boxes, facts)
        before = {role: name for role, name in boxes.items() if role != "s"}
        one = rules.any_of(rules.is_empty(boxes["s"]), _as_keyed({"s": boxes["s"]}, facts))
        return rules.all_of(_as_keyed(before, facts), one)

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        if "s" not in boxes:
            return rules.all_of(*self._whole_parts(boxes, facts, pair))
        scaled = rules.all_of(*self._scaled_parts(boxes, facts, pair))
        if not whole:
            return scaled
        left_out = [rules.is_empty(boxes["s"]), *self._whole_parts(boxes, facts, pair)]
        return rules.any_of(scaled, rules.all_of(*left_out))

    def _root(self, boxes: Names, facts: Names) -> tuple[list[str], list[str]]:
        """Limits under which q²r times the scale stays in range; and the factors of q²r."""
        q, r = (rules.variable(boxes[role]) for role in "qr")
        # divided, not multiplied, so that the limit itself stays in range; r below 1 is refused beside it
        room = rules.floor_divided(rules.whole(facts["most square"]), rules.larger(r, rules.whole(1)))
        limits = [
            rules.at_least(r, rules.whole(1)),
            *within(boxes["q"], str(_ROOT_OF_LARGEST)),
            rules.at_most(rules.product(q, q), room),
        ]
        return limits, [q, q, r]

    def _scaled_parts(self, boxes: Names, facts: Names, pair: bool) -> list[str]:
        s = rules.variable(boxes["s"])
        limits, square = self._root(boxes, facts)
        parts = [*within(boxes["s"], facts["most s"]), not_zero(rules.variable(boxes["s"])), *limits]
        if "p" in boxes:
            p = rules.variable(boxes["p"])
            across = rules.product(p, rules.whole(facts["s"])), rules.product(rules.whole(facts["p"]), s)
            parts += [*within(boxes["p"], facts["most p"]), rules.equal(*across)]
        parts.append(
            rules.equal(
                rules.product(*square, rules.whole(facts["scale"])),
                rules.product(rules.whole(facts["square"]), s, s),
            )
        )
        if not pair:
            q = rules.variable(boxes["q"])
            parts.append(rules.greater(rules.product(q, s, rules.whole(facts["sign of q"])), rules.whole(0)))
        return parts

    def _whole_parts(self, boxes: Names, facts: Names, pair: bool) -> list[str]:
        """The same with s = 1 = S."""
        limits, square = self._root(boxes, facts)
        parts = list(limits)
        if "p" in boxes:
            parts.append(rules.matches(rules.variable(boxes["p"]), rules.whole(facts["p"])))
        parts.append(rules.equal(rules.product(*square), rules.whole(facts["square"])))
        if not pair:
            q = rules.variable(boxes["q"])
            parts.append(rules.greater(rules.product(q, rules.whole(facts["sign of q"])), rules.whole(0)))
        return parts


class _Brackets:
    """k(ax + b)(cx + d), equal where its three coefficients are; simplest where no bracket has a common factor.

    Without a box for k every product of whole numbers that is equal is right. Nothing is multiplied before a division
    has told that it stays in range, so how large the numbers may be depends on the product alone.
    """

    base = "integer"

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return False

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return (*roles, "square", "linear", "constant")

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        held = {role: _whole(each) for role, each in zip(blank.boxes, value, strict=True)}
        k, a, b, c, d = held.get("k", 1), held["a"], held["b"], held["c"], held["d"]
        return (*held.values(), k * a * c, k * (a * d + b * c), k * b * d)

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        equal = self._equal(boxes, facts)
        if "k" not in boxes:
            return rules.all_of(*equal)
        simple = [
            rules.equal(
                rules.common_divisor(rules.variable(boxes[first]), rules.variable(boxes[second])),
                rules.whole(1),
            )
            for first, second in ("ab", "cd")
        ]
        return rules.all_of(*equal, *simple)

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return rules.all_of(*self._equal(boxes, facts)) if "k" in boxes else ""

    @staticmethod
    def _equal(boxes: Names, facts: Names) -> list[str]:
        a, b, c, d = (rules.variable(boxes[role]) for role in "abcd")
        square, constant = rules.product(a, c), rules.product(b, d)
        middle = rules.total(rules.product(a, d), rules.product(b, c))
        limits = [limit for name in boxes.values() for limit in within(name, str(LARGEST))]
        limits += [_fits(first, second) for first, second in ((a, c), (b, d), (a, d), (b, c))]
        room = rules.difference(rules.whole(LARGEST), _size(rules.product(b, c)))
        limits.append(rules.at_most(_size(rules.product(a, d)), room))
        expanded = [square, middle, constant]
        if "k" in boxes:
            k = rules.variable(boxes["k"])
            limits += [_fits(k, each) for each in expanded]
            expanded = [rules.product(k, a, c), rules.product(k, middle), rules.product(k, b, d)]
        told = zip(expanded, ("square", "linear", "constant"), strict=True)
        return [*limits, *(rules.equal(each, rules.whole(facts[name])) for each, name in told)]


class _Interval:
    """An inequality: a sign that is chosen, and an end marked by its own form."""

    def __init__(self, ends: Form) -> None:
        self.ends = ends
        self.base = ends.base

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return self.ends.is_whole(_end(blank), value[1:])

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return (roles[0], *self.ends.names(roles[1:]))

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        if value[0] not in SIGNS:
            raise DomainError(f"a box of signs cannot hold {value[0]}")
        return (str(value[0]), *self.ends.facts(_end(blank), value[1:]))

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return rules.all_of(self._signed(boxes, facts), self.ends.exact(_ends(boxes), facts, pair, whole))

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        equal = self.ends.alike(_ends(boxes), facts, pair, whole)
        return equal and rules.all_of(self._signed(boxes, facts), equal)

    @staticmethod
    def _signed(boxes: Names, facts: Names) -> str:
        return rules.matches(rules.variable(boxes["sign"]), rules.identifier(facts["sign"]))


def _end(blank: Blank) -> Blank:
    return replace(blank, boxes=blank.boxes[1:])


def _ends(boxes: Names) -> Names:
    return {role: identifier for role, identifier in boxes.items() if role != "sign"}


class _Typed:
    """A number typed as text, in any of its spellings; compared and nothing else, so no arithmetic needs it."""

    base = "string"

    def __init__(self, mark: str) -> None:
        self.mark = mark

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return False

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return (*roles, "spellings")

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        (held,) = value
        if isinstance(held, Decimal) != (blank.form == "decimal"):
            raise DomainError(f"a box of this form cannot hold {held}")
        number = held if isinstance(held, Decimal) else _whole(held)
        return (number, number_pattern(number, self.mark))

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return rules.is_spelled(boxes["value"], facts["spellings"])

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return ""


class _OneOf:
    """Words, of which one is chosen by its name."""

    base = "identifier"

    def is_whole(self, blank: Blank, value: tuple[BoxValue, ...]) -> bool:
        return False

    def names(self, roles: tuple[str, ...]) -> tuple[str, ...]:
        return roles

    def facts(self, blank: Blank, value: tuple[BoxValue, ...]) -> tuple[Fact, ...]:
        name = str(value[0])
        if name not in WORD_NAMES[: len(blank.words)]:
            raise DomainError(f"none of the words is named {name}")
        return (name,)

    def exact(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return rules.matches(rules.variable(boxes["word"]), rules.identifier(facts["word"]))

    def alike(self, boxes: Names, facts: Names, pair: bool, whole: bool) -> str:
        return ""


_VALUES: Final[Mapping[str, Form]] = {
    "integer": _Integer(), "fraction": _Fraction(), "decimal": _Decimal(), "surd": _Surd(),
}  # fmt: skip
_FORMS: Final[Mapping[str, Form]] = {
    **_VALUES, "brackets": _Brackets(), "one-of": _OneOf(),
    "typed integer .": _Typed("."), "typed integer ,": _Typed(","),
    "typed decimal .": _Typed("."), "typed decimal ,": _Typed(","),
    **{f"interval {name}": _Interval(form) for name, form in _VALUES.items()},
}  # fmt: skip


def form_name(blank: Blank) -> str:
    """The form of a blank with that of its ends."""
    return f"{blank.form} {blank.ends}" if blank.ends else blank.form


def marking_name(blank: Blank, mark: str) -> str:
    """The form by which a blank is marked; mark: the decimal mark where its numbers may be typed as text, else "".

    A decimal with a tolerance is compared as a number.
    """
    if mark and (blank.form == "integer" or (blank.form == "decimal" and blank.tolerance is None)):
        return f"typed {blank.form} {mark}"
    return form_name(blank)


def form_of(name: str) -> Form:
    """The marking of a form by its name. Raises KeyError for a form that items do not have."""
    return _FORMS[name]
