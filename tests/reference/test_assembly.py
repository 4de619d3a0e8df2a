"""Published 0-1 programmes, and blueprint problems solved by listing every form: the choice reaches each optimum.

Sources: C. C. Petersen, Management Science 13(9) (1967) 736-750, as problem set mknap1 of J. E. Beasley's OR-Library;
J. Burkardt's data sets KNAPSACK_01 (Florida State University). The blueprint problems are constructed, not published;
their optima were found by listing all forms.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest

from itembank.assembly.blueprint import Blueprint, Range, Row, Where
from itembank.assembly.candidates import Candidate
from itembank.assembly.information import information
from itembank.assembly.programme import Problem, Rule, chosen
from itembank.assembly.selection import problem_of
from tests.reference.facts import copy_of, original_of

FACTS = copy_of("assembly")
POOL = FACTS["pool"]


def test_the_copy_is_that_of_the_shared_folder() -> None:
    assert original_of("assembly") == FACTS


def test_the_copy_holds_what_it_must() -> None:
    assert (5, 5, 4) == tuple(
        len(FACTS[name]) for name in ("multidimensional_knapsack", "knapsack", "constructed")
    )
    assert len(POOL) == 16


@pytest.mark.parametrize("case", FACTS["multidimensional_knapsack"], ids=lambda case: str(case["id"]))
def test_published_optima_with_several_limits_are_reached(case: dict[str, Any]) -> None:
    profits = [Fraction(str(profit)) for profit in case["p"]]
    tenths = tuple(int(10 * profit) for profit in profits)
    rules = tuple(Rule("", tuple(row), None, most) for row, most in zip(case["A"], case["b"], strict=True))

    choice = chosen(Problem(len(profits), 1, rules, most_of=(tenths,)))

    assert choice is not None
    assert choice.is_best
    assert sum(profits[thing] for thing in choice.forms[0]) == Fraction(str(case["optimum"]))


@pytest.mark.parametrize("case", FACTS["knapsack"], ids=lambda case: str(case["id"]))
def test_published_optima_with_one_limit_are_reached(case: dict[str, Any]) -> None:
    rule = Rule("", tuple(case["weights"]), None, case["capacity"])

    choice = chosen(Problem(len(case["weights"]), 1, (rule,), most_of=(tuple(case["profits"]),)))

    assert choice is not None
    assert case["optimum"] == sum(case["profits"][thing] for thing in choice.forms[0])


# ---- blueprints -------------------------------------------------------------------------------------------


def candidate(item: dict[str, Any]) -> Candidate:
    difficulty = int(1000 * Fraction(str(item["b"])))
    asked = (item["enemy"] or item["item"]).encode()
    return Candidate(
        item["item"], item["item"], item["topic"], "", (), (), "", "", "", ("entry",), item["marks"],
        10 * item["minutes"], difficulty, asked,
    )  # fmt: skip


def of_each_topic(least: int, most: int) -> tuple[Row, ...]:
    return tuple(Row(Where(strand=(topic,)), Range(least, most)) for topic in ("CS", "QF", "SU"))


BLUEPRINTS = {
    "blueprint-1": Blueprint(
        "b", "B", items=Range(6, 6), marks=Range(18, 18), minutes=Range(None, 220), rows=of_each_topic(2, 2),
        most_information_at=(0,),
    ),
    "blueprint-2": Blueprint(
        "b", "B", items=Range(8, 8), marks=Range(22, 24), minutes=Range(None, 260), rows=of_each_topic(2, 3),
        most_information_at=(0,),
    ),
    "blueprint-3-infeasible": Blueprint(
        "b", "B", items=Range(6, 6), marks=Range(26, 26), minutes=Range(None, 260), rows=of_each_topic(2, 2),
        most_information_at=(0,),
    ),
    "blueprint-4-unconstrained": Blueprint("b", "B", items=Range(5, 5), most_information_at=(0,)),
}  # fmt: skip


@pytest.mark.parametrize("case", FACTS["constructed"], ids=lambda case: str(case["id"]))
def test_blueprints_get_one_of_the_forms_that_tell_most(case: dict[str, Any]) -> None:
    enemies_matter = case["id"] != "blueprint-4-unconstrained"
    pool = [candidate(item if enemies_matter else {**item, "enemy": None}) for item in POOL]

    choice = chosen(problem_of(BLUEPRINTS[case["id"]], pool))

    if case["optimum"] == "infeasible":
        assert choice is None
        return
    assert choice is not None
    assert [POOL[thing]["item"] for thing in choice.forms[0]] in case["optimal_forms"]
    found = sum(information(pool[thing].difficulty, 0) for thing in choice.forms[0])
    assert Fraction(str(case["optimum"])) == Fraction(found, 10**6)


@pytest.mark.parametrize("case", FACTS["constructed"], ids=lambda case: str(case["id"]))
def test_as_many_forms_keep_the_rules_as_were_counted(case: dict[str, Any]) -> None:
    enemies_matter = case["id"] != "blueprint-4-unconstrained"
    pool = [candidate(item if enemies_matter else {**item, "enemy": None}) for item in POOL]
    blueprint = BLUEPRINTS[case["id"]]
    assert blueprint.items is not None
    rules = problem_of(blueprint, pool).rules

    forms = combinations(range(len(pool)), blueprint.items.least or 0)
    assert case["feasible_forms"] == sum(all(rule.keeps(form) for rule in rules) for form in forms)


@pytest.mark.parametrize("item", POOL, ids=lambda item: str(item["item"]))
def test_information_at_the_middle_is_that_of_the_table(item: dict[str, Any]) -> None:
    assert Fraction(str(item["info0"])) == Fraction(
        information(int(1000 * Fraction(str(item["b"]))), 0), 10**6
    )


@pytest.mark.parametrize("length", [1, 3, 7, 12])
def test_with_a_length_alone_the_nearest_difficulties_are_taken(length: int) -> None:
    pool = [candidate({**item, "enemy": None}) for item in POOL]
    blueprint = Blueprint("b", "B", items=Range(length, length), most_information_at=(300,))

    choice = chosen(problem_of(blueprint, pool))

    assert choice is not None
    told = sum(information(pool[thing].difficulty, 300) for thing in choice.forms[0])
    nearest = sorted(pool, key=lambda each: abs(each.difficulty - 300))[:length]
    assert sum(information(each.difficulty, 300) for each in nearest) == told
    assert told <= 250_000 * length
