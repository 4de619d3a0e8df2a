"""The worked quadratics of open textbooks and historical texts: the engine solves, completes and proves them all.

Over the real numbers: complex roots count as none. The book, section and revision behind each source code stand
in `quadratics.yaml`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from pathlib import Path

import pytest
import sympy

from itembank.expressions import canonical, exact, numbers, polynomials, spelling
from itembank.expressions.numbers import Exact, whole
from itembank.expressions.parser import parse
from itembank.expressions.polynomials import Polynomial
from itembank.generator import exactly
from itembank.generator.counting import Counter
from itembank.generator.instantiate import Instantiator
from itembank.generator.space import walk
from itembank.proof import identity, meaning
from itembank.proof.claims import prove as prove_property
from itembank.proof.prover import faults, prove
from itembank.properties.integer_tests import INTEGER_TESTS
from itembank.verdicts import Proved, Refuted
from tests.reference.facts import Entry, cases, copy_of, original_of
from tests.reference.worked import (
    adapt,
    bound_template,
    entered,
    in_simplest_form,
    number,
    real_roots,
    rewritten,
    roots_form,
    shown,
    solved,
    stated,
    verdict_on_key,
)
from tests.samples import maths

FACTS = copy_of("quadratics")
MODERN, HISTORICAL = FACTS["solve"], FACTS["solve_historical"]
SOLVED = [*MODERN, *HISTORICAL]
ERRATA = {entry["id"]: entry for entry in FACTS["errata"]}


def known_roots(entry: Entry) -> set[Exact]:
    """All real roots of an entry; a historical text gives the positive ones, the others were worked out."""
    return real_roots(entry["solutions"]) | real_roots(entry.get("other_roots", []))


def key_of(entry: Entry) -> str:
    published = entry["solutions"]
    every = published if isinstance(published, str) else [*published, *entry.get("other_roots", [])]
    return stated(entry["variable"], every)


def moved_to_one_side(equation: str) -> Polynomial:
    left, right = (exact.polynomial(parse(adapt(side)), {}) for side in equation.split("="))
    return polynomials.subtract(left, right)


def rational_coefficients(polynomial: Polynomial, variable: str) -> tuple[Fraction, ...]:
    parts = (part.constant() for part in polynomials.quadratic_coefficients(polynomial, variable))
    return tuple(Fraction(part) for part in parts if not isinstance(part, numbers.Surd))


def standard_text(entry: Entry) -> str:
    a, b, c = entry["standard"]
    return f"{a}*{entry['variable']}^2 + ({b})*{entry['variable']} + ({c})"


def holds(name: str, *coefficients: int) -> bool:
    """Whether a polynomial has a property; search and proof must say the same."""
    by_proof = prove_property(name, *coefficients)
    found: bool = INTEGER_TESTS[name](*coefficients, 1)

    assert isinstance(by_proof, Proved if found else Refuted)
    return found


# ---- what is collected ------------------------------------------------------------------------------------


def test_every_kind_of_worked_example_is_collected() -> None:
    assert len(MODERN) >= 77
    assert len(HISTORICAL) >= 6
    assert len(FACTS["complete_trinomial"]) >= 14
    assert len(FACTS["vertex_form"]) >= 21
    assert len(FACTS["discriminant"]) >= 18
    assert len(ERRATA) >= 7
    assert len(FACTS["domain_counts"]) >= 2
    assert sum("square_form" in entry for entry in SOLVED) >= 14


def test_every_kind_of_root_is_met_more_than_once() -> None:
    natures = [entry["nature"] for entry in SOLVED]

    for nature in ("rational", "irrational", "repeated_rational", "complex"):
        assert natures.count(nature) >= 2


def test_each_textbook_source_is_explained() -> None:
    used = {entry["source"] for entry in [*MODERN, *FACTS["vertex_form"], *FACTS["discriminant"]]}

    assert used <= set(FACTS["sources"])
    assert all({"book", "section", "revision"} <= set(source) for source in FACTS["sources"].values())


def test_the_copy_agrees_with_the_reference_folder() -> None:
    assert original_of("quadratics") == FACTS


# ---- solving ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_a_published_equation_has_exactly_its_published_real_solutions(entry: Entry) -> None:
    equation, variable = adapt(entry["equation"]), entry["variable"]
    by_tree = exactly.solution_set(parse(equation), (variable,), (), {})
    by_display = meaning.solutions(maths(equation), (variable,))
    expected = {(root,) for root in known_roots(entry)}

    assert expected == by_tree
    assert expected == by_display
    assert identity.of_set(by_display, 1) == identity.of_solutions(maths(equation), (variable,))


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_closed_formula_for_whole_coefficients_gives_the_same_answer(entry: Entry) -> None:
    assert roots_form(known_roots(entry)) == canonical.roots(*entry["standard"])


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_answer_is_shown_in_simplest_form_and_says_the_same(entry: Entry) -> None:
    variable = entry["variable"]
    text = shown(canonical.roots(*entry["standard"]), (variable,))

    assert in_simplest_form(text)
    if text != "none":
        again = exactly.solution_set(parse(text), (variable,), (), {})
        assert {(root,) for root in known_roots(entry)} == again
    else:
        assert known_roots(entry) == set()


@pytest.mark.parametrize("entry", cases(HISTORICAL))
def test_a_historical_answer_is_all_of_the_positive_roots(entry: Entry) -> None:
    given = real_roots(entry["solutions"])

    assert {root for root in known_roots(entry) if numbers.sign(root) > 0} == given


# ---- standard form and discriminant -----------------------------------------------------------------------


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_standard_form_is_the_primitive_multiple_of_the_equation(entry: Entry) -> None:
    ours = rational_coefficients(moved_to_one_side(entry["equation"]), entry["variable"])
    factor = ours[0] / entry["standard"][0]

    assert entry["standard"][0] > 0
    assert holds("primitive", *entry["standard"])
    assert [factor * coefficient for coefficient in entry["standard"]] == list(ours)


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_discriminant_and_its_square_part_are_the_published_ones(entry: Entry) -> None:
    found = exact.number(parse(f"discriminant({standard_text(entry)})"), {})

    assert entry["discriminant"] == found
    if found:
        outside, inside = numbers.square_root_parts(abs(entry["discriminant"]))
        sign = 1 if entry["discriminant"] > 0 else -1
        assert (entry["square_part_root"], entry["squarefree_part"]) == (outside, sign * inside)


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_properties_tell_the_kind_of_roots(entry: Entry) -> None:
    told = {
        "irrational": holds("irrational_roots", *entry["standard"]),
        "rational": holds("rational_roots", *entry["standard"])
        and holds("distinct_roots", *entry["standard"]),
        "repeated_rational": holds("repeated_root", *entry["standard"]),
        "complex": holds("no_real_roots", *entry["standard"]),
    }

    assert [entry["nature"]] == [nature for nature, is_told in told.items() if is_told]


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_properties_tell_what_the_equation_is_tagged_with(entry: Entry) -> None:
    a, b, c = entry["standard"]
    q = Fraction(entry["q"])
    monic = holds("monic", a, b, c)
    even = holds("even_linear_coefficient", a, b, c)
    simplifiable = q.denominator == 1 and isinstance(prove_property("simplifiable_surd", q), Proved)

    assert ("monic" in entry["tags"]) == monic
    assert ("non_monic" in entry["tags"]) != monic
    assert ("b_even" in entry["tags"]) == even
    assert ("b_odd" in entry["tags"]) != even
    assert ("integers_throughout" in entry["tags"]) == (monic and even)
    assert ("simplifiable_surd" in entry["tags"]) == (monic and even and simplifiable)


# ---- completed squares ------------------------------------------------------------------------------------


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_completed_square_has_the_published_centre_and_right_hand_side(entry: Entry) -> None:
    a, variable = entry["standard"][0], entry["variable"]
    wanted = parse(f"{standard_text(entry)} = {a}*(({variable} - H)^2 - Q)")
    found = exactly.solution_set(wanted, ("H", "Q"), (variable,), {})

    assert {(whole(Fraction(entry["h"])), whole(Fraction(entry["q"])))} == found


@pytest.mark.parametrize("entry", cases([entry for entry in SOLVED if "square_form" in entry]))
def test_the_published_square_form_is_the_equation_itself_and_has_that_centre(entry: Entry) -> None:
    variable, form = entry["variable"], entry["square_form"]
    ours = rational_coefficients(moved_to_one_side(entry["equation"]), variable)
    theirs = rational_coefficients(moved_to_one_side(form), variable)
    h, q = Fraction(entry["h"]), Fraction(entry["q"])

    assert [value / ours[0] for value in ours] == [value / theirs[0] for value in theirs]
    assert [1, -2 * h, h * h - q] == [value / theirs[0] for value in theirs]


@pytest.mark.parametrize("entry", cases(FACTS["complete_trinomial"]))
def test_the_constant_that_completes_a_square_is_the_published_one(entry: Entry) -> None:
    variable, expression = entry["variable"], adapt(entry["expression"])
    square = entry["binomial_square"]
    constant = whole(Fraction(entry["constant"]))
    given = exactly.solution_set(parse(f"{expression} + M = {square}"), ("M",), (variable,), {})
    found = exactly.solution_set(parse(f"{expression} + M = ({variable} + S)^2"), ("S", "M"), (variable,), {})
    ((half, added),) = found

    assert {(constant,)} == given
    assert constant == added
    assert entry.get("published_constant", str(constant)) == str(constant)
    assert exact.polynomial(parse(square), {}) == exact.polynomial(parse(f"({variable} + S)^2"), {"S": half})
    assert not faults(prove(rewritten(f"{expression} + {constant}", square)))


@pytest.mark.parametrize("entry", cases(FACTS["vertex_form"]))
def test_the_vertex_form_is_the_published_one(entry: Entry) -> None:
    variable, expression = entry["variable"], adapt(entry["expression"])
    wanted = parse(f"{expression} = A*({variable} - H)^2 + K")
    found = exactly.solution_set(wanted, ("A", "H", "K"), (variable,), {})
    a, h, k = (whole(Fraction(entry[part])) for part in "ahk")

    assert {(a, h, k)} == found
    assert entry["extremum"] == ("minimum" if numbers.sign(a) > 0 else "maximum")
    assert number(entry["discriminant"]) == exact.number(parse(f"discriminant({expression})"), {})
    assert not faults(prove(rewritten(expression, f"{a}*({variable} - ({h}))^2 + ({k})")))


# ---- kinds of roots from the discriminant -----------------------------------------------------------------

KINDS = {
    "two real": ("distinct_roots",),
    "two real rational": ("distinct_roots", "rational_roots"),
    "two real irrational": ("distinct_roots", "irrational_roots"),
    "one real": ("repeated_root",),
    "two complex": ("no_real_roots",),
}
REAL_SOLUTIONS = {"two real": 2, "two real rational": 2, "one real": 1, "two complex": 0}


@pytest.mark.parametrize("entry", cases(FACTS["discriminant"]))
def test_the_discriminant_tells_the_published_kind_of_roots(entry: Entry) -> None:
    polynomial = exact.polynomial(parse(adapt(entry["expression"])), {})
    coefficients = tuple(int(part) for part in rational_coefficients(polynomial, entry["variable"]))
    found = exact.number(parse(f"discriminant({entry['expression']})"), {})
    distinct = len(exactly.solution_set(parse(f"{entry['expression']} = 0"), (entry["variable"],), (), {}))

    assert entry["discriminant"] == found
    assert entry.get("published_discriminant", str(found)) == str(found)
    for nature in (entry["nature"], entry["finer_nature"]):
        exclusive = ("distinct_roots", "repeated_root", "no_real_roots")
        assert [KINDS[nature][0]] == [name for name in exclusive if holds(name, *coefficients)]
        assert all(holds(name, *coefficients) for name in KINDS[nature])
    assert REAL_SOLUTIONS[entry["nature"]] == distinct


# ---- the proof on worked examples -------------------------------------------------------------------------


def worked_lines(entry: Entry) -> list[str]:
    square = f"({entry['variable']} - ({entry['h']}))^2 = {entry['q']}"
    published = [entry["square_form"]] if "square_form" in entry else []
    return [adapt(entry["equation"]), *published, square, key_of(entry)]


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_proof_accepts_the_worked_example_line_by_line(entry: Entry) -> None:
    item = solved(adapt(entry["equation"]), entry["variable"], key_of(entry), worked_lines(entry))
    found = prove(item)

    assert len(worked_lines(entry)) == sum(finding.subject == "line" for finding in found)
    assert faults(found) == ()


@pytest.mark.parametrize("entry", cases(SOLVED))
def test_the_proof_refutes_the_same_example_with_one_root_changed(entry: Entry) -> None:
    variable = entry["variable"]
    first, *others = key_of(entry).split(" or ")
    wrong = f"{variable} = 0" if first == "none" else " or ".join([f"{first} + 1", *others])
    item = solved(adapt(entry["equation"]), variable, wrong, [wrong])
    found = [finding for finding in prove(item) if finding.code == "wrong-key"]

    assert [Refuted] == [type(finding.verdict) for finding in found]


@pytest.mark.parametrize("entry", cases([entry for entry in SOLVED if len(known_roots(entry)) == 2]))
def test_the_proof_refutes_a_key_and_a_line_that_lose_a_root(entry: Entry) -> None:
    lost = key_of(entry).split(" or ")[0]
    equation = adapt(entry["equation"])
    line = [
        f for f in prove(solved(equation, entry["variable"], key_of(entry), [lost])) if f.subject == "line"
    ]

    assert isinstance(verdict_on_key(solved(equation, entry["variable"], lost)).verdict, Refuted)
    assert [Refuted] == [type(finding.verdict) for finding in line]


# ---- misprinted keys --------------------------------------------------------------------------------------


def at(texts: tuple[str, ...], **values: int) -> list[str]:
    """The texts with numbers put in for single letters; `4a` and `(1)x` are products."""
    letters = re.compile("(?<![A-Za-z])([" + "".join(values) + "])(?![A-Za-z])")
    return [letters.sub(lambda found: f"({values[found.group()]})", each) for each in texts]


def test_erratum_01_lost_brackets_are_refuted() -> None:
    printed, right = ERRATA["erratum-01"]["printed"], ERRATA["erratum-01"]["correct"]

    assert isinstance(verdict_on_key(rewritten("y^2 - 18y + 81", printed)).verdict, Refuted)
    assert isinstance(verdict_on_key(rewritten("y^2 - 18y + 81", right)).verdict, Proved)


def test_erratum_02_a_minus_turned_exponent_is_refuted_and_false_for_every_number() -> None:
    printed, right = ERRATA["erratum-02"]["printed"], ERRATA["erratum-02"]["correct"]
    asked = "y^2 - 14y + 49"

    assert isinstance(verdict_on_key(rewritten(asked, printed)).verdict, Refuted)
    assert isinstance(verdict_on_key(rewritten(asked, right)).verdict, Proved)
    for y in (n for n in range(-20, 21) if n):
        problem, wrong = at((asked, printed), y=y)
        assert isinstance(verdict_on_key(rewritten(problem, wrong)).verdict, Refuted)


def test_erratum_03_a_square_left_out_on_one_side_is_refuted_unless_it_makes_no_difference() -> None:
    printed = ERRATA["erratum-03"]["printed"]
    right = printed.removesuffix("b/(4a^2)") + ERRATA["erratum-03"]["correct"].rpartition("+ ")[2]

    assert right == "x^2 + (b/a)x + b^2/(4a^2) = -c/a + b^2/(4a^2)"
    tried = 0
    for a, b, c in product((1, 2, 3, 5), (-7, -4, -1, 1, 2, 6), (-5, 2, 9)):
        equation, *lines = at(("a*x^2 + b*x + c = 0", printed, right), a=a, b=b, c=c)
        key = shown(canonical.roots(a, b, c), ("x",))
        verdicts = [f.verdict for f in prove(solved(equation, "x", key, lines)) if f.subject == "line"]
        tried += 1

        assert isinstance(verdicts[1], Proved)
        # also where neither has a real solution: then a line is right when it is a multiple of the problem
        assert isinstance(verdicts[0], Proved if b == 1 else Refuted)
    assert tried == 72


def test_erratum_04_another_letter_in_the_key_is_refuted() -> None:
    asked = "m^2 - 5m + 25/4"

    assert isinstance(verdict_on_key(rewritten(asked, ERRATA["erratum-04"]["printed"])).verdict, Refuted)
    assert isinstance(verdict_on_key(rewritten(asked, ERRATA["erratum-04"]["correct"])).verdict, Proved)


ROOTS_OF_POWERS = (
    "sqrt(108*p^5*q^2)/sqrt(3*p^3*q^6)",
    "3*p*sqrt(102)/(17*q^2)",
    "6*p/q^2",
)
QUOTIENT_OF_SUMS = (
    "(sqrt(p)+sqrt(2))/(sqrt(p)-sqrt(2))",
    "((sqrt(p)+sqrt(2))/(p-2))^2",
    "(sqrt(p)+sqrt(2))^2/(p-2)",
)


def test_erratum_05_a_wrong_value_under_roots_with_letters_is_refuted_for_all_numbers() -> None:
    p, q = sympy.symbols("p q", positive=True)
    asked, printed, right = (
        sympy.sympify(each.replace("^", "**"), {"p": p, "q": q}) for each in ROOTS_OF_POWERS
    )

    assert sympy.simplify(asked - right) == 0
    assert sympy.simplify(printed / right) == sympy.sqrt(102) / 34
    for values in product(range(1, 6), range(1, 5)):
        problem, wrong, key = at(ROOTS_OF_POWERS, p=values[0], q=values[1])
        assert isinstance(verdict_on_key(rewritten(problem, wrong)).verdict, Refuted)
        assert isinstance(verdict_on_key(rewritten(problem, key)).verdict, Proved)


def test_erratum_06_a_square_over_the_whole_fraction_is_refuted_unless_it_makes_no_difference() -> None:
    p = sympy.symbols("p", positive=True)
    asked, printed, right = (sympy.sympify(each.replace("^", "**"), {"p": p}) for each in QUOTIENT_OF_SUMS)

    assert sympy.simplify(asked - right) == 0
    assert sympy.simplify(printed - right) != 0
    for value in (n for n in range(1, 25) if n != 2):
        problem, wrong, key = at(QUOTIENT_OF_SUMS, p=value)
        # for p = 3 the denominator is 1 and its square too
        kind = Proved if value == 3 else Refuted
        assert isinstance(verdict_on_key(rewritten(problem, wrong)).verdict, kind)
        assert isinstance(verdict_on_key(rewritten(problem, key)).verdict, Proved)


def test_erratum_07_a_root_in_the_denominator_is_equal_but_not_in_the_asked_form() -> None:
    printed, asked = ERRATA["erratum-07"]["printed"], "sqrt(36/35)"
    form = canonical.exact(number(asked))

    assert isinstance(verdict_on_key(rewritten(asked, printed)).verdict, Proved)
    assert not in_simplest_form(printed)
    assert shown(form) == "6*sqrt(35)/35"
    assert in_simplest_form(shown(form))


def test_erratum_07_the_boxes_of_an_entry_take_the_simplest_form_only() -> None:
    def fault(**boxes: int) -> list[str]:
        found = faults(prove(entered("sqrt(36/35)", "6*sqrt(35)/35", boxes)))
        return [finding.code for finding in found]

    assert fault(q=6, r=35, s=35) == []
    assert fault(q=1, r=1260, s=35) == ["entry"]
    assert fault(q=12, r=35, s=70) == ["entry"]
    assert fault(q=6, r=35, s=1) == ["entry"]


# ---- exhaustive counts ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class RootType:
    """What makes an equation belong to a class, and how its items are answered."""

    guarantees: tuple[str, ...]
    key: str
    form: str


PAIR = "x = -h ± sqrt(k)"
CLASSES = {
    "irrational": RootType(("irrational_roots(problem)",), PAIR, "surd"),
    "irrational_simplifiable_surd": RootType(
        ("irrational_roots(problem)", "simplifiable_surd(k)"), PAIR, "surd"
    ),
    "irrational_surd_already_simplest": RootType(
        ("irrational_roots(problem)", "simplest_surd(k)"), PAIR, "surd"
    ),
    "rational_distinct": RootType(("rational_roots(problem)", "distinct_roots(problem)"), PAIR, "integer"),
    "repeated": RootType(("repeated_root(problem)",), "x = -h", "integer"),
    "complex": RootType(("no_real_roots(problem)",), "none", "integer"),
}
COUNTED = {"total": RootType((), PAIR, "integer"), **CLASSES}


def domain_template(case: Entry, kind: RootType, scales: str = "[1]") -> str:
    """x^2 + 2hx + c = 0 over the ranges of a published count; `scales` multiplies the equation through."""
    (h_low, h_high), (c_low, c_high) = case["h_range"], case["c_range"]
    guarantees = "".join(f"\n  - {guarantee}" for guarantee in kind.guarantees) or " []"
    return f"""\
template: domain
version: 1
title: Every quadratic of a range
unknowns: [x]
parameters:
  m: {scales}
  h: {{from: {h_low}, to: {h_high}, leaving_out: [0]}}
  c: {{from: {c_low}, to: {c_high}}}
derived: {{k: h^2 - c}}
constraints: [c != 0]
guarantees:{guarantees}
problem: m*x^2 + 2*m*h*x + m*c = 0
stem: Solve $problem$; the square is $k$.
response: {{kind: entry, no_real_solution: tick, blanks: {{x: {{form: {kind.form}, values: any-order}}}}}}
key: {kind.key}
solution:
  - math: {kind.key}
"""


@pytest.mark.parametrize("kind", COUNTED)
@pytest.mark.parametrize("case", cases(FACTS["domain_counts"]))
def test_counting_a_template_gives_the_published_number_of_equations(
    case: Entry, kind: str, tmp_path: Path
) -> None:
    bound = bound_template(tmp_path, domain_template(case, COUNTED[kind]))

    assert case[kind] == Counter(bound).count().allowed


@pytest.mark.parametrize("kind", COUNTED)
@pytest.mark.parametrize("case", cases(FACTS["domain_counts"]))
def test_counting_by_arrays_gives_the_published_number_for_each_multiple(
    case: Entry, kind: str, tmp_path: Path
) -> None:
    bound = bound_template(tmp_path, domain_template(case, COUNTED[kind], "[1, 2, 3, 5, 6]"))

    assert bound.size >= 2_000
    assert 5 * case[kind] == Counter(bound).count().allowed


@pytest.mark.parametrize("kind", CLASSES)
@pytest.mark.parametrize("case", cases(FACTS["domain_counts"]))
def test_drawing_reaches_each_equation_of_a_class_once_and_its_items_are_proved(
    case: Entry, kind: str, tmp_path: Path
) -> None:
    bound = bound_template(tmp_path, domain_template(case, CLASSES[kind]))
    maker = Instantiator(bound, 1)
    drawn = list(walk(bound, 1))
    items = [maker.item(each.position, each.draft, "K7Q2M") for each in drawn]

    assert case[kind] == len(items)
    assert case[kind] == len({spelling.plain(item.parts[0].problem.statement) for item in items})
    assert [] == [faults(prove(item)) for item in items[::7] if faults(prove(item))]
