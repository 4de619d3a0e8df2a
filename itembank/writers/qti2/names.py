"""What QTI 2.x calls what QTI 3.0 names, element by element and attribute by attribute: everything this house writes.

An element or an attribute that does not stand here is refused by `translate.py`, so that no new kind of item is lost
on the way without a word. Most names follow one rule (`qti-choice-interaction` is `choiceInteraction`); what differs
beyond names stands in `Element`.
Source: QTI 2.1, 2.2 and 3.0, information models and bindings (2.x from memory where no schema was at hand).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

__all__ = ["ELEMENTS", "Element", "camel"]


@dataclass(frozen=True, slots=True)
class Element:
    """An element of 3.0 in 2.x.

    name: in 2.x, "" where the element is left out and what stands in it stays. attributes: those of 3.0 that it may
    bear. always: attributes that 2.x wants written, with the value that 3.0 means by leaving them out. lost: attributes
    that 2.x has no place for -> what is lost, in words. is_body: it takes `id`, `class`, `xml:lang`, and `data-` and
    `aria-` attributes, as all elements of a body do.
    """

    name: str
    attributes: frozenset[str] = frozenset()
    always: Mapping[str, str] = field(default_factory=dict)
    lost: Mapping[str, str] = field(default_factory=dict)
    is_body: bool = False


def camel(name: str) -> str:
    """A name of 3.0 as 2.x spells it.

    >>> camel("qti-response-else-if"), camel("base-type"), camel("xml:lang")
    ('responseElseIf', 'baseType', 'xml:lang')
    """
    first, *rest = name.removeprefix("qti-").split("-")
    return first + "".join(word.capitalize() for word in rest)


def _plain(names: str, attributes: str = "", **always: str) -> dict[str, Element]:
    """Elements of declarations and rules. names: without `qti-`; always: in the names of 2.x."""
    allowed = frozenset(attributes.split())
    return {f"qti-{name}": Element(camel(name), allowed, always) for name in names.split()}


def _body(names: str, attributes: str = "", **always: str) -> dict[str, Element]:
    """Elements of the standard's own that stand in a body."""
    allowed = frozenset(attributes.split())
    return {f"qti-{name}": Element(camel(name), allowed, always, is_body=True) for name in names.split()}


def _html(names: str, attributes: str = "", **lost: str) -> dict[str, Element]:
    """Elements that have their name from HTML in every version."""
    allowed = frozenset(attributes.split())
    return {name: Element(name, allowed, {}, lost, is_body=True) for name in names.split()}


_MANY: Final = "identifier cardinality base-type"
_TEXT_BOX: Final = "response-identifier expected-length pattern-mask placeholder-text"

_FOUND: dict[str, Element] = {
    # the item and its declarations
    **_plain(
        "assessment-item",
        "identifier title label xml:lang time-dependent adaptive tool-name tool-version",
        adaptive="false", timeDependent="false",
    ),
    **_plain("response-declaration template-declaration", _MANY),
    **_plain(
        "outcome-declaration",
        f"{_MANY} view interpretation long-interpretation normal-maximum normal-minimum mastery-value",
    ),
    **_plain("default-value correct-response value item-body"),
    **_plain("mapping", "lower-bound upper-bound default-value", defaultValue="0"),
    **_plain("map-entry", "map-key mapped-value case-sensitive", caseSensitive="false"),
    **_plain("match-table", "default-value"),
    **_plain("match-table-entry", "source-value target-value"),
    **_plain("stylesheet", "href type media title"),
    # rules
    **_plain("response-processing response-condition response-if response-else-if response-else exit-response"),
    **_plain("response-processing-fragment outcome-processing outcome-condition outcome-if outcome-else-if"),
    **_plain("outcome-else"),
    **_plain("set-outcome-value lookup-outcome-value variable correct default map-response", "identifier"),
    **_plain("base-value", "base-type"),
    **_plain("and or not is-null match member contains null multiple ordered delete container-size random"),
    **_plain("lt gt lte gte sum product subtract divide power integer-divide integer-modulus min max gcd lcm"),
    **_plain("round truncate integer-to-float"),
    **_plain("any-n", "min max"),
    **_plain("index", "n"),
    **_plain("equal", "tolerance-mode tolerance include-lower-bound include-upper-bound", toleranceMode="exact"),
    **_plain("equal-rounded round-to", "rounding-mode figures"),
    **_plain("string-match", "case-sensitive substring"),
    **_plain("substring", "case-sensitive"),
    **_plain("pattern-match", "pattern"),
    **_plain("math-operator", "name"),
    **_plain("math-constant", "name"),
    # tests
    **_plain("assessment-test", "identifier title xml:lang tool-name tool-version"),
    **_plain("test-part", "identifier title navigation-mode submission-mode"),
    **_plain("assessment-section", "identifier title visible keep-together required fixed", visible="true"),
    **_plain("assessment-item-ref", "identifier href category required fixed"),
    **_plain("assessment-section-ref", "identifier href required fixed"),
    **_plain("weight", "identifier value"),
    **_plain("time-limits", "min-time max-time allow-late-submission"),
    **_plain("selection", "select with-replacement"),
    **_plain("ordering", "shuffle"),
    **_plain(
        "item-session-control",
        "max-attempts show-feedback allow-review show-solution allow-comment allow-skipping validate-responses",
    ),
    **_plain("test-variables", "variable-identifier section-identifier include-category weight-identifier base-type"),
    # interactions
    **_body(
        "choice-interaction", "response-identifier shuffle max-choices min-choices orientation",
        shuffle="false", maxChoices="1",
    ),
    **_body("order-interaction", "response-identifier shuffle max-choices min-choices orientation", shuffle="false"),
    **_body(
        "associate-interaction match-interaction",
        "response-identifier shuffle max-associations min-associations", shuffle="false", maxAssociations="1",
    ),
    **_body("gap-match-interaction", "response-identifier shuffle", shuffle="false"),
    **_body("inline-choice-interaction", "response-identifier shuffle required", shuffle="false"),
    **_body("text-entry-interaction", _TEXT_BOX),
    **_body("extended-text-interaction", f"{_TEXT_BOX} expected-lines format max-strings min-strings"),
    **_body("hottext-interaction", "response-identifier max-choices min-choices", maxChoices="1"),
    **_body("prompt"),
    **_body("simple-choice inline-choice hottext", "identifier fixed"),
    **_body("simple-match-set"),
    **_body("simple-associable-choice gap-text", "identifier fixed match-max match-min"),
    **_body("gap", "identifier required"),
    # feedback and rubrics; how a block for staff is used becomes a word of its class
    **_body("modal-feedback", "outcome-identifier identifier show-hide title", showHide="show"),
    **_body("feedback-block feedback-inline", "outcome-identifier identifier show-hide", showHide="show"),
    **_body("rubric-block", "view use"),
    "qti-content-body": Element(""),
    # HTML
    **_html("p div span em strong b i sub sup br blockquote pre code h1 h2 h3 h4 h5 h6 ul li dl dt dd small"),
    **_html("ol", start="a list that is numbered from another number is numbered from 1"),
    **_html("table thead tbody tfoot tr caption"),
    **_html("td th", "scope colspan rowspan headers"),
    **_html("img", "src alt width height"),
    # HTML 5 only: the nearest that the older versions have
    "figure": Element("div", is_body=True),
    "figcaption": Element("div", is_body=True),
    "section": Element("div", is_body=True),
}  # fmt: skip

ELEMENTS: Final[Mapping[str, Element]] = MappingProxyType(_FOUND)
"""An element of 3.0 -> what becomes of it."""
