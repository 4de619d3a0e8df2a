"""From an assignment to a finished item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from itembank.difficulty import Predictor, Weights
from itembank.errors import DomainError
from itembank.expressions.canonical import NONE
from itembank.expressions.display import Maths
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.boxes import as_values
from itembank.generator.choice import make_choice, make_choice_of_words
from itembank.generator.choices import Candidate, candidates, make_choices, make_words
from itembank.generator.decimals import in_decimals
from itembank.generator.distractors import Fate, fates
from itembank.generator.enough import is_enough
from itembank.generator.entries import make_entry
from itembank.generator.filling import filled, filled_text, followed
from itembank.generator.lines import lines_shown
from itembank.generator.matches import make_match
from itembank.generator.orders import make_order
from itembank.generator.recipe import FigureRecipe, PartRecipe
from itembank.generator.unfit import NotAnItem
from itembank.generator.wrong_lines import chosen_slip, make_wrong_line
from itembank.items import (
    Address,
    ChoiceResponse,
    ChoicesResponse,
    Claim,
    Item,
    Part,
    Problem,
    Response,
    Slip,
    SolutionLine,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.templates.template import WITHOUT_LINE_MARKS, WrittenTemplate

STEM_DIFFERS = "stem-differs"
"""What a template silences whose stem shows formulas like the problem that are others."""

if TYPE_CHECKING:
    from itembank.figures import Figure


class Draft(NamedTuple):
    """A feasible assignment with what was worked out to find it so."""

    arguments: Arguments
    forms: Forms
    fates: tuple[tuple[Fate, ...], ...]


def draft(bound: Bound, arguments: Arguments, *, checked: bool = False) -> Draft | None:
    """What an assignment makes; None where it is not feasible (constraints, guarantees, enough unequal slips).

    checked: constraints and guarantees were looked at already.
    """
    if not checked and not bound.feasible(*arguments):
        return None
    forms = bound.forms(*arguments)
    if forms is None:
        return None
    found = []
    for number, part in enumerate(bound.recipe.parts):
        key = key_forms(bound, number, forms)
        slips = tuple(fates(bound, number, key, arguments)) if part.slips else ()
        if not is_enough(bound, number, key, forms, slips, arguments):
            return None
        found.append(slips)
    return Draft(arguments, forms, tuple(found))


def key_forms(bound: Bound, number: int, forms: Forms) -> Forms:
    """The forms of a part's key."""
    return bound.getters[number](forms) or (NONE,)


class Instantiator:
    """Makes the items of one template. `words` are chosen by the item's address.

    weights: of the features that difficulty is predicted from, None for the program's own.
    """

    def __init__(self, bound: Bound, seed: int, weights: Weights | None = None) -> None:
        self.bound = bound
        self.recipe = bound.recipe
        self.template = bound.recipe.template
        self.seed = seed
        self.predictor = Predictor(self.template.about, weights, self.template.name)
        self.claims = tuple(Claim(g.raw or g.node, g.text) for g in self.template.guarantees)
        self.row_parameters = tuple(p for p in self.template.parameters if p.rows)
        self.shows_others = any(name == STEM_DIFFERS for name, _, _ in self.template.silenced)
        self.lines_vary = frozenset(
            number
            for number, part in enumerate(self.template.parts)
            if any(line.when is not None for line in part.solution)
        )
        self.has_figures = any(
            figure is not None
            for part in self.recipe.parts
            for figure in (part.figure, *(line.figure for line in part.solution))
        )

    def address(self, position: int) -> Address:
        """The address of a position."""
        return Address(self.template.name, self.template.version, self.seed, position)

    def item(self, position: int, made: Draft, code: str, band: str = "") -> Item:
        """The item of a draft. Raises NotAnItem where the answer does not fit what the response asks."""
        address = self.address(position)
        rows = self._rows(str(address)) if self.row_parameters else {}
        values: dict[str, object] = dict(self.bound.values(made.arguments))
        for name, row in rows.items():
            values[name] = "; ".join(row.values())
        parts = tuple(
            self._part(number, part, made, address, rows) for number, part in enumerate(self.recipe.parts)
        )
        if self.has_figures:
            parts = tuple(self._pictured(number, part, made.arguments) for number, part in enumerate(parts))
        predicted = self.predictor.predict(parts)
        if self.predictor.observed:
            predicted = self.predictor.settled(str(address), predicted)
        return Item(code, address, self.template.about, parts, values, self.claims, band, predicted)  # type: ignore[arg-type]

    def _rows(self, address: str) -> dict[str, Mapping[str, str]]:
        import hashlib

        chosen = {}
        for parameter in self.row_parameters:
            digest = hashlib.blake2b(f"{address}\0{parameter.name}".encode(), digest_size=8).digest()
            chosen[parameter.name] = parameter.rows[int.from_bytes(digest, "big") % len(parameter.rows)]
        return chosen

    def _part(
        self,
        number: int,
        part: PartRecipe,
        made: Draft,
        address: Address,
        rows: Mapping[str, Mapping[str, str]],
    ) -> Part:
        template, forms = part.template, made.forms
        key = key_forms(self.bound, number, forms)
        problem = Problem(
            template.shape,
            filled(part.problem, forms),
            template.unknowns,
            template.for_every,
            filled(part.domain, forms) if part.domain else None,
            part.main_letter,
        )
        slips = self._slips(part, made.fates[number], forms, rows)
        response: Response
        if template.response.kind == "choices" or (part.right and template.response.kind == "choice"):
            response = self._choices(number, key, slips, made, address, rows)
        elif template.response.kind == "wrong-line":
            response, slips = self._wrong_line(number, slips, made, address, rows)
        elif template.response.kind == "order":
            response = make_order(self.bound, number, forms, made.arguments, str(address))
        elif template.response.kind == "match":
            response, slips = make_match(
                self.bound, number, key, made.fates[number], slips, forms, made.arguments, rows, str(address)
            )
        elif isinstance(template.response.more, WrittenTemplate):
            response = WrittenResponse(template.response.marks, template.response.more.lines)
        elif template.response.words:
            found = made.fates[number]
            response = make_choice_of_words(
                self.bound, number, key, slips, found, forms, made.arguments, rows
            )
        elif template.response.kind == "choice":
            shown = self._key(part, key, forms)
            response = make_choice(part, key, shown, slips, made.fates[number], str(address))
        else:
            found = made.fates[number]
            response = make_entry(self.bound, number, key, slips, found, forms, made.arguments, rows)
        solution = tuple([self._line(number, index, made, rows) for index in self._lines(number, made)])
        if number in self.lines_vary:
            self._refuse_without_marks(number, solution)
        used = tuple(slip for slip in slips if slip is not None)
        return Part(
            template.label,
            problem,
            filled_text(part.stem, forms, rows),
            response,
            self._key(part, key, forms),
            used,
            solution,
            followed(part.follow, forms, template.unknowns) if part.follow else None,
            space=template.space,
            shows_others=self.shows_others,
        )

    def _lines(self, number: int, made: Draft) -> Sequence[int]:
        """Which lines of the solution stand in the item."""
        lines = self.template.parts[number].solution
        if number not in self.lines_vary:
            return range(len(lines))
        return lines_shown(lines, self.bound.values(made.arguments), self.recipe.parts[number].main_letter)

    def _line(
        self, number: int, index: int, made: Draft, rows: Mapping[str, Mapping[str, str]]
    ) -> SolutionLine:
        """A line that stands in the item. Raises NotAnItem for one that should and has no value."""
        line, written = self.recipe.parts[number].solution[index], self.template.parts[number].solution[index]
        forms = self.bound.line_forms(line, made.arguments) if line.forms else made.forms
        if forms is None:
            raise NotAnItem(
                "line-without-value",
                "the line stands in this item by its `when`, but has no value here",
                number,
                written.maths.span() if written.maths is not None else written.span,
            )
        return SolutionLine(
            line.kind,
            filled_text(line.say, forms, rows) if line.say else None,
            filled(line.maths, forms) if line.maths else None,
            written.marks,
        )

    def _refuse_without_marks(self, number: int, solution: Sequence[SolutionLine]) -> None:
        """Raises NotAnItem where lines earn the marks, and none of these stands in this item."""
        template = self.template.parts[number]
        marked = [line for line in template.solution if line.marks]
        if template.response.kind in WITHOUT_LINE_MARKS or not marked:
            return
        if not any(line.marks for line in solution):
            raise NotAnItem(
                "no-marked-line",
                "no line that earns marks stands in this item, by the `when` of each",
                number,
                marked[-1].span,
            )

    def _key(self, part: PartRecipe, key: Forms, forms: Forms) -> Maths:
        return _answer(part, key) if part.key_shown is None else filled(part.key_shown, forms)

    def _pictured(self, number: int, part: Part, arguments: Arguments) -> Part:
        """The part with its pictures. Raises NotAnItem where one cannot be drawn."""
        from itembank.figures import drawing
        from itembank.generator.figures import figure_of

        recipe = self.recipe.parts[number]
        values = self.bound.values(arguments)

        def drawn(figure: FigureRecipe | None) -> Figure | None:
            if figure is None:
                return None
            try:
                made = figure_of(figure, values)
                if figure.numbers:
                    drawing(made)  # an extension may find that there is no picture
                return made
            except DomainError as impossible:
                span = figure.template.of.span()
                raise NotAnItem("figure-cannot-be-drawn", str(impossible), number, span) from None

        places = lines_shown(recipe.template.solution, values, recipe.main_letter)
        shown = [recipe.solution[index] for index in places]
        lines = tuple(
            line._replace(figure=drawn(made.figure)) if made.figure is not None else line
            for line, made in zip(part.solution, shown, strict=True)
        )
        return replace(part, solution=lines, figure=drawn(recipe.figure))

    def _slips(
        self, part: PartRecipe, found: tuple[Fate, ...], forms: Forms, rows: Mapping[str, Mapping[str, str]]
    ) -> list[Slip | None]:
        made: list[Slip | None] = []
        response = part.template.response
        by_value = response.kind == "choice" and not (response.words or part.right)
        wanted = response.options - 1 if by_value else len(found)
        for slip, fate in zip(part.slips, found, strict=True):
            if wanted == 0:
                made.append(None)
                continue
            usable = fate.word == "offered" or (response.words and fate.word == "equals an earlier slip")
            if not usable or fate.forms is None:
                made.append(None)
                continue
            pupil = filled_text(slip.pupil, forms, rows) if slip.pupil else None
            teacher = filled_text(slip.teacher, forms, rows) if slip.teacher else None
            wanted -= 1
            answer = _answer(part, fate.forms) if slip.plan is None else slip.plan.fill(fate.shown)
            made.append(Slip(slip.template.name, answer, pupil, teacher, slip.template.title))
        return made

    def _choices(
        self,
        number: int,
        key: Forms,
        slips: list[Slip | None],
        made: Draft,
        address: Address,
        rows: Mapping[str, Mapping[str, str]],
    ) -> ChoicesResponse | ChoiceResponse:
        part, found = self.recipe.parts[number], made.fates[number]
        if part.words:
            leads = {
                fate.forms: slip
                for slip, fate in zip(reversed(slips), reversed(found), strict=True)
                if slip is not None and fate.forms is not None
            }
            return make_words(self.bound, number, key, leads, made.forms, made.arguments, rows)
        options = candidates(self.bound, number, key, made.forms, found, made.arguments)
        assert options is not None
        used = {
            each.slip: slip for each in options if each.slip >= 0 and (slip := slips[each.slip]) is not None
        }
        if part.right:
            used = {index: slip._replace(answer=_content(options, index)) for index, slip in used.items()}
        slips[:] = [used.get(index) for index in range(len(slips))]
        return make_choices(part, number, options, used, str(address))

    def _wrong_line(
        self,
        number: int,
        slips: list[Slip | None],
        made: Draft,
        address: Address,
        rows: Mapping[str, Mapping[str, str]],
    ) -> tuple[WrongLineResponse, list[Slip | None]]:
        index = chosen_slip(made.fates[number], str(address))
        slip = slips[index]
        assert slip is not None
        response = make_wrong_line(
            self.bound, number, index, (slip.pupil, slip.teacher), made.forms, made.arguments, rows
        )
        return response, [response.slip]


def _answer(part: PartRecipe, forms: Forms) -> Maths:
    """An answer in the one form of its part: as decimals where these are asked for and end, without ± if said."""
    shown = in_decimals(part.template, forms)
    return part.shown(tuple(map(as_values, shown)) if part.template.response.form == "values" else shown)


def _content(options: Sequence[Candidate], slip: int) -> Maths:
    return next(each.content for each in options if each.slip == slip)
