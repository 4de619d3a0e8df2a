"""The secret behind a bank's item codes: a file named in `bank.yaml`, made on first use; an open one without it."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from itembank.bank.bank import Bank
from itembank.errors import Diagnostic, InputError, Span
from itembank.generator.item_codes import OPEN_SECRET


def secret_of(bank: Bank, *, create: bool) -> tuple[bytes, bool]:
    """The secret, and whether it is the bank's own. create: make the file where it is not there yet.

    Raises InputError where the file lies outside the bank, is unreadable, or holds too little.
    """
    if bank.facts.secret is None:
        return OPEN_SECRET, False
    path = (Path(bank.folder) / bank.facts.secret).resolve()
    here = Span(str(Path(bank.folder) / "bank.yaml"), 1, 1)
    if not lies_within(Path(bank.folder), bank.facts.secret):
        raise InputError(
            Diagnostic(
                "secret-outside",
                "the secret's file lies outside the bank",
                here,
                hint="name a file of the bank's own folder",
            )
        )
    if not path.exists():
        if not create:
            return OPEN_SECRET, False
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_hex(32) + "\n")
    try:
        text = path.read_bytes().strip()
    except OSError as error:
        raise InputError(
            Diagnostic("secret-unreadable", f"the secret's file cannot be read: {error.strerror}", here)
        ) from None
    if len(text) < 16:
        raise InputError(
            Diagnostic(
                "secret-too-short",
                "the secret's file holds fewer than 16 characters",
                here,
                hint="delete it; the next build makes a new one",
            )
        )
    return text, True


def lies_within(folder: Path, name: str) -> bool:
    """Whether a file named from a folder is in it, whatever dots and links say."""
    return (folder / name).resolve().is_relative_to(folder.resolve())
