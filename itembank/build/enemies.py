"""Items of different templates that ask the same problem: found at the end of a build, from a few bytes of each."""

from __future__ import annotations

from array import array
from itertools import groupby

__all__ = ["Enemies"]


class Enemies:
    """Takes what tells apart the problems of each item, all of one length, and gives those that have the same."""

    def __init__(self, length: int) -> None:
        self._length = length
        self._marks = bytearray()
        self._entries = array("l")
        self._codes: list[str] = []

    def add(self, mark: bytes, entry: int, code: str) -> None:
        """One more item. mark: of its problems; entry: the number of its template."""
        assert len(mark) == self._length
        self._marks += mark
        self._entries.append(entry)
        self._codes.append(code)

    def groups(self) -> list[list[str]]:
        """The codes of items of several templates with the same mark, in the order in which a second one came."""
        alike = [
            list(group) for _, group in groupby(sorted(range(len(self._codes)), key=self._mark), self._mark)
        ]
        told = [group for group in alike if len({self._entries[item] for item in group}) > 1]
        return [[self._codes[item] for item in group] for group in sorted(told, key=lambda group: group[1])]

    def _mark(self, item: int) -> bytes:
        return bytes(self._marks[item * self._length : (item + 1) * self._length])
