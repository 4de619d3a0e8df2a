"""The problem, its key and the worked solution: the same thing said again, line by line."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.audit import formula, subjects, whole_numbers
from itembank.audit.conditions import condition, holds
from itembank.audit.facts import Line
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.mathematics import Claim, Solutions, Statement
from itembank.audit.part_view import PartView
from itembank.audit.positive_subjects import says_all_positive
from itembank.audit.ratios import expression
from itembank.audit.real_sets import RealSet
from itembank.audit.substitution import values_before
from itembank.audit.systems import Tuples
from itembank.audit.without_solutions import is_another_problem, is_of_squares

__all__ = ["check_key", "check_lines"]

_SHAPES = frozenset({"solve", "identity", "rewrite", subjects.SHAPE})
_KINDS_OF_FORMULAS = frozenset({"choice", "choices-same", "written", "wrong-line"})


def check_key(view: PartView) -> Iterator[Fault]:
    """Whether the key is the solution of the problem, found afresh."""
    part = view.part
    if part.shape not in _SHAPES:
        yield Fault("unclear-problem", f"the shape {part.shape!r} is not known", place=view.place)
        return
    in_letters = part.shape in {"identity", subjects.SHAPE}
    if (part.shape == "rewrite") != (not part.unknowns) or in_letters != bool(part.for_every):
        yield Fault("unclear-problem", "the shape of the problem does not fit its unknowns", place=view.place)
        return
    if part.shape == subjects.SHAPE and (misfit := _misfit(view)):
        yield Fault("unclear-problem", misfit, place=view.place)
        return
    try:
        if part.shape == "rewrite":
            right = not formula.is_statement(part.key) and view.mathematics.same_value(
                part.problem, part.key, part.scope
            )
        elif part.shape == subjects.SHAPE:
            right = subjects.is_told_alone(part.key, view.subject) and view.mathematics.same_formula(
                part.problem, part.key, view.subject, part.scope, positive=view.is_positive
            )
        else:
            right = view.mathematics.same_solutions(view.problem(), view.statement(part.key))
    except CannotTell as stuck:
        yield Fault(
            "cannot-tell", f"whether the key solves the problem cannot be decided: {stuck}", place=view.place
        )
        return
    if not right:
        yield Fault("wrong-key", "the key is not the solution of the problem", place=view.place)


def _misfit(view: PartView) -> str:
    """Why a part is none that makes one letter the subject of a formula, "" where it is one."""
    part = view.part
    if len(part.unknowns) != 1 or part.kind not in _KINDS_OF_FORMULAS:
        return "the part is none that makes one letter the subject of a formula"
    known = {*part.unknowns, *part.for_every}
    if part.domain is not None and says_all_positive(part.domain) != known:
        return "the domain does not say of every letter of the formula that it is positive, and no more"
    strange = view.letters(part.problem, part.key) - known
    return f"the letter {min(strange)} is neither the subject nor one of the others" if strange else ""


def check_lines(view: PartView) -> Iterator[Fault]:
    """Whether every line of the worked solution says what its kind promises."""
    lets: list[Node] = []
    longer: list[Node] = []
    given_up: list[Node] = []
    for index, line in enumerate(view.part.lines):
        place = f"{view.place} line {line.number}".strip()
        if line.maths is None:
            if line.kind == "rejects":
                yield Fault("unclear-line", "the line gives up nothing", place=place)
            continue
        later = [each.maths for each in view.part.lines[index + 1 :] if each.kind == "rejects" and each.maths]
        try:
            message = _wrong(view, line, line.maths, lets)
            if line.kind == "rejects" and not message:
                given_up.append(line.maths)
                message = _left(view, line.maths, lets, longer, given_up, later)
            elif (
                message and later and _may_be_longer(view, line) and _has_false_roots(view, line.maths, lets)
            ):
                longer.append(line.maths)
                message = ""
        except CannotTell as stuck:
            yield Fault("cannot-tell", f"whether the line follows cannot be decided: {stuck}", place=place)
            continue
        if message:
            yield Fault(_CODES[line.kind], message, place=place)
        if line.kind == "let":
            lets.append(line.maths)


_CODES = {
    "main": "line-differs",
    "aside": "aside-not-true",
    "rejects": "wrong-rejection",
    "let": "line-differs",
}


def _may_be_longer(view: PartView, line: Line) -> bool:
    """Whether a line of this kind may have false values that are given up below it."""
    return line.kind == "main" and view.part.shape not in {subjects.SHAPE, "rewrite"}


def _wrong(view: PartView, line: Line, maths: Node, lets: list[Node]) -> str:
    """What is wrong with a line, "" for nothing."""
    if view.part.shape == subjects.SHAPE:
        return _of_formula(view, line, maths)
    if line.kind == "rejects":
        return _rejection(view, maths, lets)
    if line.kind == "let":
        return "" if formula.is_statement(maths) else "the line names no new letter"
    if line.kind == "aside":
        return _aside(view, maths, lets)
    if view.part.shape == "rewrite":
        return _rewriting(view, maths)
    return _main(view, maths, lets)


def _of_formula(view: PartView, line: Line, maths: Node) -> str:
    part, subject = view.part, view.subject
    strange = view.letters(maths) - {subject, *part.for_every}
    if strange or line.kind not in {"main", "aside"} or not formula.is_statement(maths):
        return "the line is no equation in the letters of the formula"
    if line.kind == "aside":
        right = subjects.holds(maths, part.problem, subject, part.scope, positive=view.is_positive)
        return "" if right else "the side working is not true of the subject's formula"
    same = view.mathematics.same_formula(part.problem, maths, subject, part.scope, positive=view.is_positive)
    return "" if same else "the line says something else of the subject than the problem"


def _rewriting(view: PartView, maths: Node) -> str:
    if formula.is_statement(maths):
        return "" if _true_for_all(view, maths) else "the line is not true"
    return (
        ""
        if view.mathematics.same_value(view.part.problem, maths, view.part.scope)
        else "the line does not equal the problem"
    )


def _true_for_all(view: PartView, maths: Node) -> bool:
    letters = tuple(sorted(view.letters(maths)))
    return not view.mathematics.has_none(Statement((Claim(maths, letters, view.part.scope),), ()))


def _main(view: PartView, maths: Node, lets: list[Node]) -> str:
    if not formula.is_statement(maths):
        return "the line is no statement"
    named = view.letters(maths)
    new = _introduced(view, lets)
    strange = named - set(view.part.unknowns) - set(view.part.for_every) - set(new) - _before(view)
    if strange:
        return f"the letter {min(strange)} was never introduced"
    if not named and not isinstance(maths, formula.Nothing):
        return "" if _true_for_all(view, maths) else "the line is not true"
    wanted = tuple(name for name in (*view.part.unknowns, *new) if name in named)
    if formula.has_relation(maths, "≈"):
        return _approximation(view, maths)
    said = view.statement(maths, wanted=wanted, new=new)
    known = lets if any(name in new for name in wanted) else []
    for with_domain in (True, False):
        nodes = [view.part.problem, *known]
        if with_domain and view.part.domain is not None:
            nodes.append(view.part.domain)
        asked = view.statement(*nodes, new=new)
        problem = asked if asked.wanted == wanted else Statement(asked.claims, asked.unknowns, wanted)
        if view.mathematics.same_solutions(said, problem) or (
            with_domain and not new and _same_whole_numbers(view, maths, wanted, problem)
        ):
            plain = view.part.domain is None and not view.part.for_every
            if plain and view.mathematics.has_none(problem) and _is_another(view, maths, lets):
                return "the line is another equation without solutions than the problem"
            return ""
        if view.part.domain is None:
            break
    return "the line has other solutions than the problem"


def _same_whole_numbers(view: PartView, maths: Node, wanted: tuple[str, ...], problem: Statement) -> bool:
    """Whether a line has the problem's solutions among the whole numbers that alone are meant: n < 5 and n <= 4."""
    if view.part.domain is None or not whole_numbers.parted(view.part.domain)[0]:
        return False
    within = view.statement(maths, view.part.domain)
    said = within if within.wanted == wanted else Statement(within.claims, within.unknowns, wanted)
    return view.mathematics.same_solutions(said, problem)


def _is_another(view: PartView, maths: Node, lets: list[Node]) -> bool:
    """Whether a line of a problem without solutions says something else; False where that is not plain."""
    try:
        line, problem, *told = (
            condition(node, view.part.scope) for node in (maths, view.part.problem, *lets)
        )
    except CannotTell:
        return False
    return is_another_problem(line, problem, view.part.unknowns, reversed(told))


def _is_untrue(view: PartView, maths: Node) -> bool:
    """Whether side working is no identity and, an equation of a square or more in the only unknown, has solutions.

    Beside equations in two unknowns it has to be one of them, or what is left of them.
    Beside a problem without solutions it would hold for all of them, whatever it says.
    """
    part = view.part
    if not isinstance(maths, formula.Relation) or maths.sign != "=" or formula.has_either_sign(maths):
        return False
    try:
        sides = [ratio.above for side in (maths.left, maths.right) for ratio in expression(side, part.scope)]
        if _true_for_all(view, maths):
            return False
        is_never = holds(condition(maths, part.scope)) is False
        if len(part.unknowns) > 1:
            is_told = isinstance(maths.left, formula.Letter) and not view.letters(maths.right)
            return not is_told and (is_never or _is_another(view, maths, []))
        return is_of_squares(sides, part.unknowns) and (
            is_never or not view.mathematics.has_none(view.statement(maths))
        )
    except CannotTell:
        return False


def _has_false_roots(view: PartView, maths: Node, lets: list[Node]) -> bool:
    """Whether a line has the problem's solutions and just those besides that the working brings in."""
    before = _values_before(view, lets)
    if before is not None:
        introduced = _introduced(view, lets)
        said = view.statement(maths, wanted=introduced, new=introduced)
        return view.letters(maths) == set(introduced) and view.mathematics.solutions(said) == before
    if not any(map(formula.may_have_false_roots, (view.part.problem, *lets))) or view.part.for_every:
        return False
    new = _introduced(view, lets)
    named = view.letters(maths)
    wanted = tuple(name for name in (*view.part.unknowns, *new) if name in named)
    if not wanted or not named <= {*view.part.unknowns, *new}:
        return False
    asked = view.statement(view.part.problem, *lets, new=new)
    problem = Statement(asked.claims, asked.unknowns, wanted, with_false=True)
    return view.mathematics.same_solutions(view.statement(maths, wanted=wanted, new=new), problem)


def _left(
    view: PartView, maths: Node, lets: list[Node], longer: list[Node], given_up: list[Node], later: list[Node]
) -> str:
    """What is wrong where the last line that gives up values of its letters leaves false ones, "" for nothing.

    longer: the lines with false values; given_up: what is given up, down to here; later: what is further below.
    """
    named, new = view.letters(maths), _introduced(view, lets)
    alike = [each for each in longer if view.letters(each) == named]
    if not alike or any(view.letters(each) == named for each in later):
        return ""
    wanted = tuple(name for name in (*view.part.unknowns, *new) if name in named)
    asked = view.statement(view.part.problem, *lets, new=new)
    right = Statement(asked.claims, asked.unknowns, wanted)
    false = [view.statement(each, wanted=wanted, new=new) for each in given_up if view.letters(each) == named]
    known = _points(view, right).union(*(_points(view, each) for each in false))
    if all(_points(view, view.statement(each, wanted=wanted, new=new)) <= known for each in alike):
        return ""
    return "the lines above have a false value besides, and it is never given up"


def _points(view: PartView, statement: Statement) -> Tuples:
    found = view.mathematics.solutions(statement)
    if isinstance(found, RealSet):
        raise CannotTell("false values of a whole stretch")
    return found


def _values_before(view: PartView, lets: list[Node]) -> Tuples | None:
    """What one new letter for a polynomial in the only unknown may be; None where there is no such letter."""
    part, new = view.part, _introduced(view, lets)
    if len(lets) != 1 or len(new) != 1 or len(part.unknowns) != 1 or part.for_every or part.shape != "solve":
        return None
    return values_before(
        condition(part.problem, part.scope), condition(lets[0], part.scope), *part.unknowns, *new
    )


def _introduced(view: PartView, lets: list[Node]) -> tuple[str, ...]:
    known = {*view.part.unknowns, *view.part.for_every}
    return tuple(sorted(view.letters(*lets) - known)) if lets else ()


def _before(view: PartView) -> set[str]:
    return {name for part in view.earlier for name in part.unknowns}


def _approximation(view: PartView, maths: Node) -> str:
    """Each solution is near one of the decimals, and each decimal near a solution."""
    branches = maths.parts if isinstance(maths, formula.Alternatives) else (maths,)
    for branch in branches:
        both = Statement((*view.problem().claims, Claim(branch)), view.problem().unknowns)
        if view.mathematics.has_none(both):
            return "a decimal is not near a solution to the places shown"
    together = Statement((*view.problem().claims, Claim(maths)), view.problem().unknowns)
    if not view.mathematics.same_solutions(together, view.problem()):
        return "a solution is not near a decimal to the places shown"
    return ""


def _aside(view: PartView, maths: Node, lets: list[Node]) -> str:
    if not formula.is_statement(maths):
        return "side working is no statement"
    named = view.letters(maths)
    known = {*view.part.unknowns, *view.part.for_every, *_before(view)}
    if named <= known and named.isdisjoint(view.part.unknowns):
        return "" if _true_for_all(view, maths) else "the side working is not true"
    if named <= known and any(formula.has_relation(view.part.problem, sign) for sign in "<≤>≥≠"):
        right = view.mathematics.solutions(view.statement(maths)) == _ends(view)
        return "" if right else "the side working does not give just the ends of the solution set"
    new = tuple(sorted((named | set(_introduced(view, lets))) - known))
    asked = view.statement(view.part.problem, maths, *lets, new=new)
    if named <= known:
        # whatever the problem's solutions are, the side working holds for each of them
        problem = view.problem(with_domain=False)
        together = Statement((*problem.claims, *asked.claims), asked.unknowns, view.part.unknowns)
        right = view.mathematics.same_solutions(together, problem)
        plain = right and not lets and view.part.domain is None and not view.part.for_every
        if plain and view.mathematics.has_none(problem) and _is_untrue(view, maths):
            return "the side working is not true, with or without solutions"
        return "" if right else "the side working does not hold for every solution"
    introduced = _introduced(view, lets)
    if named <= {*known, *introduced}:
        problem = view.statement(view.part.problem, *lets, new=introduced)
        together = Statement((*problem.claims, *asked.claims), problem.unknowns, problem.unknowns)
        wanted = Statement(problem.claims, problem.unknowns, problem.unknowns)
        right = view.mathematics.same_solutions(together, wanted)
        return "" if right else "the side working does not hold for every solution"
    return "the side working contradicts the problem" if view.mathematics.has_none(asked) else ""


def _ends(view: PartView) -> Solutions:
    """The ends of an inequality's solution set."""
    found = view.mathematics.solutions(view.problem(with_domain=False))
    return frozenset((corner,) for corner in found.corners) if isinstance(found, RealSet) else found


def _rejection(view: PartView, maths: Node, lets: list[Node]) -> str:
    before = _values_before(view, lets)
    if before is not None and view.letters(maths) == set(_introduced(view, lets)):
        return _value_given_up(view, maths, lets, before)
    if formula.is_statement(maths) and any(map(formula.may_have_false_roots, (view.part.problem, *lets))):
        return _false_root(view, maths, lets)
    if view.part.domain is None:
        return "nothing can be given up: every real number is allowed"
    if not formula.is_statement(maths):
        return "what is given up is no statement"
    if not view.mathematics.has_none(view.statement(maths, view.part.domain)):
        return "what is given up lies in the domain"
    if view.part.for_every:
        return ""
    given_up = view.statement(maths)
    comes_up = view.mathematics.same_solutions(view.statement(view.part.problem, maths), given_up)
    return "" if comes_up else "nothing in the working leads to what is given up"


def _value_given_up(view: PartView, maths: Node, lets: list[Node], before: Tuples) -> str:
    """What is wrong with a value of a new letter that is given up: it comes up, and no real unknown leads to it."""
    new = _introduced(view, lets)
    domain = [view.part.domain] if view.part.domain is not None else []
    if not view.mathematics.has_none(view.statement(view.part.problem, maths, *lets, *domain, new=new)):
        return "what is given up solves the problem"
    given_up = view.mathematics.solutions(view.statement(maths, wanted=new, new=new))
    comes_up = isinstance(given_up, frozenset) and given_up and given_up <= before
    return "" if comes_up else "nothing in the working leads to what is given up"


def _false_root(view: PartView, maths: Node, lets: list[Node]) -> str:
    """What is wrong with a root that is given up: it has to come up in the working and to be no solution."""
    new = _introduced(view, lets)
    domain = [view.part.domain] if view.part.domain is not None else []
    inside = view.statement(view.part.problem, maths, *lets, *domain, new=new)
    if not view.mathematics.has_none(inside):
        return "what is given up solves the problem"
    asked = view.statement(view.part.problem, *lets, new=new)
    wanted = tuple(name for name in asked.unknowns if name in view.letters(maths))
    for branch in maths.parts if isinstance(maths, formula.Alternatives) else (maths,):
        both = view.statement(view.part.problem, branch, *lets, new=new)
        comes_up = not view.mathematics.has_none(Statement(both.claims, both.unknowns, (), with_false=True))
        if comes_up and not formula.may_have_false_roots(branch):
            said = _points(view, view.statement(branch, wanted=wanted, new=new))
            led = Statement(asked.claims, asked.unknowns, wanted, with_false=True)
            comes_up = len(said) < 2 or said <= _points(view, led)
        if not comes_up:
            return "nothing in the working leads to what is given up"
    return ""
