"""The list of digests of a build: SHA-256 of every file, and of every member of every package.

It is for keeping outside of what it lists, so that a changed byte can be found later. A line is a digest, two blanks
and a file's path in the output folder; the members of a package stand below it, further in. Two lists tell which items
are new, changed or gone.
Source of the digest: NIST, FIPS 180-4.
"""

from __future__ import annotations

import hashlib
import re
import shutil
import zipfile
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from tempfile import SpooledTemporaryFile
from typing import IO, Final

__all__ = [
    "CHANGES_FILE",
    "DIGEST_FILE",
    "Changes",
    "DigestList",
    "changes",
    "file_digest",
    "file_digests",
    "item_digests",
]

DIGEST_FILE: Final = "digests.txt"
CHANGES_FILE: Final = "changes.md"
HEADING: Final = "itembank digests, SHA-256"
_INSIDE: Final = "    "
_PACKAGES: Final = frozenset({".zip", ".imscc"})
_BLOCK: Final = 1 << 20
_ITEM: Final = re.compile(r"items/(.+)\.xml")
_NUMBERED: Final = re.compile(r"(?:-[0-9]+)?\.zip\Z")


class DigestList:
    """Gathers the digests of members while packages are written, then writes the list. Used in a `with`."""

    def __init__(self) -> None:
        self._noted: dict[str, IO[str]] = {}
        self._stack = ExitStack()

    def __enter__(self) -> DigestList:
        return self

    def __exit__(self, *told: object) -> None:
        self._stack.close()

    def note(self, package: str, member: str, digest: str) -> None:
        """A member of a package, given by its path in the output folder."""
        if package not in self._noted:
            self._noted[package] = self._stack.enter_context(
                SpooledTemporaryFile(  # noqa: SIM115 (the stack closes it)
                    max_size=_BLOCK, mode="w+", encoding="utf-8", newline=""
                )
            )
        self._noted[package].write(f"{_INSIDE}{digest}  {member}\n")

    def rename(self, package: str, name: str) -> None:
        """A package that got another name."""
        self._noted[name] = self._noted.pop(package)

    def write(self, folder: Path) -> None:
        """The list of a finished output folder, into it, as `staff/digests.txt`."""
        path = folder / "staff" / DIGEST_FILE
        path.parent.mkdir(exist_ok=True)
        with path.open("w", encoding="utf-8", newline="") as out:
            out.write(f"{HEADING}\n")
            for file in sorted(each for each in folder.rglob("*") if each.is_file() and each != path):
                name = file.relative_to(folder).as_posix()
                out.write(f"{file_digest(file)}  {name}\n")
                if noted := self._noted.get(name):
                    noted.seek(0)
                    shutil.copyfileobj(noted, out)
                elif file.suffix in _PACKAGES:
                    out.writelines(f"{_INSIDE}{digest}  {member}\n" for member, digest in _members(file))


def file_digest(path: Path) -> str:
    """The digest of a file as it is."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _members(path: Path) -> Iterator[tuple[str, str]]:
    with zipfile.ZipFile(path) as package:
        for entry in package.infolist():
            with package.open(entry) as member:
                state = hashlib.sha256()
                while block := member.read(_BLOCK):
                    state.update(block)
            yield entry.filename, state.hexdigest()


def file_digests(path: Path) -> dict[str, str]:
    """Of a list: the path of every file, from the folder of the build, and its digest; {} where it is none of ours."""
    try:
        heading, *lines = path.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError, ValueError):
        return {}
    told = (line.partition("  ") for line in lines if not line.startswith(_INSIDE))
    return {name: digest for digest, _, name in told} if heading == HEADING else {}


def item_digests(path: Path) -> dict[str, dict[str, str]]:
    """Of a list: for each dialect's package, parts taken together, the code and digest of every item.

    {} where there is no list, or none of ours.
    """
    found: dict[str, dict[str, str]] = {}
    try:
        with path.open(encoding="utf-8") as lines:
            if next(lines, "").rstrip("\n") != HEADING:
                return {}
            package: dict[str, str] = {}
            for line in lines:
                digest, _, name = line.strip().partition("  ")
                if not line.startswith(_INSIDE):
                    package = found.setdefault(_NUMBERED.sub("", name), {})
                elif item := _ITEM.fullmatch(name):
                    package[item[1]] = digest
    except (OSError, UnicodeDecodeError):
        return {}
    return {name: items for name, items in found.items() if items}


@dataclass(frozen=True, slots=True)
class Changes:
    """Codes of items against the build before: new, changed, removed, and how many are as they were."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    removed: tuple[str, ...]
    kept: int

    def __bool__(self) -> bool:
        return bool(self.new or self.changed or self.removed)

    def summary(self) -> str:
        """One line for people."""
        counts = f"{len(self.new)} new, {len(self.changed)} changed, {len(self.removed)} removed"
        return f"since the last build: {counts}, {self.kept} as before"

    def as_markdown(self) -> str:
        """Every code, for people."""
        told = [f"# {self.summary().capitalize()}", ""]
        for title, codes in (("New", self.new), ("Changed", self.changed), ("Removed", self.removed)):
            if codes:
                told += [f"## {title}", "", *(f"- {code}" for code in codes), ""]
        return "\n".join(told)


def changes(before: dict[str, dict[str, str]], now: dict[str, dict[str, str]]) -> Changes | None:
    """What changed in the first dialect that both builds have; None where they have none in common."""
    for name in now:
        if name not in before:
            continue
        old, new = before[name], now[name]
        both = [code for code in new if code in old]
        changed = tuple(code for code in both if old[code] != new[code])
        return Changes(
            tuple(code for code in new if code not in old), changed,
            tuple(code for code in old if code not in new), len(both) - len(changed),
        )  # fmt: skip
    return None
