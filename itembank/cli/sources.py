"""What a path on the command line names: a bank folder, a folder of templates, or one template file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from itembank.bank.bank import BANK_FILE, SLIP_FILE, Bank, Entry, bank_of
from itembank.errors import Diagnostic, InputError, Span

if TYPE_CHECKING:
    from itembank.templates.slips import Catalogue


def entries_of(path: Path) -> tuple[list[Entry], tuple[Diagnostic, ...], Bank | None]:
    """The templates of a path, what is doubtful about them, and the bank where the path is one.

    Raises InputError with everything that is wrong.
    """
    if not path.exists():
        raise InputError(
            Diagnostic(
                "not-there",
                f"{path} is not there",
                Span(str(path), 1, 1),
                hint="name a template file or a bank folder",
            )
        )
    if path.is_dir() and (path / BANK_FILE).is_file():
        from itembank.bank.cache import load_bank

        bank = load_bank(path, str(path))
        return list(bank.entries), bank.doubts, bank
    files = (
        sorted(p for p in path.rglob("*.y*ml") if p.name not in {BANK_FILE, SLIP_FILE})
        if path.is_dir()
        else [path]
    )
    if not files:
        raise InputError(
            Diagnostic(
                "no-templates",
                f"{path} holds no template",
                Span(str(path), 1, 1),
                hint="templates are .yaml files",
            )
        )
    return _files(files)


def _files(files: list[Path]) -> tuple[list[Entry], tuple[Diagnostic, ...], None]:
    from itembank.generator.compiler import make_recipe
    from itembank.templates.loader import load_template

    entries: list[Entry] = []
    doubts: list[Diagnostic] = []
    wrong: list[Diagnostic] = []
    for file in files:
        try:
            catalogue, told = _catalogue(file)
            loaded = load_template(file, str(file), catalogue)
            doubts.extend(told)
            doubts.extend(loaded.doubts)
            entries.append(Entry(make_recipe(loaded.template), "", str(file)))
        except InputError as error:
            wrong.extend(error.diagnostics)
    if wrong:
        raise InputError([*dict.fromkeys(wrong), *doubts])
    return entries, tuple(dict.fromkeys(doubts)), None


def _catalogue(file: Path) -> tuple[Catalogue, tuple[Diagnostic, ...]]:
    """The slip file of the bank a template lies in."""
    from itembank.templates.slips import NO_SLIPS, load_slips

    folder = bank_of(file.parent)
    if folder is None or not (folder / SLIP_FILE).is_file():
        return NO_SLIPS, ()
    return load_slips(folder / SLIP_FILE, str(folder / SLIP_FILE))
