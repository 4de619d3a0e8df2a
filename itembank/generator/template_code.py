"""A template as integer code: one function for what is feasible, one for the forms of all leaves, one for each slip.

Everything that can be said with whole numbers is compiled; what cannot (sums of roots of different numbers, wrong
systems that must be solved) is worked out by the exact reading, through a numbered closure.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.integer_code import ONE, Emitter, Int, NotCompilable, Ratio
from itembank.expressions.plan import (
    DECIMAL,
    FACTORS,
    FORMULA,
    POINTS,
    POLYNOMIAL,
    POSITIVE,
    RATIO,
    SOLUTIONS,
    Leaf,
)
from itembank.generator.point_code import points_code
from itembank.templates.template import NO_SOLUTION, Parameter, Template


@dataclass(frozen=True, slots=True)
class Variable:
    """A parameter in generated code: the variable of its numerator, and of its denominator where it has one."""

    name: str
    numerator: Int
    denominator: Int | None

    @property
    def ratio(self) -> Ratio:
        """Its value."""
        return Ratio(self.numerator, self.denominator or ONE)

    @property
    def arguments(self) -> tuple[str, ...]:
        """The names it takes up in an argument list."""
        return (
            (self.numerator.text,)
            if self.denominator is None
            else (self.numerator.text, self.denominator.text)
        )


def variables(parameters: Iterable[Parameter]) -> tuple[Variable, ...]:
    """The variables v0, v1, ... (and w0, ... for denominators) of numeric parameters, with their ranges."""
    found = []
    for index, parameter in enumerate(parameters):
        ups = [value.numerator for value in parameter.values]
        downs = [value.denominator for value in parameter.values]
        below = None if max(downs) == 1 else Int(f"w{index}", min(downs), max(downs))
        found.append(Variable(parameter.name, Int(f"v{index}", min(ups), max(ups)), below))
    return tuple(found)


class TemplateCode:
    """Writes the functions of one template. `exact_condition(k, ...)`, `exact_form(k, ...)` are its closures."""

    def __init__(self, template: Template, main_letter: str) -> None:
        self.template = template
        self.main_letter = main_letter
        self.variables = variables(template.numeric_parameters)
        self.signature = ", ".join(name for variable in self.variables for name in variable.arguments)
        self.conditions: list[tree.Node] = []
        self.forms: list[Leaf] = []
        self.functions: list[str] = []

    @property
    def text(self) -> str:
        """All functions written so far."""
        return "\n\n".join(self.functions) + "\n"

    def emitter(self, nodes: Iterable[tree.Node], *, arrays: bool = False) -> Emitter:
        """An emitter that knows the parameters and the derived values these trees need."""
        emitter = Emitter(
            {v.name: v.ratio for v in self.variables}, arrays=arrays, main_letter=self.main_letter
        )
        needed = self._needed(nodes)
        for derived in self.template.derived:
            if derived.name in needed:
                with suppress(NotCompilable), emitter.attempt():
                    emitter.names[derived.name] = emitter.rational(derived.expression.node)
        return emitter

    def _needed(self, nodes: Iterable[tree.Node]) -> set[str]:
        needed = {name for node in nodes for name in tree.names(node)}
        for derived in reversed(self.template.derived):
            if derived.name in needed:
                needed |= set(tree.names(derived.expression.node))
        return needed

    def _function(self, name: str, emitter: Emitter, result: str) -> None:
        emitter.emit(f"return {result}")
        self.functions.append(_guarded(name, self.signature, emitter.lines))

    def condition_function(self, name: str, nodes: list[tree.Node]) -> None:
        """A function that is True where all statements hold, False or None elsewhere."""
        emitter = self.emitter(nodes)
        for node in nodes:
            emitter.emit(f"if not {self.condition(emitter, node)}: return False")
        self._function(name, emitter, "True")

    def condition(self, emitter: Emitter, node: tree.Node, also: str = "") -> str:
        """Code for a statement, by closure where it cannot be compiled. also: what the closure needs besides."""
        try:
            with emitter.attempt():
                return emitter.condition(node)
        except NotCompilable:
            self.conditions.append(node)
            given = ", ".join(filter(None, (self.signature, also)))
            return f"exact_condition({len(self.conditions) - 1}, {given})"

    def forms_function(self, name: str, leaves: Iterable[Leaf]) -> None:
        """A function that gives the tuple of the leaves' canonical forms, None where one is undefined."""
        listed = list(leaves)
        emitter = self.emitter([leaf.source for leaf in listed])
        codes = [self.form(emitter, leaf) for leaf in listed]
        self._function(name, emitter, f"({''.join(code + ', ' for code in codes)})")

    def row_function(self, name: str, node: tree.Node, unknown: str) -> None:
        """A function of the parameters and an unknown's value (n, d): whether a row of words is right for it."""
        emitter = self.emitter([node])
        if unknown:
            reach = 10**60
            emitter.names[unknown] = Ratio(Int("n", -reach, reach), Int("d", 1, reach))
        code = self.condition(emitter, node, "n, d" if unknown else "")
        emitter.emit(f"return {code}")
        self.functions.append(
            _guarded(name, ", ".join(filter(None, (self.signature, "n", "d"))), emitter.lines)
        )

    def values_function(self, name: str) -> None:
        """A function that gives the derived values as (numerator, denominator) pairs; None if not compiled."""
        emitter = self.emitter([tree.Name(derived.name) for derived in self.template.derived])
        if any(derived.name not in emitter.names for derived in self.template.derived):
            self.functions.append(f"def {name}({self.signature}):\n    return None")
            return
        pairs = [emitter.reduced(emitter.names[derived.name]) for derived in self.template.derived]
        self._function(name, emitter, f"({''.join(f'({p.n.text}, {p.d.text}), ' for p in pairs)})")

    def form(self, emitter: Emitter, leaf: Leaf) -> str:
        """Code for the canonical form of a leaf, by closure where it cannot be compiled."""
        try:
            with emitter.attempt():
                return emitter.temporary(_form(emitter, leaf))
        except NotCompilable:
            self.forms.append(leaf)
            code = emitter.temporary(f"exact_form({len(self.forms) - 1}, {self.signature})")
            emitter.undefined_if(f"{code} is None")
            return code


def _guarded(name: str, signature: str, lines: list[str]) -> str:
    """A function in which a number beyond a bound counts as undefined."""
    body = "\n".join(f"    {line}" for line in lines)
    return f"def {name}({signature}):\n    try:\n{body}\n    except DomainError:\n        return UNDEFINED"


def _form(emitter: Emitter, leaf: Leaf) -> str:
    if leaf.kind == RATIO:
        return _ratio(emitter.rational(leaf.source))
    if leaf.kind == DECIMAL:
        value = emitter.rational(leaf.source)
        return f"decimal({value.n.text}, {value.d.text}, {leaf.places})"
    if leaf.kind == SOLUTIONS and leaf.source == NO_SOLUTION:
        return "NONE"
    if leaf.kind == SOLUTIONS:
        return _solutions(emitter, leaf.source, leaf.letter)
    if leaf.kind == POINTS:
        return points_code(emitter, leaf.source, leaf.letter, _value)
    if leaf.kind in {FACTORS, FORMULA, POLYNOMIAL, POSITIVE}:
        raise NotCompilable(leaf.kind)
    return _value(emitter, leaf.source)


def _ratio(value: Ratio) -> str:
    if value.d.low == value.d.high == 1:
        return f"integer({value.n.text})"
    return f"ratio({value.n.text}, {value.d.text})"


def _value(emitter: Emitter, node: tree.Node) -> str:
    value = emitter.radical(node)
    coefficient = value.coefficient
    if coefficient.n.low == coefficient.n.high == 0:
        return _ratio(value.rational)
    parts = (value.rational, coefficient, value.radicand)
    listed = ", ".join(f"{part.n.text}, {part.d.text}" for part in parts)
    return f"surd({listed}, {value.both})"


def _solutions(emitter: Emitter, node: tree.Node, letter: str) -> str:
    match node:
        case tree.Relation((tree.Name(name), value), ("=",)) if name == letter and letter not in tree.names(
            value
        ):
            return _value(emitter, value)
        case tree.Or(parts):
            forms = [emitter.temporary(_solutions(emitter, part, letter)) for part in parts]
            return f"union({', '.join(forms)})"
        case tree.Relation(_, ("=",)):
            coefficients = emitter.quadratic(node, letter)
            numerators, _ = emitter.common_denominator(coefficients)
            a, b, c = numerators
            if a.low <= 0 <= a.high and b.low <= 0 <= b.high:
                emitter.undefined_if(f"{a.text} == 0 and {b.text} == 0")
            return f"roots({a.text}, {b.text}, {c.text})"
        case _ if not tree.is_statement(node):
            return _value(emitter, node)
        case _:
            raise NotCompilable("not an equation in one unknown")


def radical_parts(code: TemplateCode, node: tree.Node) -> tuple[bool, bool] | None:
    """For the answer's boxes: can the rational part, can a denominator, differ from 0 and 1? None if not known."""
    try:
        emitter = code.emitter([node])
        value = emitter.radical(node)
    except (NotCompilable, DomainError):
        return None
    rational = value.rational.n
    below = [part.d for part in (value.rational, value.coefficient, value.radicand)]
    return not (rational.low == rational.high == 0), any(not d.low == d.high == 1 for d in below)
