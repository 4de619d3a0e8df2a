"""Keeping a calibration in the bank whose items were sat."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from itembank.bank.bank import CALIBRATION_FILE
from itembank.bank.cache import load_bank
from itembank.calibration.calibrated import FEWEST, Calibration
from itembank.calibration.keeping import calibration_yaml
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["keep", "refuse_to_keep"]


def refuse_to_keep(found: Calibration, folder: Path) -> None:
    """Look whether a bank can keep a calibration.

    Raises InputError `another-bank` where it has not the templates that were sat, `too-few-pupils` where there is
    nothing to keep, and what is wrong with the bank.
    """
    known = {entry.recipe.template.name for entry in load_bank(folder, str(folder)).entries}
    strange = [each.item.template for each in found.items if each.item.template not in known]
    if strange:
        message = f"the bank has no template `{strange[0]}`, of which items were sat"
        raise _wrong(folder, "another-bank", message, "name the bank that the sittings were built from")
    if not found.kept:
        message = f"no item was taken by {FEWEST} pupils, so nothing is kept"
        raise _wrong(folder, "too-few-pupils", message, "add the results of more sittings, or keep nothing")


def keep(found: Calibration, sittings: Sequence[str], folder: Path) -> Path:
    """Write a bank's file, beside its place and moved there whole; where it is. sittings: their names, for people.

    Raises InputError as `refuse_to_keep`, and `not-writable`.
    """
    refuse_to_keep(found, folder)
    path = folder / CALIBRATION_FILE
    beside = path.with_name(f".{CALIBRATION_FILE}.{os.getpid()}.new")
    try:
        beside.write_text(calibration_yaml(found, sittings), "utf-8", newline="\n")
        os.replace(beside, path)
    except OSError as failed:
        beside.unlink(missing_ok=True)
        message = f"{path} cannot be written: {(failed.strerror or str(failed)).lower()}"
        raise _wrong(
            folder, "not-writable", message, "see to it that files can be made in the bank"
        ) from None
    return path


def _wrong(folder: Path, code: str, message: str, hint: str) -> InputError:
    return InputError(Diagnostic(code, message, Span(str(folder), 1, 1), hint=hint))
