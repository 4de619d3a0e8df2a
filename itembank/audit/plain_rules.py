"""Conditions of rules whose types are plain beforehand, worked out no further than the answer needs.

In general an expression looks at all its parts, since one of them may do what the standard does not allow. Where every
part is a comparison of single values of known types none can: `and` then ends at the first part that is false, `or` at
the first that is true, and truth is a plain True, False or None for NULL. What answers hold is looked at before they
are given to such conditions (`answers_fit`): values as declared, numbers of at most NUMBER_BITS bits.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, TypeAlias

from lxml import etree

from itembank.audit.facts import Response
from itembank.audit.findings import Fault
from itembank.audit.rule_expressions import BITS, LONGEST_TEXT, Value
from itembank.audit.xml_reading import local_name

__all__ = ["Plain", "Truth", "answers_fit"]

NUMBER_BITS: Final = 120
_LARGE: Final = 1 << NUMBER_BITS - 1
Truth: TypeAlias = Callable[[Any], bool | None]
_Scalar: TypeAlias = Callable[[Any], Any]
_ORDERS: Final = {
    "qti-lt": operator.lt, "qti-lte": operator.le, "qti-gt": operator.gt, "qti-gte": operator.ge,
}  # fmt: skip
_NUMBERS: Final = frozenset({"integer", "float"})


def answers_fit(answers: Mapping[str, Value], declared: Mapping[str, Response]) -> bool:
    """Whether answers are of the types that are declared, and no number is very large."""
    for name, value in answers.items():
        known = declared.get(name)
        if known is None or value.base != known.base_type or value.cardinality != known.cardinality:
            return False
        if not value.items or (value.cardinality == "single" and len(value.items) != 1):
            return False
        if value.base in _NUMBERS and not all(_is_small(item) for item in value.items):
            return False
    return True


def _is_small(item: object) -> bool:
    if type(item) is int:
        return -_LARGE < item < _LARGE
    if isinstance(item, bool) or not isinstance(item, int | Fraction):
        return False
    return item.numerator.bit_length() + item.denominator.bit_length() <= NUMBER_BITS


@dataclass(frozen=True, slots=True)
class _Typed:
    """An expression of one value; bits: how large a number can be."""

    base: str
    value: _Scalar
    bits: int = 0


class _NotPlain(Exception):
    """The types are not plain, or something could go wrong."""


class Plain:
    """Compiles conditions. constant: gives the value of a text of a type as a function of the run."""

    def __init__(
        self, responses: Mapping[str, Response], constant: Callable[[str, str], Callable[[Any], Value | None]],
        pattern: Callable[[str], tuple[Any, Callable[[Any], str] | None]],
    ) -> None:  # fmt: skip
        self._responses, self._constant, self._pattern = responses, constant, pattern

    def truth(self, element: etree._Element) -> Truth | None:
        """A condition, None where it is not of the plain kind."""
        try:
            return self._truth(element)
        except (_NotPlain, Fault):
            return None

    def _truth(self, element: etree._Element) -> Truth:
        name = local_name(element)
        if name in {"qti-and", "qti-or"} and len(element):
            parts = tuple(self._truth(each) for each in element)
            return _every(parts) if name == "qti-and" else _some(parts)
        if name == "qti-not" and len(element) == 1:
            inner = self._truth(element[0])
            return lambda run: None if (found := inner(run)) is None else not found
        if name == "qti-is-null" and len(element) == 1:
            return self._is_null(element[0])
        if name == "qti-pattern-match" and len(element) == 1:
            return self._matches(element)
        if name == "qti-match" and len(element) == 2:
            first, second = (self._single(each) for each in element)
            if first.base != second.base or first.base == "float":
                raise _NotPlain
            return _related(operator.eq, first.value, second.value)
        if name in _ORDERS and len(element) == 2:
            low, high = (self._number(each) for each in element)
            return _related(_ORDERS[name], low.value, high.value)
        if name == "qti-equal" and len(element) == 2 and element.get("tolerance-mode", "exact") == "exact":
            first, second = (self._number(each) for each in element)
            return _related(operator.eq, first.value, second.value)
        if name == "qti-member" and len(element) == 2:
            return self._member(element)
        raise _NotPlain

    def _declared(self, element: etree._Element) -> Response:
        known = self._responses.get(element.get("identifier", ""))
        if known is None or local_name(element) != "qti-variable" or len(element):
            raise _NotPlain
        return known

    def _is_null(self, element: etree._Element) -> Truth:
        known = self._declared(element)
        name = known.identifier
        if known.base_type == "string":  # an empty text is NULL
            return lambda run: (given := run.responses.get(name)) is None or given.items == ("",)
        return lambda run: name not in run.responses

    def _member(self, element: etree._Element) -> Truth:
        held, known = self._single(element[0]), self._declared(element[1])
        if known.cardinality == "single" or known.base_type != held.base:
            raise _NotPlain
        name, sought = known.identifier, held.value

        def member(run: Any) -> bool | None:
            given, item = run.responses.get(name), sought(run)
            return None if given is None or item is None else item in given.items

        return member

    def _matches(self, element: etree._Element) -> Truth:
        known = self._declared(element[0])
        if known.base_type != "string" or known.cardinality != "single":
            raise _NotPlain
        name = known.identifier
        pattern, held = self._pattern(element.get("pattern", ""))
        fits = pattern.fullmatch

        def matches(run: Any) -> bool | None:
            given = run.responses.get(name)
            return None if given is None else fits(given.items[0][:LONGEST_TEXT]) is not None

        def matches_held(run: Any) -> bool | None:
            given = run.responses.get(name)
            if given is None:
                return None
            found = fits(given.items[0][:LONGEST_TEXT])
            return found is not None and found[1] == held(run)  # type: ignore[misc]

        return matches if held is None else matches_held

    def _single(self, element: etree._Element) -> _Typed:
        """A single value: a response, a constant or what is keyed."""
        name = local_name(element)
        if name == "qti-base-value" and not len(element):
            return self._held(element.get("base-type", ""), (element.text or "").strip())
        if name == "qti-correct" and not len(element):
            known = self._responses.get(element.get("identifier", ""))
            if known is None or known.cardinality != "single" or len(known.correct) != 1:
                raise _NotPlain
            return self._held(known.base_type, known.correct[0])
        known = self._declared(element)
        if known.cardinality != "single":
            raise _NotPlain
        response = known.identifier

        def given(run: Any) -> Any:
            value = run.responses.get(response)
            return None if value is None else value.items[0]

        return _Typed(known.base_type, given, NUMBER_BITS)

    def _held(self, base: str, text: str) -> _Typed:
        constant = self._constant(base, text)

        def held(run: Any) -> Any:
            value = constant(run)
            return None if value is None else value.items[0]

        return _Typed(base, held, NUMBER_BITS if base == "integer" else 2 * NUMBER_BITS)

    def _number(self, element: etree._Element) -> _Typed:
        name = local_name(element)
        if name in {"qti-sum", "qti-product", "qti-subtract"} and len(element):
            parts = [self._number(each) for each in element]
            if name == "qti-subtract" and len(parts) != 2:
                raise _NotPlain
            multiplied = name == "qti-product"
            bits = sum(part.bits for part in parts) + len(parts)
            if bits > BITS:
                raise _NotPlain
            base = "integer" if all(part.base == "integer" for part in parts) else "float"
            work = operator.mul if multiplied else operator.sub if name == "qti-subtract" else operator.add
            return _Typed(base, _folded(work, [part.value for part in parts]), bits)
        if name in {"qti-max", "qti-min"} and len(element):
            parts = [self._number(each) for each in element]
            if len({part.base for part in parts}) > 1:
                raise _NotPlain
            largest = _folded(max if name == "qti-max" else min, [part.value for part in parts])
            return _Typed(parts[0].base, largest, max(part.bits for part in parts))
        if name == "qti-integer-divide" and len(element) == 2:
            above, below = (self._number(each) for each in element)
            if above.base != "integer" or below.base != "integer":
                raise _NotPlain
            return _Typed("integer", _divided(above.value, below.value), above.bits + 1)
        found = self._single(element)
        if found.base not in _NUMBERS:
            raise _NotPlain
        return found


def _every(parts: tuple[Truth, ...]) -> Truth:
    def every(run: Any) -> bool | None:
        found: bool | None = True
        for part in parts:
            truth = part(run)
            if truth is False:
                return False
            if truth is None:
                found = None
        return found

    return every


def _some(parts: tuple[Truth, ...]) -> Truth:
    def some(run: Any) -> bool | None:
        found: bool | None = False
        for part in parts:
            truth = part(run)
            if truth is True:
                return True
            if truth is None:
                found = None
        return found

    return some


def _related(holds: Callable[[Any, Any], bool], first: _Scalar, second: _Scalar) -> Truth:
    def related(run: Any) -> bool | None:
        left, right = first(run), second(run)
        return None if left is None or right is None else holds(left, right)

    return related


def _divided(above: _Scalar, below: _Scalar) -> _Scalar:
    """Division of whole numbers, NULL where it is by 0."""

    def divided(run: Any) -> Any:
        first, second = above(run), below(run)
        return None if first is None or not second else first // second

    return divided


def _folded(work: Callable[[Any, Any], Any], parts: Iterable[_Scalar]) -> _Scalar:
    first, *others = parts

    def folded(run: Any) -> Any:
        total = first(run)
        if total is None:
            return None
        for other in others:
            value = other(run)
            if value is None:
                return None
            total = work(total, value)
        return total

    return folded
