"""From a template to its recipe: plans for all that is shown, integer code for all that is worked out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from itembank.content import Content
from itembank.errors import Diagnostic, DomainError, InputError
from itembank.expressions import tree
from itembank.expressions.expand import expanded
from itembank.expressions.plan import (
    Leaf,
    Places,
    Plan,
    has_decimal,
    in_its_brackets,
    make_plan,
    solution_plan,
)
from itembank.expressions.statement_checks import is_inequality, says_whole
from itembank.expressions.vocabulary import PROPERTY_NAMES
from itembank.generator.answers import (
    Answer,
    answer_of,
    answer_plan,
    explicit_points,
    explicit_values,
    expression_answers,
    formula_answers,
)
from itembank.generator.changed import changed, slip_node
from itembank.generator.key_points import check_points, has_points
from itembank.generator.recipe import (
    FigureRecipe,
    LineRecipe,
    PartRecipe,
    Recipe,
    RowRecipe,
    Shown,
    SlipRecipe,
    TextRecipe,
    WordsRecipe,
)
from itembank.generator.surd_boxes import surd_parts
from itembank.generator.template_code import TemplateCode
from itembank.templates.template import (
    NO_SOLUTION,
    SUBJECT,
    ChoicesTemplate,
    Expression,
    FigureTemplate,
    LineTemplate,
    MatchTemplate,
    PartTemplate,
    SlipTemplate,
    Template,
    TextTemplate,
    Words,
)


def make_recipe(template: Template) -> Recipe:
    """The recipe of a template. Raises InputError where something cannot be shown, at its place."""
    return _Maker(template).recipe()


class _Leaves:
    """Leaves whose forms one function gives, each once."""

    def __init__(self) -> None:
        self.listed: list[Leaf] = []
        self._known: dict[tuple[str, tree.Node, Places, str], int] = {}

    def number(self, leaf: Leaf) -> int:
        """Where the form of a leaf stands."""
        mark = (leaf.kind, leaf.source, leaf.places, leaf.letter)
        if mark not in self._known:
            self._known[mark] = len(self.listed)
            self.listed.append(leaf)
        return self._known[mark]


def _places_shown(template: Template) -> dict[str, Places]:
    """The decimal places of each name that is shown as a decimal: a derived value is one where it is made of some."""
    places = {p.name: p.places for p in template.numeric_parameters if p.places is not None}
    for derived in template.derived:
        match derived.expression.node:
            case tree.Call("round", (_, tree.Number(digits))) if digits > 0:
                places[derived.name] = digits.numerator
            case node if has_decimal(node, places.get):
                places[derived.name] = -1
            case _:
                pass
    return places


class _Maker:
    def __init__(self, template: Template) -> None:
        self.template = template
        self.numeric = {p.name for p in template.numeric_parameters} | {d.name for d in template.derived}
        self.places = _places_shown(template)
        self.main_letter = main_letter(template, template.parts[0])
        self.code = TemplateCode(template, self.main_letter)
        self.leaves = _Leaves()

    def recipe(self) -> Recipe:
        template = self.template
        left_out = [
            tree.Relation((tree.Name(p.name), number_node(value)), ("!=",))
            for p in template.numeric_parameters
            for value in sorted(p.left_out)
        ]
        chosen = [e.node for e in (*template.constraints, *template.guarantees)]
        self.code.condition_function("feasible", [*left_out, *chosen])
        for index, (_, conditions) in enumerate(template.bands):
            self.code.condition_function(f"band_{index}", [e.node for e in conditions])
        known: dict[str, tree.Node] = {}
        parts = []
        for number, part in enumerate(template.parts):
            parts.append(self._part(number, part, known))
            if part.key is not None and part.unknowns and part.shape != SUBJECT:
                for name, value in (explicit_values(part.key.node, part.unknowns) or {}).items():
                    known[name] = tree.substitute(value, known)
        self.code.values_function("derived_values")
        self.code.forms_function("forms", self.leaves.listed)
        return Recipe(
            template,
            tuple(parts),
            self.code.text,
            tuple(self.code.conditions),
            tuple(self.code.forms),
            tuple(name for name, _ in template.bands),
            self.main_letter,
        )

    def _leaf(self, leaf: Leaf) -> int:
        return self.leaves.number(leaf)

    def _shown(
        self,
        expression: Expression,
        known: dict[str, tree.Node],
        free: frozenset[str] = frozenset(),
        leaves: _Leaves | None = None,
    ) -> Shown:
        """leaves: where the forms are collected that this takes; those every item needs, unless said."""
        number = (leaves or self.leaves).number
        plan = self._plan(expression, known, free)
        return Shown(plan, tuple(number(leaf) for leaf in plan.leaves))

    def _plan(
        self, expression: Expression, known: dict[str, tree.Node], free: frozenset[str] = frozenset()
    ) -> Plan:
        node = tree.substitute(expression.node, known)
        numeric = self.numeric - free
        try:
            return make_plan(node, numeric, self.places.get, lambda n: expanded(n, numeric))
        except DomainError as cannot:
            raise InputError(_told(self.template, "cannot-be-shown", str(cannot), expression)) from None

    def _text(self, text: TextTemplate | None, leaves: _Leaves | None = None) -> TextRecipe | None:
        """What earlier parts ask for stays a letter in a text: its value would tell their answers."""
        if text is None:
            return None
        holes = tuple(
            hole if isinstance(hole, Words) else self._in_text(hole, text.free, leaves) for hole in text.holes
        )
        return TextRecipe(text.shape, holes, None if holes else Content(text.shape))

    def _in_text(self, hole: Expression, free: frozenset[str], leaves: _Leaves | None) -> Shown:
        shown = self._shown(hole, {}, free, leaves)
        return replace(shown, plan=in_its_brackets(shown.plan, hole.text))

    def _part(self, number: int, part: PartTemplate, known: dict[str, tree.Node]) -> PartRecipe:
        letters = {*part.unknowns, *part.for_every, *self.template.letters}
        earlier = {name: value for name, value in known.items() if name not in letters}
        letter = _bracket_letter(part)
        several = has_points(part)
        if several:
            check_points(self.template, part)
        keyed = _within_whole_numbers(part, part.key.node) if part.key else None
        key = answer_of(keyed, part.unknowns, earlier, letter, several=several)
        if not key.explicit and part.key is not None:
            raise InputError(
                _told(
                    self.template,
                    "key-not-explicit",
                    "the key must say each unknown: "
                    + " and ".join(f"{name} = ..." for name in part.unknowns),
                    part.key,
                    _hint_for_curve(part),
                )
            )
        shown_as = "points" if several else key.kind if key.kind != "none" else "set"
        display = answer_plan(shown_as, part.unknowns, letter)
        display.listed = _lists_whole_numbers(part)
        stem = self._text(part.stem)
        assert stem is not None
        wrong = [_within_whole_numbers(part, slip_node(self.template, slip)) for slip in part.slips]
        answers = [answer_of(node, part.unknowns, earlier, letter, several=several) for node in wrong]
        rows = part.response.more.rows if isinstance(part.response.more, MatchTemplate) else ()
        row_keys = [answer_of(row.node, part.unknowns, earlier, letter, several=several) for _, row in rows]
        key_shown: Shown | None = None
        if part.key is not None and not letter and self._is_as_written(part):
            nodes = [part.key.node, *wrong, *(row.node for _, row in rows)]
            key, *answers = self._in_letters(part, [tree.substitute(n, earlier) for n in nodes])
            key_shown = self._shown(part.key, earlier)
            answers, row_keys = answers[: len(wrong)], answers[len(wrong) :]
        slips = tuple(
            self._slip(number, index, slip, answer, part, earlier)
            for index, (slip, answer) in enumerate(zip(part.slips, answers, strict=True))
        )
        rational, denominator = True, True
        if letter and part.key is not None:
            denominator = _has_scale(part.key.node, letter)
        elif part.key is not None:
            rational, denominator = surd_parts(self.template, self.code, part)
        if part.response.words:
            self._words(number, part, earlier)
        return PartRecipe(
            part,
            self._shown(part.problem, earlier),
            self._shown(part.domain, earlier) if part.domain else None,
            stem,
            key,
            tuple(self._leaf(leaf) for leaf in key.leaves),
            display,
            slips,
            tuple(self._line(number, part, index, earlier) for index in range(len(part.solution))),
            tuple(text for row in part.response.words if (text := self._text(row.text)) is not None),
            rational,
            denominator,
            _slots(part),
            main_letter(self.template, part),
            self._follow(part, earlier),
            key_shown,
            tuple(self._shown(each, earlier) for each in part.response.written_out),
            _figure(part.figure, earlier),
            tuple(
                self._row(problem, row, answer, key_shown is not None, earlier)
                for (problem, row), answer in zip(rows, row_keys, strict=True)
            ),
            self._one_of(number, part, earlier),
        )

    def _row(
        self,
        problem: Expression,
        key: Expression,
        answer: Answer,
        as_written: bool,
        known: dict[str, tree.Node],
    ) -> RowRecipe:
        if not answer.explicit:
            message = "the key of a row must say each unknown, as the part's key does"
            raise InputError(_told(self.template, "key-not-explicit", message, key))
        leaves = tuple(self._leaf(leaf) for leaf in answer.leaves)
        return RowRecipe(self._shown(problem, known), leaves, self._shown(key, known) if as_written else None)

    def _one_of(
        self, number: int, part: PartTemplate, known: dict[str, tree.Node]
    ) -> tuple[WordsRecipe | None, ...]:
        """The choices of words in blanks, with one function for each text as in `_words`."""
        blanks = part.response.blanks
        if not any(blank.words for blank in blanks):
            return ()
        made: list[WordsRecipe | None] = []
        for place, blank in enumerate(blanks):
            if not blank.words:
                made.append(None)
                continue
            needs_value = False
            for index, row in enumerate(blank.words):
                node = tree.substitute(row.when.node, known)
                named = [name for name in part.unknowns if name in tree.names(node)]
                needs_value = needs_value or bool(named)
                self.code.row_function(f"word_{number}_{place}_{index}", node, named[0] if named else "")
            made.append(
                WordsRecipe(
                    self._text(blank.before),
                    tuple(t for row in blank.words if (t := self._text(row.text)) is not None),
                    tuple(self._shown_if_it_can(row.when, known) for row in blank.words),
                    needs_value,
                )
            )
        return tuple(made)

    def _shown_if_it_can(self, statement: Expression, known: dict[str, tree.Node]) -> Shown | None:
        """A condition as displayed, None where it holds what is never displayed."""
        if any(_is_condition_only(node) for node in tree.walk(statement.node)):
            return None
        try:
            return self._shown(statement, known)
        except InputError:
            return None

    def _follow(self, part: PartTemplate, earlier: dict[str, tree.Node]) -> Shown | None:
        """The key as written, earlier unknowns left standing; None where nothing follows through from them."""
        if part.key is None or not part.unknowns or not follows_through(part):
            return None
        if not set(tree.names(part.key.node)) & set(earlier):
            return None
        return self._shown(replace(part.key, node=_without_display_words(part.key.node, set(earlier))), {})

    def _in_letters(self, part: PartTemplate, nodes: list[tree.Node]) -> list[Answer]:
        """The answers that are shown as written, the key first."""
        if part.shape == SUBJECT:
            return formula_answers(nodes, part.unknowns[0], self.numeric, positive=part.domain is not None)
        return expression_answers(nodes, self.numeric)

    def _is_as_written(self, part: PartTemplate) -> bool:
        """Whether answers are shown as written: expressions with letters, formulas, numbers that are kept."""
        assert part.key is not None
        if part.shape == SUBJECT:
            return True
        if (
            not part.unknowns
            and part.response.kind in {"choice", "written"}
            and tree.calls(part.key.node, "keep")
        ):
            return True
        nodes = [part.problem.node, part.key.node, *(slip.value.node for slip in part.slips)]
        return not part.unknowns and any(not self.numeric.issuperset(tree.names(node)) for node in nodes)

    def _slip(
        self,
        number: int,
        index: int,
        slip: SlipTemplate,
        answer: Answer,
        part: PartTemplate,
        known: dict[str, tree.Node],
    ) -> SlipRecipe:
        function, lines = f"slip_{number}_{index}", self._lines_of(slip, part)
        leaves: Sequence[Leaf] = answer.leaves
        plan: Plan | None = None
        if answer.kind == "expression":
            plan = self._plan(slip.value, known)
            leaves = (*leaves, *plan.leaves)
        if slip.when is not None:
            self.code.condition_function(f"when_{number}_{index}", [tree.substitute(slip.when.node, known)])
        if answer.explicit:
            self.code.forms_function(function, leaves)
        apart, shown = "", _Leaves()
        made = tuple(self._as_line(line, known, shown) for line in lines)
        if made:
            apart = f"apart_{number}_{index}"
            self.code.forms_function(apart, shown.listed)
        return SlipRecipe(
            slip,
            answer,
            function,
            self._text(slip.pupil),
            self._text(slip.teacher),
            plan,
            part.domain is not None
            and answer.kind in {"set", "points"}
            and not _is_explicit(slip.value.node, part)
            and not (answer.leaves and says_whole(answer.leaves[0].source)),
            made,
            apart,
        )

    def _lines_of(self, slip: SlipTemplate, part: PartTemplate) -> tuple[LineTemplate, ...]:
        """What a slip shows as written: an option beside right ones written out, the lines from a wrong one on."""
        if slip.is_change:

            def change(node: tree.Node) -> tree.Node:
                return changed(self.template, slip, node)

            lines = tuple(_changed_line(line, change) for line in part.solution[slip.at - 1 :])
            if lines[0].maths == part.solution[slip.at - 1].maths:
                raise InputError(
                    _told(
                        self.template,
                        "nothing-changed",
                        f"line {slip.at} of the solution does not speak of what is changed"
                        if slip.change
                        else f"line {slip.at} of the solution has no sign of an inequality to be turned",
                        slip.change[0][1] if slip.change else slip.value,
                    )
                )
            return lines
        if isinstance(part.response.more, ChoicesTemplate) and part.response.more.right:
            return (LineTemplate("main", None, slip.value, (), slip.span),)
        return ()

    def _as_line(self, line: LineTemplate, known: dict[str, tree.Node], leaves: _Leaves) -> LineRecipe:
        assert line.maths is not None
        return LineRecipe(
            line.kind, self._text(line.say, leaves), self._shown(line.maths, known, leaves=leaves)
        )

    def _line(self, number: int, part: PartTemplate, index: int, known: dict[str, tree.Node]) -> LineRecipe:
        line = part.solution[index]
        leaves = self.leaves if line.when is None else _Leaves()
        maths: Shown | None = None
        if line.maths is not None and line.maths.node == NO_SOLUTION:
            plan = solution_plan(NO_SOLUTION, part.unknowns[0] if part.unknowns else "x")
            maths = Shown(plan, tuple(leaves.number(leaf) for leaf in plan.leaves))
        elif line.maths is not None:
            maths = self._shown(line.maths, known, leaves=leaves)
        say = self._text(line.say, leaves)
        forms = ""
        if line.when is not None:
            forms = f"line_{number}_{index}"
            self.code.forms_function(forms, leaves.listed)
        return LineRecipe(line.kind, say, maths, _figure(line.figure, known), forms)

    def _words(self, number: int, part: PartTemplate, known: dict[str, tree.Node]) -> None:
        """One function for each row: is it right for the value given as (numerator, denominator)?"""
        name = part.unknowns[0] if part.unknowns else ""
        for index, row in enumerate(part.response.words):
            node = tree.substitute(row.when.node, known)
            self.code.row_function(f"row_{number}_{index}", node, name)


def _bracket_letter(part: PartTemplate) -> str:
    """The letter of an expression that is taken apart into brackets, "" for every other part."""
    return next((blank.letter for blank in part.response.blanks if blank.letter), "")


def _has_scale(key: tree.Node, letter: str) -> bool:
    """Whether a number may stand before the brackets: unless the key is written as brackets alone."""
    factors = key.factors if isinstance(key, tree.Product) else (key,)
    return any(isinstance(each, tree.Call) or letter not in tree.names(each) for each in factors)


def _is_condition_only(node: tree.Node) -> bool:
    """Whether a tree is of the kind that stands in conditions only."""
    return isinstance(node, tree.Not) or (isinstance(node, tree.Call) and node.function in PROPERTY_NAMES)


def _without_display_words(node: tree.Node, letters: set[str]) -> tree.Node:
    """The same mathematics where `surd` and `value` would have to work out what depends on letters."""

    def plain(part: tree.Node) -> tree.Node | None:
        if not isinstance(part, tree.Call) or part.function not in {"surd", "value"}:
            return None
        if not letters & set(tree.names(part)):
            return None
        inner = tree.transform(part.arguments[0], plain)
        return tree.Call("sqrt", (inner,)) if part.function == "surd" else inner

    return tree.transform(node, plain)


def follows_through(part: PartTemplate) -> bool:
    """Whether a blank of the part has a mark that follows through."""
    return any(mark.follow_through for blank in part.response.blanks for mark in blank.marks)


def _figure(figure: FigureTemplate | None, known: dict[str, tree.Node]) -> FigureRecipe | None:
    if figure is None:
        return None
    numbers = tuple(tree.substitute(number.node, known) for number in figure.numbers)
    return FigureRecipe(figure, tree.substitute(figure.of.node, known), numbers)


def _changed_line(line: LineTemplate, change: Callable[[tree.Node], tree.Node]) -> LineTemplate:
    """A line of the solution with something changed in its mathematics, that of its words too."""

    def of(expression: Expression) -> Expression:
        return replace(expression, node=change(expression.node))

    say = line.say
    if say is not None:
        say = replace(say, holes=tuple(of(h) if isinstance(h, Expression) else h for h in say.holes))
    return replace(line, say=say, maths=of(line.maths) if line.maths is not None else None)


def _within_whole_numbers(part: PartTemplate, node: tree.Node) -> tree.Node:
    """An answer that is told by inequalities, where only whole numbers are meant: within the domain."""
    if part.domain is None or not says_whole(part.domain.node) or not is_inequality(node):
        return node
    domain = part.domain.node
    return tree.And((node, *(domain.parts if isinstance(domain, tree.And) else (domain,))))


def _lists_whole_numbers(part: PartTemplate) -> bool:
    """Whether answers are lists: the whole numbers that fulfil an inequality, or that the key tells by one."""
    whole = part.domain is not None and says_whole(part.domain.node)
    asked = (part.problem.node, *([part.key.node] if part.key is not None else []))
    return whole and len(part.unknowns) == 1 and any(map(is_inequality, asked))


def _is_explicit(node: tree.Node, part: PartTemplate) -> bool:
    """Whether a statement says the only unknown's values outright: `x = 3`, `x = 1 or x = 2`."""
    branches = node.parts if isinstance(node, tree.Or) else (node,)
    return all(explicit_values(branch, part.unknowns) is not None for branch in branches)


def _slots(part: PartTemplate) -> int:
    """How many values an unknown can have, as far as the key's shape tells."""
    if has_points(part):
        said = explicit_points(part.key.node, part.unknowns) if part.key is not None else None
        return len(said) if said is not None else 2
    if len(part.unknowns) != 1:
        return 1
    if boxes := max((blank.boxes for blank in part.response.blanks), default=0):
        return boxes
    if part.key is None:
        return 2
    node = part.key.node
    if isinstance(node, tree.Or):
        return len(node.parts)
    if tree.has_plus_minus(node):
        return 2
    explicit = (
        isinstance(node, tree.Relation)
        and isinstance(node.operands[0], tree.Name)
        and not (set(tree.names(node.operands[1])) & set(part.unknowns))
    )
    return 1 if explicit else 2


def main_letter(template: Template, part: PartTemplate) -> str:
    """The letter in which discriminants are taken: one of the identity, a free letter, or the only unknown.

    Of several the first that the problem speaks of.
    """
    named = tree.names(part.problem.node)
    for names in (part.for_every, template.letters, part.unknowns):
        if names:
            return next((name for name in names if name in named), names[0])
    return ""


def number_node(value: int | Fraction) -> tree.Node:
    """The tree of a fixed number."""
    size: tree.Node = tree.Number(Fraction(abs(value.numerator)))
    if value.denominator != 1:
        size = tree.Quotient(size, tree.Number(Fraction(value.denominator)))
    return size if value >= 0 else tree.Negation(size)


def _told(template: Template, code: str, message: str, expression: Expression, hint: str = "") -> Diagnostic:
    span = expression.span()
    return Diagnostic(code, message, span, excerpt=template.excerpt(span), hint=hint)


def _hint_for_curve(part: PartTemplate) -> str:
    """What to do where the equation of a line or a curve is the answer; "" for other problems."""
    if len(part.unknowns) != 2 or part.for_every or isinstance(part.problem.node, tree.And):
        return ""
    x, y = part.unknowns
    return (
        f"an equation of a line is asked for with `unknowns: [{y}]` and `in_terms_of: [{x}]`; one of another curve as "
        f"the expression that is 0 on it, with `letters: [{x}, {y}]` and no unknowns, or by its numbers: "
        f"`unknowns: [r]` and $({x} - h)^2 + ({y} - k)^2 = r$ in the stem"
    )
