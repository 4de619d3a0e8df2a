from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import islice, product
from typing import Any

import pytest
import sympy

from itembank.expressions import spelling, tree
from itembank.expressions.display import Decimal, Maths
from itembank.expressions.parser import parse
from itembank.expressions.symbolic import readings
from itembank.items import (
    Blank,
    ChoiceResponse,
    Claim,
    EntryResponse,
    Item,
    Mark,
    Option,
    Part,
    Problem,
    SolutionLine,
)  # fmt: skip
from itembank.proof import claims
from itembank.proof.findings import Finding
from itembank.proof.prover import prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.proof.symbolic_claims import SYMBOLIC_PROPERTIES, has_property
from itembank.proof.symbolic_numbers import CannotTell, Rooted, rational, square_root
from itembank.proof.symbolic_reading import space
from itembank.proof.symbolic_sets import count_real_roots, solutions
from itembank.proof.symbolic_text import piece
from itembank.properties.catalogue import DEGENERATE_INPUTS, PROPERTIES
from itembank.verdicts import Proved, Refuted, Undecided
from tests import samples
from tests.quality.demo_bank import TEMPLATES, bound, items
from tests.samples import maths

EACH = 60
LEAST = 28
"""The smallest templates of the demo bank have so many items."""


def replace(thing: Any, **changes: Any) -> Any:
    """A copy of a record with other fields, whichever kind of frozen record it is."""
    if isinstance(thing, tuple):
        return thing._replace(**changes)  # type: ignore[attr-defined]
    return dataclasses.replace(thing, **changes)


def drawn(name: str, count: int = EACH) -> list[Item]:
    return list(islice(items(bound(name)), count))


def told(findings: tuple[Finding, ...]) -> list[tuple[str, str, str, int, int]]:
    """What is claimed, marks apart: they are no mathematics of the displayed pieces."""
    return [
        (found.code, found.claim, found.subject, found.place, found.part)
        for found in findings
        if found.code != "marks"
    ]


def wrong(findings: tuple[Finding, ...]) -> list[tuple[str, str, int, int]]:
    """Where something is refuted."""
    return [
        (found.code, found.subject, found.place, found.part)
        for found in findings
        if isinstance(found.verdict, Refuted)
    ]


@pytest.mark.parametrize("sample", samples.ALL, ids=lambda sample: sample.__name__)
def test_both_roads_prove_the_same_claims_of_a_sample(sample: Callable[[], Item]) -> None:
    item = sample()
    found = prove_with_sympy(item)

    assert told(prove(item)) == told(found)
    assert [] == [finding for finding in found if not finding.holds]


@pytest.mark.parametrize("name", TEMPLATES)
def test_both_roads_prove_the_same_claims_of_the_demo_banks_items(name: str) -> None:
    made = drawn(name)

    assert len(made) >= LEAST
    for item in made:
        first, second = prove(item), prove_with_sympy(item)

        assert told(first) == told(second)
        assert [] == [finding for finding in (*first, *second) if not finding.holds]


def pieces(item: Item) -> Iterator[Maths]:
    for part in item.parts:
        yield from (part.problem.statement, part.key)
        yield from (slip.answer for slip in part.slips)
        yield from (line.maths for line in part.solution if line.maths is not None)


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_text_parsed_without_its_numerals_has_the_tree_it_has_with_them(name: str) -> None:
    for item in drawn(name, 20):
        for shown in pieces(item):
            read = piece(spelling.plain(shown))
            values = iter(read.numerals)

            def numeral(node: tree.Node, values: Any = values) -> tree.Node | None:
                if not isinstance(node, tree.Number):
                    return None
                found = next(values)
                number = found.value.rational_part()
                return tree.Number(Fraction(int(number.numerator), int(number.denominator)), found.places)

            assert parse(read.text) == tree.transform(read.node, numeral)


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_reading_in_rings_is_the_general_sympy_reading(name: str) -> None:
    for item in drawn(name, 2):
        main_letter = item.parts[0].problem.main_letter
        for shown in pieces(item):
            read = piece(spelling.plain(shown))
            if read.pattern.is_nothing:
                continue
            symbols = {letter: sympy.Symbol(letter, real=True) for letter in read.names}
            inside = space(tuple(sorted(read.names)), main_letter)
            for found, expected in zip(
                differences(inside, read), expected_differences(read.text, symbols, main_letter), strict=True
            ):
                same = found.subs({sympy.Symbol(letter): symbol for letter, symbol in symbols.items()})

                assert sympy.expand(expected - same) == 0


def differences(inside: Any, read: Any) -> list[Any]:
    """left - right of every equation, or the value."""
    if not read.pattern.is_statement:
        return [inside.value(read).as_expression()]
    return [value.as_expression() for system in inside.alternatives(read) for value in system.zero]


def expected_differences(text: str, symbols: dict[str, Any], main_letter: str) -> Iterator[Any]:
    node = parse(text)
    for signed in (
        (tree.with_sign(node, 1), tree.with_sign(node, -1)) if tree.has_plus_minus(node) else (node,)
    ):
        relations = [part for part in tree.walk(signed) if isinstance(part, tree.Relation)]
        for relation in relations:
            (left, *_), (right, *_) = (
                readings(operand, symbols, main_letter=main_letter) for operand in relation.operands
            )
            yield left - right
        if not relations:
            yield readings(signed, symbols, main_letter=main_letter)[0]


# Items that are wrong in one place


def with_part(item: Item, **changes: Any) -> Item:
    return replace(item, parts=(replace(item.parts[0], **changes), *item.parts[1:]))


def with_options(item: Item, change: Callable[[Option], Option]) -> Item:
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    return with_part(item, response=replace(response, options=tuple(map(change, response.options))))


def with_option(item: Item, identifier: str, text: str) -> Item:
    return with_options(
        item,
        lambda option: replace(option, content=maths(text)) if option.identifier == identifier else option,
    )


def with_line(item: Item, index: int, text: str) -> Item:
    lines = list(item.parts[0].solution)
    lines[index] = replace(lines[index], maths=maths(text))
    return with_part(item, solution=tuple(lines))


def with_boxes(item: Item, *values: tuple[tuple[int, ...], ...], **changes: Any) -> Item:
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    blanks = tuple(
        replace(blank, values=groups) for blank, groups in zip(response.blanks, values, strict=True)
    )
    return with_part(item, response=replace(response, blanks=blanks, **changes))


def with_recognised(item: Item, *values: tuple[tuple[int, ...], ...]) -> Item:
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    entry = replace(response.recognised[0], values=values)
    return with_part(item, response=replace(response, recognised=(entry,)))


def with_key_moved(item: Item, identifier: str) -> Item:
    return with_options(item, lambda option: replace(option, is_key=option.identifier == identifier))


def with_values(item: Item, **values: int) -> Item:
    return replace(item, values={**item.values, **values})


CHOICE, SURD, INTEGER = samples.choice_item(), samples.surd_entry_item(), samples.integer_entry_item()
NO_SOLUTION, IDENTITY = samples.no_solution_entry_item(), samples.identity_item()
WORDS, REWRITE = samples.words_item(), samples.rewrite_item()
SPOILED = {
    "a key with the sign of the half turned": (
        with_part(CHOICE, key=maths("x = -4 ± sqrt(13)")), ("wrong-key", "key", -1)),
    "a key that misses a root": (with_part(INTEGER, key=maths("x = 5")), ("wrong-key", "key", -1)),
    "a key with a root too many": (
        with_part(INTEGER, key=maths("x = -3 or x = 5 or x = 6")), ("wrong-key", "key", -1)),
    "a key with one value of a surd pair": (
        with_part(CHOICE, key=maths("x = 4 + sqrt(13)")), ("wrong-key", "key", -1)),
    "no solution keyed where there are two": (with_part(CHOICE, key=maths("none")), ("wrong-key", "key", -1)),
    "solutions keyed where there are none": (
        with_part(NO_SOLUTION, key=maths("x = -1 ± 2")), ("wrong-key", "key", -1)),
    "one of two unknowns wrong": (with_part(IDENTITY, key=maths("p = -3 and q = 3")), ("wrong-key", "key", -1)),
    "a surd simplified to another value": (with_part(REWRITE, key=maths("2*sqrt(6)")), ("wrong-key", "key", -1)),
    "another problem is shown": (
        with_part(CHOICE, problem=replace(CHOICE.parts[0].problem, statement=maths("x^2 - 8*x - 3 = 0"))),
        ("wrong-key", "key", -1)),
    "two options equal in another form": (
        with_option(CHOICE, "C", "x = (16 ± 2*sqrt(61))/2"), ("option", "option", 2)),
    "an option equal to the key in another form": (
        with_option(CHOICE, "C", "x = (8 ± sqrt(52))/2"), ("option", "option", 2)),
    "the keyed option is not the key": (with_option(CHOICE, "B", "x = 5 ± sqrt(13)"), ("option", "option", 1)),
    "no option is the key": (
        with_options(CHOICE, lambda option: replace(option, is_key=False)), ("one-key", "response", -1)),
    "a line that loses a root": (with_line(CHOICE, 3, "x - 4 = sqrt(13)"), ("solution-line", "line", 3)),
    "a line with a wrong square": (with_line(CHOICE, 1, "x^2 - 8*x + 16 = -3 + 8"), ("solution-line", "line", 1)),
    "a line without solutions": (with_line(CHOICE, 4, "none"), ("solution-line", "line", 4)),
    "another equation without solutions": (
        with_line(NO_SOLUTION, 0, "(x - 1)^2 = -4"), ("solution-line", "line", 0)),
    "another constant where nothing is real": (
        with_line(NO_SOLUTION, 0, "2*(x + 1)^2 + 7 = 0"), ("solution-line", "line", 0)),
    "an identity that does not hold": (
        with_line(IDENTITY, 0, "x^2 - 6*x + 11 = (x - 3)^2 + 3"), ("solution-line", "line", 0)),
    "a line with one coordinate wrong": (with_line(IDENTITY, 1, "p = 3"), ("solution-line", "line", 1)),
    "side working that is not true": (with_line(SURD, 1, "sqrt(28) = 4*sqrt(7)"), ("solution-line", "line", 1)),
    "a rewriting line of another value": (
        with_line(REWRITE, 0, "sqrt(36)*sqrt(3)"), ("solution-line", "line", 0)),
    "boxes that are not the key": (with_boxes(SURD, ((3, 1, 5, 2),)), ("entry", "response", -1)),
    "boxes with a root that is not simplified": (with_boxes(SURD, ((6, 1, 28, 4),)), ("entry", "response", -1)),
    "boxes with a common factor": (with_boxes(SURD, ((6, 2, 7, 4),)), ("entry", "response", -1)),
    "a fraction that is not in lowest terms": (
        with_boxes(IDENTITY, ((-3,),), ((4, 2),)), ("entry", "response", -1)),
    "boxes without one of the solutions": (with_boxes(INTEGER, ((5,),)), ("entry", "response", -1)),
    "a tick keyed beside solutions": (
        with_boxes(INTEGER, ((-3,), (5,)), tick_is_right=True), ("entry", "response", -1)),
    "no tick keyed where nothing is real": (
        with_boxes(NO_SOLUTION, (), tick_is_right=False), ("entry", "response", -1)),
    "a recognised wrong entry that is right": (with_recognised(INTEGER, ((5,), (-3,))), ("slip", "slip", 0)),
    "a recognised wrong surd that is right": (with_recognised(SURD, ((3, 1, 7, 2),)), ("slip", "slip", 0)),
    "a recognised wrong point that is right": (
        with_recognised(IDENTITY, ((-3,),), ((2, 1),)), ("slip", "slip", 0)),
    "the key on a row that is false": (with_key_moved(WORDS, "C"), ("option", "option", 2)),
    "a slip on a row where it does not lead": (
        with_options(WORDS, lambda option: replace(
            option, slip=replace(option.slip, answer=maths("D = 81")) if option.slip else None)),
        ("option", "option", 1)),
    "a guarantee that does not hold": (
        replace(CHOICE, claims=(Claim(parse("integer_roots(problem)"), "integer_roots(problem)"),)),
        ("guarantee", "claim", 0)),
    "a guarantee about values that do not fit": (
        replace(with_values(CHOICE, k=12), claims=(Claim(parse("simplest_surd(k)"), "simplest_surd(k)"),)),
        ("guarantee", "claim", 0)),
}  # fmt: skip


@pytest.mark.parametrize("fault", SPOILED)
def test_both_roads_refute_what_is_wrong_at_its_place(fault: str) -> None:
    item, (code, subject, index) = SPOILED[fault]
    place = (code, subject, index, 0)

    assert place in wrong(prove(item))
    assert place in wrong(prove_with_sympy(item))


def test_at_least_thirty_faults_are_planted() -> None:
    assert len(SPOILED) >= 30


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_demo_item_with_another_items_key_is_refuted_by_both_roads(name: str) -> None:
    made = drawn(name, 12)
    keys = {spelling.plain(item.parts[0].key): item.parts[0].key for item in made}
    swapped = 0
    for item in made:
        own = spelling.plain(item.parts[0].key)
        other = next((key for text, key in keys.items() if text != own), None)
        if other is not None:
            swapped += 1
            spoiled = with_part(item, key=other)

            assert ("wrong-key", "key", -1, 0) in wrong(prove(spoiled))
            assert ("wrong-key", "key", -1, 0) in wrong(prove_with_sympy(spoiled))
    assert swapped == (0 if name == "real-or-not" else len(made))  # there, every key is that nothing is real


# Shapes that the demo bank does not have


def made(problem: Problem, key: str, *lines: tuple[str, str], entry: EntryResponse | None = None) -> Item:
    """An item with a choice between the key and nothing else, or with an entry."""
    response = entry or ChoiceResponse((Option("A", maths(key), True),))
    solution = tuple(SolutionLine(kind, None, maths(text)) for kind, text in lines)
    part = Part("", problem, samples.text("Solve ", "x"), response, maths(key), (), solution)
    return replace(CHOICE, parts=(part,), claims=(), values={})


def decimals(unknown: str, *values: str) -> EntryResponse:
    groups = tuple((Decimal(Fraction(value), 2),) for value in values)
    blank = Blank(unknown, "decimal", ("value",), groups, len(groups), True, places=2, marks=(Mark("B"),))
    return EntryResponse((blank,), 1, samples.text("Write ", "x"))


WIDTH = Problem("solve", maths("w^2 + 3*w - 40 = 0"), ("w",), domain=maths("w > 0"))
PAIRS = Problem("solve", maths("x + y = 5 and x*y = 6"), ("x", "y"))
ROOT = Problem("solve", maths("x^2 - 4*x + 1 = 0"), ("x",))
SHIFTED = Problem("solve", maths("(x - 1)^2 - 5*(x - 1) + 6 = 0"), ("x",))
EXPANDED = Problem("rewrite", maths("(x + 3)^2 - 9"))
RIGHT = {
    "a root outside the domain given up": made(
        WIDTH, "w = 5", ("main", "(w + 8)*(w - 5) = 0"), ("main", "w = -8 or w = 5"), ("rejects", "w = -8"),
        ("main", "w = 5")),
    "a system with two solutions": made(
        PAIRS, "x = 2 and y = 3 or x = 3 and y = 2", ("main", "x = 2 and y = 3 or x = 3 and y = 2"),
        ("main", "x = 2 or x = 3")),
    "decimals that are right to the places shown": made(
        ROOT, "x = 2 ± sqrt(3)", ("aside", "sqrt(3) ≈ 1.732"), ("main", "x ≈ 0.27 or x ≈ 3.73"),
        entry=decimals("x", "0.27", "3.73")),
    "a line that names a letter": made(
        SHIFTED, "x = 3 or x = 4", ("let", "u = x - 1"), ("main", "u^2 - 5*u + 6 = 0"), ("main", "u = 2 or u = 3")),
    "side working about the unknown": made(ROOT, "x = 2 ± sqrt(3)", ("aside", "x^2 = 4*x - 1")),
    "an expression with a letter": made(
        EXPANDED, "x^2 + 6*x", ("main", "x^2 + 6*x + 9 - 9"), ("main", "x*(x + 6)")),
    "roots among the coefficients": made(
        Problem("solve", maths("x^2 - 2*sqrt(2)*x + 1 = 0"), ("x",)), "x = sqrt(2) ± 1"),
    "a bound of another size": made(ROOT, "x = 2 ± sqrt(3)", ("aside", "sqrt(3) < 2 and 1 < sqrt(3)")),
}  # fmt: skip
NOT_RIGHT = {
    "a root outside the domain kept": (made(WIDTH, "w = -8 or w = 5"), ("wrong-key", "key", -1)),
    "a root inside the domain given up": (
        made(WIDTH, "w = 5", ("rejects", "w = 5")), ("solution-line", "line", 0)),
    "something given up where all is allowed": (
        made(ROOT, "x = 2 ± sqrt(3)", ("rejects", "x = 3")), ("solution-line", "line", 0)),
    "a system with one of two solutions": (made(PAIRS, "x = 2 and y = 3"), ("wrong-key", "key", -1)),
    "a decimal that is cut off": (
        made(ROOT, "x = 2 ± sqrt(3)", ("main", "x ≈ 0.26 or x ≈ 3.73")), ("solution-line", "line", 0)),
    "a decimal in a box that is cut off": (
        made(ROOT, "x = 2 ± sqrt(3)", entry=decimals("x", "0.26", "3.73")), ("entry", "response", -1)),
    "a line in a new letter that loses a solution": (
        made(SHIFTED, "x = 3 or x = 4", ("let", "u = x - 1"), ("main", "u = 2")), ("solution-line", "line", 1)),
    "side working that holds for one solution only": (
        made(ROOT, "x = 2 ± sqrt(3)", ("aside", "x = 2 + sqrt(3)")), ("solution-line", "line", 0)),
    "an expression with a letter that is another": (
        made(EXPANDED, "x^2 + 6*x", ("main", "x^2 + 6*x + 9")), ("solution-line", "line", 0)),
    "a comparison that is false": (
        made(ROOT, "x = 2 ± sqrt(3)", ("aside", "sqrt(3) > 2")), ("solution-line", "line", 0)),
}  # fmt: skip


@pytest.mark.parametrize("shape", RIGHT)
def test_other_shapes_are_proved(shape: str) -> None:
    item = RIGHT[shape]
    found = prove_with_sympy(item)

    assert [] == [finding for finding in found if not finding.holds]
    assert told(prove(item)) == told(found)


@pytest.mark.parametrize("fault", NOT_RIGHT)
def test_other_shapes_are_refuted_at_their_place(fault: str) -> None:
    item, (code, subject, index) = NOT_RIGHT[fault]

    assert (code, subject, index, 0) in wrong(prove_with_sympy(item))
    assert (code, subject, index, 0) in wrong(prove(item))


@pytest.mark.parametrize(
    ("equation", "key", "lost"),
    [("x^3 - 6*x^2 + 11*x - 6 = 0", "x = 1 or x = 2 or x = 3", "x = 1 or x = 3"),
     ("x^4 - 5*x^2 + 6 = 0", "x = -sqrt(3) or x = -sqrt(2) or x = sqrt(2) or x = sqrt(3)", "x = ±sqrt(3)"),
     ("(x^2 - 2)^2 = 0", "x = ±sqrt(2)", "x = sqrt(2)"),
     ("x^3 = 8", "x = 2", "x = ±2")],
)  # fmt: skip
def test_equations_above_degree_2_are_decided_by_their_number_of_real_roots(
    equation: str, key: str, lost: str
) -> None:
    problem = Problem("solve", maths(equation), ("x",))

    assert [] == [finding for finding in prove_with_sympy(made(problem, key)) if not finding.holds]
    assert [("wrong-key", "key", -1, 0)] == wrong(prove_with_sympy(made(problem, lost)))


def test_the_findings_of_a_second_part_bear_its_number() -> None:
    item = replace(CHOICE, parts=(CHOICE.parts[0], with_line(CHOICE, 3, "x - 4 = sqrt(13)").parts[0]))

    assert [("solution-line", "line", 3, 1)] == wrong(prove_with_sympy(item))
    assert told(prove(item)) == told(prove_with_sympy(item))


UNDECIDED = {
    "roots that are no sums of square roots": made(
        Problem("solve", maths("x^3 - 3*x + 1 = 0"), ("x",), domain=maths("x > 100")), "none"),
    "an inequality in two unknowns": made(Problem("solve", maths("x^2 < y"), ("x", "y")), "x = 1 and y = 2"),
    "a letter that is not to be found": made(Problem("solve", maths("x^2 = a"), ("x",)), "x = 1"),
    "a radicand too large to be factorised": made(
        Problem("rewrite", maths("sqrt(100000000000000000057)")), "sqrt(3)"),
}  # fmt: skip


@pytest.mark.parametrize("shape", UNDECIDED)
def test_what_cannot_be_told_is_undecided_and_never_proved(shape: str) -> None:
    (finding, *_) = prove_with_sympy(UNDECIDED[shape])

    assert isinstance(finding.verdict, Undecided)


@pytest.mark.parametrize(
    "statement",
    [" and ".join(["(x = 1 or x = 2)"] * 60), " and ".join(f"x_{n}^2 = 1" for n in range(20)),
     "x^4*y^3 + y = 1 and x^2*y^3 + x = 2"],
)  # fmt: skip
def test_statements_with_endless_alternatives_are_refused_by_bound(statement: str) -> None:
    read = piece(statement)
    letters = tuple(sorted(read.names))

    with pytest.raises(CannotTell):
        solutions(space(letters), read, letters)


def test_a_line_with_a_letter_that_nobody_introduced_is_undecided() -> None:
    *_, finding = prove_with_sympy(made(ROOT, "x = 2 ± sqrt(3)", ("main", "u = 3")))

    assert isinstance(finding.verdict, Undecided)


# Numbers, sets and properties


def surd(p: int, q: int, r: int) -> Rooted:
    return rational(p) + rational(q) * square_root(rational(r))


NUMBERS = [surd(p, q, r) for p, q, r in product((-3, 0, 2), (-2, 0, 1), (2, 8, 12, 5))]


@pytest.mark.parametrize("first", NUMBERS[::3])
def test_signs_products_and_inverses_are_sympys(first: Rooted) -> None:
    for second in NUMBERS:
        a, b = first.as_expression(), second.as_expression()

        assert (1 if a > b else -1 if a < b else 0) == (first - second).sign()
        assert sympy.expand(a * b) == sympy.expand((first * second).as_expression())
        if second:
            assert rational(1) == second * second.inverse()


def test_sums_of_three_roots_have_an_exact_sign() -> None:
    near = (
        square_root(rational(2)) + square_root(rational(3)) - square_root(rational(10)) + rational(161, 10**4)
    )

    assert 1 == near.sign()
    assert -1 == (near - rational(1, 10**3)).sign()
    assert rational(1) == near * near.inverse()


def test_square_factors_above_every_trial_division_are_taken_out() -> None:
    prime = 65537

    assert square_root(rational(prime**2 * 3)) == rational(prime) * square_root(rational(3))
    assert square_root(rational(10**40)) == rational(10**20)
    with pytest.raises(CannotTell):
        square_root(rational(10**40 + 1))


def test_a_root_in_a_root_comes_out_where_it_can() -> None:
    six = square_root(rational(6))

    assert square_root(rational(5) + rational(2) * six) == square_root(rational(2)) + square_root(rational(3))
    with pytest.raises(CannotTell):
        square_root(rational(1) + six)


@pytest.mark.parametrize("coefficients", list(product((-2, 1, 3), (-5, -4, 0, 2), (-3, 0, 1, 4))))
def test_roots_and_their_number_are_sympys(coefficients: tuple[int, int, int]) -> None:
    a, b, c = coefficients
    inside = space(("x",))
    read = piece(f"{a}*x^2 + {b}*x + {c} = 0".replace("+ -", "- "))
    found = solutions(inside, read, ["x"])
    x = sympy.Symbol("x", real=True)
    expected = sympy.solveset(a * x**2 + b * x + c, x, sympy.S.Reals)

    assert {sympy.radsimp(root) for root in expected} == {point[0].as_expression() for point in found}
    assert len(expected) == count_real_roots(inside, inside.alternatives(read)[0].zero[0], "x")


def rational_arguments(name: str, values: tuple[int, ...]) -> tuple[Fraction, ...]:
    """The arguments as the provers take them: denominators divided through."""
    if PROPERTIES[name].takes in {"polynomial", "number"}:
        *above, below = values
        return tuple(Fraction(value, below) for value in above)
    return tuple(Fraction(value) for value in values)


def holds_with_sympy(name: str, values: tuple[int, ...]) -> bool:
    return has_property(
        name, tuple(sympy.QQ(v.numerator, v.denominator) for v in rational_arguments(name, values))
    )


def test_every_property_of_the_catalogue_has_a_second_prover() -> None:
    assert PROPERTIES.keys() == SYMBOLIC_PROPERTIES.keys()
    assert len(PROPERTIES) >= 21


@pytest.mark.parametrize("name", PROPERTIES)
def test_a_property_is_what_the_catalogue_says_of_inputs_at_the_edge(name: str) -> None:
    edges = DEGENERATE_INPUTS[PROPERTIES[name].takes]

    assert PROPERTIES[name].degenerate == {edge: holds_with_sympy(name, edges[edge]) for edge in edges}


GRIDS: dict[str, list[tuple[int, ...]]] = {
    "polynomial": list(product(range(-3, 4), range(-6, 7, 3), range(-4, 5), (1, 2))),
    "number": list(product(range(-5, 80), (1, 2, 3, 5))),
    "integers": list(product(range(-4, 7), range(-4, 7))),
    "fraction": list(product(range(-4, 7), range(-4, 7))),
}


@pytest.mark.parametrize("name", PROPERTIES)
def test_a_property_holds_on_a_full_grid_where_the_first_prover_proves_it(name: str) -> None:
    both = set()
    for values in GRIDS[PROPERTIES[name].takes]:
        found = holds_with_sympy(name, values)
        both.add(found)

        assert isinstance(claims.prove(name, *map(whole, rational_arguments(name, values))), Proved) == found
    assert {True, False} == both


def whole(value: Fraction) -> int | Fraction:
    return value.numerator if value.denominator == 1 else value
