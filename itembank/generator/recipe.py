"""A template made ready for thousands of items.

A recipe is a function of its template alone, so it can be kept on disk by content; it runs once it is `bound`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from itembank.content import Content, TextShape
from itembank.expressions import canonical, tree
from itembank.expressions.canonical import Form
from itembank.expressions.display import Maths
from itembank.expressions.plan import Leaf, Plan, solution_plan
from itembank.generator.answers import Answer
from itembank.templates.template import (
    NO_SOLUTION,
    FigureTemplate,
    PartTemplate,
    SlipTemplate,
    Template,
    Words,
)

_NOTHING = solution_plan(NO_SOLUTION, "x")


@dataclass(frozen=True, slots=True)
class Shown:
    """A plan and where its leaves' forms stand in the tuple of all forms."""

    plan: Plan
    leaves: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class TextRecipe:
    """A text: its shape, and for each hole what is shown; `constant` is the text where there is no hole."""

    shape: TextShape
    holes: tuple[Shown | Words, ...]
    constant: Content | None


@dataclass(frozen=True, slots=True)
class FigureRecipe:
    """A picture: its template, and the tree it is drawn of with the letters of earlier parts put in.

    numbers: the trees an extension's picture is drawn of.
    """

    template: FigureTemplate
    of: tree.Node
    numbers: tuple[tree.Node, ...] = ()


@dataclass(frozen=True, slots=True)
class LineRecipe:
    """A line of the worked solution.

    forms: the function of the forms that a line takes which stands in some items only, "" for all other lines.
    """

    kind: str
    say: TextRecipe | None
    maths: Shown | None
    figure: FigureRecipe | None = None
    forms: str = ""


@dataclass(frozen=True, slots=True)
class SlipRecipe:
    """A slip: its answer, the function that works its forms out, and its sentences.

    plan: how the answer is shown where it is shown as written; its forms follow those of the answer's leaves.
    has_domain: it is an equation, of whose solutions only those in the problem's domain are the answer.
    lines: what it leads to as written, where that is shown and not the answer (the lines from a wrong line on, an
    option written out); apart: the function of their forms, "" where there are none.
    """

    template: SlipTemplate
    answer: Answer
    function: str
    pupil: TextRecipe | None
    teacher: TextRecipe | None
    plan: Plan | None = None
    has_domain: bool = False
    lines: tuple[LineRecipe, ...] = ()
    apart: str = ""


@dataclass(frozen=True, slots=True)
class RowRecipe:
    """A row of a match: its problem, where its key's forms stand, and how the key is shown if as written."""

    problem: Shown
    key_leaves: tuple[int, ...]
    key_shown: Shown | None


@dataclass(frozen=True, slots=True)
class WordsRecipe:
    """A choice of words in a blank: what stands before it, its texts, their statements where they can be shown.

    needs_value: whether some statement speaks of the unknown.
    """

    before: TextRecipe | None
    texts: tuple[TextRecipe, ...]
    shown: tuple[Shown | None, ...]
    needs_value: bool


@dataclass(frozen=True, slots=True)
class PartRecipe:
    """All of a part that varies.

    key_leaves: where the key's forms stand; key_shown: how it is shown where that is as written, else by `display`.
    has_denominator: of brackets, whether a number may stand before them. follow: the key in the unknowns of earlier
    parts, where marks follow through.
    right: what the response shows as written (right options, numbers to be put into order); rows: of a match, those
    after the first. one_of: for each blank its choice of words, None for boxes; () where all are boxes.
    """

    template: PartTemplate
    problem: Shown
    domain: Shown | None
    stem: TextRecipe
    key: Answer
    key_leaves: tuple[int, ...]
    display: Plan
    slips: tuple[SlipRecipe, ...]
    solution: tuple[LineRecipe, ...]
    words: tuple[TextRecipe, ...]
    has_rational_part: bool
    has_denominator: bool
    slots: int
    main_letter: str
    follow: Shown | None = None
    key_shown: Shown | None = None
    right: tuple[Shown, ...] = ()
    figure: FigureRecipe | None = None
    rows: tuple[RowRecipe, ...] = ()
    one_of: tuple[WordsRecipe | None, ...] = ()

    def shown(self, forms: tuple[Form, ...]) -> Maths:
        """An answer by the forms it has: of one point a form for each coordinate, unless it is `none`."""
        if forms == (canonical.NONE,) and len(self.display.leaves) != 1:
            return _NOTHING.fill(forms)
        return self.display.fill(forms)


@dataclass(frozen=True, slots=True)
class Recipe:
    """template, parts, and the generated code with the trees its closures need."""

    template: Template
    parts: tuple[PartRecipe, ...]
    code: str
    conditions: tuple[tree.Node, ...]
    exact_leaves: tuple[Leaf, ...]
    bands: tuple[str, ...]
    main_letter: str


def shown_leaves(recipe: Recipe) -> Iterator[Leaf]:
    """Every leaf that must have a value for an item to be made: of stem, problem, key, solution and sentences."""
    for part in recipe.parts:
        yield from part.key.leaves
        yield from part.key_shown.plan.leaves if part.key_shown is not None else ()
        chosen = [each for each in part.one_of if each is not None]
        texts = [
            part.stem,
            *part.words,
            *(text for each in chosen for text in (each.before, *each.texts)),
            *(text for slip in part.slips for text in (slip.pupil, slip.teacher)),
        ]
        lines = [line for line in part.solution if not line.forms]
        shown = [part.problem, part.domain, part.follow, *part.right, *(line.maths for line in lines)]
        shown += [statement for each in chosen for statement in each.shown]
        for text in (*texts, *(line.say for line in lines)):
            if text is not None:
                shown += [hole for hole in text.holes if isinstance(hole, Shown)]
        for row in part.rows:
            shown += [row.problem, row.key_shown]
        for each in shown:
            if each is not None:
                yield from each.plan.leaves
