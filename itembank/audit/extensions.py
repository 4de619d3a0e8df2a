"""What extensions check of a file. Without an extension, what it made is told as not checked, and never passed over."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from lxml import etree

from itembank.audit.findings import Fault

__all__ = ["NOT_CHECKED", "PICTURES", "Numbered", "extension_faults"]

NOT_CHECKED: Final = "extension-not-loaded"
"""The code of what is told as a note: nothing is known to be wrong, but nobody looked."""

_NUMBER: Final = re.compile(r"-?[0-9]{1,60}(?:/[0-9]{1,60})?\Z")


@dataclass(frozen=True, slots=True)
class Numbered:
    """How an extension checks its pictures: the keys of their numbers, and what disagrees with them."""

    keys: tuple[str, ...]
    check: Callable[[Mapping[str, Fraction], str], Iterable[str]]


PICTURES: dict[str, Numbered] = {}
"""Kind of picture -> its check, of extensions that were loaded."""


def extension_faults(root: etree._Element, words: str, address: str) -> Iterator[Fault]:
    """What is wrong with the picture of an extension, by its own check."""
    kind, whose = root.get("data-kind", ""), root.get("data-extension", "")
    known = PICTURES.get(kind)
    if known is None:
        message = (
            f"pictures of the kind {kind!r} are of the extension {whose!r}: their numbers were not checked; "
            f"with it installed, --extension {kind} checks them"
        )
        yield Fault(NOT_CHECKED, message)
        return
    listed = root.get("data-numbers", "").split()
    if len(listed) != len(known.keys) or not all(_NUMBER.match(each) for each in listed):
        message = f"the picture {address!r}: the numbers it was drawn of cannot be read"
        yield Fault("picture-numbers", message, place=address)
        return
    try:
        numbers = dict(zip(known.keys, map(Fraction, listed), strict=True))
    except ZeroDivisionError:
        yield Fault("picture-numbers", f"the picture {address!r}: a number divides by zero", place=address)
        return
    for reason in known.check(numbers, words):
        yield Fault("picture-numbers", f"the picture {address!r}: {reason}", place=address)
