"""Every reading handles every kind of node: a new kind points at each reading it lacks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from itembank.errors import DomainError
from itembank.expressions import (
    content_mathml,
    display,
    exact,
    expand,
    latex,
    mathml,
    plain,
    precedence,
    speech,
    spelling,
    symbolic,
    tree,
)
from itembank.expressions.display import Bracket, Display, Letter, Maths, Numeral, Shape
from itembank.expressions.integer_code import Emitter, NotCompilable, Ratio
from itembank.expressions.layout import lay_out
from itembank.expressions.parser import parse
from itembank.expressions.plan import make_plan
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import (
    FUNCTIONS,
    NUMBER_PROPERTIES,
    POLYNOMIAL_PROPERTIES,
    PROPERTY_NAMES,
    Function,
)
from itembank.properties.catalogue import PROPERTIES

X, TWO = Letter("x"), Numeral(text="2")

SOURCES: dict[type, str] = {
    tree.Number: "2",
    tree.Name: "x",
    tree.Negation: "-x",
    tree.PlusMinus: "±x",
    tree.Sum: "x + 2",
    tree.Product: "2*x",
    tree.Quotient: "x/2",
    tree.Power: "x^2",
    tree.Call: "sqrt(x)",
    tree.Point: "(x, 2)",
    tree.Relation: "x = 2",
    tree.And: "x = 2 and x > 1",
    tree.Or: "x = 2 or x > 1",
    tree.Not: "not x = 2",
}

DISPLAYS: dict[type, Display] = {
    display.Numeral: TWO,
    display.Letter: X,
    display.Terms: display.Terms((("+", X), ("-", TWO))),
    display.Factors: display.Factors((TWO, X), (False,)),
    display.Over: display.Over(X, TWO),
    display.Raised: display.Raised(X, TWO),
    display.Root: display.Root(X, "3"),
    display.Bracket: Bracket(X),
    display.Bars: display.Bars(X),
    display.Applied: display.Applied("gcd", (X, TWO)),
    display.Pair: display.Pair(X, TWO),
    display.Compared: display.Compared((X, TWO), ("<",)),
    display.Joined: display.Joined("or", (display.Compared((X, TWO), ("<",)), display.Nothing())),
    display.Nothing: display.Nothing(),
}


def no_property(name: str, arguments: object) -> bool:
    return False


def symbols() -> dict[str, Any]:
    return {"x": symbolic.sympy.Symbol("x", real=True)}


TERM_READINGS: dict[str, tuple[Callable[[Node], object], type[Exception]]] = {
    "exact value": (lambda node: exact.polynomial(node, {"x": 2}), DomainError),
    "truth": (lambda node: exact.truth(node, {"x": 2}, no_property), DomainError),
    "multiplying out": (lambda node: expand.expanded(node, {"x"}), DomainError),
    "sympy": (lambda node: symbolic.to_sympy(node, symbols()), DomainError),
    "layout": (lambda node: lay_out(node, 0), DomainError),
    "plan": (lambda node: make_plan(node, {"x"}, lambda name: None, lambda part: part), DomainError),
    "integer code": (lambda node: Emitter({"x": ratio()}).rational(node), NotCompilable),
    "integer code of a polynomial": (lambda node: Emitter({}).polynomial(node, "x"), NotCompilable),
    "integer code of a radical": (lambda node: Emitter({"x": ratio()}).radical(node), NotCompilable),
    "integer code of a condition": (lambda node: Emitter({"x": ratio()}).condition(node), NotCompilable),
}
WHOLE_READINGS: dict[str, Callable[[Node], object]] = {
    "plain": plain.plain,
    "children": tree.children,
    "walk": lambda node: list(tree.walk(node)),
    "rebuild": lambda node: tree.rebuild(node, tree.children(node)),
    "depth": tree.depth,
}


def ratio() -> Ratio:
    from itembank.expressions.integer_code import ONE, Int

    return Ratio(Int("v0", 1, 9), ONE)


def test_there_is_an_example_of_every_kind_of_node() -> None:
    assert set(tree.NODE_KINDS) == SOURCES.keys()
    assert len(SOURCES) == len(tree.NODE_KINDS) >= 14
    for kind, source in SOURCES.items():
        assert type(parse(source)) is kind


def test_there_is_an_example_of_every_kind_of_display() -> None:
    assert set(display.DISPLAY_KINDS) == DISPLAYS.keys()
    assert len(DISPLAYS) == len(display.DISPLAY_KINDS) >= 14
    for kind, example in DISPLAYS.items():
        assert type(example) is kind


@pytest.mark.parametrize("reading", WHOLE_READINGS)
@pytest.mark.parametrize("kind", tree.NODE_KINDS)
def test_readings_of_all_trees_take_every_kind_of_node(kind: type, reading: str) -> None:
    assert WHOLE_READINGS[reading](parse(SOURCES[kind])) is not None


@pytest.mark.parametrize("reading", TERM_READINGS)
@pytest.mark.parametrize("kind", tree.NODE_KINDS)
def test_a_reading_gives_a_result_or_refuses_by_name(kind: type, reading: str) -> None:
    read, refusal = TERM_READINGS[reading]
    try:
        said = str(read(parse(SOURCES[kind])))
    except refusal as refused:
        said = str(refused)

    assert said
    assert said != "None"


@pytest.mark.parametrize("kind", tree.NODE_KINDS)
def test_every_kind_of_node_has_a_value_or_a_truth_and_a_sympy_reading(kind: type) -> None:
    node = parse(SOURCES[kind])
    readings = tree.with_sign(node, 1) if tree.has_plus_minus(node) else node
    if kind is tree.Point:
        return
    if tree.is_statement(node):
        assert exact.truth(readings, {"x": 2}, no_property) in {True, False}
    else:
        assert exact.polynomial(readings, {"x": 4}) is not None
    assert symbolic.to_sympy(node, symbols()) is not None


@pytest.mark.parametrize("kind", [kind for kind in tree.NODE_KINDS if kind is not tree.Not])
def test_every_kind_of_node_but_not_can_be_shown(kind: type) -> None:
    assert lay_out(parse(SOURCES[kind]), 0).display is not None


DISPLAY_READINGS: dict[str, Callable[[Maths], str]] = {
    "plain": spelling.plain,
    "terminal": spelling.terminal,
    "latex": latex.latex,
    "presentation": mathml.presentation,
    "content": content_mathml.content,
    "mathml": mathml.mathml,
    "speech": speech.speech,
}


@pytest.mark.parametrize("reading", DISPLAY_READINGS)
@pytest.mark.parametrize("kind", display.DISPLAY_KINDS)
def test_every_notation_shows_every_kind_of_display(kind: type, reading: str) -> None:
    text = DISPLAY_READINGS[reading](Maths(Shape(DISPLAYS[kind], 0)))

    assert text
    assert type(text) is str


@pytest.mark.parametrize("kind", display.DISPLAY_KINDS)
def test_every_kind_of_display_has_parts_and_a_strength(kind: type) -> None:
    example = DISPLAYS[kind]

    assert all(isinstance(part, display.DISPLAY_KINDS) for part in display.parts(example))
    assert precedence.SUM <= precedence.strength(example) <= precedence.ATOM


VALUES = {"h": 4, "k": 64, "a": 1, "b": -5, "c": 6, "p": 2, "q": 3, "m": 2, "r": 6}


@pytest.mark.parametrize(
    "function", [f for f in FUNCTIONS.values() if f.kind != "property"], ids=lambda f: f.name
)
def test_the_example_of_every_function_has_an_exact_value_and_a_sympy_reading(function: Function) -> None:
    node = parse(function.example)
    letters: dict[str, Any] = {name: value for name, value in VALUES.items() if name in tree.names(node)}

    assert isinstance(node, tree.Call)
    assert function.name == node.function
    assert function.least <= len(node.arguments) <= function.most
    assert exact.polynomial(node, letters, "x").terms is not None
    assert symbolic.to_sympy(node, {**letters_of_sympy(letters), **symbols()}, main_letter="x") is not None


def letters_of_sympy(letters: dict[str, Any]) -> dict[str, Any]:
    return {name: symbolic.sympy.Integer(value) for name, value in letters.items()}


@pytest.mark.parametrize(
    "function", [f for f in FUNCTIONS.values() if f.kind == "property"], ids=lambda f: f.name
)
def test_the_example_of_every_property_is_a_condition_with_an_exact_truth_and_code(
    function: Function,
) -> None:
    node = tree.substitute(parse(function.example), {"problem": parse("x^2 - 5*x + 6 = 0")})
    asked: list[str] = []

    def holds(name: str, arguments: object) -> bool:
        asked.append(name)
        return True

    code = Emitter({name: ratio() for name in VALUES})

    assert exact.truth(node, VALUES, holds)
    assert [function.name] == asked
    assert code.condition(node)
    assert f"test_{function.name}(" in code.lines[-1]


def test_the_functions_know_every_property_of_the_catalogue_and_what_it_takes() -> None:
    takes = {name: entry.takes for name, entry in PROPERTIES.items()}

    assert takes.keys() == PROPERTY_NAMES
    assert {name for name, kind in takes.items() if kind == "polynomial"} == set(POLYNOMIAL_PROPERTIES)
    assert {name for name, kind in takes.items() if kind == "number"} == set(NUMBER_PROPERTIES)
