"""The rules by which a platform turns responses into outcomes, compiled from the file and run.

Written for this audit after the standard's text: NULL spreads, a condition that is NULL counts as false, an empty
container is NULL. Numbers are exact; a `float` of the standard is held as a fraction. A rule or an expression that
is not known is refused with Fault `unknown-rule`.
Source: QTI 3.0, response processing and expressions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from collections.abc import Mapping as Named
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, TypeAlias

from lxml import etree

from itembank.audit.facts import Facts, Mapping, Response
from itembank.audit.findings import Fault
from itembank.audit.frames import without_thousands
from itembank.audit.plain_rules import Plain, Truth, answers_fit
from itembank.audit.rule_expressions import (
    FALSE,
    OPERATIONS,
    TRUE,
    Operation,
    Scalar,
    Value,
    known_pattern,
    spaced,
    text_of,
    with_attributes,
)  # fmt: skip
from itembank.audit.rule_shortcuts import shortcut
from itembank.audit.straight_rules import FEEDBACK, SCORE, Known, Marks, StraightRules, straight_rules
from itembank.audit.structure import decimal, integer
from itembank.audit.xml_reading import local_name

__all__ = ["Constants", "Marks", "Responses", "Rules", "Value", "compile_rules", "typed"]

STEPS: Final = 5_000
_KNOWN: Final = 256
_SIGN_BEFORE: Final = re.compile(r"(?:\\s\*|\\\+\?|\[[+\-−\\]+\]\??)*0\*")
_DIGITS_HELD: Final = {
    r"\s*": "([0-9]+)",
    r"([.]0*)?\s*": "([0-9]+)",
    r"([.,]0?0?)?\s*": "([0-9]+)",
    r"0*\s*": "([0-9]*[.][0-9]*?)",
}
"""By what follows in a pattern, the group for the digits of a whole number and of a decimal."""

Responses: TypeAlias = Named[str, Value]
"""What a candidate gave; a response that is missing is NULL."""


@dataclass(slots=True)
class _Run:
    responses: Responses
    outcomes: dict[str, Value | None]
    held: Sequence[Value]
    plain: bool
    """Whether the answers are such that plain conditions can be asked."""
    steps: int = field(default=0)


Expression: TypeAlias = Callable[[_Run], Value | None]
Rule: TypeAlias = Callable[[_Run], None]


class _Exit(Exception):
    """The processing ends here by its own rule."""


@dataclass(frozen=True, slots=True)
class Rules:
    """Compiled response processing of one item."""

    rules: tuple[Rule, ...]
    defaults: Named[str, Value | None]
    responses: Named[str, Response]
    held: Sequence[Value] = ()
    """The constants of one item, where rules were compiled for many."""
    straight: StraightRules | None = None
    scalars: Sequence[Scalar] = ()
    """What is held, without the types: as the straight code takes it."""

    def run(self, responses: Responses) -> Named[str, Value | None]:
        """The outcomes after one attempt. Raises Fault where a rule does what the standard does not allow."""
        run = _Run(responses, dict(self.defaults), self.held, answers_fit(responses, self.responses))
        try:
            for rule in self.rules:
                rule(run)
        except _Exit:
            pass
        return run.outcomes

    def marks(self, responses: Responses) -> Marks:
        """What an attempt earns, and the feedback it shows. Raises Fault as `run` does."""
        if self.straight is not None and answers_fit(responses, self.responses):
            found = self.straight.marks(responses, self.scalars)
            if found is not None:
                return found
        outcomes = self.run(responses)
        return _score(outcomes), _feedback(outcomes)

    def of_item(self, held: Sequence[Value], scalars: Sequence[Scalar]) -> Rules:
        """The rules with the constants of one item, as values and without their types."""
        return Rules(self.rules, self.defaults, self.responses, held, self.straight, scalars)


def _score(outcomes: Named[str, Value | None]) -> Fraction:
    score = outcomes.get(SCORE)
    number = score.items[0] if score else 0
    if not isinstance(number, int | Fraction):
        raise Fault("wrong-rule", "SCORE becomes something that is no number")
    return Fraction(number)


def _feedback(outcomes: Named[str, Value | None]) -> tuple[str, ...]:
    shown = outcomes.get(FEEDBACK)
    return tuple(str(item) for item in shown.items) if shown else ()


class Constants:
    """Constants that differ from item to item: stand-in -> number; `wanted` gathers which are used, and as what."""

    def __init__(self, stand_ins: Named[str, int]) -> None:
        self._stand_ins = stand_ins
        self.wanted: dict[tuple[int, str], int] = {}

    def place(self, base: str, text: str) -> int | None:
        """Where the value of a stand-in will be found, None for a text that is none."""
        number = self._stand_ins.get(text)
        if number is None:
            return None
        return self.wanted.setdefault((number, base), len(self.wanted))

    def inside(self, pattern: str) -> str | None:
        """The stand-in a pattern holds, where it holds one."""
        digits = without_thousands(pattern)
        return next((each for each in self._stand_ins if each in digits), None)


def typed(base: str, text: str) -> Value:
    """A text as a single value. Raises Fault where it is none."""
    return Value(base, (_parsed(base, text),))


def compile_rules(facts: Facts, constants: Constants | None = None) -> Rules:
    """Compile an item's rules. Raises Fault `unknown-rule`, `response-template`, `undeclared-variable`."""
    element = facts.processing
    if element is None:
        raise Fault("no-response-processing", "the item does not say how it is marked")
    if element.get("template") or element.get("template-location"):
        raise Fault("response-template", "the rules are named, not spelled out")
    compiler = _Compiler(facts, constants or Constants({}))
    defaults = {
        each.identifier: _default(each.base_type, each.cardinality, each.default) for each in facts.outcomes
    }
    rules = tuple(compiler.rule(each) for each in element)
    straight = None if constants is None else straight_rules(element, compiler.known())
    return Rules(rules, defaults, compiler.responses, straight=straight)


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
    elif base == "directedPair":
        value = " ".join(text.split())
    else:
        raise Fault("unknown-rule", f"values of type {base} are not known here")
    if value is None:
        raise Fault("misfit-value", f"{text!r} is no {base}")
    return value


class _Compiler:
    def __init__(self, facts: Facts, constants: Constants) -> None:
        processing = facts.processing
        # rules do not repeat themselves: with few expressions no answer takes many steps
        self._counts = processing is None or sum(1 for _ in processing.iter()) > STEPS
        self._constants = constants
        self.responses = {each.identifier: each for each in facts.responses}
        self._outcomes = {each.identifier: each for each in facts.outcomes}
        self._plain = Plain(self.responses, self._value, self._sought)

    def known(self) -> Known:
        """What the rules speak of, for the straight code."""
        return Known(self.responses, self._outcomes, self._constants.place, self._digits, self._plain.truth)

    def _digits(self, pattern: str) -> tuple[re.Pattern[str], int | None]:
        stand_in = self._constants.inside(pattern)
        return (known_pattern(pattern), None) if stand_in is None else self._held_pattern(pattern, stand_in)

    def rule(self, element: etree._Element) -> Rule:
        """A rule as something that changes outcomes."""
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
        branches: list[tuple[Expression | None, Truth | None, tuple[Rule, ...]]] = []
        for place, part in enumerate(element):
            name = local_name(part)
            wanted = "qti-response-if" if place == 0 else "qti-response-else-if"
            if name == "qti-response-else" and 0 < place == len(element) - 1:
                branches.append((None, None, tuple(self.rule(each) for each in part)))
            elif name == wanted and len(part):
                asked, *rules = part
                plain = None if self._counts else self._plain.truth(asked)
                branches.append((self.expression(asked), plain, tuple(self.rule(each) for each in rules)))
            else:
                raise Fault("unknown-rule", f"{name} cannot stand here in a condition")
        if not branches:
            raise Fault("unknown-rule", "a condition without branches")

        def condition(run: _Run) -> None:
            for asked, plain, rules in branches:
                if plain is not None and run.plain:
                    if plain(run):
                        _all(rules, run)
                        return
                elif asked is None or _is_true(asked(run)):
                    _all(rules, run)
                    return

        return condition

    def _only(self, element: etree._Element) -> Expression:
        if len(element) != 1:
            raise Fault("unknown-rule", f"{local_name(element)} needs one expression")
        return self.expression(element[0])

    def expression(self, element: etree._Element) -> Expression:
        """An expression as something that gives a value."""
        name = local_name(element).removeprefix("qti-")
        if name == "base-value":
            return self._value(element.get("base-type", ""), _text(element))
        if name == "null":
            return lambda run: None
        if name == "map-response":
            return self._mapped(element.get("identifier", ""))
        if name in {"variable", "correct", "default"}:
            return self._looked_up(name, element.get("identifier", ""))
        parts = tuple(self.expression(each) for each in element)
        if name in {"pattern-match", "string-match"}:
            self._asked_of_texts(name, element)
        if name in OPERATIONS:
            return self._operated(name, shortcut(name, OPERATIONS[name], exactly=False), parts)
        if name == "pattern-match" and (stand_in := self._constants.inside(element.get("pattern", ""))):
            return _held_pattern(self._held_pattern(element.get("pattern", ""), stand_in), parts)
        if name in {"equal", "string-match", "pattern-match", "index", "any-n"}:
            exactly = element.get("tolerance-mode", "exact") == "exact"
            return self._operated(
                name, shortcut(name, with_attributes(name, element), exactly=exactly), parts
            )
        raise Fault("unknown-rule", f"the expression {name} is not known")

    def _asked_of_texts(self, name: str, element: etree._Element) -> None:
        """Patterns are for texts: of a response declared a number a platform finds no match, or stops."""
        for each in element:
            declared = self.responses.get(each.get("identifier", ""))
            if local_name(each) == "qti-variable" and declared and declared.base_type != "string":
                message = f"{name} is asked of {declared.identifier!r}, which is no text"
                raise Fault("misfit-response", message, place=declared.identifier)

    def _operated(self, name: str, operation: Operation, parts: tuple[Expression, ...]) -> Expression:
        if self._counts:
            return _counted(operation, parts)
        if len(parts) == 1:
            (only,) = parts
            return lambda run: operation([only(run)])
        if len(parts) == 2:
            first, second = parts
            if name in {"sum", "multiple"}:
                return _remembered(operation, first, second)
            return lambda run: operation([first(run), second(run)])
        return lambda run: operation([part(run) for part in parts])

    def _value(self, base: str, text: str) -> Expression:
        place = self._constants.place(base, text)
        return _constant(typed(base, text)) if place is None else lambda run: run.held[place]

    def _sought(self, pattern: str) -> tuple[re.Pattern[str], Callable[[_Run], str] | None]:
        """A pattern, and the digits its group has to be where those are held."""
        stand_in = self._constants.inside(pattern)
        if stand_in is None:
            return known_pattern(pattern), None
        sought, place = self._held_pattern(pattern, stand_in)
        return sought, lambda run: str(run.held[place].items[0])

    def _held_pattern(self, pattern: str, stand_in: str) -> tuple[re.Pattern[str], int]:
        """A pattern of digits after `0*`: whatever digits it takes there must be those that are held.

        What is held is a whole number that does not begin with 0 unless it is 0, or a decimal that neither begins nor
        ends with 0; `0*` takes all zeros it can, a last `0*` all that follow: so what is left to the group is what is
        held, or the text is no spelling of it. Thousands that may be set apart are read together only: the answers that
        are tried set none apart.
        """
        before, _, after = without_thousands(pattern).partition(stand_in)
        place = self._constants.place("string", stand_in)
        if not _SIGN_BEFORE.fullmatch(before) or after not in _DIGITS_HELD or place is None:
            raise Fault("unknown-rule", "the pattern of a text is not known")
        known_pattern(pattern)
        return re.compile(spaced(f"{before}{_DIGITS_HELD[after]}{after}")), place

    def _mapped(self, identifier: str) -> Expression:
        response = self.responses.get(identifier)
        if response is None or response.mapping is None:
            raise Fault("undeclared-variable", f"a rule maps {identifier!r}, which has no mapping")
        summed = _summed(response.base_type, response.mapping)
        return lambda run: summed(run.responses.get(identifier))

    def _looked_up(self, name: str, identifier: str) -> Expression:
        response, outcome = self.responses.get(identifier), self._outcomes.get(identifier)
        if name == "variable" and response is not None:
            return lambda run: run.responses.get(identifier)
        if name == "variable" and outcome is not None:
            return lambda run: run.outcomes[identifier]
        if name == "correct" and response is not None:
            if not response.correct:
                return lambda run: None
            if len(response.correct) == 1 and response.cardinality == "single":
                return self._value(response.base_type, response.correct[0])
            values = tuple(_parsed(response.base_type, text) for text in response.correct)
            return _constant(Value(response.base_type, values, response.cardinality))
        if name == "default" and outcome is not None:
            return _constant(_default(outcome.base_type, outcome.cardinality, outcome.default))
        raise Fault("undeclared-variable", f"a rule asks for {identifier!r}, which is not declared")


def _summed(base: str, mapping: Mapping) -> Callable[[Value | None], Value | None]:
    """What a mapping makes of a response: each value given counts once; NULL stays NULL."""
    entries = {_parsed(base, key): _number(value) for key, value in mapping.entries}
    default = _number(mapping.default)
    lower, upper = (_number(bound) if bound else None for bound in (mapping.lower, mapping.upper))

    def evaluate(given: Value | None) -> Value | None:
        if given is None:
            return None
        total = sum((entries.get(item, default) for item in dict.fromkeys(given.items)), Fraction(0))
        total = max(total, lower) if lower is not None else total
        return Value("float", (min(total, upper) if upper is not None else total,))

    return evaluate


def _number(text: str) -> Fraction:
    value = decimal(text)
    if value is None:
        raise Fault("misfit-value", f"{text!r} is no number")
    return value


def _remembered(operation: Operation, first: Expression, second: Expression) -> Expression:
    """Marks are added and feedback gathered again and again from the very same values."""
    known: dict[tuple[int, int], tuple[Value | None, Value | None, Value | None]] = {}

    def evaluate(run: _Run) -> Value | None:
        one, other = first(run), second(run)
        key = id(one), id(other)
        found = known.get(key)
        if found is None:
            if len(known) >= _KNOWN:
                known.clear()
            # the values are kept, so that no other value can come to have their place in memory
            found = known[key] = one, other, operation([one, other])
        return found[2]

    return evaluate


def _held_pattern(sought: tuple[re.Pattern[str], int], parts: tuple[Expression, ...]) -> Expression:
    pattern, place = sought

    def evaluate(run: _Run) -> Value | None:
        text = text_of([part(run) for part in parts])
        if text is None:
            return None
        found = pattern.fullmatch(text)
        return TRUE if found is not None and found[1] == run.held[place].items[0] else FALSE

    return evaluate


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
    if value is None or value is FALSE:
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


def _counted(operation: Operation, parts: tuple[Expression, ...]) -> Expression:
    def evaluate(run: _Run) -> Value | None:
        run.steps += 1
        if run.steps > STEPS:
            raise Fault("endless-rules", "the rules take too many steps")
        return operation([part(run) for part in parts])

    return evaluate
