"""Who has looked at which template and found it fit for pupils: kept in the bank, by the content that was looked at.

A proof says that the mathematics is right, not that an item suits its pupils. An approval is of a version and its
content with its slips, by the same digest as the lock file; whatever changes is to be approved anew. A translation has
approvals of its own.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path
from typing import Any, Final, NamedTuple

from itembank.bank.bank import Bank, Entry
from itembank.bank.kept_file import alone, read_kept
from itembank.bank.lock import mark_of
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.whole_file import put_whole

__all__ = [
    "APPROVALS_FILE", "Approval", "Approved", "State", "approve", "approved_only", "read_approvals", "states",
    "withdraw",
]  # fmt: skip

APPROVALS_FILE = "bank.approvals"
_BROKEN: Final = Diagnostic(
    "broken-approvals", "the file of approvals cannot be read",
    hint="restore it from version control, or delete it and approve templates again",
)  # fmt: skip


class State(Enum):
    """What an approval says of a template as it stands."""

    APPROVED = "approved"
    CHANGED = "changed since"
    NONE = "not approved"


@dataclass(frozen=True, slots=True)
class Approval:
    """digest: of the template that was looked at; by: who looked; on: year-month-day; note: a line for people."""

    digest: str
    by: str
    on: str
    note: str = ""


class Approved(NamedTuple):
    """A template and what is known of it; approval: the last one of its name in its language, of any version."""

    entry: Entry
    state: State
    version: int | None
    approval: Approval | None


def read_approvals(folder: Path) -> dict[str, Approval]:
    """`name@version`, of a translation `name@version/es` -> approval. Raises InputError `broken-approvals`."""
    return read_kept(folder / APPROVALS_FILE, "approvals", _approval, _BROKEN)


def _approval(told: Any) -> Approval:
    return Approval(*(str(told[key]) for key in ("digest", "by", "on", "note")))


def states(bank: Bank) -> tuple[Approved, ...]:
    """Every template of the bank, in its order. Raises InputError as `read_approvals`."""
    known = read_approvals(Path(bank.folder))
    return tuple(_state(entry, known) for entry in bank.entries)


def _state(entry: Entry, known: Mapping[str, Approval]) -> Approved:
    template = entry.recipe.template
    as_it_is = known.get(mark_of(template, template.version))
    if as_it_is is not None and as_it_is.digest == template.digest:
        return Approved(entry, State.APPROVED, template.version, as_it_is)
    for version in range(template.version, 0, -1):
        if (before := known.get(mark_of(template, version))) is not None:
            return Approved(entry, State.CHANGED, version, before)
    return Approved(entry, State.NONE, None, None)


def approve(bank: Bank, names: Sequence[str], by: str, on: str, note: str = "") -> tuple[Entry, ...]:
    """Keep that somebody approved templates as they are; those that were not approved already.

    names: of templates, () for all. on: year-month-day. What is approved as it is keeps its first approval. Raises
    InputError `nobody` without a name, `no-such-day`, `unknown-template`, `not-writable`, and as `read_approvals`.
    """
    from itembank.templates.record_model import a_day  # not at the top: builds read approvals without it

    who = " ".join(by.split())
    if not who:
        raise InputError(Diagnostic("nobody", "an approval needs the name of who looked", hint="--by NAME"))
    try:
        a_day(on)
    except ValueError as failed:
        raise InputError(Diagnostic("no-such-day", f"`{on}`: {failed}", hint="such as 2026-06-12")) from None
    chosen = _named(bank, names)
    approval = Approval("", who, on, " ".join(note.split()))
    with alone(Path(bank.folder) / APPROVALS_FILE):
        known = read_approvals(Path(bank.folder))
        new = [entry for entry in chosen if _state(entry, known).state is not State.APPROVED]
        for entry in new:
            template = entry.recipe.template
            known[mark_of(template, template.version)] = replace(approval, digest=template.digest)
        if new:
            _write(bank, known)
    return tuple(new)


def withdraw(bank: Bank, names: Sequence[str]) -> tuple[Entry, ...]:
    """Take approvals of templates back, of every version in the bank's language; those that had any.

    names: of templates, () for all. Raises InputError as `approve`.
    """
    gone = []
    with alone(Path(bank.folder) / APPROVALS_FILE):
        known = read_approvals(Path(bank.folder))
        for entry in _named(bank, names):
            template = entry.recipe.template
            marks = [mark_of(template, version) for version in range(1, template.version + 1)]
            if [known.pop(mark) for mark in marks if mark in known]:
                gone.append(entry)
        if gone:
            _write(bank, known)
    return tuple(gone)


def approved_only(bank: Bank, asked: bool = False) -> Bank:
    """The bank with the templates that are approved as they are, where that is asked for or its file says so.

    What is left out is told among its doubts. Raises InputError `nothing-approved` where nothing would be left.
    """
    if not (asked or bank.facts.approved_only):
        return bank
    used = {entry.recipe.template.name for entry in bank.used()}
    told = [each for each in states(bank) if each.entry.recipe.template.name in used]
    kept = tuple(each.entry for each in told if each.state is State.APPROVED)
    place = Span(str(Path(bank.folder) / APPROVALS_FILE), 1, 1)
    hint = f'look at them, then: itembank approve {bank.folder} TEMPLATE --by "YOUR NAME"'
    if not kept:
        message = "no template of the bank is approved as it is, and only such may be used"
        raise InputError(Diagnostic("nothing-approved", message, place, hint=hint))
    out = [
        f"{each.entry.recipe.template.name} ({each.state.value})" for each in told if each.entry not in kept
    ]
    if not out:
        return bank
    some = ", ".join(out[:8]) + (f" and {len(out) - 8} more" if len(out) > 8 else "")
    message = f"left out, for nobody approved them as they are: {some}"
    doubt = Diagnostic("not-approved", message, place, Level.DOUBTFUL, hint=hint)
    return replace(bank, entries=kept, doubts=(*bank.doubts, doubt))


def _named(bank: Bank, names: Sequence[str]) -> list[Entry]:
    from itembank.expressions.vocabulary import nearest

    by_name = {entry.recipe.template.name: entry for entry in bank.entries}
    unknown = []
    for name in names:
        if name not in by_name:
            close = nearest(name, by_name)
            hint = f"do you mean {close}?" if close else f"its templates: {', '.join(sorted(by_name)[:12])}"
            message = f"the bank has no template `{name}`"
            unknown.append(Diagnostic("unknown-template", message, Span(bank.folder, 1, 1), hint=hint))
    if unknown:
        raise InputError(unknown)
    return [by_name[name] for name in dict.fromkeys(names)] if names else list(bank.entries)


def _write(bank: Bank, known: Mapping[str, Approval]) -> None:
    path = Path(bank.folder) / APPROVALS_FILE
    told = {
        mark: {"digest": each.digest, "by": each.by, "on": each.on, "note": each.note}
        for mark, each in sorted(known.items())
    }
    text = json.dumps({"approvals": told}, ensure_ascii=False, indent=1) + "\n"
    try:
        put_whole(path, text.encode())
    except OSError as failed:
        message = f"approvals cannot be kept: {(failed.strerror or str(failed)).lower()}"
        hint = "see to it that files can be made there"
        raise InputError(Diagnostic("not-writable", message, Span(str(path), 1, 1), hint=hint)) from None
