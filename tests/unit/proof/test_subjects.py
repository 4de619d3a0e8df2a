"""A letter made the subject of a formula: both roads and the audit find the textbook's formula, and refuse any other.

The worked examples are those of Lynn Marecek and others, Elementary Algebra 2e, OpenStax 2020, section 2.6 "Solve a
Formula for a Specific Variable", CC BY 4.0 (from memory). Outside reference for random formulae: sympy's `solve`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.audit import subjects as audited
from itembank.audit import symbolic as audited_by_sympy
from itembank.audit.findings import CannotTell as AuditCannotTell
from itembank.audit.formula import NOWHERE, Node
from itembank.audit.latex_reader import read_latex
from itembank.audit.verify import audit_item
from itembank.errors import DomainError
from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.items import ChoiceResponse, ChoicesResponse, Item, Part, WrongLineResponse
from itembank.proof.findings import Finding
from itembank.proof.prover import faults, prove
from itembank.proof.solver import CannotDecide
from itembank.proof.subject import formula_told, of_formula
from itembank.proof.symbolic import prove_with_sympy
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.symbolic_part import same
from itembank.proof.symbolic_positive import solved_where_positive
from itembank.proof.symbolic_reading import space
from itembank.proof.symbolic_subject import solved
from itembank.proof.symbolic_text import piece
from itembank.writers.qti3 import item_xml
from tests.samples import maths
from tests.template_items import items

Prover = Callable[[Item], Iterable[Finding]]
BOTH_ROADS = pytest.mark.parametrize("prover", [prove, prove_with_sympy])
NAMES = (
    "subject",
    "subject-fractions",
    "subject-choices",
    "subject-line",
    "subject-letters",
    "subject-parts",
    "subject-positive",
)
LETTERS = "APIabcdfhrtuvxyz"


def audit_node(text: str) -> Node:
    return read_latex(latex(maths(text)))


def say_the_same(first: str, second: str, subject: str) -> list[bool]:
    """Whether two equations say the same of a letter, by each road of the house."""
    ring = space(tuple(sorted(set(LETTERS))))
    return [
        of_formula(maths(first), subject) == of_formula(maths(second), subject),
        same(solved(ring, piece(first), subject), solved(ring, piece(second), subject)),
        audited.same(audit_node(first), audit_node(second), subject, NOWHERE),
        audited_by_sympy.same_formula(audit_node(first), audit_node(second), subject),
    ]


EXAMPLES = (
    ("d = r*t", "t", "t = d/r", "t = d*r"),
    ("d = r*t", "r", "r = d/t", "r = d - t"),
    ("A = b*h/2", "h", "h = 2*A/b", "h = A/(2*b)"),
    ("I = P*r*t", "P", "P = I/(r*t)", "P = I*r/t"),
    ("P = a + b + c", "a", "a = P - b - c", "a = P - b + c"),
    ("3*x + 2*y = 18", "y", "y = (-3*x + 18)/2", "y = -3*x + 9"),
    ("x + y = 13", "y", "y = -x + 13", "y = x + 13"),
    ("8*x + 7*y = 15", "y", "y = (15 - 8*x)/7", "y = 15/7 - 8*x"),
    ("1/f = 1/u + 1/v", "f", "f = u*v/(u + v)", "f = u + v"),
    ("y = (a*x + b)/(c*x + d)", "x", "x = (b - d*y)/(c*y - a)", "x = (b - d*y)/(c*y + a)"),
)


@pytest.mark.parametrize(("problem", "subject", "right", "wrong"), EXAMPLES)
def test_a_textbook_formula_is_solved_by_every_road(
    problem: str, subject: str, right: str, wrong: str
) -> None:
    assert [True] * 4 == say_the_same(problem, right, subject)
    assert [False] * 4 == say_the_same(problem, wrong, subject)


def say_the_same_where_positive(first: str, second: str, subject: str) -> list[bool]:
    """The same where every letter is a positive number."""
    others = sorted({*piece(first).names, *piece(second).names} - {subject})
    return [
        of_formula(maths(first), subject, positive=True) == of_formula(maths(second), subject, positive=True),
        solved_where_positive(piece(first), subject, others)
        == solved_where_positive(piece(second), subject, others),
        audited.same(audit_node(first), audit_node(second), subject, NOWHERE, positive=True),
    ]


POSITIVE = (
    ("v^2 = u^2 + 2*a*s", "v", "v = sqrt(u^2 + 2*a*s)", "v = u + sqrt(2*a*s)"),
    ("A = p*r^2", "r", "r = sqrt(A/p)", "r = sqrt(A)/p"),
    ("A = p*r^2", "r", "r*sqrt(p) = sqrt(A)", "r = sqrt(A/(2*p))"),
    ("T = 2*sqrt(x/g)", "x", "x = g*T^2/4", "x = g*T^2/2"),
    ("T = 2*sqrt(x/g)", "x", "T^2/4 = x/g", "x = sqrt(g*T/2)"),
    ("sqrt(x + a) = b", "x", "x = b^2 - a", "x = (b - a)^2"),
    ("4*x^2 = g^2*T^4", "x", "x = g*T^2/2", "x = g*T^2/4"),
    ("x^2 = (a + b)^2", "x", "x = a + b", "x = a - b"),
    ("c^2 = a^2 + b^2", "b", "b = sqrt(c^2 - a^2)", "b = c - a"),
)
"""Laws of motion, of areas, of the pendulum and of Pythagoras with their letters: common practice, no source."""


@pytest.mark.parametrize(("problem", "subject", "right", "wrong"), POSITIVE)
def test_a_formula_in_positive_letters_is_solved_by_every_road(
    problem: str, subject: str, right: str, wrong: str
) -> None:
    assert [True] * 3 == say_the_same_where_positive(problem, right, subject)
    assert [False] * 3 == say_the_same_where_positive(problem, wrong, subject)


@pytest.mark.parametrize(
    "text", ["x - a = sqrt(x)", "x^2 + x = a", "x^2 = -a", "sqrt(x) = a - b", "x + sqrt(x) = -a"]
)
def test_no_road_squares_what_is_not_seen_to_be_positive(text: str) -> None:
    with pytest.raises(DomainError):
        of_formula(maths(text), "x", positive=True)
    with pytest.raises(CannotTell):
        solved_where_positive(piece(text), "x", ["a", "b"])
    with pytest.raises(AuditCannotTell):
        audited.same(audit_node(text), audit_node(text), "x", NOWHERE, positive=True)


SAME_IN_OTHER_CLOTHES = (
    ("y = (c - a*x)/b", "y = c/b - a*x/b"),
    ("y = (c - a*x)/b", "y = -(a*x - c)/b"),
    ("y = (c - a*x)/b", "y = (2*c - 2*a*x)/(2*b)"),
    ("y = (c - a*x)/b", "b*y + a*x - c = 0"),
    ("y = (a^2 - b^2)/(a - b)", "y = a + b"),
)


@pytest.mark.parametrize(("first", "second"), SAME_IN_OTHER_CLOTHES)
def test_a_formula_is_the_same_in_other_clothes(first: str, second: str) -> None:
    assert [True] * 4 == say_the_same(first, second, "y")


NOT_SOLVED = (
    ("y^2 = a", "y to the power 2"),
    ("a = b", "says nothing of y"),
    ("y - y + a = b", "says nothing of y"),
    ("y = a or y = b", "one equation"),
    ("y = ±a", "one equation"),
    ("y*sqrt(a) = b", "under a root"),
    ("a/(y - a) - y/(y - a) = 0", "would divide by 0"),
)


@pytest.mark.parametrize(("text", "reason"), NOT_SOLVED)
def test_what_is_no_formula_is_refused_by_every_road(text: str, reason: str) -> None:
    with pytest.raises((CannotDecide, DomainError), match=reason):
        of_formula(maths(text), "y")
    with pytest.raises(CannotTell):
        solved(space(tuple(sorted({*LETTERS, "sqrt(a)"}))), piece(text), "y")
    with pytest.raises(AuditCannotTell):
        audited.same(audit_node(text), audit_node("y = a"), "y", NOWHERE)


def test_a_formula_is_told_in_words() -> None:
    told = formula_told("y", of_formula(maths("3*a*y = b^2 - 2*a"), "y"))

    assert "y = (b² − 2a)/(3a)" == told
    assert "t = v − u" == formula_told("t", of_formula(maths("u + t = v"), "t"))


coefficients = st.lists(st.integers(-5, 5), min_size=3, max_size=3)


def _sum(numbers: list[int]) -> str:
    return " + ".join(f"({n})*{name}" for n, name in zip(numbers, ("a", "b", "1"), strict=True))


@given(coefficients, coefficients, coefficients)
@settings(max_examples=60, deadline=None)
def test_random_linear_formulae_are_solved_as_sympy_solves_them(
    factor: list[int], rest: list[int], other: list[int]
) -> None:
    if not any(factor):
        return
    problem = f"({_sum(factor)})*y + {_sum(rest)} = {_sum(other)}"
    y = sympy.Symbol("y")
    (wanted,) = sympy.solve(sympy.sympify(problem.replace(" = ", " - (") + ")"), y)
    above, below = sympy.fraction(sympy.cancel(wanted))
    key = f"y = ({above})/({below})".replace("**", "^")

    found = of_formula(maths(problem), "y")

    assert [True] * 3 == say_the_same(problem, key, "y")[:3]
    assert found == of_formula(maths(key), "y")
    assert [False] * 3 == say_the_same(problem, f"{key} + 1", "y")[:3]


@BOTH_ROADS
@pytest.mark.parametrize("name", NAMES)
def test_items_are_proved(name: str, prover: Prover) -> None:
    for item in items(name, 6):
        assert not faults(tuple(prover(item)))


@pytest.mark.parametrize("name", NAMES)
def test_items_are_audited_from_the_file_alone(name: str) -> None:
    for item in items(name, 6):
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]
    assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=True)[1]


# planted faults


def with_one_number_raised(shown: Maths) -> Iterator[Maths]:
    for hole, number in enumerate(shown.numbers):
        assert isinstance(number, int)
        yield Maths(shown.shape, (*shown.numbers[:hole], number + 1, *shown.numbers[hole + 1 :]))


def spoiled(part: Part) -> Iterator[Part]:
    """The part with one displayed number changed: of problem, key, a line, an option or shown line (with its slip)."""
    for shown in with_one_number_raised(part.problem.statement):
        yield replace(part, problem=replace(part.problem, statement=shown))
    for shown in with_one_number_raised(part.key):
        yield replace(part, key=shown)
    for at, line in enumerate(part.solution):
        for shown in with_one_number_raised(line.maths) if line.maths is not None else ():
            lines = (*part.solution[:at], line._replace(maths=shown), *part.solution[at + 1 :])
            yield replace(part, solution=lines)
    response = part.response
    if isinstance(response, ChoiceResponse | ChoicesResponse):
        for at, option in enumerate(response.options):
            assert isinstance(option.content, Maths)
            for shown in with_one_number_raised(option.content):
                options = (
                    *response.options[:at],
                    option._replace(content=shown, slip=option.slip and option.slip._replace(answer=shown)),
                    *response.options[at + 1 :],
                )
                yield replace(part, response=replace(response, options=options))
    if isinstance(response, WrongLineResponse):
        for at, line in enumerate(response.lines):
            for shown in with_one_number_raised(line.maths):
                shown_lines = (
                    *response.lines[:at],
                    line._replace(maths=shown),
                    *response.lines[at + 1 :],
                )
                slip = response.slip._replace(answer=shown) if at == response.wrong else response.slip
                yield replace(part, response=replace(response, lines=shown_lines, slip=slip))


def unproved(item: Item, prover: Prover) -> set[tuple[str, int, str]]:
    found = faults(tuple(prover(item)))
    return {
        (each.code, each.place, type(each.verdict).__name__) for each in found if each.code != "stem-differs"
    }


@pytest.mark.parametrize("name", ["subject", "subject-fractions", "subject-choices", "subject-line"])
def test_all_roads_agree_on_items_with_one_number_changed(name: str) -> None:
    (item,) = items(name, 1, seed=5)
    tried = 0
    for part in spoiled(item.parts[0]):
        changed_item = replace(item, parts=(part,))
        tried += 1
        by_the_first = unproved(changed_item, prove)
        audit = audit_item(item_xml(changed_item).encode(), "items/X.xml")[1]

        assert by_the_first == unproved(changed_item, prove_with_sympy)
        assert bool(by_the_first) == bool({fault.code for fault in audit} - {"stem-differs"})
    assert tried >= 5


def changed(part: Part, **changes: Any) -> Item:
    """The first item of a template with some of its part changed."""
    (item,) = items("subject-letters", 1)
    return replace(item, parts=(replace(part, **changes),))


def letters_part() -> Part:
    (item,) = items("subject-letters", 1)
    return item.parts[0]


def told(item: Item, prover: Prover) -> set[str]:
    return {fault.code for fault in faults(tuple(prover(item)))}


@BOTH_ROADS
@pytest.mark.parametrize(
    "key",
    ["t = (u - v)/a", "t = v - u", "a*t = v - u", "t = v - u - (a - 1)*t", "v = u + a*t", "t = a/(v - u)"],
)
def test_a_wrong_key_is_refuted(key: str, prover: Prover) -> None:
    assert "wrong-key" in told(changed(letters_part(), key=maths(key)), prover)


@BOTH_ROADS
def test_a_slip_that_is_the_key_in_other_clothes_is_refuted(prover: Prover) -> None:
    part = letters_part()
    assert isinstance(part.response, ChoiceResponse)
    place = next(i for i, option in enumerate(part.response.options) if not option.is_key)
    options = list(part.response.options)
    options[place] = options[place]._replace(content=maths("t = v/a - u/a"))
    item = changed(part, response=replace(part.response, options=tuple(options)))

    assert {"option"} == told(item, prover)


@BOTH_ROADS
@pytest.mark.parametrize(
    "line", ["v + u = a*t", "v^2 - u^2 = a*t*(v - u)", "t^2 = t*(v - u)/a", "v = u", "v - u"]
)
def test_a_line_that_says_something_else_is_refuted(line: str, prover: Prover) -> None:
    part = letters_part()
    solution = (part.solution[0]._replace(maths=maths(line)), *part.solution[1:])

    assert {"solution-line"} == told(changed(part, solution=solution), prover)


@BOTH_ROADS
@pytest.mark.parametrize(
    "line", ["v - u = a*t", "(v - u)*v = a*t*v", "v - u - a*t = 0", "v/a - t = u/a", "2*v = 2*u + 2*a*t"]
)
def test_a_line_that_says_the_same_is_proved(line: str, prover: Prover) -> None:
    part = letters_part()
    solution = (part.solution[0]._replace(maths=maths(line)), *part.solution[1:])

    assert set() == told(changed(part, solution=solution), prover)


@BOTH_ROADS
@pytest.mark.parametrize(
    ("line", "fault"), [("a*t + u = v", False), ("a^2*t^2 = (v - u)^2", False), ("a*t = v", True)]
)
def test_side_working_is_true_of_the_key(line: str, fault: bool, prover: Prover) -> None:
    part = letters_part()
    aside = part.solution[0]._replace(kind="aside", maths=maths(line))

    assert ({"solution-line"} if fault else set()) == told(changed(part, solution=(aside,)), prover)


@BOTH_ROADS
def test_a_problem_that_is_not_linear_is_not_decided(prover: Prover) -> None:
    part = letters_part()
    problem = replace(part.problem, statement=maths("v = u + a*t^2"))

    assert told(changed(part, problem=problem), prover) & {"problem-not-solved", "wrong-key"}


@pytest.mark.parametrize(
    ("role", "wrong", "code"),
    [
        ("key", "t = (v + u)/a", "wrong-key"),
        ("key", "a*t = v - u", "wrong-key"),
        ("problem", "v = u - a*t", "wrong-key"),
        ("line", "v + u = a*t", "line-differs"),
        ("line", "v^2 = (u + a*t)^2", "cannot-tell"),
        ("line", "w - u = a*t", "line-differs"),
    ],
)
def test_the_audit_tells_of_a_changed_file(role: str, wrong: str, code: str) -> None:
    part = letters_part()
    new: Maths = maths(wrong)
    if role == "key":
        item = changed(part, key=new)
    elif role == "problem":
        item = changed(part, problem=replace(part.problem, statement=new))
    else:
        item = changed(part, solution=(part.solution[0]._replace(maths=new), *part.solution[1:]))

    assert code in {fault.code for fault in audit_item(item_xml(item).encode(), "items/X.xml")[1]}


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('data-unknowns="t"', 'data-unknowns="t u"', "unclear-problem"),
        ('data-for-every="u v a"', 'data-for-every=""', "unclear-problem"),
        ('data-for-every="u v a"', 'data-for-every="u v"', "unclear-problem"),
        ('data-shape="subject"', 'data-shape="solve"', "unclear-problem"),
        ('data-shape="subject"', 'data-shape="identity"', "second-right-option"),
        ('data-shape="subject"', 'data-shape="subjects"', "unclear-problem"),
    ],
)
def test_the_audit_holds_the_block_for_staff_to_its_word(old: str, new: str, code: str) -> None:
    (item,) = items("subject-letters", 1)
    text = item_xml(item)
    assert old in text

    found = {fault.code for fault in audit_item(text.replace(old, new).encode(), "items/X.xml")[1]}

    assert code in found
