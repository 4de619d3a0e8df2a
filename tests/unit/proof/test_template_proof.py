from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache

import pytest

from itembank.expressions import exact
from itembank.expressions.parser import parse
from itembank.generator.distractors import fates
from itembank.generator.instantiate import key_forms
from itembank.proof.template_proof import InSymbols, Line, SymbolicClaim, prove_part
from itembank.verdicts import Proved, Refuted, Undecided
from tests.quality.demo_bank import TEMPLATES, bound


@cache
def claims_of(name: str) -> tuple[SymbolicClaim, ...]:
    """The claims of the only part of a demo template."""
    recipe = bound(name).recipe
    template, part = recipe.template, recipe.template.parts[0]
    asked = InSymbols(
        part.problem.node,
        part.key.node if part.key else None,
        [slip.value.node for slip in part.slips],
        [Line(line.kind, line.maths.node if line.maths else None) for line in part.solution],
        part.unknowns,
        part.for_every,
        {p.name: tuple(v for v in p.values if v not in p.left_out) for p in template.numeric_parameters},
        {derived.name: derived.expression.node for derived in template.derived},
        main_letter=recipe.parts[0].main_letter,
    )
    return prove_part(asked)


def of(subject: str, claims: Sequence[SymbolicClaim]) -> list[SymbolicClaim]:
    return [claim for claim in claims if claim.subject == subject]


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_key_of_a_demo_template_is_right_whatever_the_parameters_are(name: str) -> None:
    (key,) = of("key", claims_of(name))

    assert isinstance(key.verdict, Proved)
    assert key.verdict.witness.startswith("for all values of the parameters, ")


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_line_of_a_demo_template_says_the_same_as_its_problem(name: str) -> None:
    lines = of("line", claims_of(name))
    shown = [line for line in bound(name).recipe.template.parts[0].solution if line.maths is not None]

    assert len(shown) == len(lines) >= 2
    assert [] == [line for line in lines if not isinstance(line.verdict, Proved)]


KEYS = {
    "equal-roots-shifted": "both come to k - b^2/(4*a) = 0",
    "equal-roots": "both come to k^2 - 4*s^2*t^2 = 0",
    "kind-of-roots": "both come to D - b^2 + 4*a*c = 0",
    "missing-constant": "both come to m - b^2/4 = 0",
    "monic-even-surd": "both come to x^2 - 2*h*x + h^2 - k = 0",
    "monic-odd-surd": "both come to x^2 + b*x + c = 0",
    "monic-rational-roots": "both come to x^2 - p*x - q*x + p*q = 0",
    "non-monic-surd": "both come to x^2 + b*x/a + c/a = 0",
    "real-or-not": "the discriminant of x^2 - 2*h*x + k + h^2 = 0 is -4*k, which is negative",
    "simplify-surd": "both come to sqrt(r)*s",
    "vertex-form-leading": "both come to p = -h and q = k",
    "vertex-form": "both come to p = -h and q = k",
}


@pytest.mark.parametrize("name", KEYS)
def test_what_shows_that_a_key_is_right_can_be_checked_by_hand(name: str) -> None:
    (key,) = of("key", claims_of(name))

    assert Proved(f"for all values of the parameters, {KEYS[name]}") == key.verdict


COLLISIONS = {
    ("equal-roots-shifted", "b-not-squared"): "b = 2",
    ("kind-of-roots", "b-not-squared"): "b = 2",
    ("missing-constant", "half-doubled-not-squared"): "b = 4",
    ("monic-even-surd", "half-not-squared"): "h = -1",
    ("monic-rational-roots", "signs-of-roots-swapped"): "p + q = 0",
    ("monic-rational-roots", "one-root-only"): "p = q",
    ("simplify-surd", "inside-outside-swapped"): "r = s",
}
NEARLY = {
    ("monic-even-surd", "half-not-squared"): "h = 0",
    ("monic-odd-surd", "half-not-squared"): "b = 2, nor b = 0",
    ("missing-constant", "half-not-squared"): "b = 2, nor b = 0",
    ("non-monic-surd", "divided-by-two-not-two-a"): "a = 1, nor b = 0 and a*c + c = 0",
    ("non-monic-surd", "only-root-divided"): "b = 0, nor a = 1/2",
    ("simplify-surd", "radicand-halved"): "s = 0, nor r = 0, nor r*s^2 = 4",
    ("vertex-form-leading", "not-halved"): "h = 0, nor a = 1",
    ("equal-roots-shifted", "leading-coefficient-ignored"): "b = 0, nor a = 1",
}


def test_the_demo_templates_slips_meet_the_key_at_the_named_values_and_nowhere_else() -> None:
    found = {
        (name, bound(name).recipe.template.parts[0].slips[claim.place].name): claim
        for name in TEMPLATES
        for claim in of("slip", claims_of(name))
    }

    assert len(found) >= 40
    assert [] == [claim for claim in found.values() if not isinstance(claim.verdict, Proved)]
    assert COLLISIONS == {slip: claim.except_when for slip, claim in found.items() if claim.except_when}
    for slip, values in NEARLY.items():
        verdict = found[slip].verdict

        assert isinstance(verdict, Proved)
        assert verdict.witness.endswith(f"; no values of the parameters reach {values}")


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_named_values_are_those_at_which_the_search_finds_the_slip_equal_to_the_key(name: str) -> None:
    ready = bound(name)
    named = [claim.except_when for claim in of("slip", claims_of(name))]
    conditions = [parse(text) if text else None for text in named]
    looked_at = 0
    for index in range(0, ready.size, 1 + ready.size // 1500):
        arguments = ready.assignment(index)
        forms = ready.forms(*arguments) if ready.feasible(*arguments) else None
        if forms is None:
            continue
        values = ready.values(arguments)
        for condition, fate in zip(
            conditions, fates(ready, 0, key_forms(ready, 0, forms), arguments), strict=True
        ):
            if fate.forms is None:
                continue
            looked_at += 1
            expected = condition is not None and exact.truth(condition, values, lambda *_: False)

            assert expected == (fate.word == "equals the key")
    assert looked_at >= 80


# Small cases

RANGES: Mapping[str, Sequence[Fraction]] = {
    "a": (Fraction(1), Fraction(2), Fraction(3)),
    "h": tuple(Fraction(n) for n in range(-5, 6)),
    "k": tuple(Fraction(n) for n in range(2, 20)),
    "p": tuple(Fraction(n) for n in range(-5, 6)),
    "q": tuple(Fraction(n) for n in range(-5, 6)),
    "s": tuple(Fraction(n, 2) for n in range(1, 6)),
}


def prove(
    problem: str,
    key: str,
    slips: Sequence[str] = (),
    lines: Sequence[tuple[str, str]] = (),
    unknowns: str = "x",
    parameters: Mapping[str, Sequence[Fraction]] = RANGES,
    derived: Mapping[str, str] | None = None,
    for_every: str = "",
    has_domain: bool = False,
) -> tuple[SymbolicClaim, ...]:
    asked = InSymbols(
        parse(problem),
        None if key == "none" else parse(key),
        [parse(slip) for slip in slips],
        [Line(kind, parse(text)) for kind, text in lines],
        tuple(unknowns),
        tuple(for_every),
        parameters,
        {name: parse(text) for name, text in (derived or {}).items()},
        has_domain=has_domain,
    )
    return prove_part(asked)


MONIC = "x^2 - 2*h*x + h^2 - k = 0"


def test_a_key_that_is_wrong_for_every_value_is_refuted() -> None:
    key, *_ = prove(MONIC, "x = h ± k")

    assert isinstance(key.verdict, Refuted)


def test_a_key_that_is_right_for_some_values_only_is_left_to_the_items() -> None:
    key, *_ = prove("x^2 - (p + q)*x + p*q = 0", "x = p")

    assert Undecided("with symbols it can be told for p = q only; proved item by item") == key.verdict


def test_a_key_that_names_one_of_two_unknowns_is_not_proved() -> None:
    key, *_ = prove("p = h and q = k", "p = h", unknowns="pq", parameters={"h": (), "k": ()})

    assert isinstance(key.verdict, Undecided)


def test_a_slip_that_is_always_the_key_is_refuted() -> None:
    claims = prove(MONIC, "x = h ± sqrt(k)", ["(x - h)^2 = k"])

    assert Refuted("it is the key for all values of the parameters") == claims[-1].verdict


def test_halving_without_squaring_meets_the_key_where_the_half_is_0_or_1() -> None:
    (slip,) = of("slip", prove(MONIC, "x = h ± sqrt(k)", ["(x - h)^2 = -h - (h^2 - k)"]))

    assert {"h = 0", "h = -1"} == set(slip.except_when.split(" or "))


def test_values_that_are_not_known_are_not_ruled_out() -> None:
    free = {"h": (), "k": ()}
    (slip,) = of("slip", prove(MONIC, "x = h ± sqrt(k)", ["x = -h ± sqrt(k)"], parameters=free))

    assert "h = 0" == slip.except_when


def test_dividing_by_2_and_not_2a_meets_the_key_at_a_1() -> None:
    (slip,) = of("slip", prove("a*x^2 + 2*k*x - 1 = 0", "x = (-2*k ± sqrt(4*k^2 + 4*a))/(2*a)",
                               ["x = (-2*k ± sqrt(4*k^2 + 4*a))/2"]))  # fmt: skip

    assert "a = 1" == slip.except_when


def test_a_leading_coefficient_that_may_be_0_is_named() -> None:
    key, *_ = prove("h*x = k", "x = k/h")

    assert (
        Proved("for all values of the parameters, both come to x - k/h = 0 where h is not 0") == key.verdict
    )


@pytest.mark.parametrize(
    "line",
    [("main", "x - h = sqrt(k)"), ("main", "x^2 - 2*h*x = k"), ("main", "none"), ("main", "h = k"),
     ("aside", "h^2 = k"), ("main", "u = 3"), ("main", "x < h"), ("main", "x ≈ 0.5"), ("let", "u = x - h"),
     ("rejects", "x = h"), ("aside", "x = h + sqrt(k)"), ("main", "(x, h) = (h, k)")],
)  # fmt: skip
def test_a_line_that_says_something_else_is_not_proved(line: tuple[str, str]) -> None:
    (claim,) = of("line", prove(MONIC, "x = h ± sqrt(k)", lines=[line]))

    assert not isinstance(claim.verdict, Proved)


@pytest.mark.parametrize(
    "line",
    [("main", "(x - h)^2 = k"), ("main", "x - h = ± sqrt(k)"), ("aside", "(h + k)^2 = h^2 + 2*h*k + k^2"),
     ("main", "x^2 + h^2 = k + 2*h*x"), ("main", "3*x^2 - 6*h*x = 3*k - 3*h^2")],
)  # fmt: skip
def test_a_line_that_says_the_same_is_proved(line: tuple[str, str]) -> None:
    (claim,) = of("line", prove(MONIC, "x = h ± sqrt(k)", lines=[line]))

    assert isinstance(claim.verdict, Proved)


@pytest.mark.parametrize(
    ("constant", "kind"),
    [("h^2 + k", Proved), ("h^2 + s", Proved), ("h^2 + k + s", Proved), ("h^2 + p", Undecided),
     ("h^2 - k", Refuted)],
)  # fmt: skip
def test_that_nothing_is_real_is_told_by_the_sign_of_the_discriminant(constant: str, kind: type) -> None:
    key, *_ = prove(f"x^2 - 2*h*x + {constant} = 0", "none")

    assert isinstance(key.verdict, kind)


def test_a_slip_of_a_problem_without_solutions_is_never_the_key() -> None:
    (slip,) = of("slip", prove("x^2 - 2*h*x + h^2 + k = 0", "none", ["x = h ± sqrt(k)"]))

    assert Proved("it is never the key") == slip.verdict


def test_where_a_domain_takes_some_solutions_away_nothing_is_refuted() -> None:
    key, line = prove(
        "w^2 - k = 0", "w = sqrt(k)", lines=[("main", "w = ± sqrt(k)")], unknowns="w", has_domain=True
    )

    assert isinstance(key.verdict, Undecided)
    assert isinstance(line.verdict, Proved)


def test_an_expression_with_a_letter_is_compared_for_every_value_of_the_letter() -> None:
    key, slip = prove("(x + h)^2", "x^2 + 2*h*x + h^2", ["x^2 + h^2"], unknowns="")

    assert isinstance(key.verdict, Proved)
    assert "h = 0" == slip.except_when


def test_a_system_in_two_unknowns_is_solved_one_unknown_after_the_other() -> None:
    key, slip = prove(
        "k*x^2 + b*x + c = k*(x + u)^2 + v", "u = -h and v = p", ["u = h and v = p"],
        unknowns="uv", for_every="x", derived={"b": "-2*k*h", "c": "k*h^2 + p"},
    )  # fmt: skip

    assert Proved("for all values of the parameters, both come to u = -h and v = p") == key.verdict
    assert "h = 0" == slip.except_when


def test_a_derived_value_that_symbols_cannot_work_out_stands_for_itself() -> None:
    key, slip = prove("g*x = g*k", "x = k", ["x = g"], derived={"g": "gcd(a, k)"})

    assert Proved("for all values of the parameters, both come to x - k = 0 where g is not 0") == key.verdict
    assert "g = k" == slip.except_when


@pytest.mark.parametrize(
    "problem",
    ["x = (a + h + k)^12*(p + q + s)^12", "x = ((a + h)^12 + k)^12", "x = 9^9^9", "x = ((9^99)^99)^99",
     "x = (a*h*k + a*h + a*k + h*k + a + h + k + 1)^9", "x^12 + a*x = 1",
     " and ".join(["(x = 1 or x = a)"] * 60)],
)  # fmt: skip
def test_what_would_grow_too_large_is_left_alone(problem: str) -> None:
    key, slip = prove(problem, "x = a", ["x = h"])

    assert isinstance(key.verdict, Undecided)
    assert isinstance(slip.verdict, Proved)


def test_several_points_and_inequalities_are_left_to_the_items() -> None:
    meeting = "y = x + k and y = x^2 + h"
    for problem, key in ((meeting, "(x, y) = (h, k) or (x, y) = (k, h)"), ("x^2 < k", "x < h")):
        assert isinstance(prove(problem, key, unknowns="xy")[0].verdict, Undecided)


def test_a_point_is_the_two_equations_of_its_coordinates() -> None:
    assert isinstance(prove("(x, y) = (h, k)", "x = h and y = k", unknowns="xy")[0].verdict, Proved)
    assert isinstance(prove("x = h and y = k", "(x, y) = (k, h)", unknowns="xy")[0].verdict, Undecided)
