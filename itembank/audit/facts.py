"""What an item's file says, as plain frozen data: declarations, interactions, parts, options, lines."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from lxml import etree

from itembank.audit.formula import Node, Scope

__all__ = [
    "SIGNS",
    "Box",
    "Choice",
    "ChoiceInteraction",
    "Facts",
    "Feedback",
    "Line",
    "Mapping",
    "Mark",
    "Outcome",
    "Part",
    "Picture",
    "Response",
    "Task",
    "Value",
    "Word",
]

SIGNS: Final = {"lt": "<", "le": "≤", "gt": ">", "ge": "≥"}
"""The names of inequality signs that are chosen, and what a candidate reads of them."""


@dataclass(frozen=True, slots=True)
class Mapping:
    """What each value given adds to the marks; numbers as text, "" where not given."""

    entries: tuple[tuple[str, str], ...]
    default: str
    lower: str
    upper: str


@dataclass(frozen=True, slots=True)
class Response:
    """A response declaration. correct: the values as text, in file order; mapping: None where there is none."""

    identifier: str
    cardinality: str
    base_type: str
    correct: tuple[str, ...]
    mapping: Mapping | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """An outcome declaration; numbers as text, "" where not given. external: who gives it, where no rule does."""

    identifier: str
    cardinality: str
    base_type: str
    default: tuple[str, ...]
    normal_maximum: str = ""
    normal_minimum: str = ""
    external: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """One option as a candidate sees it. maths: where it is a formula and nothing else; words: all its text."""

    identifier: str
    maths: Node | None
    words: str


@dataclass(frozen=True, slots=True)
class ChoiceInteraction:
    """Options to choose from; part: the label of the part, `is_tick`: "no real solution" beside boxes."""

    response: str
    part: str
    is_tick: bool
    choices: tuple[Choice, ...]
    max_choices: str
    shuffle: str


@dataclass(frozen=True, slots=True)
class Box:
    """One box to fill. role: p, q, r, s, numerator, denominator or value; slot: which of several values.

    A box may be a choice in the line, of a sign, of what joins two inequalities, or of words: choices are its options
    then, texts what a candidate sees of them.

    before: the bare characters between the box before (or the beginning of the line) and this one; beside: the
    formulas in the same paragraph; tolerance: how far a decimal may lie from the one keyed.
    """

    response: str
    part: str
    unknown: str
    form: str
    role: str
    slot: int
    before: str
    beside: tuple[Node, ...] = ()
    choices: tuple[str, ...] = ()
    texts: tuple[str, ...] = ()
    tolerance: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Task:
    """An interaction of another kind. kind: `order`, `match` or `text`.

    choices: what is put into order, or the rows to be matched; targets: what rows are matched with; each with how often
    it may be used ("" where not said). most: how many pairs may be made.
    """

    response: str
    part: str
    kind: str
    choices: tuple[Choice, ...] = ()
    targets: tuple[Choice, ...] = ()
    often: tuple[str, ...] = ()
    shuffle: str = ""
    most: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark of the scheme."""

    kind: str
    worth: int


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the worked solution; number counts from 1 within its part."""

    number: int
    kind: str
    maths: Node | None
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Value:
    """What an option or a recognised wrong entry comes to; maths: None for an option of words nobody reaches.

    words: of words alone, the names of those the wrong answer leads to.
    """

    identifier: str
    feedback: str
    maths: Node | None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Word:
    """Words of a choice in the line as the staff block tells them; maths: when they are right, where that is shown."""

    response: str
    identifier: str
    text: str
    is_right: bool
    maths: Node | None


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing that a part shows: its address, the words in its place and the name of their language."""

    address: str
    words: str
    language: str


@dataclass(frozen=True, slots=True)
class Part:
    """One problem as the staff block tells it.

    follow: the key in the unknowns of earlier parts; follow_marks: what each unknown earns where those are a pupil's
    own. shows_others: the stem shows formulas like the problem, by the file's own word, that are others.
    """

    label: str
    shape: str
    kind: str
    unknowns: tuple[str, ...]
    for_every: tuple[str, ...]
    scope: Scope
    problem: Node
    domain: Node | None
    key: Node
    lines: tuple[Line, ...]
    values: tuple[Value, ...]
    stem: tuple[Node, ...] = ()
    follow: Node | None = None
    follow_marks: tuple[tuple[str, int], ...] = ()
    words: tuple[Word, ...] = ()
    pictures: tuple[Picture, ...] = ()
    shows_others: bool = False


@dataclass(frozen=True, slots=True)
class Feedback:
    """A modal feedback."""

    identifier: str
    outcome: str


@dataclass(frozen=True, slots=True)
class Facts:
    """One item. whole: every part of the solution could be read; notes_for_scorers: how many say how to mark.

    declares_people: the version of the standard can say of an outcome that people give it.
    """

    code: str
    responses: tuple[Response, ...]
    outcomes: tuple[Outcome, ...]
    choices: tuple[ChoiceInteraction, ...]
    boxes: tuple[Box, ...]
    parts: tuple[Part, ...]
    feedbacks: tuple[Feedback, ...]
    whole: bool
    processing: etree._Element | None = field(compare=False)
    body: etree._Element | None = field(compare=False)
    tasks: tuple[Task, ...] = ()
    notes_for_scorers: int = 0
    declares_people: bool = True

    def response(self, identifier: str) -> Response | None:
        """A declared response by identifier."""
        return next((each for each in self.responses if each.identifier == identifier), None)

    def outcome(self, identifier: str) -> Outcome | None:
        """A declared outcome by identifier."""
        return next((each for each in self.outcomes if each.identifier == identifier), None)
