"""What was used before, for builds that are to leave it out: by the bank's record, or by folders of earlier builds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from itembank.bank.bank import LeaveOut
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.listed_files import files_below
from itembank.store.forms import read_entries
from itembank.store.items import RecordedItem
from itembank.store.reading import read_record
from itembank.store.record import Record, group_key

__all__ = ["Before", "built_before", "recorded_before", "unknown_groups"]

MOST_BYTES = 200_000_000


@dataclass(frozen=True, slots=True)
class Before:
    """The items that are not to come again. addresses: template/version/seed/position; questions: as `question`."""

    templates: frozenset[str] = frozenset()
    addresses: frozenset[str] = frozenset()
    questions: frozenset[tuple[str, str]] = frozenset()

    @classmethod
    def of(cls, items: Iterable[RecordedItem]) -> Before:
        """Of some items."""
        listed = list(items)
        return cls(
            frozenset(each.template for each in listed),
            frozenset(each.address for each in listed),
            frozenset(each.question for each in listed),
        )

    def __or__(self, other: Before) -> Before:
        return Before(
            self.templates | other.templates,
            self.addresses | other.addresses,
            self.questions | other.questions,
        )


def recorded_before(bank: Path, rule: LeaveOut) -> tuple[Before, tuple[Diagnostic, ...]]:
    """The items that a bank's record keeps out by a rule, and what is doubtful: groups of which nothing is recorded.

    Raises InputError with everything that is damaged in the record.
    """
    if not rule.times:
        return Before(), ()
    record = read_record(bank)
    found = [
        uses.item.question
        for uses in record.among(rule.by, rule.since).uses()
        if len(uses.sittings) >= rule.times
    ]
    kept_out = frozenset(found)
    items = [item for _, item in record.every_item() if item.question in kept_out]
    return Before.of(items), unknown_groups(record, rule.by, bank)


def unknown_groups(record: Record, groups: Iterable[str], bank: Path) -> tuple[Diagnostic, ...]:
    """Groups that are named and of which no sitting is recorded; this may be so, or be a slip of the pen."""
    known = {group_key(name) for name in record.groups()}
    some = f"recorded are: {'; '.join(record.groups())}" if record.sittings else "nothing is recorded yet"
    return tuple(
        Diagnostic(
            "unknown-group", f"no sitting of `{name}` is recorded", Span(str(bank), 1, 1), Level.DOUBTFUL, hint=some
        )
        for name in groups
        if group_key(name) not in known
    )  # fmt: skip


def built_before(folders: Iterable[Path]) -> Before:
    """The items of earlier builds. Raises InputError for a folder without staff's records, or with broken ones."""
    found = Before()
    for folder in folders:
        paths = sorted(path for path in files_below(folder, ("items.json",)) if path.name == "items.json")
        if not paths:
            told = f"{folder} holds no items.json, the staff's record of a build"
            hint = "name a folder that `build` or `assemble` wrote with the format json"
            raise InputError(Diagnostic("no-record", told, Span(str(folder), 1, 1), hint=hint))
        for path in paths:
            found |= Before.of(_items(path))
    return found


def _items(path: Path) -> tuple[RecordedItem, ...]:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise OSError("too large")
        return read_entries(path.read_bytes(), path)[1]
    except (OSError, InputError):
        told = f"{path} is no record of items that a build wrote"
        raise InputError(
            Diagnostic("no-record", told, Span(str(path), 1, 1), hint="build it again")
        ) from None
