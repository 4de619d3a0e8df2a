"""The audit's second road: high powers of a single letter are compared, high powers of sums are left alone."""

from __future__ import annotations

import pytest

from itembank.audit.findings import CannotTell
from itembank.audit.latex_reader import read_latex
from itembank.audit.symbolic import same_value


def test_high_powers_of_a_letter_are_compared() -> None:
    assert same_value(read_latex(r"x^{7} x^{8}"), read_latex(r"x^{15}"))
    assert not same_value(read_latex(r"2x^{11}"), read_latex(r"x^{30}"))


@pytest.mark.parametrize("large", [r"(x+1)^{12}", r"x^{100}"])
def test_what_may_be_too_large_is_not(large: str) -> None:
    with pytest.raises(CannotTell, match="too large"):
        same_value(read_latex(large), read_latex("x"))
