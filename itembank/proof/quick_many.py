"""Displays as polynomials in several letters, with code for coefficients: what identities and systems are read by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from itembank.expressions.display import (
    Applied,
    Bracket,
    Compared,
    Display,
    Factors,
    Letter,
    Numeral,
    Over,
    Raised,
    Terms,
    parts,
)
from itembank.proof.quick_code import Beyond, minus, plus, times

Monomial: TypeAlias = tuple[int, ...]
Codes: TypeAlias = dict[Monomial, str]


@dataclass(frozen=True, slots=True)
class Many:
    """terms / d."""

    terms: Codes
    d: str = "1"


class ManyReader:
    """Reads displays as polynomials in the given letters; `guards` collects what must not hold."""

    def __init__(self, letters: Sequence[str], main_letter: str = "") -> None:
        self.letters = tuple(letters)
        self.main_letter = main_letter
        self.guards: list[str] = []
        self.one: Monomial = (0,) * len(self.letters)

    def value(self, node: Display) -> Many:
        """The polynomial of an expression."""
        match node:
            case Numeral(hole, text):
                if hole < 0 and not text.isdigit():
                    raise Beyond
                code = (text.lstrip("0") or "0") if hole < 0 else f"n[{hole}]"
                return Many({} if code == "0" else {self.one: code})
            case Letter(name):
                if name not in self.letters:
                    raise Beyond
                return Many({tuple(int(letter == name) for letter in self.letters): "1"})
            case Terms(terms):
                total = Many({})
                for sign, term in terms:
                    if sign == "±":
                        raise Beyond
                    value = self.value(term)
                    total = added(total, negative(value) if sign == "-" else value)
                return total
            case Factors(factors):
                product = Many({self.one: "1"})
                for factor in factors:
                    product = multiplied(product, self.value(factor))
                return product
            case Over(numerator, denominator):
                above, below = self.value(numerator), self.value(denominator)
                if set(below.terms) != {self.one}:
                    raise Beyond
                self.guards.append(f"{below.terms[self.one]} == 0")
                scaled = {m: times(c, below.d) for m, c in above.terms.items()}
                return Many(scaled, times(above.d, below.terms[self.one]))
            case Raised(base, Numeral(-1, text)) if text in {"2", "3"}:
                inner = self.value(base)
                result = inner
                for _ in range(int(text) - 1):
                    result = multiplied(result, inner)
                return result
            case Bracket(inner):
                return self.value(inner)
            case Applied("discriminant", (argument,)) if _is_named(argument, self.main_letter):
                return self._discriminant(argument)
            case _:
                raise Beyond

    def _discriminant(self, argument: Display) -> Many:
        inner = ManyReader((*self.letters, self.main_letter))
        value = inner._sides(argument) if isinstance(argument, Compared) else inner.value(argument)
        if value.d != "1":
            raise Beyond
        self.guards.extend(inner.guards)
        powers: dict[int, Codes] = {}
        for monomial, code in value.terms.items():
            powers.setdefault(monomial[-1], {})[monomial[:-1]] = code
        if any(power > 2 for power in powers):
            raise Beyond
        a, b, c = (Many(powers.get(power, {})) for power in (2, 1, 0))
        return added(multiplied(b, b), negative(multiplied(Many({self.one: "4"}), multiplied(a, c))))

    def difference(self, node: Display) -> Codes:
        """left - right of one equation, up to a factor that is not 0."""
        return self._sides(node).terms

    def _sides(self, node: Display) -> Many:
        if not isinstance(node, Compared) or node.signs != ("=",):
            raise Beyond
        left, right = (self.value(operand) for operand in node.operands)
        return added(left, negative(right))


def _is_named(node: Display, letter: str) -> bool:
    """Whether a letter is shown anywhere."""
    if isinstance(node, Letter):
        return node.name == letter
    return any(_is_named(part, letter) for part in parts(node))


def negative(value: Many) -> Many:
    """-value."""
    return Many({m: minus(c) for m, c in value.terms.items()}, value.d)


def added(first: Many, second: Many) -> Many:
    """first + second."""
    if first.d == second.d:
        ups, downs, d = first.terms, second.terms, first.d
    else:
        ups = {m: times(c, second.d) for m, c in first.terms.items()}
        downs = {m: times(c, first.d) for m, c in second.terms.items()}
        d = times(first.d, second.d)
    total = dict(ups)
    for monomial, code in downs.items():
        total[monomial] = plus(total.get(monomial, "0"), code)
    return Many({m: c for m, c in total.items() if c != "0"}, d)


def multiplied(first: Many, second: Many) -> Many:
    """first * second."""
    total: Codes = {}
    for m1, c1 in first.terms.items():
        for m2, c2 in second.terms.items():
            monomial = tuple(a + b for a, b in zip(m1, m2, strict=True))
            total[monomial] = plus(total.get(monomial, "0"), times(c1, c2))
    if len(total) > 40:
        raise Beyond
    return Many({m: c for m, c in total.items() if c != "0"}, times(first.d, second.d))
