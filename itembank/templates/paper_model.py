"""The shape of what a bank file says of its papers, as a pydantic model."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from itembank.templates.model import Shape, Texts


def _versions(value: Any) -> Any:
    if isinstance(value, str):
        if not (value.isdecimal() and 1 <= int(value) <= 26):
            raise ValueError("a whole number from 1 to 26 is needed")
        return int(value)
    return value


class PaperShape(Shape):
    """How the papers of a bank are printed unless the command says otherwise."""

    title: str = Field("", description="of the paper, where it is not the bank's")
    date: str = Field("", description="as it is printed; left out, the pupil writes it")
    time: str | None = Field(
        None,
        pattern=r"^(none|[1-9][0-9]{0,2})$",
        description="minutes allowed, or none; left out, what the items take together",
    )
    calculator: Literal["no", "yes", "either", ""] = Field("", description="left out, what all items say")
    instructions: Texts = Field([], description="more sentences for the front page")
    front: Literal["page", "heading"] = Field(
        "page", description="a page of its own, or above the first question"
    )
    size: Literal["a4", "letter"] = Field("a4", description="of the sheet")
    print: Literal["usual", "large"] = Field("usual", description="large: letters of 18 points")
    spacing: Literal["usual", "wide"] = Field("usual", description="wide: more room between lines and words")
    working: Literal["blank", "lines"] = Field("blank", description="what the room for working holds")
    versions: Annotated[int, BeforeValidator(_versions)] = Field(
        1, description="versions A, B, ... of the paper"
    )
    answer_sheet: Literal["yes", "no"] = Field("no", description="a sheet of its own for marking options")
    order: Literal["rising", "difficulty", "bank"] = Field(
        "rising",
        description="by demand, level and marks with templates mixed, by predicted difficulty, or by template",
    )
