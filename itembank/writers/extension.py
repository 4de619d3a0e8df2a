"""What a writer of an extension must supply: one document of all the items of a build."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

from itembank.items import Item
from itembank.publication import Publication

__all__ = ["WriterExtension", "admit", "writer"]


@dataclass(frozen=True, slots=True)
class WriterExtension:
    """A format of an extension, named in `formats` as the house's own are.

    folder: whom the document is for; what holds keys belongs to `staff`. suffix: of the file, as `.csv`.
    write: items in the order of the build, and what the bank says of itself -> the document, text or bytes.
    shortfalls: what the format cannot carry of an item, a line each in plain words.
    """

    name: str
    folder: Literal["pupils", "staff", "platform"]
    suffix: str
    write: Callable[[Iterable[Item], Publication], str | bytes]
    shortfalls: Callable[[Item], Iterable[str]] = lambda item: ()


_WRITERS: dict[str, WriterExtension] = {}


def admit(extension: WriterExtension) -> None:
    """The writer of an extension is known from now on."""
    _WRITERS[extension.name] = extension


def writer(name: str) -> WriterExtension:
    """The writer of a format that was admitted."""
    return _WRITERS[name]
