"""The manifest of a package, in pieces: a head, one resource for each item, a tail.

Source: QTI 2.1, 2.2 and 3.0, packaging (Content Packaging 1.2).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Final, TypeAlias, assert_never
from urllib.parse import quote

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import (
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Item,
    MatchResponse,
    OrderResponse,
    Response,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.publication import NOT_PUBLISHED, Publication
from itembank.writers.base import xml_attribute, xml_text
from itembank.writers.dialects import QTI_3_0, Dialect
from itembank.writers.elements import Safe, tag
from itembank.writers.pictures import has_pictures, pictures
from itembank.writers.qti_metadata import Interactions, Known, bank_metadata, element, item_metadata
from itembank.writers.qti_test import QUIZ_FILE, quiz_identifier, reference

__all__ = [
    "depending", "item_name", "manifest_head", "manifest_resource", "manifest_tail", "picture_names", "quiz_resource",
    "shared_resource",
]  # fmt: skip

_INSTANCE: Final = "http://www.w3.org/2001/XMLSchema-instance"
_CHOSEN: Final = "choiceInteraction"
_WRITTEN: Final = "extendedTextInteraction"
_TICK: Final = (False, False, 0)
Asked: TypeAlias = str | tuple[tuple[bool, bool, int], ...]
"""The one interaction of a response; or of an entry, for each blank whether it is words, whether there are signs to
choose, and how many boxes it has, and `_TICK` for a tick."""
_UNNAMEABLE: Final = re.compile(r"[^A-Za-z0-9_.-]+")


def item_name(item: Item) -> str:
    """The name of an item's file in the package.

    >>> from types import SimpleNamespace
    >>> item_name(SimpleNamespace(code="K7Q2M"))
    'items/K7Q2M.xml'
    """
    return f"items/{item.code}.xml"


def manifest_head(
    publication: Publication, *, dialect: Dialect = QTI_3_0, quiz: bool = False, part: int = 0
) -> str:
    """The manifest down to where resources begin.

    quiz: there is a test among them; part: of a bank in several packages, 0 for the only one.
    """
    return _envelope(publication, dialect, quiz, part)[0]


def manifest_tail() -> str:
    """What closes the manifest after the last resource."""
    return _envelope(NOT_PUBLISHED, QTI_3_0, False, 0)[1]


def _envelope(publication: Publication, dialect: Dialect, quiz: bool, part: int) -> tuple[str, str]:
    metadata = tag(
        "metadata", element("schema", dialect.quiz if quiz else dialect.bank),
        element("schemaversion", dialect.version), bank_metadata(publication),
    )  # fmt: skip
    identifier = f"bank-{_UNNAMEABLE.sub('-', publication.name)}"
    root = tag(
        "manifest", metadata, tag("organizations"), tag("resources", hole_mark(0)),
        xmlns=dialect.packaging, xmlns__xsi=_INSTANCE, xsi__schemaLocation=dialect.manifest_schema,
        identifier=f"{identifier}-{part}" if part else identifier,
    )  # fmt: skip
    head, _, tail = root.partition(hole_mark(0))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{head}\n', f"{tail}\n"


def manifest_resource(
    item: Item, *, dialect: Dialect = QTI_3_0, publication: Publication = NOT_PUBLISHED
) -> str:
    """An item's entry: its file, what is known of it, and its kinds of interaction."""
    interactions = _interactions(tuple([_asked(part.response) for part in item.parts]))
    known = Known(item.about, interactions, item.marks, item.band, _difficulty(item))
    more = picture_names(item) if has_pictures(item) else ()
    pattern = _resource_pattern(known, publication, dialect, len(more))
    code, name = item.code, item_name(item)
    filled = (code, name, code)
    if not (code.isascii() and code.isalnum()):  # else it stands for itself wherever it stands
        filled = (xml_attribute(_UNNAMEABLE.sub("-", code)), quote(name), xml_text(code))
    return pattern.fill((*filled, *map(quote, more)) if more else filled)


def _asked(response: Response) -> Asked:
    """What a response comes to as interactions."""
    match response:
        case EntryResponse():
            blanks = [(bool(b.words), bool(b.ends), len(b.boxes) * b.slots) for b in response.blanks]
            return (*blanks, *([_TICK] if response.tick else []))
        case MatchResponse():
            return "matchInteraction"
        case OrderResponse():
            return "orderInteraction"
        case WrittenResponse():
            return _WRITTEN
        case ChoiceResponse() | ChoicesResponse() | WrongLineResponse():
            return _CHOSEN
        case _:
            assert_never(response)


@cache
def _interactions(asked: tuple[Asked, ...]) -> Interactions:
    kinds: list[str] = []
    count = 0
    for response in asked:
        if isinstance(response, str):
            kinds.append(response)
            count += 1
            continue
        ticks = [each for each in response if each == _TICK]
        blanks = [each for each in response if each != _TICK]
        if not all(words for words, _, _ in blanks):
            kinds.append("textEntryInteraction")
        if any(words or ends for words, ends, _ in blanks):
            kinds.append("inlineChoiceInteraction")
        kinds += [_CHOSEN for _ in ticks]
        count += sum(boxes for _, _, boxes in blanks) + len(ticks)
    return Interactions(tuple(dict.fromkeys(kinds)), count > 1)


def _difficulty(item: Item) -> str:
    return item.difficulty.word if item.difficulty is not None else ""


def picture_names(item: Item) -> tuple[str, ...]:
    """The names of an item's pictures in the package, in reading order."""
    folder = item_name(item).rpartition("/")[0]
    return tuple(f"{folder}/{picture.address}" for picture in pictures(item))


def depending(resource: str, names: Sequence[str]) -> str:
    """An item's entry that also names files which other items may share; each has a `shared_resource` of its own."""
    head, closing, tail = resource.rpartition("</resource>")
    needed = "".join(tag("dependency", identifierref=_shared(name)) for name in names)
    return f"{head}{needed}{closing}{tail}"


def shared_resource(name: str) -> str:
    """The entry of a file that items share: a picture, a style sheet. name: its place in the package."""
    address = Safe(quote(name))
    return (
        tag("resource", tag("file", href=address), identifier=_shared(name), type="webcontent", href=address)
        + "\n"
    )


def _shared(name: str) -> str:
    return f"file-{_UNNAMEABLE.sub('-', name.replace('/', '-'))}"


@cache
def _resource_pattern(known: Known, publication: Publication, dialect: Dialect, more: int) -> Pattern:
    """A resource with holes for the identifier, the file's address, the code and the addresses of `more` files."""
    identifier, address, code = (hole_mark(hole) for hole in range(3))
    metadata = item_metadata(known, publication, dialect, code)
    resource = tag(
        "resource", tag("metadata", metadata), tag("file", href=Safe(address)),
        *(tag("file", href=Safe(hole_mark(3 + number))) for number in range(more)),
        identifier=Safe(f"item-{identifier}"), type=dialect.item_type, href=Safe(address),
    )  # fmt: skip
    return Pattern(f"{resource}\n")


def quiz_resource(publication: Publication, codes: Iterable[str], *, dialect: Dialect, part: int = 0) -> str:
    """The entry of the quiz, which depends on its items. codes: theirs."""
    needed = (tag("dependency", identifierref=reference(_UNNAMEABLE.sub("-", code))) for code in codes)
    resource = tag(
        "resource", tag("file", href=QUIZ_FILE), *needed,
        identifier=quiz_identifier(publication, part), type=dialect.test_type, href=QUIZ_FILE,
    )  # fmt: skip
    return f"{resource}\n"
