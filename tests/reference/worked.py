"""A published example as the engine takes it: its notation adapted, an item made of it, a template made of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from itembank.content import of_text
from itembank.expressions import canonical, exact, spelling
from itembank.expressions.canonical import Form
from itembank.expressions.numbers import Exact
from itembank.expressions.parser import parse
from itembank.generator.answers import answer_plan
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.items import (
    Address,
    Blank,
    ChoiceResponse,
    EntryResponse,
    Item,
    Mark,
    Option,
    Part,
    Problem,
    SolutionLine,
)
from itembank.proof.findings import Finding
from itembank.proof.prover import prove
from itembank.templates.loader import load_template
from itembank.templates.slips import NO_SLIPS, Catalogue
from tests.samples import ABOUT, maths, text

_NAME_BEFORE_BRACKET = re.compile(r"(?<![A-Za-z])([A-Za-z])\(")


def adapt(published: str) -> str:
    """The published spelling in the engine's language, which wants a * between a letter and a bracket.

    >>> adapt("3y(y-2)-3=0"), adapt("2(x+1)^2=6"), adapt("sqrt(75)/15")
    ('3y*(y-2)-3=0', '2(x+1)^2=6', 'sqrt(75)/15')
    """
    return _NAME_BEFORE_BRACKET.sub(r"\1*(", published)


def number(published: str) -> Exact:
    """The exact value of a published number."""
    return exact.number(parse(adapt(published)), {})


def is_real(published: str) -> bool:
    """Whether a published root is real: those that are not name I."""
    return "I" not in published


def real_roots(published: Sequence[str] | str) -> set[Exact]:
    """The real ones among published solutions; a text in place of them says that there is none."""
    if isinstance(published, str):
        assert published == "no real solution"
        return set()
    return {number(root) for root in published if is_real(root)}


def stated(variable: str, published: Sequence[str] | str) -> str:
    """Published solutions as a key: `x = 4 or x = -12`, or `none`."""
    roots = [] if isinstance(published, str) else [root for root in published if is_real(root)]
    return " or ".join(f"{variable} = {root}" for root in roots) or "none"


def shown(form: Form, unknowns: Sequence[str] = ()) -> str:
    """How the engine shows an answer of this form, in its own spelling."""
    return spelling.plain(answer_plan("set" if unknowns else "value", unknowns).fill((form,)))


def roots_in(text: str) -> list[int]:
    """The numbers under the roots of a text."""
    return [int(n) for n in re.findall(r"sqrt\(([0-9]+)\)", text)]


def is_squarefree(n: int) -> bool:
    """Whether no square above 1 divides n >= 1, by trying all."""
    return not any(n % (k * k) == 0 for k in range(2, n + 1) if k * k <= n)


def denominators(text: str) -> list[str]:
    """What stands under each fraction stroke of a text: up to the bracket that closes, or one number or call."""
    found = []
    for start in (place + 1 for place, symbol in enumerate(text) if symbol == "/"):
        end, depth = start, 0
        while end < len(text) and (depth or text[end] not in "*+-/ )"):
            depth += {"(": 1, ")": -1}.get(text[end], 0)
            end += 1
        found.append(text[start:end])
    return found


def in_simplest_form(text: str) -> bool:
    """Whether every root in a text is of a squarefree number >= 2 and none stands under a fraction stroke."""
    roots = roots_in(text)
    return (
        text.count("sqrt") == len(roots)
        and all(n >= 2 and is_squarefree(n) for n in roots)
        and not any("sqrt" in denominator for denominator in denominators(text))
    )


def solved(equation: str, variable: str, key: str, lines: Sequence[str] = ()) -> Item:
    """An item that asks to solve an equation; the key beside an answer far off; lines of a worked solution."""
    problem = Problem("solve", maths(equation), (variable,))
    options = (Option("A", maths(key), True), Option("B", maths(f"{variable} = 1000003"), False))
    return _item(problem, equation, ChoiceResponse(options), key, lines)


def rewritten(expression: str, key: str, lines: Sequence[str] = ()) -> Item:
    """An item that asks to write an expression in another form."""
    options = (Option("A", maths(key), True), Option("B", maths("1000003"), False))
    return _item(Problem("rewrite", maths(expression)), expression, ChoiceResponse(options), key, lines)


def entered(expression: str, key: str, boxes: dict[str, int]) -> Item:
    """An item that asks for the boxes p, q, r, s of a surd (p + q*sqrt(r))/s."""
    blank = Blank("", "surd", tuple(boxes), (tuple(boxes.values()),), 1, marks=(Mark("B"),))
    response = EntryResponse((blank,), 1, of_text("Write the simplest surd form."))
    return _item(Problem("rewrite", maths(expression)), expression, response, key, ())


def _item(
    problem: Problem, asked: str, response: ChoiceResponse | EntryResponse, key: str, lines: Sequence[str]
) -> Item:
    solution = tuple(SolutionLine("main", None, maths(line)) for line in lines)
    part = Part("", problem, text("Answer ", asked, "."), response, maths(key), (), solution)
    return Item("K7Q2M", Address("published", 1, 1, 0), ABOUT, (part,), {})


def verdict_on_key(item: Item) -> Finding:
    """What the proof says of an item's key."""
    (finding,) = (found for found in prove(item) if found.code == "wrong-key")
    return finding


def roots_form(roots: set[Exact]) -> Form:
    """The canonical form of a set of solutions."""
    return canonical.solution_set(list(roots))


def bound_template(folder: Path, source: str, catalogue: Catalogue = NO_SLIPS) -> Bound:
    """A template's text, read from a file and made ready."""
    path = folder / "template.yaml"
    path.write_text(source, "utf-8")
    return Bound(make_recipe(load_template(path, "template.yaml", catalogue).template))
