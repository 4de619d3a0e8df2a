"""Keeping a calibration in the bank whose items were sat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from itembank.bank.bank import CALIBRATION_FILE
from itembank.bank.cache import load_bank
from itembank.calibration.calibrated import FEWEST, Calibration
from itembank.calibration.keeping import calibration_yaml
from itembank.errors import Diagnostic, InputError, Span
from itembank.whole_file import put_whole

__all__ = ["for_bank", "keep", "lost_templates", "refuse_to_keep"]


def refuse_to_keep(found: Calibration, folder: Path) -> None:
    """Look whether a bank can keep a calibration.

    Raises InputError `another-bank` where it has none of the templates that were sat, `too-few-pupils` where there is
    nothing to keep, and what is wrong with the bank.
    """
    strange = lost_templates(found, folder)
    if {each.item.template for each in found.items} <= set(strange):
        message = f"the bank has no template `{strange[0]}`, of which items were sat"
        raise _wrong(folder, "another-bank", message, "name the bank that the sittings were built from")
    if not for_bank(found, strange).kept:
        message = f"no item was taken by {FEWEST} pupils, so nothing is kept"
        raise _wrong(folder, "too-few-pupils", message, "add the results of more sittings, or keep nothing")


def lost_templates(found: Calibration, folder: Path) -> tuple[str, ...]:
    """The templates that were sat and that a bank has no more. Raises InputError for what is wrong with the bank."""
    known = {entry.recipe.template.name for entry in load_bank(folder, str(folder)).entries}
    return tuple(dict.fromkeys(each.item.template for each in found.items if each.item.template not in known))


def for_bank(found: Calibration, strange: Sequence[str]) -> Calibration:
    """What a bank can keep of a calibration."""
    return replace(
        found,
        items=tuple(each for each in found.items if each.item.template not in strange),
        templates=tuple(each for each in found.templates if each.template not in strange),
    )


def keep(found: Calibration, sittings: Sequence[str], folder: Path) -> Path:
    """Write a bank's file; where it is. sittings: their names, for people.

    Of templates that the bank has no more nothing is kept.

    Raises InputError as `refuse_to_keep`, and `not-writable`.
    """
    refuse_to_keep(found, folder)
    kept = for_bank(found, lost_templates(found, folder))
    path = folder / CALIBRATION_FILE
    try:
        put_whole(path, calibration_yaml(kept, sittings).encode())
    except OSError as failed:
        message = f"{path} cannot be written: {(failed.strerror or str(failed)).lower()}"
        raise _wrong(
            folder, "not-writable", message, "see to it that files can be made in the bank"
        ) from None
    return path


def _wrong(folder: Path, code: str, message: str, hint: str) -> InputError:
    return InputError(Diagnostic(code, message, Span(str(folder), 1, 1), hint=hint))
