"""Opening what is to be audited: a zip, a folder, or one item's file. Nothing inside is trusted.

Names, sizes, links and numbers of members are bounded and checked before any member is read; members are read one
at a time into memory, never unpacked to disk.
"""

from __future__ import annotations

import os
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from typing import IO, Final, Protocol

from itembank.audit.findings import Fault
from itembank.errors import Diagnostic, InputError

__all__ = ["MANIFEST", "MEMBERS", "MEMBER_BYTES", "Package", "open_package"]

MANIFEST: Final = "imsmanifest.xml"
MEMBERS: Final = 200_000
MEMBER_BYTES: Final = 4 * 2**20
# a manifest grows with the package: so many bytes for each member, above the bound of any other file
MANIFEST_BYTES_EACH: Final = 4096
# text of items deflates to a tenth or so; what shrinks a hundredfold beyond a first stretch was made to burst
RATIO: Final = 100
RATIO_FREE_BYTES: Final = 64 * 1024
NAME_CHARACTERS: Final = 240
DEPTH: Final = 16


class Package(Protocol):
    """What the audit needs of a package, however it is stored."""

    @property
    def names(self) -> tuple[str, ...]:
        """Every member, in stored order; an unsafe name is among `faults` instead."""

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong with names and sizes."""

    @property
    def has_manifest(self) -> bool:
        """False for one item's file."""

    def read(self, name: str) -> bytes:
        """The bytes of a member. Raises Fault `too-large` or `damaged-member`."""

    def open(self, name: str) -> IO[bytes]:
        """A member as a stream."""


@contextmanager
def open_package(path: Path) -> Iterator[Package]:
    """Open a zip file, a folder or a single item's file.

    Raises InputError where there is nothing at the path, Fault for what cannot be opened safely: `not-a-package`,
    `too-many-members`.
    """
    if not path.exists():
        raise InputError(Diagnostic("no-such-package", f"there is no file or folder {path}"))
    if path.is_dir():
        yield _Folder(path)
    elif path.suffix.lower() == ".xml":
        yield _SingleItem(path)
    else:
        yield from _opened_zip(path)


class _Zip:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self.has_manifest = True
        entries = [entry for entry in archive.infolist() if not entry.is_dir()]
        # directory entries hold no bytes, but their names are unpacked all the same
        folders = [entry.filename for entry in archive.infolist() if entry.is_dir()]
        faults = [*_name_faults([entry.filename for entry in entries]), *_folder_faults(folders)]
        faults += _overlaps(archive)
        for entry in entries:
            faults += _entry_faults(entry, len(entries))
        self.faults = tuple(faults)
        bad = {fault.member for fault in faults}
        self._entries = {entry.filename: entry for entry in entries if entry.filename not in bad}
        self.names = tuple(self._entries)

    def read(self, name: str) -> bytes:
        entry = self._entries[name]
        if entry.file_size > MEMBER_BYTES:
            raise Fault("too-large", f"the file is over {MEMBER_BYTES} bytes", member=name)
        try:
            return self._archive.read(entry)
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as wrong:
            raise Fault("damaged-member", f"the file cannot be read out of the zip: {wrong}", member=name) from None

    def open(self, name: str) -> IO[bytes]:
        try:
            return self._archive.open(self._entries[name])
        except (zipfile.BadZipFile, NotImplementedError, RuntimeError) as wrong:
            raise Fault("damaged-member", f"the file cannot be read out of the zip: {wrong}", member=name) from None


class _Folder:
    def __init__(self, root: Path) -> None:
        self._root = root
        self.has_manifest = True
        sizes: dict[str, int] = {}
        faults = list(_walk(root, "", 0, sizes))
        faults += _name_faults(list(sizes))
        faults += [fault for name, size in sizes.items() for fault in _size_faults(name, size, len(sizes))]
        self.faults = tuple(faults)
        bad = {fault.member for fault in faults}
        self.names = tuple(name for name in sizes if name not in bad)

    def read(self, name: str) -> bytes:
        with self.open(name) as member:
            return _bounded(member, name)

    def open(self, name: str) -> IO[bytes]:
        return (self._root / name).open("rb")


class _SingleItem:
    def __init__(self, path: Path) -> None:
        self._path = path
        self.has_manifest = False
        self.names = (path.name,)
        self.faults: tuple[Fault, ...] = tuple(_size_faults(path.name, path.stat().st_size, 1))

    def read(self, name: str) -> bytes:
        with self.open(name) as member:
            return _bounded(member, name)

    def open(self, name: str) -> IO[bytes]:
        return self._path.open("rb")


def _opened_zip(path: Path) -> Iterator[Package]:
    _refuse_endless_directory(path)
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, NotImplementedError, OSError, ValueError) as wrong:
        raise Fault("not-a-package", f"the file is no zip: {wrong}") from None
    with archive:
        if len(archive.infolist()) > MEMBERS:
            raise Fault("too-many-members", f"the zip has more than {MEMBERS} members")
        yield _Zip(archive)


def _refuse_endless_directory(path: Path) -> None:
    """Look at the end record before the library reads the whole directory into memory.

    Source: PKWARE, APPNOTE.TXT 6.3.10, sections 4.3.14 to 4.3.16.
    """
    with path.open("rb") as file:
        end = file.seek(0, os.SEEK_END)
        file.seek(max(0, end - 65_557 - 20))
        tail = file.read()
    at = tail.rfind(b"PK\x05\x06")
    if at < 0 or len(tail) < at + 22:
        raise Fault("not-a-package", "the file is no zip: it has no end record")
    count, size = struct.unpack("<10xHI", tail[at : at + 16])
    if count == 0xFFFF or size == 0xFFFFFFFF:
        count, size = _large_counts(path, tail, at)
    if count > MEMBERS or size > MEMBERS * (46 + 4 * NAME_CHARACTERS):
        raise Fault("too-many-members", f"the zip has more than {MEMBERS} members")


def _large_counts(path: Path, tail: bytes, at: int) -> tuple[int, int]:
    if at < 20 or tail[at - 20 : at - 16] != b"PK\x06\x07":
        return 0xFFFF, 0
    (offset,) = struct.unpack("<Q", tail[at - 12 : at - 4])
    with path.open("rb") as file:
        if offset > path.stat().st_size:
            raise Fault("not-a-package", "the file is no zip: its end record points outside")
        file.seek(offset)
        record = file.read(56)
    if len(record) < 56 or record[:4] != b"PK\x06\x06":
        raise Fault("not-a-package", "the file is no zip: its end record is broken")
    count, size = struct.unpack("<32xQQ", record[:48])
    return count, size


def _entry_faults(entry: zipfile.ZipInfo, members: int) -> Iterator[Fault]:
    name = entry.filename
    if entry.orig_filename != name:
        # the library cuts a name at a zero byte: what one reader calls a.xml is something else to another
        yield Fault("unsafe-name", "the name holds a zero byte or a foreign separator", member=name)
    if stat.S_IFMT(entry.external_attr >> 16) not in {0, stat.S_IFREG}:
        yield Fault("link", "the member is a link or another special file", member=name)
    if entry.flag_bits & 0x1:
        yield Fault("encrypted-member", "the member is encrypted", member=name)
    if entry.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
        yield Fault("unknown-compression", "the member is neither stored nor deflated", member=name)
    if entry.file_size > RATIO_FREE_BYTES + RATIO * entry.compress_size:
        yield Fault("zip-bomb", "the member grows more than a hundredfold when unpacked", member=name)
    yield from _size_faults(name, entry.file_size, members)


def _size_faults(name: str, size: int, members: int) -> Iterator[Fault]:
    bound = MEMBER_BYTES + (MANIFEST_BYTES_EACH * members if name == MANIFEST else 0)
    if size > bound:
        yield Fault("too-large", f"the file has {size} bytes, more than {bound}", member=name)


def _overlaps(archive: zipfile.ZipFile) -> Iterator[Fault]:
    """Members that share bytes: the way small archives unpack to enormous ones."""
    entries = sorted(archive.infolist(), key=lambda entry: entry.header_offset)
    for entry, following in pairwise(entries):
        # 30 bytes of fixed header, the name and the data: the extra field may be longer, never shorter than 0
        if entry.header_offset + 30 + entry.compress_size > following.header_offset:
            yield Fault("zip-bomb", "the member shares its bytes with another one", member=following.filename)


def _name_faults(names: list[str]) -> Iterator[Fault]:
    seen: dict[str, str] = {}
    for name in names:
        reason = unsafe_reason(name)
        if reason:
            yield Fault("unsafe-name", f"the name {name!r} {reason}", member=name)
        folded = name.casefold()
        if folded in seen:
            same = seen[folded] == name
            yield Fault(
                "duplicate-member",
                "two members have this name" if same else f"the name differs from {seen[folded]} in case only",
                member=name,
            )
        seen[folded] = name


def _folder_faults(names: list[str]) -> Iterator[Fault]:
    for name in names:
        reason = unsafe_reason(name.rstrip("/"))
        if reason:
            yield Fault("unsafe-name", f"the name {name!r} {reason}", member=name)


def unsafe_reason(name: str) -> str:
    """Why a member's name must not be followed, "" where it may.

    >>> unsafe_reason("items/../../notes.xml")
    "has a segment '..'"
    """
    if not name or len(name) > NAME_CHARACTERS:
        return "is empty or too long"
    if any(ord(character) < 32 or character in '\\:*?"<>|\x7f' for character in name):
        return "holds a character that no path may hold"
    if name.startswith("/"):
        return "is absolute"
    for segment in name.split("/"):
        if segment in {"", ".", ".."}:
            return f"has a segment {segment!r}"
    return ""


def _walk(root: Path, inside: str, depth: int, sizes: dict[str, int]) -> Iterator[Fault]:
    if depth > DEPTH:
        yield Fault("unsafe-name", f"folders are nested deeper than {DEPTH}", member=inside)
        return
    for entry in sorted(os.scandir(root / inside), key=lambda entry: entry.name):
        name = f"{inside}{entry.name}"
        if entry.is_symlink():
            yield Fault("link", "the member is a link", member=name)
        elif entry.is_dir(follow_symlinks=False):
            yield from _walk(root, name + "/", depth + 1, sizes)
        elif not entry.is_file(follow_symlinks=False):
            yield Fault("link", "the member is a special file", member=name)
        else:
            sizes[name] = entry.stat(follow_symlinks=False).st_size
            if len(sizes) > MEMBERS:
                raise Fault("too-many-members", f"the folder has more than {MEMBERS} files")


def _bounded(member: IO[bytes], name: str) -> bytes:
    data = member.read(MEMBER_BYTES + 1)
    if len(data) > MEMBER_BYTES:
        raise Fault("too-large", f"the file is over {MEMBER_BYTES} bytes", member=name)
    return data
