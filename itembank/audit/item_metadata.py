"""What a manifest says of an item against what the item's file says itself.

Only what stands in both can be compared: code, title, language, the kinds of interaction, feedback, who marks, the
marks; author and licence with those of the whole package. Level, curriculum, time and difficulty stand in the
manifest alone.
Source: QTI 2.1, 2.2 and 3.0, metadata; IEEE 1484.12.1, Learning Object Metadata. That an item with more than one
interaction is composite: from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple

from lxml import etree

from itembank.audit.dialects import as_3_0
from itembank.audit.findings import Fault
from itembank.audit.tongues import LANGUAGE
from itembank.audit.xml_reading import local_name, parse

__all__ = [
    "Metadata",
    "Said",
    "in_agreement",
    "metadata_faults",
    "published",
    "read_metadata",
    "said",
    "said_by",
]

_SECTIONS: Final = frozenset(
    {"qtiMetadata", "general", "lifeCycle", "educational", "rights", "classification", "metaMetadata"}
)
_OPENED: Final = b"nteraction response"
"""What stands in the opening tag of every interaction as this house writes it, and nowhere else."""
_ROOT: Final = re.compile(rb"<(?:qti-assessment-item|assessmentItem)\s[^<>]*>")
_TITLE: Final = re.compile(rb'\stitle="([^"<&]*)"')
_TONGUE: Final = re.compile(rb'\sxml:lang="([^"<&]*)"')
_NUMBER: Final = re.compile("[0-9]+")
_WRITTEN: Final = "extendedTextInteraction"


class Said(NamedTuple):
    """What an item's file says. title: without the code after it; kinds: of interaction, as the standard names them;
    several: there is more than one interaction; has_feedback: for candidates."""

    title: str
    language: str
    kinds: frozenset[str]
    several: bool
    has_feedback: bool


class Metadata(NamedTuple):
    """What a manifest says of an item. scoring: who marks; marks: the number told first of them, "" for none;
    author and licence as they are written."""

    said: Said
    is_timed: str
    has_solution: str
    scoring: frozenset[str]
    marks: str
    author: str
    licence: str


def read_metadata(holder: etree._Element, code: str) -> tuple[Metadata | None, list[Fault]]:
    """What stands in a block of metadata of the item with this code, and what of it names another item.

    None where there is nothing of this house's.
    """
    told = _gathered(holder)
    if ("qtiMetadata", "interactionType") not in told:
        return None, []
    faults = []
    title = _only(told, "general", "title")
    if not title.endswith(f"({code})") or _only(told, "general", "entry") != code:
        message = "the manifest gives the item another code, or a title without it"
        faults.append(Fault("metadata-differs", message))
    marks = _NUMBER.search(_only(told, "educational", "description"))
    feedback = _only(told, "qtiMetadata", "feedbackType")
    several = _only(told, "qtiMetadata", "composite")
    if feedback not in {"none", "nonadaptive"} or several not in {"true", "false"}:
        faults.append(Fault("metadata-differs", "the manifest says of the item what no item of ours is"))
    own = Said(
        _bare(title, code), _only(told, "general", "language"),
        frozenset(told["qtiMetadata", "interactionType"]), several == "true", feedback == "nonadaptive",
    )  # fmt: skip
    return Metadata(
        own, _only(told, "qtiMetadata", "timeDependent"), _only(told, "qtiMetadata", "solutionAvailable"),
        frozenset(told.get(("qtiMetadata", "scoringMode"), ())), marks[0] if marks else "",
        _only(told, "lifeCycle", "entity"), _only(told, "rights", "description"),
    ), faults  # fmt: skip


def published(holder: etree._Element) -> tuple[str, str]:
    """Author and licence of a whole package, as they are written."""
    told = _gathered(holder)
    return _only(told, "lifeCycle", "entity"), _only(told, "rights", "description")


def _only(told: dict[tuple[str, str], list[str]], section: str, name: str) -> str:
    return told.get((section, name), [""])[0]


def _gathered(holder: etree._Element) -> dict[tuple[str, str], list[str]]:
    """The texts of all elements by their section and name, a `string` by the name of what holds it."""
    told: dict[tuple[str, str], list[str]] = {}
    section = name = ""
    for element in holder.iter():
        found = local_name(element)
        if found in _SECTIONS:
            section = found
            continue
        if found != "string":
            name = found
        if text := (element.text or "").strip():
            told.setdefault((section, name), []).append(text)
    return told


def said(data: bytes, code: str) -> Said:
    """What the file of an item says. Raises Fault for a file that cannot be read."""
    return _at_a_glance(data, code) or _as_read(data, code)


def _at_a_glance(data: bytes, code: str) -> Said | None:
    """The same, as this house writes it; None for what is written in any other way."""
    root = _ROOT.search(data)
    title, language = (None, None) if root is None else (each.search(root[0]) for each in (_TITLE, _TONGUE))
    if root is None or title is None or language is None or (b"!" in data and b"<!" in data):
        return None
    before = data.split(_OPENED)[:-1]
    found = [_kind(each[each.rfind(b"<") + 1 : -1].decode()) for each in before]
    has_feedback = (b"<qti-modal-feedback" if root[0].startswith(b"<qti-") else b"<modalFeedback") in data
    return Said(
        _bare(title[1].decode(), code), language[1].decode(), frozenset(found), len(found) > 1,
        has_feedback,
    )  # fmt: skip


def _as_read(data: bytes, code: str) -> Said:
    root = parse(data)
    as_3_0(root)
    return said_by(root, code)


def said_by(root: etree._Element, code: str) -> Said:
    """What a document says, its names those of QTI 3.0."""
    found = [
        _kind(name.removesuffix("-interaction"))
        for each in root.iter()
        if (name := local_name(each)).endswith("-interaction")
    ]
    return Said(
        _bare(root.get("title", ""), code), root.get(LANGUAGE, ""), frozenset(found), len(found) > 1,
        root.find("{*}qti-modal-feedback") is not None,
    )  # fmt: skip


def _bare(title: str, code: str) -> str:
    """A title without the code after it, its blanks evened out."""
    return " ".join(title.split()).removesuffix(f"({code})").rstrip()


@lru_cache(maxsize=256)
def _kind(name: str) -> str:
    """The standard's name of a kind of interaction in metadata, from that of its element.

    >>> _kind("qti-text-entry"), _kind("textEntry"), _kind("match")
    ('textEntryInteraction', 'textEntryInteraction', 'matchInteraction')
    """
    first, *more = name.removeprefix("qti-").removesuffix("-").split("-")
    return f"{first}{''.join(each.capitalize() for each in more)}Interaction"


def metadata_faults(told: Metadata, data: bytes, code: str, worth: Fraction | None) -> Iterator[Fault]:
    """Where a manifest says otherwise than the item's file. worth: the marks of the item by its own word.

    Raises Fault for a file that cannot be read.
    """
    own = said(data, code)
    yield from _differences(told, own if own == told.said else _as_read(data, code), worth)


@lru_cache(maxsize=4096)
def in_agreement(told: Metadata, own: Said, worth: Fraction | None) -> bool:
    """Whether a manifest says nothing otherwise than an item that says this."""
    return next(_differences(told, own, worth), None) is None


def _differences(told: Metadata, own: Said, worth: Fraction | None) -> Iterator[Fault]:
    for name, mine, others in zip(Said._fields, own, told.said, strict=True):
        if mine != others:
            yield Fault("metadata-differs", f"the manifest says otherwise of the item's {_NAMES[name]}")
    people = {"human"} if _WRITTEN in own.kinds else set()
    rules = {"responseprocessing"} if own.kinds - {_WRITTEN} else set()
    if told.scoring != people | rules:
        yield Fault("metadata-differs", "the manifest says that somebody else marks the item")
    if told.is_timed != "false" or told.has_solution != "true":
        yield Fault("metadata-differs", "the manifest says otherwise of the item's time or solution")
    if worth is not None and told.marks and Fraction(told.marks) != worth:
        message = f"the manifest says the item is worth {told.marks}, the item {worth}"
        yield Fault("metadata-differs", message)


_NAMES: Final = {
    "title": "title",
    "language": "language",
    "kinds": "kinds of interaction",
    "several": "number of interactions",
    "has_feedback": "feedback",
}
