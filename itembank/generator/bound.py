"""A recipe with its code running: feasible or not, forms of leaves, answers of slips, exact values."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from operator import itemgetter
from typing import Any, TypeAlias

from itembank import own_code
from itembank.expressions import canonical, tree
from itembank.expressions.canonical import Form
from itembank.expressions.numbers import Exact, whole
from itembank.generator import exactly, runtime
from itembank.generator.permutation import Permutation, keyed
from itembank.generator.recipe import LineRecipe, PartRecipe, Recipe, SlipRecipe

Arguments: TypeAlias = tuple[int, ...]
Forms: TypeAlias = tuple[Form, ...]


class Bound:
    """The running form of a recipe.

    An assignment is a tuple of whole numbers: numerators of the parameters in order, each followed by its
    denominator where the parameter has fractions.
    """

    def __init__(self, recipe: Recipe) -> None:
        self.recipe = recipe
        self.parameters = recipe.template.numeric_parameters
        self._wide = tuple(any(v.denominator != 1 for v in p.values) for p in self.parameters)
        self.width = len(self.parameters) + sum(self._wide)
        self._choices = tuple(self._column(index) for index in range(len(self.parameters)))
        self._plain_columns: list[tuple[list[int], int]] | None = None
        if not any(self._wide):
            self._plain_columns = [
                ([v for (v,) in column], len(column)) for column in reversed(self._choices)
            ]
        self.size = 1
        for column in self._choices:
            self.size *= len(column)
        names = runtime.namespace({"exact_condition": self._condition, "exact_form": self._form})
        filename = f"<{recipe.template.name}>"
        functions = own_code.run(recipe.code, filename, names)
        self.feasible: Callable[..., bool | None] = functions["feasible"]
        self.forms: Callable[..., Forms | None] = functions["forms"]
        self._derived: Callable[..., Any] = functions["derived_values"]
        self.bands: tuple[Callable[..., bool | None], ...] = tuple(
            functions[f"band_{i}"] for i in range(len(recipe.bands))
        )
        self._functions = functions
        self._rows: dict[tuple[int, int], Callable[..., Any]] = {
            (number, index): functions[f"row_{number}_{index}"]
            for number, part in enumerate(recipe.parts)
            for index in range(len(part.words))
        }
        self._words: dict[tuple[int, int], list[Callable[..., Any]]] = {
            (number, place): [functions[f"word_{number}_{place}_{i}"] for i in range(len(words.texts))]
            for number, part in enumerate(recipe.parts)
            for place, words in enumerate(part.one_of)
            if words is not None
        }
        self.getters = [self._getter(part.key_leaves) for part in recipe.parts]

    def _column(self, index: int) -> tuple[Arguments, ...]:
        wide = self._wide[index]
        return tuple(
            (v.numerator, v.denominator) if wide else (v.numerator,) for v in self.parameters[index].values
        )

    @staticmethod
    def _getter(indices: tuple[int, ...]) -> Callable[[Forms], Forms]:
        if not indices:
            return lambda forms: ()
        if len(indices) == 1:
            only = indices[0]
            return lambda forms: (forms[only],)
        return itemgetter(*indices)

    def order(self, seed: int) -> Permutation:
        """The order in which the box is walked for a seed."""
        return keyed(self.recipe.template.name, seed, self.size)

    def assignment(self, index: int) -> Arguments:
        """The assignment at an index of the box; the last parameter runs fastest."""
        if self._plain_columns is not None:
            numbers = []
            for plain, size in self._plain_columns:
                index, at = divmod(index, size)
                numbers.append(plain[at])
            return tuple(numbers[::-1])
        parts: list[Arguments] = []
        for column in reversed(self._choices):
            index, at = divmod(index, len(column))
            parts.append(column[at])
        return tuple([number for part in reversed(parts) for number in part])

    def columns(self) -> list[tuple[Arguments, ...]]:
        """The values of each parameter, as whole numbers (numerator, and denominator where it has one)."""
        return list(self._choices)

    def first_argument(self, index: int) -> int:
        """Where the numbers of a parameter begin in an assignment."""
        return index + sum(self._wide[:index])

    def chosen(self, indices: list[int]) -> Arguments:
        """The assignment with the value at this index of each parameter."""
        return tuple(
            [number for column, at in zip(self._choices, indices, strict=True) for number in column[at]]
        )

    def values(self, arguments: Arguments) -> dict[str, Exact]:
        """name -> exact value of every parameter and derived value."""
        found = self._parameters(arguments)
        pairs = self._derived(*arguments)
        if pairs is None:
            return self._exact_values(arguments)
        for derived, (n, d) in zip(self.recipe.template.derived, pairs, strict=True):
            found[derived.name] = n if d == 1 else Fraction(n, d)
        return found

    def _parameters(self, arguments: Arguments) -> dict[str, Exact]:
        found: dict[str, Exact] = {}
        position = 0
        for parameter, wide in zip(self.parameters, self._wide, strict=True):
            n = arguments[position]
            position += 1
            if not wide:
                found[parameter.name] = n
            else:
                found[parameter.name] = whole(Fraction(n, arguments[position]))
                position += 1
        return found

    def _exact_values(self, arguments: Arguments) -> dict[str, Exact]:
        from itembank.errors import DomainError
        from itembank.expressions import exact

        found = self._parameters(arguments)
        for derived in self.recipe.template.derived:
            try:
                found[derived.name] = exact.number(derived.expression.node, found)
            except (DomainError, KeyError):
                continue
        return found

    def _condition(self, number: int, *arguments: int) -> bool | None:
        node = self.recipe.conditions[number]
        width = len(arguments)
        expected = self.width
        values = self._exact_values(arguments[:expected])
        if width > expected:
            unknowns = [
                name
                for part in self.recipe.parts
                for name in part.template.unknowns
                if (part.words or part.one_of) and name in tree.names(node)
            ]
            for unknown in unknowns:
                values[unknown] = whole(Fraction(arguments[expected], arguments[expected + 1]))
        return exactly.condition(node, values, self.recipe.main_letter)

    def _form(self, number: int, *arguments: int) -> Form | None:
        return exactly.form(
            self.recipe.exact_leaves[number], self._exact_values(arguments), self.recipe.main_letter
        )

    def slip_forms(self, number: int, index: int, slip: SlipRecipe, arguments: Arguments) -> Forms | None:
        """The forms of a slip's answer; None where the slip is undefined or does not apply."""
        if slip.template.when is not None and not self._functions[f"when_{number}_{index}"](*arguments):
            return None
        if slip.answer.kind == "none":
            return (canonical.NONE,)
        if slip.apart and self.apart_forms(slip, arguments) is None:
            return None
        if slip.has_domain:
            return self._in_domain(self.recipe.parts[number], slip, arguments)
        if slip.answer.explicit:
            found: Forms | None = self._functions[slip.function](*arguments)
            return found
        return self._solved(self.recipe.parts[number], slip, arguments)

    def line_forms(self, line: LineRecipe, arguments: Arguments) -> Forms | None:
        """The forms of a line that stands in some items only; None where some of it is undefined."""
        found: Forms | None = self._functions[line.forms](*arguments)
        return found

    def apart_forms(self, slip: SlipRecipe, arguments: Arguments) -> Forms | None:
        """The forms of what a slip shows as written; None where some of it is undefined."""
        found: Forms | None = self._functions[slip.apart](*arguments)
        return found

    def _solved(self, part: PartRecipe, slip: SlipRecipe, arguments: Arguments) -> Forms | None:
        from itembank.errors import DomainError
        from itembank.proof.solver import CannotDecide

        assert slip.answer.statement is not None
        template = part.template
        try:
            solutions = exactly.solution_set(
                slip.answer.statement,
                template.unknowns,
                template.for_every,
                self._exact_values(arguments),
                part.main_letter,
            )
            if len(solutions) != 1:
                return None
            (point,) = solutions
            return tuple(canonical.exact(value) for value in point)
        except (DomainError, CannotDecide):
            return None

    def _in_domain(self, part: PartRecipe, slip: SlipRecipe, arguments: Arguments) -> Forms | None:
        """A wrong equation's solutions that a pupil would not give up as outside the domain."""
        from itembank.errors import DomainError
        from itembank.proof.solver import CannotDecide

        domain = part.template.domain
        assert domain is not None
        unknowns = part.template.unknowns
        values = self._exact_values(arguments)
        try:
            solutions = exactly.solution_set(
                slip.answer.leaves[0].source, unknowns, (), values, part.main_letter
            )
            inside = [
                point
                for point in solutions
                if exactly.condition(
                    domain.node, {**values, **dict(zip(unknowns, point, strict=True))}, part.main_letter
                )
            ]
            if slip.answer.kind == "points":
                return (exactly.points_form(frozenset(inside)),)
            return (canonical.solution_set([value for (value,) in inside]),)
        except (DomainError, CannotDecide):
            return None

    def rows_true(self, number: int, form: Form, arguments: Arguments) -> tuple[bool, ...] | None:
        """For each row of words whether it is right for the value of a form; None where one cannot be told."""
        found = self.rows_held(number, form, arguments)
        return None if found is None or None in found else tuple(bool(holds) for holds in found)

    def rows_held(self, number: int, form: Form, arguments: Arguments) -> tuple[bool | None, ...] | None:
        """For each row of words whether it is right, None where that cannot be told; None where there is no value."""
        value = canonical.rational(form)
        if value is None:
            return None
        rows = range(len(self.recipe.parts[number].words))
        return tuple(self._rows[number, index](*arguments, *value) for index in rows)

    def row(self, number: int, form: Form, arguments: Arguments) -> int:
        """Which row of words is right for the value of a form; -1 for none, -2 for several or an undecided one."""
        value = canonical.rational(form)
        if value is None:
            return -2
        found = -1
        for index in range(len(self.recipe.parts[number].words)):
            holds = self._rows[number, index](*arguments, *value)
            if holds is None:
                return -2
            if holds:
                if found >= 0:
                    return -2
                found = index
        return found

    def word(self, number: int, place: int, form: Form, arguments: Arguments) -> int:
        """Which words of a blank are right for the value of a form; -1 for none, -2 for several or an undecided one."""
        held = self.words_held(number, place, form, arguments)
        if held is None or None in held or sum(map(bool, held)) > 1:
            return -2
        return held.index(True) if True in held else -1

    def words_held(
        self, number: int, place: int, form: Form, arguments: Arguments
    ) -> tuple[bool | None, ...] | None:
        """For each of a blank's words whether they are right, as `rows_held` tells of rows."""
        words = self.recipe.parts[number].one_of[place]
        assert words is not None
        value = canonical.rational(form) if words.needs_value else (0, 1)
        if value is None:
            return None
        return tuple(function(*arguments, *value) for function in self._words[number, place])
