"""Reading a bank's record of use, everything that is damaged told at its place."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from itembank.bank.sources import RECORD_FOLDER, SITTING_FOLDER
from itembank.errors import Diagnostic, InputError
from itembank.listed_files import files_in
from itembank.spreadsheets import as_csv, as_text
from itembank.store.damage import damaged
from itembank.store.items import RecordedItem
from itembank.store.record import Record, SatForm, Sitting

__all__ = [
    "COLUMNS", "FORMS", "RECORD_FOLDER", "SITTINGS", "has_record", "items_table", "read_items",
    "read_record", "read_table", "sitting_yaml",
]  # fmt: skip

SITTINGS, FORMS = SITTING_FOLDER, "forms"
COLUMNS: Final = ("item", "template", "version", "seed", "position", "marks", "asks", "digest")
MOST_SITTINGS: Final = 10_000
_MOST_BYTES: Final = 64 << 20


def has_record(bank: Path) -> bool:
    """Whether anything is recorded in a bank's folder."""
    try:
        return (bank / RECORD_FOLDER / SITTINGS).is_dir()
    except PermissionError:
        return True  # what reads it tells that it may not


def read_record(bank: Path, shown_as: str = "") -> Record:
    """The record of a bank's folder, an empty one where there is none.

    shown_as: the folder in messages, as it is named unless said. The package of a form is opened only where its table
    is damaged. Raises InputError with everything that is damaged: what a sitting's file says wrongly, `broken-form`,
    `form-missing`, `too-many-sittings`.
    """
    if not has_record(bank):
        return Record()
    from itembank.templates.record_model import load_sitting

    folder, shown = bank / RECORD_FOLDER, Path(shown_as or bank) / RECORD_FOLDER
    problems: list[Diagnostic] = []
    sittings: list[Sitting] = []
    items: dict[str, tuple[RecordedItem, ...]] = {}
    files = [path for path in files_in(folder / SITTINGS, (".yaml",)) if not path.name.startswith(".")]
    if len(files) > MOST_SITTINGS:
        raise InputError(
            damaged("too-many-sittings", f"there are more than {MOST_SITTINGS} sittings", shown / SITTINGS)
        )
    for path in files:
        here = shown / SITTINGS / path.name
        try:
            shape = load_sitting(path, str(here))
        except InputError as wrong:
            problems.extend(wrong.diagnostics)
            continue
        forms = tuple(SatForm(each.form, each.title, each.digest) for each in shape.forms)
        sittings.append(Sitting(path.stem, shape.group, shape.day, forms, shape.note, str(here)))
        for form in forms:
            if form.name in items:
                continue
            items[form.name] = ()
            try:
                items[form.name] = _items_of(folder, form, shown, here)
            except InputError as wrong:
                problems.extend(wrong.diagnostics)
    if problems:
        raise InputError(problems)
    return Record(tuple(sorted(sittings, key=lambda each: (each.on, each.name))), items)


def _items_of(folder: Path, form: SatForm, shown: Path, sitting: Path) -> tuple[RecordedItem, ...]:
    """The items of a form from its table, or from its package where the table is damaged or not there."""
    path, package = folder / FORMS / f"{form.name}.csv", folder / FORMS / f"{form.name}.zip"
    try:
        return read_table(path, shown / FORMS / path.name)
    except InputError as broken:
        from itembank.store.forms import items_in

        try:
            return items_in(package, form.digest, shown / FORMS / package.name)
        except InputError:
            if path.is_file():
                raise broken from None
            told = f"the form `{form.name}` was sat, but neither its table nor its package can be read"
            raise InputError(damaged("form-missing", told, sitting)) from None


def read_table(path: Path, shown: Path) -> tuple[RecordedItem, ...]:
    """The items of a form from its table. Raises InputError `broken-form`, at the line that is none of it."""
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise InputError(
                damaged("broken-form", f"the table is over {_MOST_BYTES >> 20} megabytes", shown)
            )
        return read_items(path.read_bytes(), shown)
    except OSError as failed:
        told = f"the table of the form cannot be read: {(failed.strerror or str(failed)).lower()}"
        raise InputError(damaged("broken-form", told, shown)) from None


def read_items(data: bytes, shown: Path) -> tuple[RecordedItem, ...]:
    """The items of a form's table. Raises InputError `broken-form` at the line that is none of it."""
    line = 1
    try:
        rows = csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True)
        try:
            if tuple(next(rows, ())) != COLUMNS:
                raise ValueError("its first line names other columns")
            found = [_item(row) for row in rows]
        finally:
            line = max(rows.line_num, 1)
    except (ValueError, csv.Error) as wrong:
        told = f"this is no table of items as it was kept: {wrong}"
        raise InputError(damaged("broken-form", told, shown, line)) from None
    if not found:
        raise InputError(damaged("broken-form", "the table of the form holds no item", shown))
    return tuple(found)


def _item(row: Sequence[str]) -> RecordedItem:
    if len(row) != len(COLUMNS):
        raise ValueError(f"{len(row)} cells stand here, not {len(COLUMNS)}")
    code, template, version, seed, position, marks, asks, digest = map(as_text, row)
    for name, number in (("version", version), ("seed", seed), ("position", position), ("marks", marks)):
        if not (number.isascii() and number.isdecimal()):
            raise ValueError(f"the {name} `{number[:40]}` is no whole number")
    if len(digest) != 64 or set(digest) - set("0123456789abcdef"):
        raise ValueError(f"`{digest[:70]}` is no digest of 64 hexadecimal digits")
    return RecordedItem(code, template, int(version), int(seed), int(position), int(marks), asks, digest)


def items_table(items: Sequence[RecordedItem]) -> str:
    """The table of a form as it is kept."""
    return as_csv([COLUMNS, *items])


_HEAD = """\
# A sitting. `itembank record` wrote it, `itembank unrecord` takes it back; what stands here of group, day and note may
# be mended by hand. No pupil is named here, and no result.
"""


def sitting_yaml(sitting: Sitting) -> str:
    """The file of a sitting."""
    lines = [f"group: {_quoted(sitting.group)}", f"day: {_quoted(sitting.on)}"]
    if sitting.note:
        lines.append(f"note: {_quoted(sitting.note)}")
    lines.append("forms:")
    for form in sitting.forms:
        lines += [f"  - form: {form.name}", f"    title: {_quoted(form.title)}", f"    digest: {form.digest}"]
    return _HEAD + "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A text as YAML has it between quotation marks, on one line."""
    return "'" + " ".join(text.split()).replace("'", "''") + "'"
