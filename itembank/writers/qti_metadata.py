"""What is said of a bank and of an item to those who take them over, in the vocabularies the standard knows.

Learning Object Metadata says title with code, topics, level, demand, time, marks, calculator, curriculum, author and
licence, in every dialect; QTI's own metadata the kinds of interaction; the curriculum vocabulary of 3.0 the statements
that have a globally unique identifier.
Source: QTI 2.2 and 3.0, metadata; Curriculum Standards Metadata 1.1; IEEE 1484.12.1, Learning Object Metadata, loose
binding (2.1 from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Final, NamedTuple

from itembank.items import About
from itembank.publication import Publication, Statement
from itembank.words import words
from itembank.writers.base import xml_text
from itembank.writers.dialects import TOOL, Dialect
from itembank.writers.elements import tag

__all__ = ["Interactions", "Known", "bank_metadata", "element", "item_metadata"]

_LOM: Final = "http://ltsc.ieee.org/xsd/LOM"
_MINUTES: Final = re.compile(r"[1-9][0-9]{0,3}(\.[0-9])?|0\.[1-9]")
# LOM 1.0, 5.8: a band that is called one of these says how difficult its items are
_DIFFICULTIES: Final = frozenset({"very-easy", "easy", "medium", "difficult", "very-difficult"})


class Interactions(NamedTuple):
    """kinds: of interaction, each once, as the standard names them; several: there is more than one interaction."""

    kinds: tuple[str, ...]
    several: bool

    @property
    def scoring(self) -> tuple[str, ...]:
        """Who marks: people what is written, the file all else."""
        written = "extendedTextInteraction" in self.kinds
        return (*(["human"] if written else []), *(["responseprocessing"] if self.has_rules else []))

    @property
    def has_rules(self) -> bool:
        """Whether the file marks anything, and then says something of it."""
        return any(kind != "extendedTextInteraction" for kind in self.kinds)


class Known(NamedTuple):
    """What is known of an item besides its code: the same for many, so that its metadata is made once.

    difficulty: as predicted, in a word of the standard, "" where nobody did.
    """

    about: About
    interactions: Interactions
    marks: int
    band: str
    difficulty: str = ""


def element(name: str, text: str) -> str:
    """An element with plain text, nothing for none."""
    return tag(name, xml_text(text)) if text else ""


def bank_metadata(publication: Publication) -> str:
    """What is said of a whole bank."""
    language = publication.language
    general = tag("general", _text("title", publication.title, language), element("language", language))
    return tag("lom", general, _contributor(publication.author), _rights(publication), xmlns=_LOM)


def item_metadata(known: Known, publication: Publication, dialect: Dialect, code: str) -> str:
    """What is said of an item. code: as markup, or a hole for it."""
    asked = known.interactions
    qti = tag(
        "qtiMetadata", element("timeDependent", "false"), element("composite", str(asked.several).lower()),
        *(element("interactionType", kind) for kind in asked.kinds),
        element("feedbackType", "nonadaptive" if asked.has_rules else "none"),
        element("solutionAvailable", "true"), *(element("scoringMode", mode) for mode in asked.scoring),
        element("toolName", TOOL),
        xmlns=dialect.metadata,
    )  # fmt: skip
    statements = _statements(known.about, publication)
    return qti + _standards(statements, dialect) + _lom(known, statements, publication, code)


def _statements(about: About, publication: Publication) -> list[Statement]:
    known = {statement.code: statement for statement in publication.statements}
    return [known.get(code, Statement(code)) for code in about.curriculum]


def _standards(statements: Iterable[Statement], dialect: Dialect) -> str:
    """Statements in the curriculum vocabulary, which wants an identifier of each; "" where there is none."""
    named = [each for each in statements if each.guid] if dialect.standards else []
    if not named:
        return ""
    sets = []
    for framework, found in groupby(sorted(named, key=_document), key=lambda each: each.framework):
        editions = [
            tag("setOfGUIDs", *map(_labelled, each), **_said(region=region, version=version))
            for (region, version), each in groupby(found, key=lambda each: (each.region, each.version))
        ]
        sets.append(tag("curriculumStandardsMetadata", *editions, **_said(providerId=framework)))
    return tag("curriculumStandardsMetadataSet", *sets, xmlns=dialect.standards)


def _document(statement: Statement) -> tuple[str, str, str]:
    return statement.framework, statement.region, statement.version


def _said(**attributes: str) -> dict[str, str]:
    return {name: value for name, value in attributes.items() if value}


def _labelled(statement: Statement) -> str:
    return tag(
        "labelledGUID", element("label", statement.code), element("caseItemURI", statement.case),
        element("GUID", statement.guid),
    )  # fmt: skip


# Learning Object Metadata


def _lom(known: Known, statements: Sequence[Statement], publication: Publication, code: str) -> str:
    about = known.about
    title = tag("title", tag("string", f"{xml_text(about.title)} ({code})", language=about.language))
    keywords = [_text("keyword", topic, about.language) for topic in about.topics]
    if known.band and known.band not in _DIFFICULTIES:
        keywords.append(_text("keyword", f"band {known.band}", "en"))
    general = tag(
        "general", tag("identifier", element("catalog", TOOL), tag("entry", code)), title,
        element("language", about.language), *keywords,
    )  # fmt: skip
    author, rights = _contributor(publication.author), _rights(publication)
    return tag(
        "lom", general, author, _educational(known), rights, *_classifications(about, statements), xmlns=_LOM
    )


def _educational(known: Known) -> str:
    """Difficulty, time, and in words what has no place of its own: marks, and whether a calculator is allowed."""
    about = known.about
    said = words(about.language)
    told = [said.counted("marks", known.marks)]
    if about.calculator:
        told.append(said(f"calculator-{about.calculator}-told"))
    # what an author says by the name of a band comes before what is predicted
    word = known.band.replace("-", " ") if known.band in _DIFFICULTIES else known.difficulty
    difficulty = _source("difficulty", word) if word else ""
    time = ""
    if _MINUTES.fullmatch(about.minutes):
        time = tag("typicalLearningTime", element("duration", _duration(about.minutes)))
    return tag("educational", difficulty, time, _text("description", "; ".join(told), said.language))


def _duration(minutes: str) -> str:
    """Minutes as a duration of ISO 8601.

    >>> _duration("3"), _duration("2.5")
    ('PT3M', 'PT2M30S')
    """
    whole, rest = divmod(Fraction(minutes) * 60, 60)
    return f"PT{whole}M{rest}S" if rest else f"PT{whole}M"


def _classifications(about: About, statements: Sequence[Statement]) -> list[str]:
    """Statements of a curriculum, the level and the demand, each under its purpose."""
    told = [_classification("educational objective", statements, about.language)] if statements else []
    if about.level:
        told.append(_classification("educational level", [Statement(about.level)], about.language))
    if about.demand:
        told.append(_classification("skill level", [Statement(about.demand)], about.language))
    return told


def _classification(purpose: str, entries: Iterable[Statement], language: str) -> str:
    paths = [
        tag(
            "taxonPath", _text("source", each.framework, language),
            tag("taxon", element("id", each.code), _text("entry", each.says or each.code, language)),
        )
        for each in entries
    ]  # fmt: skip
    return tag("classification", _source("purpose", purpose), *paths)


def _text(name: str, text: str, language: str) -> str:
    return tag(name, tag("string", xml_text(text), language=language)) if text else ""


def _source(name: str, value: str) -> str:
    """A word of the vocabulary of Learning Object Metadata 1.0."""
    return tag(name, element("source", "LOMv1.0"), element("value", value))


def _contributor(author: str) -> str:
    """The author as a business card (vCard 3.0, RFC 2426), which is what the standard asks for."""
    if not author:
        return ""
    escaped = re.sub(r"([\\,;])", r"\\\1", " ".join(author.split()))
    card = f"BEGIN:VCARD\nVERSION:3.0\nFN:{escaped}\nN:{escaped};;;;\nEND:VCARD"
    return tag("lifeCycle", tag("contribute", _source("role", "author"), element("entity", card)))


def _rights(publication: Publication) -> str:
    if not publication.licence:
        return ""
    restricted = _source("copyrightAndOtherRestrictions", "yes")
    return tag("rights", restricted, _text("description", publication.licence, publication.language))
