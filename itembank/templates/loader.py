"""From a template file to a `Template`: shape, then expressions, then names; every mistake told at its place."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from itembank.errors import Diagnostic, InputError, Span
from itembank.expressions import tree
from itembank.expressions.parser import ExpressionError, parse
from itembank.expressions.vocabulary import FUNCTIONS, PROPERTY_NAMES, nearest
from itembank.items import About, Mark
from itembank.templates import model
from itembank.templates.parameters import number, parameter
from itembank.templates.reading import Findings, at, key_span, validated
from itembank.templates.slips import Catalogue, CatalogueSlip
from itembank.templates.template import (
    NO_SOLUTION,
    BlankTemplate,
    Derived,
    Expression,
    LineTemplate,
    Parameter,
    PartTemplate,
    ResponseTemplate,
    SlipTemplate,
    Template,
    TextTemplate,
    WordRow,
    Words,
)
from itembank.templates.text import UnclosedMaths, split_maths, text_shape
from itembank.yaml_source import Document, Scalar, load

RESERVED = {"problem", "none", "and", "or", "not"}


@dataclass(frozen=True, slots=True)
class Loaded:
    """A template and what is doubtful about it."""

    template: Template
    doubts: tuple[Diagnostic, ...]


def load_template(path: Path, shown_as: str, catalogue: Catalogue) -> Loaded:
    """The template of a file. Raises InputError with everything that is wrong, and the doubts with it."""
    document = load(path, shown_as)
    return read_template(document, catalogue)


def read_template(document: Document, catalogue: Catalogue) -> Loaded:
    """The same from a document already read."""
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    root = document.root
    has_parts = hasattr(root, "get") and root.get("parts") is not None
    shape: model.TemplateShape | model.PartsTemplateShape | None
    if has_parts:
        shape = validated(root, model.PartsTemplateShape, findings)
    else:
        shape = validated(root, model.TemplateShape, findings)
    if shape is None:
        raise InputError(findings.diagnostics)
    template = _Loader(document, shape, catalogue, findings).template()
    if findings.wrong or template is None:
        raise InputError(findings.diagnostics)
    return Loaded(template, tuple(findings.diagnostics))


class _Loader:
    def __init__(
        self,
        document: Document,
        shape: model.TemplateShape | model.PartsTemplateShape,
        catalogue: Catalogue,
        findings: Findings,
    ) -> None:
        self.root = document.root
        self.source = document.source
        self.shape = shape
        self.catalogue = catalogue
        self.findings = findings
        self.numeric: set[str] = set()
        self.decimal: set[str] = set()
        self.rows: dict[str, Parameter] = {}
        self.used: set[str] = set()
        self.used_slips: list[CatalogueSlip] = []

    def template(self) -> Template | None:
        shape = self.shape
        parameters = [parameter(name, p, self.root, self.findings) for name, p in shape.parameters.items()]
        kept = tuple(p for p in parameters if p is not None)
        self.numeric = {p.name for p in kept if not p.rows} | set(shape.derived)
        self.numeric |= {name for name, p in shape.parameters.items() if p.rows is None}
        self.rows = {p.name: p for p in kept if p.rows}
        self._check_names()
        derived = self._derived()
        part_shapes = shape.parts if isinstance(shape, model.PartsTemplateShape) else [shape]
        base: tuple[str | int, ...] = ("parts",) if isinstance(shape, model.PartsTemplateShape) else ()
        parts: list[PartTemplate | None] = []
        earlier: set[str] = set()
        for index, part_shape in enumerate(part_shapes):
            path = (*base, index) if base else ()
            label = "" if len(part_shapes) == 1 else "abcdefghijklmnopqrstuvwxyz"[index]
            reader = _PartReader(self, part_shape, path, label, earlier)
            parts.append(reader.part())
            earlier |= set(reader.unknowns)
        context = _Names(
            self.numeric,
            _part_letters(part_shapes[0], shape),
            set(),
            parts[0].problem.node if parts[0] else None,
        )
        constraints = self._conditions(shape.constraints, ("constraints",), context)
        guarantees = self._conditions(shape.guarantees, ("guarantees",), context)
        bands = tuple(
            (name, self._conditions(texts, ("bands", name), context)) for name, texts in shape.bands.items()
        )
        self._check_unused()
        if self.findings.wrong or any(part is None for part in parts):
            return None
        about = About(
            shape.title,
            shape.language,
            tuple(shape.topics),
            tuple(shape.curriculum),
            shape.level,
            shape.demand,
            shape.calculator,
            shape.minutes,
        )
        return Template(
            shape.template,
            shape.version,
            about,
            kept,
            derived,
            constraints,
            guarantees,
            bands,
            tuple(shape.letters),
            tuple(part for part in parts if part is not None),
            self.source.path,
            self._digest(),
            self.source.lines,
        )

    def _digest(self) -> str:
        """Of the parsed content, without the version number, and of the slips used."""
        content = self.shape.model_dump(by_alias=True, exclude={"version"})
        slips = [slip.content for slip in sorted(self.used_slips, key=lambda slip: slip.name)]
        text = json.dumps([content, slips], sort_keys=True, ensure_ascii=False, default=str)
        return hashlib.blake2b(text.encode(), digest_size=16).hexdigest()

    def _check_names(self) -> None:
        shape = self.shape
        places: dict[str, tuple[str, Span]] = {}
        groups: list[tuple[str, Collection[str], tuple[str | int, ...]]] = [
            ("parameter", shape.parameters, ("parameters",)),
            ("derived value", shape.derived, ("derived",)),
            ("letter", shape.letters, ("letters",)),
            ("unknown", shape.unknowns, ("unknowns",)),
            ("letter of `for_every`", shape.for_every, ("for_every",)),
        ]
        for kind, names, path in groups:
            for index, name in enumerate(names):
                node = at(self.root, path)
                items = getattr(node, "items", None)
                span = items[index].span if isinstance(items, tuple) else key_span(self.root, (*path, name))
                if name in RESERVED or name in FUNCTIONS:
                    self.findings.add(
                        "reserved-name",
                        f"`{name}` has a meaning of its own",
                        span,
                        hint="choose another letter",
                    )
                elif name in places:
                    before, where = places[name]
                    self.findings.add(
                        "shadowed-name",
                        f"`{name}` is a {kind} and a {before}",
                        span,
                        hint="give one of them another letter",
                        related=(where, "the other one"),
                    )
                else:
                    places[name] = (kind, span)

    def _derived(self) -> tuple[Derived, ...]:
        parsed: dict[str, Derived] = {}
        names = _Names(self.numeric, set(self.shape.letters), set(), None)
        for name in self.shape.derived:
            expression = self.expression_at(("derived", name), names)
            if expression is None:
                continue
            if tree.is_statement(expression.node) or tree.has_plus_minus(expression.node):
                self.findings.add(
                    "number-needed",
                    f"`{name}` must be one number",
                    expression.span(),
                    hint="leave out =, < and ±",
                )
                continue
            parsed[name] = Derived(name, expression, key_span(self.root, ("derived", name)))
        ordered: list[Derived] = []
        done: set[str] = set()

        def visit(name: str, trail: tuple[str, ...]) -> None:
            if name in done or name not in parsed:
                return
            if name in trail:
                cycle = " -> ".join((*trail[trail.index(name) :], name))
                self.findings.add(
                    "cycle",
                    f"`{name}` is worked out from itself: {cycle}",
                    parsed[name].span,
                    hint="break the circle",
                )
                done.add(name)
                return
            for other in tree.names(parsed[name].expression.node):
                visit(other, (*trail, name))
            if name not in done:
                done.add(name)
                ordered.append(parsed[name])

        for name in parsed:
            visit(name, ())
        return tuple(ordered)

    def _conditions(
        self, texts: list[str], path: tuple[str | int, ...], names: _Names
    ) -> tuple[Expression, ...]:
        found: list[Expression] = []
        node = at(self.root, path)
        for index in range(len(texts)):
            here = path if isinstance(node, Scalar) else (*path, index)
            expression = self.expression_at(here, names, conditions=True)
            if expression is None:
                continue
            if not tree.is_statement(expression.node) and not (
                isinstance(expression.node, tree.Call) and expression.node.function in PROPERTY_NAMES
            ):
                self.findings.add(
                    "statement-needed",
                    "this is a number, not something true or false",
                    expression.span(),
                    hint="write a relation (b != 0) or a property (is_square(k))",
                )
                continue
            found.append(expression)
        return tuple(found)

    # expressions

    def expression_at(
        self, path: tuple[str | int, ...], names: _Names, *, conditions: bool = False
    ) -> Expression | None:
        """The expression of the scalar at a path, its names checked."""
        node = at(self.root, path)
        if not isinstance(node, Scalar):
            return None
        return self.expression(node, 0, node.text, names, conditions=conditions)

    def expression(
        self, source: Scalar, offset: int, text: str, names: _Names, *, conditions: bool = False
    ) -> Expression | None:
        """The expression of a stretch of a scalar."""
        try:
            node = parse(text)
        except ExpressionError as wrong:
            start = min(offset + wrong.start, max(len(source.text) - 1, 0))
            length = min(wrong.end - wrong.start, len(source.text) - start)
            self.findings.add(wrong.code, wrong.message, source.place(start, max(length, 0)), hint=wrong.hint)
            return None
        written = Expression(node, text, source, offset)
        ok = True
        for part in tree.walk(node):
            if isinstance(part, tree.Name) and not self._known(part, names, written):
                ok = False
            if isinstance(part, tree.Call) and part.function in PROPERTY_NAMES and not conditions:
                self.findings.add(
                    "property-shown",
                    f"`{part.function}` is true or false and cannot stand here",
                    written.span(part),
                )
                ok = False
        if not ok:
            return None
        problem = names.problem
        if problem is not None and "problem" in tree.names(node):
            whole = tree.transform(
                node, lambda p: problem if isinstance(p, tree.Name) and p.name == "problem" else None
            )
            return Expression(whole, text, source, offset, node)
        return Expression(node, text, source, offset)

    def _known(self, part: tree.Name, names: _Names, written: Expression) -> bool:
        name = part.name
        self.used.add(name)
        if name == "problem" and names.problem is not None:
            return True
        if name in names.all:
            return True
        if name in self.rows:
            self.findings.add(
                "words-in-maths",
                f"`{name}` holds words, no numbers",
                written.span(part),
                hint=f"write ${name}.column$ in a text",
            )
            return False
        known = sorted(names.all)
        near = nearest(name, known)
        hint = f"known here: {', '.join(known)}" + (f". Nearest: {near}" if near else "")
        if len(name) > 1 and all(letter in names.all for letter in name):
            hint = f"for a product write {'*'.join(name)}. {hint}"
        self.findings.add(
            "unknown-name",
            f"`{name}` is no parameter, derived value or unknown of this template",
            written.span(part),
            hint=hint,
        )
        return False

    # texts

    def text_at(self, path: tuple[str | int, ...], names: _Names) -> TextTemplate | None:
        """The text of the scalar at a path."""
        node = at(self.root, path)
        return self.text(node, names) if isinstance(node, Scalar) else None

    def text(self, source: Scalar, names: _Names) -> TextTemplate | None:
        """A text with its maths parsed."""
        try:
            shown, pieces = split_maths(source.text)
        except UnclosedMaths as unclosed:
            self.findings.add(
                "unclosed-maths",
                "this $ has no partner",
                source.place(unclosed.offset, 1),
                hint="close the maths with $; write \\$ for money",
            )
            return None
        if not source.text.strip():
            self.findings.add("empty-text", "a text is missing here", source.span)
            return None
        holes: list[Expression | Words] = []
        for offset, text in pieces:
            words = self._words(source, offset, text)
            if words is False:
                return None
            if words is not None and words is not True:
                holes.append(words)
                continue
            expression = self.expression(source, offset, text, names)
            if expression is None:
                return None
            holes.append(expression)
        return TextTemplate(text_shape(shown, len(holes)), tuple(holes), source)

    def _words(self, source: Scalar, offset: int, text: str) -> Words | bool | None:
        name, dot, column = text.strip().partition(".")
        if not dot or name not in self.rows:
            return None
        self.used.add(name)
        columns = self.rows[name].rows[0]
        if column not in columns:
            self.findings.add(
                "unknown-column",
                f"`{name}` has no column `{column}`",
                source.place(offset, len(text)),
                hint=f"its columns: {', '.join(columns)}",
            )
            return False
        return Words(name, column)

    def _check_unused(self) -> None:
        for kind, names in (
            ("parameters", self.shape.parameters),
            ("derived", self.shape.derived),
            ("letters", self.shape.letters),
        ):
            for index, name in enumerate(names):
                if name in self.used:
                    continue
                node = at(self.root, (kind,))
                items = getattr(node, "items", None)
                span = items[index].span if isinstance(items, tuple) else key_span(self.root, (kind, name))
                word = {"parameters": "parameter", "derived": "derived value", "letters": "letter"}[kind]
                self.findings.doubt(
                    "unused", f"the {word} `{name}` is never used", span, hint="use it, or take it out"
                )


@dataclass(frozen=True, slots=True)
class _Names:
    """What may be named at a place."""

    numeric: Collection[str]
    letters: Collection[str]
    unknowns: Collection[str]
    problem: tree.Node | None

    @property
    def all(self) -> set[str]:
        return {*self.numeric, *self.letters, *self.unknowns} | (
            {"problem"} if self.problem is not None else set()
        )


def _part_letters(part: model.PartShape, shape: model.TemplateShape | model.PartsTemplateShape) -> set[str]:
    return {*shape.letters, *shape.unknowns, *shape.for_every, *part.unknowns, *part.for_every}


class _PartReader:
    def __init__(
        self,
        loader: _Loader,
        shape: model.PartShape,
        path: tuple[str | int, ...],
        label: str,
        earlier: set[str],
    ) -> None:
        self.loader = loader
        self.findings = loader.findings
        self.shape = shape
        self.path = path
        self.label = label
        own = shape.unknowns or {}
        shared = loader.shape.unknowns if loader.shape is not shape and not own else {}
        self.domains = {**shared, **own}
        self.unknowns = tuple(self.domains)
        self.for_every = tuple(shape.for_every or loader.shape.for_every)
        self.letters = {*loader.shape.letters, *self.for_every}
        self.names = _Names(loader.numeric, self.letters, {*self.unknowns, *earlier}, None)

    def part(self) -> PartTemplate | None:
        problem = self.loader.expression_at((*self.path, "problem"), self.names)
        if problem is None:
            return None
        self.names = _Names(self.loader.numeric, self.letters, self.names.unknowns, problem.node)
        kind = "identity" if self.for_every and self.unknowns else "solve" if self.unknowns else "rewrite"
        self._check_problem(kind, problem)
        stem = self.loader.text_at((*self.path, "stem"), self.names)
        key, key_span_ = self._key(kind)
        response = self._response(kind)
        slips = tuple(s for i in range(len(self.shape.slips)) if (s := self._slip(i)) is not None)
        solution = tuple(line for i in range(len(self.shape.solution)) if (line := self._line(i)) is not None)
        self._check_marks(response, solution)
        if stem is None or response is None:
            return None
        return PartTemplate(
            self.label,
            kind,
            self.unknowns,
            self._domain(),
            self.for_every,
            problem,
            stem,
            response,
            key,
            key_span_,
            slips,
            solution,
        )

    def _check_problem(self, kind: str, problem: Expression) -> None:
        statement = tree.is_statement(problem.node)
        if kind == "rewrite" and statement:
            self.findings.add(
                "unknowns-missing",
                "the problem is a statement, but no unknown is to be found",
                problem.span(),
                hint="add `unknowns: [x]`",
            )
        if kind != "rewrite" and not statement:
            self.findings.add(
                "statement-needed",
                "a problem with unknowns is an equation",
                problem.span(),
                hint="write it with =, or leave `unknowns` out",
            )
        for part in tree.walk(problem.node):
            if isinstance(part, tree.Relation) and any(
                op in {"<", "<=", ">", ">=", "!=", "≈"} for op in part.operators
            ):
                self.findings.add(
                    "not-an-equation",
                    "problems are equations in this version",
                    problem.span(part),
                    hint="write it with =",
                )
        named = set(tree.names(problem.node))
        for unknown in self.unknowns:
            if unknown not in named:
                self.findings.add(
                    "unknown-not-in-problem",
                    f"the problem does not speak of `{unknown}`",
                    problem.span(),
                    hint="name it in the problem, or take it out of `unknowns`",
                )

    def _domain(self) -> Expression | None:
        found: list[Expression] = []
        for name, text in self.domains.items():
            if text is None:
                continue
            path = (*self.path, "unknowns", name)
            expression = self.loader.expression_at(path, self.names)
            if expression is not None:
                found.append(expression)
        if not found:
            return None
        if len(found) == 1:
            return found[0]
        node = tree.And(tuple(part.node for part in found))
        return Expression(node, " and ".join(part.text for part in found), found[0].source)

    def _key(self, kind: str) -> tuple[Expression | None, Span]:
        path = (*self.path, "key")
        node = at(self.loader.root, path)
        if isinstance(node, Scalar) and node.text.strip() == "none":
            return None, node.span
        key = self.loader.expression_at(path, self.names)
        if key is not None:
            if kind == "rewrite" and tree.is_statement(key.node):
                self.findings.add(
                    "expression-needed", "the key of an expression is an expression", key.span()
                )
            if kind != "rewrite" and not tree.is_statement(key.node):
                self.findings.add(
                    "statement-needed",
                    "the key says what the unknowns are",
                    key.span(),
                    hint=f"write {self.unknowns[0]} = ...",
                )
        return key, node.span

    def _response(self, kind: str) -> ResponseTemplate | None:
        shape = self.shape.response
        path = (*self.path, "response")
        span = key_span(self.loader.root, path)
        words: list[WordRow] = []
        for index, _row in enumerate(shape.words or []):
            text = self.loader.text_at((*path, "words", index, "text"), self.names)
            when = self.loader.expression_at((*path, "words", index, "when"), self.names, conditions=True)
            if text is not None and when is not None:
                words.append(WordRow(text, when))
        if shape.kind == "choice":
            if shape.blanks:
                self.findings.add(
                    "blanks-in-choice",
                    "a choice has no blanks",
                    key_span(self.loader.root, (*path, "blanks")),
                    hint="kind: entry",
                )
            if not shape.words and shape.options is None:
                self.findings.add(
                    "missing-key", "`options` is missing", span, hint="say how many options: options: 4"
                )
                return None
            if shape.options is not None and shape.options < 2:
                self.findings.add(
                    "too-few-options",
                    "a choice has at least 2 options",
                    at(self.loader.root, (*path, "options")).span,
                )
            if shape.words and len(shape.words) < 2:
                self.findings.add(
                    "too-few-options",
                    "a choice has at least 2 options",
                    key_span(self.loader.root, (*path, "words")),
                )
            return ResponseTemplate(
                "choice",
                shape.options or len(words),
                tuple(words),
                (),
                shape.marks or 1,
                False,
                shape.form or "",
                span,
            )
        if shape.options is not None or shape.words:
            self.findings.add("options-in-entry", "an entry has no options", span, hint="kind: choice")
        return self._entry(kind, shape, path, span)

    def _entry(
        self, kind: str, shape: model.ResponseShape, path: tuple[str | int, ...], span: Span
    ) -> ResponseTemplate | None:
        if not shape.blanks:
            self.findings.add(
                "missing-key", "`blanks` is missing", span, hint="write blanks: {x: {form: integer}}"
            )
            return None
        wanted = self.unknowns if kind != "rewrite" else ("answer",)
        for name in shape.blanks:
            if name not in wanted:
                self.findings.add(
                    "unknown-blank",
                    f"`{name}` is no unknown",
                    key_span(self.loader.root, (*path, "blanks", name)),
                    hint=f"a blank for each of: {', '.join(wanted)}",
                )
        blanks: list[BlankTemplate] = []
        for name, blank in shape.blanks.items():
            here = (*path, "blanks", name)
            tolerance = None
            if blank.tolerance is not None:
                tolerance = number(blank.tolerance)
                if tolerance is None or tolerance < 0:
                    self.findings.add(
                        "not-a-number",
                        f"`{blank.tolerance}` is no tolerance",
                        at(self.loader.root, (*here, "tolerance")).span,
                        hint="write 0.01",
                    )
            if blank.form == "decimal" and blank.places is None:
                self.findings.add(
                    "missing-key",
                    "`places` is missing",
                    key_span(self.loader.root, here),
                    hint="say how many: places: 2",
                )
            if blank.form != "decimal" and (blank.places is not None or blank.tolerance is not None):
                self.findings.add(
                    "places-without-decimal",
                    "only a decimal has places and a tolerance",
                    key_span(self.loader.root, here),
                    hint="form: decimal",
                )
            blanks.append(
                BlankTemplate(
                    "" if name == "answer" else name,
                    blank.form,
                    blank.values == "any-order",
                    blank.places or 0,
                    tolerance,
                    _marks(blank.marks),
                    blank.unit or "",
                    key_span(self.loader.root, here),
                )
            )
        total, shared = self._entry_marks(shape, blanks, span)
        if total is None:
            return None
        return ResponseTemplate("entry", 0, (), shared, total, shape.no_real_solution == "tick", "", span)

    def _entry_marks(
        self, shape: model.ResponseShape, blanks: list[BlankTemplate], span: Span
    ) -> tuple[int | None, tuple[BlankTemplate, ...]]:
        given = sum(mark.worth for blank in blanks for mark in blank.marks)
        in_lines = sum(mark.worth for line in self.shape.solution for mark in _marks(line.marks))
        total = shape.marks or given or in_lines or len(blanks)
        bare = [blank for blank in blanks if not blank.marks]
        if bare:
            left = total - given
            if left < len(bare) or left % len(bare):
                self.findings.add(
                    "marks-do-not-sum",
                    f"{total} marks cannot be shared evenly over the blanks",
                    span,
                    hint="say for each blank what it is worth: marks: B1",
                )
                return None, ()
            blanks = [b if b.marks else replace(b, marks=(Mark("B", left // len(bare)),)) for b in blanks]
        elif given != total:
            self.findings.add(
                "marks-do-not-sum",
                f"the blanks are worth {given}, the response {total}",
                span,
                hint="make the marks of the blanks sum to the total",
            )
            return None, ()
        return total, tuple(blanks)

    def _check_marks(self, response: ResponseTemplate | None, solution: tuple[LineTemplate, ...]) -> None:
        marked = [line for line in solution if line.marks]
        if response is None or not marked or response.kind == "choice":
            return
        total = sum(mark.worth for line in marked for mark in line.marks)
        if total != response.marks:
            self.findings.add(
                "marks-do-not-sum",
                f"the lines of the solution are worth {total}, the response {response.marks}",
                marked[-1].span,
                hint="make them equal",
                related=(response.span, "the response"),
            )

    def _slip(self, index: int) -> SlipTemplate | None:
        shape = self.shape.slips[index]
        path = (*self.path, "slips", index)
        node = at(self.loader.root, path)
        span = node.span
        entry = self.loader.catalogue.get(shape.slip)
        if entry is None:
            near = nearest(shape.slip, self.loader.catalogue)
            hint = f"nearest known slip: {near}" if near else "add it to slips.yaml"
            if shape.value is None:
                self.findings.add(
                    "unknown-slip", f"`{shape.slip}` is no slip of this bank's slip file", span, hint=hint
                )
                return None
            self.findings.doubt(
                "slip-without-sentences",
                f"`{shape.slip}` is not in the bank's slip file, so it has no sentences",
                span,
                hint=hint,
            )
        else:
            self.loader.used_slips.append(entry)
        when = self.loader.expression_at((*path, "when"), self.names, conditions=True) if shape.when else None
        bound = self._bound(shape, entry, path, span)
        if bound is None:
            return None
        value = self._slip_value(shape, entry, path, span, bound)
        if value is None:
            return None
        sentences = [_bound_text(text, bound) for text in ((entry.pupil, entry.teacher) if entry else ())]
        pupil, teacher = sentences or (None, None)
        return SlipTemplate(shape.slip, value, when, pupil, teacher, span)

    def _slip_value(
        self,
        shape: model.SlipShape,
        entry: CatalogueSlip | None,
        path: tuple[str | int, ...],
        span: Span,
        bound: dict[str, tree.Node],
    ) -> Expression | None:
        if shape.value is not None:
            return self.loader.expression_at((*path, "value"), self.names)
        if entry is None or entry.value is None:
            self.findings.add(
                "slip-without-value",
                f"the slip file gives no value for `{shape.slip}`",
                span,
                hint="give one here: value: ...",
            )
            return None
        node = tree.substitute(entry.value.node, bound)
        source = at(self.loader.root, (*path, "slip"))
        return Expression(
            _placed(node), entry.value.text, source if isinstance(source, Scalar) else entry.value.source
        )

    def _bound(
        self, shape: model.SlipShape, entry: CatalogueSlip | None, path: tuple[str | int, ...], span: Span
    ) -> dict[str, tree.Node] | None:
        """What the slip's own letters stand for here."""
        bound: dict[str, tree.Node] = {}
        if entry is None:
            return bound
        given = shape.with_ or {}
        for name in given:
            if name not in entry.takes:
                self.findings.add(
                    "unknown-name",
                    f"`{shape.slip}` takes no `{name}`",
                    key_span(self.loader.root, (*path, "with", name)),
                    hint=f"it takes: {', '.join(entry.takes)}",
                )
        for letter in entry.takes:
            if letter in given:
                expression = self.loader.expression_at((*path, "with", letter), self.names)
                if expression is None:
                    return None
                bound[letter] = expression.node
            elif letter in self.names.all:
                bound[letter] = tree.Name(letter)
                self.loader.used.add(letter)
            elif shape.value is None:
                self.findings.add(
                    "slip-needs-letter",
                    f"`{shape.slip}` needs a value for `{letter}`",
                    span,
                    hint=f"write with: {{{letter}: ...}}",
                )
                return None
        for formal, actual in zip(entry.unknowns, self.unknowns, strict=False):
            bound[formal] = tree.Name(actual)
        if len(entry.unknowns) > len(self.unknowns) and shape.value is None:
            self.findings.add(
                "slip-needs-unknowns", f"`{shape.slip}` speaks of {len(entry.unknowns)} unknowns", span
            )
            return None
        return bound

    def _line(self, index: int) -> LineTemplate | None:
        shape = self.shape.solution[index]
        path = (*self.path, "solution", index)
        span = at(self.loader.root, path).span
        given = [key for key in ("math", "aside", "let") if getattr(shape, key) is not None]
        if len(given) > 1:
            self.findings.add(
                "two-kinds-of-line",
                f"a line has `{given[0]}` or `{given[1]}`, not both",
                key_span(self.loader.root, (*path, given[1])),
            )
            return None
        if not given and shape.say is None and shape.rejects is None:
            self.findings.add(
                "empty-line",
                "a line of the solution says or shows something",
                span,
                hint="add `say:` or `math:`",
            )
            return None
        say = self.loader.text_at((*path, "say"), self.names) if shape.say else None
        if shape.rejects is not None:
            say = self.loader.text_at((*path, "rejects"), self.names)
        names = self.names
        if given and given[0] in {"aside", "let"}:
            names = _Names(
                names.numeric,
                {*names.letters, *_new_letters(getattr(shape, given[0]))},
                names.unknowns,
                names.problem,
            )
        maths = self._line_maths((*path, given[0]), names) if given else None
        if given and maths is None:
            return None
        kind = (
            "rejects"
            if shape.rejects is not None
            else {"math": "main"}.get(given[0], given[0])
            if given
            else "main"
        )
        if shape.figure is not None:
            self.findings.doubt(
                "figure-not-drawn",
                "figures are not drawn by this version",
                key_span(self.loader.root, (*path, "figure")),
            )
        return LineTemplate(kind, say, maths, _marks(shape.marks), span, shape.figure is not None)

    def _line_maths(self, path: tuple[str | int, ...], names: _Names) -> Expression | None:
        node = at(self.loader.root, path)
        if isinstance(node, Scalar) and node.text.strip() == "none":
            return Expression(NO_SOLUTION, "none", node)
        return self.loader.expression_at(path, names)


def _new_letters(text: str) -> set[str]:
    """Letters a `let` line may bring in: single ones on its left-hand side."""
    left = text.partition("=")[0].strip()
    return {left} if left.isalpha() and len(left) == 1 else set()


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


def _marks(text: str | None) -> tuple[Mark, ...]:
    """M1, A2, `B1 ft`, or a bare number (independent marks), several separated by commas or blanks."""
    if not text:
        return ()
    marks: list[Mark] = []
    for word in text.replace(",", " ").split():
        if word == "ft":
            marks[-1] = Mark(marks[-1].kind, marks[-1].worth, True)
        elif word[0] in "MAB":
            marks.append(Mark(word[0], int(word[1:])))
        else:
            marks.append(Mark("B", int(word)))
    return tuple(marks)
