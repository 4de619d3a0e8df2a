"""The worked solution: each line says the same as the problem, side working is true, what is rejected is outside."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, reduce
from operator import and_

from itembank.errors import DomainError
from itembank.expressions import numbers, polynomials, spelling
from itembank.expressions.display import (
    Compared,
    Joined,
    Maths,
    Shape,
)
from itembank.items import Part, SolutionLine
from itembank.proof import identity, meaning, subject
from itembank.proof.answers import cut
from itembank.proof.findings import Finding
from itembank.proof.identity import Identity
from itembank.proof.quick import quick_roots
from itembank.proof.quick_code import Reader
from itembank.proof.quick_systems import quick_truth
from itembank.proof.rounding import prove_rounded
from itembank.proof.solver import CannotDecide, Solution, System
from itembank.proof.substitution import values_before
from itembank.proof.without_solutions import is_another_problem, is_untrue
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_FOLLOWS = Proved("it has exactly the problem's solutions")
_EQUALS = Proved("it equals the problem")
_TRUE = Proved("both sides are the same exact value")
_ASIDE = Proved("it holds for every solution")
_ENDS = Proved("its solutions are the ends of the solution set")
_OUTSIDE = Proved("what is given up lies outside the domain")
_FALSE = Proved("the working leads to it, and it does not solve the problem")
_BEFORE = Proved("it has the problem's solutions and the false ones that are given up below")


def prove_lines(part: Part, wanted: Identity) -> Iterator[Finding]:
    """One finding for each line of the worked solution that shows mathematics."""
    lets: list[Maths] = []
    longer: list[Maths] = []
    for index, line in enumerate(part.solution):
        if line.maths is None:
            continue
        try:
            later = [
                each.maths for each in part.solution[index + 1 :] if each.kind == "rejects" and each.maths
            ]
            verdict = _line(part, line, wanted, lets, bool(later))
            if verdict == _BEFORE:
                longer.append(line.maths)
            elif line.kind == "rejects" and isinstance(verdict, Proved):
                verdict = _all_given_up(part, index, lets, longer, later) or verdict
        except (CannotDecide, DomainError) as stuck:
            verdict = Undecided(f"{spelling.terminal(line.maths)}: {stuck}")
        yield Finding("solution-line", "the line follows", verdict, "line", index)
        if line.kind == "let":
            lets.append(line.maths)


def _all_given_up(
    part: Part, index: int, lets: list[Maths], longer: list[Maths], later: list[Maths]
) -> Verdict | None:
    """Whether the last line that gives up values of its letters leaves none of the lines above; None where it does not.

    longer: the lines above with false values; later: what is given up further below.
    """
    maths = part.solution[index].maths
    assert maths is not None
    letters, main_letter = meaning.letters(maths.shape.display), part.problem.main_letter
    alike = [each for each in longer if meaning.letters(each.shape.display) == letters]
    if not alike or any(meaning.letters(each.shape.display) == letters for each in later):
        return None
    names = _names(part, lets)
    shown = tuple(name for name in names if name in letters)
    columns = [names.index(name) for name in shown]
    left = {solution for line in alike for solution in meaning.solutions(line, shown, (), main_letter)}
    for system in _beside(part, lets):
        left -= {tuple(solution[c] for c in columns) for solution in system.solutions(names)}
    for line in part.solution[: index + 1]:
        if line.kind == "rejects" and line.maths and meaning.letters(line.maths.shape.display) == letters:
            left -= meaning.solutions(line.maths, shown, (), main_letter)
    if not left:
        return None
    return Refuted(
        f"besides {spelling.terminal(maths)} the lines above have a false value that is never given up"
    )


def _line(
    part: Part, line: SolutionLine, wanted: Identity, lets: list[Maths], rejected_later: bool
) -> Verdict:
    maths = line.maths
    assert maths is not None
    verdict = _judged(part, line, maths, wanted, lets, rejected_later)
    if wanted == identity.EMPTY and verdict == _FOLLOWS and is_another_problem(part, maths, lets):
        return Refuted(
            f"{spelling.terminal(maths)} is another equation without solutions than "
            f"{spelling.terminal(part.problem.statement)}"
        )
    return verdict


def _judged(
    part: Part, line: SolutionLine, maths: Maths, wanted: Identity, lets: list[Maths], rejected_later: bool
) -> Verdict:
    if line.kind == "main" and not lets:
        problem = part.problem
        quick = _quickly(maths.shape, problem.shape, problem.unknowns, problem.for_every, problem.main_letter)
        if quick is not None and problem.domain is None and quick(maths.numbers) == wanted:
            return _FOLLOWS
    if part.problem.shape == subject.SHAPE:
        return subject.prove_line(part, line, maths, wanted)
    if line.kind == "let":
        return Proved("it names a new letter")
    if line.kind == "rejects":
        return _rejects(part, maths, lets)
    if line.kind == "aside":
        return _aside(part, maths, lets)
    if meaning.looks(maths.shape).has_approximation:
        return prove_rounded(part, maths)
    if part.problem.shape == "rewrite":
        return _rewriting(part, maths, wanted)
    verdict = _main(part, maths, wanted, lets)
    if rejected_later and isinstance(verdict, Refuted) and brings_false_roots(part, maths, lets):
        return _BEFORE
    return verdict


@cache
def _quickly(
    shape: Shape, kind: str, unknowns: tuple[str, ...], for_every: tuple[str, ...], main_letter: str
) -> Reader | None:
    """The compiled meaning of a line that is a statement in the only unknown; None for any other line."""
    looks = meaning.looks(shape)
    if (
        kind != "solve"
        or len(unknowns) != 1
        or for_every
        or looks.has_approximation
        or not looks.is_statement
    ):
        return None
    if not looks.letters <= {*unknowns, main_letter} or unknowns[0] not in looks.letters:
        return None
    return quick_roots(shape, unknowns[0], main_letter)


def _main(part: Part, maths: Maths, wanted: Identity, lets: list[Maths]) -> Verdict:
    problem = part.problem
    if not meaning.looks(maths.shape).is_statement:
        return Undecided("a line of this solution is a statement with =")
    named = meaning.looks(maths.shape).letters
    known = (
        set(problem.unknowns)
        | set(problem.for_every)
        | ({problem.main_letter} if problem.main_letter else set())
    )
    new = tuple(sorted(named - known))
    if new or lets:
        return _with_new_letters(part, maths, new, lets)
    unknowns = tuple(name for name in problem.unknowns if name in named)
    if unknowns == problem.unknowns and problem.domain is not None and _is_of_regions(part, maths):
        here = meaning.region(maths, unknowns[0], problem.main_letter)
        whole = meaning.region(problem.statement, unknowns[0], problem.main_letter)
        found = identity.of_region(here)
        follows = found in (wanted, identity.of_region(whole)) or (
            meaning.of_whole_numbers(problem.domain) and identity.of_region(cut(part, here)) == wanted
        )
        return _FOLLOWS if follows else _refuted(part, maths)
    if unknowns == problem.unknowns and problem.domain is None:
        free = tuple(letter for letter in problem.for_every if letter in named)
        found = identity.of_solutions(maths, unknowns, free, problem.main_letter)
        return _FOLLOWS if found == wanted else _refuted(part, maths)
    if (
        not unknowns
        and not maths.shape.holes
        and not named
        and not isinstance(maths.shape.display, Compared | Joined)
    ):
        found = identity.of_solutions(maths, problem.unknowns)
        return _FOLLOWS if found == wanted else _refuted(part, maths)
    return _projected(part, maths, unknowns, wanted)


def _projected(part: Part, maths: Maths, unknowns: tuple[str, ...], wanted: Identity) -> Verdict:
    """A line that names only some unknowns, or stands before roots outside the domain are given up."""
    problem = part.problem
    if not unknowns:
        return _identity_line(part, maths)
    columns = [problem.unknowns.index(name) for name in unknowns]
    if wanted == identity.EMPTY and problem.domain is None and not problem.for_every:
        # of no solutions there are no coordinates
        found = identity.of_solutions(maths, unknowns, (), problem.main_letter)
        return _FOLLOWS if found == identity.EMPTY else _refuted(part, maths)
    if problem.domain is None and (
        _projected_point(maths, unknowns, columns, wanted) or _projected_points(part, maths, columns, wanted)
    ):
        return _FOLLOWS
    free = tuple(letter for letter in problem.for_every if letter in meaning.looks(maths.shape).letters)
    if problem.domain is not None and unknowns == problem.unknowns and len(unknowns) == 1:
        here = identity.of_solutions(maths, unknowns, free, problem.main_letter)
        if here == wanted or here == identity.of_solutions(
            problem.statement, unknowns, problem.for_every, problem.main_letter
        ):
            return _FOLLOWS
    every = meaning.solutions(problem.statement, problem.unknowns, problem.for_every, problem.main_letter)
    found = meaning.solutions(maths, unknowns, free, problem.main_letter)
    if found == {tuple(s[c] for c in columns) for s in every}:
        return _FOLLOWS
    if problem.domain is not None:
        domain = problem.domain
        inside = [s for s in every if meaning.satisfies(domain, dict(zip(problem.unknowns, s, strict=True)))]
        if found == {tuple(s[c] for c in columns) for s in inside}:
            return _FOLLOWS
    return _refuted(part, maths)


def _projected_point(maths: Maths, unknowns: tuple[str, ...], columns: list[int], wanted: Identity) -> bool:
    """Whether a line gives the very coordinates of the only solution; False where that is not how it is."""
    if not isinstance(wanted, tuple) or not wanted or not isinstance(wanted[0], tuple) or len(unknowns) != 1:
        return False
    coordinate = wanted[columns[0]]
    if not isinstance(coordinate, tuple):
        return False
    n, d = coordinate
    try:
        return identity.of_solutions(maths, unknowns) == (0, d, -n)
    except (CannotDecide, DomainError):
        return False


def _projected_points(part: Part, maths: Maths, columns: list[int], wanted: Identity) -> bool:
    """Whether a line gives just the coordinates of several solutions; False where that is not how it is."""
    if not isinstance(wanted, frozenset) or len(columns) != 1 or part.problem.for_every:
        return False
    (column,) = columns
    try:
        shown = identity.of_solutions(maths, (part.problem.unknowns[column],), (), part.problem.main_letter)
        return shown == identity.of_set(frozenset((point[column],) for point in wanted), 1)
    except (CannotDecide, DomainError):
        return False


def _identity_line(part: Part, maths: Maths) -> Verdict:
    """A line without an unknown is true for every value of its letters."""
    reader = quick_truth(maths.shape, tuple(sorted(meaning.looks(maths.shape).letters)))
    if reader is not None and reader(maths.numbers) is True:
        return _TRUE
    if any(system.holds({}) for system in meaning.systems(maths, part.problem.main_letter)):
        return _TRUE
    return Refuted(f"{spelling.terminal(maths)} is not true")


def _with_new_letters(part: Part, maths: Maths, new: tuple[str, ...], lets: list[Maths]) -> Verdict:
    problem = part.problem
    names = _names(part, lets)
    missing = [name for name in new if name not in names]
    if missing:
        return Undecided(f"the letter {missing[0]} was never introduced; use `let`")
    every: set[Solution] = set()
    for system in _beside(part, lets):
        every |= system.solutions(names)
    shown = tuple(name for name in names if name in meaning.letters(maths.shape.display))
    found = meaning.solutions(maths, shown, (), problem.main_letter)
    columns = [names.index(name) for name in shown]
    return _FOLLOWS if found == {tuple(s[c] for c in columns) for s in every} else _refuted(part, maths)


def _names(part: Part, lets: list[Maths]) -> tuple[str, ...]:
    """The unknowns, and the letters that were introduced."""
    problem = part.problem
    letters = [name for let in lets for name in sorted(meaning.letters(let.shape.display))]
    extra = [name for name in dict.fromkeys(letters) if name not in (*problem.unknowns, *problem.for_every)]
    return (*problem.unknowns, *extra)


def _beside(part: Part, lets: list[Maths]) -> list[System]:
    """The problem together with what new letters stand for."""
    beside = reduce(and_, (meaning.systems(let)[0] for let in lets), System(()))
    problem = part.problem
    return [system & beside for system in meaning.systems(problem.statement, problem.main_letter)]


def _values_before(part: Part, lets: list[Maths]) -> frozenset[Solution] | None:
    """What one new letter for a polynomial in the only unknown may be; None where there is no such letter."""
    problem, names = part.problem, _names(part, lets)
    looks = meaning.looks(problem.statement.shape)
    if len(lets) != 1 or len(problem.unknowns) != 1 or len(names) != 2 or problem.for_every:
        return None
    if not looks.is_statement or looks.is_of_regions:
        return None
    let = meaning.systems(lets[0], problem.main_letter)
    return (
        values_before(meaning.systems(problem.statement, problem.main_letter), let[0], *names)
        if let
        else None
    )


def brings_false_roots(part: Part, maths: Maths, lets: list[Maths]) -> bool:
    """Whether a line has the problem's solutions and those that are false, be it by squaring or by a denominator."""
    before = _values_before(part, lets)
    if before is not None:
        (new,) = _names(part, lets)[1:]
        named = meaning.letters(maths.shape.display)
        return named == {new} and meaning.solutions(maths, (new,), (), part.problem.main_letter) == before
    systems = _beside(part, lets)
    if part.problem.for_every or not any(system.may_have_false_roots for system in systems):
        return False
    names = _names(part, lets)
    shown = tuple(name for name in names if name in meaning.letters(maths.shape.display))
    try:
        every: set[Solution] = set()
        for system in systems:
            every |= system.with_false_roots(names, shown)
        return meaning.solutions(maths, shown, (), part.problem.main_letter) == every
    except (CannotDecide, DomainError):
        return False


def _rewriting(part: Part, maths: Maths, wanted: Identity) -> Verdict:
    if meaning.looks(maths.shape).is_statement:
        return _identity_line(part, maths)
    found = identity.of_value(maths, part.problem.main_letter)
    if found == wanted:
        return _EQUALS
    return Refuted(f"{spelling.terminal(maths)} is not equal to {spelling.terminal(part.problem.statement)}")


def _aside(part: Part, maths: Maths, lets: list[Maths]) -> Verdict:
    problem = part.problem
    looks = meaning.looks(maths.shape)
    if not looks.is_statement:
        return Undecided("side working is a statement with =")
    if looks.has_approximation:
        return prove_rounded(part, maths)
    named = looks.letters & set(problem.unknowns)
    if not meaning.free_letters(maths.shape):
        holds = meaning.satisfies(maths, {})
        return _TRUE if holds else Refuted(f"{spelling.terminal(maths)} is not true")
    names = _names(part, lets)
    if looks.letters & set(names[len(problem.unknowns) :]):
        every = frozenset(s for system in _beside(part, lets) for s in system.solutions(names))
    elif not named:
        return _identity_line(part, maths)
    elif meaning.looks(problem.statement.shape).is_of_regions:
        return _ends(part, maths)
    else:
        every = meaning.solutions(problem.statement, problem.unknowns, problem.for_every, problem.main_letter)
    if not every and problem.domain is None and is_untrue(part, maths, lets):
        return Refuted(f"{spelling.terminal(maths)} is not true, with or without solutions")
    for solution in every:
        values = dict(zip(names, solution, strict=False))
        if not _some_alternative_holds(maths, values, problem.main_letter):
            return Refuted(f"{spelling.terminal(maths)} does not hold for every solution")
    return _ASIDE


def _is_of_regions(part: Part, maths: Maths) -> bool:
    """Whether the line or the problem is an inequality, or has a modulus."""
    return any(meaning.looks(each.shape).is_of_regions for each in (part.problem.statement, maths))


def _ends(part: Part, maths: Maths) -> Verdict:
    """Side working of an inequality in its unknown is an equation for the ends of the solution set."""
    problem = part.problem
    region = meaning.region(problem.statement, problem.unknowns[0], problem.main_letter)
    ends = {end for piece in region for end in (piece.low, piece.high) if end is not None}
    found = meaning.solutions(maths, problem.unknowns, (), problem.main_letter)
    if found == {(end,) for end in ends}:
        return _ENDS
    return Refuted(f"{spelling.terminal(maths)} does not give just the ends of the solution set")


def _some_alternative_holds(maths: Maths, values: dict[str, numbers.Exact], main_letter: str) -> bool:
    return any(system.holds(values) for system in meaning.systems(maths, main_letter))


def _rejects(part: Part, maths: Maths, lets: list[Maths]) -> Verdict:
    problem = part.problem
    before = _values_before(part, lets)
    if before is not None and meaning.letters(maths.shape.display) == {*_names(part, lets)[1:]}:
        return _is_given_up(part, maths, lets, before)
    looks = meaning.looks(problem.statement.shape)
    systems = _beside(part, lets) if looks.is_statement and not looks.is_of_regions else []
    if any(system.may_have_false_roots for system in systems):
        return _is_false(part, maths, systems, _names(part, lets))
    if problem.domain is None:
        return Refuted("nothing is outside the domain: the unknowns may be any real number")
    for solution in meaning.solutions(maths, problem.unknowns):
        values = dict(zip(problem.unknowns, solution, strict=True))
        if meaning.satisfies(problem.domain, values):
            return Refuted(f"{spelling.terminal(maths)} lies in the domain")
        if not problem.for_every and not _some_alternative_holds(
            problem.statement, values, problem.main_letter
        ):
            return Refuted(f"nothing in the working leads to {spelling.terminal(maths)}")
    return _OUTSIDE


def _is_given_up(part: Part, maths: Maths, lets: list[Maths], before: frozenset[Solution]) -> Verdict:
    """Whether the working leads to a value of a new letter, and no unknown within its domain to that."""
    names, domain = _names(part, lets), part.problem.domain
    lines = meaning.systems(maths, part.problem.main_letter)
    both = [system & line for system in _beside(part, lets) for line in lines]
    found = [dict(zip(names, s, strict=True)) for system in both for s in system.solutions(names)]
    if any(domain is None or meaning.satisfies(domain, values) for values in found):
        return Refuted(f"{spelling.terminal(maths)} solves the problem")
    given_up = meaning.solutions(maths, names[1:], (), part.problem.main_letter)
    if given_up and given_up <= before:
        return _FALSE
    return Refuted(f"nothing in the working leads to {spelling.terminal(maths)}")


def _is_false(part: Part, maths: Maths, systems: list[System], names: tuple[str, ...]) -> Verdict:
    """Whether the working leads to what a line says, and it is no solution, or lies outside the domain."""
    domain = part.problem.domain
    lines = meaning.systems(maths, part.problem.main_letter)
    both = [system & line for system in systems for line in lines]
    found = [dict(zip(names, s, strict=True)) for system in both for s in system.solutions(names)]
    if any(domain is None or meaning.satisfies(domain, values) for values in found):
        return Refuted(f"{spelling.terminal(maths)} solves the problem")
    single = [each for line in lines for each in _one_by_one(line, maths, names)]
    if single and all(
        any((system & each).with_false_roots(names, ()) for system in systems) for each in single
    ):
        return _FALSE
    return Refuted(f"nothing in the working leads to {spelling.terminal(maths)}")


def _one_by_one(line: System, maths: Maths, names: tuple[str, ...]) -> list[System]:
    """Each value that an equation says, by itself; the equation whole where it hides some."""
    shown = tuple(name for name in names if name in meaning.letters(maths.shape.display))
    if line.may_have_false_roots:
        return [line]
    return [
        System(
            tuple(
                polynomials.subtract(polynomials.letter(name), polynomials.number(value))
                for name, value in zip(shown, values, strict=True)
            )
        )
        for values in line.solutions(shown)
    ]


def _refuted(part: Part, maths: Maths) -> Verdict:
    return Refuted(
        f"{spelling.terminal(maths)} does not have the solutions of {spelling.terminal(part.problem.statement)}"
    )
