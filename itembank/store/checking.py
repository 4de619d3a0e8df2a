"""`check` with the record of use: of every bank that is checked, whether its record is as it was kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from itembank.assembly.checking import check as check_banks
from itembank.assembly.checking import is_file
from itembank.bank.bank import BANK_FILE
from itembank.bank.cache import load_bank
from itembank.bank.checking import Checked, Progress
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.listed_files import files_in
from itembank.store.damage import damaged
from itembank.store.forms import items_in
from itembank.store.reading import FORMS, RECORD_FOLDER, has_record, read_record, read_table
from itembank.store.record import Record, Sitting, group_key

__all__ = ["check", "record_told"]


def check(
    paths: Sequence[Path], workers: int = 1, progress: Progress = lambda reviews, total: reviews
) -> Checked:
    """Looks at template files, folders of them, banks with their blueprints and records, and single blueprints.

    workers, progress, and what is raised: as `bank.checking.check`.
    """
    checked = check_banks(paths, workers, progress)
    found: list[Diagnostic] = []
    told: list[str] = []
    for path in paths:
        if not is_file(path / BANK_FILE) or not has_record(path):
            continue
        try:
            record = read_record(path)
        except InputError as wrong:
            found.extend(wrong.diagnostics)
            continue
        found.extend(_wrong(path, record))
        told.append(f"{path}: {record_told(record, _versions(path))}")
    return replace(checked, diagnostics=(*checked.diagnostics, *found), recorded=tuple(told))


def _wrong(bank: Path, record: Record) -> Iterator[Diagnostic]:
    """Forms that are damaged or belong to no sitting, and sittings that stand twice."""
    folder = bank / RECORD_FOLDER / FORMS
    sat = {form.name: (form, sitting) for sitting in record.sittings for form in sitting.forms}
    for name, (form, sitting) in sorted(sat.items()):
        path = folder / f"{name}.zip"
        if not path.is_file():
            told = f"the form `{name}` was sat, but its package {path} is not there"
            yield damaged("form-missing", told, Path(sitting.path))
            continue
        try:
            items = items_in(path, form.digest, path)
        except InputError as wrong:
            yield from wrong.diagnostics
            continue
        table = path.with_suffix(".csv")
        try:
            if read_table(table, table) != items:
                told = "the table does not tell the items that its form has"
                hint = "delete it: what it told is read from the form's package, and the next `record` writes it anew"
                yield damaged("broken-form", told, table, hint=hint)
        except InputError as broken:
            hint = "what it told is read from the form's package; the next `record` writes it anew"
            yield from (replace(each, level=Level.DOUBTFUL, hint=hint) for each in broken.diagnostics)
    for path in files_in(folder, (".zip", ".csv")):
        if path.stem not in sat and not path.name.startswith("."):
            told = "no sitting of the record has this form"
            hint = "a sitting was taken back elsewhere, or is missing: bring it back, or delete this file"
            yield Diagnostic("form-of-no-sitting", told, Span(str(path), 1, 1), Level.DOUBTFUL, hint=hint)
    yield from _twice(bank, record.sittings)


def _twice(bank: Path, sittings: Iterable[Sitting]) -> Iterator[Diagnostic]:
    known: dict[tuple[str, str, frozenset[str]], Sitting] = {}
    for each in sittings:
        mark = (each.on, group_key(each.group), frozenset(form.digest for form in each.forms))
        first = known.setdefault(mark, each)
        if first is not each:
            yield Diagnostic(
                "same-sitting-twice", "another sitting says the same: each use is counted twice", Span(each.path, 1, 1),
                Level.DOUBTFUL, hint=f"take one of them back: itembank unrecord {bank} {each.name}",
                related=(Span(first.path, 1, 1), "the other one"),
            )  # fmt: skip


def record_told(record: Record, versions: dict[str, int] | None) -> str:
    """What a record holds and which templates changed since, in a line.

    versions: of the templates there are now; None where these are not known.
    """
    items = [item for _, item in record.every_item()]
    sittings, different = len(record.sittings), len({item.question for item in items})
    told = f"{sittings} sitting{'s' * (sittings != 1)} recorded, {different} different item{'s' * (different != 1)}"
    if versions is None:
        return told
    oldest: dict[str, int] = {}
    for item in items:
        oldest[item.template] = min(item.version, oldest.get(item.template, item.version))
    changed = [
        f"{name} ({number}, now {versions[name]})"
        for name, number in sorted(oldest.items())
        if versions.get(name, number) != number
    ]
    gone = sorted(name for name in oldest if name not in versions)
    for what, names in (("templates changed since", changed), ("templates gone since", gone)):
        if names:
            told += f"; {what}: {', '.join(names)}"
    return told


def _versions(bank: Path) -> dict[str, int] | None:
    """The version of each template; None of a bank that cannot be read, which `check` tells itself."""
    try:
        entries = load_bank(bank, str(bank)).entries
    except InputError:
        return None
    return {entry.recipe.template.name: entry.recipe.template.version for entry in entries}
