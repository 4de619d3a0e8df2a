"""The pictures of an item: each file is there, harmless, and says in words what the item says in its place.

Only what draws may stand in a picture: no script, no reference, no style, no event. Source of the names: W3C, Scalable
Vector Graphics (SVG) 1.1, second edition, and SVG 2 for `data-` attributes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import PurePosixPath
from typing import Final
from urllib.parse import unquote

from lxml import etree

from itembank.audit.extensions import extension_faults
from itembank.audit.findings import Fault
from itembank.audit.picture_numbers import number_faults
from itembank.audit.tongues import ENGLISH, LANGUAGE, Tongue, tongue
from itembank.audit.xml_reading import local_name, namespace, parse

__all__ = ["check_pictures", "language_of", "picture_faults"]

SVG: Final = "http://www.w3.org/2000/svg"
_ALLOWED: Final = {
    "svg": {
        "viewBox", "width", "height", "role", "aria-label", "data-kind", "data-numbers", "data-stage", "data-window",
        "data-extension",
    },
    "desc": set[str](),
    "g": {"fill", "stroke", "stroke-linecap", "stroke-linejoin", "font-family"},
    "rect": {"x", "y", "width", "height", "fill", "stroke", "stroke-width", "stroke-dasharray"},
    "path": {"d", "fill", "stroke", "stroke-width", "stroke-dasharray"},
    "circle": {"cx", "cy", "r", "fill", "stroke-width"},
    "text": {
        "x", "y", "font-size", "font-style", "text-anchor", "textLength", "lengthAdjust", "fill", "stroke",
    },
}  # fmt: skip
_LENGTH: Final = re.compile(r"-?[0-9]{1,6}(?:\.[0-9]{1,2})?\Z")
_PATH: Final = re.compile(r"[MLQZ0-9. -]{1,4000}\Z")
_LENGTHS: Final = {"x", "y", "width", "height", "cx", "cy", "r", "font-size", "stroke-width", "textLength"}


def check_pictures(
    root: etree._Element, member: str, members: frozenset[str], read: Callable[[str], bytes]
) -> Iterator[Fault]:
    """Everything wrong with the pictures an item shows; a file that is not there is told elsewhere."""
    folder = PurePosixPath(member).parent
    for image in root.iter("{*}img"):
        address = image.get("src", "")
        name = str(folder / unquote(address))
        if name not in members:
            continue
        if PurePosixPath(name).suffix != ".svg":
            yield Fault("unknown-picture", f"the picture {address!r} is of a kind the audit does not read")
            continue
        try:
            yield from picture_faults(read(name), image.get("alt", ""), address, language_of(image, root))
        except Fault as wrong:
            yield Fault(wrong.code, f"the picture {address!r}: {wrong.message}", place=address)


def language_of(image: etree._Element, root: etree._Element) -> Tongue:
    """That of the words in place of a picture: its own, else the item's."""
    return tongue(image.get(LANGUAGE) or image.get("lang") or root.get(LANGUAGE))


def picture_faults(data: bytes, alt: str, address: str, words: Tongue = ENGLISH) -> Iterator[Fault]:
    """What is wrong with a picture's file. alt: the words in its place; words: of their language.

    Raises Fault where it is no XML.
    """
    root = parse(data)
    if local_name(root) != "svg":
        yield Fault(
            "wrong-root", f"the picture {address!r} is no SVG: its root is {local_name(root)}", place=address
        )
        return
    found = [*_words_faults(root, alt, address)]
    found += [fault for element in root.iter() for fault in _element_faults(element, address)]
    yield from found
    if not found and root.get("data-extension"):
        yield from extension_faults(root, alt, address)
    elif not found and root.get("data-kind"):
        for reason in number_faults(root, alt, words):
            yield Fault("picture-numbers", f"the picture {address!r}: {reason}", place=address)


def _words_faults(root: etree._Element, alt: str, address: str) -> Iterator[Fault]:
    described = root.find(f"{{{SVG}}}desc")
    words = (described.text or "") if described is not None else ""
    if not words.strip():
        yield Fault(
            "picture-without-description", f"the picture {address!r} has no description", place=address
        )
    elif words != alt or root.get("aria-label") != words:
        message = f"the words in place of the picture {address!r} are not its description"
        yield Fault("picture-differs", message, place=address)


def _element_faults(element: etree._Element, address: str) -> Iterator[Fault]:
    name = local_name(element)
    if namespace(element) != SVG or name not in _ALLOWED:
        yield Fault("unsafe-picture", f"the picture {address!r} holds the element {name!r}", place=address)
        return
    for attribute, value in ((str(key), str(text)) for key, text in element.attrib.items()):
        if attribute not in _ALLOWED[name]:
            message = f"the picture {address!r} has the attribute {attribute!r} at {name}"
            yield Fault("unsafe-picture", message, place=address)
        elif (attribute in _LENGTHS and not _LENGTH.match(value)) or (
            attribute == "d" and not _PATH.match(value)
        ):
            yield Fault(
                "misshapen-picture", f"the picture {address!r} has {attribute}={value[:40]!r}", place=address
            )
