"""A sign table: a sign for every interval and zero, laid out clear, said in words."""

from __future__ import annotations

import pytest

from itembank.errors import DomainError
from itembank.figures import SignTable, drawing, in_words
from tests.drawings import faults, name
from tests.figure_samples import SIGN_TABLES, sign_table


@pytest.mark.parametrize("table", SIGN_TABLES, ids=["two zeros", "none"])
def test_nothing_overlaps_or_leaves_the_frame(table: SignTable) -> None:
    assert [] == faults(drawing(table))


def test_every_row_has_its_signs_in_order() -> None:
    labels = [name(label) for label in drawing(SIGN_TABLES[0]).labels]

    assert ["x", "-2", "5"] == labels[:3]
    assert ["x + 2", "−", "0", "+", "+", "+"] == labels[3:9]
    assert ["x - 5", "−", "−", "−", "0", "+"] == labels[9:15]
    assert ["(x + 2)*(x - 5)", "+", "0", "−", "0", "+"] == labels[15:]


def test_zeros_are_told_and_signs_are_not() -> None:
    assert {-2, 5} == {value for label in drawing(SIGN_TABLES[0]).labels for value in label.tells}


def test_the_words_say_every_sign() -> None:
    words = in_words(drawing(SIGN_TABLES[0]))

    assert (
        "x + 2 is negative below −2, zero at −2, positive between −2 and 5, positive at 5, positive above 5"
        in words
    )
    assert words.endswith(
        "(x + 2)(x − 5) is positive below −2, zero at −2, negative between −2 and 5, zero at 5, positive above 5."
    )
    assert "x² + 1 is positive everywhere" in in_words(drawing(SIGN_TABLES[1]))


def test_a_row_with_too_few_signs_is_refused() -> None:
    with pytest.raises(DomainError):
        sign_table(("x", (-1, 1)), zeros=(0,))
