"""The manifest of a package, in pieces: a head, one resource for each item, a tail.

Source: QTI 2.1, 2.2 and 3.0, packaging (Content Packaging 1.2), metadata; IEEE Learning Object Metadata, loose binding.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Final
from urllib.parse import quote

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import About, EntryResponse, Item
from itembank.writers.base import xml_attribute, xml_text
from itembank.writers.dialects import QTI_3_0, TOOL, Dialect
from itembank.writers.elements import Safe, tag

__all__ = ["item_name", "manifest_head", "manifest_resource", "manifest_tail"]

_LOM: Final = "http://ltsc.ieee.org/xsd/LOM"
_INSTANCE: Final = "http://www.w3.org/2001/XMLSchema-instance"
_UNNAMEABLE: Final = re.compile(r"[^A-Za-z0-9_.-]+")
_MINUTES: Final = re.compile(r"[1-9][0-9]{0,3}")


def item_name(item: Item) -> str:
    """The name of an item's file in the package.

    >>> from types import SimpleNamespace
    >>> item_name(SimpleNamespace(code="K7Q2M"))
    'items/K7Q2M.xml'
    """
    return f"items/{item.code}.xml"


def manifest_head(
    name: str, title: str, language: str, licence: str = "", author: str = "", *, dialect: Dialect = QTI_3_0
) -> str:
    """The manifest down to where resources begin.

    name: the bank's, of which the manifest's identifier is made; title, licence, author: plain text, "" for none;
    language: a language tag (BCP 47).
    """
    return _envelope(name, title, language, licence, author, dialect)[0]


def manifest_tail() -> str:
    """What closes the manifest after the last resource."""
    return _envelope("", "", "", "", "", QTI_3_0)[1]


def _envelope(
    name: str, title: str, language: str, licence: str, author: str, dialect: Dialect
) -> tuple[str, str]:
    lom = tag(
        "lom", tag("general", _text("title", title, language), _element("language", language)),
        _contributor(author), _rights(licence, language), xmlns=_LOM,
    )  # fmt: skip
    metadata = tag(
        "metadata", _element("schema", dialect.bank), _element("schemaversion", dialect.version), lom
    )
    root = tag(
        "manifest", metadata, tag("organizations"), tag("resources", hole_mark(0)),
        xmlns=dialect.packaging, xmlns__xsi=_INSTANCE, xsi__schemaLocation=dialect.manifest_schema,
        identifier=f"bank-{_UNNAMEABLE.sub('-', name)}",
    )  # fmt: skip
    head, _, tail = root.partition(hole_mark(0))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{head}\n', f"{tail}\n"


def _element(name: str, text: str) -> str:
    return tag(name, xml_text(text)) if text else ""


def _text(name: str, text: str, language: str) -> str:
    return tag(name, tag("string", xml_text(text), language=language)) if text else ""


def _source(name: str, value: str) -> str:
    """A word of the vocabulary of Learning Object Metadata 1.0."""
    return tag(name, _element("source", "LOMv1.0"), _element("value", value))


def _contributor(author: str) -> str:
    """The author as a business card (vCard 3.0, RFC 2426), which is what the standard asks for."""
    if not author:
        return ""
    escaped = re.sub(r"([\\,;])", r"\\\1", " ".join(author.split()))
    card = f"BEGIN:VCARD\nVERSION:3.0\nFN:{escaped}\nN:{escaped};;;;\nEND:VCARD"
    return tag("lifeCycle", tag("contribute", _source("role", "author"), _element("entity", card)))


def _rights(licence: str, language: str) -> str:
    if not licence:
        return ""
    return tag(
        "rights", _source("copyrightAndOtherRestrictions", "yes"), _text("description", licence, language)
    )


def manifest_resource(item: Item, *, dialect: Dialect = QTI_3_0) -> str:
    """An item's entry: its file, what is known of it, and its kinds of interaction."""
    kinds: list[str] = []
    for part in item.parts:
        if not isinstance(part.response, EntryResponse):
            kinds.append("choiceInteraction")
            continue
        kinds.append("textEntryInteraction")
        if part.response.tick:
            kinds.append("choiceInteraction")
    several = len(item.parts) > 1 or len(kinds) > 1
    pattern = _resource_pattern(item.about, tuple(dict.fromkeys(kinds)), several, dialect)
    code = item.code
    filled = (xml_attribute(_UNNAMEABLE.sub("-", code)), quote(item_name(item)), xml_text(code))
    return pattern.fill(filled)  # type: ignore[arg-type]


@cache
def _resource_pattern(about: About, kinds: tuple[str, ...], several: bool, dialect: Dialect) -> Pattern:
    """A resource with holes for the identifier, the file's address and the code."""
    identifier, address, code = (hole_mark(hole) for hole in range(3))
    qti = tag(
        "qtiMetadata", _element("timeDependent", "false"), _element("composite", str(several).lower()),
        *(_element("interactionType", kind) for kind in kinds), _element("feedbackType", "nonadaptive"),
        _element("solutionAvailable", "true"), _element("scoringMode", "responseprocessing"),
        _element("toolName", TOOL),
        xmlns=dialect.metadata,
    )  # fmt: skip
    resource = tag(
        "resource", tag("metadata", qti, _lom(about, code)), tag("file", href=Safe(address)),
        identifier=Safe(f"item-{identifier}"), type=dialect.item_type, href=Safe(address),
    )  # fmt: skip
    return Pattern(f"{resource}\n")


def _lom(about: About, code: str) -> str:
    title = tag("title", tag("string", f"{xml_text(about.title)} ({code})", language=about.language))
    keywords = (_text("keyword", topic, about.language) for topic in about.topics)
    general = tag(
        "general", tag("identifier", _element("catalog", TOOL), tag("entry", code)), title,
        _element("language", about.language), *keywords,
    )  # fmt: skip
    return tag("lom", general, _educational(about), *_classifications(about), xmlns=_LOM)


def _educational(about: About) -> str:
    if not _MINUTES.fullmatch(about.minutes):
        return ""
    return tag("educational", tag("typicalLearningTime", _element("duration", f"PT{about.minutes}M")))


def _classifications(about: About) -> list[str]:
    """Statements of a curriculum, the level and the demand, each under its purpose.

    The standard has a vocabulary of its own for curricula, but it wants a globally unique identifier of each
    statement, which a bank does not know.
    """
    told = (
        [_classification("educational objective", about.curriculum, about.language)]
        if about.curriculum
        else []
    )
    if about.level:
        told.append(_classification("educational level", (about.level,), about.language))
    if about.demand:
        told.append(_classification("skill level", (about.demand,), about.language))
    return told


def _classification(purpose: str, entries: tuple[str, ...], language: str) -> str:
    taxa = (tag("taxon", _element("id", entry), _text("entry", entry, language)) for entry in entries)
    paths = (tag("taxonPath", taxon) for taxon in taxa)
    return tag("classification", _source("purpose", purpose), *paths)
