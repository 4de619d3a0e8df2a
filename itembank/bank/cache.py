"""Banks read once are kept on disk by content, so that the next command starts without parsing anything."""

from __future__ import annotations

import os
from pathlib import Path

from itembank.bank import disk_cache
from itembank.bank.bank import BANK_FILE, CALIBRATION_FILE, SLIP_FILE, Bank, read_bank, template_files

MOST_ENTRIES = 64


def load_bank(folder: Path, shown_as: str, language: str = "") -> Bank:
    """The bank of a folder, from the cache where it is unchanged. Raises InputError as `read_bank` does."""
    place = disk_cache.cache_folder()
    if place is None:
        return read_bank(folder, shown_as, language)
    name = place / f"{_digest(folder, shown_as, language)}.bank"
    kept = disk_cache.read(name)
    if isinstance(kept, Bank):
        if kept.facts.extensions:
            from itembank.bank.extensions import activate

            activate(kept.facts.extensions)
        return kept
    bank = read_bank(folder, shown_as, language)
    disk_cache.write(name, bank)
    disk_cache.thin_out(place, "*.bank", MOST_ENTRIES)
    return bank


def _digest(folder: Path, shown_as: str, language: str) -> str:
    state = disk_cache.digest_of_program(_own_files())
    state.update(f"{shown_as}\0{language}\0".encode("utf-8", "surrogateescape"))
    for path in (folder / BANK_FILE, folder / SLIP_FILE, folder / CALIBRATION_FILE, *template_files(folder)):
        state.update(os.fsencode(path.relative_to(folder)) + b"\0")
        if path.exists() and not path.is_file():  # a pipe would be waited for
            state.update(b"\0 no file")
            continue
        try:
            with path.open("rb") as file:
                content = file.read(1 << 21)
        except FileNotFoundError:
            continue
        except OSError:
            state.update(b"\0 not readable")
        else:
            state.update(len(content).to_bytes(8, "big") + content)
            if path.name == BANK_FILE and b"extensions" in content:
                from itembank.bank.extensions import state as of_extensions

                state.update(of_extensions(path))
    return state.hexdigest()


def _own_files() -> list[Path]:
    """The parts of the program a recipe depends on."""
    here = Path(__file__).parent.parent
    rooms = ("", "bank", "difficulty", "expressions", "generator", "properties", "templates", "yaml_source")
    return sorted(
        path
        for room in rooms
        for path in (here / room).glob("*.[plt]*")
        if path.suffix in {".py", ".lark", ".toml"}
    )
