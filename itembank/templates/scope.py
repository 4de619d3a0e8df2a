"""Expressions and texts of a template read with their places, and every name in them checked."""

from __future__ import annotations

import re
from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass, replace

from itembank.expressions import tree
from itembank.expressions.parser import ExpressionError, parse
from itembank.expressions.statement_checks import check_tree
from itembank.expressions.vocabulary import INVERSES, LEFT_OUT, NAMED, PROPERTY_NAMES, nearest, stem_and_index
from itembank.templates.conditions import check_condition
from itembank.templates.reading import Findings, at
from itembank.templates.template import Expression, Parameter, TextTemplate, Words
from itembank.templates.text import UnclosedMaths, foreign_markup, split_maths, text_shape
from itembank.yaml_source import Node, Scalar

_CALLED = re.compile(r"[fgh]\s*(?:\^\s*(?:[-−]1|\([-−]1\))\s*)?\(")


_NO_VALUE = {
    "pi": "π has no exact value here; in a text it can stand outside the dollars, and a length or area of a circle is "
    "asked for as a number of times π",
    "infinity": "an inequality without that end says it: x > 3",
    "inf": "an inequality without that end says it: x > 3",
}
"""Names that people write without saying what they are, and what serves here."""


@dataclass(frozen=True, slots=True)
class Names:
    """What may be named at a place; `problem` is the tree the name `problem` stands for.

    is_problem_wrong: it could not be read, which is told already, so that nothing is said of its name.
    owner: the slip of the slip file whose names they are, "" for those of the template.
    """

    numeric: Collection[str]
    letters: Collection[str]
    unknowns: Collection[str]
    problem: tree.Node | None
    is_problem_wrong: bool = False
    owner: str = ""

    @property
    def all(self) -> set[str]:
        """Every name that is known here."""
        return {*self.numeric, *self.letters, *self.unknowns} | (
            {"problem"} if self.problem is not None else set()
        )


def _is_general(name: str) -> bool:
    """Whether a name is that of a general term, as u_n is, or of one some steps from it."""
    return any(map(str.isalpha, stem_and_index(name)[1]))


def _is_term(name: str, letters: Collection[str]) -> bool:
    """Whether a name is that of a term, u_3 or u_(n+1), of a sequence whose general term is among the letters."""
    stem, index = stem_and_index(name)
    if len(index) > 1:
        return _general_of(name) in letters
    return (
        name != stem
        and index[0].isdecimal()
        and any(_is_general(each) and each.startswith(f"{stem}_") for each in letters)
    )


def _general_of(name: str) -> str:
    """The general term that a term is some steps from: `u_n` of `u_(n+1)`, and of itself."""
    stem, index = stem_and_index(name)
    return "_".join((stem, *index[:1]))


class Scope:
    """Reads the expressions and texts of one file.

    language: what its texts are in. rows: the parameters that hold words; wrong: names that are declared, but
    wrongly, which is told already; used: every name that was met; called: letters by which a text calls what depends on
    others, as `$y = x^2 + b*x + c$` and `$f(x) = x^2$` do; other texts may use them; asked: what some part asks for.
    What is wrong goes to `findings`.
    """

    def __init__(self, root: Node, findings: Findings, language: str = "en") -> None:
        self.language = language
        self.root = root
        self.findings = findings
        self.rows: dict[str, Parameter] = {}
        self.wrong: set[str] = set()
        self.used: set[str] = set()
        self.called: set[str] = set()
        self.asked: set[str] = set()

    def expression_at(
        self, path: tuple[str | int, ...], names: Names, *, conditions: bool = False
    ) -> Expression | None:
        """The expression of the scalar at a path, its names checked.

        conditions: it is true or false; the names that have a value are then the numeric ones and the unknowns.
        """
        node = at(self.root, path)
        if not isinstance(node, Scalar):
            return None
        return self.expression(node, 0, node.text, names, conditions=conditions)

    def expression(
        self, source: Scalar, offset: int, text: str, names: Names, *, conditions: bool = False,
        in_text: bool = False,
    ) -> Expression | None:  # fmt: skip
        """The expression of a stretch of a scalar. in_text: f(x) may stand in it."""
        try:
            node = parse(text, in_text=in_text)
        except ExpressionError as wrong:
            start = min(offset + wrong.start, max(len(source.text) - 1, 0))
            length = min(wrong.end - wrong.start, len(source.text) - start)
            cause = wrong.message if wrong.code == "unknown-function" else ""
            place = source.place(start, max(length, 0))
            self.findings.add(wrong.code, wrong.message, place, hint=wrong.hint, cause=cause)
            return None
        written = Expression(node, text, source, offset)
        if not self._is_known(written, names, conditions=conditions):
            return None
        valued = {*names.numeric, *names.unknowns}
        if conditions and not check_condition(written, names.problem, valued, self.findings):
            return None
        if names.problem is None or "problem" not in tree.names(node):
            return written
        return self._with_problem(written, names.problem)

    def _is_known(self, written: Expression, names: Names, *, conditions: bool) -> bool:
        """Whether every name is known, and nothing that only a condition may say stands elsewhere."""
        known = True
        for part in tree.walk(written.node):
            if isinstance(part, tree.Name):
                known &= self._known(part, names, written)
            elif isinstance(part, tree.Call) and part.function in PROPERTY_NAMES and not conditions:
                known = False
                self.findings.add(
                    "property-shown",
                    f"`{part.function}` is true or false and cannot stand here",
                    written.span(part),
                    hint="it belongs into constraints, guarantees, bands and `when`",
                )
            elif (
                isinstance(part, tree.Call)
                and part.function in NAMED
                and not self._is_named(part, names, written)
            ):
                known = False
            elif isinstance(part, tree.Not) and not conditions:
                known = False
                self.findings.add(
                    "not-shown",
                    "`not` belongs into conditions and cannot stand here",
                    written.span(part),
                    hint="write the opposite relation",
                )
        return known

    def _with_problem(self, written: Expression, problem: tree.Node) -> Expression | None:
        """The problem put in where it is named."""
        whole = tree.substitute(written.node, {"problem": problem})
        try:
            check_tree(whole)
        except ExpressionError as wrong:
            named = next(n for n in tree.walk(written.node) if n == tree.Name("problem"))
            self.findings.add(
                wrong.code,
                f"the problem cannot stand here: {wrong.message}",
                written.span(named),
                hint=wrong.hint,
            )
            return None
        return replace(written, node=whole, raw=written.node)

    def _known(self, part: tree.Name, names: Names, written: Expression) -> bool:
        name = part.name
        self.used.add(name)
        if name == "problem" and (names.problem is not None or names.is_problem_wrong):
            return names.problem is not None
        if name in names.all or _is_term(name, {*names.letters, *self.called}):
            return self._has_free_index(part, names, written)
        if name in self.wrong:
            return False
        if name == LEFT_OUT:
            self.findings.add(
                "left-out",
                "dots stand for terms that nobody says, so that nothing can be worked out",
                written.span(part),
                hint="they belong into texts; write here what the sum comes to, as n*(n + 1)/2",
            )
            return False
        if name in self.rows:
            self.findings.add(
                "words-in-maths",
                f"`{name}` holds words, no numbers",
                written.span(part),
                hint=f"write ${name}.column$ in a text",
                cause=name,
            )
            return False
        if name == "problem":
            self.findings.add(
                "unknown-name",
                "the problem cannot be named here",
                written.span(part),
                hint="write out what it says",
            )
            return False
        known = sorted(names.all - {LEFT_OUT})
        near = nearest(name, known)
        hint = f"known here: {', '.join(known) or 'none'}" + (f". Nearest: {near}" if near else "")
        columns = [row for row, parameter in self.rows.items() if name in parameter.rows[0]]
        if columns:
            hint = f"a column is named behind its rows: write ${columns[0]}.{name}$ in a text. {hint}"
        elif re.fullmatch("[A-Z]{2,4}", name):
            hint = f"lines and figures are named outside the dollars, as in: the line {name}. {hint}"
            if all(letter in names.all for letter in name):
                hint = f"for a product write {'*'.join(name)}; {hint}"
        elif len(name) > 1 and all(letter in names.all for letter in name):
            hint = f"for a product write {'*'.join(name)}. {hint}"
        elif name in self.asked:
            hint = (
                f"another part asks for it: so that this one may speak of it, it goes into the list `letters:` of the "
                f"template, letters: [{name}]. {hint}"
            )
        elif not names.owner and "_" in name:
            general = _general_of(name) if _is_general(name) else f"{stem_and_index(name)[0]}_n"
            hint = f"the terms of a sequence are known by the general one: letters: [{general}]. {hint}"
        elif not names.owner and len(name) == 1:
            hint = (
                f"what the pupil finds is named in `unknowns: [{name}]`, and what varies below `parameters:`; a letter "
                f"that stands for no number goes into the list `letters:` of the template. {hint}"
            )
        if name.lower() in _NO_VALUE:
            hint = f"{_NO_VALUE[name.lower()]}. {hint}"
        if names.owner:
            hint = f"name it in `takes` or `unknowns`. {hint}"
        self.findings.add(
            "unknown-name",
            f"`{name}` is no parameter, derived value or unknown of this template"
            if not names.owner
            else f"`{name}` is neither taken nor unknown in this slip",
            written.span(part),
            hint=hint,
            cause=f"{names.owner}.{name}",
        )
        return False

    def _has_free_index(self, part: tree.Name, names: Names, written: Expression) -> bool:
        """Whether the index of a general term is a letter that stays one."""
        index = "".join(stem_and_index(part.name)[1][:1])
        if index not in names.numeric:
            return True
        self.findings.add(
            "index-has-value",
            f"the index of `{part.name}` would stay a letter, and `{index}` is a number of this template",
            written.span(part),
            hint="take another letter for the index, or name the number otherwise",
            cause=part.name,
        )
        return False

    # texts

    def text_at(self, path: tuple[str | int, ...], names: Names) -> TextTemplate | None:
        """The text of the scalar at a path."""
        node = at(self.root, path)
        return self.text(node, names) if isinstance(node, Scalar) else None

    def text(self, source: Scalar, names: Names) -> TextTemplate | None:
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
        if sum(not text for _, text in pieces) >= 2:
            place = source.place(next(offset for offset, text in pieces if not text) - 1, 2)
            hint = "one $ opens the maths and one closes it: Solve $problem$."
            self.findings.add("doubled-dollar", "two $ side by side enclose nothing", place, hint=hint)
            return None
        self._refuse_markup(source, names)
        for _, text in pieces:
            self._name_functions(text, names)
            if "_" in text:
                self._call(text, names)  # the first term may stand before the general one
        holes: list[Expression | Words] = []
        for offset, text in pieces:
            words = self._words(source, offset, text)
            if isinstance(words, Words):
                holes.append(words)
            elif words is None:
                self._call(text, names)
                known = replace(names, letters={*names.letters, *self.called, LEFT_OUT})
                expression = self.expression(source, offset, text, known, in_text=True)
                holes += [expression] if expression is not None else []
        if len(holes) < len(pieces):
            return None
        return TextTemplate(text_shape(shown, len(holes)), tuple(holes), source)

    def _is_named(self, part: tree.Call, names: Names, written: Expression) -> bool:
        """Whether a function of a text has a name of its own."""
        name = part.function
        if name in self.called or name in self.wrong:
            return name in self.called
        name = INVERSES.get(name, name)
        what = "unknown" if name in names.unknowns else "letter" if name in names.letters else "number"
        self.findings.add(
            "unknown-function",
            f"`{name}` is no function, it is a {what} of this template",
            written.span(part),
            hint=f"for a product write {name}*(...); for a function take another of f, g and h",
            cause=name,
        )
        return False

    def _name_functions(self, text: str, names: Names) -> None:
        """Remember what a text calls functions, no names of the template's; $f$ alone may come before f(x)."""
        if not _CALLED.search(text):
            return
        with suppress(ExpressionError):
            node = parse(text, in_text=True)
            called = {part.function for part in tree.walk(node) if isinstance(part, tree.Call)}
            taken = {*names.all, *self.rows, *self.wrong}
            self.called |= {
                name for name in called.intersection(NAMED) if INVERSES.get(name, name) not in taken
            }

    def _call(self, text: str, names: Names) -> None:
        """Remember the letter by which a text calls an expression in letters: a curve's y, say.

        It stands alone on the left-hand side, and is no name of the template's. So does the general term of a
        sequence, u_n, or the one after it, u_(n+1), which follows from the general one.
        """
        with suppress(ExpressionError):
            match parse(text):
                case tree.Relation((tree.Name(name), said), ("=",)) if len(name) == 1 or _is_general(name):
                    letters = {*names.letters, *names.unknowns}
                    called = _general_of(name)
                    is_new = called not in names.all and called not in self.rows and called not in self.wrong
                    letters |= {called} - {name}
                    if is_new and not names.owner and not letters.isdisjoint(tree.names(said)):
                        self.called.add(called)

    def _refuse_markup(self, source: Scalar, names: Names) -> None:
        """Markup of other languages, which would be printed as it stands."""
        for offset, written, hint in foreign_markup(source.text, {*names.all, *self.rows}):
            self.findings.add(
                "markup",
                f"`{written}` would be printed as it stands",
                source.place(offset, len(written)),
                hint=hint,
            )

    def _words(self, source: Scalar, offset: int, text: str) -> Words | bool | None:
        """The column of a row parameter that is named; False for a wrong one, None for mathematics."""
        name, dot, column = text.strip().partition(".")
        if dot and name in self.wrong:
            return False
        if name not in self.rows:
            if not re.fullmatch(r"[A-Za-z_]+\.[A-Za-z_]+", text.strip()):
                return None
            meant = nearest(name, self.rows) or next(iter(self.rows), "")
            self.findings.add(
                "unknown-column",
                f"`{name}` is no parameter with rows of words",
                source.place(offset, len(text)),
                hint=f"write ${meant}.{column}$"
                if meant
                else f"give it rows: {name}: {{rows: [{{{column}: ...}}]}}",
                cause=name,
            )
            return False
        self.used.add(name)
        columns = self.rows[name].rows[0]
        if column not in columns:
            self.findings.add(
                "unknown-column",
                f"`{name}` has no column `{column}`",
                source.place(offset, len(text)),
                hint=f"its columns: {', '.join(columns)}",
                cause=f"{name}.{column}",
            )
            return False
        return Words(name, column)
