"""Rules and expressions of response processing, as the standard names them.

An expression is markup; so is a number in it, given as text that may be a hole of a pattern.
Source: QTI 3.0, response processing and expressions.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from itembank.writers.qti3.markup import Safe, tag, words

__all__ = [
    "add", "add_share", "all_of", "any_of", "at_least", "at_most", "choice_is", "common_divisor", "condition",
    "correct", "difference", "equal", "floor_divided", "greater", "has_chosen", "has_pair", "identifier",
    "is_empty", "is_right", "is_spelled", "larger", "map_to", "matches", "negated", "product", "real",
    "set_outcome", "show", "stands_at", "total", "variable", "whole",
]  # fmt: skip


def variable(identifier: str) -> str:
    """The value of a response or an outcome."""
    return tag("qti-variable", identifier=identifier)


def correct(identifier: str) -> str:
    """The declared right value of a response."""
    return tag("qti-correct", identifier=identifier)


def _constant(base: str, text: str) -> str:
    return tag("qti-base-value", text, base_type=base)


def whole(text: str | int) -> str:
    """A whole number."""
    return _constant("integer", str(text))


def real(text: str | int) -> str:
    """A number of the standard's type `float`, given by its decimal."""
    return _constant("float", str(text))


def identifier(text: str) -> str:
    """An identifier, perhaps a hole."""
    return _constant("identifier", text)


def matches(first: str, second: str) -> str:
    """Two values of one type, no floats, are the same; NULL where one is NULL."""
    return tag("qti-match", first, second)


def is_spelled(response: str, pattern: str) -> str:
    """A response, a text, is spelled as a pattern says; NULL where it is NULL. pattern: a hole."""
    return tag("qti-pattern-match", variable(response), pattern=Safe(pattern))


def equal(first: str, second: str) -> str:
    """Two numbers are exactly the same."""
    return tag("qti-equal", first, second, tolerance_mode="exact")


def at_least(first: str, second: str) -> str:
    """first >= second."""
    return tag("qti-gte", first, second)


def at_most(first: str, second: str) -> str:
    """first <= second."""
    return tag("qti-lte", first, second)


def greater(first: str, second: str) -> str:
    """first > second."""
    return tag("qti-gt", first, second)


def product(*factors: str) -> str:
    """All factors multiplied; one alone is itself."""
    return factors[0] if len(factors) == 1 else tag("qti-product", *factors)


def total(*terms: str) -> str:
    """All terms added."""
    return tag("qti-sum", *terms)


def difference(first: str, second: str) -> str:
    """first - second."""
    return tag("qti-subtract", first, second)


def common_divisor(first: str, second: str) -> str:
    """The greatest common divisor of two whole numbers, 0 for 0 and 0."""
    return tag("qti-gcd", first, second)


def larger(first: str, second: str) -> str:
    """The larger of two numbers."""
    return tag("qti-max", first, second)


def floor_divided(first: str, second: str) -> str:
    """first / second rounded down, both whole."""
    return tag("qti-integer-divide", first, second)


def all_of(*parts: str) -> str:
    """Every part is true."""
    return parts[0] if len(parts) == 1 else tag("qti-and", *parts)


def any_of(*parts: str) -> str:
    """Some part is true."""
    return parts[0] if len(parts) == 1 else tag("qti-or", *parts)


def negated(part: str) -> str:
    """The part is false; NULL where it is NULL."""
    return tag("qti-not", part)


def is_empty(identifier: str) -> str:
    """A response was not given."""
    return tag("qti-is-null", variable(identifier))


def is_right(identifier: str) -> str:
    """A response is its declared right value."""
    return matches(variable(identifier), correct(identifier))


def choice_is(identifier: str, option: str) -> str:
    """An option was chosen."""
    return matches(variable(identifier), _constant("identifier", words(option)))


def has_chosen(identifier: str, option: str) -> str:
    """An option is among those chosen."""
    return tag("qti-member", _constant("identifier", words(option)), variable(identifier))


def stands_at(identifier: str, place: int, option: str) -> str:
    """An option stands at a place, from 1, of an ordered response."""
    found = tag("qti-index", variable(identifier), n=str(place))
    return matches(found, _constant("identifier", words(option)))


def has_pair(identifier: str, first: str, second: str) -> str:
    """A directed pair is among those given."""
    return tag("qti-member", _constant("directedPair", words(f"{first} {second}")), variable(identifier))


def add_share(identifier: str, share: str) -> str:
    """Add a part of marks, given as a decimal, to an outcome."""
    return set_outcome(identifier, total(variable(identifier), real(share)))


def map_to(outcome: str, identifier: str) -> str:
    """Give an outcome what the mapping of a response comes to; nothing where the response was not given."""
    mapped = set_outcome(outcome, tag("qti-map-response", identifier=identifier))
    return condition([(negated(is_empty(identifier)), [mapped])])


def set_outcome(identifier: str, expression: str) -> str:
    """Give an outcome a value."""
    return tag("qti-set-outcome-value", expression, identifier=identifier)


def add(identifier: str, marks: int) -> str:
    """Add marks to an outcome of type `float`; nothing for none."""
    return set_outcome(identifier, total(variable(identifier), real(marks))) if marks > 0 else ""


def show(feedback: str) -> str:
    """Show a feedback beside those already shown. A container leaves NULL out, so the first needs no care."""
    named = _constant("identifier", words(feedback))
    return set_outcome("FEEDBACK", tag("qti-multiple", variable("FEEDBACK"), named))


def condition(branches: Iterable[tuple[str, Sequence[str]]]) -> str:
    """if, else if, ...: the rules of the first branch whose expression is true; branches without rules count too.

    The last branches without rules do nothing and are left out; "" where none is left.
    """
    kept = [(asked, "".join(rules)) for asked, rules in branches]
    while kept and not kept[-1][1]:
        kept.pop()
    if not kept:
        return ""
    names = ("qti-response-if", *("qti-response-else-if" for _ in kept[1:]))
    return tag(
        "qti-response-condition", *(tag(name, *branch) for name, branch in zip(names, kept, strict=True))
    )
