"""The shell of the record: keeps a sitting in a bank, takes one back, brings its forms back; whole or not at all."""

from __future__ import annotations

import errno
import os
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

from itembank import folder_lock
from itembank.bank.cache import load_bank
from itembank.errors import Diagnostic, InputError, Span
from itembank.expressions.vocabulary import nearest
from itembank.listed_files import files_in
from itembank.output_folder import restore as restore_killed
from itembank.output_folder import whole_folder
from itembank.store.damage import damaged
from itembank.store.forms import KeptForm, builds_of, items_in, keep_form, members
from itembank.store.items import RecordedItem
from itembank.store.reading import (
    FORMS,
    RECORD_FOLDER,
    SITTINGS,
    items_table,
    read_record,
    read_table,
    sitting_yaml,
)
from itembank.store.record import Record, SatForm, Sitting, must_be_a_day, same_group
from itembank.whole_file import put_whole

__all__ = ["Kept", "folder_of", "keep", "restore", "sitting_named", "staff_files", "take_back"]

_LOCK = ".record.itembank-lock"
_OF_AN_ASSEMBLY = re.compile(r"(.+)-([a-z])-[0-9a-f]{8}")
"""The name of a kept form: the assembly's, its letter, the digest."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What was recorded. is_new: False where it was recorded before, and nothing was written.

    seen_before: items of it that the group had sat before; left_out: files in which pupils are named; doubts: files
    that are not as they were built.
    """

    sitting: Sitting
    items: tuple[RecordedItem, ...]
    is_new: bool
    seen_before: tuple[RecordedItem, ...] = ()
    left_out: tuple[str, ...] = ()
    doubts: tuple[Diagnostic, ...] = ()


def keep(build: Path, bank: Path, group: str, on: str, note: str = "") -> Kept:
    """Record that a group sat a build on a day, in the folder of its bank.

    build: a folder that `build` or `assemble` wrote, of which all forms were sat. on: year-month-day. Recording the
    same again changes nothing. Raises InputError: `another-bank`, `no-such-day`, `no-group`, `not-writable`, what
    `keep_form` tells of the build, and what is damaged in the record.
    """
    _refuse_words(group, on)
    restore_killed(build)
    builds = builds_of(build)
    known = {entry.recipe.template.name for entry in load_bank(bank, str(bank)).entries}
    with _locked(bank) as folder:
        record = read_record(bank)
        _mend(folder, record)
        made: list[Path] = []
        try:
            forms = [_put_form(folder, each, known, bank, made) for each in builds]
            kept = _sitting(record, forms, " ".join(group.split()), on, " ".join(note.split()), bank)
            if kept.is_new:
                path = folder / SITTINGS / f"{kept.sitting.name}.yaml"
                _write(path, sitting_yaml(kept.sitting).encode(), made)
        except BaseException:
            for path in made:
                path.unlink(missing_ok=True)
            raise
    return kept


def _mend(folder: Path, record: Record) -> None:
    """Write tables of forms anew that are damaged or not there; what they told is in the forms' packages."""
    for name, items in record.items.items():
        path = folder / FORMS / f"{name}.csv"
        try:
            read_table(path, path)
        except InputError:
            _write(path, items_table(items).encode(), [])


def _refuse_words(group: str, on: str) -> None:
    must_be_a_day(on)
    if not any(letter.isalnum() for letter in group):
        hint = "say who sat it, such as: Evening algebra, group B"
        raise InputError(Diagnostic("no-group", "the name of a group is needed", hint=hint))


def _put_form(folder: Path, build: Path, known: set[str], bank: Path, made: list[Path]) -> KeptForm:
    """Have a form in the record; what stands there whole already is left as it is."""
    beside = folder / FORMS / f".form.{os.getpid()}.new"
    try:
        with beside.open("wb") as out:
            form = keep_form(build, out)
        strange = [item.template for item in form.items if item.template not in known]
        if strange:
            told = f"the bank has no template `{strange[0]}`, of which items were sat"
            raise _wrong(bank, "another-bank", told, "name the bank that the build was made from")
        path = folder / FORMS / f"{form.name}.zip"
        if not _is_whole(path, form):
            made += [] if path.exists() else [path]
            os.replace(beside, path)
        _write(path.with_suffix(".csv"), items_table(form.items).encode(), made)
    finally:
        beside.unlink(missing_ok=True)
    return form


def _is_whole(path: Path, form: KeptForm) -> bool:
    if not path.is_file():
        return False
    with suppress(InputError):
        return items_in(path, form.digest, path) == form.items
    return False


def _write(path: Path, data: bytes, made: list[Path]) -> None:
    """A whole file; nothing where it is the same already."""
    with suppress(OSError):
        if path.read_bytes() == data:
            return
    made += [] if path.exists() else [path]
    put_whole(path, data)


def _sitting(record: Record, forms: Sequence[KeptForm], group: str, on: str, note: str, bank: Path) -> Kept:
    items = tuple({item.question: item for form in forms for item in form.items}.values())
    left_out = tuple(name for form in forms for name in form.left_out)
    doubts = tuple(doubt for form in forms for doubt in form.doubts)
    sat = tuple(SatForm(form.name, form.title, form.digest) for form in forms)
    for each in record.sittings:
        same = {form.digest for form in each.forms} == {form.digest for form in forms}
        if same and each.on == on and same_group(each.group, group):
            return Kept(each, items, False, (), left_out, doubts)
    before = {item.question for each in record.among([group]).sittings for item in record.items_of(each)}
    name = _free_name(f"{on}-{_slug(group)}-{_common(forms)}", {each.name for each in record.sittings})
    path = str(bank / RECORD_FOLDER / SITTINGS / f"{name}.yaml")
    seen = tuple(item for item in items if item.question in before)
    return Kept(Sitting(name, group, on, sat, note, path), items, True, seen, left_out, doubts)


def _slug(text: str) -> str:
    letters = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return "-".join(re.findall("[a-z0-9]+", letters.lower()))[:24].strip("-") or "group"


def _common(forms: Sequence[KeptForm]) -> str:
    """What the names of the forms' builds have in common: `half-term` for `half-term-a` and `half-term-b`."""
    names = [form.name.rpartition("-")[0] for form in forms]
    alike = takewhile(lambda letters: len(set(letters)) == 1, zip(*names, strict=False))
    return "".join(letters[0] for letters in alike)[:22].strip("-") or names[0][:22].strip("-")


def _free_name(name: str, taken: set[str]) -> str:
    """The name, or with a number behind it where another sitting has it."""
    number = 2
    free = name
    while free in taken:
        free, number = f"{name}-{number}", number + 1
    return free


# ---- taking back ------------------------------------------------------------------------------------------


def take_back(bank: Path, name: str) -> Sitting:
    """Take a sitting out of the record, with the forms that no other sitting has. The sitting, as it was.

    name: as `used` tells it. A damaged sitting can be taken back too. Raises InputError: `no-such-sitting`,
    `not-writable`.
    """
    name = name.removesuffix(".yaml")
    _refuse_unknown(bank, name)
    with _locked(bank) as folder:
        path = folder / SITTINGS / f"{name}.yaml"
        try:
            record = read_record(bank)
        except InputError:
            record = Record()
        path.unlink()
        gone = next((each for each in record.sittings if each.name == name), Sitting(name, "", "", ()))
        needed = {form.name for each in record.sittings if each.name != name for form in each.forms}
        for form in gone.forms:
            if form.name not in needed:
                for suffix in (".csv", ".zip"):
                    (folder / FORMS / f"{form.name}{suffix}").unlink(missing_ok=True)
    return gone


def _refuse_unknown(bank: Path, name: str) -> None:
    sittings = bank / RECORD_FOLDER / SITTINGS
    known = [path.stem for path in files_in(sittings, (".yaml",))]
    if name not in known:
        near = nearest(name, known)
        some = f"there are: {', '.join(known[-5:])}" if known else "nothing is recorded in this bank"
        hint = f"did you mean `{near}`?" if near else some
        raise _wrong(bank, "no-such-sitting", f"the record has no sitting `{name}`", hint)


# ---- bringing back ----------------------------------------------------------------------------------------


def restore(bank: Path, name: str, out: Path) -> int:
    """Bring back what was sat, as a folder that a build had left, or one with a folder for each form; how many files.

    Every byte is proved to be as it was kept before anything is written. Raises InputError: `no-such-sitting`,
    `form-missing`, `form-damaged`, and as `whole_folder`.
    """
    sitting = sitting_named(bank, name)
    folder = bank / RECORD_FOLDER / FORMS
    written = 0
    with whole_folder(out, "the form") as new:
        for form in sitting.forms:
            below = new / folder_of(sitting, form)
            for member, data in members(folder / f"{form.name}.zip", folder / f"{form.name}.zip"):
                path = below / member
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(data)
                written += 1
    return written


def sitting_named(bank: Path, name: str) -> Sitting:
    """A sitting by its name, all its forms proved to be as they were kept.

    Raises InputError: `no-such-sitting`, `form-missing`, `form-damaged`, and what is damaged in the record.
    """
    name = name.removesuffix(".yaml")
    _refuse_unknown(bank, name)
    record = read_record(bank)
    sitting = next(each for each in record.sittings if each.name == name)
    for form in sitting.forms:
        path = bank / RECORD_FOLDER / FORMS / f"{form.name}.zip"
        if not path.is_file():
            told = f"the form `{form.name}` was sat, but its package {path} is not there"
            raise InputError(damaged("form-missing", told, Path(sitting.path)))
        items_in(path, form.digest, path)
    return sitting


def folder_of(sitting: Sitting, form: SatForm) -> str:
    """Where a form stands in what is brought back of a sitting: `.` where it is the only one.

    Forms of one assembly stand where `assemble` had put them, `form-a`.
    """
    if len(sitting.forms) == 1:
        return "."
    letter_of = {each.name: _OF_AN_ASSEMBLY.fullmatch(each.name) for each in sitting.forms}
    parts = [part for part in letter_of.values() if part]
    are_of_one = len({part[1] for part in parts}) == 1 and len({part[2] for part in parts}) == len(
        sitting.forms
    )
    part = letter_of[form.name]
    return f"form-{part[2]}" if part and are_of_one else f"form-{form.name}"


def staff_files(bank: Path, form: SatForm) -> dict[str, bytes]:
    """The staff's files of a kept form by name. Raises InputError `form-damaged`."""
    path = bank / RECORD_FOLDER / FORMS / f"{form.name}.zip"
    return {name: data for name, data in members(path, path) if name.startswith("staff/")}


# ---- the folder -------------------------------------------------------------------------------------------


@contextmanager
def _locked(bank: Path) -> Iterator[Path]:
    """The record's folder, ours alone; folders that stay empty are gone again. Raises InputError `not-writable`."""
    folder = bank / RECORD_FOLDER
    try:
        lock = folder_lock.take(bank / _LOCK, wait=True)
        if lock is None:
            raise OSError(errno.EBUSY, "another run is writing it")
        try:
            for below in (SITTINGS, FORMS):
                (folder / below).mkdir(parents=True, exist_ok=True)
            _tidy(folder)
            yield folder
        finally:
            for each in (folder / FORMS, folder / SITTINGS, folder):
                with suppress(OSError):
                    each.rmdir()
            folder_lock.release(bank / _LOCK, lock)
    except OSError as failed:
        told = f"the record of {bank} cannot be written: {(failed.strerror or str(failed)).lower()}"
        full = failed.errno in (errno.ENOSPC, errno.EDQUOT)
        hint = "make room on that disk" if full else "see to it that files can be made in the bank"
        raise _wrong(bank, "not-writable", told, hint) from None


def _tidy(folder: Path) -> None:
    """Remove what ended runs left unfinished: nobody else is writing while we hold the lock."""
    leftovers: Iterable[Path] = (
        path for below in (SITTINGS, FORMS) for path in (folder / below).glob(".*.new")
    )
    for path in leftovers:
        path.unlink(missing_ok=True)


def _wrong(bank: Path, code: str, message: str, hint: str) -> InputError:
    return InputError(Diagnostic(code, message, Span(str(bank), 1, 1), hint=hint))
