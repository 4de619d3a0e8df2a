"""The code that the audit makes of rules of marking: nothing of a file stands in it."""

from __future__ import annotations

import re

from lxml import etree

from itembank.audit.facts import Facts, Outcome, Response
from itembank.audit.response_processing import Constants, _Compiler, compile_rules
from itembank.audit.rule_expressions import Value
from itembank.audit.straight_rules import _Writer
from tests.audit_samples import QTI

_TOKENS = re.compile(
    r"(?:def made\(get, h, k\):|return score, shown|score|shown|if|elif|else|pass|is|not|None|and|or|in|max|min"
    r"|get|\.items|[bhkm]|'' ?|[0-9]+|[-+*/=<>!():\[\],;.\s])*\Z"
)
NAME = "__import__('os')"
RULES = (
    "<qti-response-condition><qti-response-if><qti-and>"
    '<qti-match><qti-variable identifier="A"/><qti-base-value base-type="integer">{number}</qti-base-value></qti-match>'
    '<qti-match><qti-variable identifier="C"/>'
    f'<qti-base-value base-type="identifier">{NAME}</qti-base-value></qti-match>'
    '</qti-and><qti-set-outcome-value identifier="SCORE"><qti-sum><qti-variable identifier="SCORE"/>'
    '<qti-base-value base-type="float">2</qti-base-value></qti-sum></qti-set-outcome-value>'
    '<qti-set-outcome-value identifier="FEEDBACK"><qti-multiple><qti-variable identifier="FEEDBACK"/>'
    f'<qti-base-value base-type="identifier">{NAME}</qti-base-value></qti-multiple></qti-set-outcome-value>'
    "</qti-response-if></qti-response-condition>"
)
HELD = "710000000000000"


def facts(number: str) -> Facts:
    """An item with these rules."""
    text = f'<qti-response-processing xmlns="{QTI}">{RULES.format(number=number)}</qti-response-processing>'
    responses = (Response("A", "single", "integer", ("3",)), Response("C", "single", "identifier", ()))
    outcomes = (
        Outcome("SCORE", "single", "float", ("0",), "2"),
        Outcome("FEEDBACK", "multiple", "identifier", ()),
    )
    return Facts("X", responses, outcomes, (), (), (), (), True, etree.fromstring(text), None)


def test_of_a_file_only_places_are_in_the_code() -> None:
    item = facts("5")
    assert item.processing is not None
    source = _Writer(_Compiler(item, Constants({})).known()).source(item.processing)

    assert _TOKENS.match(source)
    assert "import" not in source
    assert "'os'" not in source


def test_the_number_of_an_item_is_put_in() -> None:
    """One code for two items: 5 is right in the first, 7 in the second."""
    rules = compile_rules(facts(HELD), Constants({HELD: 0}))
    assert rules.straight is not None
    answers = {"A": Value("integer", (5,)), "C": Value("identifier", (NAME,))}

    assert (2, (NAME,)) == rules.of_item([Value("integer", (5,))], [5]).marks(answers)
    assert (0, ()) == rules.of_item([Value("integer", (7,))], [7]).marks(answers)
    assert (0, ()) == rules.of_item([Value("integer", (5,))], [5]).marks({"A": Value("integer", (5,))})
