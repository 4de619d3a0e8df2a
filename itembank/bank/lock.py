"""The lock file: for each template version from which items were written, a digest of its content and slips.

`build` writes it, every command reads it: content changed under an old version number is doubtful where nothing is
written, and wrong where items are. A translation has an entry under the tag of its texts; who builds in a language that
is served by the file's own texts (`en-US` by `en`) writes, and is held to, the file's own entry.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from itembank.bank.bank import Bank, Entry
from itembank.bank.kept_file import alone, read_kept
from itembank.errors import Diagnostic, Level, Span
from itembank.templates.template import Template
from itembank.whole_file import put_whole

LOCK_FILE = "bank.lock"
_BROKEN: Final = Diagnostic(
    "broken-lock", "the lock file cannot be read",
    hint="restore it from version control, or delete it to begin a new one",
)  # fmt: skip


def read_lock(folder: Path) -> dict[str, str]:
    """`name@version` (of a translation `name@version/es`) -> digest; empty where there is no lock file.

    Raises InputError for a broken one.
    """
    return read_kept(folder / LOCK_FILE, "templates", str, _BROKEN)


def changed(bank: Bank, entries: Iterable[Entry], level: Level) -> tuple[Diagnostic, ...]:
    """Templates whose content changed under a version number that items were written from."""
    lock = read_lock(Path(bank.folder))
    found = []
    for entry in entries:
        template = entry.recipe.template
        kept = lock.get(_mark(entry))
        if kept is not None and kept != template.digest:
            place = _version_place(entry)
            found.append(
                Diagnostic(
                    "version-not-raised",
                    f"`{template.name}` changed since items were written from version {template.version}",
                    place,
                    level,
                    template.excerpt(place),
                    f"write version: {template.version + 1}",
                )
            )
    return tuple(found)


def mark_of(template: Template, version: int) -> str:
    """A version of a template in the bank's files: `name@version`, of a translation `name@version/es`."""
    mark = f"{template.name}@{version}"
    return f"{mark}/{template.translation}" if template.translation else mark


def _mark(entry: Entry) -> str:
    return mark_of(entry.recipe.template, entry.recipe.template.version)


def _version_place(entry: Entry) -> Span:
    for number, line in enumerate(entry.recipe.template.source_lines, 1):
        if line.startswith("version:"):
            return Span(entry.path, number, 1, len(line) + 1)
    return Span(entry.path, 1, 1)


def write_lock(bank: Bank, entries: Iterable[Entry]) -> None:
    """Adds the versions items were written from. A bank that cannot be written to keeps its old lock."""
    path = Path(bank.folder) / LOCK_FILE
    written = {_mark(entry): entry.recipe.template.digest for entry in entries}
    if written.items() <= read_lock(Path(bank.folder)).items():
        return
    with alone(path):  # two builds of a bank may run at once
        new = {**read_lock(Path(bank.folder)), **written}
        text = json.dumps({"templates": dict(sorted(new.items()))}, indent=1) + "\n"
        try:
            put_whole(path, text.encode())
        except PermissionError:
            return
