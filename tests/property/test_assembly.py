"""Choosing forms against listing all of them: there are forms where there are, and none are nearer or tell more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import exp

from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.assembly.information import information
from itembank.assembly.programme import Problem, Rule, chosen

THINGS = 7


def weights(least: int, most: int) -> st.SearchStrategy[tuple[int, ...]]:
    return st.tuples(*[st.integers(least, most)] * THINGS)


@st.composite
def rules(draw: st.DrawFn) -> Rule:
    least = draw(st.none() | st.integers(-3, 12))
    most = draw(st.none() | st.integers(least if least is not None else -3, 20))
    return Rule("a rule", draw(weights(-3, 5)), least, most)


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    length = draw(st.integers(1, 3))
    forms = draw(st.integers(1, 2))
    return Problem(
        THINGS,
        forms,
        (Rule("a length", (1,) * THINGS, length, length), *draw(st.lists(rules(), max_size=3))),
        alike=tuple(draw(st.lists(weights(0, 2), max_size=1))),
        near=tuple(draw(st.lists(weights(-9, 9), max_size=2))),
        most_of=tuple(draw(st.lists(weights(0, 9), max_size=1))),
        shared=draw(st.integers(0, 1)) if forms == 2 else 0,
    )


Forms = tuple[tuple[int, ...], ...]


def every_choice(problem: Problem) -> Iterator[Forms]:
    """All forms that keep the rules, by listing them."""
    every = range(problem.things)
    length = problem.rules[0].least or 0
    single = [form for form in combinations(every, length) if all(rule.keeps(form) for rule in problem.rules)]
    if problem.forms == 1:
        yield from ((form,) for form in single)
        return
    for first, second in combinations(single, 2):
        if len(set(first) & set(second)) == problem.shared and all(
            total(first, each) == total(second, each) for each in problem.alike
        ):
            yield first, second
    if problem.shared == length:
        yield from ((form, form) for form in single)


def total(form: Sequence[int], each: Sequence[int]) -> int:
    return sum(each[thing] for thing in form)


def told(problem: Problem, forms: Forms) -> int:
    return sum(min(total(form, each) for form in forms) for each in problem.most_of)


def apart(problem: Problem, forms: Forms) -> int:
    totals = [[total(form, each) for form in forms] for each in problem.near]
    return sum(max(each) - min(each) for each in totals)


@settings(max_examples=150, deadline=None)
@given(problems())
def test_the_choice_is_as_good_as_the_best_that_there_is(problem: Problem) -> None:
    every = list(every_choice(problem))

    choice = chosen(problem)

    assert (choice is None) == (not every)
    if choice is None:
        return
    assert choice.is_best
    assert tuple(sorted(choice.forms)) in {tuple(sorted(forms)) for forms in every}
    most = max(told(problem, forms) for forms in every)
    assert most == told(problem, choice.forms)
    assert apart(problem, choice.forms) == min(
        apart(problem, forms) for forms in every if told(problem, forms) == most
    )


@settings(max_examples=40, deadline=None)
@given(problems(), st.permutations(range(THINGS)))
def test_the_names_of_things_change_nothing(problem: Problem, order: list[int]) -> None:
    def moved(each: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(each[thing] for thing in order)

    other = replace(
        problem, rules=tuple(replace(rule, weights=moved(rule.weights)) for rule in problem.rules),
        alike=tuple(map(moved, problem.alike)), near=tuple(map(moved, problem.near)),
        most_of=tuple(map(moved, problem.most_of)),
    )  # fmt: skip

    first, second = chosen(problem), chosen(other)

    assert (first is None) == (second is None)
    if first is not None and second is not None:
        assert told(problem, first.forms) == told(other, second.forms)
        assert apart(problem, first.forms) == apart(other, second.forms)


@settings(max_examples=40, deadline=None)
@given(problems(), rules())
def test_one_more_rule_makes_nothing_better(problem: Problem, rule: Rule) -> None:
    single = replace(problem, forms=1, alike=(), near=(), shared=0, most_of=((3, 1, 4, 1, 5, 9, 2),))

    before = chosen(single)
    after = chosen(replace(single, rules=(*single.rules, rule)))

    if after is not None:
        assert before is not None
        assert told(single, after.forms) <= told(single, before.forms)


@given(problems())
@settings(max_examples=25, deadline=None)
def test_the_same_problem_has_the_same_forms(problem: Problem) -> None:
    assert chosen(problem) == chosen(problem)


@given(st.integers(-9_000, 9_000), st.integers(-9_000, 9_000))
def test_information_is_that_of_the_rasch_model(difficulty: int, ability: int) -> None:
    chance = 1 / (1 + exp((difficulty - ability) / 1000))

    found = information(difficulty, ability)

    assert abs(found - 1e6 * chance * (1 - chance)) < 0.5 + 1e-6
    assert 0 <= found <= 250_000
    assert found == information(ability, difficulty)
    assert isinstance(found, int)
