"""Several right options: written out, one for each solution of the key, or rows of words of which several are true."""

from __future__ import annotations

from itembank.errors import Span
from itembank.expressions import tree
from itembank.items import shares_evenly
from itembank.templates.conditions import check_relations
from itembank.templates.context import MOST_OPTIONS, PartContext
from itembank.templates.reading import at
from itembank.templates.template import ChoicesTemplate, Expression, ResponseTemplate, WordRow
from itembank.yaml_source import Scalar

EACH_SOLUTION = "solutions"


class ChoicesReader:
    """Reads a response with several right options."""

    def __init__(self, context: PartContext) -> None:
        self.context = context
        self.scope = context.scope
        self.findings = context.scope.findings
        self.shape = context.shape.response

    def response(self, kind: str, words: tuple[WordRow, ...], span: Span) -> ResponseTemplate | None:
        """The response; None where it is wrong. kind: the problem's shape."""
        shape, shared = self.shape, self.shape.credit != "all"
        if shape.words is not None:
            self._check_words(len(shape.words))
            return self._made(len(words), words, ChoicesTemplate((), shared), span)
        if shape.right is None or shape.options is None:
            missing = "right" if shape.right is None else "options"
            self.findings.add(
                "missing-key",
                f"`{missing}` is missing",
                span,
                hint="say what is right: right: solutions, or right: [...]"
                if missing == "right"
                else "say how many options: options: 5",
            )
            return None
        if not 2 <= shape.options <= MOST_OPTIONS:
            few = shape.options < 2
            self.context.tell(
                "too-few-options" if few else "too-many-options",
                f"a choice has at {'least 2' if few else f'most {MOST_OPTIONS}'} options",
                "options",
            )
        if shape.right == [EACH_SOLUTION]:
            return self._each_solution(kind, shape.options, shared, span)
        return self._written_out(kind, shape.options, shared, span)

    def one_written_out(self, kind: str) -> ChoicesTemplate | None:
        """The one right option of a choice whose options are shown as written; None where it is wrong."""
        shape = self.shape
        assert shape.right is not None
        if len(shape.right) != 1 or shape.right == [EACH_SOLUTION]:
            self.context.tell(
                "one-right-option",
                "a choice has one right option: write out how it is to be shown, as in right: x^2 - 3*x + 2 = 0",
                "right",
                hint="several are right in `kind: choices`",
            )
            return None
        for key in ("words", "form"):
            if getattr(shape, key) is not None:
                self.context.tell(
                    "options-and-words" if key == "words" else "key-of-other-kind",
                    f"options that are written out have no `{key}`",
                    key,
                    hint=f"take `right` or `{key}` out",
                )
                return None
        right = self._right(kind, 0)
        return None if right is None else ChoicesTemplate((right,), shared=False)

    def _made(
        self, options: int, words: tuple[WordRow, ...], more: ChoicesTemplate, span: Span
    ) -> ResponseTemplate:
        marks = self.shape.marks or (0 if more.shared else 1)
        return ResponseTemplate("choices", options, words, (), marks, False, "", span, more)

    def _check_words(self, rows: int) -> None:
        if rows < 2:
            self.context.tell("too-few-options", "a choice has at least 2 options", "words")
        if self.shape.options not in {None, rows} or self.shape.right is not None:
            key = "right" if self.shape.right is not None else "options"
            self.context.tell(
                "options-and-words",
                "the rows of words are the options, and `when` says which are right",
                key,
                hint=f"take `{key}` out",
            )
        elif len(self.context.unknowns) != 1:
            self.context.tell(
                "words-need-one-unknown",
                "words tell the value of one unknown",
                "words",
                hint="give the problem one unknown: D = discriminant(...)",
            )

    def _each_solution(self, kind: str, options: int, shared: bool, span: Span) -> ResponseTemplate | None:
        if kind != "solve" or len(self.context.unknowns) > 2:
            self.context.tell(
                "solutions-need-one-unknown",
                "each solution is an option of its own only where one unknown is to be found, or two",
                "right",
                hint="give the problem one unknown or two, or write the right options out: right: [...]",
            )
            return None
        self._check_slips(1, "right")
        return self._made(options, (), ChoicesTemplate((), shared), span)

    def _written_out(self, kind: str, options: int, shared: bool, span: Span) -> ResponseTemplate | None:
        assert self.shape.right is not None
        right = [self._right(kind, index) for index in range(len(self.shape.right))]
        if not right:
            self.context.tell("empty-list", "`right` must not be empty", "right")
        wrong = options - len(right)
        if wrong < 1:
            self.context.tell(
                "too-few-options",
                f"{len(right)} right options of {options} leave no wrong one",
                "options",
                hint="ask for more options",
            )
        else:
            self._check_slips(wrong, "options")
        if self.shape.marks and right and shared and not shares_evenly(self.shape.marks, len(right)):
            self.context.tell(
                "marks-do-not-share",
                f"{self.shape.marks} marks cannot be shared over {len(right)} right options in quarters of a mark",
                "marks",
                hint=f"give {len(right)} marks, or say `credit: all`",
            )
        kept = tuple(each for each in right if each is not None)
        return (
            self._made(options, (), ChoicesTemplate(kept, shared), span) if len(kept) == len(right) else None
        )

    def _check_slips(self, wanted: int, key: str) -> None:
        slips = len(self.context.shape.slips)
        if slips < wanted:
            self.context.tell(
                "too-few-slips",
                f"{wanted} wrong option{'s' if wanted > 1 else ''} need as many slips, not {slips}",
                key,
                hint="add slips, or ask for fewer options",
            )

    def _right(self, kind: str, index: int) -> Expression | None:
        path = (*self.context.path, "response", "right")
        node = at(self.scope.root, path)
        written = self.scope.expression_at(
            path if isinstance(node, Scalar) else (*path, index), self.context.names
        )
        if written is None:
            return None
        if kind == "rewrite" and tree.is_statement(written.node):
            self.findings.add(
                "expression-needed",
                "the problem is an expression, and so are its right options",
                written.span(),
            )
            return None
        if kind != "rewrite" and not tree.is_statement(written.node):
            self.findings.add(
                "statement-needed",
                "a right option says the same as the problem",
                written.span(),
                hint="write it with =",
            )
            return None
        claim = "a right option is of the kind of the problem"
        return written if check_relations(written, claim, self.findings, self.context.signs) else None
