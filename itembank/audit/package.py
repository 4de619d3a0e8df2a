"""Opening what is to be audited: a zip, a folder, or one item's file. Nothing inside is trusted.

Names, sizes, links and numbers of members are bounded and checked before any member is read; members are read one
at a time into memory, never unpacked to disk.
"""

from __future__ import annotations

import os
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Final, Protocol

from itembank.audit.findings import Fault
from itembank.audit.member_names import (
    MEMBER_BYTES,
    MEMBERS,
    NAME_CHARACTERS,
    entry_faults,
    folder_faults,
    name_faults,
    overlap_faults,
    packed_faults,
    size_faults,
)
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["Package", "open_package"]

DEPTH: Final = 16
_UNREADABLE: Final = (
    zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError, ValueError,
)  # fmt: skip
_PLAIN_FLAGS: Final = 0x0806
"""How hard was pressed, and that names are UTF-8."""
_SIZES_LATER: Final = 0x0008
_SIGNATURE: Final = 0x04034B50
_IN_EXTRA: Final = 0xFFFFFFFF
_HEAD: Final = struct.Struct("<I2xHH4xIIIHH")


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
        raise InputError(
            Diagnostic(
                "no-such-package",
                f"there is no file or folder {path}",
                Span(str(path), 1, 1),
                hint="name a package, a folder or an item file",
            )
        )
    if path.is_dir():
        yield _Folder(path)
    elif (
        not path.is_file()
    ):  # a device may never end, a pipe never begin; nor can either be read in any order
        raise Fault("not-a-package", "it is a device or a pipe: save the package as a file and name that")
    elif path.suffix.lower() == ".xml":
        yield _SingleItem(path)
    else:
        yield from _opened_zip(path)


class _Zip:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self.has_manifest = True
        entries = [entry for entry in archive.infolist() if not entry.is_dir()]
        folders = [entry.filename for entry in archive.infolist() if entry.is_dir()]
        faults = [*name_faults([entry.filename for entry in entries]), *folder_faults(folders)]
        faults += overlap_faults(archive)
        for entry in entries:
            faults += entry_faults(entry, len(entries))
        bad = {fault.member for fault in faults}
        self.faults = (*faults, *packed_faults(entries))
        self._entries = {entry.filename: entry for entry in entries if entry.filename not in bad}
        self.names = tuple(self._entries)

    def read(self, name: str) -> bytes:
        entry = self._entries[name]
        if entry.file_size > MEMBER_BYTES:
            raise Fault("too-large", f"the file is over {MEMBER_BYTES} bytes", member=name)
        try:
            return self._plainly(entry) or self._archive.read(entry)
        except _UNREADABLE as wrong:
            raise Fault(
                "damaged-member", f"the file cannot be read out of the zip: {wrong}", member=name
            ) from None

    def _plainly(self, entry: zipfile.ZipInfo) -> bytes | None:
        """A deflated member; None for one that is stored, or is not in order, for the library to look into.

        Raises Fault as `_is_plain`.
        """
        file = self._archive.fp
        if not self._is_plain(entry) or file is None:
            return None
        unpacking = zlib.decompressobj(-15)
        try:
            data = unpacking.decompress(file.read(entry.compress_size), entry.file_size + 1)
        except zlib.error:
            return None
        whole = unpacking.eof and not unpacking.unused_data and len(data) == entry.file_size
        return data if whole and zlib.crc32(data) == entry.CRC else None

    def _is_plain(self, entry: zipfile.ZipInfo) -> bool:
        """Whether the member is deflated and begins where the file is read next.

        Raises Fault `damaged-member` where its own header says otherwise than the directory, by which some readers go
        and others do not. Source: PKWARE, APPNOTE.TXT 6.3.10, section 4.3.7.
        """
        file = self._archive.fp
        if file is None:
            return False
        file.seek(entry.header_offset)
        head = file.read(_HEAD.size)
        if len(head) < _HEAD.size:
            return False
        signature, flags, method, crc, packed, size, named, extra = _HEAD.unpack(head)
        if signature != _SIGNATURE or file.read(named) != entry.orig_filename.encode():
            return False  # which the library tells
        said = (crc, packed, size)
        told = said == (entry.CRC, entry.compress_size, entry.file_size)
        if (
            method != entry.compress_type
            or flags != entry.flag_bits
            or not (told or flags & _SIZES_LATER or _IN_EXTRA in said)
        ):
            message = "its own header says otherwise than the zip's directory"
            raise Fault("damaged-member", message, member=entry.filename)
        return method == zipfile.ZIP_DEFLATED and not flags & ~_PLAIN_FLAGS and not extra

    def open(self, name: str) -> IO[bytes]:
        entry = self._entries[name]
        try:
            self._is_plain(entry)
            return self._archive.open(entry)
        except _UNREADABLE as wrong:
            raise Fault(
                "damaged-member", f"the file cannot be read out of the zip: {wrong}", member=name
            ) from None


class _Folder:
    def __init__(self, root: Path) -> None:
        self._root = root
        self.has_manifest = True
        sizes: dict[str, int] = {}
        faults = list(_walk(root, "", 0, sizes))
        faults += name_faults(list(sizes))
        faults += [fault for name, size in sizes.items() for fault in size_faults(name, size, len(sizes))]
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
        self.faults: tuple[Fault, ...] = tuple(size_faults(path.name, path.stat().st_size, 1))

    def read(self, name: str) -> bytes:
        with self.open(name) as member:
            return _bounded(member, name)

    def open(self, name: str) -> IO[bytes]:
        return self._path.open("rb")


def _opened_zip(path: Path) -> Iterator[Package]:
    count = _refuse_endless_directory(path)
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, NotImplementedError, OSError, ValueError) as wrong:
        raise Fault("not-a-package", f"the file is no zip: {wrong}") from None
    with archive:
        if len(archive.infolist()) > MEMBERS:
            raise Fault("too-many-members", f"the zip has more than {MEMBERS} members")
        if len(archive.infolist()) != count:
            raise Fault(
                "not-a-package", f"the zip tells of {count} members and has {len(archive.infolist())}"
            )
        yield _Zip(archive)


def _refuse_endless_directory(path: Path) -> int:
    """Look at the end record before the library reads the whole directory into memory: how many members it tells of.

    Source: PKWARE, APPNOTE.TXT 6.3.10, sections 4.3.14 to 4.3.16.
    """
    with path.open("rb") as file:
        begin = file.read(4)
        end = file.seek(0, os.SEEK_END)
        file.seek(max(0, end - 65_557 - 20))
        tail = file.read()
    at = tail.rfind(b"PK\x05\x06")
    if at < 0 or len(tail) < at + 22:
        raise Fault("not-a-package", "the file is no zip: it has no end record")
    count, size, offset, comment = map(int, struct.unpack("<10xHIIH", tail[at : at + 22]))
    before = end - len(tail) + at
    if count == 0xFFFF or _IN_EXTRA in (size, offset):
        count, size = _large_counts(path, tail, at)
    elif offset + size != before:
        raise Fault(
            "not-a-package", "the file is no zip from its first byte on, or its directory is elsewhere"
        )
    if at + 22 + comment != len(tail):
        raise Fault("not-a-package", "something follows the zip in the file")
    if begin not in (b"PK\x03\x04", b"PK\x05\x06"):
        raise Fault("not-a-package", "the file does not begin as a zip")
    if count > MEMBERS or size > MEMBERS * (46 + 4 * NAME_CHARACTERS):
        raise Fault("too-many-members", f"the zip has more than {MEMBERS} members")
    return count


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
