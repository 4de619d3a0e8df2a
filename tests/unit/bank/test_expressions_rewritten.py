"""Expressions with letters as keys and options: expanding, factorising, laws of indices."""

from __future__ import annotations

from pathlib import Path

import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank import own_code
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.expressions.expand import coefficients
from itembank.expressions.parser import parse
from itembank.expressions.polynomials import Polynomial, make
from itembank.expressions.symbolic import to_sympy
from itembank.generator.answers import expression_answers
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.counting import Counter
from itembank.generator.instantiate import Instantiator
from itembank.generator.space import walk
from itembank.items import ChoiceResponse, Item
from itembank.proof import identity, quick_code
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.templates.loader import load_template
from itembank.templates.slips import NO_SLIPS

HEAD = "template: t\nversion: 1\ntitle: T\nletters: [x, y]\n"


def items(tmp_path: Path, text: str, count: int) -> list[Item]:
    path = tmp_path / "t.yaml"
    path.write_text(HEAD + text, "utf-8")
    bound = Bound(make_recipe(load_template(path, "t.yaml", NO_SLIPS).template))
    instantiator = Instantiator(bound, 1)
    found = []
    for drawn in walk(bound, 1, 2_000):
        found.append(instantiator.item(drawn.position, drawn.draft, "CODE"))
        if len(found) == count:
            break
    return found


def options(item: Item) -> dict[str, bool]:
    """Plain text of each option -> whether it is the key."""
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    shown = [(option.content, option.is_key) for option in response.options]
    return {spelling.plain(content): is_key for content, is_key in shown if isinstance(content, Maths)}


def read(text: str) -> sympy.Expr:
    return to_sympy(parse(text), {name: sympy.Symbol(name) for name in "xy"})


FACTORISE = """\
parameters:
  p: {from: -6, to: 6, leaving_out: [0]}
  q: {from: -6, to: 6, leaving_out: [0]}
constraints: [p < q, p + q != 0]
problem: expand((x + p)*(x + q))
stem: Factorise $problem$.
response: {kind: choice, options: 4}
key: (x + p)*(x + q)
slips:
  - {slip: signs, value: (x - p)*(x - q)}
  - {slip: one-sign, value: (x + p)*(x - q)}
  - {slip: with-1, value: (x + 1)*(x + p*q)}
"""
TWO_LETTERS = """\
parameters: {a: {from: 2, to: 7}, b: {from: 2, to: 7}}
problem: (a*x + b*y)*(a*x - b*y)
stem: Expand $problem$.
response: {kind: choice, options: 3}
key: a^2*x^2 - b^2*y^2
slips:
  - {slip: plus, value: a^2*x^2 + b^2*y^2}
  - {slip: not-squared, value: a*x^2 - b*y^2}
"""
INDICES = """\
parameters: {a: {from: 2, to: 5}, m: {from: 2, to: 6}, n: {from: 2, to: 6}}
problem: a*x^m*x^n
stem: Simplify $problem$.
response: {kind: choice, options: 2}
key: a*x^(m + n)
slips:
  - {slip: multiplied, value: a*x^(m*n)}
"""


@pytest.mark.parametrize("text", [FACTORISE, TWO_LETTERS, INDICES])
def test_every_item_is_proved_on_both_roads_and_sympy_finds_one_option_equal(
    tmp_path: Path, text: str
) -> None:
    found = items(tmp_path, text, 20)

    assert 20 == len(found)
    for item in found:
        assert () == faults(prove(item))
        assert () == faults(prove_with_sympy(item))
        problem = read(spelling.plain(item.parts[0].problem.statement))
        equal = [is_key for text, is_key in options(item).items() if 0 == sympy.expand(read(text) - problem)]
        assert [True] == equal


def test_an_option_is_shown_as_its_author_wrote_it(tmp_path: Path) -> None:
    (item, *_) = items(tmp_path, FACTORISE, 1)
    p, q = item.values["p"], item.values["q"]
    assert isinstance(p, int)
    assert isinstance(q, int)

    signs = [f"({'x + ' if n > 0 else 'x - '}{abs(n)})" for n in (p, q)]
    assert signs[0] + signs[1] in {text.replace(")*(", ")(") for text in options(item)}


def test_a_slip_that_is_the_key_as_a_polynomial_is_not_offered(tmp_path: Path) -> None:
    text = INDICES.replace("{from: 2, to: 6}, n", "{from: 2, to: 2}, n").replace(
        "{from: 2, to: 6}}", "{from: 2, to: 3}}"
    )
    path = tmp_path / "t.yaml"
    path.write_text(HEAD + text, "utf-8")
    bound = Bound(make_recipe(load_template(path, "t.yaml", NO_SLIPS).template))

    count = Counter(bound).count()
    assert (8, 8, 4) == (count.size, count.allowed, count.feasible)  # x^(2 + 2) is x^(2*2)


def test_answers_are_compared_by_the_coefficients_of_all_powers_that_occur() -> None:
    first, second = expression_answers([parse("(x + p)*(x - p)"), parse("x^2 + p*x")], {"p"})

    assert [3, 3] == [len(first.leaves), len(second.leaves)]
    assert ["-p^2", "0"] == [spelling_of(first.leaves[0]), spelling_of(second.leaves[0])]


def spelling_of(leaf: object) -> str:
    from itembank.expressions.plain import plain

    return plain(leaf.source)  # type: ignore[attr-defined]


@settings(derandomize=True, deadline=None, max_examples=150)
@given(
    st.lists(st.integers(-9, 9), min_size=1, max_size=4),
    st.lists(st.integers(-9, 9), min_size=1, max_size=4),
    st.integers(1, 6),
)
def test_identities_of_polynomials_are_equal_exactly_when_the_polynomials_are(
    first: list[int], second: list[int], scale: int
) -> None:
    def polynomial(values: list[int], by: int) -> Polynomial:
        return make({((("x", power),) if power else ()): value * by for power, value in enumerate(values)})

    same = identity.of_expression(polynomial(first, scale)) == identity.of_expression(
        polynomial(second, scale)
    )
    assert same == (sympy.Poly(first[::-1], sympy.Symbol("x")) == sympy.Poly(second[::-1], sympy.Symbol("x")))


def test_coefficients_of_what_is_no_polynomial_are_refused() -> None:
    from itembank.errors import DomainError

    with pytest.raises(DomainError):
        coefficients(parse("x^n"), {"n"})


def test_no_letter_of_an_author_is_in_generated_code(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sources: list[str] = []

    def compile_and_keep(source: str, name: str, mode: str) -> object:
        sources.append(source)
        return compile(source, name, mode)

    monkeypatch.setattr(own_code, "compile", compile_and_keep, raising=False)
    quick_code._running.cache_clear()  # the code of equal shapes is compiled once
    text = FACTORISE.replace("x", "zeta").replace("ezetapand", "expand").replace("letters: [zeta, y]", "")
    path = tmp_path / "t.yaml"
    path.write_text("template: t\nversion: 1\ntitle: T\nletters: [zeta]\n" + text, "utf-8")
    bound = Bound(make_recipe(load_template(path, "t.yaml", NO_SLIPS).template))
    drawn = next(iter(walk(bound, 1)))

    assert () == faults(prove(Instantiator(bound, 1).item(drawn.position, drawn.draft, "CODE")))
    assert sources
    assert [] == [source for source in sources if "zeta" in source or "'" in source]
