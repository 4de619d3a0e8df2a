"""Laid-out mathematics in one line of text: `plain` (the language's own, parses back) and `terminal`.

A line needs brackets where paper has a fraction bar or a raised exponent; they are added here, from the same
precedence table as the layout's own.
"""

from __future__ import annotations

import re
from functools import cache

from itembank.expressions import display
from itembank.expressions.conventions import USUAL, Conventions
from itembank.expressions.display import Display, Maths, Pattern, Shape, hole_mark
from itembank.expressions.precedence import ATOM, POWER, PRODUCT, strength
from itembank.expressions.vocabulary import INVERSES, LEFT_OUT, NAMED_LETTERS, stem_and_index

_RAISED = str.maketrans("0123456789-−", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁻")
_LOWERED = dict(zip("0123456789+-aehijklmnoprstuvx", "₀₁₂₃₄₅₆₇₈₉₊₋ₐₑₕᵢⱼₖₗₘₙₒₚᵣₛₜᵤᵥₓ", strict=True))
_TERMINAL_SIGNS = {"!=": "≠", "<=": "≤", ">=": "≥"}


def plain(maths: Maths) -> str:
    """The language's own spelling: `x^2 - 8*x + 3 = 0`; it parses back to the same meaning."""
    return _pattern(maths.shape, None).fill(maths.numbers)


def letter(name: str) -> str:
    """A letter as people read it. Some letters have no character that stands low.

    >>> letter("x_1"), letter("theta"), letter("u_n"), letter("u_(n+1)"), letter("u_b"), letter("u_(b-1)")
    ('x₁', 'θ', 'uₙ', 'uₙ₊₁', 'u_b', 'u_(b−1)')
    """
    stem, pieces = stem_and_index(name)
    index = "".join(pieces)
    shown = NAMED_LETTERS.get(stem, stem)
    if all(character in _LOWERED for character in index):
        return shown + "".join(_LOWERED[character] for character in index)
    return f"{shown}_{index}" if len(pieces) == 1 else f"{shown}_({index})".replace("-", "−")


def terminal(maths: Maths, conventions: Conventions = USUAL) -> str:
    """For people at a terminal: `x² − 8x + 3 = 0`, `4 ± √13`; its words and marks are those of a language."""
    numbers = maths.numbers
    if conventions.point != ".":
        numbers = tuple(str(number).replace(".", conventions.point) for number in numbers)  # type: ignore[misc]
    return _EXPONENT.sub(_lifted, _pattern(maths.shape, conventions).fill(numbers))


# An exponent that is not known before its hole is filled stands between these until then.
_EXPONENT = re.compile("\x03([^\x04]*)\x04")


def _lifted(found: re.Match[str]) -> str:
    digits = found[1]
    if digits.removeprefix("−").isdecimal():
        return digits.translate(_RAISED)
    return f"^({digits})" if "/" in digits else f"^{digits}"


@cache
def _pattern(shape: Shape, conventions: Conventions | None) -> Pattern:
    """conventions: of the spelling for people, None for the language's own."""
    return Pattern((_Plain() if conventions is None else _Terminal(conventions)).read(shape.display))


def marked(node: Display, style: str) -> str:
    """The text with hole marks; style is `plain` or `terminal`."""
    return (_Plain() if style == "plain" else _Terminal(USUAL)).read(node)


class _Line:
    """What both spellings share; the names of signs and the spelling of a few nodes are theirs."""

    minus = "-"
    pair = ","
    lists = False

    def read(self, node: Display) -> str:
        match node:
            case display.Numeral(hole, text):
                return self.numeral(text) if hole < 0 else hole_mark(hole)
            case display.Letter(name):
                return self.letter(name)
            case display.Terms(terms):
                return "".join(self._term(index, sign, term) for index, (sign, term) in enumerate(terms))
            case display.Factors(factors, crosses):
                return self.product(factors, crosses)
            case display.Over(numerator, denominator):
                return f"{self.numerator(numerator)}/{self.at(denominator, POWER)}"
            case display.Raised(base, exponent):
                return self.raised(base, exponent)
            case display.Root(radicand, index):
                return self.root(radicand, index)
            case display.Bracket(inner):
                return f"({self.read(inner)})"
            case display.Bars(inner):
                return self.bars(inner)
            case display.Applied(name, arguments):
                return f"{self.function(name)}({f'{self.pair} '.join(self.read(argument) for argument in arguments)})"
            case display.Pair(first, second):
                return f"({self.read(first)}{self.pair} {self.read(second)})"
            case display.Compared(operands, signs):
                tail = (
                    f" {self.sign(s)} {self.read(part)}" for s, part in zip(signs, operands[1:], strict=True)
                )
                return self.read(operands[0]) + "".join(tail)
            case display.Joined(_, _, listed=True) if self.lists:
                first, values = display.in_a_list(node)
                return f"{self.pair} ".join(map(self.read, (first, *values)))
            case display.Joined(word, statements):
                tail = (f" {self.word(word, part)} {self.read(part)}" for part in statements[1:])
                return self.read(statements[0]) + "".join(tail)
            case display.Nothing():
                return self.nothing()

    def _term(self, index: int, sign: str, term: Display) -> str:
        shown = self.minus if sign == "-" else sign
        if index == 0:
            return self.read(term) if sign == "+" else f"{shown}{self.read(term)}"
        return f" {shown} {self.read(term)}"

    def at(self, node: Display, needed: int) -> str:
        """The text of a node, in brackets where it binds less strongly than its place in the line asks."""
        return self.read(node) if strength(node) >= needed else f"({self.read(node)})"

    def numerator(self, node: Display) -> str:
        return f"({self.read(node)})" if isinstance(node, display.Over) else self.at(node, PRODUCT)

    def raised(self, base: Display, exponent: Display) -> str:
        simple = isinstance(exponent, display.Numeral | display.Letter | display.Bracket)
        return f"{self.at(base, ATOM)}^{self.read(exponent) if simple else f'({self.read(exponent)})'}"

    def numeral(self, text: str) -> str:
        return text

    def letter(self, name: str) -> str:
        return name

    def function(self, name: str) -> str:
        return name

    def sign(self, sign: str) -> str:
        return sign

    def word(self, word: str, statement: Display) -> str:
        return word

    def bars(self, inner: Display) -> str:
        raise NotImplementedError

    def root(self, radicand: Display, index: str) -> str:
        raise NotImplementedError

    def product(self, factors: tuple[Display, ...], crosses: tuple[bool, ...]) -> str:
        raise NotImplementedError

    def nothing(self) -> str:
        raise NotImplementedError


class _Plain(_Line):
    def product(self, factors: tuple[Display, ...], crosses: tuple[bool, ...]) -> str:
        first, *rest = factors
        others = (f"({self.read(f)})" if isinstance(f, display.Over) else self.at(f, PRODUCT) for f in rest)
        return "*".join((self.at(first, PRODUCT), *others))

    def root(self, radicand: Display, index: str) -> str:
        return f"root({self.read(radicand)}, {index})" if index else f"sqrt({self.read(radicand)})"

    def letter(self, name: str) -> str:
        return "..." if name == LEFT_OUT else name

    def bars(self, inner: Display) -> str:
        return f"abs({self.read(inner)})"

    def nothing(self) -> str:
        return "none"


class _Terminal(_Line):
    minus = "−"
    lists = True

    def __init__(self, conventions: Conventions) -> None:
        self.conventions = conventions
        self.pair = conventions.pair

    def numeral(self, text: str) -> str:
        return text.replace(".", self.conventions.point)

    def letter(self, name: str) -> str:
        return letter(name)

    def function(self, name: str) -> str:
        return f"{INVERSES[name]}⁻¹" if name in INVERSES else self.conventions.function(name)

    def word(self, word: str, statement: Display) -> str:
        return self.conventions.between(word, statement)

    def sign(self, sign: str) -> str:
        return _TERMINAL_SIGNS.get(sign, sign)

    def numerator(self, node: Display) -> str:
        if isinstance(node, display.Factors) and any(node.crosses):
            return f"({self.read(node)})"
        return super().numerator(node)

    def product(self, factors: tuple[Display, ...], crosses: tuple[bool, ...]) -> str:
        text = self._factor(factors[0])
        for before, crossed, factor in zip(factors, crosses, factors[1:], strict=False):
            seen = crossed or isinstance(before, display.Root)  # a root has no bar here that shows its end
            text += (f" {self.conventions.times} " if seen else "") + self._factor(factor)
        return text

    def _factor(self, factor: Display) -> str:
        return f"({self.read(factor)})" if isinstance(factor, display.Over) else self.at(factor, PRODUCT)

    def raised(self, base: Display, exponent: Display) -> str:
        match exponent:
            case display.Numeral(-1, text) | display.Terms((("-", display.Numeral(-1, text)),)) if (
                text.isdecimal()
            ):
                return self.at(base, ATOM) + self.read(exponent).translate(_RAISED)
            case display.Numeral(hole) | display.Terms((("-", display.Numeral(hole)),)) if hole >= 0:
                return f"{self.at(base, ATOM)}\x03{self.read(exponent)}\x04"
            case _:
                return super().raised(base, exponent)

    def root(self, radicand: Display, index: str) -> str:
        simple = isinstance(radicand, display.Numeral | display.Letter | display.Bracket)
        inner = self.read(radicand)
        return f"{index.translate(_RAISED)}√{inner if simple else f'({inner})'}"

    def bars(self, inner: Display) -> str:
        return f"|{self.read(inner)}|"

    def nothing(self) -> str:
        return self.conventions.nothing
