"""Words in a cartridge: a choice for each blank of words, and options in words that the worked solution tells again."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.items import WORD_NAMES, ChoiceResponse, EntryResponse, Item
from itembank.writers import common_cartridge as cc
from tests import kinds_bank, qti_items, samples
from tests.audit_samples import spoiled
from tests.cartridge_scorer import Question
from tests.property.test_cartridge_kinds import found
from tests.property.test_one_of import kind_of_roots
from tests.template_items import ENTRY_FORMS, items
from tests.unit.writers.test_cartridge_texts import in_cartridge, in_qti


def made(name: str, which: int = 0) -> tuple[Item, list[Question]]:
    """An item and its questions."""
    item = list(items(name, which + 1))[which]
    return item, [Question(text) for text in cc.written(item).items]


@given(st.integers(0, 7), st.data())
@settings(deadline=None, max_examples=100)
def test_numbers_and_words_asked_for_together_are_marked_as_the_blanks_are(
    which: int, data: st.DataObject
) -> None:
    """Each question's percentage of its own weight, added up, is what the two blanks earn in exact mathematics."""
    item, (numbers, words) = made("one-of", which)
    first, second = item.parts[0].response.blanks  # type: ignore[union-attr]
    d = int(item.values["b"]) ** 2 - 4 * int(item.values["a"]) * int(item.values["c"])  # type: ignore[arg-type]
    entered = data.draw(st.sampled_from([d, d, -d, d + 1]) | st.integers(-400, 400))
    chosen = data.draw(st.sampled_from(WORD_NAMES[: len(second.words)]))
    right = chosen == kind_of_roots(d)

    assert (str(first.worth), str(second.worth)) == (
        numbers.metadata["cc_weighting"],
        words.metadata["cc_weighting"],
    )
    assert (100 if entered == d else 0) == numbers.answer(str(entered)).score
    assert (100 if right else 0) == words.answer(chosen).score
    assert ((f"F_{chosen}",) if right else ()) == words.answer(chosen).feedback
    assert (0, 0) == (numbers.answer("").score, words.answer(()).score)


@given(st.integers(0, 7), st.data())
@settings(deadline=None, max_examples=60)
def test_words_alone_show_the_sentence_of_what_led_there(which: int, data: st.DataObject) -> None:
    item, (question,) = made("one-of-alone", which)
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    (blank,) = response.blanks
    chosen = data.draw(st.sampled_from(WORD_NAMES[: len(blank.words)]))
    told = {each.values[0][0][0] for each in response.recognised if each.slip.pupil is not None}
    result = question.answer(chosen)

    assert (100 if chosen == blank.values[0][0] else 0) == result.score
    assert ((f"F_{chosen}",) if chosen in {blank.values[0][0], *told} else ()) == result.feedback


def test_the_visible_text_is_that_of_the_qti_3_item() -> None:
    item, _ = made("one-of-alone")

    assert in_qti(item) == in_cartridge(cc.written(item).items[0])


def test_the_questions_of_an_item_bear_its_code_and_say_what_they_ask_for() -> None:
    item, (numbers, words) = made("one-of")

    assert [f"{item.code}_n", f"{item.code}_w"] == [each.item.get("ident") for each in (numbers, words)]
    assert "does not ask for the words" in numbers.texts("presentation")[0]
    assert "asks for words only" in words.texts("presentation")[0]
    assert any("questions of their own" in line for line in cc.shortfalls(item))
    assert any("a choice below it" in line for line in cc.shortfalls(made("one-of-alone")[0]))


def test_where_there_is_no_honest_form_the_part_is_left_out_and_told() -> None:
    item, _ = made("one-of")
    (part,) = item.parts
    response = part.response
    assert isinstance(response, EntryResponse)
    number, words = response.blanks
    changes = {
        "for all blanks together": replace(response, blanks=(number, replace(words, marks=()))),
        "a choice of two": replace(response, blanks=(number, replace(words, words=words.words[:2]))),
        "no box holds": replace(response, blanks=(number, replace(words, unknown="D"))),
    }

    for reason, changed in changes.items():
        left_out = cc.written(replace(item, parts=(replace(part, response=changed),)))
        assert () == left_out.items
        assert any("left out of the cartridge" in line and reason in line for line in left_out.lost)


def of_every_form() -> list[Item]:
    """An item of each kind of response and each form of entry."""
    found_ = [make() for make in (*samples.ALL, *qti_items.MORE)]
    found_ += [kinds_bank.items(name, 1)[0] for name in kinds_bank.TEMPLATES]
    return [*found_, *(next(items(name, 1)) for name in ENTRY_FORMS)]


def test_no_question_speaks_of_boxes_or_ticks_that_it_does_not_have() -> None:
    questions = [Question(text) for item in of_every_form() for text in cc.written(item).items]
    texts = [re.sub("<[^>]*>", " ", text) for each in questions for text in each.texts("presentation")]

    assert len(texts) > 60
    assert any("in any order" in text for text in texts)
    assert [] == [text for text in texts if re.search(r"\b(?:box|boxes|tick)\b", text)]


# tampering: words are not mathematics, but the file says them twice


def in_words(kind: str) -> str:
    """A question whose options are words."""
    if kind == "choice":
        (item,) = [make() for make in samples.ALL if _is_words(make)][:1]
        return cc.written(item).items[0]
    if kind in {"what-is-true", "discriminants-and-roots"}:
        return cc.written(kinds_bank.items(kind, 1)[0]).items[0]
    return cc.written(made(kind)[0]).items[-1]


def _is_words(make: Callable[[], Item]) -> bool:
    response = make().parts[0].response
    return isinstance(response, ChoiceResponse) and response.by_words


def right_and_wrong(text: str) -> tuple[str, str]:
    """The name of an option that earns everything, and of one that does not."""
    (rule,) = [each for each in text.split("<respcondition") if ">100</setvar>" in each]
    chosen = re.sub("<not>.*?</not>", "", rule)
    right = re.findall(r">(\w)</varequal>", chosen)[0]
    return right, next(name for name in "ABCDE" if f">{name}</varequal>" not in chosen)


def keyed_elsewhere(text: str) -> str:
    """Another option earns everything, and each shows what is said of it."""
    right, other = right_and_wrong(text)
    for old, new in ((right, "@"), (other, right), ("@", other)):
        text = text.replace(f'"RESPONSE">{old}<', f'"RESPONSE">{new}<').replace(f'"F_{old}"', f'"F_{new}"')
    return text


def names_swapped(text: str) -> str:
    """A right option and a wrong one change their names for the pupil."""
    right, wrong = right_and_wrong(text)
    return (
        text.replace(f'label ident="{right}"', 'label ident="@"')
        .replace(f'label ident="{wrong}"', f'label ident="{right}"')
        .replace('label ident="@"', f'label ident="{wrong}"')
    )


def other_words(text: str) -> str:
    """The right words of the worked solution are others."""
    return re.sub(r"(data-right=\"yes\"&gt;.*?span&gt;)[^&]{4}", r"\1Zzzz", text, count=1)


def condition_turned(text: str) -> str:
    """What is right below nothing is said to be right above it, in all that is written of it."""
    at = text.index("&lt;mo&gt;&amp;lt;&lt;/mo&gt;", text.index('data-role="word"'))
    return (
        text[:at]
        + text[at:]
        .replace("&lt;mo&gt;&amp;lt;&lt;/mo&gt;", "&lt;mo&gt;=&lt;/mo&gt;", 1)
        .replace("&lt;lt/&gt;", "&lt;eq/&gt;", 1)
    ).replace("is less than 0", "equals 0")


TAMPERED = [
    (kind, change, code)
    for kind in ("choice", "what-is-true", "discriminants-and-roots", "one-of", "one-of-alone")
    for change, code in (
        (keyed_elsewhere, "wrong-option-keyed"),
        (names_swapped, "option-differs"),
        (other_words, "option-differs"),
    )
]


@pytest.mark.parametrize(("kind", "change", "code"), TAMPERED)
def test_words_that_were_tampered_with_are_told(
    kind: str, change: Callable[[str], str], code: str, tmp_path: Path
) -> None:
    text = in_words(kind)
    changed = change(text)

    assert text != changed
    assert set() == found(tmp_path, text)
    assert code in found(tmp_path, changed)


def test_words_keyed_and_told_otherwise_are_found_by_their_condition(tmp_path: Path) -> None:
    """The key, the sentences and the worked solution say so; the mathematics beside the words does not."""
    text = in_words("one-of-alone")
    changed = keyed_elsewhere(text)
    right, other = (
        re.findall(r"(\w)</varequal></conditionvar><setvar[^>]*>100<", t)[0] for t in (text, changed)
    )
    for name, was, now in ((right, "yes", "no"), (other, "no", "yes")):
        mark = 'data-role="word" data-identifier="{}" data-right="{}"'
        changed = spoiled(changed, mark.format(name, was), mark.format(name, now))

    assert "wrong-option-keyed" in found(tmp_path, changed)
    assert found(tmp_path, condition_turned(text)) & {"wrong-option-keyed", "equal-options"}
