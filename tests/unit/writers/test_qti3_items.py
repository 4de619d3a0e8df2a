"""What an item's document shows to pupils and tells to staff, and how its texts are written."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from lxml import etree

from itembank.content import BLOCK_KINDS, INLINE_KINDS, Content, Paragraph, TextShape, of_text
from itembank.errors import DomainError
from itembank.expressions.mathml import mathml
from itembank.items import EntryResponse, Item
from itembank.writers import qti3
from itembank.writers.phrases import phrases
from itembank.writers.qti3.markup import blocks, tag
from tests import qti_items, samples
from tests.qti_scorer import QTI

ITEMS = (*samples.ALL, *qti_items.MORE)
MATH = "{http://www.w3.org/1998/Math/MathML}math"
Make = Callable[[], Item]


def written(item: Item) -> etree._Element:
    """An item's document, read back."""
    return etree.fromstring(qti3.item_xml(item).encode())


def shown_to_pupils(root: etree._Element) -> etree._Element:
    """The body and the feedback, without the block for staff."""
    shown = etree.Element("shown")
    shown.extend([root.find(f"{QTI}qti-item-body"), *root.findall(f"{QTI}qti-modal-feedback")])
    for block in list(shown.iter(f"{QTI}qti-rubric-block")):
        parent = block.getparent()
        assert parent is not None
        parent.remove(block)
    return shown


def everything(element: etree._Element) -> str:
    """All markup of an element as text."""
    return etree.tostring(element, encoding="unicode")


def words(element: etree._Element) -> str:
    """The words of an element."""
    return "".join(str(text) for text in element.itertext())


# what pupils may and may not see


@pytest.mark.parametrize("make", ITEMS)
def test_pupils_see_neither_address_nor_names_of_slips(make: Make) -> None:
    item = make()
    text = qti3.item_xml(item)
    shown = everything(shown_to_pupils(written(item)))

    assert str(item.address) not in text
    assert item.address.template not in text
    if make in qti_items.MORE:
        for part in item.parts:
            for slip in part.slips:
                assert slip.name not in text
    assert "correct" not in shown


@pytest.mark.parametrize(
    "make", [make for make in ITEMS if isinstance(make().parts[-1].response, EntryResponse)]
)
def test_pupils_do_not_see_the_key_of_an_entry(make: Make) -> None:
    part = make().parts[-1]
    key = re.sub(" display=.*?>", ">", mathml(part.key))
    document = re.sub(" display=.*?>", ">", qti3.item_xml(make()))
    before, _, after = document.partition("<qti-rubric-block")

    assert key in after
    assert key not in before


def test_boxes_look_the_same_whatever_belongs_in_them() -> None:
    def body(value: int) -> str:
        item = qti_items.entry_item("4*x = 5", "x = 5/4", qti_items.whole("x", value))
        return everything(shown_to_pupils(written(item)))

    assert body(3) == body(-123_456_789)


@pytest.mark.parametrize("make", ITEMS)
def test_what_is_keyed_fits_into_its_box(make: Make) -> None:
    room = lengths(make())

    for part in make().parts:
        if isinstance(part.response, EntryResponse):
            held = [value for blank in part.response.blanks for group in blank.values for value in group]
            assert all(len(str(getattr(each, "value", each))) <= min(room) for each in held)


def test_a_box_has_room_by_its_form_and_more_for_what_is_longer_still() -> None:
    def room(*values: int) -> list[int]:
        return lengths(qti_items.entry_item("4*x = 5", "x = 5/4", qti_items.whole("x", *values)))

    assert [24] == room(7) == room(-(10**20))
    assert [48] == room(10**24)
    assert [24] == lengths(qti_items.plain_decimal_item())
    assert {12} == set(lengths(samples.surd_entry_item()))


def lengths(item: Item) -> list[int]:
    """How many characters each box says it takes."""
    boxes = written(item).iter(f"{QTI}qti-text-entry-interaction")
    return [int(each.get("expected-length", "0")) for each in boxes]


@pytest.mark.parametrize("make", ITEMS)
def test_the_block_for_staff_is_for_scorers_and_tutors_only(make: Make) -> None:
    (block,) = written(make()).iter(f"{QTI}qti-rubric-block")

    assert ("solution", "scorer tutor") == (block.get("use"), block.get("view"))


def test_staff_are_told_key_lines_marks_and_causes() -> None:
    (block,) = written(samples.choice_item()).iter(f"{QTI}qti-rubric-block")
    (part,) = (each for each in block.iter(f"{QTI}div") if each.get("data-shape"))
    lines = [each for each in part.iter(f"{QTI}li") if each.get("data-role") == "line"]
    options = [each for each in part.iter(f"{QTI}p") if each.get("data-role") == "option"]
    notes = [
        (each.get("data-identifier"), words(each))
        for each in part.iter(f"{QTI}div")
        if each.get("data-role") == "note"
    ]

    assert ("solve", "x", "", "choice") == tuple(
        part.get(f"data-{name}") for name in ("shape", "unknowns", "for-every", "kind")
    )
    assert ["M1", "", "M1", "", "A1"] == [each.get("data-marks") for each in lines]
    assert [("A", "F1"), ("B", "F0"), ("C", "F2"), ("D", "F3")] == [
        (each.get("data-identifier"), each.get("data-feedback")) for each in options
    ]
    assert [
        ("A", "Reteach not-halved."),
        ("C", "Reteach sign-of-half."),
        ("D", "Reteach square-not-added."),
    ] == notes


def test_words_are_told_by_the_values_that_lead_to_them() -> None:
    root = written(samples.words_item())
    told = {
        each.get("data-identifier"): [math.get("alttext") for math in each.iter(MATH)]
        for each in root.iter(f"{QTI}p") if each.get("data-role") == "option"
    }  # fmt: skip

    assert {"A": [], "B": ["capital d equals 80"], "C": [], "D": ["capital d equals negative 8"]} == told


# accessibility


@pytest.mark.parametrize("make", ITEMS)
def test_every_box_has_a_label_of_its_own_and_every_formula_is_spoken(make: Make) -> None:
    root = written(make())
    labels = [each.get("aria-label") for each in root.iter(f"{QTI}qti-text-entry-interaction")]

    assert all(labels)
    assert len(labels) == len(set(labels))
    assert all(math.get("alttext") for math in root.iter(MATH))
    assert make().about.language == root.get("{http://www.w3.org/XML/1998/namespace}lang")


def test_boxes_are_laid_out_as_they_are_said() -> None:
    def line(make: Make) -> list[str]:
        root = written(make())
        for each in root.iter(f"{QTI}qti-text-entry-interaction"):
            each.tail = f"[{each.get('aria-label')}]"
        for annotation in root.iter("{http://www.w3.org/1998/Math/MathML}annotation-xml"):
            annotation.clear(keep_tail=True)
        return [words(each) for each in root.iter(f"{QTI}p") if each.get("class") == "boxes"]

    surd = "[x, term before the root] {} [x, factor before the root] √ [x, number under the root]"
    assert [f"x = ( {surd.format('±')} ) / [x, denominator]"] == line(samples.surd_entry_item)
    assert [f"x = ( {surd.format('+')} ) / [x, denominator]"] == line(qti_items.single_surd_item)
    assert ["x = ± [x, factor before the root] √ [x, number under the root]"] == line(
        qti_items.bare_surd_item
    )
    assert ["72 = [answer, factor before the root] √ [answer, number under the root]"] == line(
        samples.rewrite_item
    )
    assert ["x = [x, solution 1] or x = [x, solution 2]"] == line(samples.integer_entry_item)
    assert ["p = [p]", "q = [q, numerator] / [q, denominator]"] == line(samples.identity_item)


def test_an_item_in_another_language_says_which_words_are_english() -> None:
    item = samples.integer_entry_item()
    french = replace(item, about=item.about._replace(language="fr-BE"))
    root = written(french)
    english = root.xpath("//*[@xml:lang='en']")
    assert isinstance(english, list)
    told = {words(each) for each in english if isinstance(each, etree._Element)}

    assert {"or", "There is no real solution.", "That is right."} <= told
    expected = ("the words around boxes and in feedback are English", "formulas are spoken in English")
    assert expected == qti3.shortfalls(french)
    assert [] == written(item).xpath("//*/*[@xml:lang]")


# texts


def test_every_kind_of_text_is_written_and_escaped() -> None:
    root = written(qti_items.two_part_item())
    stem = next(each for each in root.iter(f"{QTI}div") if each.get("data-role") == "stem")
    strong, breaks = stem.find(f".//{QTI}strong"), stem.findall(f".//{QTI}br")
    assert strong is not None

    assert "(a)" == words(stem[0])
    assert words(stem[1]).startswith('The "yard" & <field> of Saltmarsh & Sons \ufffd100 %')
    assert "of Saltmarsh & Sons \ufffd" == words(strong)
    assert 1 == len(breaks)
    assert ["x", "value"] == [words(each) for each in stem.iter(f"{QTI}th")]
    assert ["qti-align-center", None] == [each.get("class") for each in stem.iter(f"{QTI}th")]
    assert ["2"] == [each.get("start") for each in stem.iter(f"{QTI}ol")]
    assert ["first", "secondmore", "bullet"] == [words(each) for each in stem.iter(f"{QTI}li")]
    assert ["bullet"] == [words(each) for each in stem.iter(f"{QTI}em")]


def test_every_kind_of_block_and_of_inline_stands_in_that_text() -> None:
    """A new kind of text must be added there, and so be written."""
    shape = qti_items.two_part_item().parts[0].stem.shape
    kinds, open_nodes = set(), [*shape.blocks]
    while open_nodes:
        node = open_nodes.pop()
        if isinstance(node, tuple) and type(node) not in (*BLOCK_KINDS, *INLINE_KINDS):
            open_nodes.extend(node)
            continue
        kinds.add(type(node))
        for name in ("inlines", "items", "header", "rows"):
            open_nodes.extend(getattr(node, name, ()))

    assert {*BLOCK_KINDS, *INLINE_KINDS} <= kinds


def test_an_option_of_one_paragraph_stands_without_it_and_one_of_several_does_not() -> None:
    def contents(*paragraphs: str) -> list[str]:
        item = samples.words_item()
        (part,) = item.parts
        shape = TextShape(tuple(of_text(each).shape.blocks[0] for each in paragraphs), 0)
        first, *others = part.response.options  # type: ignore[union-attr]
        options = (first._replace(content=Content(shape)), *others)
        response = replace(part.response, options=options)
        root = written(replace(item, parts=(replace(part, response=response),)))
        choice = next(root.iter(f"{QTI}qti-simple-choice"))
        return [str(each.tag).removeprefix(QTI) for each in choice]

    assert [] == contents("one")
    assert ["p", "p"] == contents("one", "two")


def test_markup_in_titles_and_codes_is_escaped() -> None:
    item = samples.choice_item()
    root = written(
        replace(item, code='A"<&>', about=item.about._replace(title='Surds & "roots" < 5 %s \x01'))
    )

    assert 'A"<&>' == root.get("identifier")
    assert 'Surds & "roots" < 5 %s \ufffd (A"<&>)' == root.get("title")


def test_a_hole_can_be_filled_with_what_looks_like_a_hole() -> None:
    shape = TextShape((Paragraph(samples.text("", "x").shape.blocks[0].inlines),), 1)  # type: ignore[union-attr]

    assert "<p>\ufffd0\ufffd %s &lt;</p>" == blocks(Content(shape, ("\x010\x02 %s <",)), phrases("en"))


def test_attributes_are_escaped_where_they_are_written() -> None:
    assert '<p class="a&quot;b" xml:lang="en" data-role="&lt;"/>' == tag(
        "p", class_='a"b', xml__lang="en", data_role="<"
    )


# the document as a whole


@pytest.mark.parametrize("make", ITEMS)
def test_the_same_item_gives_the_same_text(make: Make) -> None:
    assert qti3.item_xml(make()) == qti3.item_xml(make())


@pytest.mark.parametrize("make", ITEMS)
def test_every_response_is_declared_and_used_once(make: Make) -> None:
    root = written(make())
    declared = [each.get("identifier") for each in root.iter(f"{QTI}qti-response-declaration")]
    used = [each.get("response-identifier") for each in root.iter() if each.get("response-identifier")]

    assert sorted(map(str, declared)) == sorted(map(str, used))
    assert len(declared) == len(set(declared))


def test_several_parts_without_labels_are_refused() -> None:
    item = qti_items.two_part_item()
    first, second = item.parts

    with pytest.raises(DomainError, match="needs a label"):
        qti3.item_xml(replace(item, parts=(first, replace(second, label=""))))


@pytest.mark.parametrize(
    ("blank", "value"), [("whole", qti_items.decimal("1.5", 1)), ("whole", None), ("decimal", 3)]
)
def test_boxes_that_hold_what_their_form_cannot_are_refused(blank: str, value: object) -> None:
    form = "integer" if blank == "whole" else "decimal"
    wrong = replace(qti_items.whole("x", 1), form=form, values=((value,),))  # type: ignore[arg-type]

    with pytest.raises(DomainError, match="cannot hold"):
        qti3.item_xml(qti_items.entry_item("4*x = 5", "x = 5/4", wrong))


# shortfalls


@pytest.mark.parametrize("make", samples.ALL)
def test_nothing_is_lost_of_an_ordinary_item(make: Make) -> None:
    assert () == qti3.shortfalls(make())


def test_what_is_lost_is_said_once() -> None:
    far = qti_items.entry_item("4*x = 5", "x = 5/4", qti_items.whole("x", 2**31), qti_items.whole("y", 2**40))

    assert (
        "how many decimal places were entered is not marked",
        "follow-through marks are given for the right value only: the key names no earlier answer",
    ) == qti3.shortfalls(qti_items.plain_decimal_item())
    item = qti_items.plain_decimal_item()
    (part,) = item.parts
    twice = replace(item, parts=(replace(part, label="a"), replace(part, label="b")))

    assert qti3.shortfalls(item) == qti3.shortfalls(twice)
    assert 1 == len(qti3.shortfalls(far))
    assert "larger than the standard's whole numbers" in qti3.shortfalls(far)[0]


@pytest.mark.parametrize("make", [samples.no_solution_entry_item, samples.integer_entry_item])
def test_the_tick_for_no_real_solution_can_be_taken_back(make: Make) -> None:
    """Several choices may be made of the one there is: a box to tick, where a single choice is a radio button."""
    root = written(make())
    (tick,) = root.iterfind(".//{*}qti-choice-interaction[@response-identifier='TICK']")
    (declared,) = root.iterfind("{*}qti-response-declaration[@identifier='TICK']")

    assert ("0", "0") == (tick.get("max-choices"), tick.get("min-choices"))
    assert "multiple" == declared.get("cardinality")
    assert ["none"] == [choice.get("identifier") for choice in tick]
