"""Whether an item is well made as a document of the standard: order, identifiers, declarations that fit.

Source: QTI 3.0, assessment item: order of children, cardinalities and base types of interactions.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Final

from lxml import etree

from itembank.audit.dialects import QTI
from itembank.audit.facts import Facts, Response
from itembank.audit.findings import Fault
from itembank.audit.labels_check import check_labels
from itembank.audit.page_text import seen
from itembank.audit.told_check import check_told
from itembank.audit.xml_reading import local_name, namespace

__all__ = ["check_root", "check_structure", "decimal", "integer"]

_ORDER = (
    "qti-context-declaration", "qti-response-declaration", "qti-outcome-declaration", "qti-template-declaration",
    "qti-template-processing", "qti-assessment-stimulus-ref", "qti-companion-materials-info", "qti-stylesheet",
    "qti-item-body", "qti-catalog-info", "qti-response-processing", "qti-modal-feedback",
)  # fmt: skip
OPTIONS: Final = 40
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.\-]*\Z")
_INTEGER = re.compile(r"[+-]?[0-9]{1,18}\Z")
_DECIMAL = re.compile(r"[+-]?[0-9]{1,18}(?:\.[0-9]{1,18})?\Z")
_LONGEST: Final = 40
"""More characters than a decimal has."""
_LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"


def integer(text: str) -> int | None:
    """The whole number a value is written as, None for anything else."""
    return int(text) if _INTEGER.match(text) else None


_TITLED: Final = re.compile(r"\(([A-Z][A-Z0-9]{4,30}(?:_[a-z0-9]+)*)\)\Z")


def decimal(text: str) -> Fraction | None:
    """The exact value of a decimal, None for anything else (exponents included)."""
    return _decimal(text) if len(text) <= _LONGEST else None


@lru_cache(maxsize=4096)
def _decimal(text: str) -> Fraction | None:
    return Fraction(text) if _DECIMAL.match(text) else None


def check_root(root: etree._Element) -> None:
    """Raise Fault `wrong-root` where a document, in the names of 3.0, is no item."""
    if local_name(root) != "qti-assessment-item" or namespace(root) != QTI:
        raise Fault("wrong-root", f"the file's root is {local_name(root)}, not an assessment item")


def check_structure(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the item as a document."""
    for attribute in ("identifier", "title", "time-dependent", _LANGUAGE):
        if not (root.get(attribute) or "").strip():
            yield Fault("missing-attribute", f"the item has no {attribute.rpartition('}')[2]}")
    yield from check_title(root.get("title", ""), root.get("identifier", ""))
    yield from _order(root)
    yield from _identifiers(facts)
    yield from _responses(facts)
    yield from _outcomes(facts)
    yield from _pictures(root)
    yield from _ticks(root, facts)
    yield from _words(root, facts)
    yield from check_labels(root, facts)
    yield from check_told(root)


def _words(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """Feedback that says something, and boxes of which a candidate is told how to fill them."""
    for each in root.iter(f"{{{QTI}}}qti-modal-feedback"):
        if not seen(each) and each.find(".//{*}img") is None:
            yield Fault("empty-feedback", f"the feedback {each.get('identifier')!r} says nothing")
    asked = {box.part for box in facts.boxes}
    told = [each for each in root.iter(f"{{{QTI}}}div") if each.get("class") == "instruction" and seen(each)]
    if len(told) < len(asked):
        yield Fault("no-instruction", "a candidate is not told what to enter into the boxes")


def check_title(title: str, code: str) -> Iterator[Fault]:
    """A title that ends with a code in brackets ends with the item's own."""
    told = _TITLED.search(title)
    if told and told[1] != code:
        yield Fault("identifier-differs", f"the title names the code {told[1]}, not the item's own")


def _order(root: etree._Element) -> Iterator[Fault]:
    last = 0
    for child in root:
        name = local_name(child)
        if name not in _ORDER or namespace(child) != QTI:
            yield Fault("unknown-element", f"{name} cannot stand in an item")
            continue
        if _ORDER.index(name) < last:
            yield Fault("out-of-order", f"{name} stands after what should follow it")
        last = max(last, _ORDER.index(name))


def _identifiers(facts: Facts) -> Iterator[Fault]:
    variables = [
        *(each.identifier for each in facts.responses),
        *(each.identifier for each in facts.outcomes),
    ]
    yield from _repeated(variables, "variable")
    for name in variables:
        if not _NAME.match(name):
            yield Fault("wrong-identifier", f"{name!r} cannot name a variable")
    for interaction in facts.choices:
        if len(interaction.choices) > OPTIONS:
            raise Fault(
                "too-many-options", f"there are more than {OPTIONS} options", place=interaction.response
            )
        names = [choice.identifier for choice in interaction.choices]
        yield from _repeated(names, f"option of {interaction.response}")
        for name in names:
            if not _NAME.match(name):
                yield Fault("wrong-identifier", f"{name!r} cannot name an option", place=interaction.response)
    yield from _repeated([each.identifier for each in facts.feedbacks], "feedback")
    yield from _repeated([part.label for part in facts.parts], "part")


def _repeated(names: Iterable[str], kind: str) -> Iterator[Fault]:
    for name, count in Counter(names).items():
        if count > 1:
            yield Fault("duplicate-identifier", f"the {kind} {name!r} stands {count} times")


def _responses(facts: Facts) -> Iterator[Fault]:
    used = Counter(
        [
            *(each.response for each in facts.choices),
            *(each.response for each in facts.boxes),
            *(each.response for each in facts.tasks),
        ]
    )
    for name, count in used.items():
        if count > 1:
            yield Fault("duplicate-identifier", f"{name} is used by {count} interactions")
    for name in used:
        if facts.response(name) is None:
            yield Fault("undeclared-response", f"the response {name!r} is used but not declared")
    for response in facts.responses:
        if response.identifier not in used:
            yield Fault("unused-response", f"the response {response.identifier!r} is declared but not used")
        elif any(task.response == response.identifier for task in facts.tasks):
            yield from fits_task(facts, response)
        else:
            yield from _fits(facts, response)


def _fits(facts: Facts, response: Response) -> Iterator[Fault]:
    name = response.identifier
    interaction = next((each for each in facts.choices if each.response == name), None)
    inline = next((box.choices for box in facts.boxes if box.response == name and box.choices), ())
    bases = {"identifier"} if interaction or inline else {"integer", "float", "string"}
    several = interaction is not None and interaction.max_choices == "0"
    if response.base_type not in bases or response.cardinality != ("multiple" if several else "single"):
        yield Fault(
            "misfit-response",
            f"{response.cardinality} {response.base_type} does not fit the interaction",
            place=name,
        )
    if len(response.correct) > 1 and not several:
        yield Fault("misfit-value", "a single response has more than one right value", place=name)
    options = {choice.identifier for choice in interaction.choices} if interaction else set(inline)
    for value in response.correct:
        wrong = (
            value not in options if options
            else integer(value) is None if response.base_type == "integer"
            else decimal(value) is None  # a text is a number too
        )  # fmt: skip
        if wrong:
            yield Fault("misfit-value", f"the right value {value!r} is none of the interaction's", place=name)
    if interaction and interaction.max_choices not in {"0", "1"}:
        yield Fault("misfit-response", "how many options can be chosen is not clear", place=name)
    yield from _repeated(response.correct, f"right value of {name}")
    if response.mapping is not None:
        yield from mapped(response, options)


def fits_task(facts: Facts, response: Response) -> Iterator[Fault]:
    """What is wrong with the response of an order, a match or a text."""
    name = response.identifier
    task = next(each for each in facts.tasks if each.response == name)
    kinds = {
        "order": ("identifier", "ordered"),
        "match": ("directedPair", "multiple"),
        "text": ("string", "single"),
    }
    if (response.base_type, response.cardinality) != kinds[task.kind]:
        message = f"{response.cardinality} {response.base_type} does not fit the interaction"
        yield Fault("misfit-response", message, place=name)
    names = [choice.identifier for choice in (*task.choices, *task.targets)]
    yield from _repeated(names, f"option of {name}")
    if len(names) > OPTIONS:
        raise Fault("too-many-options", f"there are more than {OPTIONS} options", place=name)
    if task.kind == "match":
        allowed = {f"{row.identifier} {to.identifier}" for row in task.choices for to in task.targets}
    else:
        allowed = {choice.identifier for choice in task.choices}
    for value in response.correct:
        if value not in allowed:
            yield Fault("misfit-value", f"the right value {value!r} is none of the interaction's", place=name)
    yield from _repeated(response.correct, f"right value of {name}")
    if response.mapping is not None:
        yield from mapped(response, allowed)


def mapped(response: Response, options: set[str]) -> Iterator[Fault]:
    """A mapping gives a number to each of the interaction's options and to nothing else."""
    assert response.mapping is not None
    keys = [key for key, _ in response.mapping.entries]
    yield from _repeated(keys, f"map entry of {response.identifier}")
    if set(keys) - options:
        yield Fault("misfit-value", "a mapping speaks of what is no option", place=response.identifier)
    numbers = [*(value for _, value in response.mapping.entries), response.mapping.default]
    numbers += [bound for bound in (response.mapping.lower, response.mapping.upper) if bound]
    if any(decimal(each) is None for each in numbers):
        yield Fault("misfit-value", "a mapping gives something that is no number", place=response.identifier)


def _outcomes(facts: Facts) -> Iterator[Fault]:
    score = facts.outcome("SCORE")
    if score is None or (score.cardinality, score.base_type) != ("single", "float"):
        yield Fault("wrong-outcome", "the item declares no single SCORE of type float")
        return
    maximum = decimal(score.normal_maximum)
    if maximum is None or maximum <= 0 or maximum.denominator != 1:
        yield Fault("wrong-outcome", "SCORE has no whole number of marks as its normal maximum")
    elif score.normal_minimum and decimal(score.normal_minimum) != 0:
        yield Fault("wrong-outcome", "the normal minimum of SCORE is not 0")
    if score.default and [decimal(value) for value in score.default] != [0]:
        yield Fault("wrong-outcome", "SCORE does not begin at 0")
    most = facts.outcome("MAXSCORE")
    if most is None or (most.cardinality, most.base_type) != ("single", "float"):
        yield Fault("wrong-outcome", "the item declares no single MAXSCORE of type float")
    elif [decimal(value) for value in most.default] != [maximum]:
        yield Fault("wrong-outcome", "MAXSCORE is not the normal maximum of SCORE")
    declared = {each.identifier for each in facts.outcomes}
    for feedback in facts.feedbacks:
        if feedback.outcome not in declared:
            yield Fault(
                "undeclared-outcome", f"the feedback {feedback.identifier!r} follows an outcome not declared"
            )


def _ticks(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """A tick beside boxes may be left out: where there is a solution it is wrong."""
    ticks = {each.response for each in facts.choices if each.is_tick}
    for each in root.iter(f"{{{QTI}}}qti-choice-interaction"):
        name = each.get("response-identifier", "")
        if name in ticks and each.get("min-choices", "0") != "0":
            yield Fault("misfit-response", "the tick has to be set whatever the answer is", place=name)


def _pictures(root: etree._Element) -> Iterator[Fault]:
    for picture in root.iter(f"{{{QTI}}}img"):
        if not (picture.get("alt") or "").strip():
            yield Fault("picture-without-alt", "a picture has no text for those who cannot see it")
