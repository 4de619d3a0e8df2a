"""The information of items, against what is known of the models, worked out in another way."""

from __future__ import annotations

from math import exp

import pytest

from itembank.assembly.information import information


def expected_marks(ability: float, difficulty: float, steps: tuple[float, ...]) -> float:
    """By the partial credit model, from the chances of each mark given the one below it."""
    chances = [1.0]
    for step in steps:
        chances.append(chances[-1] * exp(ability - difficulty - step))
    return sum(marks * chance for marks, chance in enumerate(chances)) / sum(chances)


@pytest.mark.parametrize("ability", [-2000, 0, 700])
@pytest.mark.parametrize("steps", [(-500, 500), (0, 0, 0, 0), (-1200, 100, 1100), (900, -900), (0,), ()])
def test_information_is_how_fast_the_expected_marks_rise(ability: int, steps: tuple[int, ...]) -> None:
    """Lord 1980, chapter 5 (from memory): of models whose score is sufficient it is the slope of the true score."""
    told = tuple(step / 1000 for step in steps) or (0.0,)
    near = 1e-4
    above, below = (expected_marks(ability / 1000 + by, 0.3, told) for by in (near, -near))

    assert (above - below) / (2 * near) == pytest.approx(information(300, ability, steps) / 10**6, abs=2e-6)


@pytest.mark.parametrize(("marks", "variance"), [(2, 666_667), (3, 1_250_000), (4, 2_000_000)])
def test_equal_steps_make_all_marks_equally_likely_at_the_difficulty(marks: int, variance: int) -> None:
    """The variance of 0 to m, equally likely, is m (m + 2) / 12."""
    assert variance == information(-400, -400, (0,) * marks)
