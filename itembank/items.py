"""The finished item: frozen, format-free, without sympy. What a template and a position become.

The small pieces an item has by the dozen are named tuples, which are made three times as fast as data classes.

An item has one or more parts; each part asks one problem and takes one response.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING, ClassVar, Final, Literal, NamedTuple, TypeAlias

from itembank.content import Content
from itembank.expressions.display import Decimal, Maths
from itembank.expressions.numbers import Exact
from itembank.expressions.tree import Node

if TYPE_CHECKING:
    from itembank.figures import Figure


class Mark(NamedTuple):
    """Marks of a scheme: kind M (method), A (accuracy), B (independent); `worth` >= 1; ft: follow-through."""

    kind: str
    worth: int = 1
    follow_through: bool = False

    def __str__(self) -> str:
        return f"{self.kind}{self.worth}{' ft' if self.follow_through else ''}"


@dataclass(frozen=True, slots=True)
class Problem:
    """What is asked, as displayed.

    shape: `solve` (find the unknowns that satisfy the statement), `identity` (find the unknowns for which it
    holds for every value of the letters `for_every`), `subject` (say what the only unknown is in terms of the letters
    `for_every`, whatever their values), `rewrite` (an expression to be brought into another form).
    domain: a statement every solution must satisfy, None where any real number will do.
    main_letter: the letter a discriminant is taken in where its argument has several.
    """

    shape: str
    statement: Maths
    unknowns: tuple[str, ...] = ()
    for_every: tuple[str, ...] = ()
    domain: Maths | None = None
    main_letter: str = ""


class Slip(NamedTuple):
    """A known wrong answer: the slip's name, the answer it leads to, a sentence for the pupil, one for the teacher.

    title: what staff call it, "" where their language has no name for it, None for the name itself.
    """

    name: str
    answer: Maths
    pupil: Content | None
    teacher: Content | None
    title: str | None = None

    @property
    def called(self) -> str:
        """What it is called in documents for staff, "" for nothing."""
        return self.name.replace("-", " ") if self.title is None else self.title


class Option(NamedTuple):
    """One option of a choice. identifier: A, B, ... in printed order; content: maths or words.

    slip: the slip that leads here, None for the key and for options of words that no slip reaches.
    """

    identifier: str
    content: Maths | Content
    is_key: bool
    slip: Slip | None = None


@dataclass(frozen=True, slots=True)
class ChoiceResponse:
    """One right option among several.

    by_words: the options are statements in words; rows: for each option in printed order, the statement about the
    answer's value (and the item's values) under which it is right.
    """

    kind: ClassVar[Literal["choice"]] = "choice"
    options: tuple[Option, ...]
    marks: int = 1
    by_words: bool = False
    rows: tuple[Node, ...] = ()

    @property
    def key(self) -> Option:
        """The right option."""
        return next(option for option in self.options if option.is_key)


BoxValue: TypeAlias = int | Decimal | str | None
"""What belongs in a box; None where the pupil leaves it empty (no real solution), a word where one is chosen."""

SIGNS: Mapping[str, str] = MappingProxyType({"lt": "<", "le": "<=", "gt": ">", "ge": ">="})
"""The words of the inequality signs that are chosen in an interval's boxes."""


WORD_NAMES = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""What words to choose from are named by, in order."""


@dataclass(frozen=True, slots=True)
class RecognisedEntry:
    """A wrong entry with a known cause: for each blank its values, each a tuple of box contents; and the slip.

    Words beside numbers say nothing about the cause: they have no value here. join: of two inequalities, `and` or `or`.
    rounded: what the boxes of a decimal hold, where they round what the slip leads to.
    """

    values: tuple[tuple[tuple[BoxValue, ...], ...], ...]
    slip: Slip
    join: str = ""
    rounded: Maths | None = None


class Word(NamedTuple):
    """Words to choose in a line: plain text, the statement under which they are right, and that as displayed.

    shown: None where the statement holds what cannot be displayed, as a property.
    """

    text: str
    when: Node
    shown: Maths | None = None


@dataclass(frozen=True, slots=True)
class Blank:
    """What is entered for one unknown (or, with unknown "", for an expression).

    form: `integer`, `fraction` (numerator, denominator in lowest terms, denominator >= 1), `decimal`, `surd`,
        `interval`, `brackets` (k(ax + b)(cx + d), whole numbers in the boxes shown), or `one-of` (`words`, of which
        one is chosen by its letter A, B, ...).
    boxes: the roles of the boxes of one value, in reading order: (`value`,), (`numerator`, `denominator`), or of
        `p q r s` those that are shown: (p ± q*sqrt(r))/s, p + q*sqrt(r) where `pair` is False; `sign` and those of
        an end.
    values: the right values, one tuple of box contents for each solution; () where there is no real solution.
    slots: how many groups of boxes are shown (a group left empty is right where there are fewer values).
    any_order: several values, entered in any order. places, tolerance: of a decimal; |entry - value| <= tolerance.
    marks: what the blank is worth, together `worth`.
    ends, join: of an interval, whose values are one or two inequalities, each a sign and an end: the form of the ends,
        and `and` or `or` between two. unit: shown beside the boxes, before them if `unit_first`. letter: of brackets.
    words, before: of a choice of words, and what stands before it.
    """

    unknown: str
    form: str
    boxes: tuple[str, ...]
    values: tuple[tuple[BoxValue, ...], ...]
    slots: int
    any_order: bool = False
    pair: bool = False
    places: int = 0
    tolerance: Decimal | None = None
    marks: tuple[Mark, ...] = ()
    ends: str = ""
    join: str = ""
    unit: str = ""
    letter: str = ""
    words: tuple[Word, ...] = ()
    before: str = ""
    unit_first: bool = False

    @property
    def chosen(self) -> int:
        """The place of the right words among `words`."""
        return WORD_NAMES.index(str(self.values[0][0]))

    @property
    def worth(self) -> int:
        """Marks for this blank."""
        return sum(mark.worth for mark in self.marks)

    @property
    def follow_worth(self) -> int:
        """Marks of these that follow through from a pupil's own earlier answers."""
        return sum(mark.worth for mark in self.marks if mark.follow_through)


@dataclass(frozen=True, slots=True)
class EntryResponse:
    """Boxes to fill. `tick`: a tick "no real solution" stands beside the boxes; `tick_is_right`: it is the answer.

    recognised: wrong entries with a known cause. An entry is recognised when all its blanks agree.
    instruction: the sentence that tells the pupil what to write.
    points: the blanks are the two coordinates of points, which stand in any order: the values of both at one place are
    one point, and so are the boxes of both with one number. The marks are for the points, the blanks have none of
    their own. share: what each point earns; 0 where only all of them earn the marks.
    rounded: what the boxes of a decimal hold, where they round the key, as a statement: `x ≈ 2.85`.
    """

    kind: ClassVar[Literal["entry"]] = "entry"
    blanks: tuple[Blank, ...]
    marks: int
    instruction: Content
    tick: bool = False
    tick_is_right: bool = False
    recognised: tuple[RecognisedEntry, ...] = ()
    points: bool = False
    share: Fraction = Fraction(0)
    rounded: Maths | None = None


SMALLEST_SHARE = Fraction(1, 4)
"""Shares of a mark are whole quarters, which every platform adds up exactly."""


def shares_evenly(marks: int, parts: int) -> bool:
    """Whether so many marks can be shared over parts in whole quarters.

    >>> shares_evenly(1, 4), shares_evenly(2, 3)
    (True, False)
    """
    return (Fraction(marks, parts) / SMALLEST_SHARE).denominator == 1


def marks_text(marks: Fraction) -> str:
    """Marks as a decimal; marks >= 0, in whole quarters.

    >>> marks_text(Fraction(3, 2)), marks_text(Fraction(1)), marks_text(Fraction(1, 4))
    ('1.5', '1', '0.25')
    """
    whole, rest = divmod(int(marks * 100), 100)
    return f"{whole}.{rest:02}".rstrip("0").rstrip(".") if rest else str(whole)


@dataclass(frozen=True, slots=True)
class ChoicesResponse:
    """Several right options.

    sense: what makes an option right: `same` (it says the same as the problem), `solutions` (it is one of the
    problem's solutions, and the right ones together are all of them), `words` (its row of `rows` is true).
    share: what each right option chosen earns and each wrong one costs, down to no marks at all; 0 where only the
    right options, all of them and nothing else, earn the marks.
    """

    kind: ClassVar[Literal["choices"]] = "choices"
    options: tuple[Option, ...]
    marks: int
    sense: str
    share: Fraction
    rows: tuple[Node, ...] = ()

    @property
    def right(self) -> tuple[Option, ...]:
        """The right options in printed order."""
        return tuple(option for option in self.options if option.is_key)


class ShownLine(NamedTuple):
    """A line of working shown to the pupil: what is said, and what is written."""

    say: Content | None
    maths: Maths


@dataclass(frozen=True, slots=True)
class WrongLineResponse:
    """Lines of working with one slip in them; the pupil finds the line that does not follow from those before.

    lines: as shown, numbered from 1; wrong: the index of the one that does not follow; those after it follow from
    it. slip: its answer is the wrong line itself; the right line is that of the worked solution.
    """

    kind: ClassVar[Literal["wrong-line"]] = "wrong-line"
    lines: tuple[ShownLine, ...]
    wrong: int
    slip: Slip
    marks: int = 1


class Ordered(NamedTuple):
    """A thing to be put into order. identifier: A, B, ... as printed; place: where it belongs, from 0."""

    identifier: str
    maths: Maths
    place: int


@dataclass(frozen=True, slots=True)
class OrderResponse:
    """Things to be put into their only order.

    things: as printed. by: `ascending` or `descending` numbers, or `lines`: the lines of the worked solution, each one
    step from the one before. share: what each thing in its place earns; 0 where only the whole order earns the marks.
    """

    kind: ClassVar[Literal["order"]] = "order"
    things: tuple[Ordered, ...]
    by: str
    marks: int
    share: Fraction

    @property
    def in_order(self) -> tuple[Ordered, ...]:
        """The things in their order."""
        return tuple(sorted(self.things, key=lambda thing: thing.place))


class MatchRow(NamedTuple):
    """A row to be matched. identifier: R1, R2, ... as printed; statement: its problem; target: its letter."""

    identifier: str
    statement: Maths
    target: str


class MatchTarget(NamedTuple):
    """What rows are matched with. identifier: A, B, ... as printed; slip: what leads here where no row belongs."""

    identifier: str
    content: Maths | Content
    slip: Slip | None = None


@dataclass(frozen=True, slots=True)
class MatchResponse:
    """Rows to be matched, each with its only target.

    by_words: the targets are words; conditions: of each target, the statement about a row's value under which it is the
    row's. share: what each row rightly matched earns; 0 where only all of them earn the marks.
    """

    kind: ClassVar[Literal["match"]] = "match"
    rows: tuple[MatchRow, ...]
    targets: tuple[MatchTarget, ...]
    marks: int
    share: Fraction
    by_words: bool = False
    conditions: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class WrittenResponse:
    """An answer in writing, marked by a person with the marks at the lines of the worked solution.

    lines: how many lines of room there are.
    """

    kind: ClassVar[Literal["written"]] = "written"
    marks: int
    lines: int


Response: TypeAlias = (
    ChoiceResponse
    | EntryResponse
    | ChoicesResponse
    | WrongLineResponse
    | OrderResponse
    | MatchResponse
    | WrittenResponse
)
"""What a part takes; `kind` is the name that templates have for it."""


class SolutionLine(NamedTuple):
    """One line of the worked solution: what is said, what is written, the marks it earns.

    kind: `main` (says the same as the problem), `aside` (side working), `rejects` (gives a root up; `maths` is
    what is rejected). figure: a picture that goes with it.
    """

    kind: str
    say: Content | None
    maths: Maths | None
    marks: tuple[Mark, ...] = ()
    figure: Figure | None = None


@dataclass(frozen=True, slots=True)
class Claim:
    """A guarantee to be proved on the finished item.

    node: the statement; the name `problem` in it means the displayed problem of the first part, other names are
    the item's values. wording: the author's own text.
    """

    node: Node
    wording: str


SPACES: Final = ("blank", "lines", "box", "grid", "axes")
"""What room for working can hold: nothing, ruled lines, a frame, squared paper, squared paper with axes."""


@dataclass(frozen=True, slots=True)
class Part:
    """One problem with its response. label: "" for the only part, else a, b, ...

    follow: the key in the unknowns of earlier parts (u = -p and v = q), where marks follow through: with the right
    earlier answers it is the key, with a pupil's own it says what earns the marks bearing `ft`.
    figure: stands below the stem. space: what the room for working holds on paper, one of SPACES; "" for what the
    paper says. shows_others: the stem shows formulas like the problem on purpose that are others.
    """

    label: str
    problem: Problem
    stem: Content
    response: Response
    key: Maths
    slips: tuple[Slip, ...]
    solution: tuple[SolutionLine, ...]
    follow: Maths | None = None
    figure: Figure | None = None
    space: str = ""
    shows_others: bool = False


@dataclass(frozen=True, slots=True)
class Address:
    """Where an item comes from: the same on any machine. position: in the permuted box of all assignments."""

    template: str
    version: int
    seed: int
    position: int

    def __str__(self) -> str:
        return f"{self.template}/{self.version}/{self.seed}/{self.position}"


class About(NamedTuple):
    """What is said of every item of a template. topic_titles: (topic, what the bank calls it), of those it names."""

    title: str
    language: str
    topics: tuple[str, ...] = ()
    curriculum: tuple[str, ...] = ()
    level: str = ""
    demand: str = ""
    calculator: str = ""
    minutes: str = ""
    topic_titles: tuple[tuple[str, str], ...] = ()


class Contribution(NamedTuple):
    """What a feature adds to a part's predicted difficulty. times: counted; adds: in all, in thousandths of a logit.

    part: its label, "" for the only one.
    """

    feature: str
    times: int
    adds: int
    part: str = ""


class Difficulty(NamedTuple):
    """A predicted difficulty in whole thousandths of a logit, what it is called, and what contributed.

    Of several parts it is the mean, each part by its marks.
    """

    thousandths: int
    word: str
    contributions: tuple[Contribution, ...] = ()


@dataclass(frozen=True, slots=True)
class Item:
    """A finished item.

    values: parameter and derived name -> exact value, or the words of a row; band: "" for none. difficulty: as
    predicted, None where nobody did.
    """

    code: str
    address: Address
    about: About
    parts: tuple[Part, ...]
    values: Mapping[str, Exact | str]
    claims: tuple[Claim, ...] = ()
    band: str = ""
    difficulty: Difficulty | None = None

    @property
    def marks(self) -> int:
        """Marks of all parts together."""
        return sum(part.response.marks for part in self.parts)
