"""Items of the library solved again from their staff records: equations by FLINT, surds and decimals by sympy.

The readers of `tests/property/flint_oracle.py` share no code with the program. Problems are read from the plain text.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import sympy

from tests.property import flint_oracle

POSITIVE = {"lawn", "consecutive-numbers", "right-triangle"}
"""Templates whose unknown is a length or a count: only positive solutions belong to the problem."""


def disagreements(record: Mapping[str, Any]) -> Iterator[str]:
    """What of an item does not agree with a solution found afresh; nothing where all is right."""
    for part in record["parts"]:
        wanted = _answer(part, part["problem"]["plain"])
        if record["address"]["template"] in POSITIVE:
            wanted = frozenset(s for s in wanted if s[0][0] > 0)
        if _answer(part, part["key"]["plain"]) != wanted:
            yield f"the key {part['key']['plain']} is not the answer to {part['problem']['plain']}"
        for slip in part["slips"]:
            if slip["answer"] != "none" and _answer(part, slip["answer"]) == wanted:
                yield f"the slip {slip['slip']} is right"
        if part["response"] == "choice":
            yield from _options(part, wanted)
        else:
            yield from _boxes(part, wanted)


def _answer(part: Mapping[str, Any], text: str) -> Any:
    if part["kind"] != "rewrite":
        return flint_oracle.solutions(text, tuple(part["unknowns"]))
    return number(text)


def number(text: str) -> sympy.Expr:
    """The value of an expression with roots, in the one form sympy gives it; a root below the bar goes up first."""
    return sympy.expand(sympy.radsimp(sympy.sympify(text.replace("^", "**"))))


def _options(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    options = part["options"]
    if sum(option["right"] for option in options) != 1:
        yield "not exactly one option is right"
    if not options[0]["latex"]:
        return
    meanings = [_answer(part, option["plain"]) for option in options]
    for option, found in zip(options, meanings, strict=True):
        if option["right"] != (found == wanted):
            yield f"the option {option['plain']} is told {'right' if option['right'] else 'wrong'}"
    if len(set(meanings)) != len(meanings):
        yield "two options are equal"


def _boxes(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    for blank in part["blanks"]:
        groups = [dict(zip(blank["boxes"], group, strict=True)) for group in blank["values"]]
        if blank["form"] == "decimal":
            yield from _decimals(part, groups, blank)
        elif part["kind"] == "rewrite":
            (boxes,) = groups
            if _number(boxes) != number(part["problem"]["plain"]):
                yield f"{boxes} is not the value of {part['problem']['plain']}"
        else:
            column = part["unknowns"].index(blank["unknown"])
            held = {root for boxes in groups for root in flint_oracle.box_roots(blank["form"], boxes)}
            if held != {solution[column] for solution in wanted}:
                yield f"the boxes {groups} are not the answer to {part['problem']['plain']}"


def _number(boxes: Mapping[str, int]) -> sympy.Expr:
    if "value" in boxes:
        return sympy.Integer(boxes["value"])
    p, q, s = boxes.get("p", 0), boxes.get("q", 1), boxes.get("s", 1)
    return sympy.expand((p + q * sympy.sqrt(boxes["r"])) / sympy.Integer(s))


def _decimals(
    part: Mapping[str, Any], groups: list[dict[str, Any]], blank: Mapping[str, Any]
) -> Iterator[str]:
    left, right = part["problem"]["plain"].replace("^", "**").split("=")
    letter = sympy.Symbol(part["unknowns"][0])
    equation = sympy.sympify(left, {letter.name: letter}) - sympy.sympify(right, {letter.name: letter})
    exact = sorted(str(sympy.N(root, 40).round(2)) for root in sympy.solve(equation, letter))
    typed = sorted(str(sympy.Float(boxes["value"], 40).round(2)) for boxes in groups)
    if exact != typed:
        yield f"{typed} is not {exact}"
