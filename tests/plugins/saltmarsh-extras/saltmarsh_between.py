"""The kind `between-wholes`: between which two whole numbers does the answer lie? A choice among ranges in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from itembank.extending import DomainError, ResponseExtension

_MOST = 12


def spell(asked: Mapping[str, str], unknowns: tuple[str, ...]) -> Mapping[str, Any]:
    """An option for each two neighbours from the first number to the last."""
    if len(unknowns) != 1:
        raise DomainError("it asks about one unknown")
    first, last = (_whole(asked[key], key) for key in ("from", "to"))
    if not 2 <= last - first <= _MOST:
        raise DomainError(f"`to` is greater than `from`, by 2 to {_MOST}")
    (x,) = unknowns
    ranges = [
        {
            "text": {"en": f"between ${low}$ and ${low + 1}$", "es": f"entre ${low}$ y ${low + 1}$"},
            "when": f"{x} > {low} and {x} < {low + 1}",
        }
        for low in range(first, last)
    ]
    return {"kind": "choice", "words": ranges}


def _whole(text: str, key: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise DomainError(f"`{key}` is a whole number") from None


BETWEEN = ResponseExtension(
    name="between-wholes",
    keys={"from": "the smallest whole number that is named", "to": "the largest"},
    spell=spell,
)
