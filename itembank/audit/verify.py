"""The door of the audit: an exported package is read from its file and every item proved again.

verify(Path("quiz.zip"))                 every check, exactly
verify(Path("quiz.zip"), thorough=True)  the mathematics twice, the second time with sympy
"""

from __future__ import annotations

import atexit
import gc
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, partial
from multiprocessing import get_context
from pathlib import Path, PurePosixPath
from typing import Final
from urllib.parse import unquote

from lxml import etree

from itembank.audit.cartridge import audit_cartridge, is_cartridge
from itembank.audit.crew import Crew
from itembank.audit.dialects import QTI_2_1, Version, as_3_0
from itembank.audit.digests import Digests, check_digests
from itembank.audit.extensions import NOT_CHECKED, PICTURES
from itembank.audit.facts import Facts
from itembank.audit.figure_check import check_figures
from itembank.audit.findings import CannotTell, Fault, Finding, Report
from itembank.audit.fragments import Fragments
from itembank.audit.grammar import check_grammar
from itembank.audit.item_metadata import Metadata, metadata_faults
from itembank.audit.item_reader import ItemReader
from itembank.audit.manifest import addresses, read_manifest
from itembank.audit.meaning import check_meaning
from itembank.audit.member_names import MANIFEST, stem
from itembank.audit.notations import PICTURED, Pictures, stand_ins
from itembank.audit.package import Package, open_package
from itembank.audit.pictures import check_pictures
from itembank.audit.quick_road import QuickRoad
from itembank.audit.quiz_check import check_quiz
from itembank.audit.schemas import Schemas
from itembank.audit.spoken_check import check_catalog
from itembank.audit.structure import check_root, check_structure, decimal
from itembank.audit.xml_reading import parse
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["audit_item", "verify", "verify_all"]

SHARED_FROM: Final = 1_000
"""Items of a package from which on it pays to start other processes."""
SHARED_BYTES: Final = 500_000
"""Bytes of cartridges together from which on it pays."""
_CARTRIDGE: Final = ".imscc"
PART: Final = 100
"""Items a worker is given at a time: as few as let none wait long for the last."""


def verify_all(
    paths: Iterable[Path],
    *,
    thorough: bool = False,
    digests: Digests | None = None,
    schemas: Schemas | None = None,
    workers: int = 1,
) -> list[Report]:
    """Audit everything at some paths; a build's folder is audited package by package.

    digests: a list kept elsewhere; what differs from it is told with the rest. schemas: official ones, against which
    every document is checked too. workers: as `verify`. Packages of one name are told with their folders. Raises
    InputError as `verify`.
    """
    wanted = [path for each in paths for path in _packages(each)]
    ready = _cartridges_together(wanted, thorough, workers)
    reports: list[Report] = []
    places: list[Path] = []
    for path in paths:
        packages = _packages(path)
        listed = [] if digests is None or not path.exists() else list(check_digests(path, digests))
        if listed and packages != [path]:
            reports.append(
                Report(_name(path), 0, tuple(_finding(fault, "", fault.member) for fault in listed))
            )
            places.append(path)
            listed = []
        for package in packages:
            found = ready.get(package) or verify(package, thorough=thorough, workers=workers)
            told = tuple(_finding(fault, "", fault.member) for fault in listed)
            told += tuple(_against_schemas(package, schemas)) if schemas is not None else ()
            reports.append(replace(found, findings=(*told, *found.findings)) if told else found)
            places.append(package)
    named = Counter(report.package for report in reports)
    return [
        replace(report, package=str(place)) if named[report.package] > 1 else report
        for report, place in zip(reports, places, strict=True)
    ]


def _packages(path: Path) -> list[Path]:
    """What is audited at a path: itself, or the packages in a folder, of a build or of a folder of forms.

    Raises InputError for a folder with neither packages nor any XML.
    """
    if path.is_dir() and not (path / MANIFEST).exists():
        places = (path, path / "platform", *sorted(path.glob("form-*/platform")))
        found = [each for at in places for each in sorted([*at.glob("*.zip"), *at.glob("*.imscc")])]
        if not found and not any(path.glob("*.xml")) and not any(path.glob("*/*.xml")):
            told = f"the folder {path} holds no package"
            hint = "name a package, an unpacked one, or the folder that `build` or `assemble` wrote"
            raise InputError(Diagnostic("no-such-package", told, Span(str(path), 1, 1), hint=hint))
        return found or [path]
    return [path]


def _cartridges_together(paths: Iterable[Path], thorough: bool, workers: int) -> dict[Path, Report]:
    """The reports of cartridges, several at a time: a large bank is split into many, none of them large.

    None at all where other processes would not pay, or know less than this one.
    """
    cartridges = [path for path in dict.fromkeys(paths) if path.suffix == _CARTRIDGE and path.is_file()]
    largest_first = sorted(cartridges, key=lambda path: path.stat().st_size, reverse=True)
    few = workers < 2 or len(cartridges) < 2 or sum(path.stat().st_size for path in cartridges) < SHARED_BYTES
    if few or PICTURES:  # extensions are loaded in this process only
        return {}
    with ProcessPoolExecutor(min(workers, len(cartridges)), get_context("spawn")) as pool:
        reports = pool.map(partial(verify, thorough=thorough), largest_first)
        return dict(zip(largest_first, reports, strict=True))


def _against_schemas(path: Path, schemas: Schemas) -> Iterator[Finding]:
    try:
        with open_package(path) as package:
            for member in package.names:
                if member.endswith(".xml"):
                    yield from _one_against_schemas(package, member, schemas)
    except Fault as wrong:
        yield _finding(wrong, "", wrong.member)


def _one_against_schemas(package: Package, member: str, schemas: Schemas) -> Iterator[Finding]:
    try:
        for fault in schemas.check(package.read(member)):
            yield _finding(fault, "", member)
    except Fault as wrong:
        yield _finding(wrong, "", member)


def verify(path: Path, *, thorough: bool = False, workers: int = 1, quick: bool = True) -> Report:
    """Audit a package (zip or folder) or a single item's file.

    thorough: the mathematics is decided by two roads, the second with sympy, which must agree (much slower).
    workers: processes to share the items of a large package among; the report is the same for any number. quick: what
    items have in common is looked through once; the report is the same without, later.
    Raises InputError where there is nothing at the path.
    """
    try:
        with open_package(path) as package, _few_collections():
            return _told_apart(_verified(path, package, _Way(thorough, quick), workers))
    except Fault as wrong:
        return Report(_name(path), 0, (_finding(wrong, "", wrong.member),), thorough)


def _name(path: Path) -> str:
    """What a package is called: its own name, also where it is given as `.` or `..`."""
    return path.name if path.name not in {"", ".."} else path.resolve().name or str(path)


def _told_apart(report: Report) -> Report:
    """What could not be checked for want of an extension stands among the notes, with how often."""
    missed = [finding for finding in report.findings if finding.code == NOT_CHECKED]
    if not missed:
        return report
    times: dict[str, set[str]] = {}
    for finding in missed:
        times.setdefault(finding.message, set()).add(finding.item or finding.member)
    notes = tuple(
        f"{len(items)} item{'s' if len(items) > 1 else ''}: {message}" for message, items in times.items()
    )
    kept = tuple(finding for finding in report.findings if finding.code != NOT_CHECKED)
    return replace(report, findings=kept, notes=(*report.notes, *notes))


@contextmanager
def _few_collections() -> Iterator[None]:
    """Much is remembered and little of what is made refers to itself: looking for such takes a tenth of the time."""
    usual = gc.get_threshold()
    gc.set_threshold(50_000, 20, 50)
    try:
        yield
    finally:
        gc.set_threshold(*usual)


@dataclass(frozen=True, slots=True)
class _Way:
    """How items are audited."""

    thorough: bool
    quick: bool


def _verified(path: Path, package: Package, way: _Way, workers: int) -> Report:
    if is_cartridge(package):
        items_seen, pictured, told = audit_cartridge(package, way.thorough, quick=way.quick)
        notes = (_unseen(pictured),) if pictured else ()
        return Report(_name(path), items_seen, tuple(told), way.thorough, notes)
    crew = _crew(path, package, way, workers)
    with crew or nullcontext():  # it makes itself ready while the manifest is read
        return _items_verified(path, package, way, crew)


def _items_verified(path: Path, package: Package, way: _Way, crew: Crew | None) -> Report:
    findings = [_finding(fault, "", fault.member) for fault in package.faults]
    if package.has_manifest:
        inventory = read_manifest(package, quick=way.quick)
        findings += [_finding(fault, "", fault.member) for fault in inventory.faults]
        items = [(member, inventory.metadata.get(member)) for member in inventory.items]
        version, tests = inventory.version, inventory.tests
    else:
        items = [(member, None) for member in package.names]
        version, tests = None, []
    worths: dict[str, Fraction | None] = {}
    codes: dict[str, str] = {}
    count = pictured = 0
    for member, code, found, (worth, is_pictured) in _audited(package, items, version, way, crew):
        count += 1
        worths[member] = worth
        pictured += is_pictured
        findings += found
        if code and code in codes:
            message = f"the item's identifier is that of {codes[code]} too"
            findings.append(Finding(code, member, "duplicate-item", message))
        codes.setdefault(code, member)
    for member, needed in tests:
        findings += _quiz(package, member, worths, needed, version)
    notes = (_unseen(pictured),) if pictured else ()
    return Report(_name(path), count, tuple(findings), way.thorough, notes)


def _quiz(
    package: Package,
    member: str,
    worths: dict[str, Fraction | None],
    needed: frozenset[str],
    version: Version | None,
) -> Iterator[Finding]:
    try:
        for fault in check_quiz(package.read(member), member, worths, needed, version):
            yield _finding(fault, "", member)
    except Fault as wrong:
        yield _finding(wrong, "", member)


def _unseen(pictured: int) -> str:
    items = (
        f"{pictured} item{'s show' if pictured > 1 else ' shows'} formulas as pictures, which cannot be read"
    )
    return f"{items}: what was proved is what is spoken of them and what their annotations say"


_Wanted = tuple[str, Metadata | None]
"""The member of an item, and what the manifest says of it."""
_Audited = tuple[str, str, tuple[Finding, ...], tuple[Fraction | None, bool]]
"""The member, the item's code, what was found; the marks it is worth, and whether its formulas are pictures."""


def _crew(path: Path, package: Package, way: _Way, workers: int) -> Crew | None:
    """Processes that share the items of a large package, None where others would not pay, or know less than this."""
    if (
        workers <= 1 or len(package.names) < SHARED_FROM or PICTURES
    ):  # extensions are loaded in this process only
        return None
    return Crew(workers, _open_in_worker, path, way)


def _audited(
    package: Package, items: list[_Wanted], version: Version | None, way: _Way, crew: Crew | None
) -> Iterator[_Audited]:
    if crew is None:
        yield from _Items(package, version, way).audited(items)
        return
    parts = [items[start : start + PART] for start in range(0, len(items), PART)]
    for found in crew.done(partial(_audited_in_worker, version), parts):
        yield from found


_in_worker: tuple[Package, _Way]
"""The package of a worker, opened once."""


def _open_in_worker(path: Path, way: _Way) -> None:
    global _in_worker
    opened = ExitStack()
    atexit.register(opened.close)
    _in_worker = opened.enter_context(open_package(path)), way
    opened.enter_context(_few_collections())


@cache
def _items_in_worker(version: Version | None) -> _Items:
    """What is known of frames is kept from part to part."""
    package, way = _in_worker
    return _Items(package, version, way)


def _audited_in_worker(version: Version | None, items: list[_Wanted]) -> list[_Audited]:
    return list(_items_in_worker(version).audited(items))


class _Items:
    """The items of a package, audited one after the other."""

    def __init__(self, package: Package, version: Version | None, way: _Way) -> None:
        self._package, self._version, self._way = package, version, way
        members = frozenset(package.names)
        self._within = members if package.has_manifest else None
        self._pictures = Pictures(package.read, members) if package.has_manifest else None
        shared = way.quick and not way.thorough and package.has_manifest
        self._road = QuickRoad(version, members, package.read) if shared else None

    def audited(self, items: Iterable[_Wanted]) -> Iterator[_Audited]:
        """What is found of each."""
        for member, told in items:
            try:
                data = self._package.read(member)
            except Fault as wrong:
                yield member, "", (_finding(wrong, "", member),), (None, False)
                continue
            passed = None if self._road is None else self._road.passed(data, member)
            if passed is None:
                found = self._one(data, member)
            else:
                found = member, stem(member), (), (passed.worth, PICTURED in data)
            known = told is None or (passed is not None and passed.is_as_told(told))
            yield found if told is None or known else _compared(found, data, told)

    def _one(self, data: bytes, member: str) -> _Audited:
        road = self._road
        at = _Place(
            member, self._within, self._version, self._way.thorough, self._package.read, self._pictures
        )
        found = _audited_item(data, at, None if road is None else road.fragments)
        if road is not None and found.findings:
            found = _audited_item(data, at)
        elif road is not None:
            road.remember(data, member, found.facts)
        return member, found.code, found.findings, (found.worth, PICTURED in data)


def _compared(audited: _Audited, data: bytes, told: Metadata) -> _Audited:
    """The same with what the manifest says otherwise."""
    member, code, findings, (worth, pictured) = audited
    try:
        faults = list(metadata_faults(told, data, stem(member), worth))
    except Fault:
        return audited  # what cannot be read is told already
    if not faults:
        return audited
    more = tuple(_finding(fault, code, member) for fault in faults)
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
    except (CannotTell, ArithmeticError, RecursionError) as stuck:
        faults.append(Fault("cannot-tell", f"the item cannot be decided: {stuck}"))
    findings = tuple(dict.fromkeys(_finding(fault, code, member) for fault in faults))
    return _Found(code, findings, worth, facts)


def _references(root: etree._Element, member: str, members: frozenset[str]) -> Iterator[Fault]:
    folder = PurePosixPath(member).parent
    for address in addresses(root):
        path = unquote(address)
        if ":" in path or path.startswith("/") or ".." in PurePosixPath(path).parts:
            yield Fault("unsafe-reference", f"the item points to {address!r}, outside the package")
        elif str(folder / path) not in members:
            yield Fault("missing-file", f"the item points to {address!r}, which is not in the package")


def _finding(fault: Fault, item: str, member: str) -> Finding:
    return Finding(item, fault.member or member, fault.code, fault.message, fault.place)
