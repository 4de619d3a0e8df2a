"""A crew of processes does every part of the work once and tells what comes of it in order."""

from __future__ import annotations

import os

import pytest

from itembank.audit.crew import Crew

_begun: list[str] = []


def begin(*words: str) -> None:
    """What each process does first."""
    _begun.extend(words)


def squared(number: int) -> int:
    """Some work."""
    return number * number


def told(_: int) -> tuple[list[str], int]:
    """What a process was begun with, and which it is."""
    return _begun, os.getpid()


def refused(number: int) -> int:
    """Work that one part is too much for."""
    if number == 3:
        raise ValueError("not this one")
    return number


@pytest.mark.parametrize("parts", [0, 1, 2, 3, 7, 50])
def test_what_comes_of_the_parts_stands_in_their_order(parts: int) -> None:
    with Crew(3, begin) as crew:
        assert [number * number for number in range(parts)] == list(crew.done(squared, range(parts)))


def test_each_process_is_another_one_and_was_begun_once() -> None:
    with Crew(2, begin, "one", "two") as crew:
        found = list(crew.done(told, range(40)))

    assert all(words == ["one", "two"] for words, _ in found)
    assert os.getpid() not in {process for _, process in found}
    assert len({process for _, process in found}) <= 2


def test_what_the_work_raises_is_raised() -> None:
    with Crew(2, begin) as crew, pytest.raises(ValueError, match="not this one"):
        list(crew.done(refused, range(10)))


def test_a_crew_without_work_is_dismissed() -> None:
    with Crew(2, begin):
        pass
