"""The rules of response processing: NULL, conditions, numbers, and what is refused."""

from __future__ import annotations

from fractions import Fraction

import pytest
from lxml import etree

from itembank.audit.facts import Facts, Outcome, Response
from itembank.audit.findings import Fault
from itembank.audit.response_processing import Responses, compile_rules
from itembank.audit.rule_expressions import Value
from tests.audit_samples import QTI, blank, earns, equal, number, q, var, when

RESPONSES = (
    Response("A", "single", "integer", ("3",)),
    Response("B", "single", "float", ("0.5",)),
    Response("C", "single", "identifier", ()),
)
OUTCOMES = (
    Outcome("SCORE", "single", "float", ("0",), "1"),
    Outcome("FEEDBACK", "multiple", "identifier", ()),
    Outcome("FLAG", "single", "boolean", ()),
)
TRUE = '<qti-base-value base-type="boolean">true</qti-base-value>'
FALSE = '<qti-base-value base-type="boolean">false</qti-base-value>'
NULL = "<qti-null/>"


def outcomes(rules: str, responses: Responses | None = None) -> dict[str, Value | None]:
    """What the rules make of responses."""
    root = etree.fromstring(f'<qti-response-processing xmlns="{QTI}">{rules}</qti-response-processing>')
    facts = Facts("X", RESPONSES, OUTCOMES, (), (), (), (), True, root, None)
    return dict(compile_rules(facts).run(responses or {}))


def flag(expression: str, responses: Responses | None = None) -> bool | None:
    """The truth of an expression, None for NULL."""
    rules = f'<qti-set-outcome-value identifier="FLAG">{expression}</qti-set-outcome-value>'
    value = outcomes(rules, responses)["FLAG"]
    return None if value is None else value.items == (True,)


def score(expression: str, responses: Responses | None = None) -> Fraction | None:
    """The number an expression comes to, None for NULL."""
    rules = f'<qti-set-outcome-value identifier="SCORE">{expression}</qti-set-outcome-value>'
    value = outcomes(rules, responses)["SCORE"]
    return None if value is None else Fraction(str(value.items[0]))


def decimal(text: str) -> str:
    """A decimal number."""
    return f'<qti-base-value base-type="float">{text}</qti-base-value>'


@pytest.mark.parametrize(
    ("expected", "expression"),
    [
        (False, q("and", TRUE, NULL, FALSE)),
        (None, q("and", TRUE, NULL)),
        (True, q("and", TRUE, TRUE)),
        (True, q("or", NULL, TRUE)),
        (None, q("or", NULL, FALSE)),
        (None, q("not", NULL)),
        (False, q("not", TRUE)),
        (True, blank("A")),
        (None, q("match", var("A"), number(3))),
        (None, equal(var("A"), number(3))),
        (True, '<qti-any-n min="1" max="2">' + TRUE + NULL + "</qti-any-n>"),
        (None, '<qti-any-n min="2" max="2">' + TRUE + NULL + "</qti-any-n>"),
        (False, '<qti-any-n min="2" max="2">' + FALSE + NULL + "</qti-any-n>"),
    ],
)
def test_null_spreads_as_the_standard_says(expected: bool | None, expression: str) -> None:
    """Nothing was answered."""
    assert expected is flag(expression)


@pytest.mark.parametrize(
    ("expected", "expression"),
    [
        (6, q("sum", var("A"), var("A"))),
        (Fraction(7, 2), q("sum", var("A"), var("B"))),
        (9, q("product", var("A"), var("A"))),
        (Fraction(3, 2), q("divide", var("A"), number(2))),
        (None, q("divide", var("A"), number(0))),
        (-2, q("integer-divide", number(-3), number(2))),
        (None, q("integer-modulus", var("A"), number(0))),
        (1, q("integer-modulus", number(-3), number(2))),
        (1, q("round", var("B"))),
        (0, q("truncate", var("B"))),
        (-2, q("round", decimal("-2.5"))),
        (8, q("power", number(2), var("A"))),
        (6, q("gcd", number(12), number(18))),
        (36, q("lcm", number(12), number(18))),
        (2, q("min", number(2), var("A"))),
        (3, q("max", number(2), var("A"))),
        (1, q("subtract", var("A"), number(2))),
        (3, '<qti-correct identifier="A"/>'),
        (None, q("sum", NULL, number(1))),
        (2, q("container-size", q("multiple", number(4), number(5), NULL))),
        (0, q("container-size", NULL)),
    ],
)
def test_numbers_are_exact(expected: int | Fraction | None, expression: str) -> None:
    """A = 3, B = 0.5."""
    given = {"A": Value("integer", (3,)), "B": Value("float", (Fraction(1, 2),))}

    assert expected == score(expression, given)


@pytest.mark.parametrize(
    ("expected", "attributes", "given"),
    [
        (True, "", "0.5"),
        (False, "", "0.51"),
        (True, 'tolerance-mode="absolute" tolerance="0.01"', "0.51"),
        (False, 'tolerance-mode="absolute" tolerance="0.01" include-upper-bound="false"', "0.51"),
        (True, 'tolerance-mode="absolute" tolerance="0 0.01"', "0.51"),
        (False, 'tolerance-mode="absolute" tolerance="0.01 0"', "0.51"),
        (True, 'tolerance-mode="relative" tolerance="2"', "0.51"),
        (False, 'tolerance-mode="relative" tolerance="1"', "0.51"),
    ],
)
def test_a_tolerance_is_counted_from_the_right_value(expected: bool, attributes: str, given: str) -> None:
    """0.5 is right."""
    expression = f'<qti-equal {attributes}><qti-correct identifier="B"/>{var("B")}</qti-equal>'

    assert expected is flag(expression, {"B": Value("float", (Fraction(given),))})


def test_the_first_branch_that_is_true_is_taken() -> None:
    """NULL counts as false, and what follows an exit is not done."""
    rules = when((equal(var("A"), number(3)), earns(9)), (blank("A"), earns(1, "F1")), (TRUE, earns(5)))
    rules += "<qti-exit-response/>" + earns(7)
    found = outcomes(rules)

    assert Value("float", (Fraction(1),)) == found["SCORE"]
    assert Value("identifier", ("F1",), "multiple") == found["FEEDBACK"]


def test_containers_gather_and_are_searched() -> None:
    """Two feedbacks, one of them found again."""
    named = [f'<qti-base-value base-type="identifier">F{index}</qti-base-value>' for index in (1, 2)]

    assert flag(q("member", named[0], q("multiple", *named))) is True
    assert flag(q("match", q("multiple", *named), q("multiple", *reversed(named)))) is True
    assert flag(q("match", q("ordered", *named), q("ordered", *reversed(named)))) is False


@pytest.mark.parametrize(
    ("code", "rules"),
    [
        ("unknown-rule", "<qti-lookup-outcome-value/>"),
        ("unknown-rule", "<qti-response-condition/>"),
        ("unknown-rule", f"<qti-response-condition>{q('response-else', earns(1))}</qti-response-condition>"),
        (
            "unknown-rule",
            f'<qti-set-outcome-value identifier="SCORE">{q("custom-operator", number(1))}</qti-set-outcome-value>',
        ),
        ("unknown-rule", '<qti-set-outcome-value identifier="SCORE"/>'),
        (
            "undeclared-variable",
            f'<qti-set-outcome-value identifier="POINTS">{number(1)}</qti-set-outcome-value>',
        ),
        (
            "undeclared-variable",
            f'<qti-set-outcome-value identifier="SCORE">{var("D")}</qti-set-outcome-value>',
        ),
        ("wrong-rule", f'<qti-set-outcome-value identifier="FEEDBACK">{number(1)}</qti-set-outcome-value>'),
        ("wrong-rule", when((number(1), earns(1)))),
        ("wrong-rule", when((q("and", number(1)), earns(1)))),
        ("wrong-rule", when((q("match", number(1), decimal("1")), earns(1)))),
        ("wrong-rule", when((q("match", decimal("1"), decimal("1")), earns(1)))),
        ("wrong-rule", when((q("gt", number(1)), earns(1)))),
        ("wrong-rule", when((q("gcd", number(1), decimal("1.5")), earns(1)))),
        (
            "misfit-value",
            when((equal(number(1), '<qti-base-value base-type="integer">x</qti-base-value>'), earns(1))),
        ),
        ("endless-rules", earns(1) * 3000 + when((TRUE, earns(1) * 3000))),
    ],
)
def test_a_rule_that_is_wrong_or_unknown_is_refused(code: str, rules: str) -> None:
    """With its code, whether it shows while reading or while running."""
    with pytest.raises(Fault) as wrong:
        outcomes(rules)

    assert code == wrong.value.code
