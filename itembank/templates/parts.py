"""One part of a template: problem, stem, response, key, slips and worked solution."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import TypeAlias

from itembank.errors import Span
from itembank.expressions import tree
from itembank.expressions.statement_checks import is_inequality, says_whole
from itembank.templates import model
from itembank.templates.conditions import EQUATIONS, INEQUALITIES, check_relations
from itembank.templates.context import PartContext
from itembank.templates.domains import read_domain
from itembank.templates.figures import read_figure
from itembank.templates.marks import read_marks
from itembank.templates.reading import at, key_span
from itembank.templates.responses import ResponseReader
from itembank.templates.scope import Names, Scope
from itembank.templates.slips import Catalogue, CatalogueSlip
from itembank.templates.subjects import SubjectReader
from itembank.templates.template import (
    NO_SOLUTION,
    SUBJECT,
    WITHOUT_LINE_MARKS,
    Expression,
    LineTemplate,
    PartTemplate,
    ResponseTemplate,
    SlipTemplate,
)
from itembank.templates.used_slips import SlipReader
from itembank.yaml_source import Scalar

_NO_SOLUTION = re.compile(
    r"(?:no|∅|empty|nothing|never)(?:[ _-](?:real[ _-])?(?:solutions?|roots?|answers?|set|values?))?|\{ *\}",
    re.IGNORECASE,
)
"""What people write for a key without any solution. Source: common practice, no source."""

Whole: TypeAlias = model.TemplateShape | model.PartsTemplateShape


class PartReader:
    """Reads one part of a template."""

    def __init__(
        self,
        scope: Scope,
        catalogue: Catalogue,
        whole: Whole,
        shape: model.PartShape,
        path: tuple[str | int, ...],
        label: str,
        numeric: set[str],
        earlier: set[str],
    ) -> None:
        self.scope = scope
        self.findings = scope.findings
        self.catalogue = catalogue
        self.shape = shape
        self.path = path
        self.label = label
        self.numeric = numeric
        own = shape.unknowns or {}
        shared = whole.unknowns if whole is not shape and not own else {}
        self.domains = {**shared, **own}
        self.unknowns = tuple(self.domains)
        shared_letters = tuple(name for name in whole.for_every if name not in self.unknowns)
        self.for_every = tuple(shape.for_every) if "for_every" in shape.model_fields_set else shared_letters
        # what was found before is another thing than a letter of this part, were they called alike
        earlier = earlier - {*self.unknowns, *self.for_every, *whole.letters}
        in_terms_of = tuple(shape.in_terms_of or whole.in_terms_of)
        self.formula: SubjectReader | None = None
        if in_terms_of:
            formula = SubjectReader(scope, path, self.unknowns, in_terms_of, {*numeric, *earlier})
            formula.check_letters(self.domains, bool(self.for_every))
            self.formula = formula if formula.is_one else None
            self.for_every = in_terms_of
        self.signs = INEQUALITIES if len(self.unknowns) == 1 and not self.for_every else EQUATIONS
        self.letters = {*whole.letters, *self.for_every} - set(self.unknowns)
        self.earlier = earlier
        self.names = Names(numeric, self.letters, {*self.unknowns, *earlier}, None)
        self.valued = {*numeric, *earlier}
        self.used_slips: list[CatalogueSlip] = []

    @property
    def values_found(self) -> set[str]:
        """The unknowns that later parts may name: those that are numbers."""
        return set() if self.formula is not None else set(self.unknowns)

    @property
    def kind(self) -> str:
        """The shape of the problem."""
        if self.formula is not None:
            return SUBJECT
        return "identity" if self.for_every and self.unknowns else "solve" if self.unknowns else "rewrite"

    def part(self) -> PartTemplate | None:
        """The part; None where something that it cannot do without is wrong."""
        problem = self.scope.expression_at((*self.path, "problem"), self.names)
        node = problem.node if problem is not None else None
        self.names = Names(self.numeric, self.letters, self.names.unknowns, node, node is None)
        kind = self.kind
        if problem is not None:
            self._check_problem(kind, problem)
        stem = self.scope.text_at((*self.path, "stem"), self.names)
        figure = read_figure(self.scope, self.names, self.valued, self.shape.figure, (*self.path, "figure"))
        key, key_span_ = self._key(kind)
        context = PartContext(
            self.scope, self.catalogue, self.shape, self.path, self.unknowns, self.names, self.signs
        )
        fits = self.formula is None or self.formula.fits(self.shape.response)
        response = ResponseReader(context).response(kind) if fits else None
        if kind == "rewrite" and response is not None and response.kind == "entry":
            self._check_boxes(response, problem, key)
        solution = tuple(line for i in range(len(self.shape.solution)) if (line := self._line(i)) is not None)
        slip_reader = SlipReader(context, solution)
        slips = tuple(s for i in range(len(self.shape.slips)) if (s := slip_reader.slip(i)) is not None)
        self.used_slips = slip_reader.used
        if self.formula is not None:
            self._check_formula(self.formula, response, slips, solution)
        self._check_marks(response, solution)
        self._check_follow_through(response, key)
        domain = self._domain()
        if domain is not None and says_whole(domain.node):
            self._check_whole_numbers(response, key)
        if problem is None or stem is None or response is None:
            return None
        return PartTemplate(
            self.label,
            kind,
            self.unknowns,
            domain,
            self.for_every,
            problem,
            stem,
            response,
            key,
            key_span_,
            slips,
            solution,
            figure,
            self.shape.space or "",
        )

    def _check_formula(
        self,
        formula: SubjectReader,
        response: ResponseTemplate | None,
        slips: tuple[SlipTemplate, ...],
        solution: tuple[LineTemplate, ...],
    ) -> None:
        if self.shape.response.kind in {"choice", "written"} and self.shape.response.right is None:
            for slip in slips:
                formula.check_answer(slip.value, "a slip")
        elif response is not None:
            for written in (*response.written_out, *(slip.value for slip in slips)):
                formula.check_equation(written)
        for line in solution:
            formula.check_line(line)

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
        claim = "several unknowns, or unknowns for every value of a letter, are asked for by equations"
        equations = check_relations(problem, claim, self.findings, self.signs)
        named = set(tree.names(problem.node))
        for unknown in self.unknowns:
            if unknown not in named:
                self.findings.add(
                    "unknown-not-in-problem",
                    f"the problem does not speak of `{unknown}`",
                    problem.span(),
                    hint="name it in the problem, or take it out of `unknowns`",
                )
        if self.formula is not None and statement and equations:
            self.formula.check_problem(problem)

    def _check_boxes(
        self, response: ResponseTemplate, problem: Expression | None, key: Expression | None
    ) -> None:
        """Boxes take numbers, so what is rewritten into them has no letter, but in brackets."""
        if response is not None and any(blank.letter for blank in response.blanks):
            return
        read = [expression for expression in (problem, key) if expression is not None]
        if any(set(tree.names(expression.node)) & set(self.names.letters) for expression in read):
            self.findings.add(
                "no-boxes-for-letters",
                "an expression with letters does not fit into boxes for numbers",
                response.span,
                hint="ask for brackets (`form: brackets`) or for its coefficients (`unknowns: [p, q]` with "
                "`for_every: [x]`), or make it a choice",
            )

    def _check_whole_numbers(self, response: ResponseTemplate | None, key: Expression | None) -> None:
        """Whole numbers are entered one by one."""
        for blank in response.blanks if response is not None else ():
            if blank.ends:
                self.findings.add(
                    "whole-numbers-one-by-one",
                    "an interval says real numbers, and whole numbers are asked for",
                    blank.span,
                    hint=f"ask for each of them: {blank.unknown}: {{form: integer, boxes: 6}}, or make it a choice",
                )
            elif key is not None and not blank.boxes and not blank.words and is_inequality(key.node):
                self.findings.add(
                    "whole-numbers-one-by-one",
                    "how many boxes the whole numbers need, this key does not tell",
                    blank.span,
                    hint=f"say it: {blank.unknown}: {{form: integer, boxes: 6}}, one or two more than there can be",
                )

    def _domain(self) -> Expression | None:
        """The condition on the unknowns; of a formula that every letter of it is positive."""
        if self.formula is not None:
            return self._positive() if self.formula.is_positive else None
        return read_domain(self.scope, self.names, self.path, self.domains, self.numeric)

    def _positive(self) -> Expression | None:
        path = (*self.path, "unknowns", self.unknowns[0])
        if not isinstance(at(self.scope.root, path), Scalar):
            path = ("unknowns", self.unknowns[0])  # shared by the parts
        written = self.scope.expression_at(path, self.names)
        if written is None:
            return None
        nought = tree.Number(Fraction(0))
        node = tree.And(
            (written.node, *(tree.Relation((tree.Name(name), nought), (">",)) for name in self.for_every))
        )
        text = " and ".join([written.text, *(f"{name} > 0" for name in self.for_every)])
        return Expression(node, text, written.source)

    def _key(self, kind: str) -> tuple[Expression | None, Span]:
        path = (*self.path, "key")
        node = at(self.scope.root, path)
        if isinstance(node, Scalar) and node.text.strip() == "none":
            if self.formula is not None:
                self.formula.check_no_key(node.span)
            return None, node.span
        if isinstance(node, Scalar) and _NO_SOLUTION.fullmatch(node.text.strip()):
            self.findings.add("no-key", f"`{node.text}` is no mathematics", node.span, hint="write key: none")
            return None, node.span
        key = self.scope.expression_at(path, self.names)
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
            exact = check_relations(key, "a key says exactly what each unknown is", self.findings, self.signs)
            if self.formula is not None and exact and tree.is_statement(key.node):
                self.formula.check_answer(key, "the key")
        return key, node.span

    def _line(self, index: int) -> LineTemplate | None:
        shape = self.shape.solution[index]
        path = (*self.path, "solution", index)
        span = at(self.scope.root, path).span
        given = [key for key in ("math", "aside", "let") if getattr(shape, key) is not None]
        if len(given) > 1:
            self.findings.add(
                "two-kinds-of-line",
                f"a line has `{given[0]}` or `{given[1]}`, not both",
                key_span(self.scope.root, (*path, given[1])),
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
        if shape.let is not None:
            self._name_new_letters(_new_letters(shape.let), at(self.scope.root, (*path, "let")).span)
        say = self.scope.text_at((*path, "say"), self.names) if shape.say else None
        if shape.rejects is not None:
            if "math" not in given:
                self.findings.add(
                    "rejects-nothing",
                    "`rejects:` says why, in words, and the line does not say which root is given up",
                    key_span(self.scope.root, (*path, "rejects")),
                    hint=f"put the root beside it, as in math: {next(iter(self.unknowns), 'x')} = -2",
                )
                return None
            say = self.scope.text_at((*path, "rejects"), self.names)
        names = self.names
        if shape.aside is not None:
            names = replace(names, letters={*names.letters, *_new_letters(shape.aside)})
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
        figure = read_figure(self.scope, self.names, self.valued, shape.figure, (*path, "figure"))
        when = self._condition(path) if shape.when is not None else None
        if shape.when is not None and when is None:
            return None
        return LineTemplate(kind, say, maths, read_marks(shape.marks), span, figure, when)

    def _name_new_letters(self, new: set[str], span: Span) -> None:
        """From this line on a letter may be used that it names."""
        for name in sorted(new & {*self.names.numeric, *self.names.unknowns}):
            self.findings.add(
                "shadowed-name",
                f"`{name}` is a name already, and `let` brings in a new letter",
                span,
                hint="take another letter",
            )
        self.names = replace(self.names, letters={*self.names.letters, *new})

    def _condition(self, path: tuple[str | int, ...]) -> Expression | None:
        """The condition under which a line stands: about values, not about the unknowns."""
        names = replace(self.names, letters={*self.names.letters, *self.names.unknowns}, unknowns=set())
        return self.scope.expression_at((*path, "when"), names, conditions=True)

    def _line_maths(self, path: tuple[str | int, ...], names: Names) -> Expression | None:
        node = at(self.scope.root, path)
        if isinstance(node, Scalar) and node.text.strip() == "none":
            return Expression(NO_SOLUTION, "none", node)
        return self.scope.expression_at(path, names)

    def _check_marks(self, response: ResponseTemplate | None, solution: tuple[LineTemplate, ...]) -> None:
        marked = [line for line in solution if line.marks]
        if response is None or not marked or response.kind in WITHOUT_LINE_MARKS:
            return
        if any(line.when is not None for line in marked):
            self._check_total_is_said(response, next(line for line in marked if line.when is not None))
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

    def _check_total_is_said(self, response: ResponseTemplate, line: LineTemplate) -> None:
        """Where marks stand at lines of some items only, what all are worth is said; the proof adds up each item."""
        if self.shape.response.marks is None and not any(
            blank.marks for blank in (self.shape.response.blanks or {}).values()
        ):
            self.findings.add(
                "marks-left-open",
                "this line earns marks, but does not stand in every item",
                line.span,
                hint="say what the whole is worth: response: {..., marks: 3}",
                related=(response.span, "the response"),
            )

    def _check_follow_through(self, response: ResponseTemplate | None, key: Expression | None) -> None:
        """A mark follows through where the key is told in what was found before."""
        if response is None or key is None or (self.earlier & set(tree.names(key.node))):
            return
        for blank in response.blanks:
            if any(mark.follow_through for mark in blank.marks):
                known = ", ".join(sorted(self.earlier))
                self.findings.doubt(
                    "nothing-to-follow",
                    "the mark follows through, but the key names no unknown of an earlier part",
                    blank.span,
                    hint=f"tell the key in {known}, as in u = -p" if known else "take ft out",
                )


def _new_letters(text: str) -> set[str]:
    """The letter that a line may bring in, which the lines below know too: what stands alone on its left-hand side."""
    left = text.partition("=")[0].strip()
    return {left} if re.fullmatch(r"[A-Za-z](_[0-9]+)?", left) else set()
