"""One letter made the subject of a formula: what problem, key, slips and lines may then be."""

from __future__ import annotations

import re
from collections.abc import Collection

from itembank.errors import DomainError, Span
from itembank.expressions import exact, tree
from itembank.templates import model
from itembank.templates.reading import at, key_span
from itembank.templates.scope import Scope
from itembank.templates.template import Expression, LineTemplate
from itembank.yaml_source import Scalar, Sequence

__all__ = ["SubjectReader"]

"""The shape of a problem in which one letter is made the subject."""

_POSITIVE = re.compile(r"\s*(\w+)\s*>\s*0\s*")

KINDS = ("choice", "choices", "written", "wrong-line")
"""Kinds of response that such a problem can have: what is shown or written is a formula."""

_SEVERAL = (
    "; for several unknowns in terms of k ask for their numbers: unknowns: [p, q] and for_every: [k], with x = p*k and "
    "y = q*k in the stem, and p*k and q*k for x and y in the problem"
)


class SubjectReader:
    """Looks at one part. letters: those of `in_terms_of`; numeric: the names that stand for numbers."""

    def __init__(
        self,
        scope: Scope,
        path: tuple[str | int, ...],
        unknowns: tuple[str, ...],
        letters: tuple[str, ...],
        numeric: Collection[str],
    ) -> None:
        self.scope = scope
        self.findings = scope.findings
        self.path = path
        self.unknowns = unknowns
        self.subject = unknowns[0] if unknowns else ""
        self.letters = letters
        self.numeric = numeric
        self.is_positive = False
        """Whether every letter of the formula is a positive number."""

    @property
    def is_one(self) -> bool:
        """Whether it is plain which letter is the subject, so that more can be said."""
        return len(self.unknowns) == 1

    def check_letters(self, domains: dict[str, str | None], for_every: bool) -> None:
        """That one letter is the subject, of no domain, and that no numbers are asked for beside it."""
        if not self.is_one:
            self.findings.add(
                "one-subject",
                f"one letter is made the subject of a formula, and here are {len(self.unknowns) or 'no'} unknowns",
                self._place("unknowns" if self.unknowns else "in_terms_of"),
                hint="write unknowns: [y] for the subject, and name the other letters in `in_terms_of`"
                + (_SEVERAL if len(self.unknowns) > 1 else ""),
            )
        elif (domain := domains[self.subject]) is not None:
            told = _POSITIVE.fullmatch(domain)
            self.is_positive = told is not None and told[1] == self.subject
            if not self.is_positive:
                self.findings.add(
                    "domain-of-subject",
                    f"`{self.subject}` is told in other letters, so no more can be said of it than that all of them "
                    "are positive",
                    self._place("unknowns"),
                    hint=f"take the condition out: unknowns: [{self.subject}]; or say that every letter of the "
                    f"formula is a positive number: unknowns: {{{self.subject}: {self.subject} > 0}}",
                )
        if self.subject in self.letters:
            self.findings.add(
                "repeated-name",
                f"`{self.subject}` is the subject, and it is told in the other letters",
                self._letter_place(self.subject),
                hint="take it out of `in_terms_of`",
            )
        if for_every:
            self.findings.add(
                "two-kinds-of-problem",
                "`for_every` asks for numbers, `in_terms_of` for a formula",
                self._place("for_every"),
                hint="take one of them out",
            )

    def _place(self, key: str) -> Span:
        whole = at(self.scope.root, (*self.path, key)) is at(self.scope.root, self.path)
        return key_span(self.scope.root, (key,) if whole else (*self.path, key))

    def check_problem(self, problem: Expression) -> None:
        """That the problem is one equation, linear in the subject, in all the letters that were named."""
        if not self.check_equation(problem):
            return
        node = problem.node
        assert isinstance(node, tree.Relation)
        named = set(tree.names(node))
        for letter in self.letters:
            if letter not in named:
                self.findings.add(
                    "letter-not-in-problem",
                    f"the problem does not speak of `{letter}`",
                    self._letter_place(letter),
                    hint="name it in the problem, or take it out of `in_terms_of`",
                )
        if self.subject in named:
            self._check_power(problem, node)

    def check_equation(self, written: Expression) -> bool:
        """Whether something is one equation in the letters that were named."""
        node = written.node
        if not isinstance(node, tree.Relation) or node.operators != ("=",) or tree.has_plus_minus(node):
            self.findings.add(
                "formula-needed",
                "a letter is made the subject of one equation",
                written.span(),
                hint="write it with one =, without `and`, `or` and ±",
            )
            return False
        self._check_strays(written)
        return True

    def _letter_place(self, letter: str) -> Span:
        for path in ((*self.path, "in_terms_of"), ("in_terms_of",)):
            listed = at(self.scope.root, path)
            if isinstance(listed, Sequence):
                return next(
                    (each.span for each in listed.items if isinstance(each, Scalar) and each.text == letter),
                    listed.span,
                )
        return self._place("in_terms_of")

    def _check_strays(self, written: Expression) -> None:
        """Letters that are declared elsewhere, but are not among those the subject is told in."""
        known = {self.subject, *self.letters, *self.numeric}
        for part in tree.walk(written.node):
            if isinstance(part, tree.Name) and part.name not in known:
                self.findings.add(
                    "letter-not-in-terms",
                    f"`{part.name}` is neither the subject nor one of `in_terms_of`",
                    written.span(part),
                    hint="add it to `in_terms_of`, or make it a parameter",
                )
                return

    def _check_power(self, problem: Expression, node: tree.Relation) -> None:
        """That the subject stands to the first power; what is not plain for all values at once is left to the proof."""
        try:
            left, right = (exact.quotient(side, {}, positive=self.is_positive) for side in node.operands)
            found = left - right
        except DomainError:
            return
        if self.is_positive:
            return  # what is not solved is told by the proof
        if found.hidden:
            self.findings.add(
                "letter-under-root",
                "a letter stands under a root or in an exponent, and formulas are quotients of polynomials",
                problem.span(),
                hint="ask for a formula without roots of letters, or say that every letter is a positive number: "
                f"unknowns: {{{self.subject}: {self.subject} > 0}}",
            )
            return
        power = max(found.above.in_powers_of(self.subject), default=0)
        if power == 0:
            self.findings.add(
                "subject-vanishes",
                f"multiplied out, the problem says nothing of `{self.subject}`",
                problem.span(),
                hint="let a term with it remain",
            )
        elif power > 1:
            self.findings.add(
                "subject-not-linear",
                f"multiplied out, the problem has `{self.subject}` to the power {power}, and a letter is made the "
                "subject of what is linear in it",
                problem.span(self._raised(node)),
                hint="say that every letter is a positive number, and give the root: unknowns: "
                f"{{{self.subject}: {self.subject} > 0}}"
                if power == 2
                else "make another letter the subject, or let a letter stand for the power",
            )

    def _raised(self, node: tree.Node) -> tree.Node:
        """The power of the subject, where one is written."""
        powers = (part for part in tree.walk(node) if isinstance(part, tree.Power))
        return next((part for part in powers if self.subject in tree.names(part.base)), node)

    def check_answer(self, written: Expression, what: str) -> bool:
        """Whether a key, an option or a slip says `subject = ...` in the other letters; what: its name."""
        node = written.node
        told = f"{what} of a formula is `{self.subject} = ...`, solved and in the other letters"
        if (
            not isinstance(node, tree.Relation)
            or node.operators != ("=",)
            or node.operands[0] != tree.Name(self.subject)
            or tree.has_plus_minus(node)
        ):
            self.findings.add(
                "subject-not-alone",
                told,
                written.span(),
                hint=f"write {self.subject} = ..., with nothing else on the left, and without ±",
            )
            return False
        held = [part for part in tree.walk(node.operands[1]) if part == tree.Name(self.subject)]
        if held:
            self.findings.add(
                "subject-on-both-sides",
                f"{told}, and this still holds `{self.subject}` on the right",
                written.span(held[0]),
                hint=f"bring what has {self.subject} in it to one side, and divide",
            )
            return False
        self._check_strays(written)
        return True

    def check_no_key(self, span: Span) -> None:
        """Tells that a formula has a subject, whatever its letters are."""
        self.findings.add(
            "subject-not-alone",
            f"the key of a formula is `{self.subject} = ...`, and there is always one",
            span,
            hint=f"write {self.subject} = ...",
        )

    def check_line(self, line: LineTemplate) -> None:
        """That a line says something of the formula."""
        if line.kind in {"let", "rejects"} or (line.maths is not None and line.maths.text == "none"):
            self.findings.add(
                "line-not-of-formula",
                "the lines of a formula are equations in its letters, and none is given up",
                line.maths.span() if line.maths is not None else line.span,
                hint="write it as `math:`, or as `aside:` where it is true of the subject's formula",
            )
        elif line.maths is not None:
            self._check_strays(line.maths)

    def fits(self, shape: model.ResponseShape) -> bool:
        """Whether a formula can be answered so."""
        if shape.kind in KINDS and shape.words is None:
            return True
        key = "kind" if shape.words is None else "words"
        self.findings.add(
            "no-formula-so",
            f"a formula is no answer for `kind: {shape.kind}`{'' if key == 'kind' else ' in words'}",
            key_span(self.scope.root, (*self.path, "response", key)),
            hint=f"ask for it by one of the kinds {', '.join(KINDS)}, or ask for numbers in it by `for_every`",
        )
        return False
