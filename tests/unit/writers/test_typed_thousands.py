"""Large numbers count with thousands set apart: by blanks and apostrophes in every language, by commas where these mark
no decimals.

Sources: the SI brochure, 5.4.4 (thin spaces between groups of three); common practice in English for the comma, in
Switzerland for the apostrophe (Unicode CLDR, number symbols of de-CH; from memory).
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.expressions.display import Decimal
from itembank.writers.qti3.spellings import number_pattern

BLANKS = (" ", "\u00a0", "\u2009", "\u202f", "'", "’")


def counts(value: int | Decimal, typed: str, mark: str = ".") -> bool:
    return re.fullmatch(number_pattern(value, mark), typed) is not None


@given(st.integers(-(10**12), 10**12), st.sampled_from(BLANKS), st.sampled_from([".", ","]))
def test_groups_of_three_count_in_whole_numbers(value: int, blank: str, mark: str) -> None:
    grouped = f"{value:,}"
    assert counts(value, str(value), mark)
    assert counts(value, grouped.replace(",", blank), mark)
    assert counts(value, grouped, mark) == (mark == "." or "," not in grouped)


@pytest.mark.parametrize(
    "typed", ["92,50", "9,2500", "9.250", ",9250", "9,,250", "9, 250", "9250,", "9,251", "9 2 50", "925 0"]
)
def test_anything_else_does_not(typed: str) -> None:
    assert not counts(9250, typed)


def test_decimals_have_groups_before_their_mark_only() -> None:
    value = Decimal(Fraction(123405678, 10_000), 4)
    assert counts(value, "12,340.5678")
    assert counts(value, "12 340.5678")
    assert not counts(value, "12,340.567,8")
    assert counts(value, "12 340,5678", ",")
    assert not counts(value, "12,340,5678", ",")


def test_short_numbers_are_matched_as_they_were() -> None:
    assert number_pattern(250) == r"\s*\+?\s*0*250([.]0*)?\s*"
