"""Lines of working that name only some of the unknowns, and what lines of one look share."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from itembank.expressions.display import Maths, Shape
from itembank.expressions.spelling import plain
from itembank.items import Part, Problem, SolutionLine
from itembank.proof import identity
from itembank.proof.answers import problem_identity
from itembank.proof.solution import prove_lines
from itembank.proof.solver import CannotDecide
from itembank.proof.steps import _frames, is_step, read_line
from itembank.verdicts import Proved
from tests.samples import choice_item, maths
from tests.template_items import items


def _part(problem: str, key: str, *lines: str, unknowns: tuple[str, ...] = ("x", "y")) -> Part:
    shown = tuple(SolutionLine("main", None, maths(line)) for line in lines)
    asked = Problem("solve", maths(problem), unknowns)
    return replace(choice_item().parts[0], problem=asked, key=maths(key), solution=shown)


def _follow(part: Part) -> list[bool]:
    return [isinstance(finding.verdict, Proved) for finding in prove_lines(part, problem_identity(part))]


def test_before_no_solution_a_line_in_one_unknown_has_none_either() -> None:
    """Of no points there are no coordinates: a line follows just where it has no solution itself."""
    part = _part(
        "y = x + 1 and y = x^2 + 4", "none", "x^2 - x + 3 = 0", "x^2 - x - 6 = 0", "x = 1", "y = y + 1"
    )
    assert identity.EMPTY == problem_identity(part)

    assert [True, False, False, True] == _follow(part)


def test_a_line_in_one_unknown_has_just_the_coordinates_of_the_points() -> None:
    part = _part("y = x + 1 and y = x^2 - 1", "x = 2 and y = 3 or x = -1 and y = 0",
                 "x^2 - x - 2 = 0", "x = 2", "x = 2 or x = -1 or x = 5", "y^2 - 3*y = 0", "x = 0 or x = 3")  # fmt: skip

    assert [True, False, False, True, False] == _follow(part)


def _lines(count: int) -> dict[Shape, list[Maths]]:
    """First lines of the working of items of one template, by their looks."""
    found: dict[Shape, list[Maths]] = {}
    for item in items("order-lines", count):
        first = item.parts[0].solution[0].maths
        assert first is not None
        found.setdefault(first.shape, []).append(first)
    return found


def test_lines_of_one_look_share_a_frame_and_keep_their_own_numbers() -> None:
    looks = _lines(12)
    shown = max(looks.values(), key=len)
    assert len(shown) >= 3
    _frames.cache_clear()

    read = [read_line(line) for line in shown]

    assert (len(shown) - 1, 1) == (_frames.cache_info().hits, _frames.cache_info().misses)
    assert [plain(line) for line in shown] == [line[0].text for line in read]
    different = {line[0].text for line in read}
    assert len(different) == len({(line[0].left, line[0].rights) for line in read}) > 1
    assert not any(is_step(one, other) for one, other in pairwise(read) if one[0].left != other[0].left)


def test_another_look_has_a_frame_of_its_own() -> None:
    _frames.cache_clear()

    lines = [
        read_line(maths(text)) for text in ("x = 3", "x = -3", "x = 3 or x = 4", "x = ± sqrt(3)", "x = 3")
    ]

    assert 4 <= _frames.cache_info().misses
    assert [1, 1, 2, 1, 1] == [len(line) for line in lines]
    assert [1, 1, 1, 2, 1] == [len(line[0].rights) for line in lines]
    facts = [(line[0].left, line[0].rights, line[0].terms, line[0].text) for line in lines]
    assert facts[0] == facts[4]
    assert facts[0] != facts[1]


def test_what_has_no_order_of_steps_is_refused_each_time() -> None:
    for _ in range(2):
        with pytest.raises(CannotDecide, match="only equations have an order of steps"):
            read_line(maths("x < 3"))
