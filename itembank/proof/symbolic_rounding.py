"""What stands behind ≈, on the second road: decimals within half a unit in the last place of what they round."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sympy import QQ

from itembank.expressions import tree
from itembank.expressions.display import Decimal
from itembank.expressions.tree import Node
from itembank.items import BoxValue, EntryResponse, RecognisedEntry
from itembank.proof.symbolic_numbers import CannotTell, Rooted, rational
from itembank.proof.symbolic_part import Answer, Asked
from itembank.proof.symbolic_positive import PositiveFormula
from itembank.proof.symbolic_reading import Fraction
from itembank.proof.symbolic_regions import Stretches
from itembank.proof.symbolic_text import Piece
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_CLOSE = Proved("each decimal lies within half a unit in its last place (sympy)")


class _Told(NamedTuple):
    """One relation: the unknown it tells or the value it has on its left, its right-hand side, half a unit of that."""

    name: str
    left: Rooted
    right: Rooted
    half: Rooted

    def is_near(self, exact: Rooted) -> bool:
        return _close(exact, self.right, self.half)


def prove_rounded(asked: Asked, read: Piece, wanted: Answer) -> Verdict | None:
    """A line with decimals rounds what is wanted; None where it does not. Raises CannotTell."""
    alternatives = _alternatives(asked, read)
    if alternatives is None:
        return Undecided("≈ stands between an exact value, or an unknown, and a decimal")
    plain = [told for each in alternatives for told in each if not told.name]
    if not all(told.is_near(told.left) for told in plain):
        return None
    names = {told.name for each in alternatives for told in each} - {""}
    if not names:
        return _CLOSE
    if isinstance(wanted, Stretches | Fraction | Rooted | PositiveFormula):
        raise CannotTell("decimals for what is no finite set of values")
    if any(names - {told.name for told in each} for each in alternatives) or names - set(asked.unknowns):
        return Undecided("beside ≈ every alternative tells the same unknowns")
    left = {tuple(point[asked.unknowns.index(name)] for name in sorted(names)) for point in wanted}
    if len(left) != len(alternatives):
        return None
    solutions = [dict(zip(sorted(names), values, strict=True)) for values in left]

    def fits(values: dict[str, Rooted], each: list[_Told]) -> bool:
        return all(told.is_near(values[told.name]) for told in each if told.name)

    matched = all(any(fits(values, each) for values in solutions) for each in alternatives)
    reached = all(any(fits(values, each) for each in alternatives) for values in solutions)
    return _CLOSE if matched and reached else None


def prove_key_rounded(asked: Asked, response: EntryResponse, wanted: Answer) -> Verdict:
    """The key is shown as its boxes hold it, rounded from what is wanted. Raises CannotTell."""
    assert response.rounded is not None
    held = [blank.values for blank in response.blanks]
    return _shown_as_held(asked, response, asked.read(response.rounded), held, wanted)


def prove_entered(asked: Asked, response: EntryResponse, entry: RecognisedEntry) -> Verdict:
    """The same of a wrong entry: rounded from what its slip leads to. Raises CannotTell."""
    assert entry.rounded is not None
    led = asked.answer(asked.read(entry.slip.answer))
    return _shown_as_held(asked, response, asked.read(entry.rounded), entry.values, led)


def _shown_as_held(
    asked: Asked,
    response: EntryResponse,
    read: Piece,
    held: Sequence[Sequence[tuple[BoxValue, ...]]],
    exact: Answer,
) -> Verdict:
    verdict = prove_rounded(asked, read, exact)
    told = [each for alternative in _alternatives(asked, read) or [] for each in alternative]
    if isinstance(exact, Rooted) and any((each.left - exact.number()).sign() for each in told):
        return Refuted(f"{read.text} rounds another value")
    for blank, groups in zip(response.blanks, held, strict=True):
        decimals = [
            rational(group[0].value.numerator, group[0].value.denominator)
            for group in groups
            if isinstance(group[0], Decimal)
        ]
        shown = [each.right for each in told if each.name == blank.unknown]
        if decimals and not (_all_among(decimals, shown) and _all_among(shown, decimals)):
            return Refuted(f"{read.text} is not what the boxes hold")
    return verdict or Refuted(f"{read.text} is not right to the places shown")


def within(exact: Rooted, shown: Rooted, places: int) -> bool:
    """Whether a decimal is the exact value to so many places."""
    return _close(exact, shown, _half(places))


def _alternatives(asked: Asked, read: Piece) -> list[list[_Told]] | None:
    """What stands between `or`; None where some of it is neither ≈ nor =."""
    node = read.node
    found = []
    for alternative in node.parts if isinstance(node, tree.Or) else (node,):
        relations = alternative.parts if isinstance(alternative, tree.And) else (alternative,)
        said = []
        for each in relations:
            if not isinstance(each, tree.Relation) or each.operators not in {("≈",), ("=",)}:
                return None
            left, right = each.operands
            value = asked.space.value(read, right).number()
            half = _half(_places(read, right)) if each.operators == ("≈",) else rational(0, 1)
            if isinstance(left, tree.Name):
                said.append(_Told(left.name, value, value, half))
            else:
                said.append(_Told("", asked.space.value(read, left).number(), value, half))
        found.append(said)
    return found


def _places(read: Piece, node: Node) -> int:
    if isinstance(node, tree.Negation):
        return _places(read, node.operand)
    if isinstance(node, tree.Number):
        return read.numerals[int(node.value)].places
    raise CannotTell("≈ is followed by a decimal")


def _half(places: int) -> Rooted:
    return Rooted({1: QQ(1, 2 * 10**places)})


def _all_among(some: Sequence[Rooted], others: Sequence[Rooted]) -> bool:
    return all(any(not (one - other).sign() for other in others) for one in some)


def _close(exact: Rooted, shown: Rooted, half: Rooted) -> bool:
    difference = exact - shown
    size = difference if difference.sign() >= 0 else -difference
    return (size - half).sign() <= 0
