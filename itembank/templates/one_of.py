"""A blank where one of several words is chosen in a line: its texts, and when each is right."""

from __future__ import annotations

from itembank.expressions import tree
from itembank.templates import model
from itembank.templates.context import MOST_OPTIONS, PartContext
from itembank.templates.marks import read_marks
from itembank.templates.reading import key_span
from itembank.templates.template import BlankTemplate, TextTemplate, WordRow, Words

Path = tuple[str | int, ...]


class OneOfReader:
    """Reads blanks of words, and tells their keys where they stand in other blanks."""

    def __init__(self, context: PartContext) -> None:
        self.context = context
        self.scope = context.scope
        self.findings = context.scope.findings

    def _tell(self, code: str, message: str, path: Path, *, hint: str = "") -> None:
        self.findings.add(code, message, key_span(self.scope.root, path), hint=hint)

    def check_tick(self, shape: model.ResponseShape) -> None:
        """Tells a tick for no real solution beside words."""
        words = any(blank.form == "one-of" for blank in (shape.blanks or {}).values())
        if words and shape.no_real_solution is not None:
            self.context.tell(
                "words-beside-tick",
                "the words can say themselves that there is no real solution",
                "no_real_solution",
                hint="take it out, and add a row of words",
            )

    def check_not_words(self, blank: model.BlankShape, here: Path) -> None:
        """Tells keys of words in a blank with boxes."""
        for key in ("words", "before"):
            if getattr(blank, key) is not None:
                self._tell(
                    "misplaced-key", f"only `form: one-of` has `{key}`", (*here, key), hint="take it out"
                )

    def blank(self, name: str, shape: model.BlankShape, here: Path) -> BlankTemplate | None:
        """The blank; None where it is wrong."""
        for key in ("ends", "values", "places", "tolerance", "unit"):
            if getattr(shape, key) is not None:
                self._tell(
                    "misplaced-key", f"words to choose from have no `{key}`", (*here, key), hint="take it out"
                )
        if shape.words is None:
            hint = "write words: [{text: ..., when: ...}, ...]"
            self._tell("missing-key", "`words` is missing", here, hint=hint)
            return None
        if not 2 <= len(shape.words) <= MOST_OPTIONS:
            few = len(shape.words) < 2
            self._tell(
                "too-few-options" if few else "too-many-options",
                "a choice has at least 2 options" if few else f"a choice has at most {MOST_OPTIONS} options",
                (*here, "words"),
            )
        marks = read_marks(shape.marks)
        if any(mark.follow_through for mark in marks):
            self._tell(
                "words-do-not-follow", "marks for words do not follow through", (*here, "marks"), hint="B1"
            )
        rows = [self._row((*here, "words", index)) for index in range(len(shape.words))]
        words = tuple(row for row in rows if row is not None)
        before = self._text((*here, "before")) if shape.before is not None else None
        if len(words) < len(rows):
            return None
        span = key_span(self.scope.root, here)
        unknown = "" if name == "answer" else name
        return BlankTemplate(unknown, "one-of", False, 0, None, marks, "", span, words=words, before=before)

    def _row(self, path: Path) -> WordRow | None:
        names = self.context.names
        text = self._text((*path, "text"))
        when = self.scope.expression_at((*path, "when"), names, conditions=True)
        if text is None or when is None:
            return None
        named = [name for name in self.context.unknowns if name in tree.names(when.node)]
        if named and len(self.context.unknowns) != 1:
            self.findings.add(
                "words-need-one-unknown",
                "words tell the value of one unknown",
                when.span(),
                hint="give the problem one unknown, or speak of parameters and derived values only",
            )
            return None
        return WordRow(text, when)

    def _text(self, path: Path) -> TextTemplate | None:
        """A text without mathematics: nothing else can stand among the words of a choice in a line."""
        text = self.scope.text_at(path, self.context.names)
        if text is None or all(isinstance(hole, Words) for hole in text.holes):
            return text
        self._tell(
            "maths-among-words",
            "words to choose from in a line hold no mathematics",
            path,
            hint="write it in words, or use `kind: choice` with `words`",
        )
        return None
