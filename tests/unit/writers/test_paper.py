"""The decisions both printed formats share."""

from __future__ import annotations

from dataclasses import replace

import pytest

from itembank.content import Content, Emphasis, LineBreak, Text, of_text
from itembank.errors import DomainError
from itembank.expressions.latex import latex
from itembank.expressions.spelling import plain
from itembank.items import EntryResponse, Part, Slip, SolutionLine
from itembank.writers.paper import (
    CALCULATOR_RULES,
    PaperFacts,
    columns_to_try,
    is_tall,
    key_answer,
    key_place,
    key_rows,
    one_line,
    sides,
    slip_letters,
    slips_in_order,
    total_marks,
    unit,
    worked_rows,
    working_millimetres,
)
from tests import kinds_bank, samples
from tests.paper_items import content, paragraph, parts_item


def _only_part(item: object) -> Part:
    return item.parts[0]  # type: ignore[attr-defined,no-any-return]


def test_an_unknown_calculator_rule_is_refused() -> None:
    with pytest.raises(DomainError, match="sometimes"):
        PaperFacts("Surds", calculator="sometimes")


@pytest.mark.parametrize("rule", sorted(set(CALCULATOR_RULES) - {""}))
def test_every_calculator_rule_is_a_sentence_about_the_calculator(rule: str) -> None:
    assert "calculator" in PaperFacts("Surds", calculator=rule).calculator_rule


@pytest.mark.parametrize(
    ("tag", "translated"),
    [
        ("en", True),
        ("en-GB", True),
        ("EN", True),
        ("eng", False),
        ("fr", False),
        ("de-AT", True),
        ("es-MX", True),
    ],
)
def test_a_paper_is_in_the_language_of_a_translation_file_or_not(tag: str, translated: bool) -> None:
    assert translated == PaperFacts("Surds", language=tag).in_own_words


@pytest.mark.parametrize(
    ("options", "tried"),
    [
        (1, (1,)),
        (2, (2, 1)),
        (3, (3, 1)),
        (4, (4, 2, 1)),
        (5, (5, 3, 1)),
        (6, (6, 3, 2, 1)),
        (8, (8, 4, 3, 2, 1)),
    ],
)
def test_no_option_stands_alone_in_a_row(options: int, tried: tuple[int, ...]) -> None:
    assert tried == columns_to_try(options)


def test_the_total_is_the_sum_of_all_marks() -> None:
    assert 1 + 3 + 2 + 1 + 2 + 1 + 2 == total_marks([make() for make in samples.ALL])


def test_working_space_grows_with_the_marks_and_ends_at_a_page() -> None:
    part = _only_part(samples.surd_entry_item())
    heights = [
        working_millimetres(replace(part, response=replace(part.response, marks=marks)))
        for marks in (1, 2, 3, 99)
    ]

    assert [15, 30, 45, 200] == heights


@pytest.mark.parametrize(
    ("text", "left", "right"),
    [
        ("x = 4 ± sqrt(13)", "x", r" = 4 \pm \sqrt{13}"),
        ("x^2 - 8*x = -3", "x^{2} - 8x", " = -3"),
        ("1 < x <= 5", "1", r" < x \le 5"),
        ("x = -3 or x = 5", "x", r" = -3\ \text{or}\ x = 5"),
    ],
)
def test_a_statement_parts_before_its_first_relation_sign(text: str, left: str, right: str) -> None:
    first, rest = sides(samples.maths(text))

    assert rest is not None
    assert (left, right) == (latex(first), latex(rest))
    assert latex(samples.maths(text)) == latex(first) + latex(rest)


@pytest.mark.parametrize("text", ["sqrt(72)", "none"])
def test_what_has_no_relation_sign_stays_whole(text: str) -> None:
    whole = samples.maths(text)

    assert (whole, None) == sides(whole)


def test_lines_that_rewrite_an_expression_become_one_chain() -> None:
    rows = [
        (plain(row.left) if row.left else "", plain(row.right) if row.right else "")
        for row in worked_rows(_only_part(samples.rewrite_item()))
    ]

    assert [("sqrt(72)", " = sqrt(36)*sqrt(2)"), ("", " = 6*sqrt(2)")] == rows


def test_a_rewritten_expression_is_not_said_to_equal_itself() -> None:
    part = _only_part(samples.rewrite_item())
    line = SolutionLine("main", None, samples.maths("sqrt(72)"))
    first, *_ = worked_rows(replace(part, solution=(line, *part.solution[1:])))

    assert first.left is not None
    assert ("sqrt(72)", None) == (plain(first.left), first.right)


def test_side_working_stays_out_of_the_column_of_lines() -> None:
    main, aside, last = worked_rows(_only_part(samples.surd_entry_item()))

    assert (None, None) == (aside.left, aside.right)
    assert aside.aside is not None
    assert None is main.aside is last.aside


def test_the_key_has_a_row_for_every_part_and_the_code_once() -> None:
    rows = list(key_rows([samples.choice_item(), parts_item()]))

    assert ["1", "2(a)", "2(b)", "2(c)"] == [row.question for row in rows]
    assert ["K7Q2M", "P3R7T", "", ""] == [row.code for row in rows]
    assert ["B", "D", "", "D"] == [row.option for row in rows]


def test_slips_that_lead_to_an_option_come_first_in_the_order_of_the_options() -> None:
    part = _only_part(samples.choice_item())
    unreached = Slip("another", samples.maths("x = 1"), None, None)
    part = replace(part, slips=(unreached, *part.slips))

    ordered = slips_in_order(part)
    assert ["A", "C", "D", ""] == [slip_letters(part, slip) for slip in ordered]
    assert "another" == ordered[-1].name


def test_a_forced_new_line_however_deep_makes_more_than_one_line() -> None:
    broken = paragraph(Emphasis((Text("a"), Emphasis((LineBreak(),)))))

    assert one_line(of_text("a"))
    assert not one_line(content(broken))
    assert not one_line(content(paragraph(Text("a")), paragraph(Text("b"))))


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("order-of-surds", "order"),
        ("order-of-steps", "order"),
        ("equations-and-solutions", "pairs"),
        ("what-is-true", "options"),
    ],
)
def test_orders_matches_and_true_statements_are_answered_by_letters_alone(name: str, place: str) -> None:
    (part,) = kinds_bank.items(name)[0].parts

    said = key_answer(part)

    assert isinstance(said, Content)
    assert (paragraph(Text("")),) == said.shape.blocks
    assert place == key_place(part)[0]
    assert key_place(part)[1]


@pytest.mark.parametrize(
    ("units", "told"),
    [
        ((("", False), ("", False)), ""),
        ((("cm", False), ("cm", False)), "(cm)"),
        ((("£", True), ("£", True)), "(£)"),
        ((("s", False), ("£", True)), "(p: s; q: £)"),
        ((("s", False), ("", False)), "(p: s)"),
    ],
)
def test_the_key_tells_the_units_of_several_boxes(units: tuple[tuple[str, bool], ...], told: str) -> None:
    part = _only_part(samples.identity_item())
    assert isinstance(part.response, EntryResponse)
    blanks = tuple(
        replace(blank, unit=unit, unit_first=first)
        for blank, (unit, first) in zip(part.response.blanks, units, strict=True)
    )

    assert told == unit(replace(part, response=replace(part.response, blanks=blanks)))


@pytest.mark.parametrize(
    ("text", "expected"),
    [("1/2", False), ("-3/4 + x", False), ("6/x", True), ("a/2", True), ("(x + 1)/2", True)],
)
def test_a_fraction_with_a_letter_is_too_tall_for_the_size_of_a_line(text: str, expected: bool) -> None:
    assert expected == is_tall(samples.maths(text).shape)
