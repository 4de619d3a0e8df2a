"""One letter made the subject of a formula: what an equation says of it, told in the other letters.

An equation that is linear in the subject is A*s + B = 0 with A, B in the other letters and A not 0 everywhere; it says
that s is -B/A wherever A has a value other than 0. Two equations say the same where these are the same quotient.
Where every letter is a positive number, the subject may stand squared or under a root (`positive_formulas.py`).
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from itembank.expressions import polynomials, spelling
from itembank.expressions.display import Compared, Display, Joined, Letter, Maths, Numeral, Root
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.positive_formulas import told_where_positive, without_squares
from itembank.expressions.quotients import Quotient, root_of
from itembank.items import Part, SolutionLine
from itembank.proof import meaning
from itembank.proof.identity import Identity
from itembank.proof.meaning import Meaning
from itembank.proof.solver import CannotDecide, System
from itembank.proof.subject_wording import polynomial_told, quotient_told
from itembank.verdicts import Proved, Refuted, Verdict

__all__ = ["SHAPE", "formula_told", "kept_domain", "of_formula", "prove_domain", "prove_key", "prove_line"]

SHAPE = "subject"

_LATELY = 64
_FOLLOWS = Proved("solved for the subject, it says the same as the problem, whatever the other letters are")
_ASIDE = Proved("with the key put in, both sides are the same, whatever the other letters are")


class _Linear(NamedTuple):
    """factor * subject + rest."""

    factor: Polynomial
    rest: Polynomial

    def at(self, value: Quotient) -> Polynomial:
        """What is above the line when a quotient is put in for the subject."""
        left = polynomials.multiply(self.factor, value.above)
        return polynomials.add(left, polynomials.multiply(self.rest, value.below))


def of_formula(maths: Maths, subject: str, *, positive: bool = False) -> Identity:
    """What an equation says of the subject, unique; positive: where every letter is a positive number.

    Raises CannotDecide, DomainError where it says no such thing.
    """
    found = _solved(maths, subject, positive)
    return ("formula", found.above, found.below)


def formula_told(subject: str, wanted: Identity) -> str:
    """The same in words."""
    match wanted:
        case ("formula", Polynomial() as above, Polynomial() as below):
            return f"{subject} = {quotient_told(above, below)}"
        case _:
            return str(wanted)


def prove_key(part: Part, wanted: Identity) -> Verdict:
    """Whether the key, put into the problem, makes both sides the same. wanted: the problem solved, for the wording.

    Raises CannotDecide, DomainError.
    """
    (subject,) = part.problem.unknowns
    shown = spelling.terminal(part.key)
    if part.problem.domain is not None:
        return _prove_positive_key(part, wanted)
    value = _told_alone(part.key, subject)
    if value is None:
        return Refuted(f"{shown} does not say what {subject} is in the other letters alone")
    system = _system(part.problem.statement)
    lines = [_linear(each, subject) for each in system.zero]
    problem = spelling.terminal(part.problem.statement)
    if any(line.at(value).terms for line in lines):
        return Refuted(f"from {problem} follows {formula_told(subject, wanted)}, here stands {shown}")
    if not all(_put_in(each, subject, value).terms for each in system.not_zero):
        return Refuted(f"with {shown} put in, something in {problem} is divided by 0")
    factor = polynomial_told(lines[0].factor)
    return Proved(
        f"put into the problem it makes both sides the same, whatever the other letters are; the problem is linear in "
        f"{subject}, with the factor {factor}, so where that is not 0 nothing else does"
    )


def prove_line(part: Part, line: SolutionLine, maths: Maths, wanted: Identity) -> Verdict:
    """Whether a line of the worked solution says the same as the problem; side working, whether the key makes it true.

    Raises CannotDecide, DomainError.
    """
    (subject,) = part.problem.unknowns
    positive = part.problem.domain is not None
    if line.kind == "main":
        found = of_formula(maths, subject, positive=positive)
        if found == wanted:
            return _FOLLOWS
        shown, problem = spelling.terminal(maths), spelling.terminal(part.problem.statement)
        told = f"from {shown} follows {formula_told(subject, found)}"
        return Refuted(f"{told}, from {problem} follows {formula_told(subject, wanted)}")
    if line.kind != "aside":
        raise CannotDecide("the lines of a formula are equations in its letters, and none is given up")
    value = _solved(part.problem.statement, subject, positive)
    if positive:
        said = _both_sides(maths)
        if said.hidden:
            return (
                _ASIDE
                if of_formula(maths, subject, positive=True) == wanted
                else _beside(maths, subject, wanted)
            )
        left = [_left_over(said.above, subject, value)]
    else:
        left = [_put_in(each, subject, value) for each in _system(maths).zero]
    if any(each.terms for each in left):
        return _beside(maths, subject, wanted)
    return _ASIDE


def _beside(maths: Maths, subject: str, wanted: Identity) -> Verdict:
    return Refuted(f"{spelling.terminal(maths)} is not true of {formula_told(subject, wanted)}")


def kept_domain(part: Part) -> Maths | None:
    """The domain that stays where a line takes the problem's place: that of a formula's letters."""
    return part.problem.domain if part.problem.shape == SHAPE else None


def prove_domain(part: Part) -> Verdict:
    """Whether a formula's domain says of every letter, and of nothing else, that it is positive."""
    domain = part.problem.domain
    assert domain is not None
    display = domain.shape.display
    parts = display.parts if isinstance(display, Joined) and display.word == "and" else (display,)
    told = set()
    for each in parts:
        match each:
            case Compared((Letter(name), Numeral() as bound), (">",)) if _is_nought(bound, domain):
                told.add(name)
            case _:
                return Refuted(f"{spelling.terminal(domain)} says more than that letters are positive")
    missing = {*part.problem.unknowns, *part.problem.for_every} - told
    if missing:
        return Refuted(f"{spelling.terminal(domain)} does not say that {min(missing)} is positive")
    return Proved("every letter of the formula is a positive number")


def _is_nought(bound: Numeral, domain: Maths) -> bool:
    return Meaning(domain.numbers).polynomial(bound) == polynomials.ZERO


def _prove_positive_key(part: Part, wanted: Identity) -> Verdict:
    """The same where every letter is positive; without a root of its subject the problem has the key put in."""
    (subject,) = part.problem.unknowns
    shown, problem = spelling.terminal(part.key), spelling.terminal(part.problem.statement)
    match part.key.shape.display:
        case Compared((Letter(name), right), ("=",)) if name == subject and subject not in meaning.letters(
            right
        ):
            pass
        case _:
            return Refuted(f"{shown} does not say what {subject} is in the other letters alone")
    if of_formula(part.key, subject, positive=True) != wanted:
        return Refuted(f"from {problem} follows {formula_told(subject, wanted)}, here stands {shown}")
    domain = prove_domain(part)
    if not isinstance(domain, Proved):
        return domain
    whole = _both_sides(part.problem.statement)
    if not whole.hidden:
        value = _solved(part.key, subject, True)
        if _left_over(whole.above, subject, value).terms:
            return Refuted(f"{shown} put into {problem} does not make both sides the same")
    return Proved(
        f"where every letter is positive, problem and key both come to {formula_told(subject, wanted)}"
    )


class _Positive(Meaning):
    """Reads displays whose letters are all positive: roots of quotients too."""

    def quotient(self, node: Display) -> Quotient:
        match node:
            case Root(radicand, index) if meaning.letters(radicand):
                return root_of(self.quotient(radicand), int(index or 2), positive=True)
            case _:
                return super().quotient(node)


def _both_sides(maths: Maths) -> Quotient:
    """What is 0 where an equation in positive letters holds."""
    match maths.shape.display:
        case Compared((left, right), ("=",)) if not meaning.looks(maths.shape).has_either_sign:
            reader = _Positive(maths.numbers)
            return reader.quotient(left) - reader.quotient(right)
        case _:
            raise CannotDecide("a formula is one equation, without `or` and ±")


def _solved_where_positive(maths: Maths, subject: str) -> Quotient:
    found = _both_sides(maths)
    value = told_where_positive(found.above, found.hidden, subject)
    roots = {each.name for each in found.hidden}
    for divisor in found.divisors:
        if roots.isdisjoint(divisor.letters) and not _left_over(divisor, subject, value).terms:
            raise CannotDecide(f"what it says of {subject} would divide by 0")
    return value


@lru_cache(maxsize=_LATELY)
def _solved(maths: Maths, subject: str, positive: bool) -> Quotient:
    if positive:
        return _solved_where_positive(maths, subject)
    system = _system(maths)
    lines = [_linear(each, subject) for each in system.zero if each.terms]
    values = {Quotient(polynomials.negate(line.rest), line.factor).reduced() for line in lines}
    if len(values) != 1:
        raise CannotDecide(f"it does not say one thing of {subject}")
    (value,) = values
    if not all(_put_in(each, subject, value).terms for each in system.not_zero):
        raise CannotDecide(f"what it says of {subject} would divide by 0")
    return value


def _system(maths: Maths) -> System:
    found = meaning.systems(maths)
    if len(found) != 1:
        raise CannotDecide("a formula is one equation, without `or` and ±")
    if found[0].hidden:
        raise CannotDecide("a letter stands under a root or in an exponent")
    return found[0]


def _linear(polynomial: Polynomial, subject: str) -> _Linear:
    powers = polynomial.in_powers_of(subject)
    highest = max(powers, default=0)
    if highest == 0:
        raise CannotDecide(f"multiplied out, it says nothing of {subject}")
    if highest > 1:
        raise CannotDecide(f"multiplied out, it has {subject} to the power {highest}")
    return _Linear(powers[1], powers.get(0, polynomials.ZERO))


def _told_alone(maths: Maths, subject: str) -> Quotient | None:
    """What stands on the right of `subject = ...`; None where something else stands there."""
    match maths.shape.display:
        case Compared((Letter(name), right), ("=",)) if name == subject:
            if subject in meaning.letters(right):
                return None
            return Meaning(maths.numbers).quotient(right)
        case _:
            return None


def _left_over(polynomial: Polynomial, subject: str, value: Quotient) -> Polynomial:
    """The same where a root may stand in what is put in, and its square is known."""
    return without_squares(_put_in(polynomial, subject, value), value)


def _put_in(polynomial: Polynomial, subject: str, value: Quotient) -> Polynomial:
    """What is above the line when a quotient is put in for the subject, in a polynomial of any degree in it."""
    powers = polynomial.in_powers_of(subject)
    highest = max(powers, default=0)
    total = polynomials.ZERO
    for exponent, part in powers.items():
        above = polynomials.power(value.above, exponent)
        below = polynomials.power(value.below, highest - exponent)
        total = polynomials.add(total, polynomials.multiply(part, polynomials.multiply(above, below)))
    return total
