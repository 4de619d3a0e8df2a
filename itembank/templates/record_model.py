"""The shape of a sitting in a bank's record of use: `record/sittings/*.yaml`."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field

from itembank.errors import InputError
from itembank.templates.model import AlsoWritten, Count, Shape, Texts
from itembank.templates.reading import Findings, at, validated
from itembank.yaml_source import load

__all__ = ["LeaveOutShape", "LeavingOut", "SatFormShape", "SittingShape", "a_day", "load_sitting"]


def a_day(text: str) -> str:
    """A day of the calendar, as it stands. Raises ValueError with what would be right.

    Source of the spelling: ISO 8601, calendar date in extended format.

    >>> a_day("2026-06-12")
    '2026-06-12'
    """
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text, re.ASCII):
        raise ValueError("a day is needed as year-month-day, such as 2026-06-12")
    try:
        date.fromisoformat(text)
    except ValueError:
        raise ValueError("there is no such day in the calendar") from None
    return text


def _group(text: str) -> str:
    if not any(letter.isalnum() for letter in text):
        raise ValueError("the name of a group is needed")
    return text


class SatFormShape(Shape):
    """A form that was sat."""

    form: str = Field(
        pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", description="its name in the record's folder `forms`"
    )
    title: str = Field("", description="for people")
    digest: str = Field(
        pattern=r"^[0-9a-f]{64}$", description="SHA-256 of the list of its files with their digests"
    )


class SittingShape(Shape):
    """One sitting of a group, which `itembank record` writes; no pupil is named."""

    group: Annotated[str, AfterValidator(_group)] = Field(description="who sat it: a class, set or course")
    day: Annotated[str, AfterValidator(a_day)] = Field(description="when: year-month-day")
    note: str = Field("", description="for people")
    forms: list[SatFormShape] = Field(min_length=1, description="what was sat")


class LeaveOutShape(Shape):
    """Which items the record of use keeps out of a build or form; all that were ever used unless said."""

    by: Texts = Field([], description="used by one of these groups")
    since: Annotated[str, AfterValidator(a_day)] | None = Field(
        None, description="used on this day or later: year-month-day"
    )
    times: Count = Field(1, description="used so often, or more often")


def _leave_out(value: Any) -> Any:
    if isinstance(value, str):
        if value not in ("yes", "no"):
            raise ValueError("yes or no is needed, or {by: ..., since: ..., times: ...}")
        return {} if value == "yes" else None
    return value


LeavingOut = Annotated[
    LeaveOutShape | None, BeforeValidator(_leave_out), AlsoWritten(({"enum": ["yes", "no"]},))
]
"""As it is said in bank files and blueprints."""


def load_sitting(path: Path, shown_as: str) -> SittingShape:
    """The sitting of a file. Raises InputError with everything that is wrong in it."""
    document = load(path, shown_as)
    findings = Findings(document.source)
    shape = validated(document.root, SittingShape, findings)
    for place, each in enumerate(shape.forms if shape is not None else ()):
        if each.form in [other.form for other in (shape.forms if shape else ())[:place]]:
            span = at(document.root, ("forms", place)).span
            findings.add("same-form-twice", f"`{each.form}` stands twice", span, hint="take one of them out")
    if shape is None or findings.wrong:
        raise InputError(findings.diagnostics)
    return shape
