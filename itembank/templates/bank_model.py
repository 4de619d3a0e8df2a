"""The shape of a bank file, as pydantic models: known keys, required ones, and what each is for."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from itembank.publication import Limits, Quiz, Statement
from itembank.templates.difficulty_model import DifficultyShape
from itembank.templates.model import (
    BY_LANGUAGE,
    NAME,
    AlsoWritten,
    Count,
    Name,
    Shape,
    Title,
    Whole,
    word_or_extension,
)
from itembank.templates.paper_model import PaperShape
from itembank.templates.record_model import LeavingOut

__all__ = [
    "BankShape",
    "PackageShape",
    "QuizShape",
    "SettingsShape",
    "StatementShape",
    "TemplateUseShape",
    "TopicShape",
]

YesOrNo = Literal["yes", "no"]
_GUID = r"[0-9A-Fa-f]{8}(-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}"


def _natural(value: Any) -> Any:
    if isinstance(value, str) and not re.fullmatch(r"[0-9]{1,18}", value):
        raise ValueError("a whole number from 0 on is needed")
    return int(value) if isinstance(value, str) else value


def _selection(value: Any) -> Any:
    return {"": value} if isinstance(value, str) else value


_NUMBER = {"type": "integer", "minimum": 1}
_NAME = {"type": "string", "pattern": f"^{NAME}$"}
Natural = Annotated[int, BeforeValidator(_natural), Field(le=100_000)]


class PackageShape(Shape):
    """Limits of a package; a bank that is larger goes into several."""

    entries: Annotated[int, BeforeValidator(_natural), Field(ge=3, le=65_000)] = Field(
        50_000, description="files in a package"
    )
    megabytes: Annotated[int, BeforeValidator(_natural), Field(ge=1, le=4_000)] = Field(
        250, description="size of a package"
    )

    def limits(self) -> Limits:
        """The same as frozen data."""
        return Limits(self.entries, self.megabytes)


class QuizShape(Shape):
    """A quiz in every package: what it is made of and the rules of a sitting."""

    title: Annotated[str, AlsoWritten((BY_LANGUAGE,))] = Field(
        "", description="for people; the bank's where not said"
    )
    sections: Literal["strand", "template", "one", "none", ""] = Field(
        "", description="what makes a section; none: no quiz is written"
    )
    select: Annotated[dict[str, Count], BeforeValidator(_selection), AlsoWritten((_NUMBER,))] = Field(
        {}, description="how many items of each section a pupil gets: a number, or one for each section"
    )
    order: Literal["as-given", "shuffled"] = Field("as-given", description="the order of items in a section")
    moving: Literal["freely", "forward"] = Field("freely", description="whether a pupil can go back")
    handing_in: Literal["each", "together"] = Field("each", description="when answers are marked")
    attempts: Natural = Field(1, description="at each item; 0: any number")
    minutes: Natural = Field(0, description="for the whole quiz; 0: no limit")
    late: YesOrNo = Field("no", description="whether answers after the time count")
    feedback: YesOrNo = Field("yes", description="whether feedback is shown")
    solution: YesOrNo = Field("no", description="whether the right answer is shown")
    review: YesOrNo = Field("yes", description="whether answers can be looked at again")
    skipping: YesOrNo = Field("yes", description="whether items can be left out")
    comments: YesOrNo = Field("no", description="whether pupils can add comments")

    def quiz(self) -> Quiz:
        """The same as frozen data."""
        return Quiz(
            self.title, self.sections, self.select.get("", 0),
            tuple((name, number) for name, number in self.select.items() if name),
            self.order == "shuffled", self.moving == "forward", self.handing_in == "together", self.attempts,
            self.minutes, self.late == "yes", self.feedback == "yes", self.solution == "yes",
            self.review == "yes", self.skipping == "yes", self.comments == "yes",
        )  # fmt: skip


def _usual_quiz() -> QuizShape:
    return QuizShape.model_validate({})


class TopicShape(Shape):
    """What a topic of templates is called."""

    title: Title = Field(description="for people, in reports and sheets for pupils")


class StatementShape(Shape):
    """What is known of a curriculum statement."""

    says: str = Field("", description="its words")
    framework: str = Field("", description="the document it stands in")
    region: str = Field("", description="where that document holds")
    version: str = Field("", description="of that document")
    case: str = Field(
        "",
        pattern=r"^(https?://[^\s<>\"]+)?$",
        description="its address in the open format for curricula (CASE)",
    )
    guid: str = Field("", pattern=f"^({_GUID})?$", description="its identifier there")

    def statement(self, code: str) -> Statement:
        """The same as frozen data. An address in CASE ends in the identifier."""
        last = self.case.rstrip("/").rpartition("/")[2]
        guid = self.guid or (last if re.fullmatch(_GUID, last) else "")
        return Statement(code, self.says, self.framework, self.region, self.version, self.case, guid)


class SettingsShape(Shape):
    """How a bank is built unless the command says otherwise."""

    formats: (
        list[
            Annotated[
                Literal["qti3", "qti22", "qti21", "cc", "latex", "html", "docx", "json"],
                word_or_extension("writer"),
                AlsoWritten((_NAME,)),
            ]
        ]
        | None
    ) = Field(None, description="what is written")
    package: PackageShape = Field(
        PackageShape(entries=50_000, megabytes=250), description="how large a package may become"
    )
    maths: Literal["mathml", "svg", "latex", ""] = Field(
        "", description="how formulas are written in packages and pages; mathml where nothing is said"
    )
    latex_delimiters: Literal["\\( \\)", "\\[ \\]", "$ $", "$$ $$", ""] = Field(
        "", description="what stands around formulas written in latex"
    )

    leave_out_used: LeavingOut = Field(
        None, description="whether items that the bank's record says were used are left out, and which"
    )
    approved_only: YesOrNo = Field(
        "no", description="whether only templates that somebody approved as they are may be drawn from"
    )


class ExtensionShape(Shape):
    """An extension that the bank uses: an entry point of an installed package."""

    name: str = Field(description="as the package calls it")
    from_: str = Field("", alias="from", description="the package, for who must install it")


def _extension(value: Any) -> Any:
    return {"name": value} if isinstance(value, str) else value


def _template_use(value: Any) -> Any:
    return {"template": value} if isinstance(value, str) else value


def _band_counts(value: Any) -> Any:
    return {"": value} if isinstance(value, str) else value


class TemplateUseShape(Shape):
    """A template of the bank with its own count."""

    template: Name = Field(description="its name")
    count: Annotated[dict[str, Count] | None, BeforeValidator(_band_counts), AlsoWritten((_NUMBER,))] = Field(
        None, description="a number, or a number for each band"
    )


def _usual_paper() -> PaperShape:
    return PaperShape.model_validate({})


def _usual_settings() -> SettingsShape:
    return SettingsShape.model_validate({})


class BankShape(Shape):
    """A bank file."""

    bank: Name = Field(description="its name, in names of files")
    title: Title = Field(description="for people, at the head of papers")
    language: str = Field(
        "en", pattern=r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$", description="language tag of its texts"
    )
    licence: str = Field("", description="under which items may be used, in packages and on papers")
    author: str = Field("", description="who it is by, in packages and on papers")
    seed: Whole = Field(1, description="of every draw, unless the command says another")
    count: Count | None = Field(None, description="items in all, shared evenly over the templates")
    templates: (
        list[Annotated[TemplateUseShape, BeforeValidator(_template_use), AlsoWritten((_NAME,))]] | None
    ) = Field(None, description="which are drawn from, by name or each with a count; left out: all there are")
    settings: SettingsShape = Field(default_factory=_usual_settings, description="how a bank is built")
    quiz: QuizShape = Field(default_factory=_usual_quiz, description="how items become a quiz in packages")
    paper: PaperShape = Field(default_factory=_usual_paper, description="how papers are printed")
    difficulty: DifficultyShape | None = Field(
        None, description="the bank's own weights for predicted difficulty"
    )
    topics: dict[str, TopicShape] = Field({}, description="topic of templates -> what people call it")
    statements: dict[str, StatementShape] = Field(
        {}, description="code of a curriculum statement -> what is known"
    )
    extensions: list[Annotated[ExtensionShape, BeforeValidator(_extension), AlsoWritten((_NAME,))]] = Field(
        [], description="properties, figures, responses and writers that installed packages provide"
    )
    secret: str | None = Field(
        None, description="file with the secret behind the item codes; kept out of version control"
    )
