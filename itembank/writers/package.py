"""Packages: the one room that writes zip containers, and the checked names of what is in them.

It knows bytes and names, nothing of items, formats or manifests. The standard library's zip writer is not
used: it compresses in the process that writes and keeps an object for each member, while here workers
compress (`compress` is pure) and hand back finished members, and 100 000 of them leave only their names and
a directory entry in memory. The same members in the same order give the same bytes: times and modes are
constants, and nothing is asked of the machine. Whole members are deflated by libdeflate, which comes with the
package `deflate` in one version for all machines, in half the time that zlib takes; only what is streamed (a
manifest) is deflated by the zlib at hand, and its bytes are those of that zlib.

Source of the layout: PKWARE, APPNOTE.TXT 6.3.10, sections 4.3.7 and 4.3.12 to 4.3.16 (records), 4.4 (fields)
and 4.5.3 (Zip64). Section numbers in comments are of that text.
"""

from __future__ import annotations

import hashlib
import re
import struct
import unicodedata
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from tempfile import SpooledTemporaryFile
from types import TracebackType
from typing import IO, Final, NamedTuple

from deflate import crc32, deflate_compress

from itembank.errors import DomainError

__all__ = ["Member", "PackagePath", "PackageWriter", "StreamedMember", "compress", "file_name"]

SEGMENT_BYTES: Final = 120
# Windows' tools stop at 260 characters for a whole path; the rest is room for the folder it is unpacked into.
PATH_BYTES: Final = 200

_FORBIDDEN = re.compile(r'[\x00-\x1f\x7f\\:*?"<>|]')
# Source: Microsoft, "Naming Files, Paths, and Namespaces": devices, also with any extension.
_DEVICE = re.compile(r"(?:con|prn|aux|nul|conin\$|conout\$|(?:com|lpt)[0-9¹²³]) *(?:\.|\Z)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class PackagePath:
    """The name of a member: a relative path that every unpacker on every system reads as the same file.

    text: segments joined by `/`, in all at most PATH_BYTES and each at most SEGMENT_BYTES long in UTF-8;
    ASCII, or letters, marks and numbers of any script in Unicode's form NFC. Raises DomainError with the
    reason for a name that is absolute, climbs (`..`), has an empty or `.` segment, a control character or
    one of `\\ : * ? " < > |`, ends a segment in a dot or a space, or is a device of Windows (`nul`,
    `COM1.xml`).

    >>> str(PackagePath("items/vertex-form-7.xml"))
    'items/vertex-form-7.xml'
    >>> PackagePath("../marks.csv")
    Traceback (most recent call last):
    itembank.errors.DomainError: the name '../marks.csv' does not fit into a package: it has a segment '..'
    """

    text: str

    def __post_init__(self) -> None:
        if fault := _fault(self.text):
            raise DomainError(f"the name {self.text!r} does not fit into a package: {fault}")

    def __str__(self) -> str:
        return self.text


def _fault(text: str) -> str:
    if text.startswith("/"):
        return "it is absolute"
    if found := _FORBIDDEN.search(text):
        return f"it has the character {found[0]!r}"
    if not text.isascii() and (fault := _unicode_fault(text)):
        return fault
    if len(text.encode()) > PATH_BYTES:
        return f"it is longer than {PATH_BYTES} bytes"
    for segment in text.split("/"):
        if segment in ("", ".", ".."):
            return f"it has a segment {segment!r}"
        if segment[-1] in ". ":
            return f"the segment {segment!r} ends in {segment[-1]!r}"
        if len(segment.encode()) > SEGMENT_BYTES:
            return f"the segment {segment!r} is longer than {SEGMENT_BYTES} bytes"
        if _DEVICE.match(segment):
            return f"the segment {segment!r} is a device of Windows"
    return ""


def _unicode_fault(text: str) -> str:
    for character in text:
        if not character.isascii() and unicodedata.category(character)[0] not in "LMN":
            return f"{character!a} is neither ASCII nor a letter, mark or number"
    return "" if unicodedata.is_normalized("NFC", text) else "it is not in Unicode's form NFC"


_PLAIN_NAME = re.compile(r"[a-z0-9]+(?:[-_][a-z0-9]+)*")
_SUFFIX = re.compile(r"(?:\.[a-z0-9]{1,10}){0,2}")
_STEM_LENGTH = 80
_DIGEST_LENGTH = 10
_ENDS_LIKE_A_DIGEST = re.compile(rf"-[0-9a-f]{{{_DIGEST_LENGTH}}}\Z")


def file_name(text: str, suffix: str) -> str:
    """Return a file name for any text: one segment of a PackagePath, made of `a-z`, `0-9`, `-` and `_`.

    text: any string; one that is such a name already, of at most 80 characters, is kept. Of any other the
    small ASCII letters and digits are kept (after Unicode's compatibility decomposition: `É` gives `e`), a
    stretch of anything else becomes `-`, and ten hexadecimal digits of the SHA-256 of the text keep it apart
    from its like: two texts share a name only where those ten digits agree. No other script is kept, since a
    system of another encoding cannot store it, and no capital, since half of all systems cannot tell it from
    the small letter. suffix: "" or one or two extensions such as `.xml`; raises DomainError for another.

    >>> file_name("vertex-form", ".xml")
    'vertex-form.xml'
    >>> file_name("Évening algebra/3", ".zip")
    'evening-algebra-3-3e37b97b03.zip'
    """
    if not _SUFFIX.fullmatch(suffix):
        raise DomainError(f"the suffix {suffix!r} is not '' or one or two small extensions such as '.xml'")
    if _is_kept(text):
        return text + suffix
    letters = (c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    words = re.findall("[a-z0-9]+", "".join(letters).lower())
    stem = "-".join(words)[:_STEM_LENGTH].rstrip("-") or "unnamed"
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGEST_LENGTH]
    return f"{stem}-{digest}{suffix}"


def _is_kept(text: str) -> bool:
    # A text that ends like a digest is given one of its own, or it could be the name of another text.
    return (
        len(text) <= _STEM_LENGTH
        and _PLAIN_NAME.fullmatch(text) is not None
        and not _DEVICE.match(text)
        and not _ENDS_LIKE_A_DIGEST.search(text)
    )


STORED: Final = 0
DEFLATED: Final = 8
_BLOCK = 1 << 16
_LARGE_BLOCK = 1 << 20
_LEVEL: Final = 6


class Member(NamedTuple):
    """One file of a package, ready to be written: made by `compress`, in any process.

    crc: CRC-32 of the content. size: length of the content in bytes. data: the content as the package holds
    it. method: how it holds it, STORED or DEFLATED. digest: SHA-256 of the content in hexadecimal digits, "" where
    nobody asked for it.
    """

    path: PackagePath
    crc: int
    size: int
    data: bytes
    method: int
    digest: str = ""


def compress(path: PackagePath, data: bytes) -> Member:
    """Return the member `path` with content `data`: deflated at level 6, or stored where that is as short.

    >>> compress(PackagePath("note.txt"), b"two roots").method == STORED
    True
    """
    deflated = bytes(deflate_compress(data, _LEVEL))
    digest = hashlib.sha256(data).hexdigest()
    if len(deflated) < len(data):
        return Member(path, crc32(data), len(data), deflated, DEFLATED, digest)
    return Member(path, crc32(data), len(data), data, STORED, digest)


def _deflater() -> zlib._Compress:
    return zlib.compressobj(_LEVEL, zlib.DEFLATED, -15)


class StreamedMember:
    """A member that grows, from `PackageWriter.open`: content comes by `write`, in pieces of any size."""

    def __init__(self, spool: IO[bytes]) -> None:
        self.crc = 0
        self.size = 0
        self._spool = spool
        self._deflate = _deflater()
        self._waiting = bytearray()
        self._is_whole = False
        self._digest = hashlib.sha256()

    @property
    def digest(self) -> str:
        """SHA-256 of the content in hexadecimal digits, once the member is whole."""
        return self._digest.hexdigest()

    @property
    def held(self) -> int:
        """Bytes it takes up, but for the last stretches of its content."""
        return self._spool.tell()

    def write(self, data: bytes) -> None:
        """Append `data`. Raises DomainError once the member is whole."""
        if self._is_whole:
            raise DomainError("the member is whole, nothing can be added to it")
        self._waiting += data
        # Blocks of one length: zlib does not promise that its output is free of how the input came in pieces.
        while len(self._waiting) >= _BLOCK:
            self._press(bytes(self._waiting[:_BLOCK]))
            del self._waiting[:_BLOCK]

    def finish(self) -> None:
        """Put the last of the content into the spool, and take no more: for the writer that opened it."""
        self._press(bytes(self._waiting))
        self._spool.write(self._deflate.flush())
        self._is_whole = True

    def _press(self, block: bytes) -> None:
        self.crc = zlib.crc32(block, self.crc)
        self._digest.update(block)
        self.size += len(block)
        self._spool.write(self._deflate.compress(block))


_LOCAL = struct.Struct("<4s5H3L2H")  # 4.3.7
_CENTRAL = struct.Struct("<4s6H3L5H2L")  # 4.3.12
_END_64 = struct.Struct("<4sQ2H2L4Q")  # 4.3.14
_LOCATOR_64 = struct.Struct("<4sLQL")  # 4.3.15
_END = struct.Struct("<4s4H2LH")  # 4.3.16
_EXTRA_64 = 1  # 4.5.3
# Of a member that waits for the first one: CRC, size, length as held, method, length of its name, of its header.
_KEPT = struct.Struct("<L2Q3H")

_NEEDS_DEFLATE = 20  # 4.4.3
_NEEDS_ZIP64 = 45
_MADE_BY_UNIX = 3 << 8 | _NEEDS_ZIP64  # 4.4.2; Unix, so that the mode counts
_MODE = 0o100644 << 16  # 4.4.15
_TIME, _DATE = 0, 1 << 5 | 1  # 4.4.6: 1980-01-01, the first day there is
_UTF_8 = 1 << 11  # 4.4.4
# All ones do not mean the number but "see the Zip64 record" (4.4.1.4), so that many is already too many.
_FULL_16, _FULL_32 = 0xFFFF, 0xFFFFFFFF


class PackageWriter:
    """Writes a zip container into `file`, member after member, in the order they come.

    file: binary, buffered, writable; the package begins where it stands, and whoever opened it closes it.
    Used in a `with`: the directory is written at its end, but not after an exception, so that a package that
    broke off cannot be taken for a whole one. Two names that differ only in capitals, and a name that is
    also the folder of another, are refused with DomainError; so is a member for a package that is closed or
    broke off.

    >>> import io, zipfile
    >>> file = io.BytesIO()
    >>> with PackageWriter(file) as package:
    ...     package.add(compress(PackagePath("items/a.xml"), b"<a/>"))
    >>> zipfile.ZipFile(file).read("items/a.xml")
    b'<a/>'
    """

    def __init__(self, file: IO[bytes]) -> None:
        self._write = file.write
        self._offset = file.tell()
        self._directory = bytearray()
        self._count = 0
        self._names = _Names()
        self._held: IO[bytes] | None = None
        self._kept = bytearray()
        self._streams = 0
        self._ended = ""

    def __enter__(self) -> PackageWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is None:
            self.close()
        else:
            self._ended = self._ended or "broke off"

    def add(self, member: Member) -> None:
        """Write `member`. Raises DomainError for a name that is taken."""
        self._reserve(member.path)
        self._append(member.path, member.crc, member.size, len(member.data), member.method, (member.data,))

    @contextmanager
    def open(self, path: PackagePath) -> Iterator[StreamedMember]:
        """Give a member to be written in pieces, deflated aside; it takes its place when the `with` ends.

        Other members may be added meanwhile. After an exception in the `with` it is dropped; its name stays
        taken.
        """
        self._reserve(path)
        self._streams += 1
        try:
            with SpooledTemporaryFile(max_size=1 << 20) as spool:
                stream = StreamedMember(spool)
                yield stream
                stream.finish()
                length = spool.tell()
                spool.seek(0)
                blocks = iter(partial(spool.read, _BLOCK), b"")
                self._append(path, stream.crc, stream.size, length, DEFLATED, blocks)
        finally:
            self._streams -= 1

    @contextmanager
    def first(self, path: PackagePath) -> Iterator[StreamedMember]:
        """Give a member to be written in pieces that stands before all that are added while it is written.

        The others wait in a file aside. Raises DomainError where the package has members already.
        """
        if self._count or self._held is not None:
            raise DomainError(f"{path} cannot be first: the package has members already")
        with SpooledTemporaryFile(max_size=1 << 20) as held:
            self._held = held
            with self.open(path) as stream:
                yield stream
                self._held = None
            self._let_in(held)

    def close(self) -> None:
        """Write the directory; a second call does nothing. Raises DomainError if the package broke off."""
        if self._ended == "is closed":
            return
        if self._streams:
            self._ended = "broke off"
        if self._ended:
            raise DomainError("the package broke off: a member was not written to its end")
        self._ended = "is closed"
        self._write(self._directory)
        self._write(_ending(self._count, len(self._directory), self._offset))

    def _reserve(self, path: PackagePath) -> None:
        self._refuse_if_ended(path)
        self._names.take(path.text)

    def _refuse_if_ended(self, path: PackagePath) -> None:
        if self._ended:
            raise DomainError(f"{path} cannot be added: the package {self._ended}")

    def _append(
        self, path: PackagePath, crc: int, size: int, length: int, method: int, blocks: Iterable[bytes]
    ) -> None:
        self._refuse_if_ended(path)
        header = _header(path.text, crc, size, length, method)
        if self._held is None:
            self._ended = "broke off"
            self._write(header)
            for block in blocks:
                self._write(block)
            self._ended = ""
            self._enter(path.text, crc, size, length, method, len(header))
        else:
            name = path.text.encode()
            self._held.write(header)
            self._held.writelines(blocks)
            self._kept += _KEPT.pack(crc, size, length, method, len(name), len(header)) + name

    def _enter(self, text: str, crc: int, size: int, length: int, method: int, header: int) -> None:
        """The directory's entry of a member that was written with a header of so many bytes."""
        self._directory += _entry(text, crc, size, length, method, self._offset)
        self._offset += header + length
        self._count += 1

    def _let_in(self, held: IO[bytes]) -> None:
        """Give the members that waited their places: they stand aside as they will in the package."""
        self._ended = "broke off"
        held.seek(0)
        while block := held.read(_LARGE_BLOCK):
            self._write(block)
        self._ended = ""
        kept, at = self._kept, 0
        self._kept = bytearray()
        while at < len(kept):
            crc, size, length, method, letters, header = _KEPT.unpack_from(kept, at)
            at += _KEPT.size + letters
            self._enter(kept[at - letters : at].decode(), crc, size, length, method, header)


def _header(text: str, crc: int, size: int, length: int, method: int) -> bytes:
    """The header before a member's bytes. size, length: of the content, and as it is held."""
    name = text.encode()
    # Both sizes, even if one would fit: the header must have both (4.5.3).
    extra = _extra(struct.pack("<2Q", size, length)) if _is_large(size, length) else b""
    fields = _fields(text, name, crc, size, length, method, _is_large(size, length))
    return _LOCAL.pack(b"PK\3\4", *fields, len(extra)) + name + extra


def _entry(text: str, crc: int, size: int, length: int, method: int, offset: int) -> bytes:
    """A member's entry in the directory. offset: where its header stands in the file."""
    name = text.encode()
    is_large, is_far = _is_large(size, length), offset >= _FULL_32
    sizes = struct.pack("<2Q", size, length) if is_large else b""
    places = struct.pack("<Q", offset) if is_far else b""
    extra = _extra(sizes + places)
    fields = _fields(text, name, crc, size, length, method, is_large or is_far)
    rest = (len(extra), 0, 0, 0, _MODE, min(offset, _FULL_32))
    return _CENTRAL.pack(b"PK\1\2", _MADE_BY_UNIX, *fields, *rest) + name + extra


def _is_large(size: int, length: int) -> bool:
    return size >= _FULL_32 or length >= _FULL_32


def _fields(
    text: str, name: bytes, crc: int, size: int, length: int, method: int, needs_64: bool
) -> tuple[int, ...]:
    """What header and entry have in common."""
    flags = 0 if len(name) == len(text) else _UTF_8
    if _is_large(size, length):
        size = length = _FULL_32
    needs = _NEEDS_ZIP64 if needs_64 else _NEEDS_DEFLATE
    return (needs, flags, method, _TIME, _DATE, crc, length, size, len(name))


def _extra(numbers: bytes) -> bytes:
    return struct.pack("<2H", _EXTRA_64, len(numbers)) + numbers if numbers else b""


def _ending(count: int, length: int, offset: int) -> bytes:
    """The records after a directory of `count` members and `length` bytes that begins at `offset`."""
    entries = min(count, _FULL_16)
    end = _END.pack(b"PK\5\6", 0, 0, entries, entries, min(length, _FULL_32), min(offset, _FULL_32), 0)
    if count < _FULL_16 and length < _FULL_32 and offset < _FULL_32:
        return end
    rest = _END_64.size - 12  # 4.3.14.1: without the signature and this number
    record = _END_64.pack(b"PK\6\6", rest, _MADE_BY_UNIX, _NEEDS_ZIP64, 0, 0, count, count, length, offset)
    return record + _LOCATOR_64.pack(b"PK\6\7", 0, offset + length, 1) + end


class _Names:
    """The names a package has, each file and folder in one spelling."""

    def __init__(self) -> None:
        self._files: set[str] = set()
        self._folders: dict[str, str] = {}
        self._known_folders: set[str] = {""}

    def take(self, text: str) -> None:
        key = _without_case(text)
        if key in self._files or key in self._folders:
            raise DomainError(f"the name {text!r} is taken in the package, perhaps in other capitals")
        folder = text.rpartition("/")[0]
        if folder not in self._known_folders:
            self._enter(folder)
        self._files.add(key)

    def _enter(self, folder: str) -> None:
        parent = folder.rpartition("/")[0]
        if parent not in self._known_folders:
            self._enter(parent)
        key = _without_case(folder)
        if key in self._files:
            raise DomainError(f"the folder {folder!r} is in the package already as a file")
        spelling = self._folders.setdefault(key, folder)
        if spelling != folder:
            raise DomainError(f"the folder {folder!r} is in the package already, spelt {spelling!r}")
        self._known_folders.add(folder)


def _without_case(text: str) -> str:
    if text.isascii():
        return text.lower()
    # Source: The Unicode Standard, section 3.13, D145 (canonical caseless matching).
    return unicodedata.normalize("NFD", unicodedata.normalize("NFD", text).casefold())
