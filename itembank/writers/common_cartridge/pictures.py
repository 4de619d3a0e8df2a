"""The pictures of an item in a cartridge: files of their own beside the documents, pointed to from the base.

`$IMS-CC-FILEBASE$` stands for the folder of the document, wherever a platform puts it (Common Cartridge 1.3, from
memory). Assessments and banks lie in folders of their own, so that one address is right in both.
"""

from __future__ import annotations

import re
from typing import Final

from itembank.items import Item
from itembank.writers import pictures
from itembank.writers.common_cartridge.markup import html

__all__ = ["BASE", "addresses", "image", "images"]

BASE: Final = "$IMS-CC-FILEBASE$../"
_ADDRESS: Final = re.compile(rf'src="{re.escape(BASE)}([^"]+)"')


def images(item: Item) -> dict[tuple[int, int], str]:
    """The pictures of an item as HTML, by part and line as in `pictures.Picture`."""
    if not pictures.has_pictures(item):
        return {}
    return {(each.part, each.line): image(each) for each in pictures.pictures(item)}


def image(picture: pictures.Picture) -> str:
    """A picture in a paragraph of its own, with its description in its place."""
    width, height = picture.size
    tongue = {"lang": picture.foreign} if picture.foreign else {}
    shown = html(
        "img",
        src=BASE + picture.address,
        alt=picture.description,
        width=str(width),
        height=str(height),
        style="max-width:100%;height:auto",
        **tongue,
    )
    return html("p", shown, class_="picture")


def addresses(question: str) -> tuple[str, ...]:
    """The files a finished question points to, as they lie in the cartridge, each once in order."""
    return tuple(dict.fromkeys(_ADDRESS.findall(question)))
