"""The pictures of an item, in reading order: what each is named in a package, and its file's content.

Shared by every writer whose format takes pictures as files of their own beside an item's.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final, NamedTuple

from itembank.items import Item, Part, SolutionLine

if TYPE_CHECKING:
    from itembank.figures import Figure

__all__ = ["FOLDER", "LANGUAGE", "Picture", "file_of", "has_pictures", "lines_with_pictures", "pictures"]

FOLDER: Final = "figures"
"""Where the files stand, beside those of items."""

LANGUAGE: Final = "en"
"""The language of the descriptions."""


class Picture(NamedTuple):
    """One picture. part: its number from 0; line: of the part's solution, from 0, or -1 for the stem's."""

    address: str
    figure: Figure
    part: int
    line: int

    @property
    def description(self) -> str:
        """The picture in words."""
        from itembank.figures import drawing, in_words

        return in_words(drawing(self.figure).description)

    @property
    def size(self) -> tuple[int, int]:
        """(width, height) in pixels."""
        from itembank.figures.svg import pixels

        return pixels(self.figure)


def has_pictures(item: Item) -> bool:
    """Whether an item has any."""
    for part in item.parts:
        if part.figure is not None:
            return True
        for line in part.solution:
            if line.figure is not None:
                return True
    return False


def pictures(item: Item) -> tuple[Picture, ...]:
    """The pictures of an item; an address is that of the file, as seen from the item's own."""
    return tuple(
        Picture(f"{FOLDER}/{item.code}-{number}.svg", figure, part, line)
        for number, (part, line, figure) in enumerate(_found(item), 1)
    )


def _found(item: Item) -> Iterator[tuple[int, int, Figure]]:
    for number, part in enumerate(item.parts):
        if part.figure is not None:
            yield number, -1, part.figure
        for index, line in enumerate(part.solution):
            if line.figure is not None:
                yield number, index, line.figure


def lines_with_pictures(part: Part) -> tuple[SolutionLine, ...]:
    """The lines of a worked solution that have one."""
    return tuple(line for line in part.solution if line.figure is not None)


def file_of(figure: Figure) -> bytes:
    """A picture as a file of its own."""
    from itembank.figures.svg import svg

    return f'<?xml version="1.0" encoding="UTF-8"?>\n{svg(figure)}'.encode()
