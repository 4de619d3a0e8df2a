"""Whether members of a package are named, stored and sized so that they can be read without fear."""

from __future__ import annotations

import re
import stat
import zipfile
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from itembank.audit.findings import Fault

__all__ = [
    "MANIFEST",
    "MEMBERS",
    "MEMBER_BYTES",
    "NAME_CHARACTERS",
    "entry_faults",
    "folder_faults",
    "name_faults",
    "overlap_faults",
    "packed_faults",
    "size_faults",
    "stem",
    "unsafe_reason",
]

MANIFEST: Final = "imsmanifest.xml"
MEMBERS: Final = 200_000
MEMBER_BYTES: Final = 4 * 2**20
# a manifest grows with the package: so many bytes for each member, above the bound of any other file
MANIFEST_BYTES_EACH: Final = 4096
# text of items deflates to a tenth or so; what shrinks a hundredfold beyond a first stretch was made to burst
RATIO: Final = 100
RATIO_FREE_BYTES: Final = 64 * 1024
NAME_CHARACTERS: Final = 240
_NO_PATH: Final = re.compile(r'[\x00-\x1f\x7f\\:*?"<>|]')
_ALWAYS_DEFLATED: Final = 1024
"""Above so many bytes every file of ours, all of them markup, is shorter deflated."""


def entry_faults(entry: zipfile.ZipInfo, members: int) -> Iterator[Fault]:
    """What is wrong with one entry of a zip. members: how many entries there are."""
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
    # entries of a manifest are much alike; its size is bounded by the members, which are in the archive too
    if name != MANIFEST and entry.file_size > RATIO_FREE_BYTES + RATIO * entry.compress_size:
        yield Fault("zip-bomb", "the member grows more than a hundredfold when unpacked", member=name)
    yield from size_faults(name, entry.file_size, members)


def size_faults(name: str, size: int, members: int) -> Iterator[Fault]:
    """Whether a file is larger than such a file may be. size: bytes when unpacked."""
    bound = MEMBER_BYTES + (MANIFEST_BYTES_EACH * members if name == MANIFEST else 0)
    if size > bound:
        yield Fault("too-large", f"the file has {size} bytes, more than {bound}", member=name)


def overlap_faults(archive: zipfile.ZipFile) -> Iterator[Fault]:
    """Members that share bytes: the way small archives unpack to enormous ones."""
    entries = sorted(archive.infolist(), key=lambda entry: entry.header_offset)
    for entry, following in pairwise(entries):
        # 30 bytes of fixed header, the name and the data: the extra field may be longer, never shorter than 0
        if entry.header_offset + 30 + entry.compress_size > following.header_offset:
            yield Fault("zip-bomb", "the member shares its bytes with another one", member=following.filename)


def packed_faults(entries: Sequence[zipfile.ZipInfo]) -> Iterator[Fault]:
    """What tells that a package was packed again by somebody else: it can be read all the same."""
    by_place = sorted(entries, key=lambda entry: entry.header_offset)
    firsts = [each[0].filename for each in (entries, by_place) if each]
    if any(entry.filename == MANIFEST for entry in entries) and firsts != [MANIFEST, MANIFEST]:
        message = "the manifest is not the first member of the package, where some platforms look for it"
        yield Fault("manifest-not-first", message, member=MANIFEST)
    for entry in entries:
        if entry.compress_type == zipfile.ZIP_STORED and entry.file_size > _ALWAYS_DEFLATED:
            yield Fault("stored-member", "the member is stored and not deflated", member=entry.filename)


def name_faults(names: list[str]) -> Iterator[Fault]:
    """Names that are unsafe, and names that are one file on some system."""
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
                "two members have this name"
                if same
                else f"the name differs from {seen[folded]} in case only",
                member=name,
            )
        seen[folded] = name


def folder_faults(names: list[str]) -> Iterator[Fault]:
    """Folders of a zip whose names are unsafe; they hold no bytes, but are unpacked all the same."""
    for name in names:
        reason = unsafe_reason(name.rstrip("/"))
        if reason:
            yield Fault("unsafe-name", f"the name {name!r} {reason}", member=name)


def stem(name: str) -> str:
    """A member's name without its folders and its suffix.

    >>> stem("items/Q7VVHV3CD.xml"), stem("items/.xml")
    ('Q7VVHV3CD', '.xml')
    """
    last = name.rpartition("/")[2]
    before, _, suffix = last.rpartition(".")
    return before if before and suffix else last


def unsafe_reason(name: str) -> str:
    """Why a member's name must not be followed, "" where it may.

    >>> unsafe_reason("items/../../notes.xml")
    "has a segment '..'"
    """
    if not name or len(name) > NAME_CHARACTERS:
        return "is empty or too long"
    if _NO_PATH.search(name):
        return "holds a character that no path may hold"
    if name.startswith("/"):
        return "is absolute"
    for segment in name.split("/"):
        if segment in {"", ".", ".."}:
            return f"has a segment {segment!r}"
    return ""
