"""What the expressions of response processing work out from the values of their parts.

An expression is an operation on a list of values, NULL being None. NULL spreads through most of them; where the
standard says otherwise (`and`, `or`, `is-null`, containers) it stands here.
Source: QTI 3.0, expressions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from math import gcd, lcm
from typing import Final, NamedTuple, TypeAlias

from lxml import etree

from itembank.audit.findings import Fault
from itembank.audit.structure import decimal, integer

__all__ = [
    "FALSE", "OPERATIONS", "TRUE", "Operation", "Scalar", "Value", "known_pattern", "spaced", "text_of",
    "with_attributes",
]  # fmt: skip

Scalar: TypeAlias = str | bool | int | Fraction
BITS: Final = 512


class Value(NamedTuple):
    """base: the base type; items: one, or for a container any number from 1; NULL is None instead."""

    base: str
    items: tuple[Scalar, ...]
    cardinality: str = "single"


Operation: TypeAlias = Callable[[list[Value | None]], Value | None]
TRUE: Final = Value("boolean", (True,))
FALSE: Final = Value("boolean", (False,))


def _boolean(value: bool | None) -> Value | None:
    return None if value is None else TRUE if value else FALSE


def _truth(value: Value | None) -> bool | None:
    if value is None:
        return None
    if value.base != "boolean" or value.cardinality != "single":
        raise Fault("wrong-rule", "a logical rule is asked of what is not true or false")
    return value.items[0] is True


def _and(values: list[Value | None]) -> Value | None:
    found = [_truth(value) for value in values]
    return _boolean(False if False in found else None if None in found else True)


def _or(values: list[Value | None]) -> Value | None:
    found = [_truth(value) for value in values]
    return _boolean(True if True in found else None if None in found else False)


def _not(values: list[Value | None]) -> Value | None:
    (found,) = (_truth(value) for value in _exactly(values, 1))
    return _boolean(None if found is None else not found)


def _is_null(values: list[Value | None]) -> Value | None:
    (value,) = _exactly(values, 1)
    return _boolean(value is None or (value.base == "string" and value.items == ("",)))


def _exactly(values: list[Value | None], count: int) -> list[Value | None]:
    if len(values) != count:
        raise Fault("wrong-rule", f"an expression has {len(values)} parts, not {count}")
    return values


def _match(values: list[Value | None]) -> Value | None:
    first, second = _exactly(values, 2)
    if first is None or second is None:
        return None
    if (first.base, first.cardinality) != (second.base, second.cardinality):
        raise Fault("wrong-rule", f"a {first.base} is matched with a {second.base}")
    if first.base == "float":
        raise Fault("wrong-rule", "floats are matched, not compared as equal numbers")
    if first.cardinality == "multiple":
        return _boolean(sorted(map(str, first.items)) == sorted(map(str, second.items)))
    return _boolean(first.items == second.items)


def _member(values: list[Value | None]) -> Value | None:
    first, second = _exactly(values, 2)
    if first is None or second is None:
        return None
    if first.base != second.base or second.cardinality == "single":
        raise Fault("wrong-rule", "membership is asked of what does not fit")
    return _boolean(first.items[0] in second.items)


def _gathered(cardinality: str) -> Operation:
    def gather(values: list[Value | None]) -> Value | None:
        present = [value for value in values if value is not None]
        if not present:
            return None
        if len({value.base for value in present}) > 1:
            raise Fault("wrong-rule", "a container is made of different types")
        return Value(present[0].base, tuple(item for value in present for item in value.items), cardinality)

    return gather


def _numbers(values: list[Value | None]) -> list[int | Fraction] | None:
    """The numbers of all operands, None where one of them is NULL."""
    found: list[int | Fraction] = []
    for value in values:
        if value is None:
            return None
        if value.base not in {"integer", "float"}:
            raise Fault("wrong-rule", f"a number is asked of a {value.base}")
        found.extend(item for item in value.items if isinstance(item, int | Fraction))
    return found


def _number(value: int | Fraction) -> Value:
    if value.numerator.bit_length() + value.denominator.bit_length() > BITS:
        raise Fault("endless-rules", "a number in the rules grows too large")
    return Value("integer", (value,)) if isinstance(value, int) else Value("float", (value,))


def _folded(fold: Callable[[list[int | Fraction]], int | Fraction]) -> Operation:
    def evaluate(values: list[Value | None]) -> Value | None:
        found = _numbers(values)
        if found is None:
            return None
        if not found:
            raise Fault("wrong-rule", "a number is made of nothing")
        whole = all(isinstance(each, int) for each in found)
        result = fold(found)
        return _number(result if whole else Fraction(result))

    return evaluate


def _binary(
    name: str, work: Callable[[int | Fraction, int | Fraction], bool | int | Fraction | None]
) -> Operation:
    def evaluate(values: list[Value | None]) -> Value | None:
        found = _numbers(_exactly(values, 2))
        if found is None:
            return None
        if len(found) != 2:
            raise Fault("wrong-rule", f"{name} of containers")
        result = work(*found)
        if result is None:
            return None
        return _boolean(result) if isinstance(result, bool) else _number(result)

    return evaluate


def _product(numbers: list[int | Fraction]) -> int | Fraction:
    result: int | Fraction = 1
    for number in numbers:
        result = result * number
    return result


def _power(base: int | Fraction, exponent: int | Fraction) -> Fraction | None:
    if exponent.denominator != 1 or not -16 <= exponent <= 16:
        raise Fault("unknown-rule", "a power that is not a small whole number")
    if base == 0 and exponent <= 0:
        return None
    return Fraction(base) ** int(exponent)


def _whole(work: Callable[[int, int], int]) -> Callable[[int | Fraction, int | Fraction], int | None]:
    def evaluate(first: int | Fraction, second: int | Fraction) -> int | None:
        if not isinstance(first, int) or not isinstance(second, int):
            raise Fault("wrong-rule", "a whole number is asked of a float")
        return None if second == 0 else work(first, second)

    return evaluate


def _common(work: Callable[..., int]) -> Operation:
    def fold(numbers: list[int | Fraction]) -> int:
        whole = [number for number in numbers if isinstance(number, int)]
        if len(whole) != len(numbers):
            raise Fault("wrong-rule", "a whole number is asked of a float")
        return work(*whole)

    return _folded(fold)


def _rounded(round_off: Callable[[Fraction], int]) -> Operation:
    def evaluate(values: list[Value | None]) -> Value | None:
        found = _numbers(_exactly(values, 1))
        return None if found is None else _number(round_off(Fraction(found[0])))

    return evaluate


def _as_float(values: list[Value | None]) -> Value | None:
    found = _numbers(_exactly(values, 1))
    return None if found is None else _number(Fraction(found[0]))


def _size(values: list[Value | None]) -> Value | None:
    (value,) = _exactly(values, 1)
    return Value("integer", (0 if value is None else len(value.items),))


def with_attributes(name: str, element: etree._Element) -> Operation:
    """The operation of `equal`, `string-match`, `index` or `any-n`, which depends on the element's attributes."""
    if name == "equal":
        return _equal(element.get("tolerance-mode", "exact"), element.get("tolerance", ""), element)
    if name == "string-match":
        folded = element.get("case-sensitive") != "true"

        def same_text(values: list[Value | None]) -> Value | None:
            first, second = _exactly(values, 2)
            if first is None or second is None:
                return None
            texts = [str(value.items[0]) for value in (first, second)]
            return _boolean(len({text.casefold() if folded else text for text in texts}) == 1)

        return same_text
    if name == "pattern-match":
        pattern = known_pattern(element.get("pattern", ""))

        def matches(values: list[Value | None]) -> Value | None:
            text = text_of(values)
            return None if text is None else _boolean(pattern.fullmatch(text) is not None)

        return matches
    if name == "index":
        place = integer(element.get("n", ""))
        if place is None or place < 1:
            raise Fault("unknown-rule", "the place in an order is not a plain number")
        return lambda values: _indexed(values, place)
    if name == "any-n":
        least, most = integer(element.get("min", "")), integer(element.get("max", ""))
        if least is None or most is None:
            raise Fault("unknown-rule", "the limits of a count are not plain numbers")
        return lambda values: _some(values, least, most)
    raise Fault("unknown-rule", f"the expression {name} is not known")


_KNOWN_PATTERN: Final = re.compile(r"(?:\\[s+\-.]|\[(?:[^\[\]\\^]|\\[+\-.])+\]|[1-9](?![*+?])|0|[()*+?])+\Z")
"""Of single digits only noughts may be repeated or left out: any other would be another number."""
LONGEST_TEXT: Final = 64


def text_of(values: list[Value | None]) -> str | None:
    """The one text a pattern is asked of, as far as it is looked at; None for NULL."""
    (value,) = _exactly(values, 1)
    if value is None:
        return None
    if value.base != "string" or value.cardinality != "single":
        raise Fault("wrong-rule", "a pattern is asked of what is no text")
    return str(value.items[0])[:LONGEST_TEXT]


def spaced(pattern: str) -> str:
    """The pattern with blanks in the standard's sense."""
    return pattern.replace(r"\s", "[ \t\n\r]")


def known_pattern(text: str) -> re.Pattern[str]:
    """A pattern of the standard in the few signs by which numbers are spelled."""
    if len(text) > 200 or not _KNOWN_PATTERN.match(text):
        raise Fault("unknown-rule", "the pattern of a text is not known")
    try:
        return re.compile(spaced(text))
    except re.error:
        raise Fault("unknown-rule", "the pattern of a text is not well made") from None


def _indexed(values: list[Value | None], place: int) -> Value | None:
    (value,) = _exactly(values, 1)
    if value is not None and value.cardinality != "ordered":
        raise Fault("wrong-rule", "a place is asked of what has no order")
    return None if value is None or place > len(value.items) else Value(value.base, (value.items[place - 1],))


def _some(values: list[Value | None], least: int, most: int) -> Value | None:
    found = [_truth(value) for value in values]
    surely, perhaps = found.count(True), found.count(True) + found.count(None)
    if surely > most or perhaps < least:
        return _boolean(False)
    return _boolean(True) if least <= surely and perhaps <= most else None


def _equal(mode: str, tolerance: str, element: etree._Element) -> Operation:
    limits = [decimal(text) for text in tolerance.split()]
    if mode not in {"exact", "absolute", "relative"} or None in limits or (mode != "exact" and not limits):
        raise Fault("unknown-rule", "the tolerance of a comparison is not plain numbers")
    low, high = (limits[0], limits[-1]) if limits else (Fraction(0), Fraction(0))
    below, above = (element.get(f"include-{end}-bound", "true") == "true" for end in ("lower", "upper"))

    def close(first: int | Fraction, second: int | Fraction) -> bool:
        if mode == "exact":
            return first == second
        unit = abs(Fraction(first)) / 100 if mode == "relative" else Fraction(1)
        least, most = first - (low or 0) * unit, first + (high or 0) * unit
        return (second > least or (below and second == least)) and (
            second < most or (above and second == most)
        )

    return _binary("equal", close)


def _divided(first: int | Fraction, second: int | Fraction) -> Fraction | None:
    return None if second == 0 else Fraction(first) / second


OPERATIONS: Mapping[str, Operation] = {
    "and": _and,
    "or": _or,
    "not": _not,
    "is-null": _is_null,
    "match": _match,
    "member": _member,
    "multiple": _gathered("multiple"),
    "ordered": _gathered("ordered"),
    "container-size": _size,
    "sum": _folded(lambda numbers: sum(numbers[1:], numbers[0])),
    "product": _folded(_product),
    "min": _folded(lambda numbers: min(numbers)),
    "max": _folded(lambda numbers: max(numbers)),
    "gcd": _common(gcd),
    "lcm": _common(lcm),
    "subtract": _binary("subtract", lambda first, second: first - second),
    "divide": _binary("divide", _divided),
    "power": _binary("power", _power),
    "integer-divide": _binary("integer-divide", _whole(lambda first, second: first // second)),
    "integer-modulus": _binary("integer-modulus", _whole(lambda first, second: first % second)),
    "lt": _binary("lt", lambda first, second: first < second),
    "lte": _binary("lte", lambda first, second: first <= second),
    "gt": _binary("gt", lambda first, second: first > second),
    "gte": _binary("gte", lambda first, second: first >= second),
    "round": _rounded(lambda number: (number + Fraction(1, 2)).__floor__()),
    "truncate": _rounded(lambda number: number.__trunc__()),
    "integer-to-float": _as_float,
}
"""Every expression whose meaning needs no attribute, by its name without `qti-`."""
