"""What the record keeps of an item, from its entry in a build's `staff/items.json`."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from typing import Any, Final, NamedTuple

__all__ = ["RecordedItem", "asked", "recorded_item"]

_NUMBER: Final = re.compile(r"-?[0-9]+(?:[./][0-9]+)?")


class RecordedItem(NamedTuple):
    """An item that was used: its code, its address, its marks, what it asks, and the digest of its whole entry.

    asks: as `asked`. digest: SHA-256 of the entry as JSON with sorted keys and no blanks.
    """

    code: str
    template: str
    version: int
    seed: int
    position: int
    marks: int
    asks: str
    digest: str

    @property
    def question(self) -> tuple[str, str]:
        """What makes it the same item again, from whatever seed or version: its template and what it asks."""
        return self.template, self.asks

    @property
    def address(self) -> str:
        """Where it came from, as everywhere: template/version/seed/position."""
        return f"{self.template}/{self.version}/{self.seed}/{self.position}"


def recorded_item(entry: Mapping[str, Any]) -> RecordedItem:
    """What is kept of an entry. Raises KeyError, TypeError or ValueError for what is none.

    Source of the digest: NIST, FIPS 180-4.
    """
    address = entry["address"]
    whole = json.dumps(entry, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return RecordedItem(
        str(entry["code"]), str(address["template"]), int(address["version"]), int(address["seed"]),
        int(address["position"]), int(entry["marks"]), asked(entry["parts"]),
        hashlib.sha256(whole.encode("utf-8", "surrogatepass")).hexdigest(),
    )  # fmt: skip


def asked(parts: Iterable[Mapping[str, Any]]) -> str:
    """What the parts of an item ask, in one line: problems, what is put in order or matched, numbers of the stems.

    parts: as in `items.json`; of each are looked at `problem`, `stem`, `things` and `rows`. Words do not count, nor do
    options, so that an item is known again after its template got better words or other distractors.

    >>> asked([{"problem": {"plain": "x^2 + 6*x + 1 = 0"}, "stem": "Solve x^2 + 6*x + 1 = 0."}])
    'x^2 + 6*x + 1 = 0'
    >>> asked([{"problem": {"plain": "t = 4"}, "stem": "A tank of 90 litres ..."}])
    't = 4 (90)'
    """
    return "; ".join(map(_asked, parts))


def _asked(part: Mapping[str, Any]) -> str:
    text = str(part["problem"]["plain"])
    things = sorted(str(each["plain"]) for key in ("things", "rows") for each in part.get(key, ()))
    if things:
        text = f"{text} [{'; '.join(things)}]".strip()
    known = set(_NUMBER.findall(text))
    others = [number for number in _NUMBER.findall(str(part["stem"])) if number not in known]
    return " ".join(f"{text} ({' '.join(others)})".split()) if others else " ".join(text.split())
