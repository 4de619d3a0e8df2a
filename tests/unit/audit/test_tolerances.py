"""Decimals within a tolerance, a wide one and one around nought too: what lies past an end earns nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from itembank.audit.verify import audit_item, verify
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.items import Item
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.writers import common_cartridge as cc
from itembank.writers.dialects import QTI_2_1, QTI_2_2, QTI_3_0, Dialect
from itembank.writers.qti2 import translate
from itembank.writers.qti3 import item_xml
from itembank.yaml_source import parse
from tests.audit_samples import spoiled
from tests.kinds_bank import walk_items

TEMPLATE = """\
template: near
version: 1
title: A number
demand: use
calculator: yes
unknowns: [x]
parameters:
  m: {values: [VALUES]}
problem: 3*x = m
stem: Solve $problem$.
response:
  kind: entry
  blanks: {x: {form: decimal, places: PLACES, tolerance: WITHIN}}
key: x = m/3
solution: [{math: x = m/3, marks: A1}]
"""
NEAR_NOUGHT = ("-0.2, -0.1, 0, 0.1, 0.2", "2", "0.05")
WIDE = ("-7, -1, 2, 8", "1", "3")
OF_ONE = ("1, 2, 4, 5", "1", "1")
FINER = ("1, 2, 4, 5", "2", "0.005")
"""The tolerance has a place more than the answer."""
QUARTERS = ("-2.5, -0.5, 0.5, 2", "1", "0.25")
ALL = {"near nought": NEAR_NOUGHT, "wide": WIDE, "one": OF_ONE, "finer": FINER, "quarters": QUARTERS}


def made(values: str, places: str, within: str) -> Iterator[Item]:
    text = TEMPLATE.replace("VALUES", values).replace("PLACES", places).replace("WITHIN", within)
    return walk_items(Bound(make_recipe(read_template(parse(text.encode(), "near.yaml"), NO_SLIPS).template)))


def in_dialect(item: Item, dialect: Dialect) -> str:
    written = item_xml(item)
    return written if dialect is QTI_3_0 else translate(written, dialect).document


def codes(text: str) -> set[str]:
    return {finding.code for finding in audit_item(text.encode(), "items/X.xml")[1]}


@pytest.mark.parametrize("of", ALL.values(), ids=ALL)
@pytest.mark.parametrize("dialect", [QTI_3_0, QTI_2_2, QTI_2_1], ids=lambda each: each.name)
def test_an_answer_within_its_tolerance_is_no_wrong_answer(
    of: tuple[str, str, str], dialect: Dialect
) -> None:
    """Found by trial: 0.02 within 0.05 takes -0.02 too, and within 1 the number one more."""
    written = list(made(*of))

    assert len(written) >= 4
    for item in written:
        assert set() == codes(in_dialect(item, dialect))


END = r'(<qti-{}><qti-variable identifier="BOX_1"/><qti-base-value base-type="float">){}<'
CHANGES = {
    "a hair more": ("lte", "0.12", "0.121", "wrong-entry-earns"),
    "a hair less": ("gte", "0.02", "0.019", "wrong-entry-earns"),
    "much more": ("lte", "0.12", "9", "wrong-entry-earns"),
    "much less": ("gte", "0.02", "-9", "wrong-entry-earns"),
    "not up to the end": ("lte", "0.12", "0.119", "end-earns-less"),
    "not down to the end": ("gte", "0.02", "0.021", "end-earns-less"),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
@pytest.mark.parametrize("dialect", [QTI_3_0, QTI_2_2], ids=lambda each: each.name)
def test_other_ends_than_those_of_the_tolerance_are_found(
    change: tuple[str, str, str, str], dialect: Dialect
) -> None:
    rule, end, other, code = change
    (item,) = made("0.2", "2", "0.05")  # 0.07
    text, done = re.subn(END.format(rule, re.escape(end)), rf"\g<1>{other}<", item_xml(item))

    assert done >= 1
    assert code in codes(text if dialect is QTI_3_0 else translate(text, dialect).document)


@pytest.mark.parametrize("told", ["0.5", "0.049", "0", "", "-0.05", "wide"])
def test_a_tolerance_that_is_told_otherwise_is_found(told: str) -> None:
    (item,) = made("0.2", "2", "0.05")
    changed = spoiled(item_xml(item), 'data-tolerance="0.05"', f'data-tolerance="{told}"')

    assert codes(changed) & {"wrong-entry-earns", "end-earns-less", "unclear-box"}


def test_only_a_decimal_has_a_tolerance() -> None:
    (item,) = made("0.2", "2", "0.05")

    assert "unclear-box" in codes(spoiled(item_xml(item), 'data-form="decimal"', 'data-form="integer"'))


BANK = cc.Collection("bank-near", "Near", is_bank=True)


def in_cartridge(folder: Path, question: str) -> set[str]:
    path = folder / "bank.xml"
    path.write_text(cc.question_bank(BANK, [question]), "utf-8")
    return {finding.code for finding in verify(path).findings}


@pytest.mark.parametrize("of", [NEAR_NOUGHT, OF_ONE, FINER, QUARTERS])
def test_a_typed_answer_within_its_tolerance_is_no_wrong_answer(
    of: tuple[str, str, str], tmp_path: Path
) -> None:
    written = [cc.written(item).items for item in made(*of)]

    assert any(written)
    for questions in written:
        for question in questions:
            assert set() == in_cartridge(tmp_path, question)


def without(question: str, typed: str) -> str:
    """No rule takes the spellings of a number."""
    pattern = rf'<varequal respident="RESPONSE">{re.escape(typed)}</varequal>'
    rules = re.findall(r"<respcondition.*?</respcondition>", question, flags=re.DOTALL)
    for rule in rules:
        if re.search(pattern, rule):
            question = question.replace(rule, "")
    assert not re.search(pattern, question)
    return question


def with_rule_for(question: str, typed: str, other: str) -> str:
    """What earns everything by one spelling is earned by another number too."""
    (rule, *_) = [
        each
        for each in re.findall(r"<respcondition.*?</respcondition>", question, flags=re.DOTALL)
        if f">{typed}</varequal>" in each
    ]
    return question.replace(rule, rule + rule.replace(f">{typed}<", f">{other}<"), 1)


def test_ends_of_a_typed_answer_are_tried(tmp_path: Path) -> None:
    (item,) = made("0.2", "2", "0.05")
    (question,) = cc.written(item).items

    assert "end-earns-less" in in_cartridge(tmp_path, without(question, "0.12"))
    assert "end-earns-less" in in_cartridge(tmp_path, without(question, "0.02"))
    for other in ("0.13", "0.01", "-0.07"):
        assert "wrong-entry-earns" in in_cartridge(tmp_path, with_rule_for(question, "0.07", other))
    wider = spoiled(question, 'data-tolerance="0.05"', 'data-tolerance="0.06"')
    assert "end-earns-less" in in_cartridge(tmp_path, wider)
