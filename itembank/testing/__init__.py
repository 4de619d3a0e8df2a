"""For those who keep banks in repositories of their own; nothing in the house imports this room.

`items_of` (in `strategies.py`) draws items of a template for hypothesis; `plugin.py` makes `pytest banks/` check every
template of the banks below. Needs the extra `testing`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from itembank.testing.strategies import items_of

__all__ = ["items_of"]


def __getattr__(name: str) -> Any:
    """`items_of`, loaded when it is asked for: pytest loads this package at every start."""
    if name != "items_of":
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from itembank.testing.strategies import items_of

    return items_of
