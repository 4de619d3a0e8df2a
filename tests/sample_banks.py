"""The banks of this repository, read once in a process of tests; what is read is frozen."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from itembank.bank.bank import Bank, read_bank

__all__ = ["read"]

_BANKS = Path(__file__).resolve().parents[1] / "banks"


@cache
def read(name: str, language: str = "") -> Bank:
    """A bank by the name of its folder, shown as `banks/NAME`."""
    return read_bank(_BANKS / name, f"banks/{name}", language)
