"""The manifest of a cartridge: what it is, a table of contents of its assessments, and its files.

Source: Common Cartridge 1.3, manifest (profile of Content Packaging 1.2); IEEE Learning Object Metadata.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from itembank.words import words as words_of
from itembank.writers.common_cartridge.documents import Collection
from itembank.writers.common_cartridge.markup import element, words

__all__ = ["About", "manifest"]

PACKAGING: Final = "http://www.imsglobal.org/xsd/imsccv1p3/imscp_v1p1"
LOM: Final = "http://ltsc.ieee.org/xsd/imsccv1p3/LOM/manifest"
ASSESSMENT_TYPE: Final = "imsqti_xmlv1p2/imscc_xmlv1p3/assessment"
FILE_TYPE: Final = "webcontent"
BANK_TYPE: Final = "imsqti_xmlv1p2/imscc_xmlv1p3/question-bank"
_INSTANCE: Final = "http://www.w3.org/2001/XMLSchema-instance"
_SCHEMAS: Final = " ".join(
    (
        PACKAGING, "http://www.imsglobal.org/profile/cc/ccv1p3/ccv1p3_imscp_v1p2_v1p0.xsd",
        LOM, "http://www.imsglobal.org/profile/cc/ccv1p3/LOM/ccv1p3_lommanifest_v1p0.xsd",
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class About:
    """What is said of a cartridge. identifier: stable over builds, an XML name; the rest plain text, "" for none."""

    identifier: str
    title: str
    language: str
    description: str = ""
    licence: str = ""
    author: str = ""
    keywords: tuple[str, ...] = ()


def manifest(about: About, collections: Sequence[Collection]) -> str:
    """The manifest of a cartridge with these assessments and banks; banks stay out of the table of contents.

    Each file they use is a resource of its own, on which they depend.
    """
    metadata = element(
        "metadata",
        _words("schema", "IMS Common Cartridge"), _words("schemaversion", "1.3.0"), _lom(about),
    )  # fmt: skip
    entries = (
        element(
            "item",
            _words("title", each.title),
            identifier=f"entry-{each.identifier}",
            identifierref=each.identifier,
        )
        for each in collections
        if not each.is_bank
    )
    contents = element("item", *entries, identifier="contents-root")
    organization = element("organization", contents, identifier="contents", structure="rooted-hierarchy")
    root = element(
        "manifest", metadata, element("organizations", organization),
        element("resources", *("\n" + _resource(each) for each in collections), *map(_file, _used(collections))),
        xmlns=PACKAGING, xmlns__xsi=_INSTANCE, xsi__schemaLocation=_SCHEMAS, identifier=about.identifier,
    )  # fmt: skip
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{root}\n'


def _resource(collection: Collection) -> str:
    return element(
        "resource", element("file", href=collection.name),
        *(element("dependency", identifierref=_file_identifier(name)) for name in collection.uses),
        identifier=collection.identifier, type=BANK_TYPE if collection.is_bank else ASSESSMENT_TYPE,
    )  # fmt: skip


def _used(collections: Sequence[Collection]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for each in collections for name in each.uses))


def _file(name: str) -> str:
    return "\n" + element(
        "resource", element("file", href=name), identifier=_file_identifier(name), type=FILE_TYPE, href=name
    )


def _file_identifier(name: str) -> str:
    return f"file-{name.replace('/', '-')}"


def _words(name: str, text: str) -> str:
    return element(name, words(text)) if text else ""


def _lom(about: About) -> str:
    """Elements in the order of the data model, which a strict reader may ask for."""
    general = element(
        "general",
        _string("title", about.title, about.language), _words("language", about.language),
        _string("description", about.description, words_of(about.language).language),
        *(_string("keyword", each, about.language) for each in about.keywords),
    )  # fmt: skip
    return element("lom", general, _contributor(about.author), _rights(about), xmlns=LOM)


def _string(name: str, text: str, language: str) -> str:
    return element(name, element("string", words(text), language=language)) if text else ""


def _word_of_lom(name: str, value: str) -> str:
    return element(name, _words("source", "LOMv1.0"), _words("value", value))


def _contributor(author: str) -> str:
    """The author as a business card (vCard 3.0, RFC 2426), which is what the standard asks for."""
    if not author:
        return ""
    escaped = re.sub(r"([\\,;])", r"\\\1", " ".join(author.split()))
    card = f"BEGIN:VCARD\nVERSION:3.0\nFN:{escaped}\nN:{escaped};;;;\nEND:VCARD"
    return element("lifeCycle", element("contribute", _word_of_lom("role", "author"), _words("entity", card)))


def _rights(about: About) -> str:
    if not about.licence:
        return ""
    restricted = _word_of_lom("copyrightAndOtherRestrictions", "yes")
    return element("rights", restricted, _string("description", about.licence, about.language))
