"""A template as the rest of the house knows it: parsed, frozen, every expression with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeAlias

from itembank.content import TextShape
from itembank.errors import Span
from itembank.expressions.plan import Places
from itembank.expressions.tree import Name, Node
from itembank.items import About, Mark
from itembank.yaml_source import Scalar

NO_SOLUTION = Name("none")
"""The tree of the word `none`: no real solution."""
SUBJECT = "subject"
"""The shape of a problem in which one letter is to be made the subject of a formula."""


WITHOUT_LINE_MARKS = frozenset({"choice", "choices", "wrong-line", "order", "match"})
"""Kinds whose marks are for what is chosen: those at the lines of the solution belong to the written version."""


@dataclass(frozen=True, slots=True)
class Expression:
    """A parsed expression and where it was written.

    node: with the name `problem` replaced by the problem; raw: as written.
    """

    node: Node
    text: str
    source: Scalar
    offset: int = 0
    raw: Node | None = None

    def span(self, node: Node | None = None) -> Span:
        """The place of the expression, or of one node of it."""
        start, end = (node or self.raw or self.node).place
        return self.source.place(self.offset + start, max(end - start, 1) if self.text else 0)


@dataclass(frozen=True, slots=True)
class Words:
    """A column of a row parameter, shown as running text."""

    parameter: str
    column: str


@dataclass(frozen=True, slots=True)
class TextTemplate:
    """A text with holes: its shape, and what goes into each hole.

    free: names that stay letters here although the template has values of that name (in a slip's sentences).
    """

    shape: TextShape
    holes: tuple[Expression | Words, ...]
    source: Scalar
    free: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter with its values in the order of the box; rows hold words instead.

    places: how its values are shown, None where none is a decimal.
    """

    name: str
    values: tuple[int | Fraction, ...]
    left_out: frozenset[int | Fraction]
    places: Places | None
    span: Span
    rows: tuple[Mapping[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Derived:
    """A value worked out from parameters and earlier derived values."""

    name: str
    expression: Expression
    span: Span


@dataclass(frozen=True, slots=True)
class WordRow:
    """An option in words: right where `when` holds."""

    text: TextTemplate
    when: Expression


@dataclass(frozen=True, slots=True)
class BlankTemplate:
    """A blank of an entry."""

    unknown: str
    form: str
    any_order: bool
    places: int
    tolerance: Fraction | None
    marks: tuple[Mark, ...]
    unit: str
    span: Span
    ends: str = ""
    letter: str = ""
    words: tuple[WordRow, ...] = ()
    before: TextTemplate | None = None
    boxes: int = 0


@dataclass(frozen=True, slots=True)
class ChoicesTemplate:
    """What several right options ask for besides, and a choice whose options are shown as written.

    right: the right options as written, () where each solution of the key is one, or where there are words;
    shared: whether every right option earns its share.
    """

    right: tuple[Expression, ...]
    shared: bool


@dataclass(frozen=True, slots=True)
class OrderTemplate:
    """What is put into order: numbers, or where there are none the lines of the solution. by: see `OrderResponse`."""

    values: tuple[Expression, ...]
    by: str
    shared: bool


@dataclass(frozen=True, slots=True)
class MatchTemplate:
    """The rows after the first: problem and key of each."""

    rows: tuple[tuple[Expression, Expression], ...]
    shared: bool


@dataclass(frozen=True, slots=True)
class WrittenTemplate:
    """An answer in writing: lines of room."""

    lines: int


KindTemplate: TypeAlias = ChoicesTemplate | OrderTemplate | MatchTemplate | WrittenTemplate
"""What a kind of response asks for that no other does."""


@dataclass(frozen=True, slots=True)
class ResponseTemplate:
    """kind: as in the file; options and words of choices and matches, blanks of an entry.

    marks: in all; 0 for one mark for each right option. more: what only this kind has, None for nothing.
    points: the blanks of an entry are the coordinates of points, in any order; shared: each earns its share.
    """

    kind: str
    options: int
    words: tuple[WordRow, ...]
    blanks: tuple[BlankTemplate, ...]
    marks: int
    tick: bool
    form: str
    span: Span
    more: KindTemplate | None = None
    points: bool = False
    shared: bool = False

    @property
    def offers_answers(self) -> bool:
        """Whether the options of a choice are answers, not words or equations that have them."""
        return self.kind == "choice" and not self.words and self.more is None

    @property
    def written_out(self) -> tuple[Expression, ...]:
        """What the response itself shows as written: right options, numbers to be put into order."""
        match self.more:
            case ChoicesTemplate(right):
                return right
            case OrderTemplate(values):
                return values
            case _:
                return ()


@dataclass(frozen=True, slots=True)
class SlipTemplate:
    """A slip as used here: its value's tree in this template's names, and the catalogue's sentences.

    at, change, turned: of a wrong line its number, what names become from there on, whether signs of inequalities are
    turned there; its value is then that line. title: what staff call it, "" where there is no name in their language.
    """

    name: str
    value: Expression
    when: Expression | None
    pupil: TextTemplate | None
    teacher: TextTemplate | None
    span: Span
    at: int = 0
    change: tuple[tuple[str, Expression], ...] = ()
    turned: bool = False
    title: str = ""

    @property
    def is_change(self) -> bool:
        """Whether it is a line of the solution with something changed in it, and not a value of its own."""
        return bool(self.change) or self.turned


@dataclass(frozen=True, slots=True)
class FigureTemplate:
    """A picture. kind: as in the file; letter: the one of `of` that is no number; shows: parts that are marked.

    numbers: what an extension's picture is drawn of, in the order of its keys; `of` is then the first of them.
    """

    kind: str
    of: Expression
    letter: str
    stage: int
    shows: tuple[str, ...]
    span: Span
    numbers: tuple[Expression, ...] = ()


@dataclass(frozen=True, slots=True)
class LineTemplate:
    """A line of the worked solution. kind: `main`, `aside`, `let`, `rejects`.

    when: the condition on an item's values under which the line stands in it, None for always.
    """

    kind: str
    say: TextTemplate | None
    maths: Expression | None
    marks: tuple[Mark, ...]
    span: Span
    figure: FigureTemplate | None = None
    when: Expression | None = None


@dataclass(frozen=True, slots=True)
class PartTemplate:
    """One problem with its response. key None: there is no real solution."""

    label: str
    shape: str
    unknowns: tuple[str, ...]
    domain: Expression | None
    for_every: tuple[str, ...]
    problem: Expression
    stem: TextTemplate
    response: ResponseTemplate
    key: Expression | None
    key_span: Span
    slips: tuple[SlipTemplate, ...]
    solution: tuple[LineTemplate, ...]
    figure: FigureTemplate | None = None
    space: str = ""


@dataclass(frozen=True, slots=True)
class Template:
    """A whole template. digest: of its parsed content and slips; path: as shown to people.

    silenced: rules of item writing that are silenced here, each with its reason and place.
    translation: the tag of the texts it was read in, "" for the file's own.
    """

    name: str
    version: int
    about: About
    parameters: tuple[Parameter, ...]
    derived: tuple[Derived, ...]
    constraints: tuple[Expression, ...]
    guarantees: tuple[Expression, ...]
    bands: tuple[tuple[str, tuple[Expression, ...]], ...]
    letters: tuple[str, ...]
    parts: tuple[PartTemplate, ...]
    path: str
    digest: str
    source_lines: tuple[str, ...] = field(repr=False, default=())
    silenced: tuple[tuple[str, str, Span], ...] = ()
    translation: str = ""

    @property
    def numeric_parameters(self) -> tuple[Parameter, ...]:
        """The parameters that make the box; rows of words do not."""
        return tuple(parameter for parameter in self.parameters if not parameter.rows)

    def excerpt(self, span: Span) -> str:
        """The source line at a place of this template's file."""
        if span.path == self.path and 1 <= span.line <= len(self.source_lines):
            return self.source_lines[span.line - 1]
        return ""
