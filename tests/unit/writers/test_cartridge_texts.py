"""What a pupil reads in a cartridge is what stands in the QTI 3.0 item; what cannot be carried is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from lxml import etree

from itembank.items import Blank, ChoiceResponse, EntryResponse, Item, Mark
from itembank.writers import common_cartridge as cc
from itembank.writers import qti3
from itembank.writers.common_cartridge.documents import shared_out
from itembank.writers.pictures import pictures
from tests import qti_items, samples
from tests.cartridge_scorer import Question

ITEMS = (*samples.ALL, *qti_items.MORE)
QTI = "{http://www.imsglobal.org/xsd/imsqtiasi_v3p0}"
OWN = ("boxes", "typed", "asked", "letter", "instruction")
"""Classes of what differs by nature: boxes or gaps and in which form, what to type, which part is asked for."""


def visible(element: etree._Element) -> Iterator[str]:
    """The characters a pupil sees, without annotations of formulas, staff blocks and what differs by nature."""
    name = etree.QName(element).localname if isinstance(element.tag, str) else ""
    if name in {"annotation-xml", "qti-rubric-block"} or element.get("class") in OWN:
        return
    if element.get("response-identifier", "").startswith("TICK"):
        return
    yield "".join((element.text or "").split())
    for child in element:
        yield from visible(child)
        yield "".join((child.tail or "").split())


def in_qti(item: Item) -> str:
    """What the QTI 3.0 item shows."""
    body = etree.fromstring(qti3.item_xml(item).encode()).find(f"{QTI}qti-item-body")
    assert body is not None
    return "".join(visible(body))


def in_cartridge(question: str) -> str:
    """What a question shows: its texts, options included."""
    texts = Question(question).texts("presentation")
    return "".join("".join(visible(etree.fromstring(f"<div>{text}</div>"))) for text in texts)


@pytest.mark.parametrize("make", [make for make in ITEMS if make is not qti_items.two_part_item])
def test_the_visible_text_is_that_of_the_qti_3_item(make: Callable[[], Item]) -> None:
    (question,) = cc.written(make()).items

    assert len(in_qti(make())) > 8
    assert in_qti(make()) == in_cartridge(question)


def test_pictures_stand_in_the_stem_and_at_lines_of_the_solution_with_their_words() -> None:
    item = qti_items.pictured_item()
    written = cc.written(item)
    question = Question(written.items[0])
    images = [
        (where, image.get("alt"), image.get("src"))
        for where in ("presentation", "solution")
        for text in question.texts(where)
        for image in etree.fromstring(f"<div>{text}</div>").iter("img")
    ]

    assert [(each.line < 0, each.description) for each in pictures(item)] == [
        (where == "presentation", alt) for where, alt, _ in images
    ]
    assert [f"$IMS-CC-FILEBASE$../{each.address}" for each in pictures(item)] == [src for _, _, src in images]
    assert len(images) >= 2
    assert not any("picture" in line for line in written.lost)


def test_the_last_of_several_parts_shows_the_stems_of_all() -> None:
    first, second = cc.written(qti_items.two_part_item()).items
    whole = in_qti(qti_items.two_part_item())
    stem = in_cartridge(second).partition("(b)")[0]

    assert whole.startswith(stem)
    assert whole.startswith(in_cartridge(first))
    assert "This question asks for part (b)." in "".join(Question(second).texts("presentation"))


def test_the_same_item_gives_the_same_text() -> None:
    for make in ITEMS:
        assert cc.written(make()) == cc.written(make())


def test_neither_address_nor_slip_is_named() -> None:
    for make in ITEMS:
        item = make()
        text = "".join(cc.written(replace(item, parts=tuple(map(_unsaid, item.parts)))).items)
        for slip in (slip for part in item.parts for slip in part.slips):
            assert slip.name not in text
        assert f"{item.address.template}/" not in text


def _unsaid(part: object) -> object:
    """The part with its slips' sentences taken away: the samples' own sentences name the slips."""
    response = part.response  # type: ignore[attr-defined]
    if isinstance(response, ChoiceResponse):
        options = tuple(
            option._replace(slip=option.slip._replace(pupil=None)) if option.slip else option
            for option in response.options
        )
        return replace(part, response=replace(response, options=options))  # type: ignore[type-var]
    entries = tuple(replace(each, slip=each.slip._replace(pupil=None)) for each in response.recognised)
    return replace(part, response=replace(response, recognised=entries))  # type: ignore[type-var]


# what is lost


def entry(blank: Blank, *others: Blank, unknowns: tuple[str, ...] = ("x",)) -> Item:
    """An entry of these blanks."""
    return qti_items.entry_item("x = 1", "x = 1", blank, *others, unknowns=unknowns)


def test_a_choice_of_two_is_left_out_and_told() -> None:
    item = samples.choice_item()
    (part,) = item.parts
    response = part.response
    assert isinstance(response, ChoiceResponse)
    two = replace(item, parts=(replace(part, response=replace(response, options=response.options[:2])),))
    made = cc.written(two)

    assert () == made.items
    told = "the item is left out of the cartridge: a choice of two is a statement that is true or false"
    assert any(line.startswith(told) for line in made.lost)
    assert made.lost == cc.shortfalls(two)


LEFT_OUT = [
    (
        entry(Blank("x", "integer", ("value",), tuple((n,) for n in range(6)), 6, any_order=True, marks=(Mark("A"),))),
        "too many spellings",
    ),
    (
        entry(qti_items.whole("x", 3, slots=2), qti_items.whole("y", 1), unknowns=("x", "y")),
        "would not be told apart",
    ),
    (
        entry(
            Blank(
                "x", "decimal", ("value",), ((qti_items.decimal("1.25", 2),),), 1, places=2,
                tolerance=qti_items.decimal("0.5", 1), marks=(Mark("A"),),
            )
        ),
        "too many decimals",
    ),
    (entry(Blank("x", "words", ("value",), ((1,),), 1, marks=(Mark("A"),))), "cannot be typed in one line"),
]  # fmt: skip


@pytest.mark.parametrize(("item", "reason"), LEFT_OUT, ids=[reason for _, reason in LEFT_OUT])
def test_an_entry_that_cannot_be_listed_is_left_out_and_told(item: Item, reason: str) -> None:
    made = cc.written(item)

    assert () == made.items
    assert any("left out of the cartridge" in line and reason in line for line in made.lost)


def test_what_a_typed_answer_loses_is_told() -> None:
    lost = " ".join(cc.shortfalls(samples.identity_item()))
    assert "boxes become one typed answer" in lost
    assert "marks for single boxes are given in listed wrong answers only" in lost
    assert "not in lowest terms earns nothing" in lost

    assert "more places than asked for" in " ".join(cc.shortfalls(qti_items.decimals_item()))
    assert "follow-through" in " ".join(cc.shortfalls(qti_items.plain_decimal_item()))
    assert "only with the denominator of the key" in " ".join(cc.shortfalls(samples.surd_entry_item()))
    assert "each part becomes a question" in " ".join(cc.shortfalls(qti_items.two_part_item()))


def test_a_unit_stands_beside_its_gap_and_is_not_typed() -> None:
    item = entry(replace(qti_items.whole("x", 3), unit="cm"))
    (question,) = cc.written(item).items

    assert '[1]</span> <span class="unit">cm</span>' in Question(question).texts("presentation")[0]
    assert "Leave out the unit." in question
    assert "3" in Question(question).listed()


def test_an_interval_with_a_root_at_its_end_is_left_out_and_told() -> None:
    boxes, value = ("sign", "p", "q", "r", "s"), ("lt", 0, 1, 3, 1)
    blank = Blank("x", "interval", boxes, (value,), 1, ends="surd", marks=(Mark("A"),))
    made = cc.written(entry(blank))

    assert () == made.items
    assert any("cannot be typed in one line" in line for line in made.lost)


def test_words_added_to_an_item_in_another_language_are_marked_and_told() -> None:
    item = samples.integer_entry_item()
    french = replace(item, about=item.about._replace(language="fr"))
    (question,) = cc.written(french).items

    assert 2 == sum("English" in line for line in cc.shortfalls(french))
    assert question.count("&lt;math ") == question.count('&lt;math xml:lang="en" ') > 3
    assert not any("English" in line for line in cc.shortfalls(item))
    assert 'class="typed"' in question
    assert '&lt;p lang="en" class="typed"&gt;' in question


def test_weights_are_the_marks_and_a_weight_above_ninety_nine_is_left_out() -> None:
    item = samples.rewrite_item()
    (part,) = item.parts
    assert isinstance(part.response, EntryResponse)
    blank = replace(part.response.blanks[0], marks=(Mark("A", 120),))
    heavy = replace(item, parts=(replace(part, response=replace(part.response, blanks=(blank,), marks=120)),))

    assert "2" == Question(cc.written(item).items[0]).metadata["cc_weighting"]
    assert "cc_weighting" not in Question(cc.written(heavy).items[0]).metadata


# files


def test_items_are_shared_out_by_number_and_by_size() -> None:
    assert [["a", "b"], ["c", "d"], ["e"]] == [list(each) for each in shared_out(list("abcde"), 2)]
    assert [] == shared_out([], 2)
    large = "x" * 1_500_000
    assert [[large], [large], [large, "a"]] == [
        list(each) for each in shared_out([large, large, large, "a"], 50)
    ]
