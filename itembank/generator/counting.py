"""Exact counts over a template's box: whole-number arrays with bounds proved to fit 64 bits, else plain integers.

A box that is too large for either is not waited for: its numbers are estimated from the first assignments of the
walk, and that is said.

The outer parameters run as Python loops, the inner ones as arrays; a condition that rejects much thins the arrays
before the next is looked at. What is left is tested for enough unequal slips one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import islice
from math import prod
from typing import Any

from itembank import own_code
from itembank.errors import BoundExceeded
from itembank.expressions import tree
from itembank.expressions.integer_code import NotCompilable
from itembank.expressions.plan import FACTORS
from itembank.generator.bound import Arguments, Bound
from itembank.generator.compiler import main_letter
from itembank.generator.distractors import fates
from itembank.generator.enough import may_lack
from itembank.generator.instantiate import draft, key_forms
from itembank.generator.recipe import shown_leaves
from itembank.generator.space import allowed as allowed_positions
from itembank.generator.template_code import TemplateCode

BLOCK = 1 << 20
"""Largest array of assignments looked at together."""

TILE = 1 << 14
"""Assignments tested together: their arrays stay in the processor's own memory."""

COUNTED_UP_TO = 1_000_000_000
PLAIN_UP_TO = 3_000_000
EXACT_UP_TO = 100_000
"""Largest boxes counted by arrays, by plain whole numbers, and where the exact reading has to decide a line."""

SAMPLED = 200_000
"""Assignments an estimate is made from."""

MOST_SLIP_TESTS = 400_000
"""Above so many assignments the unequal slips are tested on the first ones of the walk only, and that is said."""

SLIP_SAMPLE = 50_000
"""How many of them."""

MOST_EXACT_TESTS = 20_000
EXACT_SAMPLE = 5_000
"""The same where something shown is worked out by the exact reading, and only whether it has a value is asked."""


@dataclass(frozen=True, slots=True)
class Count:
    """size of the box; allowed: fulfil constraints and guarantees; feasible: with enough unequal slips, and a value for
    all that is shown.

    exact: False where `feasible` is an estimate from a sample of the allowed ones, or, in a box that is too large
    to be counted, `allowed` and `feasible` are estimates from the first assignments of the walk.
    bands: feasible ones of each band, in the template's order (estimated together with `feasible`).
    """

    size: int
    allowed: int
    feasible: int
    bands: tuple[int, ...]
    exact: bool = True


_COVERED = frozenset(
    {"sqrt", "surd", "keep", "value", "abs", "min", "max", "numerator", "denominator", "round"}
)
"""Functions that have a value wherever their arguments have one and no root is one of a negative number."""


class Counter:
    """Counts one template."""

    def __init__(self, bound: Bound) -> None:
        self.bound = bound
        self.template = bound.recipe.template
        self._is_beyond_arrays = False

    @cached_property
    def conditions(self) -> list[tree.Node]:
        """The values left out, constraints and guarantees, in the order in which they are told."""
        return [*self.left_out, *(e.node for e in (*self.template.constraints, *self.template.guarantees))]

    @cached_property
    def left_out(self) -> list[tree.Node]:
        """One condition for each parameter that leaves values out."""
        from itembank.generator.compiler import number_node

        return [
            tree.Relation((tree.Name(p.name), number_node(value)), ("!=",))
            for p in self.template.numeric_parameters
            for value in sorted(p.left_out)
        ]

    def survivors(self, conditions: Sequence[tree.Node] | None = None) -> Iterator[list[Arguments]]:
        """Blocks of the assignments that fulfil the conditions (all of the template's unless said).

        Raises BoundExceeded where the box is too large to go through.
        """
        wanted = self.conditions if conditions is None else list(conditions)
        arrays = self._arrays(wanted)
        if arrays is None:
            yield from self._plain(wanted)
            return
        for columns in arrays.blocks():
            yield list(zip(*(column.tolist() for column in columns), strict=True))

    def number(self, conditions: Sequence[tree.Node] | None = None) -> int:
        """How many assignments fulfil the conditions. Raises BoundExceeded as `survivors` does."""
        wanted = self.conditions if conditions is None else list(conditions)
        arrays = self._arrays(wanted)
        if arrays is not None:
            try:
                return sum(len(columns[0]) if columns else 1 for columns in arrays.blocks())
            except BoundExceeded:  # a property's test on arrays knows smaller numbers only
                self._is_beyond_arrays = True
        return sum(len(block) for block in self._plain(wanted))

    def _arrays(self, conditions: list[tree.Node]) -> _Arrays | None:
        if self.bound.size > COUNTED_UP_TO:
            raise BoundExceeded(f"a box of {self.bound.size} assignments is not counted")
        return None if self._is_beyond_arrays else _Arrays.of(self.bound, conditions)

    def _plain(self, conditions: list[tree.Node]) -> Iterator[list[Arguments]]:
        test, is_exact = _scalar_test(self.bound, conditions)
        if self.bound.size > (EXACT_UP_TO if is_exact else PLAIN_UP_TO):
            raise BoundExceeded(f"a box of {self.bound.size} assignments is not counted one by one")
        block: list[Arguments] = []
        for index in range(self.bound.size):
            arguments = self.bound.assignment(index)
            if test(*arguments):
                block.append(arguments)
                if len(block) >= BLOCK:
                    yield block
                    block = []
        yield block

    def count(self) -> Count:
        """Everything counted.

        Constraints, guarantees and bands are counted exactly wherever the box can be gone through. Whether something
        is undefined, or slips are equal, is tested one by one up to MOST_SLIP_TESTS assignments; above, their share
        is found on the first positions of a walk.
        """
        banded = [[e.node for e in conditions] for _, conditions in self.template.bands]
        try:
            lines = [*self.conditions, *self.defined]
            allowed, shown = self._allowed_and_shown()
            bands = [self.number([*lines, *nodes]) for nodes in banded]
        except BoundExceeded:
            return self._estimated()
        if not self._needs_drafts():
            return Count(self.bound.size, allowed, shown, tuple(bands))
        is_slow = bool(self.bound.recipe.exact_leaves) and not any(map(may_lack, self.bound.recipe.parts))
        most, sample = (MOST_EXACT_TESTS, EXACT_SAMPLE) if is_slow else (MOST_SLIP_TESTS, SLIP_SAMPLE)
        if allowed > most:
            kept, seen = self._share_with_slips(sample)
            estimates = [allowed * kept // seen, *(number * kept // seen for number in bands)]
            return Count(self.bound.size, allowed, estimates[0], tuple(estimates[1:]), False)
        feasible, bands = 0, [0] * len(bands)
        for block in self.survivors():
            for arguments in block:
                if draft(self.bound, arguments, checked=True) is not None:
                    feasible += 1
                    for index, band in enumerate(self.bound.bands):
                        bands[index] += bool(band(*arguments))
        return Count(self.bound.size, allowed, feasible, tuple(bands))

    def _allowed_and_shown(self) -> tuple[int, int]:
        """How many fulfil every line, and for how many of them all that is shown is defined."""
        if not self.defined:
            allowed = self.number()
            return allowed, allowed
        arrays = self._arrays(self.conditions)
        more = _Arrays.of(self.bound, self.defined) if arrays is not None else None
        if arrays is None or more is None:
            return self.number(), self.number([*self.conditions, *self.defined])
        try:
            return _in_one_pass(arrays, more)
        except BoundExceeded:  # as in `number`
            self._is_beyond_arrays = True
            return self.number(), self.number([*self.conditions, *self.defined])

    def _needs_drafts(self) -> bool:
        """Whether an allowed assignment may yet make no item, for want of unequal slips or of a value."""
        recipe = self.bound.recipe
        is_taken_apart = any(leaf.kind == FACTORS for leaf in shown_leaves(recipe))
        return (
            any(map(may_lack, recipe.parts)) or is_taken_apart or not all(map(self._is_covered, self.sources))
        )

    @cached_property
    def sources(self) -> list[tree.Node]:
        """All that must have a value: what is shown, and the derived values that it is made of."""
        shown = [leaf.source for leaf in shown_leaves(self.bound.recipe)]
        named = {name for node in shown for name in tree.names(node)}
        made = []
        for derived in reversed(self.template.derived):
            if derived.name in named:
                made.append(derived.expression.node)
                named |= set(tree.names(derived.expression.node))
        return [*shown, *made]

    def _is_covered(self, node: tree.Node) -> bool:
        """Whether a tree has a value wherever the conditions `defined` hold of it."""
        match node:
            case tree.Number() | tree.Name():
                return True
            case tree.Power(base, exponent):
                is_fit = self._is_positive(exponent) or isinstance(base, tree.Number)
                return is_fit and self._is_whole(exponent) and self._is_covered(base)
            case tree.Call(function):
                return function in _COVERED and all(map(self._is_covered, node.arguments))
            case tree.Relation(operands):
                return any(isinstance(each, tree.Name | tree.Point) for each in operands) and all(
                    map(self._is_covered, operands)
                )
            case tree.Quotient(_, denominator) if not self._known.issuperset(tree.names(denominator)):
                return False
            case (
                tree.Sum()
                | tree.Product()
                | tree.Quotient()
                | tree.Negation()
                | tree.PlusMinus()
                | tree.Point()
            ):
                return all(map(self._is_covered, tree.children(node)))
            case tree.And() | tree.Or():
                return all(map(self._is_covered, node.parts))
            case _:
                return False

    def _exponents(self, node: tree.Node) -> Sequence[int | Fraction]:
        """The values of a number or of a parameter; () for what may have others."""
        if isinstance(node, tree.Number):
            return (node.value,)
        named = [p.values for p in self.bound.parameters if node == tree.Name(p.name)]
        return named[0] if named else ()

    def _is_whole(self, node: tree.Node) -> bool:
        values = self._exponents(node)
        return bool(values) and all(value.denominator == 1 for value in values)

    def _is_positive(self, node: tree.Node) -> bool:
        values = self._exponents(node)
        return bool(values) and min(values) > 0

    @cached_property
    def defined(self) -> list[tree.Node]:
        """Conditions under which all that is shown has a value: radicands not negative, denominators not 0."""
        found: dict[tree.Node, None] = {}
        nought = tree.Number(Fraction(0))
        for source in self.sources:
            for part in tree.walk(source):
                match part:
                    case tree.Call("sqrt" | "surd", (radicand,)):
                        found[tree.Relation((radicand, nought), (">=",))] = None
                    case tree.Quotient(_, denominator) if not isinstance(denominator, tree.Number):
                        found[tree.Relation((denominator, nought), ("!=",))] = None
        return [node for node in found if self._known.issuperset(tree.names(node))]

    @cached_property
    def _known(self) -> frozenset[str]:
        """The names that have a value."""
        return frozenset([*(p.name for p in self.bound.parameters), *(d.name for d in self.template.derived)])

    def _estimated(self) -> Count:
        """From the first assignments of the walk of seed 0."""
        size, order, looked_at = self.bound.size, self.bound.order(0), min(SAMPLED, self.bound.size)
        allowed, numbers = 0, [0] * (1 + len(self.bound.bands))
        for position in range(looked_at):
            arguments = self.bound.assignment(order.at(position))
            if self.bound.feasible(*arguments):
                allowed += 1
                if draft(self.bound, arguments, checked=True) is not None:
                    numbers[0] += 1
                    for index, band in enumerate(self.bound.bands, 1):
                        numbers[index] += bool(band(*arguments))
        feasible, *bands = (number * size // looked_at for number in numbers)
        return Count(size, allowed * size // looked_at, feasible, tuple(bands), False)

    def _share_with_slips(self, sample: int) -> tuple[int, int]:
        """How many of the first allowed positions make items, and how many were looked at."""
        kept = seen = 0
        for found in islice(allowed_positions(self.bound, 0), sample):
            seen += 1
            kept += draft(self.bound, found.arguments, checked=True) is not None
        return kept, seen

    def slip_fates(
        self, assignments: Sequence[Arguments], number: int
    ) -> list[dict[str, tuple[int, Arguments]]]:
        """For each slip of a part: fate -> (how often, first assignment), over the given assignments."""
        part = self.bound.recipe.parts[number]
        tallies: list[dict[str, tuple[int, Arguments]]] = [{} for _ in part.slips]
        for arguments in assignments:
            forms = self.bound.forms(*arguments)
            if forms is None:
                continue
            for tally, fate in zip(
                tallies,
                fates(self.bound, number, key_forms(self.bound, number, forms), arguments),
                strict=True,
            ):
                times, first = tally.get(fate.word, (0, arguments))
                tally[fate.word] = (times + 1, first)
        return tallies


def _in_one_pass(arrays: _Arrays, more: _Arrays) -> tuple[int, int]:
    """How many fulfil the conditions of `arrays`, and how many of these those of `more`."""
    import numpy as np

    first = both = 0
    for columns in arrays.blocks():
        mask = np.ones(len(columns[0]), dtype=bool)
        for step in more.all_steps:
            mask &= step.holds(*columns)
        first += len(mask)
        both += int(np.count_nonzero(mask))
    return first, both


def _scalar_test(bound: Bound, conditions: list[tree.Node]) -> tuple[Callable[..., bool | None], bool]:
    """The conditions as one function of an assignment, and whether the exact reading is needed for one of them."""
    code = TemplateCode(
        bound.recipe.template, main_letter(bound.recipe.template, bound.recipe.template.parts[0])
    )
    code.condition_function("test", conditions)
    from itembank.generator import exactly
    from itembank.generator.runtime import namespace

    def exact_condition(number: int, *arguments: int) -> bool | None:
        return exactly.condition(code.conditions[number], bound.values(arguments), code.main_letter)

    names = namespace({"exact_condition": exact_condition})
    test: Callable[..., bool | None] = own_code.run(code.text, "<test>", names)["test"]
    return test, bool(code.conditions)


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """A condition on arrays, the numbers of the parameters it looks at, and how dear it is."""

    holds: Callable[..., Any]
    parameters: frozenset[int]
    cost: int


def _parameters(bound: Bound, node: tree.Node) -> frozenset[int]:
    needed = set(tree.names(node))
    for derived in reversed(bound.recipe.template.derived):
        if derived.name in needed:
            needed |= set(tree.names(derived.expression.node))
    return frozenset(i for i, p in enumerate(bound.parameters) if p.name in needed)


def _cost(node: tree.Node) -> int:
    calls = {part.function for part in tree.walk(node) if isinstance(part, tree.Call)}
    return 2 if calls & {"gcd", "lcm", "coprime"} else 1 if calls else 0


class _Arrays:
    """The conditions of a template as functions of arrays."""

    def __init__(self, bound: Bound, steps: list[_Step], outer: int) -> None:
        self.bound = bound
        self.all_steps = sorted(steps, key=lambda step: (len(step.parameters), step.cost))
        self.steps = self.all_steps
        self.outer = outer

    @classmethod
    def of(cls, bound: Bound, conditions: list[tree.Node]) -> _Arrays | None:
        """None where a condition cannot be said in 64-bit integers, or the box is too small to be worth it."""
        if bound.size < 2_000 or not bound.parameters:
            return None
        import numpy as np

        from itembank.properties import array_tests
        from itembank.properties.catalogue import PROPERTIES

        template = bound.recipe.template
        code = TemplateCode(template, main_letter(template, template.parts[0]))
        functions = []
        for index, node in enumerate(conditions):
            try:
                emitter = code.emitter([node], arrays=True)
                result = emitter.condition(node)
            except NotCompilable:
                return None
            lines = [*emitter.lines, f"    return {result}"]
            if any("undefined" in line for line in emitter.lines):
                lines = [
                    "    undefined = np.bool_(False)",
                    *emitter.lines,
                    f"    return ({result}) & ~undefined",
                ]
            functions.append("\n".join([f"def step_{index}({code.signature}):", *lines, ""]))
        names: dict[str, Any] = {"__builtins__": {"abs": abs}, "np": np}
        names.update({f"test_{name}": array_tests.array_test(name) for name in PROPERTIES})
        own_code.run("\n".join(functions), "<arrays>", names)
        sizes = [len(p.values) for p in bound.parameters]
        outer, inner = len(sizes), 1
        while outer > 0 and inner * sizes[outer - 1] <= BLOCK:
            outer -= 1
            inner *= sizes[outer]
        if outer == len(sizes):
            return None
        steps = [
            _Step(names[f"step_{i}"], _parameters(bound, node), _cost(node))
            for i, node in enumerate(conditions)
        ]
        return cls(bound, steps, outer)

    def blocks(self) -> Iterator[list[Any]]:
        """For each block the columns (numerators, denominators) of the assignments that fulfil every condition."""
        import numpy as np

        pruned = self._pruned_columns()
        if not all(pruned):
            return
        columns = [np.array(column, dtype=np.int64) for column in pruned]
        inner = columns[self.outer :]
        grids: list[Any] = []
        for axis, column in enumerate(inner):
            shape = [1] * len(inner)
            shape[axis] = len(column)
            grids.extend(column[:, part].reshape(shape) for part in range(column.shape[1]))
        yield from self._loops(columns[: self.outer], (), grids)

    def _pruned_columns(self) -> list[list[Arguments]]:
        """The columns without the values that a condition on one parameter alone rejects."""
        columns = [list(column) for column in self.bound.columns()]
        self.steps = list(self.all_steps)
        for step in self.all_steps:
            if len(step.parameters) != 1:
                continue
            if not all(columns):
                break
            (at,) = step.parameters
            before = [column[0] for column in columns]
            columns[at] = [v for v in columns[at] if step.holds(*_flat([*before[:at], v, *before[at + 1 :]]))]
            self.steps.remove(step)
        return columns

    def _loops(self, columns: list[Any], fixed: tuple[int, ...], grids: list[Any]) -> Iterator[list[Any]]:
        import numpy as np

        if any(grid.size == 0 for grid in grids):
            return
        if columns:
            for value in columns[0]:
                yield from self._loops(columns[1:], (*fixed, *value), grids)
            return
        shape = np.broadcast_shapes(*(grid.shape for grid in grids))
        rows = max(1, TILE * shape[0] // prod(shape))
        for first in range(0, shape[0], rows):
            tile = [grid[first : first + rows] if grid.shape[0] > 1 else grid for grid in grids]
            yield from self._tile(fixed, tile)

    def _tile(self, fixed: tuple[int, ...], grids: list[Any]) -> Iterator[list[Any]]:
        """The same for open grids that are small enough to stay close to the processor."""
        import numpy as np

        scalars = tuple(np.int64(value) for value in fixed)
        current, shape, mask = grids, np.broadcast_shapes(*(grid.shape for grid in grids)), None
        for step in self.steps:
            found = np.broadcast_to(step.holds(*scalars, *current), shape)
            mask = found if mask is None else mask & found
            left = int(np.count_nonzero(mask))
            if left == 0:
                return
            if left * 4 < mask.size:
                where = np.nonzero(mask)
                current = [_picked(grid, where) for grid in current]
                shape, mask = (left,), None
        if mask is not None or len(shape) != 1:
            where = np.nonzero(np.ones(shape, dtype=bool) if mask is None else mask)
            current = [_picked(grid, where) for grid in current]
        size = len(current[0])
        yield [*(np.full(size, value, dtype=np.int64) for value in fixed), *current]


def _picked(grid: Any, where: tuple[Any, ...]) -> Any:
    """The entries of an open grid at the places of the whole one."""
    for axis, index in enumerate(where):
        if grid.shape[axis] != 1 or grid.ndim == 1:
            return grid.reshape(-1)[index]
    return grid.reshape(-1)[where[0] * 0]


def _flat(values: list[Arguments]) -> list[int]:
    return [number for value in values for number in value]
