"""Formulas in one line of plain text, as the words in place of a picture hold them: `−4 − √3`, `(x + 1)(x − 11)`.

Only what pictures are labelled with is read: whole numbers and decimals, letters, sums, products written side by side,
quotients, squares and other raised numbers, square roots, brackets. Everything else raises CannotTell.
"""

from __future__ import annotations

import re
from typing import Final

from itembank.audit import formula, polynomials, ratios
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Node
from itembank.audit.letters import letter_in_words
from itembank.audit.numbers import Number, divide

__all__ = ["read_number", "read_text"]

_TOKEN: Final = re.compile(
    r"\s*(?:(?P<number>[0-9]+(?:[.,][0-9]+)?)|(?P<raised>[⁰¹²³⁴⁵⁶⁷⁸⁹]+)|(?P<letter>[^\W\d_])|(?P<sign>[−+/·×()√-]))"
)
_RAISED: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
_MOST: Final = 200


def read_text(text: str, letter: str = "") -> Node:
    """The formula a text is. letter: one that it may have, as it is written there, such as `x₁`.

    Raises CannotTell for what is none of this kind.
    """
    reader = _Reader(text, letter)
    found = reader.sum()
    if reader.kind:
        raise CannotTell(f"{text!r} cannot be read as a formula")
    return found


def read_number(text: str) -> Number:
    """The number a text is. Raises CannotTell.

    >>> read_number("−3/4")
    Fraction(-3, 4)
    """
    (found, *_) = ratios.expression(read_text(text))
    above, below = polynomials.constant(found.above), polynomials.constant(found.below)
    if above is None or below is None:
        raise CannotTell(f"{text!r} is no number")
    return divide(above, below)


class _Reader:
    """kind, text: of the token that is next, "" at the end."""

    def __init__(self, text: str, letter: str) -> None:
        self._letter = re.compile(rf"\s*{re.escape(letter)}") if letter else None
        if len(text) > _MOST:
            raise CannotTell("the text is too long for a formula")
        self._whole, self._at, self._depth = text.strip(), 0, 0
        self.kind = self.text = ""
        self._next()

    def _next(self) -> str:
        before = self.text
        if self._at == len(self._whole):
            self.kind = self.text = ""
            return before
        named = self._letter.match(self._whole, self._at) if self._letter else None
        if named:
            self._at, self.kind, self.text = named.end(), "letter", letter_in_words(named[0].strip())
            return before
        found = _TOKEN.match(self._whole, self._at)
        if found is None:
            raise CannotTell(f"{self._whole!r} cannot be read as a formula")
        self._at = found.end()
        self.kind = found.lastgroup or ""
        self.text = found[self.kind].replace("−", "-").replace(",", ".")
        return before

    def sum(self) -> Node:
        """A sum, or one term."""
        self._depth += 1
        if self._depth > 20:
            raise CannotTell("brackets are nested too deeply")
        terms = [(self._next() if self.text in {"-", "+"} else "+", self._quotient())]
        while self.text in {"-", "+"}:
            terms.append((self._next(), self._quotient()))
        self._depth -= 1
        return formula.sum_of(terms)

    def _quotient(self) -> Node:
        found = self._product()
        while self.text == "/":
            self._next()
            found = formula.Quotient(found, self._power())
        return found

    def _product(self) -> Node:
        factors = [self._power()]
        while self.kind in {"number", "letter"} or self.text in {"(", "√", "·", "×"}:
            if self.text in {"·", "×"}:
                self._next()
            factors.append(self._power())
        return formula.product_of(factors)

    def _power(self) -> Node:
        base = self._single()
        if self.kind == "raised":
            return formula.Power(base, formula.Numeral(self._next().translate(_RAISED)))
        return base

    def _single(self) -> Node:
        if self.kind == "number":
            return formula.Numeral(self._next())
        if self.kind == "letter":
            return formula.Letter(self._next())
        if self.text == "√":
            self._next()
            return formula.Root(self._single())
        if self.text != "(":
            raise CannotTell(f"{self._whole!r} cannot be read as a formula")
        self._next()
        found = self.sum()
        if self.text != ")":
            raise CannotTell(f"{self._whole!r} cannot be read as a formula")
        self._next()
        return found
