"""The pictures of an item, in reading order: what each is named in a package, and its file's content.

Shared by every writer whose format takes pictures as files of their own beside an item's.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final, NamedTuple

from itembank.items import Item, Part, SolutionLine
from itembank.words import Words, base_language, words

if TYPE_CHECKING:
    from itembank.figures import Figure

__all__ = [
    "FOLDER", "STYLE_FILE", "STYLE_SHEET", "Picture", "file_of", "has_pictures", "lines_with_pictures", "pictures",
]  # fmt: skip

FOLDER: Final = "figures"
"""Where the files stand, beside those of items."""

STYLE_FILE: Final = f"{FOLDER}/figures.css"
STYLE_SHEET: Final = ".picture img { max-width: 100%; height: auto; }\n"
"""A picture is no wider than the screen it is seen on."""


class Picture(NamedTuple):
    """One picture. language: of its item. part: its number from 0; line: of the part's solution, from 0, or -1 for the
    stem's.
    """

    address: str
    figure: Figure
    language: str
    part: int
    line: int

    @property
    def description(self) -> str:
        """The picture in words."""
        from itembank.figures import drawing, in_words

        return in_words(drawing(self.figure, self.said))

    @property
    def said(self) -> Words:
        """The words of its description."""
        return words(self.language)

    @property
    def foreign(self) -> str:
        """The language of the description where it is not the item's, else ""."""
        from itembank.figures import language_of

        told = language_of(self.figure, self.said)
        return "" if base_language(told) == base_language(self.language) else told

    @property
    def size(self) -> tuple[int, int]:
        """(width, height) in pixels."""
        from itembank.figures.svg import pixels

        return pixels(self.figure, self.said)


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
        Picture(f"{FOLDER}/{item.code}-{number}.svg", figure, item.about.language, part, line)
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


def file_of(figure: Figure, said: Words) -> bytes:
    """A picture as a file of its own, described in these words."""
    from itembank.figures.svg import svg

    return f'<?xml version="1.0" encoding="UTF-8"?>\n{svg(figure, said)}'.encode()
