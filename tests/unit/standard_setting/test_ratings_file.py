"""Ratings as they come back: three layouts, numbers as people write them, and everything that may be wrong."""

from __future__ import annotations

from fractions import Fraction

import pytest

from itembank.analysis.keys import Keys, Question
from itembank.analysis.orders import Orders
from itembank.analysis.tables import read_table
from itembank.errors import InputError, Level
from itembank.standard_setting.angoff import Panel
from itembank.standard_setting.form import as_form, paper_order
from itembank.standard_setting.ratings_file import ITEMS, JUDGES, Scale, read_ratings

MAXIMA = (1, 2, 4)
KEYS = Keys(
    "Evening algebra",
    tuple(
        Question(f"ITEM{n}", "", "surds", "Surds", most, "entry", printed=str(n))
        for n, most in enumerate(MAXIMA, 1)
    ),
)
GOOD = "item,marks,Ada,Bo\nITEM1,1,0.5,0.6\nITEM2,2,1,1.5\nITEM3,4,2,3\n"


def read(*texts: str, scale: Scale = Scale.MARKS) -> tuple[Panel, list[tuple[str, int, int]]]:
    """The panel, and code, line and column of what is doubtful."""
    tables = [read_table(f"{n}.csv", text.encode(), ITEMS | JUDGES) for n, text in enumerate(texts)]
    panel, doubts = read_ratings(tables, KEYS, KEYS.questions, scale)
    assert all(each.level is Level.DOUBTFUL and each.hint for each in doubts)
    return panel, [(each.code, each.span.line, each.span.column) for each in doubts if each.span]


def rows(*told: str) -> tuple[tuple[Fraction | None, ...], ...]:
    return tuple(tuple(None if cell == "-" else Fraction(cell) for cell in row.split()) for row in told)


EXPECTED = Panel(KEYS.questions, ("Ada", "Bo"), (rows("0.5 1 2", "0.6 1.5 3"),))


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        GOOD.replace(",", ";").replace("0.", "0,").replace("1.5", "1½"),
        GOOD.replace("0.5", " .5 ")
        .replace("0.6", "3/5")
        .replace("ITEM3,4,2", "ITEM3,4,50 %")
        .replace("1.5", "75%"),
        GOOD.replace("ITEM1", "1").replace("ITEM3", "Q3").replace("item", "on paper"),
        "Algebra of Saltmarsh College\n" + GOOD.replace("\n", ",,\n", 1) + "mean,,0.5,\nTotal,7,,\n",
        GOOD.replace("Bo\n", "Bo,mean,Cy\n", 1),
        "judge,ITEM1,ITEM2,ITEM3,total\nmaximum,1,2,4,7\nAda,0.5,1,2,3.5\nBo,0.6,1.5,3,\nmean,,,,\n",
        "judge,item,rating\nAda,ITEM1,0.5\nBo,ITEM1,0.6\nAda,ITEM2,1\nBo,ITEM2,1.5\nAda,ITEM3,2\nBo,ITEM3,3\n",
    ],
    ids=[
        "form",
        "semicolons",
        "shares",
        "numbers",
        "titles and sums",
        "columns to spare",
        "judges",
        "ratings",
    ],
)
def test_every_layout_says_the_same(text: str) -> None:
    assert (EXPECTED, []) == read(text)


def test_judges_may_send_a_file_each() -> None:
    ada, bo = (
        "\n".join(",".join((*line.split(",")[:2], line.split(",")[at])) for line in GOOD.splitlines())
        for at in (2, 3)
    )

    assert (EXPECTED, []) == read(ada, bo)


@pytest.mark.parametrize(
    "head", ["Ada, round 2", "Ada (round 2)", "Ada round 2", "ADA - Round 2"], ids=lambda head: head
)
def test_a_column_says_its_round(head: str) -> None:
    panel, doubts = read(f'item,Ada,"{head}"\nITEM1,0.5,\nITEM2,1,1.5\nITEM3,2,-\n')

    assert [] == doubts
    assert (("Ada",), (rows("0.5 1 2"), rows("- 1.5 -"))) == (panel.judges, panel.rounds)


@pytest.mark.parametrize(
    "text",
    [
        "judge,round,ITEM1,ITEM2,ITEM3\nAda,1,0.5,1,2\nAda,round 2,,1.5,\n",
        "judge,round,item,rating\nAda,,ITEM1,0.5\nAda,1,ITEM2,1\nAda,1,ITEM3,2\nAda,2,ITEM2,1.5\n",
    ],
)
def test_a_line_says_its_round(text: str) -> None:
    panel, _ = read(text)

    assert (rows("0.5 1 2"), rows("- 1.5 -")) == panel.rounds


@pytest.mark.parametrize(("scale", "unit"), [(Scale.SHARE, 1), (Scale.PERCENT, 100)])
def test_a_plain_number_is_on_the_scale_that_is_asked_for(scale: Scale, unit: int) -> None:
    lines = [
        f"ITEM{n},{Fraction('0.5') * unit},{25 * unit // 100 if unit > 1 else '0.25'}" for n in (1, 2, 3)
    ]
    panel, doubts = read("\n".join(["item,Ada,Bo", *lines]).replace("1/2", "0.5"), scale=scale)

    assert [] == doubts
    assert (rows("0.5 1 2", "0.25 0.5 1"),) == panel.rounds


def test_the_form_that_is_written_is_read_when_it_is_filled_in() -> None:
    form = as_form(KEYS.questions, 2, 2)
    head, *lines = form.splitlines()
    filled = [line.removesuffix(",,,,") + ",0.5,,1," for line in lines]
    panel, _ = read("\n".join([head, *filled]))

    assert 'item,on paper,title,marks,judge 1,"judge 1, round 2",judge 2,"judge 2, round 2"' == head
    assert "ITEM2,2,Surds,2,,,," == lines[1]
    assert (("judge 1", "judge 2"), (rows("0.5 0.5 0.5", "1 1 1"),)) == (panel.judges, panel.rounds)


def test_a_blank_form_holds_no_rating() -> None:
    assert [("no-ratings", 1, 1)] == faults(as_form(KEYS.questions, 3, 1))


def test_the_form_has_the_order_of_the_paper() -> None:
    of_b = Orders({"B": (0, 1, 2), "A": (2, 0)})

    assert ["ITEM3", "ITEM1", "ITEM2"] == [each.column for each in paper_order(KEYS, of_b)]
    assert KEYS.questions == paper_order(KEYS, Orders())


@pytest.mark.parametrize(
    ("text", "doubts"),
    [
        (GOOD.replace("Bo", "Bo,comment").replace("0.6", "0.6,hard"), [("no-judge", 1, 19)]),
        (GOOD.replace("0.6", ""), [("rating-missing", 1, 1)]),
    ],
)
def test_what_is_doubtful_is_told_at_its_place(text: str, doubts: list[tuple[str, int, int]]) -> None:
    assert doubts == read(text)[1]


def test_shares_that_are_taken_for_marks_are_told() -> None:
    keys = Keys("", tuple(Question(f"ITEM{n}", "", "t", "T", 3, "entry") for n in range(3)))

    def told(cells: str, scale: Scale = Scale.MARKS) -> list[str]:
        text = "item,Ada\n" + "".join(f"ITEM{n},{cell}\n" for n, cell in enumerate(cells.split()))
        _, doubts = read_ratings([read_table("f", text.encode(), ITEMS)], keys, keys.questions, scale)
        return [each.code for each in doubts]

    assert ["may-be-shares"] == told("0.5 0.6 1")
    assert [] == told("0.5 0.6 1.1")
    assert [] == told("0 0 0")
    assert [] == told("20% 30% 10%")
    assert [] == told("0.5 0.6 1", Scale.SHARE)
    assert ["may-be-shares"] == told("0.5 0 1", Scale.PERCENT)
    assert [] == told("0.5 0 2", Scale.PERCENT)
    assert [] == told("0 0 0", Scale.PERCENT)


def faults(*texts: str, scale: Scale = Scale.MARKS) -> list[tuple[str, int, int]]:
    with pytest.raises(InputError) as failed:
        read(*texts, scale=scale)
    assert all(each.hint for each in failed.value.diagnostics)
    return [(each.code, each.span.line, each.span.column) for each in failed.value.diagnostics if each.span]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (GOOD.replace("item", "what"), [("no-item-column", 1, 1)]),
        ("judge,item,said\nAda,ITEM1,1\n", [("no-item-column", 1, 1)]),
        (GOOD.replace("ITEM2", "ITEM9"), [("unknown-item", 3, 1)]),
        ("judge,ITEM1,ITEM2,ITEM7\nAda,1,1,1\n", [("unknown-item", 1, 19)]),
        ("judge,ITEM1,ITEM1,ITEM3\nAda,1,1,1\n", [("same-column-twice", 1, 13)]),
        (GOOD + "ITEM2,2,1,1\n", [("rated-twice", 5, 1)]),
        (GOOD.replace("Bo", "ada"), [("rated-twice", 2, 13), ("rated-twice", 3, 11), ("rated-twice", 4, 11)]),
        ("judge,item,rating\nAda,ITEM1,1\nAda,ITEM1,1\n", [("rated-twice", 3, 11)]),
        (GOOD.replace("ITEM2,2", "ITEM2,3"), [("wrong-maximum", 3, 7)]),
        ("judge,ITEM1,ITEM2,ITEM3\nmaximum,1,1,4\nAda,1,1,1\n", [("wrong-maximum", 2, 11)]),
        (GOOD.replace("0.6", "most"), [("not-a-rating", 2, 13)]),
        (GOOD.replace("0.6", "-0.6"), [("not-a-rating", 2, 13)]),
        (GOOD.replace("1.5", "01-May"), [("not-a-rating", 3, 11)]),
        (GOOD.replace("1.5", "2.5"), [("more-than-maximum", 3, 11)]),
        (GOOD.replace("1.5", "101 %"), [("more-than-maximum", 3, 11)]),
        ("judge,round,ITEM1,ITEM2,ITEM3\nAda,last,1,1,1\n", [("not-a-round", 2, 5)]),
        ("judge,item,rating\n,ITEM1,1\n", [("no-judge", 2, 1)]),
        ("item,Ada\nITEM1,\nITEM2,-\nITEM3,\n", [("no-ratings", 1, 1)]),
        (GOOD.replace("ITEM3,4,2,3\n", ""), [("item-not-rated", 1, 1)]),
    ],
)
def test_what_is_wrong_is_told_at_its_place(text: str, told: list[tuple[str, int, int]]) -> None:
    assert told == faults(text)


def test_a_share_is_at_most_the_whole() -> None:
    assert [("more-than-maximum", 3, 11)] == faults(
        GOOD.replace("ITEM3,4,2,3", "ITEM3,4,1,1"), scale=Scale.SHARE
    )


def test_of_many_faults_of_one_kind_some_are_told() -> None:
    twice = "judge,ITEM1,ITEM2,ITEM3\n" + 5 * "Ada,1,1,1\n"

    with pytest.raises(InputError) as failed:
        read(twice)
    *first, last = failed.value.diagnostics
    assert 5 == len(first)
    assert "and so in 7 more places of this file, from here on" == last.message
