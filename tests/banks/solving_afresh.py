"""Items of the library solved again from their staff records: equations by FLINT, surds and decimals by sympy.

The readers of `tests/property/flint_oracle.py` share no code with the program. Problems are read from the plain text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any

import sympy
from flint import fmpq
from sympy.solvers.inequalities import solve_poly_inequality

from tests.property import flint_oracle

POSITIVE = {
    "distance", "how-many-terms",
    "lawn", "numbers-from-their-product", "path", "right-triangle", "terrace", "squares-show", "time-of-flight",
}  # fmt: skip
"""Templates whose first unknown is a length, a time or a count: only positive solutions belong."""


EITHER = "two different real roots"
TWO_ROOTS = {"two different rational roots", "two different irrational roots"}


def disagreements(record: Mapping[str, Any]) -> Iterator[str]:
    """What of an item does not agree with a solution found afresh; nothing where all is right."""
    for part in record["parts"]:
        wanted = answer(part, part["problem"]["plain"])
        if record["address"]["template"] in POSITIVE:
            wanted = frozenset(s for s in wanted if _is_positive(s[0]))
        if answer(part, part["key"]["plain"]) != wanted:
            yield f"the key {part['key']['plain']} is not the answer to {part['problem']['plain']}"
        for slip in part["slips"]:
            if slip["answer"] != "none" and answer(part, slip["answer"]) == wanted:
                yield f"the slip {slip['slip']} is right"
        if part["response"] == "choice":
            yield from _options(part, wanted)
        elif part["response"] == "choices":
            yield from _each_right_or_wrong(part, wanted)
        elif part["response"] == "wrong-line":
            yield from _lines(part, wanted)
        elif part["response"] == "order":
            yield from _order(part, wanted)
        elif part["response"] == "match":
            yield from _matches(part)
        elif part["response"] == "entry":
            yield from _boxes(part, wanted)


def answer(part: Mapping[str, Any], text: str) -> Any:
    """What a text says about the answer: a set of solutions, or an expression in one form."""
    return _answer(part["kind"], tuple(part["unknowns"]), text)


@lru_cache(maxsize=64)
def _answer(kind: str, unknowns: tuple[str, ...], text: str) -> Any:
    """The same text stands in a record more than once: as the key, as an option and as a line."""
    if kind == "rewrite":
        return number(text)
    if kind == "subject":
        return _formula(text, unknowns[0])
    if "<" in text or ">" in text:
        return _interval(text, sympy.Symbol(unknowns[0], real=True))
    try:
        return flint_oracle.solutions(text, unknowns)
    except flint_oracle.CannotTell:
        return _points(text, unknowns)


def _formula(text: str, subject: str) -> Any:
    """What an equation says of its subject, by sympy, in lowest terms; rooted or squared, of positive letters.

    A root is told by its square and the sign it has where every letter is 1.
    """
    is_of_roots = "sqrt" in text or f"{subject}^2" in text
    named = sorted({*re.findall(r"[A-Za-z]+", text)} - {"sqrt"})
    names = {name: sympy.Symbol(name, positive=True if is_of_roots else None) for name in named}
    left, right = (sympy.sympify(side.replace("^", "**"), names) for side in text.split("="))
    is_solved = left == names[subject] and names[subject] not in right.free_symbols
    (found,) = [right] if is_solved else sympy.solve(left - right, names[subject])
    plain = {letter: sympy.Symbol(name) for name, letter in names.items()}
    if not is_of_roots:
        return sympy.cancel(sympy.together(found))
    sign = sympy.sign(found.subs(dict.fromkeys(names.values(), 1)))
    return sign, sympy.cancel(sympy.together(sympy.expand(found**2))).subs(plain)


def _is_positive(root: flint_oracle.Root) -> bool:
    """u + v*sqrt(m) > 0, from the signs of u and v and from their squares."""
    u, v, m = root
    if u >= 0 and v >= 0:
        return bool(u > 0 or v > 0)
    larger = u * u - v * v * m
    return bool((u > 0 and larger > 0) or (v > 0 and larger < 0))


def _points(text: str, unknowns: tuple[str, ...]) -> flint_oracle.Solutions:
    """Rational points of a system by sympy, for systems with more of them than one.

    Other letters are those for every value of which it holds: what multiplies each of their powers is 0.
    """
    letters = [sympy.Symbol(name, real=True) for name in unknowns]
    names = {letter.name: letter for letter in letters}
    sides = [each.replace("^", "**").split("=") for each in text.split(" and ")]
    differences = [sympy.sympify(left, names) - sympy.sympify(right, names) for left, right in sides]
    system = []
    for above in (sympy.numer(sympy.together(difference)) for difference in differences):
        others = sorted(above.free_symbols - set(letters), key=str)
        system += sympy.Poly(above, *others).coeffs() if others else [above]
    found = sympy.solve(system, letters, dict=True)
    return frozenset(
        tuple((fmpq(int(row[letter].p), int(row[letter].q)), fmpq(0), 1) for letter in letters)
        for row in found
    )


def _interval(text: str, letter: sympy.Symbol) -> sympy.Set:
    """The real numbers for which inequalities hold, joined by `or` and `and` or in a chain."""
    if " or " in text:
        return sympy.Union(*(_interval(part, letter) for part in text.split(" or ")))
    if " and " in text:
        return sympy.Intersection(*(_interval(part, letter) for part in text.split(" and ")))
    operands = re.split(r"<=|>=|<|>", text)
    signs = re.findall(r"<=|>=|<|>", text)
    names = {
        letter.name: letter,
        "discriminant": lambda inside: sympy.discriminant(inside, sympy.Symbol("x")),
    }
    read = [sympy.sympify(operand.replace("^", "**"), names) for operand in operands]
    found: sympy.Set = sympy.Reals
    for left, sign, right in zip(read, signs, read[1:], strict=False):
        found = sympy.Intersection(found, _half(sympy.expand(left - right), sign, letter))
    return found


@cache
def _half(difference: sympy.Expr, sign: str, letter: sympy.Symbol) -> sympy.Set:
    """Where a difference has a sign; by the roots of a polynomial where it is one."""
    if difference.is_polynomial(letter) and letter in difference.free_symbols:
        return sympy.Union(*solve_poly_inequality(sympy.Poly(difference, letter), sign))
    return sympy.solve_univariate_inequality(sympy.Rel(difference, 0, sign), letter, relational=False)


def number(text: str) -> sympy.Expr:
    """The value of an expression with roots, in the one form sympy gives it; a root below the bar goes up first.

    Quotients of letters are in lowest terms.
    """
    read = sympy.sympify(text.replace("^", "**"), rational=True)
    if sympy.denom(sympy.together(read)).free_symbols:
        return sympy.cancel(sympy.together(read))
    return sympy.expand(sympy.radsimp(read))


def _options(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    options = part["options"]
    if sum(option["right"] for option in options) != 1:
        yield "not exactly one option is right"
    yield from _right_or_wrong(part, wanted)


def _right_or_wrong(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    """Each option says the same as the problem, or does not; rows of words are told of elsewhere."""
    options = part["options"]
    if not options[0]["latex"]:
        return
    meanings = [answer(part, option["plain"]) for option in options]
    for option, found in zip(options, meanings, strict=True):
        if option["right"] != (found == wanted):
            yield f"the option {option['plain']} is told {'right' if option['right'] else 'wrong'}"
    wrong = [found for option, found in zip(options, meanings, strict=True) if not option["right"]]
    if len(set(wrong)) != len(wrong):
        yield "two wrong options are equal"


def _each_right_or_wrong(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    """Options that each say all of the answer, or are one of the solutions each."""
    options = part["options"]
    right = [answer(part, option["plain"]) for option in options if option["right"] and option["latex"]]
    if all(found == wanted for found in right):
        yield from _right_or_wrong(part, wanted)
        return
    if frozenset().union(*right) != wanted or any(len(found) != 1 for found in right):
        yield "the right options are not the solutions, one each"
    for option in options:
        if not option["right"] and answer(part, option["plain"]) <= wanted:
            yield f"the option {option['plain']} is told wrong"


def _lines(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    """Up to the wrong line all say the same as the problem; from there on they say one other thing."""
    said = [answer(part, line["maths"]) for line in part["lines"]]
    (wrong,) = [number for number, line in enumerate(part["lines"]) if not line["follows"]]
    if any(found != wanted for found in said[:wrong]):
        yield "a line before the wrong one does not follow"
    if said[wrong] == wanted or len(set(said[wrong:])) != 1:
        yield "the wrong line, or one after it, is not as it is told"


def _order(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    """Numbers rise; lines of working each say the same as the problem."""
    said = [thing["plain"] for thing in sorted(part["things"], key=lambda thing: thing["place"])]
    if part["kind"] == "rewrite":
        sizes = [number(text) for text in said]
        if any((after - before).is_positive is not True for before, after in pairwise(sizes)):
            yield f"{said} do not rise"
    elif any(answer(part, text) != wanted for text in said):
        yield "a line does not say the same as the problem"


def _matches(part: Mapping[str, Any]) -> Iterator[str]:
    """Each row has its own target's answer, and no other target has it; words are told of elsewhere."""
    if not part["targets"][0]["latex"]:
        return
    targets = {target["option"]: answer(part, target["plain"]) for target in part["targets"]}
    for row in part["rows"]:
        if [row["target"]] != [
            option for option, told in targets.items() if told == answer(part, row["plain"])
        ]:
            yield f"{row['plain']} does not belong to {row['target']} alone"


def _boxes(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    if part.get("points"):
        yield from flint_oracle.points_apart(part, wanted)
        return
    for blank in part["blanks"]:
        groups = [dict(zip(blank["boxes"], group, strict=True)) for group in blank["values"]]
        if blank["form"] == "one-of":
            inside = re.search(r"discriminant\((.*)\)", part["problem"]["plain"])
            assert inside is not None
            kind = flint_oracle.kind_of_roots(flint_oracle.quadratic(f"{inside[1]} = 0", "x"))
            told = [blank["words"]["ABCDEFGH".index(boxes["word"])] for boxes in groups]
            if told != [kind] and (told != [EITHER] or kind not in TWO_ROOTS):
                yield f"{kind} is right, not {told}"
        elif blank["form"] == "decimal":
            yield from _decimals(part, groups, blank)
        elif blank["form"] == "brackets":
            (boxes,) = groups
            x = sympy.Symbol("x")
            product = boxes.get("k", 1) * (boxes["a"] * x + boxes["b"]) * (boxes["c"] * x + boxes["d"])
            if sympy.expand(product) != wanted:
                yield f"{boxes} is not {part['problem']['plain']}"
        elif blank["form"] == "interval":
            letter = part["unknowns"][0]
            words = {"lt": "<", "le": "<=", "gt": ">", "ge": ">="}
            told = [f"{letter} {words[boxes['sign']]} {_end(boxes)}" for boxes in groups]
            if answer(part, f" {blank['join']} ".join(told)) != wanted:
                yield f"{told} is not the answer to {part['problem']['plain']}"
        elif part["kind"] == "rewrite":
            (boxes,) = groups
            if _number(boxes) != number(part["problem"]["plain"]):
                yield f"{boxes} is not the value of {part['problem']['plain']}"
        else:
            column = part["unknowns"].index(blank["unknown"])
            if len(groups) == len(wanted):  # each group of boxes is one solution; else a group is two, with ±
                held = {flint_oracle.box_value(blank["form"], boxes) for boxes in groups}
            else:
                held = {root for boxes in groups for root in flint_oracle.box_roots(blank["form"], boxes)}
            if held != {solution[column] for solution in wanted}:
                yield f"the boxes {groups} are not the answer to {part['problem']['plain']}"


def _end(boxes: Mapping[str, Any]) -> str:
    return str(boxes["value"]) if "value" in boxes else f"{boxes['numerator']}/{boxes['denominator']}"


def _number(boxes: Mapping[str, int]) -> sympy.Expr:
    if "value" in boxes:
        return sympy.Integer(boxes["value"])
    p, q, s = boxes.get("p", 0), boxes.get("q", 1), boxes.get("s", 1)
    return sympy.expand((p + q * sympy.sqrt(boxes["r"])) / sympy.Integer(s))


def _decimals(
    part: Mapping[str, Any], groups: list[dict[str, Any]], blank: Mapping[str, Any]
) -> Iterator[str]:
    letters = {name: sympy.Symbol(name) for name in part["unknowns"]}
    equations = [
        sympy.Eq(*(sympy.sympify(side, letters, rational=True) for side in each.split("=")))
        for each in part["problem"]["plain"].replace("^", "**").split(" and ")
    ]
    letter = letters[blank["unknown"]]
    roots = [solution[letter] for solution in sympy.solve(equations, list(letters.values()), dict=True)]
    if len(groups) == 1 and len(letters) == 1:
        roots = [root for root in roots if root.is_positive]
    hundredths = [sympy.sign(root) * sympy.floor(100 * abs(root) + sympy.Rational(1, 2)) for root in roots]
    typed = [100 * sympy.Rational(str(boxes["value"])) for boxes in groups]
    if sorted(hundredths) != sorted(typed):
        yield f"{typed} are not {hundredths}, in hundredths"
