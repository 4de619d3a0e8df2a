"""One item after the other, each audited from its own file; what items have in common is looked through once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import PurePosixPath
from typing import Final, NamedTuple, TypeAlias
from urllib.parse import unquote

from lxml import etree

from itembank.audit.dialects import QTI_2_1, Version, as_3_0
from itembank.audit.facts import Facts
from itembank.audit.figure_check import check_figures
from itembank.audit.findings import STUCK, Fault, Finding, reported, why_stuck
from itembank.audit.fragments import Fragments
from itembank.audit.frames import Cut
from itembank.audit.grammar import check_grammar
from itembank.audit.item_metadata import Metadata, metadata_faults
from itembank.audit.item_reader import ItemReader
from itembank.audit.manifest import addresses
from itembank.audit.meaning import check_meaning
from itembank.audit.member_names import stem
from itembank.audit.notations import PICTURED, Pictures, stand_ins
from itembank.audit.package import Package
from itembank.audit.pictures import check_pictures
from itembank.audit.quick_road import Filled, QuickRoad, taken_apart
from itembank.audit.spoken_check import check_catalog
from itembank.audit.structure import check_root, check_structure, decimal
from itembank.audit.xml_reading import parse

__all__ = ["Audited", "Items", "Wanted", "Way", "audit_item"]

Wanted: TypeAlias = tuple[str, Metadata | None]
"""The member of an item, and what the manifest says of it."""
Audited: TypeAlias = tuple[str, str, tuple[Finding, ...], tuple[Fraction | None, bool]]
"""The member, the item's code, what was found; the marks it is worth, and whether its formulas are pictures."""
TOGETHER: Final = 50
TOGETHER_BYTES: Final = 2**21
"""How many items go together from one kind of work to the next (read and taken apart, put into their frames, looked
through): each finds its code and tables still in the processor's memory."""


@dataclass(frozen=True, slots=True)
class Way:
    """How items are audited: thoroughly, and what they have in common once, as `verify` says."""

    thorough: bool
    quick: bool


class _Read(NamedTuple):
    """A file of an item. wrong: why it cannot be read; apart: None for a text that is not of the plain kind."""

    member: str
    told: Metadata | None
    data: bytes = b""
    apart: Cut | None = None
    wrong: Fault | None = None


class Items:
    """The items of a package. version: the package's."""

    def __init__(self, package: Package, version: Version | None, way: Way) -> None:
        self._package, self._version, self._thorough = package, version, way.thorough
        members = frozenset(package.names)
        self._within = members if package.has_manifest else None
        self._pictures = Pictures(package.read, members) if package.has_manifest else None
        shared = way.quick and not way.thorough and package.has_manifest
        self._road = QuickRoad(version, members, package.read) if shared else None

    def audited(self, items: Iterable[Wanted]) -> Iterator[Audited]:
        """What is found of each."""
        for batch in self._batches(items):
            road = self._road
            filled = [None if road is None else road.filled(read.apart, read.member) for read in batch]
            for read, item in zip(batch, filled, strict=True):
                if read.wrong is None:
                    yield self._one(read, item)
                else:
                    yield read.member, "", (reported(read.wrong, "", read.member),), (None, False)

    def _batches(self, items: Iterable[Wanted]) -> Iterator[list[_Read]]:
        batch: list[_Read] = []
        size = 0
        for member, told in items:
            batch.append(self._read(member, told))
            size += len(batch[-1].data)
            if len(batch) == TOGETHER or size > TOGETHER_BYTES:
                yield batch
                batch, size = [], 0
        yield batch

    def _read(self, member: str, told: Metadata | None) -> _Read:
        try:
            data = self._package.read(member)
        except Fault as wrong:
            return _Read(member, told, wrong=wrong)
        return _Read(member, told, data, None if self._road is None else taken_apart(data, member))

    def _one(self, read: _Read, item: Filled | None) -> Audited:
        member, told, data = read.member, read.told, read.data
        passed = None if self._road is None else self._road.passed(read.apart, member, item)
        if passed is None:
            found = self._in_full(data, member)
        else:
            found = member, stem(member), (), (passed.worth, PICTURED in data)
        known = told is None or (passed is not None and passed.is_as_told(told))
        return found if told is None or known else _compared(found, data, told)

    def _in_full(self, data: bytes, member: str) -> Audited:
        road = self._road
        at = _Place(member, self._within, self._version, self._thorough, self._package.read, self._pictures)
        found = _audited_item(data, at, None if road is None else road.fragments)
        if road is not None and found.findings:
            found = _audited_item(data, at)
        elif road is not None:
            road.remember(data, member, found.facts)
        return member, found.code, found.findings, (found.worth, PICTURED in data)


def _compared(audited: Audited, data: bytes, told: Metadata) -> Audited:
    """The same with what the manifest says otherwise."""
    member, code, findings, (worth, pictured) = audited
    try:
        faults = list(metadata_faults(told, data, stem(member), worth))
    except Fault:
        return audited  # what cannot be read is told already
    if not faults:
        return audited
    more = tuple(reported(fault, code, member) for fault in faults)
    return member, code, (*findings, *more), (worth, pictured)


def audit_item(
    data: bytes,
    member: str,
    members: frozenset[str] | None = None,
    *,
    version: Version | None = None,
    thorough: bool = False,
    read: Callable[[str], bytes] | None = None,
) -> tuple[str, tuple[Finding, ...]]:
    """The code of one item and everything wrong with it.

    members: all names in the package, against which the item's own references are checked; None for an item alone.
    version: of the standard, that the item's package is of; None where that is not known.
    read: gives the bytes of another member, so that the item's pictures are checked too.
    """
    pictures = Pictures(read, members) if read is not None and members is not None else None
    found = _audited_item(data, _Place(member, members, version, thorough, read, pictures))
    return found.code, found.findings


@dataclass(frozen=True, slots=True)
class _Place:
    """Where an item stands, and how it is audited; as `audit_item` says."""

    member: str
    members: frozenset[str] | None
    version: Version | None
    thorough: bool
    read: Callable[[str], bytes] | None
    pictures: Pictures | None


@dataclass(frozen=True, slots=True)
class _Found:
    """What came of an item. worth: the marks it says it is worth; facts: None where it could not be read."""

    code: str
    findings: tuple[Finding, ...]
    worth: Fraction | None
    facts: Facts | None


def _audited_item(data: bytes, at: _Place, fragments: Fragments | None = None) -> _Found:
    """An item audited in the usual way. fragments: reads formulas that are in order."""
    member, members, version, read = at.member, at.members, at.version, at.read
    code = ""
    worth: Fraction | None = None
    facts: Facts | None = None
    faults: list[Fault] = []
    try:
        root = parse(data)
        found = as_3_0(root)
        if version is not None and found.name != version.name:
            faults.append(
                Fault("wrong-version", f"the item is of {found.name}, its package of {version.name}")
            )
        check_root(root)
        faults += check_grammar(root, found)
        code = root.get("identifier", "")
        if members is not None:
            faults += _references(root, member, members)
            if code != stem(member):
                faults.append(
                    Fault("identifier-differs", f"the identifier {code!r} is not the name of the file")
                )
        known, unread = stand_ins(root, member, at.pictures)
        faults += unread
        if fragments is not None and not known:
            known = fragments.known(root)
        if members is not None and read is not None:
            faults += check_pictures(root, member, members, read)
        reader = ItemReader(root, known)
        facts = replace(reader.read(), declares_people=found is not QTI_2_1)
        faults += reader.faults
        score = facts.outcome("SCORE")
        worth = decimal(score.normal_maximum) if score else None
        faults += check_structure(root, facts)
        faults += check_catalog(root, reader.formulas)
        for fault in check_meaning(facts, at.thorough):
            faults.append(fault)
        if members is not None and read is not None:
            faults += check_figures(facts, PurePosixPath(member).parent, members, read)
    except Fault as wrong:
        faults.append(wrong)
    except STUCK as stuck:
        faults.append(Fault("cannot-tell", f"the item cannot be decided: {why_stuck(stuck)}"))
    findings = tuple(dict.fromkeys(reported(fault, code, member) for fault in faults))
    return _Found(code, findings, worth, facts)


def _references(root: etree._Element, member: str, members: frozenset[str]) -> Iterator[Fault]:
    folder = PurePosixPath(member).parent
    for address in addresses(root):
        path = unquote(address)
        if ":" in path or path.startswith("/") or ".." in PurePosixPath(path).parts:
            yield Fault("unsafe-reference", f"the item points to {address!r}, outside the package")
        elif str(folder / path) not in members:
            yield Fault("missing-file", f"the item points to {address!r}, which is not in the package")
