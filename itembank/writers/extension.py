"""What a writer of an extension must supply: one document of all the items of a build."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

from itembank.errors import no_functions
from itembank.items import Item
from itembank.publication import Publication

__all__ = ["WriterExtension", "admit", "writer"]

_FOLDERS = ("pupils", "staff", "platform")
_SUFFIX = r"(\.[A-Za-z0-9]{1,10}){1,2}"


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

    def misshapen(self) -> str:
        """What is wrong with it that needs no trial, in words after its name; "" where nothing is."""
        if self.folder not in _FOLDERS:
            return f"is for the folder `{self.folder}`: a document is for one of {', '.join(_FOLDERS)}"
        if not re.fullmatch(_SUFFIX, self.suffix):
            return f"has the suffix `{self.suffix}`: it is a point and letters or digits, such as .csv"
        return no_functions(write=self.write, shortfalls=self.shortfalls)


_WRITERS: dict[str, WriterExtension] = {}


def admit(extension: WriterExtension) -> None:
    """The writer of an extension is known from now on."""
    _WRITERS[extension.name] = extension


def writer(name: str) -> WriterExtension:
    """The writer of a format that was admitted."""
    return _WRITERS[name]
