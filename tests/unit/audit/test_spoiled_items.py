"""Every way to spoil an item that the audit must see, each with the code it is told by."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from itembank.audit.verify import audit_item
from tests import audit_samples as samples
from tests.audit_samples import ITEMS, cn, declared, equation, math, n, spoiled, surd_pair


def codes(text: str, code: str) -> set[str]:
    """The codes of everything found in an item."""
    return {finding.code for finding in audit_item(text.encode(), f"items/{code}.xml")[1]}


@pytest.mark.parametrize("code", ITEMS)
def test_a_right_item_passes(code: str) -> None:
    """Each sample as it was written."""
    assert audit_item(ITEMS[code]().encode(), f"items/{code}.xml") == (code, ())


@pytest.mark.parametrize("code", ITEMS)
def test_a_right_item_passes_on_both_roads(code: str) -> None:
    """Each sample, its mathematics done again with sympy."""
    assert audit_item(ITEMS[code]().encode(), f"items/{code}.xml", thorough=True) == (code, ())


@dataclass(frozen=True)
class Spoiling:
    """A sample, what is done to it, and the code that tells of it."""

    name: str
    code: str
    spoil: Callable[[str], str]
    found: str


def swap(old: str, new: str, *, count: int = 1) -> Callable[[str], str]:
    """Replace a piece."""
    return lambda text: spoiled(text, old, new, count=count)


def last(old: str, new: str) -> Callable[[str], str]:
    """Replace the last occurrence of a piece."""

    def spoil(text: str) -> str:
        assert old in text
        head, _, tail = text.rpartition(old)
        return head + new + tail

    return spoil


def all_at_once(old: str, new: str) -> Callable[[str], str]:
    """Replace every occurrence of a piece."""
    return swap(old, new, count=-1)


KEY = f'<p data-role="key">{surd_pair(4, 13)}</p>'
OPTION_B = f'<qti-simple-choice identifier="B">{surd_pair(4, 13)}'
OPTION_C = f'<qti-simple-choice identifier="C">{surd_pair(-4, 13)}'
EIGHT = f"{samples.MINUS}{n(8)}{samples.TIMES}"
STAFF_C = samples.option_value("C", surd_pair(-4, 13), "F2")
PLAIN_KEYED = declared("RESPONSE", "identifier", "B")


def both_c(text: str) -> str:
    """Option C becomes equal to the key in value, written another way, for pupils and staff alike."""
    conjugate = surd_pair(4, 13).replace(samples.n(4), f"<mfrac>{n(8)}{n(2)}</mfrac>")
    conjugate = conjugate.replace(cn(4), samples.ap("divide", cn(8), cn(2)))
    text = spoiled(text, OPTION_C, f'<qti-simple-choice identifier="C">{conjugate}')
    return spoiled(text, STAFF_C, samples.option_value("C", conjugate, "F2"))


def twins(text: str) -> str:
    """Options A and C become the same wrong value."""
    text = spoiled(text, OPTION_C, f'<qti-simple-choice identifier="C">{surd_pair(8, 61)}')
    return spoiled(text, STAFF_C, samples.option_value("C", surd_pair(8, 61), "F2"))


SPOILINGS = (
    # the key and the options
    Spoiling("another key in the staff block", "K7Q2M", swap(KEY, KEY.replace("13", "12")), "wrong-key"),
    Spoiling(
        "a key that lost one of its two values",
        "K7Q2M",
        swap(
            KEY, KEY.replace("<mo>±</mo>", "<mo>+</mo>").replace("<csymbol>plus-minus</csymbol>", "<plus/>")
        ),
        "wrong-key",
    ),
    Spoiling(
        "another option is keyed",
        "K7Q2M",
        swap(PLAIN_KEYED, PLAIN_KEYED.replace(">B<", ">C<")),
        "wrong-option-keyed",
    ),
    Spoiling(
        "an option is shown that staff do not know",
        "K7Q2M",
        swap(OPTION_C, OPTION_C.replace("13", "14")),
        "option-differs",
    ),
    Spoiling(
        "two options are swapped for pupils only",
        "K7Q2M",
        lambda text: spoiled(
            spoiled(text, OPTION_B, OPTION_B.replace(surd_pair(4, 13), surd_pair(-4, 13))),
            OPTION_C,
            OPTION_C.replace(surd_pair(-4, 13), surd_pair(4, 13)),
        ),
        "wrong-option-keyed",
    ),
    Spoiling("a second right option", "K7Q2M", both_c, "second-right-option"),
    Spoiling("two equal wrong options", "K7Q2M", twins, "equal-options"),
    Spoiling(
        "no right option is declared",
        "K7Q2M",
        swap(PLAIN_KEYED, declared("RESPONSE", "identifier", None)),
        "no-key",
    ),
    Spoiling(
        "words stand beside an option's formula", "K7Q2M", swap(OPTION_C, OPTION_C + "m"), "unclear-option"
    ),
    Spoiling(
        "two options of words are alike",
        "C9P4L",
        swap("two different irrational roots", "two different rational roots"),
        "equal-options",
    ),
    Spoiling(
        "a wrong option's value is the key's",
        "C9P4L",
        last(math(*samples.value("D", 80)), math(*samples.value("D", -8))),
        "second-right-option",
    ),
    # formulas
    Spoiling(
        "a digit changed in what is shown only",
        "K7Q2M",
        swap(EIGHT, EIGHT.replace("8", "9")),
        "annotation-differs",
    ),
    Spoiling("a digit changed in the annotation only", "K7Q2M", swap(cn(13), cn(14)), "annotation-differs"),
    Spoiling("an unknown operator", "K7Q2M", swap("<mo>±</mo>", "<mo>⊕</mo>"), "unread-notation"),
    Spoiling("a factor beside a factor without a sign", "K7Q2M", swap(samples.TIMES, ""), "unread-notation"),
    Spoiling(
        "a hidden sign", "K7Q2M", swap(samples.MINUS, '<mo style="display:none">−</mo>'), "unread-notation"
    ),
    Spoiling(
        "a formula without an annotation", "K7Q2M", swap("<annotation-xml", "<annotation"), "not-well-formed"
    ),
    Spoiling(
        "an annotation of another kind",
        "K7Q2M",
        swap('"MathML-Content"', '"application/x-tex"'),
        "formula-without-meaning",
    ),
    Spoiling(
        "a formula without alternative text",
        "K7Q2M",
        swap('alttext="x equals open bracket 8 plus or minus', 'alttext="" data-was="'),
        "formula-without-alttext",
    ),
    Spoiling(
        "another number spoken than shown",
        "K7Q2M",
        swap("open bracket 8 plus or minus", "open bracket 9 plus or minus"),
        "alttext-differs",
    ),
    Spoiling(
        "another sign spoken than shown",
        "K7Q2M",
        swap("open bracket 8 plus or minus", "open bracket 8 minus"),
        "alttext-differs",
    ),
    Spoiling(
        "spoken words without a meaning",
        "K7Q2M",
        swap("open bracket 8 plus or minus", "open bracket 8 give or take"),
        "alttext-differs",
    ),
    Spoiling(
        "another problem in the stem", "K7Q2M", swap(equation(1, -8, 3), equation(1, -8, 5)), "stem-differs"
    ),
    Spoiling(
        "another sign in the stem", "K7Q2M", swap(equation(1, -8, 3), equation(1, 8, 3)), "stem-differs"
    ),
    Spoiling(
        "another number under the root in the stem",
        "G3S8Z",
        swap(
            math(f"<msqrt>{n(72)}</msqrt>", samples.ap("root", cn(72))),
            math(f"<msqrt>{n(73)}</msqrt>", samples.ap("root", cn(73))),
        ),
        "stem-differs",
    ),
    Spoiling(
        "other roots asked for in the stem",
        "C9P4L",
        swap(equation(1, -6, 11), equation(1, -6, 12)),
        "stem-differs",
    ),
    # the worked solution
    Spoiling(
        "a root lost in a line",
        "B2H6R",
        last(
            samples.joined("or", samples.value("x", -3), samples.value("x", 5)), math(*samples.value("x", 5))
        ),
        "line-differs",
    ),
    Spoiling(
        "a sign lost in a line",
        "K7Q2M",
        swap('<mo form="prefix">±</mo>', '<mo form="prefix">−</mo>'),
        "annotation-differs",
    ),
    Spoiling(
        "an untrue line without letters",
        "G3S8Z",
        lambda text: spoiled(
            spoiled(text, f"<msqrt>{n(36)}</msqrt>", f"<msqrt>{n(35)}</msqrt>"), cn(36), cn(35)
        ),
        "line-differs",
    ),
    Spoiling(
        "an untrue identity",
        "F5J7X",
        lambda text: spoiled(
            spoiled(text, f"{samples.MINUS}{n(3)}<mo>)</mo>", f"{samples.MINUS}{n(2)}<mo>)</mo>"),
            samples.ap("minus", samples.ci("x"), cn(3)),
            samples.ap("minus", samples.ci("x"), cn(2)),
        ),
        "line-differs",
    ),
    Spoiling(
        "untrue side working",
        "T4W9C",
        lambda text: spoiled(
            spoiled(text, f"{n(2)}{samples.TIMES}<msqrt>{n(7)}", f"{n(3)}{samples.TIMES}<msqrt>{n(7)}"),
            samples.ap("times", cn(2), samples.ap("root", cn(7))),
            samples.ap("times", cn(3), samples.ap("root", cn(7))),
        ),
        "aside-not-true",
    ),
    Spoiling(
        "a root inside the domain given up",
        "W6T2D",
        swap(
            samples.line(math(*samples.value("w", -5)), kind="rejects"),
            samples.line(math(*samples.value("w", 5)), kind="rejects"),
        ),
        "wrong-rejection",
    ),
    Spoiling(
        "a letter nobody introduced",
        "N8D3V",
        last(samples.NONE, math(*samples.value("y", 4))),
        "line-differs",
    ),
    Spoiling("the domain is left out", "W6T2D", swap('data-role="domain"', 'data-role="note"'), "wrong-key"),
    Spoiling("a mark lost", "B2H6R", swap('data-marks="M1"', 'data-marks=""'), "marks-do-not-sum"),
    Spoiling("a mark of no kind", "B2H6R", swap('data-marks="M1"', 'data-marks="Q1"'), "unclear-marks"),
    Spoiling("no solution for staff", "K7Q2M", swap('use="solution"', 'use="notes"'), "no-solution"),
    Spoiling(
        "the solution shown to candidates",
        "K7Q2M",
        swap('view="scorer tutor"', 'view="scorer candidate"'),
        "key-shown",
    ),
    Spoiling(
        "no problem in the solution",
        "K7Q2M",
        swap('data-role="problem"', 'data-role="note"'),
        "incomplete-solution",
    ),
    Spoiling(
        "another shape of problem",
        "K7Q2M",
        swap('data-shape="solve"', 'data-shape="guess"'),
        "unclear-problem",
    ),
    # boxes
    Spoiling(
        "a wrong number keyed in a box",
        "B2H6R",
        swap(declared("BOX_2", "integer", 5), declared("BOX_2", "integer", 6)),
        "wrong-boxes",
    ),
    Spoiling(
        "one of two solutions not keyed",
        "B2H6R",
        swap(declared("BOX_2", "integer", 5), declared("BOX_2", "integer", None)),
        "wrong-boxes",
    ),
    Spoiling(
        "a fraction keyed that can be reduced",
        "F5J7X",
        lambda text: spoiled(
            spoiled(text, declared("BOX_2", "integer", 2), declared("BOX_2", "integer", 4)),
            declared("BOX_3", "integer", 1),
            declared("BOX_3", "integer", 2),
        ),
        "wrong-form",
    ),
    Spoiling(
        "a surd keyed that can be simplified",
        "G3S8Z",
        lambda text: spoiled(
            spoiled(text, declared("BOX_1", "integer", 6), declared("BOX_1", "integer", 3)),
            declared("BOX_2", "integer", 2),
            declared("BOX_2", "integer", 8),
        ),
        "wrong-form",
    ),
    Spoiling("a plus where a ± belongs", "T4W9C", swap("± <qti-text", "+ <qti-text"), "wrong-boxes"),
    Spoiling("no sign between two boxes", "T4W9C", swap("± <qti-text", "<qti-text"), "unclear-box"),
    Spoiling(
        "half a surd keyed",
        "T4W9C",
        swap(declared("BOX_4", "integer", 2), declared("BOX_4", "integer", None)),
        "half-filled",
    ),
    Spoiling(
        "a box of nothing asked for", "B2H6R", swap('data-unknown="x"', 'data-unknown="y"'), "unclear-box"
    ),
    Spoiling("a box that does not say what it is", "B2H6R", swap(' data-box="value"', ""), "unclear-box"),
    Spoiling(
        "the tick keyed where there are solutions",
        "B2H6R",
        swap(declared("TICK", "identifier", None), declared("TICK", "identifier", "none")),
        "wrong-tick",
    ),
    Spoiling(
        "the tick not keyed where there are none",
        "N8D3V",
        swap(declared("TICK", "identifier", "none"), declared("TICK", "identifier", None)),
        "wrong-tick",
    ),
    Spoiling("no tick where there are no solutions", "N8D3V", swap(samples.TICK, ""), "no-tick"),
    # declarations
    Spoiling("a response nobody declared", "K7Q2M", swap(PLAIN_KEYED, ""), "undeclared-response"),
    Spoiling(
        "a response nobody uses",
        "K7Q2M",
        swap(PLAIN_KEYED, PLAIN_KEYED + declared("EXTRA", "identifier", None)),
        "unused-response",
    ),
    Spoiling(
        "a right value that is no option",
        "K7Q2M",
        swap(PLAIN_KEYED, PLAIN_KEYED.replace(">B<", ">E<")),
        "misfit-value",
    ),
    Spoiling(
        "two options of one name",
        "K7Q2M",
        swap('<qti-simple-choice identifier="C">', '<qti-simple-choice identifier="A">'),
        "duplicate-identifier",
    ),
    Spoiling(
        "two variables of one name",
        "B2H6R",
        swap('response-declaration identifier="BOX_2"', 'response-declaration identifier="BOX_1"'),
        "duplicate-identifier",
    ),
    Spoiling(
        "a name with a space", "K7Q2M", all_at_once('identifier="C"', 'identifier="C D"'), "wrong-identifier"
    ),
    Spoiling(
        "a choice that expects a number",
        "K7Q2M",
        swap('base-type="identifier"><qti-correct', 'base-type="integer"><qti-correct'),
        "misfit-response",
    ),
    Spoiling(
        "several options may be chosen",
        "K7Q2M",
        swap('max-choices="1"', 'max-choices="0"'),
        "misfit-response",
    ),
    Spoiling(
        "SCORE is no number",
        "K7Q2M",
        swap(
            '"SCORE" cardinality="single" base-type="float"',
            '"SCORE" cardinality="single" base-type="string"',
        ),
        "wrong-outcome",
    ),
    Spoiling(
        "another maximum", "K7Q2M", swap('normal-maximum="1"', 'normal-maximum="2"'), "key-misses-maximum"
    ),
    Spoiling(
        "feedback of an outcome nobody declared",
        "K7Q2M",
        swap('outcome-identifier="FEEDBACK"', 'outcome-identifier="NOTE"'),
        "undeclared-outcome",
    ),
    Spoiling("no language", "K7Q2M", swap(' xml:lang="en"', ""), "missing-attribute"),
    Spoiling(
        "feedback before the rules",
        "K7Q2M",
        lambda text: spoiled(
            text.replace(samples.modal("F3"), ""),
            "<qti-response-processing>",
            samples.modal("F3") + "<qti-response-processing>",
        ),
        "out-of-order",
    ),
    Spoiling(
        "an element of another kind",
        "K7Q2M",
        swap("<qti-item-body>", "<qti-note/><qti-item-body>"),
        "unknown-element",
    ),
    Spoiling(
        "another root", "K7Q2M", all_at_once("qti-assessment-item", "qti-assessment-test"), "wrong-root"
    ),
    Spoiling(
        "another namespace",
        "K7Q2M",
        swap(samples.QTI, "http://www.imsglobal.org/xsd/imsqti_v2p9"),
        "wrong-root",
    ),
    # marking
    Spoiling(
        "a wrong option earns a mark",
        "K7Q2M",
        swap(
            samples.chosen("RESPONSE", "C") + samples.earns(0, "F2"),
            samples.chosen("RESPONSE", "C") + samples.earns(1, "F2"),
        ),
        "wrong-option-earns",
    ),
    Spoiling(
        "nothing at all earns a mark",
        "K7Q2M",
        swap("<qti-response-processing>", "<qti-response-processing>" + samples.earns(1)),
        "empty-earns",
    ),
    Spoiling(
        "the right answer earns nothing",
        "K7Q2M",
        swap(samples.earns(1, "F0"), samples.earns(0, "F0")),
        "key-misses-maximum",
    ),
    Spoiling(
        "a slip shows the feedback of another",
        "K7Q2M",
        swap(samples.earns(0, "F1"), samples.earns(0, "F2")),
        "wrong-feedback",
    ),
    Spoiling("a feedback that is not there", "K7Q2M", swap(samples.modal("F1"), ""), "wrong-feedback"),
    Spoiling(
        "a wrong number earns the maximum",
        "B2H6R",
        swap(
            samples.equal(samples.var("BOX_1"), samples.number(-3)), samples.q("not", samples.blank("BOX_1"))
        ),
        "wrong-entry-earns",
    ),
    Spoiling(
        "the other order earns less",
        "B2H6R",
        swap(
            samples.all_of(
                samples.equal(samples.var("BOX_1"), samples.number(5)),
                samples.equal(samples.var("BOX_2"), samples.number(-3)),
            ),
            samples.q("not", samples.blank("TICK")),
        ),
        "order-matters",
    ),
    Spoiling(
        "the tick earns marks beside the boxes",
        "B2H6R",
        swap(samples.earns(0, "F1"), samples.earns(2)),
        "wrong-tick-earns",
    ),
    Spoiling(
        "a form that is not simplest earns all",
        "G3S8Z",
        swap(samples.earns(1, "FU"), samples.earns(2, "FU")),
        "unsimplified-mark",
    ),
    Spoiling(
        "a form that is not simplest is not told so",
        "G3S8Z",
        swap(samples.earns(1, "FU"), samples.earns(1, "F0")),
        "wrong-feedback",
    ),
    Spoiling(
        "a denominator of 0 earns a mark",
        "F5J7X",
        swap(
            samples.equal(samples.var("BOX_2"), samples.q("product", samples.number(2), samples.var("BOX_3")))
            + samples.q("not", samples.equal(samples.var("BOX_3"), samples.number(0))),
            samples.q("not", samples.blank("BOX_3")),
        ),
        "zero-denominator-earns",
    ),
    Spoiling(
        "rules only named",
        "K7Q2M",
        swap("<qti-response-processing>", '<qti-response-processing template="match_correct">'),
        "response-template",
    ),
    Spoiling(
        "no rules",
        "K7Q2M",
        lambda text: (
            text[: text.index("<qti-response-processing>")]
            + text[text.index("</qti-response-processing>") + len("</qti-response-processing>") :]
        ),
        "no-response-processing",
    ),
    Spoiling(
        "a rule nobody knows",
        "K7Q2M",
        swap("<qti-response-condition>", "<qti-lookup-outcome-value/><qti-response-condition>"),
        "unknown-rule",
    ),
    Spoiling(
        "a rule about a variable nobody declared",
        "K7Q2M",
        swap(samples.var("SCORE"), samples.var("POINTS")),
        "undeclared-variable",
    ),
    Spoiling(
        "a rule that matches unlike values",
        "K7Q2M",
        swap('<qti-base-value base-type="identifier">C', '<qti-base-value base-type="string">C'),
        "wrong-rule",
    ),
    Spoiling(
        "a wrong answer is told to be right",
        "K7Q2M",
        swap(samples.earns(0, "F1"), samples.earns(0, "F1") + samples.earns(0, "F0")),
        "wrong-feedback",
    ),
    Spoiling(
        "a partly right answer is told to be right",
        "F5J7X",
        swap(samples.earns(2), samples.earns(2, "F0")),
        "wrong-feedback",
    ),
    Spoiling(
        "nothing over nothing has the right value",
        "F5J7X",
        swap(
            samples.q("not", samples.equal(samples.var("BOX_3"), samples.number(0))),
            samples.q("not", samples.blank("BOX_3")),
        ),
        "zero-denominator-earns",
    ),
    Spoiling(
        "the other sign of a surd earns marks",
        "G3S8Z",
        swap(
            samples.q("gt", samples.var("BOX_1"), samples.number(0)), samples.q("not", samples.blank("BOX_1"))
        ),
        "wrong-entry-earns",
    ),
    Spoiling(
        "a recognised wrong answer does not go into the boxes",
        "B2H6R",
        last(
            "</ol>",
            "</ol>"
            + samples.option_value(
                "",
                math(
                    samples.i("x") + samples.EQUALS + f"<mfrac>{n(1)}{n(2)}</mfrac>",
                    samples.ap("eq", samples.ci("x"), samples.ap("divide", cn(1), cn(2))),
                ),
                "F1",
            ),
        ),
        "wrong-feedback",
    ),
    Spoiling(
        "a recognised wrong answer is not recognised",
        "B2H6R",
        last(
            "</ol>",
            "</ol>"
            + samples.option_value(
                "", samples.joined("or", samples.value("x", 3), samples.value("x", -5)), "F1"
            ),
        ),
        "wrong-feedback",
    ),
    Spoiling(
        "another letter before the box",
        "B2H6R",
        swap("<p>x = <qti-text", "<p>" + math(samples.i("y"), samples.ci("y")) + " = <qti-text"),
        "stem-differs",
    ),
    Spoiling(
        "an equation in the stem with another right-hand side",
        "C9P4L",
        swap(equation(1, -6, 11), equation(1, -6, 11).replace(n(0), n(1)).replace(cn(0), cn(1))),
        "stem-differs",
    ),
    Spoiling(
        "another equation without solutions in a line",
        "N8D3V",
        lambda text: spoiled(
            spoiled(text, f"<mo>+</mo>{n(1)}<mo>)</mo>", f"<mo>+</mo>{n(2)}<mo>)</mo>"),
            samples.ap("plus", samples.ci("x"), cn(1)),
            samples.ap("plus", samples.ci("x"), cn(2)),
        ),
        "line-differs",
    ),
    # the document
    Spoiling(
        "a document type",
        "K7Q2M",
        swap("<qti-assessment-item", '<!DOCTYPE x [<!ENTITY a "b">]><qti-assessment-item'),
        "document-type",
    ),
    Spoiling(
        "an entity nobody declared",
        "K7Q2M",
        swap("By completing", "&times; By completing"),
        "not-well-formed",
    ),
    Spoiling(
        "another encoding", "K7Q2M", swap('encoding="UTF-8"', 'encoding="ISO-8859-1"'), "wrong-encoding"
    ),
    Spoiling("a byte-order mark", "K7Q2M", lambda text: "\ufeff" + text, "wrong-encoding"),
    Spoiling(
        "a style sheet from elsewhere",
        "K7Q2M",
        swap("<qti-assessment-item", '<?xml-stylesheet href="http://a.example/a.css"?><qti-assessment-item'),
        "processing-instruction",
    ),
    Spoiling(
        "the code of another item in the title",
        "K7Q2M",
        lambda text: re.sub(r'title="[^"]*"', 'title="Complete the square (C9P4L)"', text, count=1),
        "identifier-differs",
    ),
    Spoiling(
        "feedback hidden when it should be shown",
        "K7Q2M",
        swap('show-hide="show"', 'show-hide="hide"'),
        "not-in-grammar",
    ),
    Spoiling(
        "feedback that follows another outcome",
        "K7Q2M",
        swap(
            '<qti-modal-feedback outcome-identifier="FEEDBACK"',
            '<qti-modal-feedback outcome-identifier="SCORE"',
        ),
        "not-in-grammar",
    ),
    Spoiling(
        "a formula kept from those who listen",
        "K7Q2M",
        swap("<math ", '<math aria-hidden="true" '),
        "unread-notation",
    ),
    Spoiling("half a file", "K7Q2M", lambda text: text[: len(text) // 2], "not-well-formed"),
    Spoiling(
        "a picture without words",
        "K7Q2M",
        swap("By completing", '<img src="a.svg" alt=""/>By completing'),
        "picture-without-alt",
    ),
)


@pytest.mark.parametrize("spoiling", SPOILINGS, ids=lambda spoiling: spoiling.name)
def test_it_is_found(spoiling: Spoiling) -> None:
    """The code is among those found."""
    text = spoiling.spoil(ITEMS[spoiling.code]())

    assert spoiling.found in codes(text, spoiling.code)


def test_there_are_ways_enough() -> None:
    """The list has not been emptied by accident, and names no way twice."""
    assert len(SPOILINGS) >= 75
    assert len(SPOILINGS) == len({spoiling.name for spoiling in SPOILINGS})


def test_a_finding_says_where() -> None:
    """A spoiled line is named by its number."""
    text = samples.two_part_item().replace("B1", "B2")
    (finding,) = audit_item(text.encode(), "items/W6T2D.xml")[1]

    assert "part b" == finding.place
    assert "the marks on the lines come to 2, the answer earns 1" == finding.message
