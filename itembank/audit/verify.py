"""The door of the audit: an exported package is read from its file and every item proved again.

verify(Path("quiz.zip"))                 every check, exactly
verify(Path("quiz.zip"), thorough=True)  the mathematics twice, the second time with sympy
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import nullcontext
from dataclasses import replace
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import Final

from itembank.audit.cartridge import audit_cartridge, is_cartridge
from itembank.audit.crew import Crew
from itembank.audit.dialects import Version
from itembank.audit.digests import Digests, check_digests
from itembank.audit.extensions import NOT_CHECKED, PICTURES
from itembank.audit.findings import Fault, Finding, Report, reported
from itembank.audit.item_audit import Way, audit_item
from itembank.audit.item_crew import audited, crew_of, few_collections
from itembank.audit.manifest import read_manifest
from itembank.audit.member_names import MANIFEST
from itembank.audit.package import Package, open_package
from itembank.audit.quiz_check import check_quiz
from itembank.audit.schemas import Schemas
from itembank.errors import Diagnostic, InputError, Span
from itembank.worker_pool import worker_pool

__all__ = ["audit_item", "verify", "verify_all"]

SHARED_BYTES: Final = 500_000
"""Bytes of cartridges together from which on it pays."""
_CARTRIDGE: Final = ".imscc"


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
                Report(_name(path), 0, tuple(reported(fault, "", fault.member) for fault in listed))
            )
            places.append(path)
            listed = []
        for package in packages:
            found = ready.get(package) or verify(package, thorough=thorough, workers=workers)
            told = tuple(reported(fault, "", fault.member) for fault in listed)
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
    with worker_pool(min(workers, len(cartridges)), fresh=True) as pool:
        reports = pool.map(partial(verify, thorough=thorough), largest_first)
        return dict(zip(largest_first, reports, strict=True))


def _against_schemas(path: Path, schemas: Schemas) -> Iterator[Finding]:
    try:
        with open_package(path) as package:
            for member in package.names:
                if member.endswith(".xml"):
                    yield from _one_against_schemas(package, member, schemas)
    except Fault as wrong:
        yield reported(wrong, "", wrong.member)


def _one_against_schemas(package: Package, member: str, schemas: Schemas) -> Iterator[Finding]:
    try:
        for fault in schemas.check(package.read(member)):
            yield reported(fault, "", member)
    except Fault as wrong:
        yield reported(wrong, "", member)


def verify(path: Path, *, thorough: bool = False, workers: int = 1, quick: bool = True) -> Report:
    """Audit a package (zip or folder) or a single item's file.

    thorough: the mathematics is decided by two roads, the second with sympy, which must agree (much slower).
    workers: processes to share the items of a large package among; the report is the same for any number. quick: what
    items have in common is looked through once; the report is the same without, later.
    Raises InputError where there is nothing at the path.
    """
    try:
        with open_package(path) as package, few_collections():
            return _told_apart(_verified(path, package, Way(thorough, quick), workers))
    except Fault as wrong:
        return Report(_name(path), 0, (reported(wrong, "", wrong.member),), thorough)


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


def _verified(path: Path, package: Package, way: Way, workers: int) -> Report:
    if is_cartridge(package):
        items_seen, pictured, told = audit_cartridge(package, way.thorough, quick=way.quick)
        notes = (_unseen(pictured),) if pictured else ()
        return Report(_name(path), items_seen, tuple(told), way.thorough, notes)
    crew = crew_of(path, package, way, workers)
    with crew or nullcontext():  # it makes itself ready while the manifest is read
        return _items_verified(path, package, way, crew)


def _items_verified(path: Path, package: Package, way: Way, crew: Crew | None) -> Report:
    findings = [reported(fault, "", fault.member) for fault in package.faults]
    if package.has_manifest:
        inventory = read_manifest(package, quick=way.quick)
        findings += [reported(fault, "", fault.member) for fault in inventory.faults]
        items = [(member, inventory.metadata.get(member)) for member in inventory.items]
        version, tests = inventory.version, inventory.tests
    else:
        items = [(member, None) for member in package.names]
        version, tests = None, []
    worths: dict[str, Fraction | None] = {}
    codes: dict[str, str] = {}
    count = pictured = 0
    for member, code, found, (worth, is_pictured) in audited(package, items, version, way, crew):
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
            yield reported(fault, "", member)
    except Fault as wrong:
        yield reported(wrong, "", member)


def _unseen(pictured: int) -> str:
    items = (
        f"{pictured} item{'s show' if pictured > 1 else ' shows'} formulas as pictures, which cannot be read"
    )
    return f"{items}: what was proved is what is spoken of them and what their annotations say"
