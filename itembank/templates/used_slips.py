"""The slips a template uses: from the bank's slip file, with their letters bound, or with a value of their own."""

from __future__ import annotations

from dataclasses import replace

from itembank.errors import Span
from itembank.expressions import tree
from itembank.expressions.vocabulary import nearest
from itembank.templates import model
from itembank.templates.conditions import check_relations
from itembank.templates.context import PartContext, stray_slip_keys
from itembank.templates.languages import own_language
from itembank.templates.reading import at, key_span
from itembank.templates.slips import ANY_SLIP_MAY_SPEAK_OF, CatalogueSlip, name_in_words
from itembank.templates.template import (
    NO_SOLUTION,
    Expression,
    LineTemplate,
    SlipTemplate,
    TextTemplate,
    Words,
)
from itembank.templates.wrong_line import read_change
from itembank.yaml_source import Scalar


class SlipReader:
    """Reads the slips of a part; `used` collects the entries of the slip file that were taken.

    solution: the lines of the worked solution, in which a wrong line stands.
    """

    def __init__(self, context: PartContext, solution: tuple[LineTemplate, ...] = ()) -> None:
        self.context = context
        self.solution = solution
        self.scope = context.scope
        self.findings = context.scope.findings
        self.catalogue = context.catalogue
        self.shape = context.shape
        self.path = context.path
        self.unknowns = context.unknowns
        self.names = context.names
        self.signs = context.signs
        self.used: list[CatalogueSlip] = []

    def slip(self, index: int) -> SlipTemplate | None:
        """The slip at a place of the list; None where it is wrong."""
        shape = self.shape.slips[index]
        path = (*self.path, "slips", index)
        node = at(self.scope.root, path)
        span = node.span
        stray_slip_keys(self.context, index)
        entry = self.catalogue.get(shape.slip)
        if entry is None:
            near = nearest(shape.slip, self.catalogue)
            hint = f"nearest known slip: {near}" if near else "add it to slips.yaml"
            is_changed = self.shape.response.kind == "wrong-line" and (shape.change or shape.turned)
            if shape.value is None and shape.at is None and not is_changed:
                own = "at: 2, change: {h: -h}" if self.shape.response.kind == "wrong-line" else "value: ..."
                self.findings.add(
                    "unknown-slip",
                    f"`{shape.slip}` is no slip of this bank's slip file",
                    span,
                    hint=f"{hint}, or say here what it leads to: {own}",
                )
                return None
            if self.catalogue and shape.pupil is None and shape.teacher is None:
                self.findings.doubt(
                    "slip-without-sentences",
                    f"`{shape.slip}` is not in the bank's slip file, so it has no sentences",
                    span,
                    hint=hint if near else f"{hint}, or write `pupil:` and `teacher:` here",
                )
        else:
            self.used.append(entry)
        when = self._when(path) if shape.when is not None else None
        bound = self._bound(shape, entry, path, span)
        if bound is None:
            return None
        change: tuple[tuple[str, Expression], ...] = ()
        if self.shape.response.kind == "wrong-line":
            changed = read_change(self.context, self.solution, index, span)
            value, change = changed if changed is not None else (None, ())
        else:
            value = self._slip_value(shape, entry, path, span, bound)
        kept = entry.sentences(self.scope.language) if entry else (None, None)
        pupil = self._sentence("pupil", shape.pupil, kept[0], path, bound)
        teacher = self._sentence("teacher", shape.teacher, kept[1], path, bound)
        if value is None or (shape.when is not None and when is None):
            return None
        language = self.scope.language
        title = (
            entry.title(language)
            if entry
            else name_in_words(shape.slip, own_language(self.scope.root), language)
        )
        return SlipTemplate(
            shape.slip, value, when, pupil, teacher, span, shape.at or 0, change, bool(shape.turned), title
        )

    def _sentence(
        self,
        key: str,
        own: str | None,
        known: TextTemplate | None,
        path: tuple[str | int, ...],
        bound: dict[str, tree.Node],
    ) -> TextTemplate | None:
        """The template's own sentence, else the slip file's with the letters of this place."""
        if own is not None:
            return self.scope.text_at((*path, key), self.names)
        if known is None:
            return None
        self._check_senses(known, path, bound)
        return _bound_text(known, bound)

    def _check_senses(
        self, text: TextTemplate, path: tuple[str | int, ...], bound: dict[str, tree.Node]
    ) -> None:
        """A letter of a sentence that is not the slip's own stays a letter: nothing put in may be called the same."""
        holes = [hole for hole in text.holes if isinstance(hole, Expression)]
        spoken = {name for hole in holes for name in tree.names(hole.node)}
        given = {name: own for own in bound.keys() & spoken for name in tree.names(bound[own])}
        for name in sorted((spoken & set(self.names.numeric)) - bound.keys() - set(ANY_SLIP_MAY_SPEAK_OF)):
            self.findings.doubt(
                "letter-not-taken",
                f"a sentence of this slip speaks of `{name}`, which it does not take: pupils read the letter, not the "
                "number of this template",
                at(self.scope.root, path).span,
                hint=f"add it in the slip file: takes: [{name}]",
            )
        for hole in holes:
            for name in sorted(given.keys() & (set(tree.names(hole.node)) - bound.keys())):
                own = given[name]
                place = (*path, "with", own) if own in (self.shape.slips[int(path[-1])].with_ or {}) else path
                self.findings.add(
                    "letter-in-two-senses",
                    f"a sentence of this slip speaks of a letter `{name}`, and `{own}` in it is here this template's "
                    f"`{name}`: the two would look alike",
                    at(self.scope.root, place).span,
                    hint=f"name the letter otherwise in the slip file, or what `{own}` is in this template",
                    related=(hole.span(), f"the letter `{name}`"),
                )
                return

    def _slip_value(
        self,
        shape: model.SlipShape,
        entry: CatalogueSlip | None,
        path: tuple[str | int, ...],
        span: Span,
        bound: dict[str, tree.Node],
    ) -> Expression | None:
        if shape.value is not None:
            given = at(self.scope.root, (*path, "value"))
            if self.unknowns and isinstance(given, Scalar) and given.text.strip() == "none":
                return Expression(NO_SOLUTION, "none", given)
            value = self.scope.expression_at((*path, "value"), self.names)
            return value if value is not None and self._fits(value) else None
        if entry is None or entry.value is None:
            self.findings.add(
                "slip-without-value",
                f"the slip file gives no value for `{shape.slip}`",
                span,
                hint="give one here: value: ...",
            )
            return None
        if entry.value.node == NO_SOLUTION:
            if self.unknowns:
                return entry.value
            self.findings.add("expression-needed", "the problem is an expression, and so are its slips", span)
            return None
        node = tree.substitute(entry.value.node, bound)
        source = at(self.scope.root, (*path, "slip"))
        value = Expression(
            _placed(node), entry.value.text, source if isinstance(source, Scalar) else entry.value.source
        )
        return value if self._fits(value) else None

    def _when(self, path: tuple[str | int, ...]) -> Expression | None:
        """The condition under which a slip is offered: about values, not about the unknowns."""
        names = replace(self.names, letters={*self.names.letters, *self.names.unknowns}, unknowns=set())
        return self.scope.expression_at((*path, "when"), names, conditions=True)

    def _fits(self, value: Expression) -> bool:
        """Whether a slip's value is of the kind of the key: equations in the unknowns, else an expression."""
        if self.unknowns:
            return check_relations(value, "a slip is a value or a wrong equation", self.findings, self.signs)
        if tree.is_statement(value.node):
            self.findings.add(
                "expression-needed", "the problem is an expression, and so are its slips", value.span()
            )
            return False
        return True

    def _bound(
        self, shape: model.SlipShape, entry: CatalogueSlip | None, path: tuple[str | int, ...], span: Span
    ) -> dict[str, tree.Node] | None:
        """What the slip's own letters stand for here."""
        bound: dict[str, tree.Node] = {}
        if entry is None:
            if shape.with_:
                self.findings.doubt(
                    "unused",
                    f"`with` says what letters of the slip file stand for, and `{shape.slip}` is not in it",
                    key_span(self.scope.root, (*path, "with")),
                    hint="take it out: the value here speaks of this template's letters",
                )
            return bound
        given = shape.with_ or {}
        for name in given:
            if name not in entry.takes:
                self.findings.add(
                    "unknown-name",
                    f"`{shape.slip}` takes no `{name}`",
                    key_span(self.scope.root, (*path, "with", name)),
                    hint=f"it takes: {', '.join(entry.takes)}",
                )
        for letter in entry.takes:
            if letter in given:
                expression = self.scope.expression_at((*path, "with", letter), self.names)
                if expression is None:
                    return None
                if tree.is_statement(expression.node) or tree.has_plus_minus(expression.node):
                    self.findings.add(
                        "number-needed",
                        f"`{letter}` must be one number",
                        expression.span(),
                        hint="leave out =, < and ±",
                    )
                    return None
                bound[letter] = expression.node
            elif letter in self.names.all:
                bound[letter] = tree.Name(letter)
                self.scope.used.add(letter)
            elif shape.value is None and shape.at is None:
                self.findings.add(
                    "slip-needs-letter",
                    f"`{shape.slip}` needs a value for `{letter}`",
                    span,
                    hint=f"write with: {{{letter}: ...}}",
                )
                return None
        for formal, actual in zip(entry.unknowns, self.unknowns, strict=False):
            bound[formal] = tree.Name(actual)
        if len(entry.unknowns) > len(self.unknowns) and shape.value is None and shape.at is None:
            self.findings.add(
                "slip-needs-unknowns", f"`{shape.slip}` speaks of {len(entry.unknowns)} unknowns", span
            )
            return None
        return bound


def _bound_text(text: TextTemplate, bound: dict[str, tree.Node]) -> TextTemplate:
    """A sentence of the slip file with this template's expressions put in; its other letters stay letters."""
    free: set[str] = set()
    holes: list[Expression | Words] = []
    for hole in text.holes:
        if isinstance(hole, Expression):
            free |= set(tree.names(hole.node)) - set(bound)
            hole = replace(hole, node=_placed(tree.substitute(hole.node, bound)))
        holes.append(hole)
    return replace(text, holes=tuple(holes), free=frozenset(free))


def _placed(node: tree.Node) -> tree.Node:
    """A tree of the slip file used here: its places point nowhere in this file, so they are dropped."""
    parts = tuple(_placed(part) for part in tree.children(node))
    return replace(tree.rebuild(node, parts), place=tree.NOWHERE)
