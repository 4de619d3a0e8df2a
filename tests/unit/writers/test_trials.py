"""What the page of a sampler promises of each item is what the item's file and the cartridge's do, scored apart."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

import pytest
from lxml import etree

from itembank.content import Content
from itembank.items import EntryResponse, Item, MatchResponse, OrderResponse, WrittenResponse
from itembank.writers import common_cartridge as cc
from itembank.writers import qti3
from itembank.writers.common_cartridge.texts import blocks
from itembank.writers.phrases import phrases
from itembank.writers.trials import Trial, trials
from tests import qti_items, samples
from tests.cartridge_scorer import Question
from tests.kinds_bank import TEMPLATES, items
from tests.qti_scorer import QTI, ScoredItem

ITEMS = [
    *(make() for make in (*samples.ALL, *qti_items.MORE) if make is not qti_items.two_part_item),
    *(item for name in TEMPLATES for item in items(name, 2)),
]


def words(html: str) -> str:
    """The characters of a text, without blanks and annotations."""
    root = etree.fromstring(f"<div>{html}</div>".encode())
    for each in list(root.iter("{*}annotation-xml")):
        each.clear()
    return "".join("".join(map(str, root.itertext())).split())


def told(sentences: Iterable[Content]) -> list[str]:
    """What the page says a pupil is told."""
    return sorted(words(blocks(each, phrases("en"))) for each in sentences)


def chosen(trial: Trial) -> list[str]:
    """The options of an answer in words; the pairs of a match."""
    pairs = re.findall(r"row ([0-9]+) with ([A-Z])", trial.answer)
    if pairs:
        return [f"R{row} {target}" for row, target in pairs]
    line = re.fullmatch(r"choose line ([0-9]+)", trial.answer)
    return [f"L{line[1]}"] if line else re.findall(r"\b[A-Z]\b", trial.answer)


def given(item: Item, trial: Trial, scored: ScoredItem) -> dict[str, list[str]]:
    """An answer as responses of the QTI 3.0 item."""
    response = item.parts[0].response
    if not isinstance(response, EntryResponse):
        return {"RESPONSE": chosen(trial)} if chosen(trial) else {}
    if trial.answer.startswith("tick"):
        return {"TICK": ["none"]}
    boxes = [name for name in scored.responses if name.startswith("BOX")]
    texts = [text.replace("−", "-") for text in trial.in_boxes]
    return {name: [text] for name, text in zip(boxes, texts, strict=bool(texts)) if text}


BY_RULE = [item for item in ITEMS if not isinstance(item.parts[0].response, WrittenResponse)]
IN_CARTRIDGES = [item for item in BY_RULE if not isinstance(item.parts[0].response, MatchResponse)]
MATCHES = [item for item in BY_RULE if isinstance(item.parts[0].response, MatchResponse)]


def test_an_answer_in_writing_is_left_to_a_person() -> None:
    written = [item for item in ITEMS if item not in BY_RULE]

    assert len(written) >= 2
    tried = [trial for item in written for trial in trials(item.parts[0], phrases("en"))]
    assert {"as a person marks it"} == {trial.marks for trial in tried}


@pytest.mark.parametrize("item", BY_RULE, ids=lambda item: item.code)
def test_the_qti_3_item_does_what_the_page_says(item: Item) -> None:
    scored = ScoredItem(qti3.item_xml(item))
    shown = {
        each.get("identifier"): etree.tostring(each[0], encoding="unicode")
        for each in scored.root.iter(f"{QTI}qti-modal-feedback")
    }
    tried = list(trials(item.parts[0], phrases("en")))

    assert len(tried) >= 2
    for trial in tried:
        result = scored.answer(given(item, trial, scored))
        assert Decimal(trial.marks) == Decimal(str(result.score)), trial.answer
        # of two options with one sentence each feedback is shown by itself
        assert told(trial.told) == sorted(words(shown[name]) for name in result.feedback), trial.answer


@pytest.mark.parametrize("item", IN_CARTRIDGES, ids=lambda item: item.code)
def test_a_question_of_the_cartridge_does_it_too(item: Item) -> None:
    """Of choices; of typed answers the right one and nothing (what else they lose is told on the page)."""
    (question,) = map(Question, cc.written(item).items)
    response = item.parts[0].response
    for trial in trials(item.parts[0], phrases("en")):
        if isinstance(response, EntryResponse):
            full = trial.marks == str(response.marks)
            answer: str | list[str] = question.listed()[0] if full else ""
            if not full and (trial.told or trial.marks != "0"):
                continue
        elif isinstance(response, OrderResponse):
            answer = ", ".join(chosen(trial))
        else:
            answer = chosen(trial)
        result = question.answer(answer)
        percent = Decimal(trial.marks) * 100 / response.marks
        assert abs(percent - result.score) < Decimal("0.01"), trial.answer


@pytest.mark.parametrize("item", MATCHES, ids=lambda item: item.code)
def test_the_rows_of_a_match_in_the_cartridge_do_it_together(item: Item) -> None:
    """Each row earns its percentage of its own weight; the weights of all come to the marks of the page."""
    rows = [Question(text) for text in cc.written(item).items]
    for trial in trials(item.parts[0], phrases("en")):
        pairs = dict(pair.split() for pair in chosen(trial))
        results = [
            row.answer([pairs[f"R{at}"]] if f"R{at}" in pairs else []) for at, row in enumerate(rows, 1)
        ]
        weights = [int(row.metadata["cc_weighting"]) for row in rows]
        earned = sum(result.score * weight for result, weight in zip(results, weights, strict=True))
        assert 100 * Decimal(trial.marks) == earned, trial.answer


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.code)
def test_an_order_is_told_where_there_is_more_than_one_box(item: Item) -> None:
    for part in item.parts:
        for trial in trials(part, phrases("en")):
            if trial.answer.startswith("enter "):
                assert trial.answer.endswith("in this order") == (len(trial.in_boxes) > 1)
