"""A form as it is kept: the files that its build had left, in one package, but nothing of pupils."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from itembank.analysis.line_names import names_maxima
from itembank.analysis.orders import NUMBERED
from itembank.audit.digests import HEADING
from itembank.errors import Diagnostic, DomainError, InputError, Level, Span
from itembank.store.damage import damaged
from itembank.store.items import RecordedItem, recorded_item
from itembank.writers.package import PackagePath, PackageWriter, compress
from itembank.writers.paper import SITTING

__all__ = ["DIGESTS", "ITEMS", "KeptForm", "builds_of", "items_in", "keep_form", "members", "read_entries"]

ITEMS, DIGESTS, SHEET = "staff/items.json", "staff/digests.txt", "staff/mark-sheet.csv"
MOST_BYTES: Final = 1 << 30
_BLOCK: Final = 1 << 20
_LINE: Final = re.compile(r"( {4})?([0-9a-f]{64})  (\S.*)")
_NAMED: Final = re.compile(rf"pupils/.*-named-({'|'.join(SITTING)})s(-[0-9]+)?\.[a-z]+")
_SHEETS: Final = re.compile(r"staff/.*-mark-sheet(-[A-Z])?\.[a-z]+")
_UNREADABLE: Final = (
    zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError, ValueError, DomainError,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class KeptForm:
    """What was put into a package. name: made of the build's own and the digest of all its files.

    left_out: files in which pupils are named, or may be; doubts: files that are not as they were built.
    """

    name: str
    title: str
    digest: str
    items: tuple[RecordedItem, ...]
    left_out: tuple[str, ...] = ()
    doubts: tuple[Diagnostic, ...] = ()


def builds_of(folder: Path) -> list[Path]:
    """The folder of a build, or those of all forms of an assembly. Raises InputError `no-build`."""
    if (folder / ITEMS).is_file():
        return [folder]
    if found := sorted(path.parent.parent for path in folder.glob(f"form-*/{ITEMS}")):
        return found
    told = f"{folder} holds no {ITEMS}, the staff's record of a build"
    if not folder.exists():
        told = f"there is no folder {folder}"
    hint = "name a folder that `build` or `assemble` wrote with the format json"
    raise InputError(Diagnostic("no-build", told, Span(str(folder), 1, 1), hint=hint))


def read_entries(data: bytes, shown: Path) -> tuple[dict[str, Any], tuple[RecordedItem, ...]]:
    """The head of an `items.json`, and its items. Raises InputError `no-build` for what is none."""
    try:
        head: dict[str, Any] = json.loads(data)
        items = tuple(map(recorded_item, head.pop("items")))
        if not items:
            raise ValueError("there is no item")
        return head, items
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        told = f"{shown} is no record of items that a build wrote"
        raise InputError(
            Diagnostic("no-build", told, Span(str(shown), 1, 1), hint="build it again")
        ) from None


def keep_form(build: Path, out: IO[bytes]) -> KeptForm:
    """Write the files of a build as a package, those alone that the build itself had left.

    Papers and mark sheets with pupils' names stay out; of `mark-sheet.csv` the lines of pupils do. Raises InputError:
    `no-digests` where the list of the build's files is missing, `changed-since-built` where its items are not those
    that were proved, `no-build`, `too-large`.
    """
    listed = _listed(build)
    entries = _read(build, ITEMS)
    if _sha256(entries) != listed.get(ITEMS):
        told = f"{build / ITEMS} is not as it was built"
        raise InputError(
            Diagnostic("changed-since-built", told, Span(str(build / ITEMS), 1, 1), hint="build it again")
        )
    head, items = read_entries(entries, build / ITEMS)
    sheet, names_pupils = _without_pupils(build, listed)
    left_out: list[str] = []
    doubts: list[Diagnostic] = []
    kept: dict[str, str] = {}
    size = 0
    with PackageWriter(out) as package:
        for name in sorted(listed):
            if _NAMED.fullmatch(name) or (names_pupils and _SHEETS.fullmatch(name)):
                left_out.append(name)
                continue
            if name == SHEET and sheet is None:
                left_out.append(name)
                continue
            data = sheet if name == SHEET and sheet is not None else _read(build, name, missing=True)
            if data is None:
                continue
            size += len(data)
            if size > MOST_BYTES:
                told = f"the files of {build} are over {MOST_BYTES >> 20} megabytes"
                hint = "build what is sat by itself, or with fewer formats"
                raise InputError(Diagnostic("too-large", told, Span(str(build), 1, 1), hint=hint))
            kept[name] = _sha256(data)
            if kept[name] != listed[name] and name != SHEET:
                if _SHEETS.fullmatch(name):  # filled in, perhaps
                    del kept[name]
                    left_out.append(name)
                    continue
                doubts.append(_changed(build, name))
            package.add(compress(PackagePath(name), data))
        lines = _list_of(build, listed, kept)
        kept[DIGESTS] = _sha256(lines)
        package.add(compress(PackagePath(DIGESTS), lines))
    digest = digest_of(kept)
    bank = re.sub("[^a-z0-9]+", "-", str(head.get("bank", "")).lower()).strip("-") or "form"
    return KeptForm(
        f"{bank}-{digest[:8]}",
        " ".join(str(head.get("title", "")).split()),
        digest,
        items,
        tuple(left_out),
        tuple(doubts),
    )


def digest_of(files: dict[str, str]) -> str:
    """The digest of a form: of the list of its files, each with its own digest."""
    return _sha256("".join(f"{files[name]}  {name}\n" for name in sorted(files)).encode())


def members(path: Path, shown: Path) -> Iterator[tuple[str, bytes]]:
    """Each file of a kept form, its name one that can be written below any folder.

    Raises InputError `form-damaged` for what cannot be read.
    """
    size = 0
    try:
        with zipfile.ZipFile(path) as package:
            for entry in package.infolist():
                name = str(PackagePath(entry.filename))
                size += entry.file_size
                if size > MOST_BYTES:
                    raise ValueError("it holds more than it may")
                yield name, package.read(entry)
    except _UNREADABLE as wrong:
        told = f"the form cannot be read: {str(wrong) or type(wrong).__name__}"
        raise InputError(damaged("form-damaged", told, shown)) from None


def items_in(path: Path, digest: str, shown: Path) -> tuple[RecordedItem, ...]:
    """The items of a kept form, which is proved unchanged. Raises InputError `form-damaged`."""
    files: dict[str, str] = {}
    items: tuple[RecordedItem, ...] = ()
    for name, data in members(path, shown):
        files[name] = _sha256(data)
        if name == ITEMS:
            _, items = read_entries(data, shown)
    if digest_of(files) != digest or not items:
        raise InputError(
            damaged("form-damaged", "the form is not the one that was sat: its digest differs", shown)
        )
    return items


def _listed(build: Path) -> dict[str, str]:
    """The files that the build left, with their digests."""
    from itembank.audit.digests import read_digests

    path = build / DIGESTS
    if not path.is_file():
        told = f"{build} holds no {DIGESTS}, the list of its files"
        raise InputError(Diagnostic("no-digests", told, Span(str(build), 1, 1), hint="build it again"))
    return read_digests(path).files


def _read(build: Path, name: str, *, missing: bool = False) -> Any:
    try:
        PackagePath(name)
        return (build / name).read_bytes()
    except (DomainError, OSError):
        if missing:
            return None
        told = f"{build / name} cannot be read"
        raise InputError(
            Diagnostic("no-build", told, Span(str(build), 1, 1), hint="build it again")
        ) from None


def _without_pupils(build: Path, listed: dict[str, str]) -> tuple[bytes | None, bool]:
    """The mark sheet with its own lines alone, None where these cannot be told; and whether pupils may be named."""
    if SHEET not in listed:
        return None, True
    data = _read(build, SHEET, missing=True)
    if data is None:
        return None, True
    try:
        text = data.decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(text, newline="")))
    except (UnicodeDecodeError, csv.Error):
        return None, True
    own = [row for row in rows if row and _is_own(row[0])]
    if len(own) == len(rows) and _sha256(data) == listed[SHEET]:
        return data, False
    if not own or own[0][0] != "pupil":
        return None, True
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(own)
    return out.getvalue().encode(), True


def _is_own(first: str) -> bool:
    return first == "pupil" or names_maxima(first) or NUMBERED.fullmatch(first) is not None


def _list_of(build: Path, listed: dict[str, str], kept: dict[str, str]) -> bytes:
    """The build's list of digests with the files alone that are kept, as they are kept."""
    lines = [HEADING]
    follows = False
    for line in (build / DIGESTS).read_text("utf-8").splitlines()[1:]:
        found = _LINE.fullmatch(line)
        if found is None:
            continue
        if found[1]:
            lines += [line] if follows else []
            continue
        name = found[3]
        follows = name in kept and kept[name] == listed[name]
        if name in kept:
            lines.append(f"{kept[name]}  {name}")
    return ("\n".join(lines) + "\n").encode()


def _changed(build: Path, name: str) -> Diagnostic:
    told = f"{build / name} was changed since it was built, and is kept as it is now"
    return Diagnostic(
        "changed-since-built", told, Span(str(build / name), 1, 1), Level.DOUBTFUL,
        hint="record what the group had before it; build it again where this is not it",
    )  # fmt: skip


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
