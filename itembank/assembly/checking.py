"""`check` with blueprints: those of a bank that is checked, and those that are named themselves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from itembank.assembly.reading import bank_folder, read_blueprint, unknown_names
from itembank.bank.bank import BANK_FILE
from itembank.bank.cache import load_bank
from itembank.bank.checking import Checked, Progress
from itembank.bank.checking import check as check_templates
from itembank.bank.sources import BLUEPRINT_FOLDER
from itembank.errors import Diagnostic, InputError
from itembank.listed_files import files_in

__all__ = ["check", "is_file"]


def check(
    paths: Sequence[Path], workers: int = 1, progress: Progress = lambda reviews, total: reviews
) -> Checked:
    """Looks at template files, folders of them, banks with their blueprints, and single blueprints.

    workers, progress, and what is raised: as `bank.checking.check`.
    """
    blueprints = [path for path in paths if _is_blueprint(path)]
    others = [path for path in paths if path not in blueprints]
    checked = check_templates(others, workers, progress)
    hidden: list[Diagnostic] = []
    for path in others:
        if is_file(path / BANK_FILE):
            try:
                blueprints += files_in(path / BLUEPRINT_FOLDER, (".yaml", ".yml"))
            except InputError as wrong:
                hidden += wrong.diagnostics
    told = (*checked.diagnostics, *hidden, *(each for path in blueprints for each in _wrong(path)))
    return replace(checked, diagnostics=told, blueprints=len(blueprints))


def _is_blueprint(path: Path) -> bool:
    return path.parent.name == BLUEPRINT_FOLDER and is_file(path)


def is_file(path: Path) -> bool:
    """Whether there is such a file; no for what cannot be looked for, as a name that is too long."""
    try:
        return path.is_file()
    except (
        OSError
    ):  # a name that is too long, a folder that may not be searched: `check` tells it of the path
        return False


def _wrong(path: Path) -> Iterator[Diagnostic]:
    """What is wrong with a blueprint by itself, and in its bank; of a bank that cannot be read `check` tells itself."""
    try:
        blueprint, _ = read_blueprint(path)
        folder = bank_folder(path)
    except InputError as wrong:
        yield from wrong.diagnostics
        return
    try:
        bank = load_bank(folder, str(folder))
    except InputError:
        return
    yield from unknown_names(blueprint, bank)
