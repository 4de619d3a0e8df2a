"""The record as data: sittings, the forms that were sat, and how often each item was used."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from itembank.errors import Diagnostic, InputError
from itembank.store.items import RecordedItem

__all__ = ["Record", "SatForm", "Sitting", "Uses", "group_key", "must_be_a_day", "same_group"]


@dataclass(frozen=True, slots=True)
class SatForm:
    """A form in a sitting. name: of its files in the record; digest: SHA-256 of the list of these files."""

    name: str
    title: str
    digest: str


@dataclass(frozen=True, slots=True)
class Sitting:
    """What a group sat on a day. name: of its file; on: year-month-day, so that texts are in the order of days."""

    name: str
    group: str
    on: str
    forms: tuple[SatForm, ...]
    note: str = ""
    path: str = ""

    @property
    def title(self) -> str:
        """Of all its forms, for people: of those that differ by their last word only, that word.

        >>> forms = (SatForm("a", "At half-term A", ""), SatForm("b", "At half-term B", ""))
        >>> Sitting("s", "Evening B", "2026-06-12", forms).title
        'At half-term A, B'
        """
        titles = list(dict.fromkeys(form.title or form.name for form in self.forms))
        alike = len({title.rpartition(" ")[0] for title in titles}) == 1
        return ", ".join([titles[0], *(t.rpartition(" ")[2] if alike else t for t in titles[1:])])


@dataclass(frozen=True, slots=True)
class Uses:
    """The uses of one item: the item as it was used last, and its sittings from the first to the last."""

    item: RecordedItem
    sittings: tuple[Sitting, ...]

    @property
    def groups(self) -> tuple[str, ...]:
        """Who sat it, each once, in the order of days."""
        told = {group_key(each.group): each.group for each in self.sittings}
        return tuple(told.values())


def must_be_a_day(text: str) -> None:
    """Raise InputError `no-such-day` for a text that names no day of the calendar as year-month-day."""
    from itembank.templates.record_model import a_day

    try:
        a_day(text)
    except ValueError as wrong:
        raise InputError(Diagnostic("no-such-day", f"`{text}`: {wrong}")) from None


@dataclass(frozen=True, slots=True)
class Record:
    """What a bank knows of the use of its items. sittings: from the first to the last; items: form -> its items."""

    sittings: tuple[Sitting, ...] = ()
    items: Mapping[str, tuple[RecordedItem, ...]] = field(default_factory=dict)

    def items_of(self, sitting: Sitting) -> tuple[RecordedItem, ...]:
        """The items of a sitting, each once, however many forms have it."""
        found: dict[tuple[str, str], RecordedItem] = {}
        for form in sitting.forms:
            for item in self.items.get(form.name, ()):
                found.setdefault(item.question, item)
        return tuple(found.values())

    def among(self, groups: Iterable[str] = (), since: str = "") -> Record:
        """The sittings of some groups, () for all, on a day or later, "" for ever. Raises InputError for no day."""
        if since:
            must_be_a_day(since)
        wanted = {group_key(group) for group in groups}
        kept = tuple(
            each
            for each in self.sittings
            if (not wanted or group_key(each.group) in wanted) and each.on >= since
        )
        return Record(kept, self.items)

    def groups(self) -> tuple[str, ...]:
        """Every group, as it is spelled last, in the order in which they came."""
        return tuple({group_key(each.group): each.group for each in self.sittings}.values())

    def uses(self) -> tuple[Uses, ...]:
        """Every item that was used, those first that were used most, then by template and what they ask.

        An item of which the same is asked by the same template is the same item, whatever its code (`question`); two
        forms of one sitting that share it use it once.
        """
        last: dict[tuple[str, str], RecordedItem] = {}
        sat: dict[tuple[str, str], list[Sitting]] = {}
        for sitting in self.sittings:
            for item in self.items_of(sitting):
                last[item.question] = item
                sat.setdefault(item.question, []).append(sitting)
        found = [Uses(item, tuple(sat[question])) for question, item in last.items()]
        return tuple(sorted(found, key=lambda uses: (-len(uses.sittings), uses.item.question)))

    def every_item(self) -> Iterator[tuple[str, RecordedItem]]:
        """Each item of each form with the form's name."""
        return ((name, item) for name, items in self.items.items() for item in items)


def group_key(name: str) -> str:
    """What two spellings of a group have in common: capitals, commas and blanks do not tell groups apart.

    >>> group_key("Evening algebra, group B") == group_key("evening  algebra: group b")
    True
    """
    return " ".join(re.findall(r"\w+", name.casefold()))


def same_group(first: str, second: str) -> bool:
    """Whether two names are of one group."""
    return group_key(first) == group_key(second)
