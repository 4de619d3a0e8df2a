"""From an assignment to a finished item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from itembank.difficulty import Predictor, Weights
from itembank.errors import DomainError
from itembank.expressions import canonical
from itembank.expressions.canonical import NONE, Form
from itembank.expressions.display import Decimal, Maths, places_needed
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.boxes import NotInForm, as_values, box_groups, box_roles
from itembank.generator.choices import Candidate, candidates, make_choices, make_words
from itembank.generator.decimals import in_decimals, rounded_answer
from itembank.generator.distractors import Fate, ascending, fates, printed_order
from itembank.generator.enough import is_enough
from itembank.generator.filling import filled, filled_text
from itembank.generator.instructions import instruction
from itembank.generator.intervals import interval_groups
from itembank.generator.lines import lines_shown
from itembank.generator.matches import make_match
from itembank.generator.one_of import led_to, words_blank
from itembank.generator.orders import make_order
from itembank.generator.points import make_points
from itembank.generator.recipe import FigureRecipe, PartRecipe
from itembank.generator.unfit import NOTHING_TO_SAY_SO_WITH, NotAnItem
from itembank.generator.units import stands_first
from itembank.generator.words_fit import value_told, words_misfit
from itembank.generator.wrong_lines import chosen_slip, make_wrong_line
from itembank.items import (
    Address,
    Blank,
    BoxValue,
    ChoiceResponse,
    ChoicesResponse,
    Claim,
    EntryResponse,
    Item,
    Option,
    Part,
    Problem,
    RecognisedEntry,
    Response,
    Slip,
    SolutionLine,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.templates.template import WITHOUT_LINE_MARKS, BlankTemplate, WrittenTemplate

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
        if template.response.kind == "choices":
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
            response = self._words(number, part, key, slips, made, rows)
        elif template.response.kind == "choice":
            response = self._choice(number, part, key, slips, made, address)
        else:
            response = self._entry(number, part, key, slips, made, rows)
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
            filled(part.follow, forms) if part.follow else None,
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
        wanted = response.options - 1 if response.kind == "choice" and not response.words else len(found)
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
    ) -> ChoicesResponse:
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

    def _choice(
        self,
        number: int,
        part: PartRecipe,
        key: Forms,
        slips: list[Slip | None],
        made: Draft,
        address: Address,
    ) -> ChoiceResponse:
        wanted = part.template.response.options
        contents: list[tuple[Maths, Slip | None, Forms]] = [(self._key(part, key, made.forms), None, key)]
        for slip, fate in zip(slips, made.fates[number], strict=True):
            if slip is not None and fate.forms is not None and len(contents) < wanted:
                contents.append((slip.answer, slip, fate.forms))
        numbers = [_single_number(forms) for _, _, forms in contents]
        if part.key_shown is None and all(value is not None for value in numbers):
            order = ascending([value for value in numbers if value is not None])
        else:
            order = printed_order(str(address), len(contents))
        options = tuple(
            Option("ABCDEFGHIJKLMNOPQRSTUVWXYZ"[place], contents[index][0], index == 0, contents[index][1])
            for place, index in enumerate(order)
        )
        return ChoiceResponse(options, part.template.response.marks)

    def _words(
        self,
        number: int,
        part: PartRecipe,
        key: Forms,
        slips: list[Slip | None],
        made: Draft,
        rows: Mapping[str, Mapping[str, str]],
    ) -> ChoiceResponse:
        right = self.bound.row(number, key[0], made.arguments)
        if right < 0:
            held = self.bound.rows_held(number, key[0], made.arguments)
            answer = value_told(part.template.unknowns, key[0])
            raise words_misfit(number, part.template.response.words, held, answer)
        leads: dict[int, Slip] = {}
        for slip, fate in zip(slips, made.fates[number], strict=True):
            if slip is not None and fate.forms is not None:
                row = self.bound.row(number, fate.forms[0], made.arguments)
                if row >= 0 and row != right:
                    leads.setdefault(row, slip)
        options = tuple(
            Option(
                "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[index],
                filled_text(text, made.forms, rows),
                index == right,
                leads.get(index),
            )
            for index, text in enumerate(part.words)
        )
        conditions = tuple(row.when.node for row in part.template.response.words)
        return ChoiceResponse(options, part.template.response.marks, True, conditions)

    def _entry(
        self,
        number: int,
        part: PartRecipe,
        key: Forms,
        slips: list[Slip | None],
        made: Draft,
        rows: Mapping[str, Mapping[str, str]],
    ) -> EntryResponse:
        response = part.template.response
        if response.points:
            language = self.template.about.language
            return make_points(part, number, key[0], slips, made.fates[number], language)
        none = key == (NONE,)
        blanks: list[Blank] = []
        try:
            for index, blank in enumerate(response.blanks):
                if blank.words:
                    blanks.append(
                        words_blank(self.bound, number, index, key, made.forms, made.arguments, rows)
                    )
                    continue
                blanks.append(self._blank(part, blank, self._blank_form(part, key, index)))
        except NotInForm as unfit:
            raise NotAnItem("key-not-in-form", str(unfit), number) from None
        if none and not response.tick:
            raise NotAnItem("no-tick", NOTHING_TO_SAY_SO_WITH, number)
        if part.one_of and all(blank.words for blank in blanks):
            recognised = self._recognised_words(number, slips, made, blanks)
        else:
            recognised = self._recognised(part, slips, made.fates[number], blanks)
        has_decimals = any(blank.form == "decimal" for blank in blanks)
        held = [blank.values for blank in blanks]
        return EntryResponse(
            tuple(blanks),
            response.marks,
            instruction(
                response,
                part.slots,
                part.has_denominator,
                self.template.about.language,
                part.has_rational_part,
                has_surds=any(blank.form == "surd" and blank.slots > 1 for blank in blanks),
            ),
            response.tick,
            none,
            recognised,
            rounded=rounded_answer(part.template, key, held) if has_decimals else None,
        )

    def _blank(self, part: PartRecipe, blank: BlankTemplate, form: Form) -> Blank:
        """A blank with what belongs into its boxes. Raises NotInForm where they cannot hold it."""
        shown = f"interval {blank.ends}" if blank.ends else blank.form
        roles = box_roles(shown, part.has_rational_part, part.has_denominator)
        groups, join = _groups(blank, roles, form)
        slots = max(part.slots, len(groups))
        pair = False
        if blank.ends:
            slots = 2
        elif blank.form == "brackets":
            slots = max(1, len(groups))
        elif blank.form == "surd":
            slots = max(1, len(groups))  # one for both of p ± q*sqrt(r)
            pair = part.slots > 1 if form == NONE else form[0][0] == "surd" and form[0][4] == "±"
        return Blank(
            blank.unknown, blank.form, roles, groups, slots, blank.any_order or slots > 1, pair,
            blank.places, _tolerance(blank), blank.marks, blank.ends, join, blank.unit, blank.letter,
            unit_first=not blank.ends and stands_first(blank.unit, self.template.about.language),
        )  # fmt: skip

    def _blank_form(self, part: PartRecipe, forms: Forms, index: int) -> Form:
        if forms == (NONE,):
            return NONE
        if part.key.kind == "point" or len(forms) > 1:
            return forms[part.template.unknowns.index(part.template.response.blanks[index].unknown)]
        return forms[0]

    def _recognised(
        self, part: PartRecipe, slips: list[Slip | None], found: tuple[Fate, ...], blanks: list[Blank]
    ) -> tuple[RecognisedEntry, ...]:
        recognised = []
        has_decimals = any(blank.form == "decimal" for blank in blanks)
        for slip, fate in zip(slips, found, strict=True):
            if slip is None or fate.forms is None or fate.forms == (NONE,):
                continue
            try:
                found_in = [
                    ((), "")
                    if template.words
                    else _groups(template, blank.boxes, self._blank_form(part, fate.forms, index))
                    for index, (template, blank) in enumerate(
                        zip(part.template.response.blanks, blanks, strict=True)
                    )
                ]
            except NotInForm:
                continue
            values, join = tuple([groups for groups, _ in found_in]), "".join(join for _, join in found_in)
            if all(
                0 < len(groups) <= blank.slots or blank.words
                for groups, blank in zip(values, blanks, strict=True)
            ) and _same_pairs(fate.forms, blanks):
                shown = rounded_answer(part.template, fate.forms, values) if has_decimals else None
                recognised.append(RecognisedEntry(values, slip, join, shown))
        return tuple(recognised)

    def _recognised_words(
        self, number: int, slips: list[Slip | None], made: Draft, blanks: list[Blank]
    ) -> tuple[RecognisedEntry, ...]:
        """Of words alone: the first slip that leads to each wrong choice."""
        right = tuple(blank.values for blank in blanks)
        found: dict[tuple[tuple[tuple[BoxValue, ...], ...], ...], Slip] = {}
        for slip, fate in zip(slips, made.fates[number], strict=True):
            if slip is None or fate.forms is None:
                continue
            names = [
                led_to(self.bound, number, place, fate.forms[0], made.arguments)
                for place in range(len(blanks))
            ]
            values = tuple(((name,),) for name in names)
            if all(names) and values != right:
                found.setdefault(values, slip)
        return tuple(RecognisedEntry(values, slip) for values, slip in found.items())


def _answer(part: PartRecipe, forms: Forms) -> Maths:
    """An answer in the one form of its part: as decimals where these are asked for and end, without ± if said."""
    shown = in_decimals(part.template, forms)
    return part.shown(tuple(map(as_values, shown)) if part.template.response.form == "values" else shown)


def _groups(
    blank: BlankTemplate, roles: tuple[str, ...], form: Form
) -> tuple[tuple[tuple[BoxValue, ...], ...], str]:
    """What goes into a blank's boxes, and what joins two inequalities. Raises NotInForm."""
    if blank.ends:
        return interval_groups(blank, roles, form)
    return box_groups(blank, roles, form), ""


def _same_pairs(forms: Forms, blanks: list[Blank]) -> bool:
    """Whether a slip's surd is of the kind the boxes show: a pair where they show ±, single values elsewhere."""
    return all(
        blank.form != "surd" or (form[0][0] == "surd" and form[0][4] == "±") == blank.pair
        for blank, form in zip(blanks, forms, strict=False)
    )


def _content(options: Sequence[Candidate], slip: int) -> Maths:
    return next(each.content for each in options if each.slip == slip)


def _single_number(forms: Forms) -> tuple[int, int] | None:
    """(n, d) where an answer is one rational number."""
    return canonical.rational(forms[0]) if len(forms) == 1 else None


def _tolerance(blank: BlankTemplate) -> Decimal | None:
    """How far an entry may lie from a decimal, with the places it is written with, one at least."""
    value = blank.tolerance
    return None if value is None else Decimal(value, max(places_needed(value.denominator), 1))
