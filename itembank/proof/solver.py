"""All real solutions of systems of polynomial equations, exactly, by elimination.

Covers what school algebra needs: linear equations, quadratics in one unknown or in a power of it, and systems that
fall apart into these one after the other. Anything else is Undecided, never guessed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from itembank.errors import DomainError, ItembankError
from itembank.expressions import numbers, polynomials
from itembank.expressions.hidden import Hidden
from itembank.expressions.numbers import Exact, Surd, whole
from itembank.expressions.polynomials import Polynomial
from itembank.proof.hidden import Covered, put_in, with_hidden
from itembank.proof.rational_roots import count_real_roots, split_off

Solution: TypeAlias = tuple[Exact, ...]


class CannotDecide(ItembankError):
    """The solver has no method for this system; the reason is its text."""


@dataclass(frozen=True, slots=True)
class System:
    """What holds together: polynomials that are 0, and those that are not, for something is divided by them.

    hidden: letters in them that stand for a root of an unknown or for a power with one in its exponent.
    """

    zero: tuple[Polynomial, ...]
    not_zero: tuple[Polynomial, ...] = ()
    hidden: tuple[Hidden, ...] = ()

    def __and__(self, other: System) -> System:
        return System(self.zero + other.zero, self.not_zero + other.not_zero, self.hidden + other.hidden)

    def solutions(self, unknowns: Sequence[str]) -> frozenset[Solution]:
        """All real solutions in the order of `unknowns`. Raises CannotDecide and DomainError as `solve` does."""
        if self.hidden:
            return self._uncovered(unknowns, unknowns, strict=True)
        found = solve(self.zero, unknowns)
        if not self.not_zero:
            return found
        return frozenset(s for s in found if self.is_defined(dict(zip(unknowns, s, strict=True))))

    def with_false_roots(self, unknowns: Sequence[str], shown: Sequence[str]) -> frozenset[Solution]:
        """What some unknowns are before false roots are given up: what is hidden has any sign, a denominator is 0.

        Raises CannotDecide as `solve` does, and for an unknown that a power tells only once it is known to be positive.
        """
        return self._uncovered(unknowns, shown, strict=False)

    @property
    def may_have_false_roots(self) -> bool:
        """Whether working may lead to values that solve it no more."""
        return bool(self.hidden or self.not_zero)

    def _uncovered(
        self, unknowns: Sequence[str], shown: Sequence[str], *, strict: bool
    ) -> frozenset[Solution]:
        problem = Covered.of(self.zero, self.not_zero, self.hidden, unknowns)
        found: set[Solution] = set()
        for values in self._values(problem):
            for every in problem.uncovered(values) if strict else (values,):
                missing = [name for name in shown if name not in every]
                if missing:
                    raise CannotDecide(f"{missing[0]} is not determined before its power is")
                if not strict or problem.divides(every):
                    found.add(tuple(every[name] for name in shown))
        return frozenset(found)

    def _divides(self, values: Mapping[str, Exact]) -> bool:
        return all(put_in(each, values).constant() != 0 for each in self.not_zero)

    @staticmethod
    def _values(problem: Covered) -> list[dict[str, Exact]]:
        try:
            return solve_all(problem.equations, problem.letters)
        except CannotDecide as stuck:
            if problem.twice:
                raise CannotDecide(f"{problem.twice} stands in an exponent and elsewhere") from stuck
            raise

    def for_every(self, letters: Sequence[str]) -> System:
        """What must hold for it to hold for every value of some letters for which it has a meaning.

        Raises CannotDecide.
        """
        if not letters:
            return self
        if self.hidden:
            raise CannotDecide("an identity with a letter under a root or in an exponent")
        for divisor in self.not_zero:
            if not any(part.terms and not part.letters for part in _coefficients((divisor,), letters)):
                raise CannotDecide("an identity that is divided by what may be 0 everywhere")
        return System(_coefficients(self.zero, letters))

    def is_defined(self, values: Mapping[str, Exact]) -> bool:
        """Whether nothing is divided by 0 at some values, and every root is real."""
        every = with_hidden(self.hidden, values)
        return every is not None and self._divides(every)

    def holds(self, values: Mapping[str, Exact]) -> bool:
        """Whether values of the letters make it true, for every value of the letters that are left."""
        every = with_hidden(self.hidden, values)
        if every is None:
            return False
        return not any(put_in(each, every).terms for each in self.zero) and self._divides(every)


def _coefficients(of: tuple[Polynomial, ...], letters: Sequence[str]) -> tuple[Polynomial, ...]:
    """What multiplies the powers of some letters and their products."""
    for letter in letters:
        of = tuple(part for each in of for part in each.in_powers_of(letter).values())
    return of


def solve(equations: Iterable[Polynomial], unknowns: Sequence[str]) -> frozenset[Solution]:
    """The set of real solutions, each a tuple in the order of `unknowns`.

    equations: polynomials that must be 0, in the unknowns only. Raises CannotDecide for systems with infinitely
    many solutions or beyond the method, DomainError for numbers that have no exact form here.

    >>> x = polynomials.letter("x")
    >>> sorted(solve([polynomials.subtract(polynomials.multiply(x, x), polynomials.number(4))], ["x"]))
    [(-2,), (2,)]
    """
    return frozenset(
        tuple(solution[name] for name in unknowns) for solution in solve_all(equations, unknowns)
    )


def solve_all(equations: Iterable[Polynomial], unknowns: Sequence[str]) -> list[dict[str, Exact]]:
    """The same, each solution as unknown -> value, some perhaps repeated."""
    return _solve([e for e in equations if e.terms], tuple(unknowns))


def _solve(equations: list[Polynomial], unknowns: tuple[str, ...]) -> list[dict[str, Exact]]:
    for equation in equations:
        letters = equation.letters
        if not letters:
            return []
        stray = [letter for letter in letters if letter not in unknowns]
        if stray:
            raise CannotDecide(f"the letter {stray[0]} is neither given nor to be found")
    if not unknowns:
        return [{}]
    if not equations:
        raise CannotDecide(f"{unknowns[0]} is not determined")
    step = _linear_step(equations) or _univariate_step(equations)
    if step is None:
        raise CannotDecide("the system is neither linear nor a chain of quadratics")
    name, values, rest = step
    others = tuple(u for u in unknowns if u != name)
    solutions: list[dict[str, Exact]] = []
    for value in values:
        reduced = [polynomials.substitute(equation, name, value) for equation in rest]
        for solution in _solve([e for e in reduced if e.terms], others):
            found = value
            for other, number in solution.items():
                found = polynomials.substitute(found, other, polynomials.number(number))
            solutions.append({**solution, name: found.constant()})
    return solutions


def _linear_step(equations: list[Polynomial]) -> tuple[str, list[Polynomial], list[Polynomial]] | None:
    """An equation that gives one unknown in terms of the others."""
    for index, equation in enumerate(equations):
        for name in equation.letters:
            if not equation.is_linear_in(name):
                continue
            parts = equation.in_powers_of(name)
            if not parts[1].letters:
                factor = numbers.negate(numbers.invert(parts[1].constant()))
                value = polynomials.scale(parts.get(0, polynomials.ZERO), factor)
                return name, [value], equations[:index] + equations[index + 1 :]
    return None


def _univariate_step(equations: list[Polynomial]) -> tuple[str, list[Polynomial], list[Polynomial]] | None:
    """A quadratic in one unknown alone."""
    for index, equation in enumerate(equations):
        letters = equation.letters
        if len(letters) != 1:
            continue
        (name,) = letters
        parts = equation.in_powers_of(name)
        if max(parts) > 2:
            values = _roots_of_higher_degree(parts, name)
            if values is not None:
                return name, values, equations[:index] + equations[index + 1 :]
            continue
        return name, _distinct(_roots(parts)), equations[:index] + equations[index + 1 :]
    return None


def _roots_of_higher_degree(parts: dict[int, Polynomial], name: str) -> list[Polynomial] | None:
    """Roots of t^n * (a*t^(2m) + b*t^m + c), m = 1 or 2, times factors with rational roots; None for other ones."""
    lowest = min(parts)
    zero = [polynomials.ZERO] if lowest > 0 else []
    exponents = {exponent - lowest for exponent in parts}
    if exponents <= {0, 1, 2}:
        return _distinct([*zero, *_roots({exponent - lowest: part for exponent, part in parts.items()})])
    if not exponents <= {0, 2, 4}:
        return _roots_beside_rational_ones(parts, name)
    a, b, c = (parts.get(lowest + e, polynomials.ZERO).constant() for e in (4, 2, 0))
    found = [
        root for square in quadratic_roots(a, b, c) for root in quadratic_roots(1, 0, numbers.negate(square))
    ]
    return _distinct([*zero, *(polynomials.number(root) for root in found)])


def _roots_beside_rational_ones(parts: dict[int, Polynomial], name: str) -> list[Polynomial] | None:
    degree = max(parts)
    given = [parts.get(power, polynomials.ZERO).constant() for power in range(degree, -1, -1)]
    rational = [Fraction(value) for value in given if not isinstance(value, Surd)]
    if len(rational) < len(given):
        return None
    split, left = split_off(rational)
    if len(left) > 3 and not count_real_roots(left):  # what is left over has no real root to be found
        return _distinct([polynomials.number(whole(root)) for root in split])
    if not split:
        return None
    found = [polynomials.number(whole(root)) for root in split]
    rest = {power: polynomials.number(value) for power, value in enumerate(reversed(left)) if value}
    if max(rest) == 0:
        return _distinct(found)
    if max(rest) <= 2:
        c, b, a = (*reversed(left), 0)[:3]
        return _distinct([*found, *(polynomials.number(root) for root in quadratic_roots(a, b, c))])
    others = _roots_of_higher_degree(rest, name)
    return None if others is None else _distinct([*found, *others])


def _distinct(values: list[Polynomial]) -> list[Polynomial]:
    return list(dict.fromkeys(values))


def _roots(parts: dict[int, Polynomial]) -> list[Polynomial]:
    """Of a quadratic in one unknown by its powers."""
    a, b, c = (parts.get(power, polynomials.ZERO).constant() for power in (2, 1, 0))
    return [polynomials.number(root) for root in quadratic_roots(a, b, c)]


def quadratic_roots(a: Exact, b: Exact, c: Exact) -> list[Exact]:
    """The distinct real roots of a*t^2 + b*t + c, not all of a, b, c being 0.

    >>> quadratic_roots(1, -2, -3)
    [-1, 3]
    """
    if a == 0:
        if b == 0:
            if c == 0:
                raise CannotDecide("every number is a solution")
            return []
        return [numbers.negate(numbers.divide(c, b))]
    if type(a) is int and type(b) is int and type(c) is int:
        inside_of_whole = b * b - 4 * a * c
        if inside_of_whole <= numbers.LARGEST_FACTORED:
            return _whole_quadratic_roots(a, b, inside_of_whole)
    half = numbers.negate(numbers.divide(b, numbers.multiply(2, a)))
    inside = numbers.subtract(numbers.multiply(half, half), numbers.divide(c, a))
    order = numbers.sign(inside)
    if order < 0:
        return []
    if order == 0:
        return [half]
    try:
        root = numbers.square_root(inside)
    except DomainError as nested:
        if isinstance(inside, Surd):
            raise CannotDecide("the roots are nested roots") from nested
        raise
    return [numbers.subtract(half, root), numbers.add(half, root)]


def _whole_quadratic_roots(a: int, b: int, inside: int) -> list[Exact]:
    """The same for whole coefficients, a not 0, inside = b² - 4ac: (-b ± √inside)/(2a). Source: DLMF 1.11(iii)."""
    if inside < 0:
        return []
    middle = Fraction(-b, 2 * a)
    if inside == 0:
        return [whole(middle)]
    outside, radicand = numbers.square_root_parts(inside)
    reach = Fraction(outside, abs(2 * a))
    if radicand == 1:
        return [whole(middle - reach), whole(middle + reach)]
    return [numbers.make({1: middle, radicand: -reach}), numbers.make({1: middle, radicand: reach})]
