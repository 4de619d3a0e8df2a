"""The rules by which a platform turns responses into outcomes, compiled from the file and run.

Written for this audit after the standard's text: NULL spreads, a condition that is NULL counts as false, an empty
container is NULL. Numbers are exact; a `float` of the standard is held as a fraction. A rule or an expression that
is not known is refused with Fault `unknown-rule`.
Source: QTI 3.0, response processing and expressions.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd, lcm
from typing import Final, TypeAlias

from lxml import etree

from itembank.audit.facts import Facts
from itembank.audit.findings import Fault
from itembank.audit.structure import decimal, integer
from itembank.audit.xml_reading import local_name

__all__ = ["Responses", "Rules", "Value", "compile_rules"]

Scalar: TypeAlias = str | bool | int | Fraction
STEPS: Final = 5_000
BITS: Final = 512


@dataclass(frozen=True, slots=True)
class Value:
    """base: the base type; items: one, or for a container any number from 1; NULL is None instead."""

    base: str
    items: tuple[Scalar, ...]
    cardinality: str = "single"


Responses: TypeAlias = Mapping[str, Value]
"""What a candidate gave; a response that is missing is NULL."""


@dataclass(slots=True)
class _Run:
    responses: Responses
    outcomes: dict[str, Value | None]
    steps: int = field(default=0)


Expression: TypeAlias = Callable[[_Run], Value | None]
Rule: TypeAlias = Callable[[_Run], None]


class _Exit(Exception):  # noqa: N818
    """The processing ends here by its own rule."""


@dataclass(frozen=True, slots=True)
class Rules:
    """Compiled response processing of one item."""

    rules: tuple[Rule, ...]
    defaults: Mapping[str, Value | None]

    def run(self, responses: Responses) -> Mapping[str, Value | None]:
        """The outcomes after one attempt. Raises Fault where a rule does what the standard does not allow."""
        run = _Run(responses, dict(self.defaults))
        try:
            for rule in self.rules:
                rule(run)
        except _Exit:
            pass
        return run.outcomes


def compile_rules(facts: Facts) -> Rules:
    """Compile an item's rules. Raises Fault `unknown-rule`, `response-template`, `undeclared-variable`."""
    element = facts.processing
    if element is None:
        raise Fault("no-response-processing", "the item does not say how it is marked")
    if element.get("template") or element.get("template-location"):
        raise Fault("response-template", "the rules are named, not spelled out")
    compiler = _Compiler(facts)
    defaults = {each.identifier: _default(each.base_type, each.cardinality, each.default) for each in facts.outcomes}
    return Rules(tuple(compiler.rule(each) for each in element), defaults)


def _default(base: str, cardinality: str, texts: tuple[str, ...]) -> Value | None:
    if not texts:
        # a number without a default begins at 0, anything else at NULL
        return Value(base, (Fraction(0) if base == "float" else 0,)) if base in {"integer", "float"} else None
    return Value(base, tuple(_parsed(base, text) for text in texts), cardinality)


def _parsed(base: str, text: str) -> Scalar:
    value: Scalar | None
    if base == "integer":
        value = integer(text)
    elif base == "float":
        value = decimal(text)
    elif base == "boolean":
        value = {"true": True, "false": False}.get(text)
    elif base in {"identifier", "string"}:
        value = text
    else:
        raise Fault("unknown-rule", f"values of type {base} are not known here")
    if value is None:
        raise Fault("misfit-value", f"{text!r} is no {base}")
    return value


class _Compiler:
    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._responses = {each.identifier: each for each in facts.responses}
        self._outcomes = {each.identifier: each for each in facts.outcomes}

    def rule(self, element: etree._Element) -> Rule:
        name = local_name(element)
        if name == "qti-set-outcome-value":
            return self._set_outcome(element)
        if name == "qti-response-condition":
            return self._condition(element)
        if name == "qti-response-processing-fragment":
            rules = tuple(self.rule(each) for each in element)
            return lambda run: _all(rules, run)
        if name == "qti-exit-response":
            return _exit
        raise Fault("unknown-rule", f"the rule {name} is not known")

    def _set_outcome(self, element: etree._Element) -> Rule:
        identifier = element.get("identifier", "")
        declared = self._outcomes.get(identifier)
        if declared is None:
            raise Fault("undeclared-variable", f"a rule sets {identifier!r}, which is not declared")
        expression = self._only(element)
        base, cardinality = declared.base_type, declared.cardinality

        def set_outcome(run: _Run) -> None:
            run.outcomes[identifier] = _fitted(expression(run), base, cardinality, identifier)

        return set_outcome

    def _condition(self, element: etree._Element) -> Rule:
        branches: list[tuple[Expression | None, tuple[Rule, ...]]] = []
        for place, part in enumerate(element):
            name = local_name(part)
            wanted = "qti-response-if" if place == 0 else "qti-response-else-if"
            if name == "qti-response-else" and 0 < place == len(element) - 1:
                branches.append((None, tuple(self.rule(each) for each in part)))
            elif name == wanted and len(part):
                asked, *rules = part
                branches.append((self.expression(asked), tuple(self.rule(each) for each in rules)))
            else:
                raise Fault("unknown-rule", f"{name} cannot stand here in a condition")
        if not branches:
            raise Fault("unknown-rule", "a condition without branches")

        def condition(run: _Run) -> None:
            for asked, rules in branches:
                if asked is None or _is_true(asked(run)):
                    _all(rules, run)
                    return

        return condition

    def _only(self, element: etree._Element) -> Expression:
        if len(element) != 1:
            raise Fault("unknown-rule", f"{local_name(element)} needs one expression")
        return self.expression(element[0])

    def expression(self, element: etree._Element) -> Expression:
        name = local_name(element).removeprefix("qti-")
        if name == "base-value":
            return _constant(Value(element.get("base-type", ""), (_parsed(element.get("base-type", ""), _text(element)),)))
        if name == "null":
            return lambda run: None
        if name in {"variable", "correct", "default"}:
            return self._looked_up(name, element.get("identifier", ""))
        parts = tuple(self.expression(each) for each in element)
        if name in _LOGIC:
            return _counted(_LOGIC[name], parts)
        if name in {"equal", "string-match", "index", "any-n"}:
            return _counted(_with_attributes(name, element), parts)
        if name in _OTHERS:
            return _counted(_OTHERS[name], parts)
        raise Fault("unknown-rule", f"the expression {name} is not known")

    def _looked_up(self, name: str, identifier: str) -> Expression:
        response, outcome = self._responses.get(identifier), self._outcomes.get(identifier)
        if name == "variable" and response is not None:
            return lambda run: run.responses.get(identifier)
        if name == "variable" and outcome is not None:
            return lambda run: run.outcomes[identifier]
        if name == "correct" and response is not None:
            if not response.correct:
                return lambda run: None
            values = tuple(_parsed(response.base_type, text) for text in response.correct)
            return _constant(Value(response.base_type, values, response.cardinality))
        if name == "default" and outcome is not None:
            return _constant(_default(outcome.base_type, outcome.cardinality, outcome.default))
        raise Fault("undeclared-variable", f"a rule asks for {identifier!r}, which is not declared")


def _text(element: etree._Element) -> str:
    return (element.text or "").strip()


def _constant(value: Value | None) -> Expression:
    return lambda run: value


def _all(rules: Iterable[Rule], run: _Run) -> None:
    for rule in rules:
        rule(run)


def _exit(run: _Run) -> None:
    raise _Exit


def _is_true(value: Value | None) -> bool:
    if value is None:
        return False
    if value.base != "boolean":
        raise Fault("wrong-rule", "a condition is not true or false")
    return value.items == (True,)


def _fitted(value: Value | None, base: str, cardinality: str, identifier: str) -> Value | None:
    if value is None:
        return None
    if base == "float" and value.base == "integer":
        value = Value("float", tuple(Fraction(each) for each in value.items), value.cardinality)
    if value.base != base or value.cardinality != cardinality:
        raise Fault("wrong-rule", f"{identifier} is set to a {value.cardinality} {value.base}")
    return value


Operation: TypeAlias = Callable[[list[Value | None]], Value | None]


def _counted(operation: Operation, parts: tuple[Expression, ...]) -> Expression:
    def evaluate(run: _Run) -> Value | None:
        run.steps += 1
        if run.steps > STEPS:
            raise Fault("endless-rules", "the rules take too many steps")
        return operation([part(run) for part in parts])

    return evaluate


def _boolean(value: bool | None) -> Value | None:
    return None if value is None else Value("boolean", (value,))


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


def _binary(name: str, work: Callable[[int | Fraction, int | Fraction], bool | int | Fraction | None]) -> Operation:
    def evaluate(values: list[Value | None]) -> Value | None:
        found = _numbers(_exactly(values, 2))
        if found is None:
            return None
        if len(found) != 2:
            raise Fault("wrong-rule", f"{name} of containers")
        result = work(*found)
        if result is None:
            return None
        return Value("boolean", (result,)) if isinstance(result, bool) else _number(result)

    return evaluate


def _product(numbers: list[int | Fraction]) -> int | Fraction:
    result: int | Fraction = 1
    for number in numbers:
        result = result * number
    return result


def _power(base: int | Fraction, exponent: int | Fraction) -> Fraction | None:
    if Fraction(exponent).denominator != 1 or abs(exponent) > 16:
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


def _with_attributes(name: str, element: etree._Element) -> Operation:
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
    if name == "any-n":
        least, most = integer(element.get("min", "")), integer(element.get("max", ""))
        if least is None or most is None:
            raise Fault("unknown-rule", "the limits of a count are not plain numbers")
        return lambda values: _some(values, least, most)
    raise Fault("unknown-rule", f"the expression {name} is not known")


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
        unit = Fraction(abs(first)) / 100 if mode == "relative" else Fraction(1)
        least, most = first - (low or 0) * unit, first + (high or 0) * unit
        return (second > least or (below and second == least)) and (second < most or (above and second == most))

    return _binary("equal", close)


def _divided(first: int | Fraction, second: int | Fraction) -> Fraction | None:
    return None if second == 0 else Fraction(first) / second


_LOGIC: Mapping[str, Operation] = {"and": _and, "or": _or, "not": _not, "is-null": _is_null, "match": _match}
_OTHERS: Mapping[str, Operation] = {
    "member": _member,
    "multiple": _gathered("multiple"),
    "ordered": _gathered("ordered"),
    "container-size": _size,
    "sum": _folded(lambda numbers: sum(numbers[1:], numbers[0])),
    "product": _folded(_product),
    "min": _folded(min),
    "max": _folded(max),
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
