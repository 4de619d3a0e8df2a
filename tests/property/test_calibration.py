"""Calibration of any results: which items stand on one scale, and what changes no estimate."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from itembank.calibration.conditional import Estimates, NoEstimate, estimate, groups
from itembank.calibration.linked import linked

Results = list[dict[int, int]]


@st.composite
def results(draw: st.DrawFn) -> Results:
    """Scores of some pupils at up to five items of one or two marks, not everybody given everything."""
    maxima = draw(st.lists(st.integers(1, 2), min_size=2, max_size=5))
    pupils = []
    for _ in range(draw(st.integers(2, 14))):
        given_to = draw(st.sets(st.integers(0, len(maxima) - 1), min_size=2))
        pupils.append({item: draw(st.integers(0, maxima[item])) for item in sorted(given_to)})
    return pupils


def _is_split(items: tuple[int, ...], below: set[int], pupils: Results) -> bool:
    """Whether no pupil did worse than can be in one part and better than can be in the other (Fischer 1981)."""
    above = set(items) - below
    ends = {
        item: (min(s[item] for s in pupils if item in s), max(s[item] for s in pupils if item in s))
        for item in items
    }
    return not any(
        any(scores[i] > ends[i][0] for i in above if i in scores)
        and any(scores[i] < ends[i][1] for i in below if i in scores)
        for scores in pupils
    )


@given(results())
@settings(max_examples=150, deadline=None)
def test_items_stand_on_one_scale_just_when_no_part_splits_off(pupils: Results) -> None:
    items = tuple(sorted({item for scores in pupils for item in scores}))
    parts = [set(part) for size in range(1, len(items)) for part in combinations(items, size)]
    is_whole = not any(_is_split(items, part, pupils) for part in parts)

    assert (linked(pupils) == [items]) == is_whole


def _of_the_largest(pupils: Results) -> list[Mapping[int, int]]:
    """The results on the largest scale, or none: a scale that falls apart with those who have one item of it."""
    sets = linked(pupils)
    assume(sets)
    kept = [{i: s for i, s in scores.items() if i in sets[0]} for scores in pupils]
    kept = [scores for scores in kept if len(scores) > 1]
    assume(linked(kept)[:1] == sets[:1])
    try:
        estimate(groups(kept))
    except NoEstimate:  # of scores of several marks totals alone may tell everything
        assume(False)
    return list(kept)


def _figures(found: Estimates) -> list[float]:
    """Difficulties, then errors, item by item."""
    items = sorted(found.weights)
    return [float(of[item]) for of in (found.difficulties, found.errors) for item in items]


@given(results(), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_order_and_pupils_who_tell_nothing_change_no_estimate(pupils: Results, shuffled: Random) -> None:
    kept = _of_the_largest(pupils)
    found = estimate(groups(kept))
    others = list(kept)
    shuffled.shuffle(others)
    items = sorted(found.weights)
    most = {item: max(found.weights[item]) for item in items}

    again = estimate(groups([*others, most, most]))
    # the last digits they are worked out with may differ
    assert _figures(again) == pytest.approx(_figures(found), abs=1e-9)
    assert abs(sum(found.difficulties.values())) < 1e-25
    assert all(error > 0 for error in found.errors.values())


@given(results())
@settings(max_examples=40, deadline=None)
def test_twice_the_pupils_tell_the_same_more_surely(pupils: Results) -> None:
    kept = _of_the_largest(pupils)
    once, twice = estimate(groups(kept)), estimate(groups(kept * 2))

    for item in once.difficulties:
        assert float(twice.difficulties[item]) == pytest.approx(float(once.difficulties[item]), abs=1e-12)
        assert float(once.errors[item] ** 2) == pytest.approx(2 * float(twice.errors[item] ** 2), rel=1e-9)


@pytest.mark.parametrize(
    "pupils",
    [
        [{0: 1, 1: 0}, {0: 1, 1: 0}],
        [{0: 1, 1: 0, 2: 0}, {0: 0, 1: 0, 2: 1}, {0: 1, 1: 1, 2: 1}, {0: 1, 1: 0, 2: 1}, {0: 0, 1: 0, 2: 0}],
        [{0: 2, 1: 0}, {0: 0, 1: 1}],
    ],
    ids=["everyone did the same", "none did well on 1 alone", "the total tells both scores"],
)
def test_where_results_decide_nothing_there_is_no_estimate(pupils: Results) -> None:
    with pytest.raises(NoEstimate):
        estimate(groups(pupils))
