"""The shape of a blueprint, as pydantic models: what every form of a test has to hold."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from itembank.templates.model import AlsoWritten, Count, Name, Shape, Texts, Title, Whole
from itembank.templates.paper_model import PaperShape
from itembank.templates.record_model import LeavingOut

__all__ = ["BlueprintShape", "RangeShape", "RowShape"]

MOST_FORMS = 26
_NUMBER = {"type": "integer", "minimum": 0}
_DECIMAL = {"type": "number"}


def _natural(value: Any) -> Any:
    if isinstance(value, str):
        if not re.fullmatch(r"0|[1-9][0-9]{0,5}", value):
            raise ValueError("a whole number from 0 on is needed, such as 3")
        return int(value)
    return value


def _minutes(value: Any) -> Any:
    if isinstance(value, str):
        if not re.fullmatch(r"(0|[1-9][0-9]{0,3})(\.[0-9])?", value):
            raise ValueError("a number of minutes is needed, such as 45 or 2.5")
        whole, _, tenth = value.partition(".")
        return 10 * int(whole) + int(tenth or "0")
    return value


def _logits(value: Any) -> Any:
    if isinstance(value, str):
        found = re.fullmatch(r"([+-]?)([0-9])(?:\.([0-9]{1,3}))?", value)
        if not found:
            raise ValueError("a difficulty in logits is needed, such as -0.4 or 1.25")
        size = 1000 * int(found[2]) + int((found[3] or "0").ljust(3, "0"))
        return -size if found[1] == "-" else size
    return value


def _both_ends(value: Any) -> Any:
    return {"from": value, "to": value} if isinstance(value, str) else value


Natural = Annotated[int, BeforeValidator(_natural)]
Tenths = Annotated[int, BeforeValidator(_minutes)]
"""Minutes, read into whole tenths."""
Thousandths = Annotated[int, BeforeValidator(_logits)]
"""Logits, read into whole thousandths."""


class _Range(Shape):
    """What all ranges share."""

    @model_validator(mode="after")
    def _is_a_range(self) -> Any:
        least, most = getattr(self, "from_", None), getattr(self, "to", None)
        if least is None and most is None:
            raise ValueError("a number is needed, or {from: ..., to: ...}")
        if least is not None and most is not None and least > most:
            raise ValueError("it ends before it begins")
        return self


class RangeShape(_Range):
    """How many: at least, at most, or both."""

    from_: Natural | None = Field(None, alias="from", description="at least")
    to: Natural | None = Field(None, description="at most")


class MinutesShape(_Range):
    """How many minutes."""

    from_: Tenths | None = Field(None, alias="from", description="at least")
    to: Tenths | None = Field(None, description="at most")


class LogitsShape(_Range):
    """Between which difficulties."""

    from_: Thousandths | None = Field(None, alias="from", description="at least")
    to: Thousandths | None = Field(None, description="at most")


HowMany = Annotated[RangeShape, BeforeValidator(_both_ends), AlsoWritten((_NUMBER,))]
HowLong = Annotated[MinutesShape, BeforeValidator(_both_ends), AlsoWritten((_DECIMAL,))]
HowHard = Annotated[LogitsShape, BeforeValidator(_both_ends), AlsoWritten((_DECIMAL,))]


class RowShape(Shape):
    """Some of the items of a form: which, and how many of them, or how many marks."""

    template: Texts = Field([], description="of these templates")
    strand: Texts = Field([], description="of these strands (sub-folders), with all below them")
    topic: Texts = Field([], description="with one of these topics, with all below them")
    statement: Texts = Field([], description="for one of these curriculum statements")
    level: Texts = Field([], description="of these levels")
    demand: Annotated[list[Literal["know", "use", "reason"]], BeforeValidator(lambda v: _listed(v))] = Field(
        [], description="asking for these"
    )
    kind: Texts = Field([], description="with a part of these kinds of response")
    band: Texts = Field([], description="drawn in these bands")
    calculator: Annotated[list[Literal["no", "yes", "either"]], BeforeValidator(lambda v: _listed(v))] = (
        Field([], description="with these rules")
    )
    items: HowMany | None = Field(None, description="how many of them are in a form")
    marks: HowMany | None = Field(None, description="how many marks they give together")
    minutes: HowLong | None = Field(None, description="how long they take together")
    difficulty: HowHard | None = Field(None, description="their mean predicted difficulty, in logits")


def _listed(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


def _points(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


class BlueprintShape(Shape):
    """A blueprint file."""

    blueprint: Name = Field(description="its name, in names of files")
    title: Title = Field(description="for people, at the head of papers")
    forms: Annotated[Count, Field(le=MOST_FORMS)] = Field(1, description="how many parallel forms")
    items: HowMany | None = Field(
        None, description="in a form; left out, a form holds only what a row below asks for"
    )
    marks: HowMany | None = Field(None, description="of a form; all forms have as many")
    minutes: HowLong | None = Field(None, description="that a form takes, as its items say")
    difficulty: HowHard | None = Field(None, description="mean predicted difficulty of a form, in logits")
    holds: list[RowShape] = Field(
        [], description="what a form holds of each kind; an item may count for several rows"
    )
    of_each_template: Count | None = Field(
        None,
        description="how many items of one template a form holds at most; left out, 1, or what a row asks for",
    )
    apart: list[Texts] = Field([], description="templates of which a form holds one item at most")
    shared: Natural = Field(0, description="anchor items: how many are the same in all forms")
    shared_from: Texts = Field([], description="the templates anchor items are of; left out, any")
    alike: Literal["templates", "rows"] = Field(
        "templates", description="forms have as many items of each template, or only of each row"
    )
    most_information_at: Annotated[list[Thousandths], BeforeValidator(_points)] = Field(
        [], description="abilities, in logits, at which forms are to tell as much as they can"
    )
    pool: Annotated[Count, Field(le=500)] = Field(
        20, description="how many items of each template there are to choose from"
    )
    seed: Whole | None = Field(None, description="of the draw; left out, the bank's")
    leave_out_used: LeavingOut = Field(
        None,
        description="whether items that the record says were used are left out; left out, as the bank says",
    )
    order: Literal["rising", "difficulty", "rows"] = Field(
        "rising",
        description="of a form's items: by demand, level and marks; by difficulty; as the rows ask for them. Forms "
        "that are alike by templates have theirs in the order of the first",
    )
    paper: PaperShape | None = Field(None, description="how papers are printed; left out, as the bank's")
