"""Ten families of quadratics items, written with sympy as a teacher who programs would write them.

Each family draws whole numbers, has its answers worked out by an `Algebra` (sympy's `solve` in the plain
script, closed formulas in the tuned one), says whether the answers are of the wanted kind, and drafts the
item: stem, key, wrong options from slips, worked lines. Words and formulas only: printing and XML are the
scripts' own business.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from random import Random
from typing import Literal, Protocol, TypeAlias

from sympy import Abs, Add, And, Basic, Eq, Expr, Gt, Integer, Lt, Mul, Or, Rational, Symbol, sqrt

Values = tuple[int, ...]
Answers = tuple[Expr, ...]
Shown: TypeAlias = str | Basic

x = Symbol("x", real=True)
c = Symbol("c", real=True)
k = Symbol("k", real=True)
p = Symbol("p", real=True)
q = Symbol("q", real=True)
D = Symbol("D", real=True)

WRONG_OPTIONS = 3

SENTENCES = {
    "sign-of-half": "Expand your bracket and compare the sign of the middle term.",
    "square-not-added": "What is added on the left-hand side must be added on the right-hand side too.",
    "not-halved": "The number in the bracket is half the coefficient, not the whole coefficient.",
    "half-not-squared": "Add the square of half the coefficient, not the half itself.",
    "root-not-divided": "Both parts of the numerator are divided, the root as well.",
    "nothing-divided": "You left out the division in the last step.",
    "four-a-c-added": "Under the root stands the square minus four times the product, not plus.",
    "divided-by-two": "Divide by twice the leading coefficient, not by two.",
    "divided-by-a": "Divide by twice the leading coefficient, not by the coefficient itself.",
    "leading-forgotten": "Divide every term by the leading coefficient before you complete the square.",
    "signs-turned": "Put your solutions back into the equation: their signs are turned.",
    "one-sign-turned": "Put each solution back into the equation: one of the signs is turned.",
    "constant-taken": "The constant term is the product of the solutions, not one of them.",
    "leading-not-undone": "The factor before the unknown has still to be divided out.",
    "minus-dropped": "A negative number under the root cannot lose its sign.",
    "square-not-halved": "Halve first, then square.",
    "doubled": "The coefficient is halved, not doubled.",
    "square-added": "The square that you complete has to be taken away again.",
    "constant-kept": "Completing the square changes the constant.",
    "square-left": "The factor that leaves the root leaves it as its root.",
    "factors-swapped": "The square factor comes out of the root, the other one stays.",
    "root-halved": "Halving the number under the root does not halve the root.",
    "root-taken-as-half": "A square root is not a half.",
    "not-rooted": "You found the square of the coefficient; take the root of it.",
    "four-forgotten": "The discriminant has a four in it.",
    "one-sign-only": "A square has two roots: both signs lead to equal solutions.",
    "row": "Work out the discriminant and look at its sign, then see whether it is a square.",
}


NOTES = {
    "sign-of-half": "Keeps the sign of the half when it leaves the bracket; expand both brackets side by side.",
    "square-not-added": "Completes the square on one side only; a balance shows what is missing.",
    "not-halved": "Puts the whole coefficient into the bracket; draw two equal strips beside the square.",
    "half-not-squared": "Adds the side of the corner, not its area; draw the missing corner.",
    "root-not-divided": "Divides one part of the numerator only; write the fraction bar long enough.",
    "nothing-divided": "Stops before the last step; have the formula written down first.",
    "four-a-c-added": "Loses a minus sign under the root; practise putting in with brackets.",
    "divided-by-two": "Forgets the leading coefficient in the denominator; name the coefficients first.",
    "divided-by-a": "Forgets the factor two in the denominator; name the coefficients first.",
    "leading-forgotten": "Works as if the leading coefficient were one; compare with the expanded square.",
    "signs-turned": "Reads solutions off brackets without turning the sign; put them back.",
    "one-sign-turned": "Turns one sign only; put each solution back.",
    "constant-taken": "Takes the constant for a solution; recall sum and product.",
    "leading-not-undone": "Leaves the leading factor in; put the solution back.",
    "minus-dropped": "Takes the root of a negative number as if it were positive; recall which squares there are.",
    "square-not-halved": "Squares before halving; draw the corner.",
    "doubled": "Doubles where it should halve; draw two equal strips.",
    "square-added": "Adds the square that should be taken away; expand again.",
    "constant-kept": "Leaves the constant as it was; expand again.",
    "square-left": "Takes the square out as it is; check by squaring.",
    "factors-swapped": "Takes out the factor that should stay; check by squaring.",
    "root-halved": "Halves the root with its number; compare with a known square.",
    "root-taken-as-half": "Reads the root sign as a half; recall what squaring undoes.",
    "not-rooted": "Stops at the square of the coefficient; read the last line again.",
    "four-forgotten": "Leaves out the four of the discriminant; have it written down first.",
    "one-sign-only": "Takes the positive root only; draw both parabolas.",
    "row": "Guesses from the looks of the equation; have the discriminant worked out each time.",
}


class Algebra(Protocol):
    """What a script must be able to work out, exactly; whole numbers are positive in `a`."""

    def roots(self, a: int, b: int, c: int) -> Answers:
        """The real solutions of a*x^2 + b*x + c = 0, ascending, each once; a is not 0."""

    def square_constant(self, b: Expr) -> Expr:
        """The number that makes x^2 + b*x + number a perfect square."""

    def completed(self, b: int, c: int) -> tuple[Expr, Expr]:
        """The p and q with x^2 + b*x + c = (x + p)^2 + q for every x."""

    def discriminant(self, a: int, b: int, c: int) -> Expr:
        """The discriminant of a*x^2 + b*x + c."""

    def are_different(self, first: Expr, second: Expr) -> bool:
        """Whether two numbers differ."""


@dataclass(frozen=True, slots=True)
class Option:
    """An answer as shown, what it amounts to, the sentence for the pupil who chose it and that for the teacher."""

    shown: Shown
    answers: Answers
    feedback: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a worked solution."""

    say: str
    math: Basic
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Draft:
    """An item in words and formulas. `problem` is what staff compare with the stem; `blanks` are the letters of an
    entry, empty for a choice."""

    family: str
    title: str
    kind: Literal["choice", "entry"]
    problem: Basic
    stem: tuple[Shown, ...]
    key: Option
    wrong: tuple[Option, ...]
    solution: tuple[Line, ...]
    blanks: tuple[str, ...] = ()


class Family(ABC):
    """One kind of item; `values` are the numbers drawn, `answers` what the algebra makes of them."""

    name: str
    title: str

    @abstractmethod
    def draw(self, rng: Random) -> Values:
        """Numbers at random, not yet tested."""

    @abstractmethod
    def answers(self, algebra: Algebra, values: Values) -> Answers:
        """The answers of the item of these values."""

    @abstractmethod
    def is_wanted(self, values: Values, answers: Answers) -> bool:
        """Whether the answers force the method."""

    @abstractmethod
    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        """The item, or None where fewer than three slips lead to wrong answers of their own."""


def slipped(shown: Shown, answers: Answers, name: str) -> Option:
    """What a slip leads to, with what is said of it."""
    return Option(shown, answers, SENTENCES[name], NOTES[name])


def statement(letter: Symbol, answers: Answers) -> Basic:
    """`x = 2` or `x = 2 or x = 3`."""
    equations = [Eq(letter, answer, evaluate=False) for answer in answers]
    return equations[0] if len(equations) == 1 else Or(*equations, evaluate=False)


def are_different_answers(algebra: Algebra, first: Answers, second: Answers) -> bool:
    """Whether two ascending lists of answers differ anywhere."""
    if len(first) != len(second):
        return True
    return any(algebra.are_different(a, b) for a, b in zip(first, second, strict=True))


def surviving(
    algebra: Algebra, key: Answers, slips: Iterable[tuple[str, Answers]]
) -> list[tuple[str, Answers]]:
    """The first three slips that lead somewhere, neither to the key nor to an earlier one."""
    chosen: list[tuple[str, Answers]] = []
    for name, answers in slips:
        others = [key, *(taken for _, taken in chosen)]
        if answers and all(are_different_answers(algebra, answers, other) for other in others):
            chosen.append((name, answers))
            if len(chosen) == WRONG_OPTIONS:
                break
    return chosen


def plus_minus(middle: Expr, radical: Expr) -> Answers:
    """middle - radical and middle + radical; `radical` is positive."""
    return (middle - radical, middle + radical)


def nonzero(rng: Random, size: int) -> int:
    """A number from -size..size without 0."""
    return rng.randint(1, size) * rng.choice((-1, 1))


def quadratic(a: int, b: int, c: int) -> Expr:
    """a*x^2 + b*x + c."""
    return a * x**2 + b * x + c


def is_irrational_pair(answers: Answers) -> bool:
    """Two real answers, neither of them rational."""
    return len(answers) == 2 and not any(answer.is_rational for answer in answers)


def square_lines(a: int, b: int, c: int, answers: Answers) -> tuple[Line, ...]:
    """The solution of a*x^2 + b*x + c = 0 by completing the square, in the method's own steps."""
    half, right = Rational(b, 2 * a), Rational(b * b - 4 * a * c, 4 * a * a)
    middle, constant = Rational(b, a) * x, Rational(-c, a)
    lines = []
    if a != 1:
        divided = Eq(x**2 + middle - constant, 0, evaluate=False)
        lines.append(Line("Divide by the leading coefficient.", divided))
    added = Add(constant, half**2, evaluate=False)
    lines += [
        Line("Move the constant to the right-hand side.", Eq(x**2 + middle, constant, evaluate=False), "M1"),
        Line(
            "Add the square of half the coefficient to both sides.",
            Eq(Add(x**2, middle, half**2, evaluate=False), added, evaluate=False),
        ),
        Line("Write the left-hand side as a square.", Eq((x + half) ** 2, right, evaluate=False), "M1"),
    ]
    if not answers:
        lines.append(Line("No square is negative: no real solution.", Lt(right, 0, evaluate=False), "A1"))
        return tuple(lines)
    lines += [
        Line("Take square roots, keeping both signs.", Eq(Abs(x + half), sqrt(right), evaluate=False)),
        Line("Solve for the unknown.", statement(x, answers), "A1"),
    ]
    return tuple(lines)


def solved_choice(
    family: Family, algebra: Algebra, equation: Values, answers: Answers, slips: Iterable[tuple[str, Answers]]
) -> Draft | None:
    """A choice of four solution sets of a*x^2 + b*x + c = 0; the key may be that there is none."""
    wrong = surviving(algebra, answers, slips)
    if len(wrong) < WRONG_OPTIONS:
        return None
    a, b, c = equation
    shown: Shown = statement(x, answers) if answers else "There is no real solution."
    return Draft(
        family.name,
        family.title,
        "choice",
        Eq(quadratic(a, b, c), 0, evaluate=False),
        ("By completing the square, solve ", Eq(quadratic(a, b, c), 0, evaluate=False), "."),
        Option(shown, answers, "Right."),
        tuple(slipped(statement(x, found), found, name) for name, found in wrong),
        square_lines(a, b, c, answers),
    )


class MonicEven(Family):
    """x^2 + b*x + c = 0 with b even and a surd that simplifies. values: h, k with (x - h)^2 = k."""

    name = "monic-even"
    title = "Solve a monic quadratic by completing the square"

    def draw(self, rng: Random) -> Values:
        return (nonzero(rng, 40), rng.randint(2, 400))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        h, square = values
        return algebra.roots(1, -2 * h, h * h - square)

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        h, square = values
        return h * h != square and is_irrational_pair(answers) and bool(sqrt(square).is_Mul)

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        h, square = values
        b, c = -2 * h, h * h - square

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "sign-of-half", plus_minus(Integer(-h), sqrt(square))
            yield "square-not-added", algebra.roots(1, b, h * h + c)
            yield "not-halved", algebra.roots(1, 2 * b, c)
            yield "half-not-squared", algebra.roots(1, b, h * h + h + c)
            yield "root-not-divided", plus_minus(Integer(h), 2 * sqrt(square))

        return solved_choice(self, algebra, (1, b, c), answers, slips())


class MonicOdd(Family):
    """x^2 + b*x + c = 0 with b odd and irrational solutions. values: b, c."""

    name = "monic-odd"
    title = "Complete the square with an odd linear coefficient"

    def draw(self, rng: Random) -> Values:
        return (2 * rng.randint(-20, 19) + 1, nonzero(rng, 90))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        return algebra.roots(1, *values)

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        return is_irrational_pair(answers)

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        b, c = values
        root = sqrt(b * b - 4 * c)

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "sign-of-half", plus_minus(Rational(b, 2), root / 2)
            yield "root-not-divided", plus_minus(Rational(-b, 2), root)
            yield "four-a-c-added", algebra.roots(1, b, -c)
            yield "nothing-divided", plus_minus(Integer(-b), root)

        return solved_choice(self, algebra, (1, b, c), answers, slips())


class LeadingCoefficient(Family):
    """a*x^2 + b*x + c = 0 with a > 1 and irrational solutions. values: a, b, c."""

    name = "leading-coefficient"
    title = "Complete the square with a leading coefficient"

    def draw(self, rng: Random) -> Values:
        return (rng.randint(2, 9), nonzero(rng, 30), nonzero(rng, 40))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        return algebra.roots(*values)

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        return is_irrational_pair(answers)

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        a, b, c = values
        root = sqrt(b * b - 4 * a * c)

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "leading-forgotten", algebra.roots(1, b, c)
            yield "sign-of-half", plus_minus(Rational(b, 2 * a), root / (2 * a))
            yield "divided-by-two", plus_minus(Rational(-b, 2), root / 2)
            yield "divided-by-a", plus_minus(Rational(-b, a), root / a)
            yield "four-a-c-added", algebra.roots(a, b, -c)

        return solved_choice(self, algebra, values, answers, slips())


class RationalRoots(Family):
    """Two different rational solutions, to be entered. values: s, t, u, v with (s*x - t)(u*x - v) = 0."""

    name = "rational-roots"
    title = "Solve a quadratic with rational solutions"

    def draw(self, rng: Random) -> Values:
        return (rng.randint(1, 4), nonzero(rng, 12), rng.randint(1, 3), nonzero(rng, 12))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        s, t, u, v = values
        return algebra.roots(s * u, -s * v - t * u, t * v)

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        s, t, u, v = values
        return len(answers) == 2 and all(answer.is_rational for answer in answers) and s * v + t * u != 0

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        s, t, u, v = values
        a, b, c = s * u, -s * v - t * u, t * v
        low, high = answers

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "signs-turned", (-high, -low)
            yield "one-sign-turned", algebra.roots(a, s * v - t * u, -c)
            yield "leading-not-undone", (a * low, a * high)
            yield "divided-by-two", (a * low / 2, a * high / 2)
            yield "constant-taken", tuple(sorted((low, Integer(c))))

        wrong = surviving(algebra, answers, slips())
        if len(wrong) < WRONG_OPTIONS:
            return None
        return Draft(
            self.name,
            self.title,
            "entry",
            Eq(quadratic(a, b, c), 0, evaluate=False),
            (
                "Solve ",
                Eq(quadratic(a, b, c), 0, evaluate=False),
                ". Enter the smaller solution first, fractions like 3/4.",
            ),
            Option(statement(x, answers), answers, "Right."),
            tuple(slipped(statement(x, found), found, name) for name, found in wrong),
            square_lines(a, b, c, answers),
            ("x1", "x2"),
        )


class NoRealRoots(Family):
    """a*x^2 + b*x + c = 0 without a real solution. values: a, h, m with a*((x - h)^2 + m) = 0."""

    name = "no-real-roots"
    title = "See that a quadratic has no real solution"

    def draw(self, rng: Random) -> Values:
        return (rng.randint(1, 4), nonzero(rng, 20), rng.randint(1, 120))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        return algebra.roots(*self._equation(values))

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        return not answers

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        a, b, c = equation = self._equation(values)
        root = sqrt(4 * a * c - b * b)

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "minus-dropped", plus_minus(Rational(-b, 2 * a), root / (2 * a))
            yield "four-a-c-added", algebra.roots(a, b, -c)
            yield "signs-turned", algebra.roots(a, -b, -c)
            yield "sign-of-half", plus_minus(Rational(b, 2 * a), root / (2 * a))

        return solved_choice(self, algebra, equation, answers, slips())

    def _equation(self, values: Values) -> tuple[int, int, int]:
        a, h, m = values
        return a, -2 * a * h, a * (h * h + m)


class MissingConstant(Family):
    """The constant that makes x^2 + b*x + c a perfect square. values: numerator and denominator of b."""

    name = "missing-constant"
    title = "Find the missing constant of a perfect square"

    def draw(self, rng: Random) -> Values:
        return (nonzero(rng, 120), rng.randint(1, 5))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        return (algebra.square_constant(Rational(*values)),)

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        numerator, denominator = values
        return bool(Rational(numerator, denominator).q == denominator)

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        b = Rational(*values)
        half = b / 2

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "half-not-squared", (half,)
            yield "not-halved", (b**2,)
            yield "square-not-halved", (b**2 / 2,)
            yield "doubled", (4 * b**2,)

        wrong = surviving(algebra, answers, slips())
        if len(wrong) < WRONG_OPTIONS:
            return None
        (value,) = answers
        squared = Eq(c, Mul(half, half, evaluate=False), evaluate=False)
        whole = Eq(x**2 + b * x + value, (x + half) ** 2, evaluate=False)
        perfect = Eq(x**2 + b * x + c, (x + p) ** 2, evaluate=False)
        return Draft(
            self.name,
            self.title,
            "entry",
            perfect,
            ("Find the number ", c, " for which ", x**2 + b * x + c, " is a perfect square."),
            Option(Eq(c, value, evaluate=False), answers, "Right."),
            tuple(slipped(Eq(c, *found, evaluate=False), found, name) for name, found in wrong),
            (
                Line("Halve the coefficient of the middle term.", half, "M1"),
                Line("Square the half.", squared),
                Line("Work it out.", Eq(c, value, evaluate=False), "A1"),
                Line("Check by expanding.", whole),
            ),
            ("c",),
        )


class CompletedSquare(Family):
    """x^2 + b*x + c as (x + p)^2 + q. values: b, c."""

    name = "completed-square"
    title = "Write a quadratic in completed-square form"

    def draw(self, rng: Random) -> Values:
        return (nonzero(rng, 30), nonzero(rng, 60))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        return algebra.completed(*values)

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        return bool(answers[1] != 0)

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        b, constant = values
        half, rest = answers

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "square-added", (half, constant + half**2)
            yield "not-halved", (Integer(b), Integer(constant - b * b))
            yield "constant-kept", (half, Integer(constant))
            yield "sign-of-half", (-half, rest)

        wrong = surviving(algebra, answers, slips())
        if len(wrong) < WRONG_OPTIONS:
            return None
        given, taken = quadratic(1, b, constant), -(half**2)
        square = (x + half) ** 2
        identity = Eq(given, (x + p) ** 2 + q, evaluate=False)
        squared = Eq(x**2 + b * x, Add(square, taken, evaluate=False), evaluate=False)
        whole = Eq(given, Add(square, taken, Integer(constant), evaluate=False), evaluate=False)
        return Draft(
            self.name,
            self.title,
            "entry",
            identity,
            ("Find ", p, " and ", q, " with ", identity, " for every ", x, "."),
            Option(_pair(answers), answers, "Right."),
            tuple(slipped(_pair(found), found, name) for name, found in wrong),
            (
                Line("Half the coefficient stands in the bracket.", Eq(p, half, evaluate=False), "M1"),
                Line("Take away the square that was completed.", squared),
                Line("Bring the constant back.", whole, "M1"),
                Line("Collect the constants.", Eq(given, Add(square, rest, evaluate=False), evaluate=False)),
                Line("Read off both numbers.", _pair(answers), "A1"),
            ),
            ("p", "q"),
        )


def _pair(answers: Answers) -> Basic:
    """`p = 3 and q = -4`."""
    first, second = answers
    return And(Eq(p, first, evaluate=False), Eq(q, second, evaluate=False), evaluate=False)


class KindOfRoots(Family):
    """What kind of roots a quadratic has, in words. values: row wanted, a, b, c."""

    name = "kind-of-roots"
    title = "Tell the kind of roots from the discriminant"
    rows = (
        "two different rational roots",
        "two different irrational roots",
        "one repeated root",
        "no real roots",
    )

    def draw(self, rng: Random) -> Values:
        row, a = rng.randrange(4), rng.randint(1, 6)
        first, second = nonzero(rng, 12), nonzero(rng, 12)
        if row in (0, 2):
            other = first if row == 2 else second
            return (row, a, -a * (first + other), a * first * other)
        return (row, a, nonzero(rng, 20), nonzero(rng, 30))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        return algebra.roots(*values[1:])

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        return values[0] == self._row(answers) and values[2] != 0

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        row, a, b, c = values
        value = algebra.discriminant(a, b, c)
        fallen = {
            self._row(algebra.roots(a, b, -c)): "four-a-c-added",
            self._row(algebra.roots(1, b, c)): "leading-forgotten",
        }
        others = [index for index in range(4) if index != row]
        compared = Gt(value, 0, evaluate=False) if value > 0 else Eq(value, 0, evaluate=False)
        inserted = Add(b * b, Mul(-4, a, c, evaluate=False), evaluate=False)
        formula = Symbol("b") ** 2 - 4 * Symbol("a") * Symbol("c")
        return Draft(
            self.name,
            self.title,
            "choice",
            Eq(quadratic(a, b, c), 0, evaluate=False),
            ("What kind of roots does ", Eq(quadratic(a, b, c), 0, evaluate=False), " have?"),
            Option(self.rows[row], (value,), "Right."),
            tuple(slipped(self.rows[at], (), fallen.get(at, "row")) for at in others),
            (
                Line("Write down the discriminant.", Eq(D, formula, evaluate=False)),
                Line("Put in the coefficients.", Eq(D, inserted, evaluate=False), "M1"),
                Line("Work it out.", Eq(D, value, evaluate=False)),
                Line(
                    f"Look at its sign and whether it is a square: {self.rows[row]}.",
                    Lt(value, 0, evaluate=False) if value < 0 else compared,
                    "A1",
                ),
            ),
        )

    def _row(self, answers: Answers) -> int:
        if len(answers) < 2:
            return 2 if answers else 3
        return 0 if answers[0].is_rational else 1


class SimplifySurd(Family):
    """sqrt(s^2 * r) as s*sqrt(r). values: s, r."""

    name = "simplify-surd"
    title = "Simplify a surd"

    def draw(self, rng: Random) -> Values:
        return (rng.randint(2, 20), rng.randint(2, 70))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        s, r = values
        return algebra.roots(1, 0, -s * s * r)[-1:]

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        return bool(answers[0].as_coeff_Mul()[0] == values[0]) and not answers[0].is_rational

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        s, r = values
        n = s * s * r

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "square-left", (s * s * sqrt(r),)
            yield "factors-swapped", (r * sqrt(s),)
            yield "root-halved", (sqrt(n) / 2,)
            yield "root-taken-as-half", (Rational(n, 2),)

        wrong = surviving(algebra, answers, slips())
        if len(wrong) < WRONG_OPTIONS:
            return None
        surd = sqrt(n, evaluate=False)
        product = sqrt(Mul(s * s, r, evaluate=False), evaluate=False)
        parted = Mul(sqrt(s * s, evaluate=False), sqrt(r), evaluate=False)
        return Draft(
            self.name,
            self.title,
            "choice",
            surd,
            ("Write ", surd, " in its simplest form."),
            Option(answers[0], answers, "Right."),
            tuple(slipped(found[0], found, name) for name, found in wrong),
            (
                Line("Find the largest square factor.", Eq(surd, product, evaluate=False), "M1"),
                Line("The root of a product is the product of roots.", Eq(product, parted, evaluate=False)),
                Line("Take the root of the square.", Eq(surd, answers[0], evaluate=False), "A1"),
                Line("What is left has no square factor.", sqrt(r)),
            ),
        )


class EqualRoots(Family):
    """The k with which u^2*t*x^2 + k*x + v^2*t = 0 has equal roots. values: u, v, t."""

    name = "equal-roots"
    title = "Find a coefficient that makes the roots equal"

    def draw(self, rng: Random) -> Values:
        return (rng.randint(1, 9), rng.randint(1, 12), rng.randint(1, 6))

    def answers(self, algebra: Algebra, values: Values) -> Answers:
        u, v, t = values
        return algebra.roots(1, 0, -4 * u * u * v * v * t * t)

    def is_wanted(self, values: Values, answers: Answers) -> bool:
        return len(answers) == 2 and all(answer.is_integer for answer in answers)

    def draft(self, algebra: Algebra, values: Values, answers: Answers) -> Draft | None:
        u, v, t = values
        a, c = u * u * t, v * v * t

        def slips() -> Iterator[tuple[str, Answers]]:
            yield "not-rooted", (Integer(-4 * a * c), Integer(4 * a * c))
            yield "four-forgotten", algebra.roots(1, 0, -a * c)
            yield "one-sign-only", answers[1:]
            yield "square-not-halved", (Integer(-2 * a * c), Integer(2 * a * c))

        wrong = surviving(algebra, answers, slips())
        if len(wrong) < WRONG_OPTIONS:
            return None
        product = Mul(-4, a, c, evaluate=False)
        return Draft(
            self.name,
            self.title,
            "choice",
            Eq(a * x**2 + k * x + c, 0, evaluate=False),
            (
                "For which values of ",
                k,
                " does ",
                Eq(a * x**2 + k * x + c, 0, evaluate=False),
                " have equal roots?",
            ),
            Option(statement(k, answers), answers, "Right."),
            tuple(slipped(statement(k, found), found, name) for name, found in wrong),
            (
                Line("Equal roots: the discriminant is zero.", Eq(D, 0, evaluate=False)),
                Line(
                    "Put in the coefficients.",
                    Eq(Add(k**2, product, evaluate=False), 0, evaluate=False),
                    "M1",
                ),
                Line("Move the number across.", Eq(k**2, 4 * a * c, evaluate=False)),
                Line("Take square roots.", Eq(Abs(k), answers[1], evaluate=False), "M1"),
                Line("Keep both signs.", statement(k, answers), "A1"),
            ),
        )


FAMILIES: tuple[Family, ...] = (
    MonicEven(),
    MonicOdd(),
    LeadingCoefficient(),
    RationalRoots(),
    NoRealRoots(),
    MissingConstant(),
    CompletedSquare(),
    KindOfRoots(),
    SimplifySurd(),
    EqualRoots(),
)
