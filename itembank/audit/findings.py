"""What an audit reports, and the ways its rooms say "no" to each other.

ItembankError
├── Fault           something in the file is wrong: code, message, place; becomes a Finding
│   └── Unread      mathematics in a notation the audit does not know: refused, never guessed
└── CannotTell      the mathematics is beyond this method; with every method exhausted, a fault of the item
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from itembank.errors import ItembankError

__all__ = ["STUCK", "CannotTell", "Fault", "Finding", "Report", "Unread", "reported", "why_stuck"]


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing that is wrong with a package.

    item: the item's code, "" where no item is concerned; member: the file in the package; code: kebab-case words;
    message: one sentence in plain words without a full stop; place: where in the item, "" where nothing helps.
    """

    item: str
    member: str
    code: str
    message: str
    place: str = ""

    def __str__(self) -> str:
        """The code, the place and the message, for a line of text."""
        return f"{self.code}: {self.place + ': ' if self.place else ''}{self.message}"

    def as_dict(self) -> dict[str, str]:
        """The fields by name, as JSON takes them."""
        return {
            "item": self.item, "member": self.member, "code": self.code, "message": self.message,
            "place": self.place,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Report:
    """What the audit of one package found. package: its name; items: how many were examined.

    notes: what could not be looked at, a sentence each; nothing wrong, but to be known.
    """

    package: str
    items: int
    findings: tuple[Finding, ...] = ()
    thorough: bool = False
    notes: tuple[str, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether nothing at all is wrong."""
        return not self.findings

    def lines(self) -> list[str]:
        """One line for each item at fault (and for each file that is no item), then the notes and one with counts.

        >>> Report("quiz.zip", 2, (Finding("K7Q2M", "items/K7Q2M.xml", "wrong-key", "the key is wrong"),)).lines()
        ['K7Q2M (items/K7Q2M.xml): wrong-key: the key is wrong', 'quiz.zip: 2 items, 1 at fault']
        """
        grouped: dict[tuple[str, str], list[Finding]] = {}
        for finding in self.findings:
            grouped.setdefault((finding.item, finding.member), []).append(finding)
        told = [
            f"{_subject(item, member, self.package)}: {'; '.join(map(str, found))}"
            for (item, member), found in grouped.items()
        ]
        count = f"{self.items} item{'' if self.items == 1 else 's'}"
        told += [f"{self.package}: {note}" for note in self.notes]
        return [*told, f"{self.package}: {count}, {len(grouped) or 'none'} at fault"]

    def as_dict(self) -> dict[str, object]:
        """The whole report in plain values, as JSON takes them."""
        told: Mapping[str, object] = {
            "package": self.package, "items": self.items, "ok": self.ok, "thorough": self.thorough,
            "findings": [finding.as_dict() for finding in self.findings], "notes": list(self.notes),
        }  # fmt: skip
        return dict(told)


class Fault(ItembankError):
    """Something in the file is wrong."""

    def __init__(self, code: str, message: str, *, member: str = "", place: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.member = member
        self.place = place


class Unread(Fault):
    """Mathematics in a notation the audit does not read."""

    def __init__(self, message: str) -> None:
        super().__init__("unread-notation", message)


class CannotTell(ItembankError):
    """This method cannot decide; the reason is its text."""


STUCK: Final = (CannotTell, ArithmeticError, RecursionError, LookupError, ValueError)
"""What may end the checks of a file: what this method cannot decide, and what one part of a spoilt file says of another
part that is not there, which no check has to foresee."""


def why_stuck(stuck: BaseException) -> str:
    """Why a check ended with one of `STUCK`, for a sentence.

    >>> why_stuck(KeyError("x"))
    'what it says of one part fits no other part'
    """
    if isinstance(stuck, LookupError | ValueError):
        return "what it says of one part fits no other part"
    return str(stuck)


def reported(fault: Fault, item: str, member: str) -> Finding:
    """A fault as it is reported. item: the item's code; member: the file, where the fault does not name another."""
    return Finding(item, fault.member or member, fault.code, fault.message, fault.place)


def _subject(item: str, member: str, package: str) -> str:
    return f"{item} ({member})" if item and member else item or member or package
