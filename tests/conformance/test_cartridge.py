"""What the writer of Common Cartridges writes, against the publisher's manifest schema and our grammars.

The schemas lie in a folder `shared/standards` beside the checkout. Questions are checked against a retyped content
model of the profile of QTI 1.2.1, which is not the publisher's file: passing it is no proof of conformance. The
description of the cartridge is checked by our own grammar only; the publisher's is not at hand.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files

import pytest
from lxml import etree

from itembank.items import Item
from itembank.writers import common_cartridge as cc
from tests import qti_items, samples
from tests.cartridge_scorer import ASI, Question
from tests.conformance.test_qti3 import faults, needs_schemas, schema

ITEMS = (*samples.ALL, *qti_items.MORE)
MATH = "{http://www.w3.org/1998/Math/MathML}math"
MANIFEST_SCHEMA = "common-cartridge-1.3/ccv1p3_imscp_v1p2_v1p0.xsd"
ASSESSMENT = cc.Collection("assessment-evening-1", "Evening algebra, assessment 1", is_bank=False)
BANK = cc.Collection("bank-evening-quadratics", "Quadratics", is_bank=True)


def questions(*items: Item) -> list[str]:
    """The questions of items."""
    return [question for item in items for question in cc.written(item).items]


def everything() -> list[str]:
    """The questions of every sample."""
    return questions(*(make() for make in ITEMS))


def about(**changes: object) -> cc.About:
    """A full description."""
    full = cc.About(
        "cartridge-evening", "Evening & weekend algebra", "en", "16 questions.", "CC-BY-4.0",
        "Saltmarsh College; algebra", ("quadratics", "surds"),
    )  # fmt: skip
    return replace(full, **changes)  # type: ignore[arg-type]


def read(text: str) -> etree._Element:
    """A document read back."""
    return etree.fromstring(text.encode())


def grammar(name: str) -> etree.RelaxNG:
    """A grammar that the product ships."""
    return etree.RelaxNG(etree.fromstring((files("itembank.audit") / name).read_bytes()))


@needs_schemas
def test_assessments_and_banks_pass_the_content_model_of_the_profile() -> None:
    model = schema("stand-ins/cc-qti12.xsd")
    found = everything()

    assert len(found) >= len(ITEMS)
    assert [] == faults(model, read(cc.assessment(ASSESSMENT, found, "en")))
    assert [] == faults(model, read(cc.question_bank(BANK, found)))


@needs_schemas
@pytest.mark.parametrize("described", [about(), about(licence="", author="", keywords=(), description="")])
def test_a_manifest_passes_the_publishers_schema(described: cc.About) -> None:
    assert [] == faults(schema(MANIFEST_SCHEMA), read(cc.manifest(described, [ASSESSMENT, BANK])))


def test_our_own_grammars_take_what_is_written() -> None:
    found = everything()
    ours = grammar("cartridge_questions.rng")

    assert [] == faults(ours, read(cc.assessment(ASSESSMENT, found, "de-CH")))
    assert [] == faults(ours, read(cc.question_bank(BANK, found)))
    assert [] == faults(grammar("cartridge_manifest.rng"), read(cc.manifest(about(), [ASSESSMENT, BANK])))


SPOILED = [
    ("<other/>", "<or/>"), ('continue="No"', 'continue="Perhaps"'), ("<presentation>", "<presentation x0='1' y='2'>"),
    ('action="Set"', 'action="Add"'), (' respident="RESPONSE"', ""), ("mattext", "matimage"),
    ('rcardinality="Single"', 'rcardinality="Alone"'), ("<outcomes>", "<outcomes/><outcomes>"),
]  # fmt: skip


@needs_schemas
@pytest.mark.parametrize(("old", "new"), SPOILED)
def test_the_content_model_and_our_grammar_refuse_the_same_spoiled_questions(old: str, new: str) -> None:
    text = cc.assessment(ASSESSMENT, questions(samples.choice_item()), "en")
    spoiled = read(text.replace(old, new))

    assert old in text
    assert [] != faults(schema("stand-ins/cc-qti12.xsd"), spoiled)
    assert [] != faults(grammar("cartridge_questions.rng"), spoiled)


@needs_schemas
def test_our_grammar_of_manifests_refuses_what_the_publishers_schema_refuses() -> None:
    text = cc.manifest(about(), [ASSESSMENT, BANK])
    twice = text.replace(BANK.identifier, ASSESSMENT.identifier)
    for spoiled in (
        twice,
        text.replace("<organizations>", "<organisations>").replace("</organizations>", "</organisations>"),
    ):
        assert [] != faults(schema(MANIFEST_SCHEMA), read(spoiled))
        assert [] != faults(grammar("cartridge_manifest.rng"), read(spoiled))


@needs_schemas
@pytest.mark.parametrize("make", ITEMS)
def test_all_mathematics_in_the_texts_is_valid_mathml(make: Callable[[], Item]) -> None:
    mathml = schema("mathml-3/mathml3.xsd")
    formulas = [
        formula
        for question in cc.written(make()).items
        for text in Question(question).texts("item")
        for formula in etree.fromstring(f"<div>{text}</div>").iter(MATH)
    ]

    assert len(formulas) >= 3
    assert [] == [fault for formula in formulas for fault in faults(mathml, formula)]


def test_a_text_is_escaped_once_and_no_markup_stands_in_it() -> None:
    """`&`, `<` and quotes of an author come back as they were, after one unescaping by the parser and one of HTML."""
    question = Question(cc.written(qti_items.two_part_item()).items[0])
    (stem,) = [text for text in question.texts("presentation") if "yard" in text]
    shown = "".join(map(str, etree.fromstring(f"<div>{stem}</div>").itertext()))

    assert 'The "yard" & <field> ' in shown
    assert "&amp;amp;" not in stem
    assert [] == [each.tag for text in question.named("mattext") for each in text]


def test_empty_elements_of_html_have_closing_tags() -> None:
    """A reader of HTML takes `<td/>` for a beginning; only `br`, `img` and what is MathML may close themselves."""
    for question in everything():
        for text in Question(question).texts("item"):
            bare = re.sub(r"<math .*?</math>", "", text, flags=re.DOTALL)
            assert {"br", "img"} >= set(re.findall(r"<(\w+)[^>]*/>", bare))


def test_identifiers_are_the_codes_and_each_stands_once() -> None:
    root = read(cc.assessment(ASSESSMENT, everything(), "en"))
    idents = [each.get("ident", "") for each in root.iter(f"{ASI}item")]

    assert len(set(idents)) == len(idents) >= len(ITEMS)
    assert {"W6T2D_a", "W6T2D_b", "K7Q2M"} <= set(idents)
    assert [] == [each for each in idents if not re.fullmatch(r"[A-Z][A-Z0-9]+(_[a-z])?", each)]
