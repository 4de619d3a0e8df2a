"""A scorer of items of QTI 2.1, 2.2 and 3.0 for tests: from the file alone, by the standard's rules of marking.

It shares nothing with the writer. Values are as platforms hold them: whole numbers as integers, floats as floats of
the machine, NULL as None, containers as tuples. `arithmetic` says what becomes of a whole number that leaves 32 bits,
in which platforms differ. An element that is not known is refused, never passed over.
Source: QTI 2.1, 2.2 and 3.0, response processing and expressions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from math import floor, gcd, prod
from typing import Any

from lxml import etree

QTI = "{http://www.imsglobal.org/xsd/imsqtiasi_v3p0}"
OLDER = "{http://www.imsglobal.org/xsd/imsqti_v2p"
HTML = frozenset(
    [
        "p",
        "div",
        "span",
        "em",
        "strong",
        "br",
        "ul",
        "ol",
        "li",
        "table",
        "thead",
        "tbody",
        "tr",
        "td",
        "th",
        "img",
    ]
)
ARITHMETIC: Mapping[str, Callable[[int], int]] = {
    "unbounded": lambda number: number,
    "wrapping": lambda number: (number + 2**31) % 2**32 - 2**31,
    "saturating": lambda number: max(-(2**31), min(2**31 - 1, number)),
}


class NotKnown(Exception):
    """The file asks for something this scorer does not do, or that the standard does not allow."""


class _Exit(Exception):
    pass


@dataclass(frozen=True)
class Value:
    """base: its base type; items: one value, or those of a container; cardinality: single, multiple or ordered."""

    base: str
    items: tuple[Any, ...]
    cardinality: str = "single"

    @property
    def only(self) -> Any:
        """The one value of a single."""
        (item,) = self.items
        return item


@dataclass(frozen=True)
class Result:
    """What an attempt comes to."""

    score: float
    feedback: frozenset[str]
    outcomes: Mapping[str, Value | None]


@dataclass(frozen=True)
class Declared:
    """A response or outcome declaration."""

    base: str
    cardinality: str
    right: Value | None
    default: Value | None
    element: etree._Element


def _bare(element: etree._Element) -> str:
    tag = element.tag
    if not isinstance(tag, str) or not tag.startswith(QTI):
        raise NotKnown(f"{tag} is no element of the standard")
    return tag.removeprefix(QTI + "qti-")


def _children(element: etree._Element) -> list[etree._Element]:
    return [child for child in element if isinstance(child.tag, str)]


def _parsed(base: str, text: str) -> Any:
    if base == "integer":
        return int(text)
    if base == "float":
        return float(text)
    if base == "boolean":
        return {"true": True, "false": False}[text]
    if base == "directedPair":
        return tuple(text.split())
    if base == "pair":
        return tuple(sorted(text.split()))
    if base in {"identifier", "string"}:
        return text
    raise NotKnown(f"the base type {base}")


def _value(base: str, cardinality: str, texts: Sequence[str]) -> Value | None:
    kept = [text for text in texts if text]
    if not kept:
        return None
    if cardinality == "single" and len(kept) != 1:
        raise NotKnown("a single value with several")
    return Value(base, tuple(_parsed(base, text) for text in kept), cardinality)


def _renamed(root: etree._Element) -> etree._Element:
    """An item of 2.x under the names of 3.0; any other document as it is."""
    if not str(root.tag).startswith(OLDER):
        return root
    for element in root.iter("*"):
        space, _, name = str(element.tag)[1:].partition("}")
        if not f"{{{space}}}".startswith(OLDER):
            continue
        element.tag = f"{QTI}{name}" if name in HTML else f"{QTI}qti-{_hyphened(name)}"
        for key, value in element.items():
            del element.attrib[key]
            element.set(_hyphened(str(key)), value)
    return root


def _hyphened(name: str) -> str:
    return name if name.startswith("{") else re.sub("(?<=[a-z0-9])([A-Z])", r"-\1", name).lower()


class ScoredItem:
    """An item that can be answered."""

    def __init__(self, document: str | bytes, arithmetic: str = "unbounded") -> None:
        self.root = _renamed(etree.fromstring(document.encode() if isinstance(document, str) else document))
        self.responses = self._declarations("response")
        self.outcomes = self._declarations("outcome")
        self._fit = ARITHMETIC[arithmetic]

    def _declarations(self, kind: str) -> dict[str, Declared]:
        found = {}
        for element in self.root.iterfind(f"{QTI}qti-{kind}-declaration"):
            base, cardinality = element.get("base-type", ""), element.get("cardinality", "")

            def held(
                name: str, e: etree._Element = element, b: str = base, c: str = cardinality
            ) -> Value | None:
                texts = [each.text or "" for each in e.iterfind(f"{QTI}qti-{name}/{QTI}qti-value")]
                return _value(b, c, [text.strip() for text in texts])

            declared = Declared(base, cardinality, held("correct-response"), held("default-value"), element)
            found[element.get("identifier", "")] = declared
        return found

    def key(self) -> dict[str, list[str]]:
        """The declared right responses as text; those without one are left out."""
        found = {}
        for name, declared in self.responses.items():
            path = f"{QTI}qti-correct-response/{QTI}qti-value"
            texts = [(each.text or "").strip() for each in declared.element.iterfind(path)]
            if texts:
                found[name] = texts
        return found

    def answer(self, given: Mapping[str, str | Sequence[str] | None]) -> Result:
        """Score one attempt. given: response -> text, texts, or None; what is left out was not answered."""
        unknown = set(given) - set(self.responses)
        if unknown:
            raise NotKnown(f"no such response: {sorted(unknown)}")
        values = {}
        for name, declared in self.responses.items():
            texts = given.get(name)
            listed = [] if texts is None else [texts] if isinstance(texts, str) else list(texts)
            values[name] = _value(declared.base, declared.cardinality, listed)
        attempt = _Attempt(self, values)
        processing = self.root.find(f"{QTI}qti-response-processing")
        if processing is None:
            raise NotKnown("no response processing")
        attempt.process(processing)
        score = attempt.state["SCORE"]
        shown = attempt.state.get("FEEDBACK")
        return Result(
            0.0 if score is None else score.only, frozenset(shown.items if shown else ()), attempt.state
        )

    def fit(self, number: Any) -> Any:
        """A number as the platform holds it."""
        return self._fit(number) if isinstance(number, int) else number


class _Attempt:
    def __init__(self, item: ScoredItem, responses: Mapping[str, Value | None]) -> None:
        self.item = item
        self.responses = responses
        self.state: dict[str, Value | None] = {}
        for name, declared in item.outcomes.items():
            starts_at_zero = declared.cardinality == "single" and declared.base in {"integer", "float"}
            zero = Value(declared.base, (_parsed(declared.base, "0"),)) if starts_at_zero else None
            self.state[name] = declared.default or zero

    # rules

    def process(self, processing: etree._Element) -> None:
        template = processing.get("template", "")
        if template:
            self._template(template.rstrip("/").split("/")[-1].removesuffix(".xml"))
            return
        if not _children(processing):
            raise NotKnown("response processing without rules")
        with suppress(_Exit):
            self._rules(_children(processing))

    def _template(self, name: str) -> None:
        declared, given = self.item.responses["RESPONSE"], self.responses["RESPONSE"]
        if name == "match_correct":
            is_right = given is not None and declared.right is not None and _same(given, declared.right)
            self.state["SCORE"] = Value("float", (1.0 if is_right else 0.0,))
        elif name == "map_response":
            mapped = self._mapped("RESPONSE")
            self.state["SCORE"] = mapped if mapped is not None else Value("float", (0.0,))
        else:
            raise NotKnown(f"the template {name}")

    def _rules(self, rules: Sequence[etree._Element]) -> None:
        for rule in rules:
            name = _bare(rule)
            if name == "set-outcome-value":
                self._set(rule.get("identifier", ""), self.value(_children(rule)[0]))
            elif name == "response-condition":
                self._condition(rule)
            elif name == "exit-response":
                raise _Exit
            else:
                raise NotKnown(f"the rule {name}")

    def _condition(self, rule: etree._Element) -> None:
        for branch in _children(rule):
            parts = _children(branch)
            if _bare(branch) == "response-else":
                self._rules(parts)
                return
            asked = self.value(parts[0])
            if asked is not None and asked.only is True:
                self._rules(parts[1:])
                return

    def _set(self, identifier: str, value: Value | None) -> None:
        declared = self.item.outcomes.get(identifier)
        if declared is None:
            raise NotKnown(f"the outcome {identifier} is not declared")
        if value is not None and declared.base == "float" and value.base == "integer":
            value = Value("float", tuple(float(each) for each in value.items), value.cardinality)
        if value is not None and (value.base, value.cardinality) != (declared.base, declared.cardinality):
            raise NotKnown(f"{identifier} cannot hold a {value.cardinality} {value.base}")
        self.state[identifier] = value

    # expressions

    def value(self, element: etree._Element) -> Value | None:
        """What an expression comes to; None for NULL."""
        name = _bare(element)
        identifier = element.get("identifier", "")
        if name == "base-value":
            return _value(element.get("base-type", ""), "single", [(element.text or "").strip()])
        if name == "variable":
            if identifier in self.responses:
                return self.responses[identifier]
            if identifier in self.state:
                return self.state[identifier]
            raise NotKnown(f"the variable {identifier} is not declared")
        if name == "correct":
            return self.item.responses[identifier].right
        if name == "default":
            return self.item.outcomes[identifier].default
        if name == "map-response":
            return self._mapped(identifier)
        if name == "null":
            return None
        parts = [self.value(child) for child in _children(element)]
        if name in {"and", "or", "not", "is-null"}:
            return _logic(name, parts)
        if name in {"multiple", "ordered"}:
            held = [part for part in parts if part is not None]
            items = tuple(item for part in held for item in part.items)
            return Value(held[0].base, items, name) if held else None
        present = [part for part in parts if part is not None]
        if len(present) < len(parts):
            return None
        return self._worked_out(name, element, present)

    def _worked_out(self, name: str, element: etree._Element, parts: list[Value]) -> Value | None:
        if name == "match":
            return _truth(_same(*parts))
        if name == "member":
            return _truth(parts[0].only in parts[1].items)
        if name == "index":
            place = int(element.get("n", ""))
            if parts[0].cardinality != "ordered":
                raise NotKnown("a place of what has no order")
            items = parts[0].items
            return Value(parts[0].base, (items[place - 1],)) if place <= len(items) else None
        if name == "contains":
            return _truth(all(item in parts[0].items for item in parts[1].items))
        if name == "string-match":
            texts = [str(part.only) for part in parts]
            if element.get("case-sensitive") == "false":
                texts = [text.casefold() for text in texts]
            return _truth(texts[0] == texts[1])
        if name == "pattern-match":
            # blanks of XML Schema's expressions are these four; a pattern is for the whole text
            pattern = element.get("pattern", "").replace("\\s", "[ \\t\\n\\r]")
            return _truth(re.fullmatch(pattern, str(parts[0].only)) is not None)
        numbers = [item for part in parts for item in part.items]
        if any(part.base not in {"integer", "float"} for part in parts):
            raise NotKnown(f"{name} of what is no number")
        if name == "equal":
            return _truth(_equal(element, *numbers))
        compared = {
            "lt": lambda a, b: a < b, "lte": lambda a, b: a <= b,
            "gt": lambda a, b: a > b, "gte": lambda a, b: a >= b,
        }  # fmt: skip
        if name in compared:
            return _truth(compared[name](*numbers))
        whole = all(part.base == "integer" for part in parts)
        if name in {"sum", "product", "max", "min"}:
            fold: Callable[[list[Any]], Any] = {"sum": sum, "product": prod, "max": max, "min": min}[name]
            return self._number(fold(numbers), whole)
        if name == "subtract":
            return self._number(numbers[0] - numbers[1], whole)
        if name == "gcd" and whole:
            return self._number(gcd(*numbers), True)
        if name == "divide":
            return self._number(numbers[0] / numbers[1], False) if numbers[1] else None
        if name in {"integer-divide", "integer-modulus"} and whole:
            if not numbers[1]:
                return None
            return self._number(
                numbers[0] // numbers[1] if name == "integer-divide" else numbers[0] % numbers[1], True
            )
        if name == "round":
            return self._number(floor(numbers[0] + 0.5), True)
        raise NotKnown(f"the expression {name}")

    def _number(self, number: Any, whole: bool) -> Value:
        return Value("integer", (self.item.fit(number),)) if whole else Value("float", (float(number),))

    def _mapped(self, identifier: str) -> Value | None:
        declared, given = self.item.responses[identifier], self.responses[identifier]
        mapping = declared.element.find(f"{QTI}qti-mapping")
        if mapping is None:
            raise NotKnown("no mapping")
        if given is None:
            return None
        entries = {}
        for entry in _children(mapping):
            if entry.get("case-sensitive") == "false":
                raise NotKnown("a mapping that takes large and small letters as one")
            entries[_parsed(declared.base, entry.get("map-key", ""))] = float(entry.get("mapped-value", ""))
        otherwise = float(mapping.get("default-value", "0"))
        total = sum(entries.get(item, otherwise) for item in dict.fromkeys(given.items))
        lower, upper = mapping.get("lower-bound"), mapping.get("upper-bound")
        total = max(total, float(lower)) if lower is not None else total
        return Value("float", (min(total, float(upper)) if upper is not None else total,))


def _truth(value: bool | None) -> Value | None:
    return None if value is None else Value("boolean", (value,))


def _logic(name: str, parts: Sequence[Value | None]) -> Value | None:
    if name == "is-null":
        (part,) = parts
        return _truth(part is None or (part.base == "string" and part.items == ("",)))
    truths = [None if part is None else part.only for part in parts]
    if any(truth not in {True, False, None} for truth in truths):
        raise NotKnown(f"{name} of what is neither true nor false")
    if name == "not":
        return _truth(None if truths[0] is None else not truths[0])
    deciding = name == "or"
    if deciding in truths:
        return _truth(deciding)
    return _truth(None if None in truths else not deciding)


def _same(first: Value, second: Value) -> bool:
    if (first.base, first.cardinality) != (second.base, second.cardinality):
        raise NotKnown(
            f"a {first.cardinality} {first.base} is matched with a {second.cardinality} {second.base}"
        )
    if first.base == "float":
        raise NotKnown("floats are matched")
    if first.cardinality == "multiple":
        return sorted(map(repr, first.items)) == sorted(map(repr, second.items))
    return first.items == second.items


def _equal(element: etree._Element, first: Any, second: Any) -> bool:
    mode = element.get("tolerance-mode", "exact")
    if mode == "exact":
        return bool(first == second)
    limits = [float(text) for text in (element.get("tolerance") or "").split()]
    if mode != "absolute" or not limits:
        raise NotKnown(f"the tolerance mode {mode}")
    return bool(first - limits[0] <= second <= first + limits[-1])
