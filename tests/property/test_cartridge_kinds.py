"""Several right options and lines of working in a cartridge, answered and read back, over the bank of every kind."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import product
from pathlib import Path

import pytest

from itembank.audit.verify import verify
from itembank.items import ChoicesResponse, Item, WrongLineResponse
from itembank.writers import common_cartridge as cc
from tests.cartridge_scorer import Question
from tests.kinds_bank import TEMPLATES, items
from tests.unit.audit.test_cartridges import codes, spoiled
from tests.unit.writers.test_cartridge_texts import in_cartridge, in_qti

BANK = cc.Collection("bank-kinds", "Every kind", is_bank=True)
ALL = [item for name in TEMPLATES for item in items(name, 6)]
CHOICES = [item for item in ALL if isinstance(item.parts[0].response, ChoicesResponse)]
LINES = [item for item in ALL if isinstance(item.parts[0].response, WrongLineResponse)]


def question(item: Item) -> Question:
    """The one question of an item."""
    (only,) = cc.written(item).items
    return Question(only)


def test_there_are_items_of_both_kinds_and_of_every_sense() -> None:
    senses = {item.parts[0].response.sense for item in CHOICES}  # type: ignore[union-attr]

    assert {"same", "solutions", "words"} == senses
    assert len(LINES) >= 4


@pytest.mark.parametrize("item", CHOICES, ids=lambda item: item.code)
def test_every_set_of_options_earns_its_share_and_is_told_its_sentences(item: Item) -> None:
    """A right option adds a share of the marks, a wrong one costs it, down to nothing; or all right ones or nothing."""
    asked, response = question(item), item.parts[0].response
    assert isinstance(response, ChoicesResponse)
    right = {option.identifier for option in response.options if option.is_key}
    told = {
        o.identifier
        for o in response.options
        if o.slip is not None and o.slip.pupil is not None and not o.is_key
    }
    names = [option.identifier for option in response.options]
    for taken in product((False, True), repeat=len(names)):
        chosen = {name for name, is_taken in zip(names, taken, strict=True) if is_taken}
        shares = response.share * (len(chosen & right) - len(chosen - right))
        marks = Fraction(response.marks) if chosen == right else max(shares, Fraction(0))
        result = asked.answer(sorted(chosen))
        assert Decimal(round(10_000 * marks / response.marks)) / 100 == result.score
        expected = {f"F_{name}" for name in chosen & told} | ({"F0"} if chosen == right else set())
        assert expected == set(result.feedback)
        assert result.solution


@pytest.mark.parametrize("item", LINES, ids=lambda item: item.code)
def test_the_line_that_does_not_follow_earns_everything(item: Item) -> None:
    asked, response = question(item), item.parts[0].response
    assert isinstance(response, WrongLineResponse)
    scores = [asked.answer([f"L{number}"]).score for number in range(1, len(response.lines) + 1)]

    assert [100 * (index == response.wrong) for index in range(len(response.lines))] == scores
    sentences = {each.get("ident"): " ".join(asked.texts_in(each)) for each in asked.named("itemfeedback")}
    for index in range(len(response.lines)):
        told = "".join(sentences[name] for name in asked.answer([f"L{index + 1}"]).feedback)
        right = (
            "That is right." if index == response.wrong else "That line follows from what stands above it."
        )
        assert right in told


@pytest.mark.parametrize("item", [*CHOICES, *LINES], ids=lambda item: item.code)
def test_the_visible_text_is_that_of_the_qti_3_item(item: Item) -> None:
    assert in_qti(item) == in_cartridge(cc.written(item).items[0])


def test_the_audit_finds_nothing_wrong_with_them(tmp_path: Path) -> None:
    questions = [text for item in [*CHOICES, *LINES] for text in cc.written(item).items]
    (tmp_path / "bank.xml").write_text(cc.question_bank(BANK, questions), encoding="utf-8")

    assert (len(questions), ()) == (
        verify(tmp_path / "bank.xml").items,
        verify(tmp_path / "bank.xml").findings,
    )


def shared() -> Item:
    """An item whose right options earn shares of the marks."""
    return next(item for item in CHOICES if item.parts[0].response.share)  # type: ignore[union-attr]


def found(tmp_path: Path, text: str) -> set[str]:
    """The codes of what is wrong with a question."""
    (tmp_path / "bank.xml").write_text(cc.question_bank(BANK, [text]), encoding="utf-8")
    return codes(verify(tmp_path / "bank.xml"))


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('action="Set">50</setvar>', 'action="Set">60</setvar>', "wrong-option-earns"),
        ('action="Set">100</setvar>', 'action="Set">90</setvar>', "no-key"),
        ('continue="Yes"', 'continue="No"', "wrong-option-earns"),
        ('rcardinality="Multiple"', 'rcardinality="Single"', "wrong-kind"),
        ("cc.multiple_response", "cc.multiple_choice", "wrong-kind"),
        ('shuffle="No"', 'shuffle="Perhaps"', "not-in-grammar"),
    ],
)
def test_spoiled_sets_are_told(old: str, new: str, code: str, tmp_path: Path) -> None:
    (text,) = cc.written(shared()).items

    assert set() == found(tmp_path, text)
    assert code in found(tmp_path, spoiled(text, old, new))


def test_another_right_option_and_another_line_are_told(tmp_path: Path) -> None:
    """The key's rule names other options; another line is keyed; lines may come in another order."""
    item = shared()
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)
    right = next(option.identifier for option in response.options if option.is_key)
    wrong = next(option.identifier for option in response.options if not option.is_key)
    (text,) = cc.written(item).items
    swapped = text.replace(f'ident="{right}"', 'ident="Z"').replace(f'ident="{wrong}"', f'ident="{right}"')
    (lines,) = cc.written(LINES[0]).items
    keyed = LINES[0].parts[0].response.wrong + 1  # type: ignore[union-attr]
    other = 1 if keyed > 1 else 2
    moved = (
        lines.replace(f">L{keyed}<", ">L0<")
        .replace(f">L{other}<", f">L{keyed}<")
        .replace(">L0<", f">L{other}<")
    )

    assert "wrong-option-keyed" in found(tmp_path, swapped.replace('ident="Z"', f'ident="{wrong}"'))
    assert "wrong-option-keyed" in found(tmp_path, moved)
    assert "misfit-response" in found(tmp_path, lines.replace('shuffle="No"', 'shuffle="Yes"'))
