"""The worked solution on the second road: each line has the problem's solutions, side working is true."""

from __future__ import annotations

from collections.abc import Iterator, Set
from functools import reduce
from operator import and_

from itembank.expressions import spelling, tree
from itembank.expressions.tree import Node
from itembank.items import SolutionLine
from itembank.proof.findings import Finding
from itembank.proof.symbolic_numbers import CannotTell, Rooted
from itembank.proof.symbolic_part import Answer, Asked, same
from itembank.proof.symbolic_positive import PositiveFormula, positive_holds_for
from itembank.proof.symbolic_reading import Fraction, System
from itembank.proof.symbolic_regions import Stretches, is_of_regions, is_of_whole_numbers, region
from itembank.proof.symbolic_rounding import prove_rounded
from itembank.proof.symbolic_sets import Points, satisfied, solutions, solve, systems, with_false_roots
from itembank.proof.symbolic_subject import holds_for
from itembank.proof.symbolic_substitution import values_before
from itembank.proof.symbolic_text import Piece
from itembank.proof.symbolic_without_solutions import is_another_problem, is_untrue
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_lines"]

_FOLLOWS = Proved("read back, it has exactly the problem's solutions (sympy)")
_FOLLOWS_AS_FORMULA = Proved("read back and solved for the subject, it says the same as the problem (sympy)")
_EQUALS = Proved("read back, it equals the problem (sympy)")
_TRUE = Proved("read back, both sides are equal (sympy)")
_ASIDE = Proved("read back, it holds for every solution (sympy)")
_ENDS = Proved("read back, its solutions are the ends of the solution set (sympy)")
_OUTSIDE = Proved("what is given up lies outside the domain (sympy)")
_FALSE = Proved("the working leads to it, and it does not solve the problem (sympy)")
_BEFORE = Proved(
    "read back, it has the problem's solutions and the false ones that are given up below (sympy)"
)
_CLOSE = Proved("each decimal lies within half a unit in its last place (sympy)")


def prove_lines(asked: Asked, wanted: Answer) -> Iterator[Finding]:
    """One finding for each line of the worked solution that shows mathematics."""
    lets: list[Piece] = []
    longer: list[Piece] = []
    given_up: list[Piece] = []
    for index, line in enumerate(asked.part.solution):
        if line.maths is None:
            continue
        read = asked.read(line.maths)
        try:
            later = [
                each.maths
                for each in asked.part.solution[index + 1 :]
                if each.kind == "rejects" and each.maths
            ]
            verdict = _line(asked, line, read, wanted, lets)
            if not wanted and verdict == _FOLLOWS and is_another_problem(asked, read, lets):
                verdict = None
            if verdict is None and later and line.kind == "main" and _brings_false_roots(asked, read, lets):
                verdict = _BEFORE
                longer.append(read)
            if line.kind == "rejects" and isinstance(verdict, Proved):
                given_up.append(read)
                if all(asked.read(each).names != read.names for each in later):
                    verdict = verdict if _are_given_up(asked, read.names, lets, longer, given_up) else None
        except CannotTell as stuck:
            verdict = Undecided(f"{spelling.terminal(line.maths)}: {stuck}")
        if verdict is None:
            verdict = Refuted(
                f"{spelling.terminal(line.maths)} does not say the same as "
                f"{spelling.terminal(asked.part.problem.statement)}"
            )
        yield Finding("solution-line", "the line follows", verdict, "line", index)
        if line.kind == "let":
            lets.append(read)


def _line(asked: Asked, line: SolutionLine, read: Piece, wanted: Answer, lets: list[Piece]) -> Verdict | None:
    """The verdict; None where the line is wrong."""
    if asked.subject or isinstance(wanted, PositiveFormula):
        return _of_formula(asked, line, read, wanted)
    if line.kind == "let":
        return Proved("it names a new letter")
    if line.kind == "rejects":
        return _rejects(asked, read, lets)
    if read.pattern.has_approximation:
        return prove_rounded(asked, read, wanted)
    if line.kind == "aside":
        return _aside(asked, read, lets)
    if isinstance(wanted, Rooted | Fraction):
        if read.pattern.is_statement:
            return _identity(asked, read)
        return _EQUALS if same(asked.answer(read), wanted) else None
    if asked.is_inequality or isinstance(wanted, Stretches):
        return _of_inequality(asked, read, wanted, lets)
    return _main(asked, read, wanted, lets)


def _of_formula(asked: Asked, line: SolutionLine, read: Piece, wanted: Answer) -> Verdict | None:
    if line.kind == "main":
        return _FOLLOWS_AS_FORMULA if same(asked.answer(read), wanted) else None
    if line.kind == "aside" and isinstance(wanted, PositiveFormula):
        letters = asked.part.problem.for_every
        return _ASIDE if positive_holds_for(read, asked.subject, letters, wanted) else None
    if line.kind != "aside" or not isinstance(wanted, Fraction):
        raise CannotTell("the lines of a formula are equations in its letters")
    return _ASIDE if holds_for(asked.space, read, asked.subject, wanted) else None


def _main(asked: Asked, read: Piece, wanted: Points, lets: list[Piece]) -> Verdict | None:
    problem = asked.part.problem
    if not read.pattern.is_statement:
        return Undecided("a line of this solution is a statement with =")
    if read.pattern.is_nothing:
        return None if wanted else _FOLLOWS
    new = read.names - {*problem.unknowns, *problem.for_every, problem.main_letter}
    if new or lets:
        return _with_new_letters(asked, read, new, lets)
    shown = tuple(name for name in problem.unknowns if name in read.names)
    if not shown:
        return _identity(asked, read)
    free = tuple(letter for letter in problem.for_every if letter in read.names)
    found = asked.answer(read) if shown == problem.unknowns and not free else None
    if found is None:
        found = solutions(asked.space, read, shown, free)
    columns = [problem.unknowns.index(name) for name in shown]
    if found == _columns(wanted, columns):
        return _FOLLOWS
    if problem.domain is not None and found == _columns(asked.every, columns):
        return _FOLLOWS
    return None


def _of_inequality(
    asked: Asked, read: Piece, wanted: Points | Stretches, lets: list[Piece]
) -> Verdict | None:
    if not read.names and read.pattern.is_statement and not read.pattern.is_nothing:
        return _TRUE if asked.space.holds(read, {}) else None
    if lets or not read.pattern.is_statement or not read.names <= set(asked.unknowns):
        return Undecided("a line of an inequality's solution is a statement in its unknown")
    found = frozenset() if read.pattern.is_nothing else asked.answer(read)
    if found == wanted:
        return _FOLLOWS
    domain = asked.part.problem.domain
    if domain is None:
        return None
    if found == asked.answer(asked.problem):
        return _FOLLOWS
    inside = asked.read(domain)
    if not is_of_whole_numbers(inside):
        return None
    return _FOLLOWS if region(asked.space, [read, inside], asked.unknowns[0]) == wanted else None


def _columns(points: Points, columns: list[int]) -> Points:
    return frozenset(tuple(point[column] for column in columns) for point in points)


def _identity(asked: Asked, read: Piece) -> Verdict | None:
    """A line without an unknown is true for every value of its letters."""
    alternatives = asked.space.alternatives(read)
    return _TRUE if any(not any(system.zero) and not system.not_zero for system in alternatives) else None


def _with_new_letters(asked: Asked, read: Piece, new: frozenset[str], lets: list[Piece]) -> Verdict | None:
    names = _names(asked, lets)
    missing = sorted(new - set(names))
    if missing:
        return Undecided(f"the letter {missing[0]} was never introduced; use `let`")
    every: set[tuple[Rooted, ...]] = set()
    for system in _beside(asked, lets):
        every |= solve(asked.space, system, names)
    shown = tuple(name for name in names if name in read.names)
    found = solutions(asked.space, read, shown)
    columns = [names.index(name) for name in shown]
    return _FOLLOWS if found == _columns(frozenset(every), columns) else None


def _names(asked: Asked, lets: list[Piece]) -> tuple[str, ...]:
    """The unknowns, and the letters that were introduced."""
    problem = asked.part.problem
    introduced = sorted({name for let in lets for name in let.names})
    return (
        *problem.unknowns,
        *(n for n in introduced if n not in problem.unknowns and n not in problem.for_every),
    )


def _beside(asked: Asked, lets: list[Piece]) -> list[System]:
    """The problem together with what new letters stand for."""
    beside = reduce(and_, (asked.space.alternatives(let)[0] for let in lets), System(()))
    return [system & beside for system in systems(asked.space, asked.problem, asked.part.problem.for_every)]


def _values_before(asked: Asked, lets: list[Piece]) -> Points | None:
    """What one new letter for a polynomial in the only unknown may be; None where there is no such letter."""
    names = _names(asked, lets)
    if len(lets) != 1 or len(asked.unknowns) != 1 or len(names) != 2:
        return None
    if asked.rewrite or asked.is_inequality or asked.part.problem.for_every:
        return None
    let = asked.space.alternatives(lets[0])
    return (
        values_before(asked.space, asked.space.alternatives(asked.problem), let[0], *names) if let else None
    )


def _brings_false_roots(asked: Asked, read: Piece, lets: list[Piece]) -> bool:
    """Whether a line has the problem's solutions and those that are false, be it by squaring or by a denominator."""
    if asked.rewrite or asked.is_inequality or asked.part.problem.for_every:
        return False
    before = _values_before(asked, lets)
    if before is not None:
        new = _names(asked, lets)[1:]
        return read.names == set(new) and solutions(asked.space, read, new) == before
    beside = _beside(asked, lets)
    if not any(system.may_have_false_roots for system in beside):
        return False
    names = _names(asked, lets)
    shown = tuple(name for name in names if name in read.names)
    every: set[tuple[Rooted, ...]] = set()
    for system in beside:
        every |= with_false_roots(asked.space, system, names, shown)
    return solutions(asked.space, read, shown) == every


def _are_given_up(
    asked: Asked, letters: Set[str], lets: list[Piece], longer: list[Piece], given_up: list[Piece]
) -> bool:
    """Whether all false values that lines have for some letters are given up. longer: the lines with false values."""
    alike = [each for each in longer if each.names == letters]
    if not alike:
        return True
    names = _names(asked, lets)
    shown = tuple(name for name in names if name in letters)
    columns = [names.index(name) for name in shown]
    right = {
        tuple(point[c] for c in columns)
        for system in _beside(asked, lets)
        for point in solve(asked.space, system, names)
    }
    false = {
        point for each in given_up if each.names == letters for point in solutions(asked.space, each, shown)
    }
    return all(solutions(asked.space, each, shown) <= right | false for each in alike)


def _aside(asked: Asked, read: Piece, lets: list[Piece]) -> Verdict | None:
    if not read.pattern.is_statement:
        return Undecided("side working is a statement with =")
    if not _free_letters(read.node):
        return _TRUE if asked.space.holds(read, {}) else None
    names = _names(asked, lets)
    every: Points
    if read.names & set(names[len(asked.unknowns) :]):
        every = frozenset(
            point for system in _beside(asked, lets) for point in solve(asked.space, system, names)
        )
    elif not read.names & set(asked.unknowns):
        return _identity(asked, read)
    elif asked.is_inequality:
        return _ends(asked, read)
    else:
        every, names = asked.every, asked.unknowns
    if not every and asked.part.problem.domain is None and not lets and is_untrue(asked, read):
        return None
    alternatives = asked.space.alternatives(read)
    for point in every:
        if not any(satisfied(asked.space, each, names, point) for each in alternatives):
            return None
    return _ASIDE


def _free_letters(node: Node) -> set[str]:
    """The letters that a line speaks of: the only one of what a discriminant is taken of is none."""
    below = set(tree.names(node))
    if isinstance(node, tree.Name):
        return below
    if isinstance(node, tree.Call) and node.function == "discriminant":
        return below if len(below) > 1 else set()
    return {name for part in tree.children(node) for name in _free_letters(part)}


def _ends(asked: Asked, read: Piece) -> Verdict | None:
    """Side working of an inequality in its unknown is an equation for the ends of the solution set."""
    region = asked.answer(asked.problem)
    if isinstance(region, Rooted) or is_of_regions(read):
        return None
    ends = region if not isinstance(region, Stretches) else frozenset((corner,) for corner in region.corners)
    return _ENDS if solutions(asked.space, read, asked.unknowns) == ends else None


def _rejects(asked: Asked, read: Piece, lets: list[Piece]) -> Verdict:
    before = _values_before(asked, lets)
    if before is not None and read.names == {*_names(asked, lets)[1:]}:
        return _is_given_up(asked, read, lets, before)
    beside = [] if asked.rewrite or asked.is_inequality else _beside(asked, lets)
    if any(system.may_have_false_roots for system in beside):
        return _is_false(asked, read, beside, _names(asked, lets))
    if asked.part.problem.domain is None:
        return Refuted("nothing is outside the domain: the unknowns may be any real number")
    given_up = solutions(asked.space, read, asked.unknowns)
    if asked.inside(given_up):
        return Refuted(f"{read.text} lies in the domain")
    if beside and not asked.part.problem.for_every and not given_up <= asked.every:
        return Refuted(f"nothing in the working leads to {read.text}")
    return _OUTSIDE


def _is_given_up(asked: Asked, read: Piece, lets: list[Piece], before: Points) -> Verdict:
    """Whether the working leads to a value of a new letter, and no unknown within its domain to that."""
    names = _names(asked, lets)
    both = [system & line for system in _beside(asked, lets) for line in asked.space.alternatives(read)]
    if asked.inside(frozenset(point[:1] for system in both for point in solve(asked.space, system, names))):
        return Refuted(f"{read.text} solves the problem")
    given_up = solutions(asked.space, read, names[1:])
    if given_up and given_up <= before:
        return _FALSE
    return Refuted(f"nothing in the working leads to {read.text}")


def _is_false(asked: Asked, read: Piece, beside: list[System], names: tuple[str, ...]) -> Verdict:
    """Whether the working leads to what a line says, and it is no solution, or lies outside the domain."""
    lines = asked.space.alternatives(read)
    both = [system & line for system in beside for line in lines]
    width = len(asked.unknowns)
    found = frozenset(point[:width] for system in both for point in solve(asked.space, system, names))
    if asked.inside(found):
        return Refuted(f"{read.text} solves the problem")
    if lines and all(_leads_to(asked, read, beside, line, names) for line in lines):
        return _FALSE
    return Refuted(f"nothing in the working leads to {read.text}")


def _leads_to(asked: Asked, read: Piece, beside: list[System], line: System, names: tuple[str, ...]) -> bool:
    """Whether the working leads to all that an equation says, be it false."""
    if not any(with_false_roots(asked.space, system & line, names, ()) for system in beside):
        return False
    shown = tuple(name for name in names if name in read.names)
    said = frozenset() if line.may_have_false_roots else solve(asked.space, line, shown)
    if len(said) < 2:
        return True
    return said <= frozenset().union(
        *(with_false_roots(asked.space, system, names, shown) for system in beside)
    )
