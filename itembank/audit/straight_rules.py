"""The rules of marking of many items as straight code: worked out once for a frame, run on the answers of each item.

Only what can be said in advance is made into code: conditions of the plain kind (`plain_rules`), marks that are added
and feedback that is gathered. Names, patterns and constants are handed to the code, and stand in it as places of a
list; the constants of an item are those it holds. A comparison with a missing answer is neither true nor false, and so
may be what is made of it; a rule follows where its condition is true. So the code asks of every condition whether it
is true, of what stands under a `not` whether it is false, and with a missing answer a comparison is neither. What the
code says is what the rules say, or it says nothing and the rules are run.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, TypeAlias

from lxml import etree

from itembank.audit.facts import Outcome, Response
from itembank.audit.plain_rules import Truth
from itembank.audit.rule_expressions import LONGEST_TEXT, Scalar, Value
from itembank.audit.straight_code import made
from itembank.audit.structure import decimal, integer
from itembank.audit.xml_reading import local_name

__all__ = ["FEEDBACK", "SCORE", "Marks", "StraightRules", "straight_rules"]

SCORE: Final = "SCORE"
FEEDBACK: Final = "FEEDBACK"
Marks: TypeAlias = tuple[int | Fraction, tuple[str, ...]]
"""What an answer earns, and the feedback it shows."""
_ORDERS: Final = {"qti-lt": "<", "qti-lte": "<=", "qti-gt": ">", "qti-gte": ">=", "qti-equal": "=="}
_FOLDS: Final = {"qti-sum": " + ", "qti-product": " * ", "qti-subtract": " - ", "qti-integer-divide": " // "}
_LINES: Final = 2_000


class _Beyond(Exception):
    """No straight code says this."""


@dataclass(frozen=True, slots=True)
class Known:
    """What the rules speak of.

    place: where an item holds the constant of a type and text, None for one that all items share; pattern: a pattern
    and where the digits are held that its group has to be; truth: the plain condition of an element, None for one whose
    types do not fit, or that is of another kind.
    """

    responses: Mapping[str, Response]
    outcomes: Mapping[str, Outcome]
    place: Callable[[str, str], int | None]
    pattern: Callable[[str], tuple[re.Pattern[str], int | None]]
    truth: Callable[[etree._Element], Truth | None]


class StraightRules:
    """Rules as code."""

    def __init__(self, code: Any, held: list[Any]) -> None:
        self._code, self._held = code, held

    def marks(self, responses: Mapping[str, Value], constants: Sequence[Scalar]) -> Marks | None:
        """What answers of the declared types earn and show; None where the rules have to be run."""
        try:
            return self._code(responses.get, constants, self._held)  # type: ignore[no-any-return]
        except ZeroDivisionError:
            return None


def straight_rules(processing: etree._Element, known: Known) -> StraightRules | None:
    """The code of an item's rules, None where there is none that says the same."""
    writer = _Writer(known)
    try:
        code = writer.compiled(processing)
    except _Beyond:
        return None
    return StraightRules(code, writer.held)


class _Writer:
    def __init__(self, known: Known) -> None:
        self._known = known
        self.held: list[Any] = []
        self._lines: list[str] = []
        self._responses: dict[str, str] = {}
        score, feedback = known.outcomes.get(SCORE), known.outcomes.get(FEEDBACK)
        if score is None or (score.cardinality, score.base_type) != ("single", "float"):
            raise _Beyond
        if feedback is not None and (
            (feedback.cardinality, feedback.base_type) != ("multiple", "identifier") or feedback.default
        ):
            raise _Beyond

    def source(self, processing: etree._Element) -> str:
        """The code of a function of the answers, of what the item holds and of what is handed to all items."""
        for rule in processing:
            self._rule(rule, 1)
        if len(self._lines) > _LINES:
            raise _Beyond
        score = decimal(next(iter(self._known.outcomes[SCORE].default), "0"))
        if score is None:
            raise _Beyond
        first = [f"score = k[{self._keep(_plain(score))}]", "shown = ()"]
        for name, local in self._responses.items():
            declared = self._known.responses[name]
            first.append(f"{local} = get(k[{self._keep(name)}])")
            item = ".items" if declared.cardinality != "single" else ".items[0]"
            cut = f"[:{LONGEST_TEXT}]" if declared.base_type == "string" else ""
            first.append(f"if {local} is not None: {local} = {local}{item}{cut}")
        body = "\n".join(" " + line for line in (*first, *self._lines, "return score, shown"))
        return f"def made(get, h, k):\n{body}"

    def compiled(self, processing: etree._Element) -> Any:
        """That function."""
        return made(self.source(processing), {"__builtins__": {"max": max, "min": min}})

    def _keep(self, value: Any) -> int:
        self.held.append(value)
        return len(self.held) - 1

    def _line(self, depth: int, text: str) -> None:
        self._lines.append("  " * (depth - 1) + text)

    def _rule(self, element: etree._Element, depth: int) -> None:
        name = local_name(element)
        if depth > 8:
            raise _Beyond
        if name == "qti-set-outcome-value":
            self._set(element, depth)
        elif name == "qti-response-condition":
            self._condition(element, depth)
        elif name == "qti-response-processing-fragment":
            for each in element:
                self._rule(each, depth)
        else:
            raise _Beyond

    def _condition(self, element: etree._Element, depth: int) -> None:
        for place, part in enumerate(element):
            name = local_name(part)
            if name == "qti-response-else":
                self._line(depth, "else:")
                rules = list(part)
            else:
                asked, *rules = part
                self._line(depth, f"{'elif' if place else 'if'} {self._asked(asked)}:")
            self._line(depth + 1, "pass")
            for rule in rules:
                self._rule(rule, depth + 1)

    def _asked(self, element: etree._Element) -> str:
        """Whether a condition is true."""
        if self._known.truth(element) is None and not self._is_of_marks(element):
            raise _Beyond  # types that do not fit are the rules' own to tell
        return self._code(element, True)

    def _is_of_marks(self, element: etree._Element) -> bool:
        """Whether what is earned already is compared with a number."""
        return local_name(element) in _ORDERS and all(
            (local_name(each) == "qti-variable" and each.get("identifier") == SCORE)
            or (local_name(each) == "qti-base-value" and each.get("base-type") in {"integer", "float"})
            for each in element
        )

    def _code(self, element: etree._Element, truth: bool) -> str:
        """Whether a condition is true, or is false: where answers are missing it may be neither."""
        name = local_name(element)
        if name in {"qti-and", "qti-or"} and len(element):
            joined = " and " if (name == "qti-and") is truth else " or "
            return f"({joined.join([self._code(each, truth) for each in element])})"
        if name == "qti-not" and len(element) == 1:
            return self._code(element[0], not truth)
        needed: dict[str, None] = {}
        code = self._compared(element, needed)
        given = "".join([f"{local} is not None and " for local in needed])
        return f"({given}{code})" if truth else f"({given}not {code})"

    def _compared(self, element: etree._Element, needed: dict[str, None]) -> str:
        """A comparison of answers that are given. needed: gathers those that have to be."""
        name = local_name(element)
        if name == "qti-is-null" and len(element) == 1:
            local = self._variable(element[0], None)
            return (
                f"({local} is None or {local} == '')" if self._is_text(element[0]) else f"({local} is None)"
            )
        if name == "qti-pattern-match" and len(element) == 1:
            return self._matched(element, needed)
        if name == "qti-match" and len(element) == 2:
            return f"({self._single(element[0], needed)} == {self._single(element[1], needed)})"
        if name in _ORDERS and len(element) == 2 and element.get("tolerance-mode", "exact") == "exact":
            return f"({self._number(element[0], needed)} {_ORDERS[name]} {self._number(element[1], needed)})"
        if name == "qti-member" and len(element) == 2:
            return f"({self._single(element[0], needed)} in {self._variable(element[1], needed)})"
        raise _Beyond

    def _is_text(self, element: etree._Element) -> bool:
        return self._known.responses[element.get("identifier", "")].base_type == "string"

    def _variable(self, element: etree._Element, needed: dict[str, None] | None) -> str:
        """The local name of a response; it is needed where what is asked is open without it."""
        name = element.get("identifier", "")
        if local_name(element) != "qti-variable" or name not in self._known.responses:
            raise _Beyond
        local = self._responses.setdefault(name, f"b{len(self._responses)}")
        if needed is not None:
            needed[local] = None
        return local

    def _matched(self, element: etree._Element, needed: dict[str, None]) -> str:
        local = self._variable(element[0], needed)
        if not self._is_text(element[0]):
            raise _Beyond
        pattern, place = self._known.pattern(element.get("pattern", ""))
        found = f"k[{self._keep(pattern.fullmatch)}]({local})"
        return (
            f"({found} is not None)"
            if place is None
            else f"((m := {found}) is not None and m[1] == h[{place}])"
        )

    def _single(self, element: etree._Element, needed: dict[str, None]) -> str:
        name = local_name(element)
        if name == "qti-base-value":
            return self._constant(element.get("base-type", ""), (element.text or "").strip())
        if name == "qti-correct":
            declared = self._known.responses.get(element.get("identifier", ""))
            if declared is None or declared.cardinality != "single" or len(declared.correct) != 1:
                raise _Beyond
            return self._constant(declared.base_type, declared.correct[0])
        local = self._variable(element, needed)
        if self._is_text(element):
            raise _Beyond  # of a text only the beginning is held
        return local

    def _constant(self, base: str, text: str) -> str:
        place = self._known.place(base, text)
        if place is not None:
            return f"h[{place}]"
        value: Scalar | None = text
        if base in {"integer", "float"}:
            value = integer(text) if base == "integer" else decimal(text)
        elif base != "identifier":
            raise _Beyond
        if value is None:
            raise _Beyond
        return f"k[{self._keep(_plain(value))}]"

    def _number(self, element: etree._Element, needed: dict[str, None]) -> str:
        name = local_name(element)
        if name in _FOLDS and len(element) > 1:
            return f"({_FOLDS[name].join([self._number(each, needed) for each in element])})"
        if name in {"qti-max", "qti-min"} and len(element) > 1:
            return f"{name[4:]}({', '.join([self._number(each, needed) for each in element])})"
        if (
            name == "qti-variable"
            and element.get("identifier") == SCORE
            and SCORE not in self._known.responses
        ):
            return "score"
        return self._single(element, needed)

    def _set(self, element: etree._Element, depth: int) -> None:
        identifier = element.get("identifier", "")
        if len(element) != 1:
            raise _Beyond
        if identifier == SCORE:
            self._line(depth, f"score = {self._sum(element[0])}")
        elif identifier == FEEDBACK and local_name(element[0]) == "qti-multiple" and len(element[0]) == 2:
            before, added = element[0]
            is_itself = local_name(before) == "qti-variable" and before.get("identifier") == FEEDBACK
            is_plain = local_name(added) == "qti-base-value" and added.get("base-type") == "identifier"
            if not is_itself or not is_plain or FEEDBACK in self._known.responses:
                raise _Beyond
            self._line(depth, f"shown = (*shown, k[{self._keep((added.text or '').strip())}])")
        else:
            raise _Beyond

    def _sum(self, element: etree._Element) -> str:
        """Marks: constants, what is earned already, and their sum."""
        name = local_name(element)
        if name == "qti-sum" and len(element):
            return f"({' + '.join([self._sum(each) for each in element])})"
        if (
            name == "qti-variable"
            and element.get("identifier") == SCORE
            and SCORE not in self._known.responses
        ):
            return "score"
        if name == "qti-base-value" and element.get("base-type") == "float":
            return self._constant("float", (element.text or "").strip())
        raise _Beyond


def _plain(value: Scalar) -> Scalar:
    """A whole number as one: it is equal, and sooner added."""
    return value.numerator if isinstance(value, Fraction) and value.denominator == 1 else value
