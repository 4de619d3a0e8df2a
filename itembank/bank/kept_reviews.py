"""Reviews kept on disk by content: a template that nothing has changed for is not looked at again.

What a review comes of is a template's own text, what its bank's files say of every template, and the program. A bank
with extensions is always looked at: their code may be anywhere. Where ITEMBANK_CACHE is "off" nothing is kept.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path

from itembank.bank import disk_cache
from itembank.bank.bank import BANK_FILE, CALIBRATION_FILE, SLIP_FILE, Entry, bank_of
from itembank.bank.review import Review
from itembank.yaml_source.intake import LARGEST_FILE

__all__ = ["KeptReviews", "kept_reviews"]

MOST_ENTRIES = 2_000
_BY_OTHERS = ("numpy", "sympy")
"""Packages that a review's findings come of."""


@dataclass(frozen=True, slots=True)
class KeptReviews:
    """Where the reviews of a path's templates are kept. folder: their bank's, None for none. state: what they share."""

    place: Path
    folder: Path | None
    state: bytes

    def of(self, entry: Entry) -> Review | None:
        """The review of a template as it is now, None where it was not kept."""
        found = disk_cache.read(self._name(entry))
        return found if isinstance(found, Review) else None

    def keep(self, entry: Entry, review: Review) -> None:
        """Keeps a review; one that cannot be kept is no trouble."""
        disk_cache.write(self._name(entry), review)

    def thin_out(self) -> None:
        """Leaves the newest."""
        disk_cache.thin_out(self.place, "*.review", MOST_ENTRIES)

    def covers(self, entry: Entry) -> bool:
        """Whether a template belongs to the bank of which the state is known."""
        return bank_of(Path(entry.path).absolute().parent) == self.folder

    def _name(self, entry: Entry) -> Path:
        template = entry.recipe.template
        told = "\0".join((entry.path, entry.strand, template.path, *template.source_lines))
        digest = hashlib.blake2b(self.state, digest_size=20)
        digest.update(told.encode("utf-8", "surrogateescape"))
        return self.place / f"{digest.hexdigest()}.review"


def kept_reviews(path: Path) -> KeptReviews | None:
    """Where the reviews of a path on the command line are kept; None where nothing is to be kept of it."""
    place = disk_cache.cache_folder()
    if place is None:
        return None
    state = hashlib.blake2b(_of_program(), digest_size=20)
    try:
        is_bank = (path / BANK_FILE).is_file()
        folder = bank_of(path.absolute() if path.is_dir() else path.absolute().parent)
    except OSError:  # a name that is too long, a folder that may not be searched: told where it is read
        return None
    state.update(b"a bank" if is_bank else f"files {_way_to(folder)}".encode("utf-8", "surrogateescape"))
    for file in (
        [] if folder is None else [folder / name for name in (BANK_FILE, SLIP_FILE, CALIBRATION_FILE)]
    ):
        if not file.is_file():
            continue
        try:
            with file.open("rb") as opened:
                content = opened.read(LARGEST_FILE + 1)
        except OSError:
            return None
        if file.name == BANK_FILE and b"extensions" in content:
            return None
        state.update(f"\0{file.name} {len(content)}\0".encode() + content)
    return KeptReviews(place, folder, state.digest())


def _way_to(folder: Path | None) -> str:
    """Where a bank lies as seen from here: so its slip file is named in what is found in a single template."""
    if folder is None:
        return ""
    try:
        return os.path.relpath(folder)
    except ValueError:  # another drive
        return str(folder)


@cache
def _of_program() -> bytes:
    """A digest of this program and of the packages that findings come of, which are the same for every path."""
    here = Path(__file__).parent.parent
    own = sorted(path for path in here.rglob("*") if path.suffix in {".py", ".lark", ".toml"})
    state = disk_cache.digest_of_program(own)
    for package in _BY_OTHERS:
        state.update(f"{package} {version(package)}\0".encode())
    return state.digest()
