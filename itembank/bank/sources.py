"""What a path on the command line names: a bank folder, a folder of templates, or one template file."""

from __future__ import annotations

import os
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from itembank.bank.bank import (
    BANK_FILE,
    CALIBRATION_FILE,
    MOST_FILES,
    SLIP_FILE,
    TEMPLATE_FOLDER,
    Bank,
    Entry,
    bank_of,
    read_what_can_be,
    weights_for,
)
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.listed_files import files_below
from itembank.publication import Extension

if TYPE_CHECKING:
    from itembank.templates.slips import Catalogue


class Found(NamedTuple):
    """The templates of a path that can be read, and what is wrong or doubtful about its files.

    bank: where the path is one with nothing wrong; extensions: those of a bank.
    """

    entries: list[Entry]
    told: tuple[Diagnostic, ...]
    bank: Bank | None = None
    extensions: tuple[Extension, ...] = ()


def entries_of(path: Path, language: str = "") -> tuple[list[Entry], tuple[Diagnostic, ...], Bank | None]:
    """The templates of a path, what is doubtful about them, and the bank where the path is one.

    language: what their texts are to be in, "" for their own. Raises InputError with everything that is wrong.
    """
    found = found_at(path, language)
    if any(each.level is Level.WRONG for each in found.told):
        raise InputError(found.told)
    return found.entries, found.told, found.bank


def found_at(path: Path, language: str = "") -> Found:
    """The templates of a path that are as they should be, with everything that is wrong with the others.

    language: as `entries_of`. Raises InputError where there is nothing to read.
    """
    try:
        is_folder, is_there = path.is_dir(), path.exists()
    except OSError as error:  # a name that is too long, a folder that may not be searched
        raise _about(path, "not-readable", f"{path} cannot be read: {error.strerror}") from None
    if not is_there:
        raise _about(path, "not-there", f"{path} is not there", "name a template file or a bank folder")
    if is_folder and (path / BANK_FILE).is_file():
        from itembank.bank.cache import load_bank

        try:
            bank = load_bank(path, str(path), language)
        except InputError as wrong:
            return _the_rest(path, language, wrong)
        return Found(list(bank.entries), bank.doubts, bank, bank.facts.extensions)
    if path.parent.name == BLUEPRINT_FOLDER and not is_folder:
        raise _about(
            path,
            "not-a-template",
            f"{path} is a blueprint, not a template",
            f"itembank assemble {path} --out DIR",
        )
    if _is_sitting(path) and not is_folder:
        raise _about(
            path,
            "not-a-template",
            f"{path} is a sitting, not a template",
            f"itembank used {path.parent.parent.parent}",
        )
    if path.name in _NO_TEMPLATES:
        raise _about(
            path,
            "not-a-template",
            f"{path} is a bank's own file, not a template",
            f"name the bank folder: {path.parent}",
        )
    files = _below(path) if is_folder else [path]
    if not files:
        raise _about(path, "no-templates", f"{path} holds no template", "templates are .yaml files")
    return _files(files, language)


def _the_rest(path: Path, language: str, wrong: InputError) -> Found:
    """Of a bank with something wrong, the templates that are as they should be; none where its own file is not."""
    read = read_what_can_be(path, str(path), language)
    told = tuple(wrong.diagnostics)
    if read.facts is None:
        return Found([], told)
    return Found(read.entries, told, extensions=read.facts.extensions)


MOST_LOOKED_AT = 50_000
"""Files below a folder that are looked at."""

_NO_TEMPLATES = {BANK_FILE, SLIP_FILE, CALIBRATION_FILE}
BLUEPRINT_FOLDER = "blueprints"
RECORD_FOLDER, SITTING_FOLDER = "record", "sittings"


def _below(folder: Path) -> list[Path]:
    """The YAML files of a folder and its sub-folders. Raises InputError where there is too much to look at, or less."""
    looked_at = list(islice(files_below(folder, ("",)), MOST_LOOKED_AT + 1))
    found = [p for p in looked_at if p.suffix in {".yaml", ".yml"} and _is_template(p)]
    if len(looked_at) > MOST_LOOKED_AT or len(found) > MOST_FILES:
        raise _about(folder, "too-many-files", f"{folder} holds too many files", "name a folder further down")
    return sorted(p for p in found if p.is_file())


def _is_template(path: Path) -> bool:
    return path.name not in _NO_TEMPLATES and path.parent.name != BLUEPRINT_FOLDER and not _is_sitting(path)


def _is_sitting(path: Path) -> bool:
    """Whether a file belongs to the record of what was sat."""
    return (path.parent.parent.name, path.parent.name) == (RECORD_FOLDER, SITTING_FOLDER)


def _about(path: Path, code: str, message: str, hint: str = "") -> InputError:
    return InputError(Diagnostic(code, message, Span(str(path), 1, 1), hint=hint))


def _files(files: list[Path], language: str) -> Found:
    from itembank.generator.compiler import make_recipe
    from itembank.templates.loader import load_template

    entries: list[Entry] = []
    doubts: list[Diagnostic] = []
    wrong: list[Diagnostic] = []
    for file in files:
        try:
            catalogue, told = _catalogue(file)
            loaded = load_template(file, str(file), catalogue, language)
            doubts.extend(told)
            doubts.extend(loaded.doubts)
            entries.append(Entry(make_recipe(loaded.template), _strand(file), str(file), weights_for(file)))
        except InputError as error:
            wrong.extend(error.diagnostics)
    return Found(entries, tuple(dict.fromkeys([*wrong, *doubts])))


def _strand(file: Path) -> str:
    """The strand of a template in a bank's folder of templates, "" elsewhere."""
    folder = bank_of(file.parent)
    below = file.absolute().parent
    templates = folder.absolute() / TEMPLATE_FOLDER if folder is not None else below
    return below.relative_to(templates).as_posix().strip(".") if below.is_relative_to(templates) else ""


def _catalogue(file: Path) -> tuple[Catalogue, tuple[Diagnostic, ...]]:
    """The slip file of the bank a template lies in."""
    from itembank.bank.extensions import extensions_of_bank
    from itembank.templates.slips import NO_SLIPS, load_slips

    def shown(path: Path) -> str:
        return str(path) if file.is_absolute() else os.path.relpath(path)

    folder = bank_of(file.parent)
    if folder is None:
        return NO_SLIPS, ()
    extensions_of_bank(folder / BANK_FILE, shown(folder / BANK_FILE))
    if not (folder / SLIP_FILE).is_file():
        return NO_SLIPS, ()
    return load_slips(folder / SLIP_FILE, shown(folder / SLIP_FILE))
