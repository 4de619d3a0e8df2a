"""The tables of `tests/expressions`: every reading makes of each row what stands there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from itembank.errors import DomainError
from itembank.expressions import latex, mathml, plain, speech, spelling, tree
from itembank.expressions.display import Maths
from itembank.expressions.parser import ExpressionError, parse
from tests.expressions.oracles import have_same_meaning, meaning_of_reading, meaning_of_tree
from tests.expressions.readers import read_content, read_latex, read_presentation
from tests.expressions.showing import exact_values, show, spell_meaning, values_of
from tests.expressions.speech_reader import filled, read_speech

FOLDER = Path(__file__).parents[2] / "expressions"
REFUSALS = {"errors", "undefined"}
LETTERS = "abcdfpqrxyzDwstuvknmh"

Row = Mapping[str, Any]


@cache
def table(name: str) -> tuple[Row, ...]:
    """The rows of one table, every scalar as it is written."""
    text = (FOLDER / f"{name}.yaml").read_text("utf-8")
    return tuple(yaml.load(text, Loader=yaml.BaseLoader))


def names() -> list[str]:
    """The names of all tables."""
    return sorted(path.stem for path in FOLDER.glob("*.yaml"))


def rows() -> list[Row]:
    """Every row with readings."""
    return [row for name in names() if name not in REFUSALS for row in table(name)]


def label(row: Row) -> str:
    values = " ".join(f"{name}={value}" for name, value in row.get("values", {}).items())
    return f"{row['source'][:40]} {values}".strip()


def displayed(row: Row) -> Maths:
    return show(parse(row["source"]), values_of(row.get("values", {})))


def visible(text: str) -> str:
    return text.replace("\u2062", "&InvisibleTimes;").replace("\u2061", "&ApplyFunction;")


READINGS: dict[str, Callable[[Row], str]] = {
    "tree": lambda row: plain.plain(parse(row["source"])),
    "exact": lambda row: exact_meaning(row),
    "plain": lambda row: spelling.plain(displayed(row)),
    "terminal": lambda row: spelling.terminal(displayed(row)),
    "latex": lambda row: latex.latex(displayed(row)),
    "presentation": lambda row: visible(mathml.presentation(displayed(row))),
    "content": lambda row: visible(mathml.content(displayed(row))),
    "speech": lambda row: speech.speech(displayed(row)),
}


def exact_meaning(row: Row) -> str:
    try:
        return spell_meaning(parse(row["source"]), exact_values(values_of(row.get("values", {}))))
    except DomainError:
        return "undefined"


def test_there_are_tables_of_every_theme_with_enough_rows() -> None:
    themes = {
        "precedence", "products", "quotients", "powers", "roots", "display-words", "tidy", "relations", "plus-minus",
        "names", "decimals", "errors", "undefined",
    }  # fmt: skip

    assert themes == set(names())
    assert len(rows()) >= 260
    assert len(table("errors")) >= 110
    assert len(table("undefined")) >= 30


@pytest.mark.parametrize("row", rows(), ids=label)
def test_a_row_has_every_reading(row: Row) -> None:
    assert {"source", *READINGS} == row.keys() - {"values"}


@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("row", rows(), ids=label)
def test_each_reading_makes_of_an_expression_what_its_row_says(row: Row, reading: str) -> None:
    assert row[reading] == READINGS[reading](row)


@pytest.mark.parametrize("row", rows(), ids=label)
def test_the_spelt_tree_parses_back_to_the_same_tree(row: Row) -> None:
    assert parse(row["source"]) == parse(row["tree"])


@pytest.mark.parametrize("row", table("errors"), ids=label)
def test_a_refused_text_is_told_with_its_code_its_place_and_the_remedy(row: Row) -> None:
    with pytest.raises(ExpressionError) as refused:
        parse(row["source"])

    error = refused.value
    assert (row["error"], row["at"], row["remedy"]) == (
        error.code,
        [str(error.start), str(error.end)],
        error.hint,
    )
    assert error.message
    assert error.hint


@pytest.mark.parametrize("row", table("undefined"), ids=label)
def test_what_has_no_exact_value_says_why(row: Row) -> None:
    node, values = parse(row["source"]), values_of(row.get("values", {}))

    if row["says"]:
        with pytest.raises(DomainError, match=row["says"].replace("^", r"\^")):
            spell_meaning(node, exact_values(values), main_letter="")
    if row["shown"] == "yes":
        assert spelling.plain(show(node, values))
    else:
        with pytest.raises(DomainError, match=row["shown"].replace("^", r"\^")):
            show(node, values)


# the rows read back by readers that share no code with the package


def rows_about_values() -> list[Row]:
    """The rows without a discriminant, which is a function of letters, not of their values."""
    return [row for row in rows() if "discriminant" not in row["source"]]


@pytest.mark.parametrize("row", rows_about_values(), ids=label)
def test_all_notations_of_a_row_have_one_meaning(row: Row) -> None:
    letters = {name: value for name, (value, _) in values_of(row.get("values", {})).items()}
    node = parse(row["source"])
    free = [name for name in tree.names(node) if name not in letters]
    letters |= dict(zip(free, map(tree.Fraction, (3, 2, 7, 5)), strict=False))

    expected = [meaning_of_tree(node, letters, sign) for sign in (1, -1)]

    read = {
        "latex": read_latex(row["latex"]),
        "presentation": read_presentation(hidden(row["presentation"])),
        "content": read_content(row["content"]),
    }
    for notation, found in read.items():
        both = [meaning_of_reading(found, letters, sign) for sign in (1, -1)]
        assert same_readings(expected, both), notation


@pytest.mark.parametrize("row", rows(), ids=label)
def test_what_is_heard_of_a_row_is_read_back_to_what_is_displayed(row: Row) -> None:
    assert filled(displayed(row)) == read_speech(row["speech"])


def hidden(text: str) -> str:
    return text.replace("&InvisibleTimes;", "\u2062").replace("&ApplyFunction;", "\u2061")


def same_readings(first: list[Any], second: list[Any]) -> bool:
    """Whether upper and lower readings agree, in this order or the other: a pair has none."""
    straight = all(map(have_same_meaning, first, second))
    return straight or all(map(have_same_meaning, first, second[::-1]))
