"""What stands behind ≈: decimals, each within half a unit in the last place shown of what it rounds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import NamedTuple

from itembank.errors import DomainError
from itembank.expressions import numbers, spelling
from itembank.expressions.display import Compared, Decimal, Display, Joined, Letter, Maths, Numeral, Terms
from itembank.items import BoxValue, EntryResponse, Part, RecognisedEntry
from itembank.proof import meaning, regions
from itembank.proof.answers import cut
from itembank.proof.solver import CannotDecide, Solution
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_CLOSE = Proved("each decimal lies within half a unit in its last place")


class _Told(NamedTuple):
    """One relation. name: the unknown it tells, "" where it has a value on its left; half: 0 after =."""

    name: str
    left: numbers.Exact
    value: numbers.Exact
    half: Fraction

    def is_near(self, exact: numbers.Exact) -> bool:
        difference = numbers.subtract(exact, self.value)
        size = difference if numbers.sign(difference) >= 0 else numbers.negate(difference)
        return numbers.compare(size, self.half) <= 0


def prove_rounded(part: Part, maths: Maths, solutions: Iterable[Solution] | None = None) -> Verdict:
    """A line with decimals: values of one unknown joined by `or`, the unknowns of one solution by `and`.

    solutions: what it rounds, None for the problem's. Raises CannotDecide, DomainError.
    """
    alternatives = _told(part, maths)
    if alternatives is None:
        return Undecided("≈ stands between an exact value, or an unknown, and a decimal")
    wrong = Refuted(f"{spelling.terminal(maths)} is not right to the places shown")
    if not all(told.is_near(told.left) for each in alternatives for told in each if not told.name):
        return wrong
    named = [{told.name for told in each if told.name} for each in alternatives]
    if not any(named):
        return _CLOSE
    unknowns = part.problem.unknowns
    if not named[0] <= set(unknowns) or any(names != named[0] for names in named):
        return Undecided("beside ≈ every alternative tells the same unknowns")
    found = {
        tuple((name, value) for name, value in zip(unknowns, solution, strict=True) if name in named[0])
        for solution in (problem_solutions(part) if solutions is None else solutions)
    }
    near = [[_is_near(dict(solution), each) for solution in found] for each in alternatives]
    if len(found) != len(near) or not all(map(any, near)) or not all(map(any, zip(*near, strict=True))):
        return wrong
    return _CLOSE


def prove_key_rounded(part: Part, response: EntryResponse) -> Verdict:
    """The key is shown as its boxes hold it, rounded from the problem's solutions, or from its value."""
    assert response.rounded is not None
    return _shown_as_held(part, response.rounded, [blank.values for blank in response.blanks], None)


def prove_entered(part: Part, entry: RecognisedEntry) -> Verdict:
    """The same of a wrong entry: rounded from what its slip leads to."""
    assert entry.rounded is not None
    return _shown_as_held(part, entry.rounded, entry.values, entry.slip.answer)


def _shown_as_held(
    part: Part, shown: Maths, held: Sequence[Sequence[tuple[BoxValue, ...]]], answer: Maths | None
) -> Verdict:
    """answer: what is rounded, None for what the problem asks."""
    assert isinstance(part.response, EntryResponse)
    try:
        if part.problem.shape == "rewrite":
            exact = meaning.value(answer or part.problem.statement).constant()
            verdict = prove_rounded(part, shown)
        else:
            exact = None
            led = None if answer is None else meaning.solutions(answer, part.problem.unknowns)
            verdict = prove_rounded(part, shown, led)
        told = [each for alternative in _told(part, shown) or [] for each in alternative]
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    if exact is not None and any(numbers.compare(each.left, exact) for each in told):
        return Refuted(f"{spelling.terminal(shown)} rounds another value")
    for blank, groups in zip(part.response.blanks, held, strict=True):
        decimals = {group[0].value for group in groups if isinstance(group[0], Decimal)}
        if decimals and decimals != {each.value for each in told if each.name == blank.unknown}:
            return Refuted(f"{spelling.terminal(shown)} is not what the boxes hold")
    return verdict


def problem_solutions(part: Part) -> frozenset[Solution]:
    """The exact solutions of a problem with unknowns, those in its domain; of inequalities the whole numbers in it.

    Raises CannotDecide where they are whole stretches.
    """
    problem = part.problem
    if problem.domain is not None and meaning.looks(problem.statement.shape).is_of_regions:
        every = meaning.region(problem.statement, problem.unknowns[0], problem.main_letter)
        finite = regions.points(cut(part, every))
        if finite is None:
            raise CannotDecide("the solutions are whole stretches")
        return frozenset((number,) for number in finite)
    found = meaning.solutions(problem.statement, problem.unknowns, problem.for_every, problem.main_letter)
    if problem.domain is not None:
        domain = problem.domain
        found = frozenset(
            s for s in found if meaning.satisfies(domain, dict(zip(problem.unknowns, s, strict=True)))
        )
    return found


def _told(part: Part, maths: Maths) -> list[list[_Told]] | None:
    """The relations of each alternative; None where some is neither ≈ nor =."""
    node = maths.shape.display
    reader = meaning.Meaning(maths.numbers, part.problem.main_letter)
    found = []
    for alternative in node.parts if isinstance(node, Joined) and node.word == "or" else (node,):
        said = []
        is_joined = isinstance(alternative, Joined) and alternative.word == "and"
        for each in alternative.parts if isinstance(alternative, Joined) and is_joined else (alternative,):
            if not isinstance(each, Compared) or each.signs not in {("≈",), ("=",)}:
                return None
            left, right = each.operands
            half = Fraction(1, 2 * 10 ** _places(right, maths)) if each.signs == ("≈",) else Fraction(0)
            value = reader.polynomial(right).constant()
            is_name = isinstance(left, Letter)
            said.append(
                _Told(
                    left.name if isinstance(left, Letter) else "",
                    value if is_name else reader.polynomial(left).constant(),
                    value,
                    half,
                )
            )
        found.append(said)
    return found


def _is_near(solution: dict[str, numbers.Exact], alternative: list[_Told]) -> bool:
    return all(told.is_near(solution[told.name]) for told in alternative if told.name)


def _places(node: Display, maths: Maths) -> int:
    if isinstance(node, Terms) and len(node.terms) == 1:
        return _places(node.terms[0][1], maths)
    if isinstance(node, Numeral):
        filling = maths.numbers[node.hole] if node.hole >= 0 else node.text
        if isinstance(filling, Decimal):
            return filling.places
        return len(str(filling).partition(".")[2])
    raise CannotDecide("≈ is followed by a decimal, as in x ≈ 2.35 or x ≈ round(e, 2)")
