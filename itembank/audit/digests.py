"""Packages and output folders against a list of digests that was kept elsewhere: any changed byte is found.

The list is the one `build` leaves: a line of heading, then for each file its SHA-256 and path, the members of a package
further in below it.
"""

from __future__ import annotations

import hashlib
import re
import stat
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from itembank.audit.findings import Fault
from itembank.audit.package import Package, open_package
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["Digests", "check_digests", "read_digests"]

HEADING: Final = "itembank digests, SHA-256"
UNLISTED: Final = frozenset({"staff/digests.txt", "staff/changes.md", ".itembank-output"})
_LINE: Final = re.compile(r"( {4})?([0-9a-f]{64})  (\S.*)")
_LIST_BYTES: Final = 256 * 2**20


@dataclass(frozen=True, slots=True)
class Digests:
    """files: path -> digest; members: path of a package -> name of a member -> digest."""

    files: dict[str, str] = field(default_factory=dict)
    members: dict[str, dict[str, str]] = field(default_factory=dict)


def read_digests(path: Path) -> Digests:
    """A list. Raises InputError where there is none or a line is none of it."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise _unreadable(path, "it is a folder")
        if not stat.S_ISREG(status.st_mode):  # a device may never end, a pipe never begin
            raise _unreadable(path, "it is a device or a pipe")
        if status.st_size > _LIST_BYTES:
            raise InputError(
                Diagnostic("broken-digests", f"the list is over {_LIST_BYTES} bytes", Span(str(path), 1, 1))
            )
        lines = path.read_text("utf-8-sig").splitlines()
    except OSError as wrong:
        raise _unreadable(path, (wrong.strerror or str(wrong)).lower()) from None
    except UnicodeDecodeError:
        raise _unreadable(path, "it is not in UTF-8") from None
    if not lines or lines[0] != HEADING:
        raise InputError(_broken(path, 1, "the list does not begin as `build` writes it"))
    found = Digests()
    package = ""
    for number, line in enumerate(lines[1:], start=2):
        parts = _LINE.fullmatch(line)
        if parts is None or (parts[1] and not package):
            raise InputError(_broken(path, number, "a digest and a name are needed"))
        if parts[1]:
            found.members.setdefault(package, {})[parts[3]] = parts[2]
        else:
            package = parts[3]
            found.files[package] = parts[2]
    return found


def _unreadable(path: Path, reason: str) -> InputError:
    message = f"the list of digests {path} cannot be read: {reason}"
    hint = "name the staff/digests.txt that a build wrote, or a copy of it"
    return InputError(Diagnostic("broken-digests", message, Span(str(path), 1, 1), hint=hint))


def _broken(path: Path, line: int, what: str) -> Diagnostic:
    hint = "give the file `staff/digests.txt` of the build, unchanged"
    return Diagnostic("broken-digests", what, Span(str(path), line, 1), hint=hint)


def check_digests(path: Path, digests: Digests) -> Iterator[Fault]:
    """What differs from the list in a package, an output folder, an unpacked package or one item's file."""
    if path.is_dir() and not (path / "imsmanifest.xml").is_file():
        yield from _folder(path, digests)
        return
    listed = [name for name in digests.files if name.rpartition("/")[2] == path.name]
    if path.is_file() and listed:
        digest = _file_digest(path)
        if digest in {digests.files[name] for name in listed}:
            return
        yield Fault("digest-differs", "the file is not, byte for byte, the one in the list", member=path.name)
        if zipfile.is_zipfile(path):
            yield from _members(path, digests.members.get(listed[0], {}))
        return
    if path.is_dir():
        yield from _unpacked(path, digests)
        return
    known = {
        digest
        for members in digests.members.values()
        for name, digest in members.items()
        if name.rpartition("/")[2] == path.name
    }
    if not known:
        yield Fault("not-in-list", "no file of this name is in the list of digests", member=path.name)
    elif _file_digest(path) not in known:
        yield Fault("digest-differs", "the file is not, byte for byte, the one in the list", member=path.name)


def _folder(root: Path, digests: Digests) -> Iterator[Fault]:
    """A whole output folder."""
    found = {each.relative_to(root).as_posix() for each in root.rglob("*") if not each.is_dir()}
    for name in sorted(found | set(digests.files)):
        if name not in found:
            yield Fault("missing-file", "the file is in the list and not in the folder", member=name)
        elif name not in digests.files:
            if name not in UNLISTED:
                yield Fault("not-in-list", "the file is in the folder and not in the list", member=name)
        elif (root / name).is_symlink():
            yield Fault("link", "the file is a link", member=name)
        elif _file_digest(root / name) != digests.files[name]:
            yield Fault("digest-differs", "the file is not, byte for byte, the one in the list", member=name)
            if name in digests.members and zipfile.is_zipfile(root / name):
                yield from _members(root / name, digests.members[name])


def _unpacked(path: Path, digests: Digests) -> Iterator[Fault]:
    """An unpacked package: of all packages in the list, the one it has most in common with."""
    with open_package(path) as package:
        present = set(package.names)
        nearest = max(digests.members.values(), key=lambda members: _alike(package, members), default={})
        yield from _compared(package, present, nearest)


def _alike(package: Package, members: dict[str, str]) -> tuple[bool, int]:
    manifest = "imsmanifest.xml"
    same = manifest in package.names and _digest(package, manifest) == members.get(manifest)
    return same, len(members.keys() & set(package.names))


def _members(path: Path, listed: dict[str, str]) -> Iterator[Fault]:
    try:
        with open_package(path) as package:
            yield from _compared(package, set(package.names), listed)
    except Fault as wrong:
        yield wrong


def _compared(package: Package, present: set[str], listed: dict[str, str]) -> Iterator[Fault]:
    for name in sorted(present | set(listed)):
        if name not in present:
            yield Fault("missing-file", "the member is in the list and not in the package", member=name)
        elif name not in listed:
            yield Fault("not-in-list", "the member is in the package and not in the list", member=name)
        elif _digest(package, name) != listed[name]:
            yield Fault(
                "digest-differs", "the member is not, byte for byte, the one in the list", member=name
            )


def _digest(package: Package, name: str) -> str:
    try:
        return hashlib.sha256(package.read(name)).hexdigest()
    except Fault:
        return ""


def _file_digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
