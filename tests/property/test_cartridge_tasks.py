"""Orders, matches and answers in writing in a cartridge: answered by the scorer, read back, tampered with."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import permutations
from pathlib import Path

import pytest

from itembank.audit.verify import verify
from itembank.items import Item, MatchResponse, OrderResponse, WrittenResponse
from itembank.writers import common_cartridge as cc
from tests.cartridge_scorer import Question
from tests.kinds_bank import TEMPLATES, items
from tests.unit.audit.test_cartridges import codes, spoiled
from tests.unit.writers.test_cartridge_texts import in_cartridge, in_qti

BANK = cc.Collection("bank-kinds", "Every kind", is_bank=True)
ALL = [item for name in TEMPLATES for item in items(name, 6)]
ORDERS = [item for item in ALL if isinstance(item.parts[0].response, OrderResponse)]
MATCHES = [item for item in ALL if isinstance(item.parts[0].response, MatchResponse)]
WRITTEN = [item for item in ALL if isinstance(item.parts[0].response, WrittenResponse)]


def response(item: Item) -> OrderResponse | MatchResponse | WrittenResponse:
    """The response of an item of one part."""
    found = item.parts[0].response
    assert isinstance(found, OrderResponse | MatchResponse | WrittenResponse)
    return found


def with_response(item: Item, **changes: object) -> Item:
    """The item with its response changed."""
    return replace(item, parts=(replace(item.parts[0], response=replace(response(item), **changes)),))


def test_there_are_items_of_each_sort() -> None:
    assert {"ascending", "lines"} == {item.parts[0].response.by for item in ORDERS}  # type: ignore[union-attr]
    assert {True, False} == {item.parts[0].response.by_words for item in MATCHES}  # type: ignore[union-attr]
    assert len(WRITTEN) >= 4


@pytest.mark.parametrize("item", ORDERS, ids=lambda item: item.code)
def test_every_order_earns_what_its_things_in_their_places_come_to(item: Item) -> None:
    """Common practice of partial credit as the template says it: a share for each, or all or nothing."""
    asked, due = Question(*cc.written(item).items), response(item)
    assert isinstance(due, OrderResponse)
    right = [thing.identifier for thing in due.in_order]
    for letters in permutations(right):
        placed = sum(one == other for one, other in zip(letters, right, strict=True))
        marks = Fraction(due.marks) if list(letters) == right else due.share * placed
        for typed in (", ".join(letters), ",".join(letters), " ".join(letters).lower(), "".join(letters)):
            result = asked.answer(typed)
            assert Decimal(round(10_000 * marks / due.marks)) / 100 == result.score
            assert (("F0",) if list(letters) == right else ()) == result.feedback
            assert result.solution
    assert 0 == asked.answer("".join(right[:-1])).score
    assert 0 == asked.answer("").score


def test_six_things_with_shares_earn_only_as_a_whole_and_it_is_told() -> None:
    item = next(item for item in ORDERS if item.parts[0].response.share)  # type: ignore[union-attr]
    due = response(item)
    assert isinstance(due, OrderResponse)
    spare = tuple(due.things[0]._replace(identifier=name, place=4 + at) for at, name in enumerate("EF"))
    longer = with_response(item, things=(*due.things, *spare), marks=6)
    made = cc.written(longer)

    assert any("would need too many rules" in line for line in made.lost)
    assert 4 == len(Question(*made.items).listed())


@pytest.mark.parametrize("item", MATCHES, ids=lambda item: item.code)
def test_each_row_is_a_choice_of_its_target_and_earns_its_share(item: Item) -> None:
    due, made = response(item), cc.written(item)
    assert isinstance(due, MatchResponse)
    assert len(due.rows) == len(made.items)
    weights = []
    for row, text in zip(due.rows, made.items, strict=True):
        asked = Question(text)
        weights.append(int(asked.metadata["cc_weighting"]))
        assert f"{item.code}_{row.identifier.lower()}" == asked.item.get("ident")
        assert [target.identifier for target in due.targets] == asked.options
        for target in due.targets:
            is_right = target.identifier == row.target
            told = target.slip is not None and target.slip.pupil is not None
            result = asked.answer([target.identifier])
            assert 100 * is_right == result.score
            assert ((f"F_{target.identifier}",) if is_right or told else ()) == result.feedback
        assert 0 == asked.answer([]).score
    assert due.marks == sum(weights)
    assert "each row to be matched becomes a question of its own" in made.lost


LEFT_OUT = [
    (lambda: with_response(MATCHES[0], share=Fraction(0)), "for all rows together"),
    (lambda: with_response(MATCHES[0], share=Fraction(1, 2)), "a part of a mark"),
    (lambda: with_response(MATCHES[0], targets=response(MATCHES[0]).targets[:2]), "true or false"),  # type: ignore[union-attr]
]


@pytest.mark.parametrize(("make", "reason"), LEFT_OUT, ids=[reason for _, reason in LEFT_OUT])
def test_a_match_without_an_honest_form_is_left_out_and_told(make: Callable[[], Item], reason: str) -> None:
    made = cc.written(make())

    assert () == made.items
    assert any("left out of the cartridge" in line and reason in line for line in made.lost)


@pytest.mark.parametrize("item", WRITTEN, ids=lambda item: item.code)
def test_an_answer_in_writing_is_an_essay_that_nothing_marks(item: Item) -> None:
    """Whatever is written, no score is set; the solution bears the marks of the scheme and a note to who marks."""
    asked = Question(*cc.written(item).items)
    marks = [str(mark) for line in item.parts[0].solution for mark in line.marks]

    assert ("cc.essay.v0p1", "No") == (asked.metadata["cc_profile"], asked.metadata["qmd_computerscored"])
    assert [] == asked.named("setvar") == asked.named("varequal") == asked.named("varsubstring")
    assert str(item.marks) == asked.metadata["cc_weighting"]
    for given in ("", "x = 1", "anything"):
        assert (0, (), True) == (
            asked.answer(given).score,
            asked.answer(given).feedback,
            asked.answer(given).solution,
        )
    (solution,) = asked.texts("solution")
    assert marks == re.findall(r'<p class="marks">([^<]*)</p>', solution)
    assert len(marks) >= 3
    assert "A person marks this answer" in solution
    assert any("what staff are told of known slips is left out" in line for line in cc.written(item).lost)
    assert int(asked.named("render_fib")[0].get("rows")) == item.parts[0].response.lines  # type: ignore[union-attr]


@pytest.mark.parametrize("item", [*ORDERS, *MATCHES, *WRITTEN], ids=lambda item: item.code)
def test_the_visible_text_is_that_of_the_qti_3_item(item: Item) -> None:
    """Each question of a match shows all its rows and says which one it asks for."""
    made = cc.written(item).items

    assert [in_qti(item)] * len(made) == [in_cartridge(text) for text in made]
    if isinstance(response(item), MatchResponse):
        assert all(f"asks for row {number}." in text for number, text in enumerate(made, 1))


@pytest.mark.parametrize("thorough", [False, True])
def test_the_audit_finds_nothing_wrong_with_them(tmp_path: Path, thorough: bool) -> None:
    chosen = [*ORDERS, *MATCHES, *WRITTEN]
    questions = [text for item in (chosen[::3] if thorough else chosen) for text in cc.written(item).items]
    (tmp_path / "bank.xml").write_text(cc.question_bank(BANK, questions), encoding="utf-8")
    report = verify(tmp_path / "bank.xml", thorough=thorough)

    assert (len(questions), ()) == (report.items, report.findings)


def found(tmp_path: Path, text: str) -> set[str]:
    """The codes of what is wrong with a question."""
    (tmp_path / "bank.xml").write_text(cc.question_bank(BANK, [text]), encoding="utf-8")
    return codes(verify(tmp_path / "bank.xml"))


def order_of(by: str) -> str:
    """An order's question."""
    return cc.written(next(i for i in ORDERS if i.parts[0].response.by == by)).items[0]  # type: ignore[union-attr]


def row_of(by_words: bool) -> str:
    """The first row of a match."""
    chosen = next(item for item in MATCHES if item.parts[0].response.by_words == by_words)  # type: ignore[union-attr]
    return cc.written(chosen).items[0]


def essay() -> str:
    """An answer in writing."""
    return cc.written(WRITTEN[0]).items[0]


def things_swapped(text: str) -> str:
    """Two things change letters, and no rule does."""
    for old, new in (("A", "Z"), ("B", "A"), ("Z", "B")):
        text = spoiled(text, f'data-thing="{old}"&gt;&lt;strong class="letter"&gt;{old}&lt;',
                       f'data-thing="{new}"&gt;&lt;strong class="letter"&gt;{new}&lt;')  # fmt: skip
    return text


def first_rule_gone(text: str) -> str:
    """The first spelling is listed no more."""
    return re.sub(r"<respcondition.*?</respcondition>", "", text, count=1)


def keyed_elsewhere(text: str) -> str:
    """The rules name another target as right, feedback and all."""
    right = re.findall(
        r'<varequal respident="RESPONSE">(\w)</varequal></conditionvar><setvar[^>]*>100', text
    )[0]
    other = "A" if right != "A" else "B"
    for old, new in ((right, "Z"), (other, right), ("Z", other)):
        text = text.replace(f'"RESPONSE">{old}<', f'"RESPONSE">{new}<').replace(f'"F_{old}"', f'"F_{new}"')
    return text


def second_key(text: str) -> str:
    """Every target that no rule named earns everything."""
    (rule,) = re.findall(r"<respcondition.*?</respcondition>", text)[:1]
    right = re.findall(r">(\w)</varequal>", rule)[0]
    other = "A" if right != "A" else "B"
    return spoiled(
        text, rule, rule.replace(f">{right}<", f">{other}<").replace(f"F_{right}", f"F_{other}") + rule
    )


UNSCORED = (
    r'<respcondition continue="No"><conditionvar><varequal respident="RESPONSE">\w</varequal></conditionvar>'
    r"<displayfeedback.*?</respcondition>"
)
SOLUTION = '<displayfeedback feedbacktype="Solution"'
TAMPERED: list[tuple[str, Callable[[], str], Callable[[str], str], str]] = [
    ("two things change letters", lambda: order_of("ascending"), things_swapped, "wrong-order-keyed"),
    ("two lines change letters", lambda: order_of("lines"), things_swapped, "wrong-order-keyed"),
    ("a thing shows another letter than it has", lambda: order_of("lines"),
     lambda t: spoiled(t, 'class="letter"&gt;A&lt;', 'class="letter"&gt;B&lt;'), "unclear-option"),
    ("a partly right order earns more", lambda: order_of("ascending"),
     lambda t: spoiled(t, 'Set">25<', 'Set">75<'), "wrong-entry-earns"),
    ("a partly right order earns everything", lambda: order_of("ascending"),
     lambda t: spoiled(t, 'Set">50<', 'Set">100<'), "no-key"),
    ("a spelling of the right order is gone", lambda: order_of("lines"), first_rule_gone, "spelling-missing"),
    ("a letter in a rule that no thing bears", lambda: order_of("lines"),
     lambda t: re.sub(r'("RESPONSE">)\w', r"\1X", t, count=1), "no-key"),
    ("a thing shows another number", lambda: order_of("ascending"),
     lambda t: re.sub(r"(data-thing=.*?&lt;mn&gt;)\d+", r"\g<1>98", t, count=1), "annotation-differs"),
    ("the right order is not told to be right", lambda: order_of("lines"),
     lambda t: spoiled(t, '<displayfeedback feedbacktype="Response" linkrefid="F0"/>', ""), "wrong-feedback"),
    ("another target is keyed", lambda: row_of(False), keyed_elsewhere, "wrong-pair-keyed"),
    ("a row shows another number", lambda: row_of(False),
     lambda t: re.sub(r"(data-row=.*?&lt;mn&gt;)\d+", r"\g<1>98", t, count=1), "annotation-differs"),
    ("two targets earn everything", lambda: row_of(True),
     second_key, "no-key"),
    ("a row stands twice", lambda: row_of(True),
     lambda t: re.sub(r"(&lt;p data-row=\"R1\".*?&lt;/p&gt;)", r"\1\1", t, count=1), "unclear-interaction"),
    ("a row bears another number", lambda: row_of(True),
     lambda t: spoiled(t, 'class="letter"&gt;1&lt;', 'class="letter"&gt;2&lt;'), "unclear-option"),
    ("another row is asked for in words", lambda: row_of(True),
     lambda t: spoiled(t, "asks for row 1.", "asks for row 2."), "unclear-interaction"),
    ("another row is asked for", lambda: row_of(False),
     lambda t: spoiled(spoiled(t, "asks for row 1.", "asks for row 2."), 'data-asked="R1"', 'data-asked="R2"'),
     "wrong-pair-keyed"),
    ("a target shows a slip's sentence no more", lambda: row_of(False),
     lambda t: re.sub(UNSCORED, "", t, count=1), "wrong-feedback"),
    ("a rule gives marks for an essay", essay,
     lambda t: spoiled(t, SOLUTION, f'<setvar varname="SCORE" action="Set">100</setvar>{SOLUTION}'), "wrong-rule"),
    ("a rule of an essay gives nothing, which is a mark too", essay,
     lambda t: spoiled(t, SOLUTION, f'<setvar varname="SCORE" action="Set">0</setvar>{SOLUTION}'), "wrong-rule"),
    ("an essay says the computer marks it", essay,
     lambda t: spoiled(t, "<fieldlabel>qmd_computerscored</fieldlabel><fieldentry>No",
                       "<fieldlabel>qmd_computerscored</fieldlabel><fieldentry>Yes"), "wrong-metadata"),
    ("nobody is told to mark an essay", essay,
     lambda t: re.sub(r"&lt;p data-role=\"scoring\".*?&lt;/p&gt;", "", t), "not-marked-by-hand"),
    ("an essay's marks are others", essay,
     lambda t: re.sub(r"(cc_weighting</fieldlabel><fieldentry>)\d+", r"\g<1>9", t), "marks-do-not-sum"),
    ("an essay becomes a typed answer", essay,
     lambda t: spoiled(t, "cc.essay.v0p1", "cc.fib.v0p1"), "unclear-problem"),
    ("an essay's solution loses a mark", essay,
     lambda t: spoiled(t, 'data-marks="M1"', 'data-marks=""'), "marks-do-not-sum"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("whole", "change", "code"), [each[1:] for each in TAMPERED], ids=[each[0] for each in TAMPERED]
)
def test_what_was_tampered_with_is_told(
    whole: Callable[[], str], change: Callable[[str], str], code: str, tmp_path: Path
) -> None:
    text = whole()
    changed = change(text)

    assert text != changed
    assert set() == found(tmp_path, text)
    assert code in found(tmp_path, changed)
