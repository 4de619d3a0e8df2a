"""The shape of the files authors write, as pydantic models: known keys, required ones, and what each is for.

Every scalar arrives as the raw text of the file and is typed here; mathematics stays text and is parsed by the
loader, which knows where it stands. Short spellings (a slip by its name alone, a list of values) are made long
before validation, so that there is one shape behind each.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    ValidatorFunctionWrapHandler,
    WrapValidator,
)
from pydantic_core import CoreSchema

NAME = r"[a-z][a-z0-9]*(-[a-z0-9]+)*"


def _whole(value: Any) -> Any:
    if isinstance(value, str):
        if not re.fullmatch(r"-?(0|[1-9][0-9]{0,18})", value):
            raise ValueError("a whole number is needed, such as 3")
        return int(value)
    return value


def _count(value: Any) -> Any:
    number = _whole(value)
    if isinstance(number, int) and number < 1:
        raise ValueError("a whole number from 1 on is needed")
    return number


def _name(value: Any) -> Any:
    if isinstance(value, str) and not re.fullmatch(NAME, value):
        raise ValueError("lower-case words joined by hyphens are needed, such as complete-square")
    return value


def _letter(value: Any) -> Any:
    if isinstance(value, str) and not re.fullmatch(r"[A-Za-z]+(_[0-9]+)?", value):
        if with_index := re.fullmatch(r"([A-Za-z]+)([0-9]+)", value):
            raise ValueError(f"digits follow an underscore: write {with_index[1]}_{with_index[2]}")
        if with_sign := re.fullmatch(r"([A-Za-z]+(?:_[0-9]+)?)\s*=\s*(.+)", value):
            raise ValueError(f"a colon stands behind the name: write {with_sign[1]}: {with_sign[2]}")
        if value[:1].isdigit():
            raise ValueError("a comma begins a new name here; a decimal has a point, such as 0.5")
        if re.fullmatch(r"[A-Za-z]+_[A-Za-z]+", value):
            raise ValueError(
                "only digits follow an underscore, such as x_1; take one letter, or a longer name"
            )
        if "," in value:
            listed = ", ".join(each.strip() for each in value.split(",") if each.strip())
            raise ValueError(f"a list of letters stands in brackets: [{listed}]")
        raise ValueError("letters, perhaps with digits after an underscore, are needed, such as h or x_1")
    return value


def _letter_of_texts(value: Any) -> Any:
    """The same, or the general term of a sequence."""
    return value if isinstance(value, str) and re.fullmatch(r"[A-Za-z]+_[a-z]", value) else _letter(value)


def _mark(value: Any) -> Any:
    if isinstance(value, str) and not re.fullmatch(
        r"([MAB]?[1-9][0-9]?( ft)?)([ ,]+[MAB]?[1-9][0-9]?( ft)?)*", value
    ):
        raise ValueError("marks are needed, such as M1, A2, B1 ft, or 3")
    return value


def _listed(value: Any) -> Any:
    value = _one_or_more(value)
    if isinstance(value, dict):
        return {name: domain if domain != "" else None for name, domain in value.items()}
    return (
        dict.fromkeys(value) if isinstance(value, list) and all(isinstance(n, str) for n in value) else value
    )


def _one_or_more(value: Any) -> Any:
    return [value] if isinstance(value, str) and value else value


@dataclass(frozen=True, slots=True)
class AlsoWritten:
    """Shorter spellings of a value, for the JSON Schema: `BeforeValidator` makes them long before validation."""

    shorter: tuple[dict[str, Any], ...] = field(hash=False)

    def __get_pydantic_json_schema__(
        self, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"anyOf": [handler(core_schema), *self.shorter]}


OF_EXTENSIONS: dict[str, set[str]] = {"figure": set(), "response": set(), "writer": set()}
"""Kind of extension -> the names that the bank being read declares; they count as words of the house."""


def word_or_extension(kind: str) -> WrapValidator:
    """Lets the name of a declared extension stand where a word of the house does."""

    def word(value: Any, own: ValidatorFunctionWrapHandler) -> Any:
        return value if isinstance(value, str) and value in OF_EXTENSIONS[kind] else own(value)

    return WrapValidator(word)


Whole = Annotated[int, BeforeValidator(_whole)]
Count = Annotated[int, BeforeValidator(_count)]
Name = Annotated[str, BeforeValidator(_name), Field(pattern=f"^{NAME}$")]
Letter = Annotated[str, BeforeValidator(_letter)]
Marks = Annotated[str, BeforeValidator(_mark)]
Maths = Annotated[str, Field(description="an expression or statement of the expression language")]
_TEXT, _LIST = {"type": "string"}, {"type": "array", "items": {"type": "string"}}
Texts = Annotated[list[str], BeforeValidator(_one_or_more), AlsoWritten((_TEXT,))]
Letters = Annotated[list[Letter], BeforeValidator(_one_or_more), AlsoWritten((_TEXT,))]
LettersOfTexts = Annotated[
    list[Annotated[str, BeforeValidator(_letter_of_texts)]],
    BeforeValidator(_one_or_more),
    AlsoWritten((_TEXT,)),
]
Unknowns = Annotated[dict[Letter, str | None], BeforeValidator(_listed), AlsoWritten((_LIST, _TEXT))]
FigurePart = Literal["vertex", "axis", "roots", "intercept", "grid"]
FigureParts = Annotated[list[FigurePart], BeforeValidator(_one_or_more), AlsoWritten((_TEXT,))]
BY_LANGUAGE = {"type": "object", "additionalProperties": {"type": "string"}, "minProperties": 1}
Text = Annotated[
    str, Field(description="text with $maths$ in it, or one for each language"), AlsoWritten((BY_LANGUAGE,))
]
Word = Annotated[str, AlsoWritten((BY_LANGUAGE,))]
Title = Annotated[str, Field(min_length=1), AlsoWritten((BY_LANGUAGE,))]


class Shape(BaseModel):
    """What all shapes share: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class ParameterShape(Shape):
    """A parameter: a range, a list of values, fractions, decimals, or rows of words."""

    from_: str | None = Field(None, alias="from", description="first value of a range")
    to: str | None = Field(None, description="last value of a range")
    step: str | None = Field(None, description="distance of neighbouring values, 1 unless said")
    leaving_out: Texts = Field([], description="values that are never taken")
    denominators: list[Count] | None = Field(
        None, description="fractions of the range with these denominators, lowest terms"
    )
    places: Count | None = Field(
        None,
        description="the values of a range are decimals, shown with so many places: "
        "{from: 0.5, to: 4.5, step: 0.5, places: 1}",
    )
    values: list[str] | None = Field(None, description="the values, one by one")
    rows: list[dict[str, Word]] | None = Field(None, description="rows of words, each with the same columns")


def _parameter(value: Any) -> Any:
    return {"values": value} if isinstance(value, list) else value


Parameter = Annotated[
    ParameterShape,
    BeforeValidator(_parameter),
    AlsoWritten((_LIST,)),
]


class WordsShape(Shape):
    """A row of words: the text, and for which values it is the right one."""

    text: Text
    when: Maths


class BlankShape(Shape):
    """A blank of an entry: the form the answer must have."""

    form: Literal["integer", "fraction", "decimal", "surd", "interval", "brackets", "one-of"] = Field(
        description="what is typed into its boxes, or chosen there"
    )
    words: list[WordsShape] | None = Field(None, description="one-of: the words to choose from, one right")
    before: Text | None = Field(None, description="one-of: the words that stand before the choice")
    ends: Literal["integer", "fraction", "surd"] | None = Field(
        None, description="the form of an interval's ends, integer unless said"
    )
    values: Literal["any-order"] | None = Field(
        None, description="several values, in any order; they stand so even where this is not said"
    )
    boxes: Count | None = Field(
        None,
        description="how many boxes stand there for the values of an only unknown: more than there are, so that "
        "their number tells nothing (2 to 8)",
    )
    places: Count | None = Field(None, description="decimal places asked for")
    tolerance: str | None = Field(None, description="how far a decimal may lie from the value")
    marks: Marks | None = Field(None, description="what the blank is worth")
    unit: Word | None = Field(
        None, description="a unit, shown after the box; the sign of a currency before it"
    )


class RowShape(Shape):
    """A row of a match: a problem and what belongs to it."""

    problem: Maths = Field(description="what is shown in the row, of the kind of the part's problem")
    key: Maths = Field(description="its answer: the target that belongs to it")


class ResponseShape(Shape):
    """What the pupil does, and what it is worth."""

    kind: Literal["choice", "choices", "entry", "order", "match", "wrong-line", "written"] = Field(
        description="choice: one right option; choices: several; entry: boxes to fill; order: put into order; "
        "match: find what belongs together; wrong-line: find the line that does not follow; written: marked by a person"
    )
    options: Count | None = Field(None, description="how many options a choice has, key included")
    words: list[WordsShape] | None = Field(None, description="options in words for the answer's value")
    marks: Count | None = Field(None, description="total marks")
    blanks: dict[str, BlankShape] | None = Field(
        None, description="unknown -> blank; `answer` for an expression"
    )
    points: Literal["any-order"] | None = Field(
        None, description="entry: the blanks are the coordinates of points, which stand in any order"
    )
    no_real_solution: Literal["tick"] | None = Field(None, description="a tick for no real solution")
    form: Literal["surd", "values"] | None = Field(
        None,
        description="the form all options are printed in: surd (p ± q√r for two solutions that differ in this sign; so "
        "too without this key) or values (each solution by itself)",
    )
    right: Annotated[list[str] | None, BeforeValidator(_one_or_more), AlsoWritten((_TEXT,))] = Field(
        None,
        description="choices: `solutions` (each solution of the key is an option of its own), or the right options "
        "as they are to be shown, each of which says the same as the problem; choice: the one right option as it is to "
        "be shown, where equations are to be chosen among and not their solutions",
    )
    credit: Literal["each", "all"] | None = Field(
        None,
        description="each: every right option, place, row or point earns its share, and every wrong option costs it "
        "(unless said, but for order and points); all: only the whole answer earns marks",
    )
    values: list[Maths] | None = Field(
        None,
        description="order: the numbers to be put into order; left out: the lines of the worked solution",
    )
    by: Literal["ascending", "descending"] | None = Field(
        None, description="order: of numbers, the smallest first (unless said) or the largest"
    )
    rows: list[RowShape] | None = Field(
        None, description="match: the rows after the first, which is the problem and key of the part"
    )
    lines: Count | None = Field(None, description="written: lines of room for the answer")


class SlipShape(Shape):
    """A slip used by a template."""

    slip: Name
    value: Maths | None = Field(
        None,
        description="the wrong answer, or a wrong equation that leads to it; `none` for no real solution",
    )
    with_: dict[str, Maths] | None = Field(
        None, alias="with", description="the slip's own letters -> expressions here"
    )
    when: Maths | None = Field(None, description="only where this holds")
    pupil: Text | None = Field(None, description="a sentence for the pupil, in place of the slip file's")
    teacher: Text | None = Field(None, description="a sentence for the teacher, in place of the slip file's")
    source: str = Field(
        "", description="where a slip of this template's own is described, as in the slip file"
    )
    at: Count | None = Field(None, description="wrong-line: the number of the line where the slip is made")
    change: dict[Letter, Maths] | None = Field(
        None, description="wrong-line: what parameters and derived values become from that line on"
    )
    turned: Literal["yes"] | None = Field(
        None,
        description="wrong-line: yes, where signs of inequalities stand the other way round from that line on",
    )


def _slip(value: Any) -> Any:
    return {"slip": value} if isinstance(value, str) else value


UsedSlip = Annotated[
    SlipShape,
    BeforeValidator(_slip),
    AlsoWritten(({"type": "string", "pattern": f"^{NAME}$"},)),
]


class FigureShape(Shape):
    """A picture: of a stem, or beside a line of the worked solution."""

    kind: Annotated[
        Literal["area-model", "parabola", "number-line", "sign-table"], word_or_extension("figure")
    ] = Field(description="what is drawn")
    of: Maths | None = Field(
        None, description="what it is drawn of, in one letter; not of extensions' figures"
    )
    stage: Whole | None = Field(None, description="of an area model: 1, 2 or 3; 3 unless said")
    shows: FigureParts = Field([], description="of a parabola: which of its parts are marked and labelled")
    with_: dict[str, Maths] | None = Field(
        None,
        alias="with",
        description="of an extension's figure: its own keys, each an expression with a value",
    )


class LineShape(Shape):
    """A line of the worked solution."""

    say: Text | None = Field(None, description="what is said")
    math: Maths | None = Field(None, description="what is written; says the same as the problem")
    aside: Maths | None = Field(None, description="side working, true in itself")
    let: Maths | None = Field(None, description="names a new letter")
    rejects: Text | None = Field(
        None,
        description="why a root is given up: outside the domain, or false",
    )
    when: Maths | None = Field(None, description="the line stands only in items where this condition holds")
    marks: Marks | None = Field(None, description="marks earned here, such as M1")
    figure: FigureShape | None = Field(None, description="a picture that goes with the line")


class PartShape(Shape):
    """One problem with its response."""

    unknowns: Unknowns = Field(
        {}, description="letters to be found; a domain may stand with one: {w: w > 0}, {n: integer and n > 1}"
    )
    for_every: Letters = Field([], description="letters in which the problem is an identity")
    in_terms_of: Letters = Field(
        [], description="the other letters of a formula of which the only unknown is made the subject"
    )
    problem: Maths = Field(description="what stem, key, guarantees and proof share")
    stem: Text = Field(description="what the pupil reads; $problem$ shows the problem")
    figure: FigureShape | None = Field(None, description="a picture below the stem")
    space: Literal["blank", "lines", "box", "grid", "axes"] | None = Field(
        None,
        description="what the room for working holds on paper, in proportion to the marks: nothing, ruled lines, a "
        "frame, squared paper, or squared paper with axes; left out, what the bank's papers have",
    )
    response: ResponseShape
    key: Maths = Field(
        description="the answer: a statement about the unknowns, `none` where there is no real solution"
    )
    slips: list[UsedSlip] = Field([], description="known wrong answers, in the order they are offered")
    solution: list[LineShape] = Field([], description="the worked solution, line by line")


class Common(Shape):
    """What a template has whatever its parts."""

    template: Name = Field(description="its name, unique in a bank")
    version: Count = Field(description="raised whenever the content changes")
    title: Title = Field(description="for people")
    language: str = Field("en", pattern=r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$", description="language tag")
    topics: Texts = Field([], description="topics/sub-topics")
    curriculum: Texts = Field([], description="codes of curriculum statements")
    level: str = Field("", description="free text of the bank's own")
    demand: Literal["know", "use", "reason", ""] = Field("", description="what is asked of the pupil")
    calculator: Literal["no", "yes", "either", ""] = Field("", description="whether one is allowed")
    minutes: str = Field("", pattern=r"^([1-9][0-9]?(\.[0-9])?|0\.[1-9])?$", description="expected time")
    letters: LettersOfTexts = Field([], description="letters that are neither parameter nor unknown")
    parameters: dict[Letter, Parameter] = Field({}, description="what varies from item to item")
    derived: dict[Letter, Maths] = Field({}, description="values worked out from parameters")
    constraints: Texts = Field([], description="what chooses among the values")
    guarantees: Texts = Field([], description="what chooses and is proved on the finished item")
    bands: dict[Name, Texts] = Field({}, description="named extra constraints, drawn and counted apart")
    lint: dict[Name, Title] = Field(
        {}, description="rules of item writing that are silenced here, each with its reason"
    )


class TemplateShape(Common, PartShape):
    """A template with one part."""


class PartsTemplateShape(Common):
    """A template with several parts."""

    unknowns: Unknowns = Field({}, description="shared by the parts")
    for_every: Letters = Field([], description="shared by the parts")
    in_terms_of: Letters = Field([], description="shared by the parts")
    parts: list[PartShape] = Field(min_length=1, max_length=26, description="the parts, in order")


class CatalogueSlipShape(Shape):
    """A slip of a bank's slip file."""

    slip: Name = Field(description="its name, by which templates use it")
    unknowns: list[Letter] = Field([], description="the unknowns its value speaks of, by position")
    takes: list[Letter] = Field([], description="letters its value needs, bound by name or by `with`")
    value: Maths | None = Field(None, description="the mal-rule")
    title: Text | None = Field(None, description="what mark schemes call it; without one, its name")
    pupil: Text = Field(description="one sentence for the pupil")
    teacher: Text = Field(description="one sentence for the teacher: what to reteach")
    source: str = Field("common practice, no source", description="where the slip is described")


class SlipFileShape(Shape):
    """A bank's slip file."""

    language: str = Field(
        "en", pattern=r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$", description="of sentences that stand alone"
    )
    slips: list[CatalogueSlipShape] = Field(description="the slips, each under a name of its own")


KINDS = ("choice", "choices", "entry", "order", "match", "wrong-line", "written")
FIGURES = ("area-model", "parabola", "number-line", "sign-table")
FORMATS = ("qti3", "qti22", "qti21", "cc", "latex", "html", "docx", "json")
