"""What an answer means, however it is spelled: `x=3±√5`, `3 - sqrt(5), 3 + sqrt(5)` and the boxes of a platform.

Two answers are the same where their meanings are equal. It is no proof and decides about no item: what cannot be read
has no meaning, and is then no known answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import product
from typing import Any, Final, TypeAlias

from itembank.errors import DomainError
from itembank.expressions import exact, numbers, tree
from itembank.expressions.parser import ExpressionError, parse
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.tree import Node

__all__ = [
    "NONE_TEXTS",
    "Meaning",
    "meaning_of",
    "of_boxes",
    "of_list",
    "of_values",
    "pieces_typed",
    "readings",
]

Meaning: TypeAlias = tuple[str, object]
"""("set", solutions), each a tuple of values, ("conditions", ...) of inequalities that hold together, ("either",
meanings) of which one holds, or ("term", polynomial)."""

NONE_TEXTS: Final = frozenset((
    "none", "no solution", "no solutions", "no real solution", "no real solutions", "no root", "no roots",
    "no real root", "no real roots", "there is no real solution", "there are no real solutions", "∅",
    "ninguna", "sin solución", "sin solución real", "sin soluciones reales", "no hay solución",
    "no hay solución real", "no tiene solución", "no tiene solución real", "no tiene soluciones reales",
    "keine", "keine lösung", "keine lösungen", "keine reelle lösung", "keine reellen lösungen",
    "es gibt keine lösung", "es gibt keine reelle lösung", "es gibt keine reellen lösungen",
))  # fmt: skip
LONGEST: Final = 200
_SPELT: Final = (("−", "-"), ("–", "-"), ("·", "*"), ("⋅", "*"), ("×", "*"), ("²", "^2"), ("³", "^3"), ("+-", "±"),
                 ("+/-", "±"))  # fmt: skip
_ROOT: Final = re.compile(r"(?:√|sqrt)\s*(?:\(|([0-9]+|[a-z]))")
_PLUS: Final = re.compile(r"(^|[=<>,;(]\s*)\+\s*")
_THOUSANDS: Final = re.compile(
    r"(?<![0-9.,])[0-9]{1,3}(?:(?:,[0-9]{3})+(?=\.[0-9])|(?:['’][0-9]{3})+(?![0-9]))"
)
_GROUPED: Final = re.compile(r"(?<![0-9.,])[0-9]{1,3}(?:\s[0-9]{3})+(?![0-9])")
_SEPARATORS: Final = re.compile("[,'’]")
_INDEX: Final = re.compile(r"\b([a-z])_?[0-9₀-₉](?=\s*=(?!=))")
_AND: Final = re.compile(r"\b(?:and|y)\b|&")
_OR: Final = re.compile(r"\b(?:or|o)\b")
_EITHER: Final = re.compile(r"\s*(?:;|\n|\b(?:or|o|oder)\b)\s*")
_BRACES: Final = re.compile(r"(?:[a-z]\s*[=∈]\s*)?\{([^{}]*)\}")
_BETWEEN: Final = re.compile(r"\s*(?:[,;&]|\band\b|\bor\b|\by\b|\bo\b)\s*")
_MIXED: Final = re.compile(r"(?<![0-9.,])([0-9]+)\s+([0-9]+)/([0-9]+)(?![0-9.,])")
_PART: Final = re.compile(r"([0-9]*)([½¼¾])")
_PARTS: Final = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
_LISTED: Final = re.compile(r"\s*(?:[,;&\n]|\b(?:and|or|o)\b|\by\b(?!\s*=))\s*|\s+(?=[A-Za-z]\w*\s*=)")
_WHOLE_NUMBERS: Final = re.compile(r"-?[0-9]+(?:\s+-?[0-9]+)+")
_NUMBERS: Final = re.compile(r"-?[0-9./]+(?:\s+-?[0-9./]+)+")
_TOLD: Final = re.compile(r"([A-Za-z]\w*)\s*=\s*(.+)")
_NEXT_POINT: Final = re.compile(r"(?<=\))\s*(?:[,;\n]|\b(?:and|or|y|o)\b)?\s*(?=\()")
_FLIPPED: Final = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "!=": "!="}


class _NoMeaning(Exception):
    pass


@lru_cache(maxsize=65_536)
def meaning_of(text: str) -> Meaning | None:
    """The meaning of an answer in the language of templates; None for what is none.

    >>> meaning_of("x = -5 or x = -3") == meaning_of("x = -4 ± 1")
    True
    >>> meaning_of("p = 2 and q = 3") == meaning_of("q = 3 and p = 2")
    True
    """
    if " ".join(text.casefold().split()) in NONE_TEXTS:
        return "set", frozenset()
    if len(text) > LONGEST:
        return None
    try:
        return _meaning(parse(text))
    except (ExpressionError, DomainError, _NoMeaning):
        return None


def readings(text: str) -> Iterator[Meaning]:
    """Every meaning that what a pupil typed may have: a comma may part two solutions or the digits of a decimal.

    >>> from itembank.expressions.numbers import Surd
    >>> [sorted(found) for _, found in readings("-3, 5")]
    [[(-3,), (5,)]]
    >>> len(list(readings("2,5")))
    2
    """
    if braced := _BRACES.fullmatch(text.strip()):  # the set of solutions, as some pupils write it
        text = braced[1].strip() or "none"
    mixed = _MIXED.sub(lambda found: _mixed(*found.groups()), text)
    found = (each for version in _spelt(mixed) for each in _of_one_or_many(version))
    yield from dict.fromkeys(found)


def _spelt(text: str) -> Iterator[str]:
    """The language's own spelling of what is typed: with commas as they stand and as decimal points, and with blanks
    before thousands as they stand and left out."""
    for old, new in _SPELT:
        text = text.replace(old, new)
    text = re.sub(r"\boder\b", "or", re.sub(r"\bund\b", "and", text))
    text = _INDEX.sub(r"\1", text)
    text = _PART.sub(lambda found: _mixed(found[1], *_PARTS[found[2]].split("/")), text)
    text = _THOUSANDS.sub(lambda found: _SEPARATORS.sub("", found[0]), _PLUS.sub(r"\1", text.strip()))
    text = _ROOT.sub(lambda found: f"sqrt({found[1]})" if found[1] else "sqrt(", text).strip().rstrip(".")
    joined = _GROUPED.sub(lambda found: "".join(found[0].split()), text)
    decimals = (re.sub(r"(?<=[0-9]),(?=[0-9])", ".", each) for each in (text, joined))
    yield from dict.fromkeys((text, *decimals))


def _mixed(whole: str, above: str, below: str) -> str:
    """A whole number and a part of one as a single fraction: 1½ is 3/2."""
    return f"{int(whole or 0) * int(below) + int(above)}/{below}"


def of_list(text: str, blanks: Sequence[Mapping[str, Any]], *, points: bool) -> Iterator[Meaning]:
    """Every meaning that the values of several unknowns may have, typed one after the other; none for other texts.

    By their letters, or in the order of the boxes; points: whether the blanks are coordinates, which stand in brackets.

    >>> two = [{"unknown": "m", "slots": 1}, {"unknown": "c", "slots": 1}]
    >>> wanted = meaning_of("m = 1/2 and c = -3")
    >>> [wanted in of_list(text, two, points=False) for text in ("c = -3, m = 1/2", "1/2; -3", "m=0,5 c=-3", "-3; 1/2")]
    [True, True, True, False]
    """
    names = [str(blank["unknown"]) for blank in blanks]
    if len(names) < 2 or len(text) > LONGEST:
        return
    for version in _spelt(text):
        if points and "(" in version:
            yield from _of_points(version)
        elif points:
            told = [list(_by_letter(names, _pieces(each))) for each in _EITHER.split(version) if each]
            if told and all(told):
                yield _together([meaning for each in told for meaning in each])
        elif "(" not in version.replace("sqrt(", "") and all(blank["slots"] == 1 for blank in blanks):
            yield from _by_letter(names, _pieces(version))


def _pieces(text: str) -> list[str]:
    return text.split() if _NUMBERS.fullmatch(text) else [piece for piece in _LISTED.split(text) if piece]


def _by_letter(names: Sequence[str], pieces: Sequence[str]) -> Iterator[Meaning]:
    told = [_TOLD.fullmatch(piece) for piece in pieces]
    letters = [found[1] for found in told if found] or list(names)
    values = [meaning_of(found[2] if found else piece) for found, piece in zip(told, pieces, strict=True)]
    is_whole = sorted(letters) == sorted(names) and len(pieces) == len(names)
    if is_whole and all(value is not None and value[0] == "set" for value in values):
        solutions = [value[1] for _, value in sorted(zip(letters, values, strict=True)) if value]
        yield "set", frozenset(sum(each, ()) for each in product(*solutions))  # type: ignore[call-overload]


def _of_points(text: str) -> Iterator[Meaning]:
    told = [each.partition("=")[2] if "=" in each else each for each in _NEXT_POINT.split(text)]
    found = [meaning_of(f"(x, y) = {each.replace(';', ',')}") for each in told]
    if all(each is not None and each[0] == "set" for each in found):
        yield _together([each for each in found if each])


def _of_one_or_many(text: str) -> Iterator[Meaning]:
    whole = meaning_of(text)
    if whole is not None:
        yield whole
    listed = _outside_brackets(text)
    if len(listed) > 1:
        found = [meaning_of(piece) for piece in listed]
        if all(each is not None and each[0] == "set" for each in found):
            yield "set", frozenset(s for each in found if each for s in each[1])  # type: ignore[attr-defined]
        if all(each is not None and each[0] == "conditions" for each in found):
            told = [each for each in found if each]
            if not _AND.search(text):
                yield _together(told)
            if not _OR.search(text):
                yield _all_of(told)


def _outside_brackets(text: str, between: re.Pattern[str] = _BETWEEN) -> list[str]:
    """The pieces between commas, semicolons and words that stand in no bracket; whole numbers alone may stand apart by
    blanks.

    >>> _outside_brackets("(1 + sqrt(2))/3, (x, y)"), _outside_brackets("-3 4")
    (['(1 + sqrt(2))/3', '(x, y)'], ['-3', '4'])
    """
    if _WHOLE_NUMBERS.fullmatch(text):
        return text.split()
    pieces, begun = [], 0
    for found in between.finditer(text):
        if text.count("(", 0, found.start()) <= text.count(")", 0, found.start()):
            pieces.append(text[begun : found.start()])
            begun = found.end()
    return [piece for piece in (*pieces, text[begun:]) if piece]


def pieces_typed(text: str) -> Iterator[Node]:
    """The trees of what a pupil typed, piece by piece; what cannot be read is left out.

    >>> [type(node).__name__ for node in pieces_typed("x = 0-5, 7^2")]
    ['Sum', 'Power']
    """
    spelt = next(_spelt(_MIXED.sub(lambda found: _mixed(*found.groups()), text)))
    for piece in _outside_brackets(spelt, _LISTED):
        try:
            node = parse(piece)
        except (ExpressionError, DomainError):
            continue
        yield from _terms(node)


def _terms(node: Node) -> Iterator[Node]:
    """The sides of equations and inequalities, without letters alone."""
    match node:
        case tree.Or(parts) | tree.And(parts) | tree.Relation(parts, _):
            for part in parts:
                yield from _terms(part)
        case tree.Name():
            return
        case _:
            yield node


def _meaning(node: Node) -> Meaning:
    match node:
        case tree.Or(parts):
            return _together([_meaning(part) for part in parts])
        case tree.And(parts):
            found = [_meaning(part) for part in parts]
            if all(kind == "set" for kind, _ in found):
                return _joined(parts)
            return _all_of(found)
        case tree.Relation(operands, operators):
            return _relation(operands, operators)
        case tree.Point(first, second):
            return "set", frozenset(product(_values(first), _values(second)))
        case _:
            return _term(node)


def _together(found: Sequence[Meaning]) -> Meaning:
    if all(kind == "set" for kind, _ in found):
        return "set", frozenset(s for _, each in found for s in each)  # type: ignore[attr-defined]
    return "either", frozenset(found)


def _all_of(found: Sequence[Meaning]) -> Meaning:
    """`1 < x and x < 4` is `1 < x < 4`."""
    told: set[object] = set()
    for kind, each in found:
        told |= each if kind == "conditions" and isinstance(each, frozenset) else {(kind, each)}
    return "conditions", frozenset(told)


def _joined(parts: Sequence[Node]) -> Meaning:
    """`p = 2 and q = 3` is a point, by the order of letters; `x = 2 and x = 3` are two solutions, as pupils write."""
    by_letter: dict[str, set[object]] = {}
    for part in parts:
        if not (isinstance(part, tree.Relation) and isinstance(part.operands[0], tree.Name)):
            raise _NoMeaning
        by_letter.setdefault(part.operands[0].name, set()).update(_values(part.operands[1]))
    return "set", frozenset(product(*(by_letter[letter] for letter in sorted(by_letter))))


def _relation(operands: Sequence[Node], operators: Sequence[str]) -> Meaning:
    if list(operators) == ["="]:
        first, second = operands
        if isinstance(first, tree.Point) and isinstance(second, tree.Point):
            return _meaning(second)
        if isinstance(first, tree.Name):
            try:
                return "set", frozenset((value,) for value in _values(second))
            except DomainError:  # the other side has letters of its own
                pass
    told = set()
    for first, operator, second in zip(operands, operators, operands[1:], strict=False):
        if operator not in _FLIPPED:
            raise _NoMeaning
        a, b = _polynomial(first), _polynomial(second)
        told.add(min((a.terms, operator, b.terms), (b.terms, _FLIPPED[operator], a.terms), key=repr))
    return "conditions", frozenset(told)


def _term(node: Node) -> Meaning:
    try:
        return "set", frozenset((value,) for value in _values(node))
    except DomainError:
        return "term", _polynomial(node).terms


def _polynomial(node: Node) -> Polynomial:
    return exact.polynomial(node, {})


def _values(node: Node) -> set[numbers.Exact]:
    """The one or two numbers a term is; ± is all of it above, or all of it below."""
    return {
        numbers.whole(v) if isinstance(v, Fraction) else v
        for v in (exact.number(_with(node, s), {}) for s in "+-")
    }


def _with(node: Node, sign: str) -> Node:
    """A term with one sign for each ±."""
    match node:
        case tree.PlusMinus(operand):
            inner = _with(operand, sign)
            return inner if sign == "+" else tree.Negation(inner)
        case tree.Negation(operand):
            return tree.Negation(_with(operand, sign))
        case tree.Sum(first, rest):
            signed = tuple(
                (sign if operator == "±" else operator, _with(term, sign)) for operator, term in rest
            )
            return tree.Sum(_with(first, sign), signed)
        case tree.Product(factors):
            return tree.Product(tuple(_with(factor, sign) for factor in factors))
        case tree.Quotient(above, below):
            return tree.Quotient(_with(above, sign), _with(below, sign))
        case _:
            return node


def of_boxes(blanks: Sequence[Mapping[str, Any]], boxes: Sequence[str], *, points: bool) -> Meaning | None:
    """The meaning of what stands in the boxes of an entry.

    blanks: as in `items.json`; boxes: their texts in reading order, "" for what was left empty; points: whether the
    blanks are coordinates, whose boxes stand point by point. None where a box holds no number, or a form has no
    value (an interval, brackets, words).

    >>> surd = {"unknown": "x", "form": "surd", "boxes": ["p", "r"], "slots": 1, "pair": True}
    >>> of_boxes([surd], ["3", "5"], points=False) == meaning_of("x = 3 ± sqrt(5)")
    True
    """
    if any(blank["form"] not in ("integer", "fraction", "decimal", "surd") for blank in blanks):
        return None
    if len(boxes) != sum(blank["slots"] * len(blank["boxes"]) for blank in blanks):
        return None
    left = iter(boxes)
    found: list[list[set[numbers.Exact]]] = [[] for _ in blanks]
    try:
        if points:
            for _ in range(blanks[0]["slots"]):
                for values, blank in zip(found, blanks, strict=True):
                    values.append(_slot(blank, left))
            return "set", frozenset(point for each in zip(*found, strict=True) for point in product(*each))
        for values, blank in zip(found, blanks, strict=True):
            values.extend(_slot(blank, left) for _ in range(blank["slots"]))
    except (ValueError, DomainError, ZeroDivisionError):
        return None
    order = sorted(range(len(blanks)), key=lambda at: str(blanks[at]["unknown"]))
    return "set", frozenset(product(*({value for slot in found[at] for value in slot} for at in order)))


def of_values(blanks: Sequence[Mapping[str, Any]], *, points: bool) -> Meaning | None:
    """The meaning of the right values of boxes, as rounded as they stand there; None as for `of_boxes`.

    >>> decimal = {"unknown": "x", "form": "decimal", "boxes": ["value"], "slots": 2, "values": [["2.85"]]}
    >>> of_values([decimal], points=False) == meaning_of("x = 2.85")
    True
    """
    if not all("values" in blank for blank in blanks):
        return None
    slots = [[_texts(blank, at) for at in range(blank["slots"])] for blank in blanks]
    ordered = (
        [each for together in zip(*slots, strict=False) for each in together]
        if points
        else [each for every in slots for each in every]
    )
    return of_boxes(blanks, [text for texts in ordered for text in texts], points=points)


def _texts(blank: Mapping[str, Any], at: int) -> list[str]:
    values = blank["values"]
    if at >= len(values):
        return [""] * len(blank["boxes"])
    return ["" if value is None else str(value) for value in values[at]]


def _slot(blank: Mapping[str, Any], boxes: Iterable[str]) -> set[numbers.Exact]:
    """The values of one group of boxes: none where all are empty, two of a pair."""
    left = iter(boxes)
    texts = {role: next(left) for role in blank["boxes"]}
    if not any(texts.values()):
        return set()
    if "s" in texts and not texts["s"]:
        texts["s"] = "1"  # as the packages take it
    held = {role: Fraction(_number(text)) for role, text in texts.items()}
    match blank["form"]:
        case "fraction":
            return {numbers.whole(held["numerator"] / held["denominator"])}
        case "surd":
            root = numbers.multiply(
                numbers.whole(held.get("q", Fraction(1))), numbers.square_root(numbers.whole(held["r"]))
            )
            below = numbers.whole(held.get("s", Fraction(1)))
            roots = [root, numbers.negate(root)] if blank.get("pair", True) else [root]
            rational = numbers.whole(held.get("p", Fraction(0)))
            return {numbers.divide(numbers.add(rational, each), below) for each in roots}
        case _:
            return {numbers.whole(held["value"])}


def _number(text: str) -> str:
    return re.sub("(?<=[0-9])['’](?=[0-9]{3})", "", "".join(text.split())).replace("−", "-").replace(",", ".")
