"""How written items are marked, by a scorer that knows the standard only."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import product

import pytest
from lxml import etree

from itembank.items import Blank, ChoiceResponse, EntryResponse, Item, Mark, Part
from itembank.writers.qti2 import WRITER_2_1, WRITER_2_2
from itembank.writers.qti3 import item_xml
from itembank.writers.qti3.spellings import number_pattern
from tests import qti_items, samples
from tests.qti_scorer import ARITHMETIC, QTI, Result, ScoredItem

ITEMS = (*samples.ALL, *qti_items.MORE)
Make = Callable[[], Item]


def boxes(part: Part) -> list[list[list[str]]]:
    """Identifiers of boxes: for each blank, for each slot, for each box."""
    assert isinstance(part.response, EntryResponse)
    found, number = [], 0
    for blank in part.response.blanks:
        slots = []
        for _ in range(blank.slots):
            slots.append(
                [
                    f"BOX_{part.label}_{number + i + 1}" if part.label else f"BOX_{number + i + 1}"
                    for i in range(len(blank.boxes))
                ]
            )
            number += len(blank.boxes)
        found.append(slots)
    return found


def filled(part: Part, values: object) -> dict[str, str]:
    """Responses that hold values, given as in a recognised entry; later slots stay empty."""
    given = {}
    for slots, held in zip(boxes(part), values, strict=True):  # type: ignore[call-overload]
        for names, group in zip(slots, held, strict=False):
            given.update({name: str(value) for name, value in zip(names, group, strict=True)})
    return given


def score(make: Make, arithmetic: str = "unbounded", **given: str) -> Result:
    """What an answer comes to."""
    return ScoredItem(item_xml(make()), arithmetic).answer(given)


def typed(make: Make, *entries: int | float | str | None, tick: bool = False) -> tuple[float, set[str]]:
    """Marks and feedback of entries into BOX_1, BOX_2, ...; None leaves a box empty. All kinds of platforms agree."""
    given = {
        f"BOX_{number}": str(entry) for number, entry in enumerate(entries, start=1) if entry is not None
    }
    if tick:
        given["TICK"] = "none"
    results = [score(make, arithmetic, **given) for arithmetic in ARITHMETIC]
    assert len({(each.score, each.feedback) for each in results}) == 1
    return results[0].score, set(results[0].feedback)


def sentences(item: Item) -> dict[str, str]:
    """feedback -> its words, as in the item's file."""
    root = etree.fromstring(item_xml(item).encode())
    return {
        str(each.get("identifier")): "".join(str(text) for text in each.itertext())
        for each in root.iter(f"{QTI}qti-modal-feedback")
    }


# every item


@pytest.mark.parametrize("make", ITEMS)
def test_the_key_earns_full_marks_and_says_so(make: Make) -> None:
    item = make()
    scored = ScoredItem(item_xml(item))
    result = scored.answer(scored.key())
    right = {f"F0_{part.label}" if part.label else "F0" for part in item.parts}

    assert item.marks == result.score
    assert right == result.feedback
    assert result.outcomes["MAXSCORE"] is not None
    assert item.marks == result.outcomes["MAXSCORE"].only


@pytest.mark.parametrize("make", ITEMS)
def test_an_empty_answer_earns_nothing_and_is_told_nothing(make: Make) -> None:
    result = score(make)

    assert 0 == result.score
    assert frozenset() == result.feedback


@pytest.mark.parametrize("make", ITEMS)
def test_every_feedback_a_rule_shows_has_words(make: Make) -> None:
    root = etree.fromstring(item_xml(make()).encode())
    rules = root.find(f"{QTI}qti-response-processing")
    assert rules is not None
    shown = {each.text for each in rules.iter(f"{QTI}qti-base-value") if str(each.text).startswith("F")}

    assert shown
    assert shown == set(sentences(make()))


# choices


CHOICES = [
    (make, part, option.identifier)
    for make in ITEMS
    for part in make().parts
    if isinstance(part.response, ChoiceResponse)
    for option in part.response.options
]


@pytest.mark.parametrize(("make", "part", "identifier"), CHOICES)
def test_an_option_earns_what_it_should_and_shows_its_sentence(
    make: Make, part: Part, identifier: str
) -> None:
    assert isinstance(part.response, ChoiceResponse)
    option = next(each for each in part.response.options if each.identifier == identifier)
    name = f"RESPONSE_{part.label}" if part.label else "RESPONSE"
    result = score(make, **{name: identifier})
    told = sentences(make())

    assert (part.response.marks if option.is_key else 0) == result.score
    if option.is_key:
        assert ["That is right."] == [told[each] for each in result.feedback]
    elif option.slip is None or option.slip.pupil is None:
        assert not result.feedback
    else:
        (block,) = option.slip.pupil.shape.blocks
        expected = "".join(each.text for each in block.inlines)  # type: ignore[union-attr]
        assert [expected] == [told[each] for each in result.feedback]


def test_there_are_choices_enough() -> None:
    assert len(CHOICES) >= 11


# entries


RECOGNISED = [
    (make, part, number)
    for make in ITEMS
    for part in make().parts
    if isinstance(part.response, EntryResponse)
    for number in range(len(part.response.recognised))
]


@pytest.mark.parametrize(("make", "part", "number"), RECOGNISED)
def test_a_recognised_entry_shows_its_sentence_and_earns_what_is_right_in_it(
    make: Make, part: Part, number: int
) -> None:
    assert isinstance(part.response, EntryResponse)
    entry = part.response.recognised[number]
    result = score(make, **filled(part, entry.values))
    right = sum(
        blank.worth
        for blank, values in zip(part.response.blanks, entry.values, strict=True)
        if values == blank.values
    )
    name = f"F{number + 1}_{part.label}" if part.label else f"F{number + 1}"

    assert right == result.score
    assert ({name} if entry.slip.pupil else set()) == result.feedback


def test_there_are_recognised_entries_enough() -> None:
    assert len(RECOGNISED) >= 5


def test_the_order_of_solutions_never_matters() -> None:
    assert (2, {"F0"}) == typed(samples.integer_entry_item, -3, 5)
    assert (2, {"F0"}) == typed(samples.integer_entry_item, 5, -3)
    assert (0, {"F1"}) == typed(samples.integer_entry_item, 3, -5)
    assert (0, {"F1"}) == typed(samples.integer_entry_item, -5, 3)


@pytest.mark.parametrize("entries", [(5, 5), (-3, -3), (5, None), (None, -3), (5, 3), (0, 0)])
def test_one_of_two_solutions_earns_nothing(entries: tuple[int | None, int | None]) -> None:
    assert (0, set()) == typed(samples.integer_entry_item, *entries)


def test_solutions_of_a_blank_with_an_order_are_taken_in_it() -> None:
    assert (2, {"F0"}) == typed(qti_items.in_order_item, 2, 3)
    assert (0, set()) == typed(qti_items.in_order_item, 3, 2)


def test_boxes_beyond_the_solutions_stay_empty() -> None:
    def make() -> Item:
        blank = replace(qti_items.whole("x", 2, 3, slots=3), any_order=False)
        return qti_items.entry_item("x^2 - 5*x + 6 = 0", "x = 2 or x = 3", blank)

    assert (2, {"F0"}) == typed(make, 2, 3)
    assert (0, set()) == typed(make, 2, 3, 4)


def test_a_repeated_root_may_be_given_once_or_twice() -> None:
    for entries in ((3, None), (None, 3), (3, 3)):
        assert (2, {"F0"}) == typed(qti_items.repeated_root_item, *entries)
    for wrong in ((3, 4), (4, 3), (4, None), (None, None)):
        assert (0, set()) == typed(qti_items.repeated_root_item, *wrong)


def test_a_wrong_tick_spoils_right_boxes() -> None:
    assert (0, set()) == typed(samples.integer_entry_item, -3, 5, tick=True)
    assert (0, set()) == typed(samples.integer_entry_item, tick=True)
    assert (0, set()) == typed(samples.surd_entry_item, 3, 1, 7, 2, tick=True)
    assert (0, set()) == typed(samples.surd_entry_item, 6, 1, 28, 4, tick=True)
    assert (0, set()) == typed(qti_items.fractions_item, -2, 4, 1, 3, tick=True)


def test_a_right_tick_wants_empty_boxes() -> None:
    assert (1, {"F0"}) == typed(samples.no_solution_entry_item, tick=True)
    assert (0, set()) == typed(samples.no_solution_entry_item, 1, tick=True)
    assert (0, set()) == typed(samples.no_solution_entry_item, None, 0, tick=True)
    assert (0, set()) == typed(samples.no_solution_entry_item, -1, 1)


def test_blanks_earn_their_own_marks() -> None:
    assert (2, {"F0"}) == typed(samples.identity_item, -3, 2, 1)
    assert (1, set()) == typed(samples.identity_item, -3, 3, 1)
    assert (1, set()) == typed(samples.identity_item, 4, 2, 1)
    assert (1, {"FU"}) == typed(samples.identity_item, -3, 4, 2)
    assert (0, {"FU"}) == typed(samples.identity_item, 4, -4, -2)
    assert (1, {"F1"}) == typed(samples.identity_item, 3, 2, 1)


@pytest.mark.parametrize(
    "entries", [(-2, 4, 1, 3), (1, -2, 1, 3), (1, 3, -3, 6), (-1, -3, -1, 2), (2, 6, 5, -10), (-1, 3, 1, -2)]
)
def test_an_unreduced_fraction_earns_one_mark_less_where_it_is_equal(entries: tuple[int, ...]) -> None:
    a, b, c, d = entries
    equal = {(a * 2 == -b, c * 3 == d), (a * 3 == b, c * 2 == -d)}

    assert ((1, {"FU"}) if (True, True) in equal else (0, set())) == typed(qti_items.fractions_item, *entries)


@pytest.mark.parametrize(
    "entries", [(-1, 2, 1, 0), (0, 0, 0, 0), (-1, 2, 1, None), (-1, 2, None, 3), (-1, 2, -1, 2)]
)
def test_fractions_that_are_missing_or_none_earn_nothing(entries: tuple[int | None, ...]) -> None:
    assert (0, set()) == typed(qti_items.fractions_item, *entries)


# surds


@pytest.mark.parametrize(
    "entries", [(6, 1, 28, 4), (6, 2, 7, 4), (-3, 1, 7, -2), (3, -1, 7, 2), (9, 3, 7, 6), (9, 1, 63, 6)]
)
def test_an_unsimplified_pair_earns_one_mark_less(entries: tuple[int, ...]) -> None:
    assert (2, {"FU"}) == typed(samples.surd_entry_item, *entries)


@pytest.mark.parametrize(
    "entries",
    [
        (3, 1, 7, 4), (6, 1, 7, 4), (3, 1, 28, 2), (-3, 1, 7, 2), (3, 1, -7, 2), (0, 0, 0, 0), (3, 1, 7, 0),
        (3, 1, 7, None), (None, 1, 7, 2), (3, None, 7, 2), (3, 1, None, 2), (3, 0, 7, 2), (3, 1, 0, 2),
    ],
)  # fmt: skip
def test_other_pairs_earn_nothing(entries: tuple[int | None, ...]) -> None:
    assert (0, set()) == typed(samples.surd_entry_item, *entries)


def test_a_single_surd_has_a_sign() -> None:
    make = qti_items.single_surd_item  # (1 - √5)/2

    assert (3, {"F0"}) == typed(make, 1, -1, 5, 2)
    assert (2, {"FU"}) == typed(make, -1, 1, 5, -2)
    assert (2, {"FU"}) == typed(make, 2, -1, 20, 4)
    assert (0, set()) == typed(make, 1, 1, 5, 2)
    assert (0, set()) == typed(make, -1, -1, 5, -2), "(-1 - √5)/-2 is the other solution"
    assert (0, set()) == typed(make, 2, 1, 20, 4)


def test_a_denominator_of_one_may_be_left_out() -> None:
    make = qti_items.whole_surd_item  # 4 ± √13

    assert (3, {"F0"}) == typed(make, 4, 1, 13, 1)
    assert (3, {"F0"}) == typed(make, 4, 1, 13, None)
    assert (2, {"FU"}) == typed(make, 8, 1, 52, 2)
    assert (2, {"FU"}) == typed(make, 4, -1, 13, None)
    assert (0, set()) == typed(make, 4, 1, 52, None)
    assert (0, set()) == typed(make, 8, 2, 13, None)


def test_boxes_that_are_not_shown_are_0_and_1() -> None:
    assert (1, {"F0"}) == typed(qti_items.bare_surd_item, 2, 3)
    assert (0, {"FU"}) == typed(qti_items.bare_surd_item, 1, 12)
    assert (2, {"F0"}) == typed(samples.rewrite_item, 6, 2)
    assert (1, {"FU"}) == typed(samples.rewrite_item, 3, 8)
    assert (1, {"FU"}) == typed(samples.rewrite_item, 1, 72)
    assert (0, set()) == typed(samples.rewrite_item, -1, 72)
    assert (0, set()) == typed(samples.rewrite_item, 72, 1)


ABSURD = (0, 1, 2, -2, 3, 7, 2**15, 2**16, 2**17, -(2**16), 46_340, 46_341, 2**30, 2**31 - 1, -(2**31))
# Numbers that equal the key's on a platform whose whole numbers wrap round at 32 bits, and only there.
WRAPPED = (3 - 2**31, 98_304, 7 + 2**30, 7 - 2**30, 14 + 2**31 - 2**32)


def worth(make: Make, *entries: int) -> set[float]:
    """What entries earn, on every kind of platform."""
    given = {f"BOX_{number}": str(entry) for number, entry in enumerate(entries, start=1)}
    return {ScoredItem(item_xml(make()), arithmetic).answer(given).score for arithmetic in ARITHMETIC}


def test_absurd_numbers_earn_the_same_on_all_platforms_and_never_wrongly() -> None:
    """Products of these leave 32 bits; none of them is equal to the key but those that are."""
    scored = [ScoredItem(item_xml(samples.surd_entry_item()), arithmetic) for arithmetic in ARITHMETIC]
    roots = (*ABSURD, *WRAPPED)
    for p, q, r, s in product((3, 2**16, *WRAPPED[:2]), (0, 1, *ABSURD[6:12]), roots, (2, 2**16, -(2**31))):
        given = {"BOX_1": str(p), "BOX_2": str(q), "BOX_3": str(r), "BOX_4": str(s)}
        scores = {each.answer(given).score for each in scored}
        equal = p * 2 == 3 * s and q * q * r * 4 == 7 * s * s and r > 0
        assert len(scores) == 1
        assert scores <= ({0, 2, 3} if equal else {0}), given


def test_a_large_rational_part_earns_the_same_on_all_platforms() -> None:
    def make() -> Item:
        return qti_items.entry_item("4*x = 5", "x = 5/4", qti_items.surd([(10**6, 1, 7, 1)]))

    wrapped = (10**6 * 2**13 + 2**31) % 2**32 - 2**31

    assert {3} == worth(make, 10**6, 1, 7, 1)
    assert {2} == worth(make, 10**6 * 20, 20, 7, 20)
    assert {0} == worth(make, wrapped, 2**13, 7, 2**13)


def test_absurd_fractions_earn_the_same_on_all_platforms_and_never_wrongly() -> None:
    scored = [ScoredItem(item_xml(qti_items.fractions_item()), arithmetic) for arithmetic in ARITHMETIC]
    for above, below in product(ABSURD, (3, 2**30, 2**31 - 1, -(2**31))):
        given = {"BOX_1": "-1", "BOX_2": "2", "BOX_3": str(above), "BOX_4": str(below)}
        scores = {each.answer(given).score for each in scored}
        assert len(scores) == 1
        assert scores <= ({0, 1, 2} if above * 3 == below else {0})


# decimals


@pytest.mark.parametrize(
    "entries",
    [("-0.41", "2.41"), ("2.41", "-0.41"), ("-0.415", "2.405"), ("-0.405", "2.415"), ("2.4100", "-.41")],
)
def test_decimals_within_the_tolerance_are_right(entries: tuple[str, str]) -> None:
    assert (2, {"F0"}) == typed(qti_items.decimals_item, *entries)


@pytest.mark.parametrize(
    "entries",
    [
        ("-0.41", "2.4151"),
        ("-0.4151", "2.41"),
        ("-0.41", None),
        ("2.41", "2.41"),
        ("-0.41", "9"),
        ("0.41", "2.41"),
    ],
)
def test_decimals_beyond_the_tolerance_are_wrong(entries: tuple[str, str | None]) -> None:
    assert (0, set()) == typed(qti_items.decimals_item, *entries)


def test_a_decimal_without_tolerance_is_one_number() -> None:
    assert (1, {"F0"}) == typed(qti_items.plain_decimal_item, "1.25")
    assert (1, {"F0"}) == typed(qti_items.plain_decimal_item, "1.250")
    assert (0, set()) == typed(qti_items.plain_decimal_item, "1.2500001")
    assert (0, set()) == typed(qti_items.plain_decimal_item, "1.24")


def test_one_decimal_does_not_stand_for_two_that_are_near_to_each_other() -> None:
    two = tuple((qti_items.decimal(value, 1),) for value in ("1.2", "1.3"))
    blank = Blank(
        "x",
        "decimal",
        ("value",),
        two,
        2,
        True,
        places=1,
        tolerance=qti_items.decimal("0.1", 1),
        marks=(Mark("A"),),
    )

    def make() -> Item:
        return qti_items.entry_item("4*x = 5", "x = 5/4", blank)

    assert (0, set()) == typed(make, "1.25", "99")
    assert (0, set()) == typed(make, "1.25", None)
    assert (1, {"F0"}) == typed(make, "1.3", "1.2")


def test_every_end_of_a_tolerance_is_right_whatever_its_float() -> None:
    """Sums of floats miss such ends: 1.4 + 0.05 is below 1.45 for a machine."""
    for tenths in range(1, 40):
        blank = qti_items.decimals_item().parts[0].response.blanks[0]  # type: ignore[union-attr]
        value, tolerance = qti_items.decimal(f"{tenths / 10:.1f}", 1), qti_items.decimal("0.05", 2)
        one = blank.__class__(
            "x", "decimal", ("value",), ((value,),), 1, places=1, tolerance=tolerance, marks=blank.marks
        )

        def make(one: object = one) -> Item:
            return qti_items.entry_item("4*x = 5", "x = 5/4", one)  # type: ignore[arg-type]

        hundredths = tenths * 10
        for ends, expected in (((hundredths - 5, hundredths + 5), 2), ((hundredths - 6, hundredths + 6), 0)):
            for end in ends:
                text = f"{'-' if end < 0 else ''}{abs(end) // 100}.{abs(end) % 100:02}"
                assert expected == score(make, BOX_1=text).score, text


# parts


def test_parts_are_marked_apart() -> None:
    make = qti_items.two_part_item
    both = score(make, RESPONSE_a="C", BOX_b_1="6", BOX_b_2="2", BOX_b_3="4")
    wrong = score(make, RESPONSE_a="B", BOX_b_1="6")

    assert (2 + 1 + 1, {"F0_a", "FU_b"}) == (both.score, set(both.feedback))
    assert [2, 2] == [both.outcomes[f"SCORE_{label}"].only for label in "ab"]  # type: ignore[union-attr]
    assert (1, {"F2_a"}) == (wrong.score, set(wrong.feedback))
    assert 2 == score(make, RESPONSE_a="C", TICK_b="none", BOX_b_1="6").score


@pytest.mark.parametrize("written", [item_xml, WRITER_2_1.item_xml, WRITER_2_2.item_xml])
@pytest.mark.parametrize(
    ("spelled", "earns"),
    [
        *((each, True) for each in ("5", " 5 ", "+5", "05", "5.", "5.0", "5.00", "+ 5.0", "5.000")),
        *((each, False) for each in ("5.5", "5.01", "50", "5.0.0", "5,0", "5e0", "10/2", "-5", "\u22125.0", ".5")),
    ],
)  # fmt: skip
def test_a_whole_number_counts_however_it_is_spelled(
    spelled: str, earns: bool, written: Callable[[Item], str]
) -> None:
    item = ScoredItem(written(samples.integer_entry_item()))

    assert (2 if earns else 0) == item.answer({"BOX_1": "\u22123.0", "BOX_2": spelled}).score


@pytest.mark.parametrize(
    ("spelled", "earns"), [("5,0", True), ("5.0", True), ("5,", True), ("5.000", False), ("5,000", False)]
)
def test_where_a_point_may_stand_before_thousands_three_noughts_are_no_integer(
    spelled: str, earns: bool
) -> None:
    assert earns == (re.fullmatch(number_pattern(5, ","), spelled) is not None)
