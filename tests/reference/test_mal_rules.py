"""Wrong methods from the literature: the slips give the worked wrong answers, and hit the key as often as counted.

Each rule is a slip of a template made for it, its formula in the bank's own language; the demo bank's slips are
held against the same answers and counts. Sources stand beside each rule in `mal-rules.yaml`.
"""

from __future__ import annotations

import re
from collections import Counter as Tally
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from itembank.bank.bank import read_bank
from itembank.expressions import canonical
from itembank.expressions.canonical import NONE
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.plain import plain
from itembank.generator.bound import Arguments, Bound
from itembank.generator.counting import Counter
from itembank.generator.distractors import Fate, fates
from itembank.generator.instantiate import key_forms
from itembank.generator.runtime import canonical_values
from itembank.verdicts import Proved, Refuted
from tests.reference.facts import copy_of, original_of
from tests.reference.worked import (
    adapt,
    bound_template,
    number,
    real_roots,
    rewritten,
    solved,
    verdict_on_key,
)

FACTS = copy_of("mal-rules")
RULES = {rule["id"]: rule for rule in FACTS["rules"]}
COUNTED = [name for name, rule in RULES.items() if "grid" in rule]

BANK = Path(__file__).resolve().parents[2] / "banks" / "quadratics"


def spelt(rule: str) -> str:
    """A published formula as an author writes it: ± for +-, a * in every product, the discriminant put in."""
    formula, discriminant = str(RULES[rule]["formula"]), "b^2 - 4ac"
    if formula.startswith("D replaced by "):
        formula, discriminant = "x = (-b +- sqrt(D))/(2a)", formula.removeprefix("D replaced by ")
    formula = formula.replace("+- D", "+- (D)").replace("D", discriminant)
    for short, full in (("+-", "±"), ("4ac", "4*a*c"), (" ac", " a*c"), ("2a", "2*a")):
        formula = formula.replace(short, full)
    return formula


DEMO = {
    ("monic-even-surd", "square-not-added"): "cts-M01",
    ("monic-even-surd", "half-not-squared"): "cts-M02",
    ("monic-even-surd", "squared-not-halved"): "cts-M03",
    ("monic-even-surd", "not-halved"): "cts-M05",
    ("monic-even-surd", "sign-of-half"): "cts-M06",
    ("monic-odd-surd", "half-not-squared"): "cts-M02",
    ("monic-odd-surd", "not-halved"): "cts-M05",
    ("monic-odd-surd", "sign-of-half"): "cts-M06",
    ("non-monic-surd", "sign-of-half"): "qf-Q01",
    ("non-monic-surd", "only-root-divided"): "qf-Q02",
    ("non-monic-surd", "four-a-c-added"): "qf-Q03",
    ("non-monic-surd", "divided-by-two-not-two-a"): "qf-Q04",
    ("non-monic-surd", "four-forgotten"): "qf-Q08",
}
"""The demo bank's slips that are one of these rules, in the letters of their template."""

GIVEN = {
    "monic-even-surd": "derived: {h: -b/2, k: h^2 - c}",
    "monic-odd-surd": "derived: {D: b^2 - 4*c}",
    "non-monic-surd": "derived: {D: b^2 - 4*a*c}",
}
"""The other letters of a demo template's slips in terms of a, b, c."""


@dataclass(frozen=True)
class Grid:
    """All equations of a stated range with irrational roots, and slips tried on each of them."""

    bound: Bound
    equations: tuple[Arguments, ...]

    def fates(self) -> Iterator[tuple[Arguments, list[Fate]]]:
        for arguments in self.equations:
            forms = self.bound.forms(*arguments)
            assert forms is not None
            yield arguments, fates(self.bound, 0, key_forms(self.bound, 0, forms), arguments)

    def values(self, arguments: Arguments, index: int = 0) -> set[Exact] | None:
        """What a slip's answer is for an equation; None where it has no real answer."""
        forms = self.bound.slip_forms(0, index, self.bound.recipe.parts[0].slips[index], arguments)
        return None if forms in (None, (NONE,)) else set(canonical_values(forms[0]))


def grid_of(folder: Path, leading: str, slips: list[str], derived: str = "") -> Grid:
    """a in `leading`, b in -12..12 and c in -20..20, neither 0, the discriminant positive and no square."""
    lines = "".join(f"\n  - {{slip: tried-{index}, value: {slip}}}" for index, slip in enumerate(slips))
    bound = bound_template(
        folder,
        f"""\
template: grid
version: 1
title: Every quadratic of a grid
unknowns: [x]
parameters:
  a: {leading}
  b: {{from: -12, to: 12, leaving_out: [0]}}
  c: {{from: -20, to: 20, leaving_out: [0]}}
{derived}
guarantees: [irrational_roots(problem)]
problem: a*x^2 + b*x + c = 0
stem: Solve $problem$.
response: {{kind: entry, blanks: {{x: {{form: surd}}}}}}
key: x = (-b ± sqrt(b^2 - 4*a*c))/(2*a)
slips:{lines}
solution:
  - math: x = (-b ± sqrt(b^2 - 4*a*c))/(2*a)
""",
    )
    return Grid(bound, tuple(one for block in Counter(bound).survivors() for one in block))


def grid_for(folder: Path, rule: str, slips: list[str], derived: str = "") -> Grid:
    return grid_of(folder, "[1]" if rule.startswith("cts-M") else "[2, 3, 4, 5]", slips, derived)


def coefficients(problem: str) -> Arguments:
    """The whole a, b, c of a published problem `a*v^2 + b*v + c = d` or shorter."""
    left, right = problem.replace(" ", "").split("=")
    found = {"2": 0, "1": 0, "0": -int(right)}
    for sign, size, letter, square in re.findall(r"([+-]?)(\d*)([a-z]?)(\^2)?", left):
        if size or letter:
            degree = "2" if square else "1" if letter else "0"
            found[degree] += int(f"{sign}{size or 1}")
    return found["2"], found["1"], found["0"]


def told(tally: Tally[str]) -> dict[str, int]:
    """Counts in the published words. A root of a negative number is no real answer either."""
    return {
        "equals_key": tally["equals the key"],
        "no_real_answer": tally["no real solution"] + tally["undefined"],
    }


def counted(grid: Grid) -> dict[str, int]:
    tally = Tally(made[0].word for _, made in grid.fates())
    return {"grid": len(grid.equations), **told(tally), "rational_answer": rational_answers(grid)}


def rational_answers(grid: Grid) -> int:
    answers = [grid.values(arguments) for arguments in grid.equations]
    return sum(
        answer is not None and not any(isinstance(value, Surd) for value in answer) for answer in answers
    )


# ---- what is collected ------------------------------------------------------------------------------------


def test_every_counted_rule_is_collected() -> None:
    assert len(COUNTED) >= 25
    assert len(DEMO) >= 13
    assert len(set(DEMO.values())) >= 10


def test_the_copy_agrees_with_the_reference_folder() -> None:
    assert original_of("mal-rules") == FACTS


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        ("cts-M06", "x = b/2 ± sqrt((b/2)^2 - c)"),
        ("cts-N02", "(x + b/(2*a))^2 = (b/(2*a))^2 - c"),
        ("qf-Q02", "x = -b ± sqrt(b^2 - 4*a*c)/(2*a)"),
        ("qf-Q08", "x = (-b ± sqrt(b^2 - a*c))/(2*a)"),
        ("qf-Q09", "x = (-b ± (b^2 - 4*a*c))/(2*a)"),
    ],
)
def test_a_formula_is_spelt_in_the_language_as_it_is_published(rule: str, expected: str) -> None:
    assert expected == spelt(rule)


# ---- worked wrong answers ---------------------------------------------------------------------------------


@pytest.mark.parametrize("rule", COUNTED)
def test_a_slip_gives_the_worked_wrong_answer(rule: str, tmp_path: Path) -> None:
    grid = grid_for(tmp_path, rule, [spelt(rule)])
    problem = coefficients(RULES[rule]["problem"])
    found = grid.values(problem)

    assert grid.bound.feasible(*problem)
    assert real_roots(RULES[rule]["wrong"]) == (found or set())


@pytest.mark.parametrize("rule", COUNTED)
def test_the_key_of_the_worked_problem_is_the_published_one(rule: str) -> None:
    problem, key = RULES[rule]["problem"], " or ".join(f"x = {root}" for root in RULES[rule]["key"])
    equation = re.sub("[a-z]", "x", problem)
    wrong = RULES[rule]["wrong"]
    slip = "none" if isinstance(wrong, str) else " or ".join(f"x = {root}" for root in wrong)

    assert isinstance(verdict_on_key(solved(equation, "x", key)).verdict, Proved)
    assert isinstance(verdict_on_key(solved(equation, "x", slip)).verdict, Refuted)


@cache
def demo_bounds() -> dict[str, Bound]:
    entries = read_bank(BANK, "banks/quadratics").entries
    return {entry.recipe.template.name: Bound(entry.recipe) for entry in entries}


def demo_slip(template: str, slip: str) -> tuple[Bound, int]:
    bound = demo_bounds()[template]
    names = [found.template.name for found in bound.recipe.parts[0].slips]
    return bound, names.index(slip)


def box_position(bound: Bound, problem: Arguments) -> Arguments | None:
    """The assignment of a demo template that makes this problem."""
    for index in range(bound.size):
        arguments = bound.assignment(index)
        values = {"a": 1, **bound.values(arguments)}
        if (values["a"], values["b"], values["c"]) == problem and bound.feasible(*arguments):
            return arguments
    return None


REACHED = {key: rule for key, rule in DEMO.items() if key[0] != "monic-odd-surd"}


@pytest.mark.parametrize(("template", "slip"), REACHED)
def test_a_slip_of_the_demo_bank_gives_the_worked_wrong_answer_for_the_published_problem(
    template: str, slip: str
) -> None:
    rule = RULES[REACHED[template, slip]]
    bound, index = demo_slip(template, slip)
    arguments = box_position(bound, coefficients(rule["problem"]))

    assert arguments is not None
    forms = bound.slip_forms(0, index, bound.recipe.parts[0].slips[index], arguments)
    values = set() if forms in (None, (NONE,)) else set(canonical_values(forms[0]))
    assert real_roots(rule["wrong"]) == values


@pytest.mark.parametrize(
    ("slip", "rule"),
    [("four-a-c-added", "qf-Q03"), ("b-squared-negative", "qf-Q06"), ("four-forgotten", "qf-Q08")],
)
def test_a_slip_in_the_discriminant_alone_leads_to_the_worked_wrong_roots(slip: str, rule: str) -> None:
    bound, index = demo_slip("kind-of-roots", slip)
    a, b, c = coefficients(RULES[rule]["problem"])
    forms = bound.slip_forms(0, index, bound.recipe.parts[0].slips[index], (a, b, c))
    assert forms is not None
    ((wrong, *more),) = (canonical_values(form) for form in forms)
    roots = set() if wrong < 0 else set(canonical_values(canonical.surd(-b, 2 * a, 1, 2 * a, wrong, 1, True)))

    assert not more
    assert real_roots(RULES[rule]["wrong"]) == roots


# ---- collisions on the stated grids -----------------------------------------------------------------------


@pytest.mark.parametrize("rule", COUNTED)
def test_a_slip_hits_the_key_and_has_no_real_answer_as_often_as_counted(rule: str, tmp_path: Path) -> None:
    expected = {
        name: RULES[rule][name] for name in ("grid", "equals_key", "no_real_answer", "rational_answer")
    }

    assert expected == counted(grid_for(tmp_path, rule, [spelt(rule)]))


@pytest.mark.parametrize(("template", "slip"), DEMO)
def test_a_slip_of_the_demo_bank_collides_as_often_as_its_rule(
    template: str, slip: str, tmp_path: Path
) -> None:
    rule = DEMO[template, slip]
    bound, index = demo_slip(template, slip)
    value = plain(bound.recipe.parts[0].slips[index].template.value.node)
    grid = grid_for(tmp_path, rule, [value], GIVEN[template])

    assert RULES[rule]["grid"] == len(grid.equations)
    assert RULES[rule]["equals_key"] == counted(grid)["equals_key"]
    assert RULES[rule]["no_real_answer"] == counted(grid)["no_real_answer"]


@pytest.mark.parametrize(("rule", "coefficient"), [("cts-M02", 2), ("cts-M12", 4)])
def test_a_slip_hits_the_key_exactly_at_the_published_coefficient(
    rule: str, coefficient: int, tmp_path: Path
) -> None:
    grid = grid_for(tmp_path, rule, [spelt(rule)])
    hits = [arguments for arguments, made in grid.fates() if made[0].word == "equals the key"]

    assert [arguments for arguments in grid.equations if arguments[1] == coefficient] == hits
    assert RULES[rule]["equals_key"] == len(hits)


def test_dividing_by_two_and_not_by_two_a_is_the_key_whenever_the_equation_is_monic(tmp_path: Path) -> None:
    grid = grid_of(tmp_path, "[1]", [spelt("qf-Q04")])

    assert {"equals the key": 640} == Tally(made[0].word for _, made in grid.fates())


PAIRS = [
    pytest.param(prefix + first, prefix + second, count, id=f"{first}-{second}")
    for group, prefix in (("monic", "cts-"), ("formula_a_2_to_5", "qf-"), ("cts_a_2_to_5", "cts-"))
    for first, second, count in FACTS["same_answer_pairs"][group]
]


def test_every_pair_of_rules_with_common_answers_is_collected() -> None:
    assert len(PAIRS) >= 13


@pytest.mark.parametrize(("first", "second", "count"), PAIRS)
def test_two_slips_give_the_same_answer_as_often_as_counted(
    first: str, second: str, count: int, tmp_path: Path
) -> None:
    grid = grid_for(tmp_path, first, [spelt(first), spelt(second)])
    words = [made[1].word for _, made in grid.fates()]

    assert count == words.count("equals an earlier slip")


def test_no_other_two_rules_of_completing_the_square_share_an_answer(tmp_path: Path) -> None:
    rules = [rule for rule in COUNTED if rule.startswith("cts-M")]
    grid = grid_of(tmp_path, "[1]", [spelt(rule) for rule in rules])
    shared: Tally[tuple[str, str]] = Tally()
    for arguments in grid.equations:
        answers = [grid.values(arguments, index) for index in range(len(rules))]
        shared.update(
            (rules[i][4:], rules[j][4:])
            for i in range(len(rules))
            for j in range(i)
            if answers[i] is not None and answers[i] == answers[j]
        )
    counted_pairs = {frozenset(pair[:2]): pair[2] for pair in FACTS["same_answer_pairs"]["monic"]}

    assert counted_pairs == {frozenset(pair): count for pair, count in shared.items()}


# ---- the two rules without a grid -------------------------------------------------------------------------


def test_cancelling_in_one_term_only_is_a_wrong_key() -> None:
    rule = RULES["qf-10"]

    assert number(rule["key"]) == number(adapt(rule["problem"]))
    assert number(rule["wrong"]) != number(rule["key"])
    assert isinstance(verdict_on_key(rewritten(rule["problem"], rule["key"])).verdict, Proved)
    assert isinstance(verdict_on_key(rewritten(rule["problem"], rule["wrong"])).verdict, Refuted)


def test_reading_the_constant_on_the_wrong_side_is_a_wrong_key() -> None:
    rule = RULES["qf-11"]
    key = " or ".join(f"x = {root}" for root in rule["key"])
    wrong = "x = " + rule["wrong"].partition("roots ")[2].replace("+-", "±")

    assert wrong == "x = (-7 ± sqrt(89))/2"
    assert isinstance(verdict_on_key(solved("x^2 + 7x - 10 = 0", "x", wrong)).verdict, Proved)
    assert isinstance(verdict_on_key(solved(rule["problem"], "x", key)).verdict, Proved)
    assert isinstance(verdict_on_key(solved(rule["problem"], "x", wrong)).verdict, Refuted)
