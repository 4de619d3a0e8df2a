"""What is spoken of a formula, heard as a listener hears it, to the same tree as what is shown.

Words alone decide. Each opening (`the fraction`, `the square root of`, `open bracket`) is closed by words of its own,
so the reader never goes back; what it does not know it refuses.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Final

from itembank.audit import formula
from itembank.audit.findings import Unread
from itembank.audit.formula import Node
from itembank.audit.mathml_tokens import DEPTH

__all__ = ["read_speech"]

_RELATIONS: Final = (
    ("equals", "="), ("is not equal to", "≠"), ("is less than or equal to", "≤"), ("is less than", "<"),
    ("is greater than or equal to", "≥"), ("is greater than", ">"), ("is approximately equal to", "≈"),
)  # fmt: skip
_RELATION_WORDS: Final = tuple((tuple(said.split()), sign) for said, sign in _RELATIONS)
_ROOTS: Final = {
    "square": 2, "cube": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9,
}  # fmt: skip
_FUNCTIONS: Final = {
    ("discriminant", "of"): "discriminant", ("greatest", "common", "divisor", "of"): "gcd",
    ("least", "common", "multiple", "of"): "lcm", ("minimum", "of"): "min", ("maximum", "of"): "max",
}  # fmt: skip
_GREEK: Final = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "theta": "θ", "lambda": "λ", "mu": "μ",
    "pi": "π", "rho": "ρ", "sigma": "σ", "tau": "τ", "phi": "φ", "omega": "ω",
}  # fmt: skip
# After these no factor begins: a sign, a relation, a joining word, an end.
_NO_FACTOR: Final = frozenset(
    {"plus", "minus", "times", "over", "end", "close", "comma", "equals", "is", "which", "and", "or", ",", ""}
)


@lru_cache(maxsize=4096)
def read_speech(text: str) -> Node:
    """What a sentence says. Raises Unread for words the audit does not know.

    >>> read_speech("x squared minus 2") == formula.sum_of([
    ...     ("+", formula.Power(formula.Letter("x"), formula.Numeral("2"))), ("-", formula.Numeral("2"))])
    True
    """
    listener = _Listener(text.replace(",", " ,").split())
    node = listener.statement()
    if listener.next():
        raise Unread(f"the word {listener.next()!r} follows where the spoken formula should end")
    return node


class _Listener:
    def __init__(self, words: list[str]) -> None:
        self._words = words
        self._at = 0
        self._depth = 0

    def next(self, ahead: int = 0) -> str:
        at = self._at + ahead
        return self._words[at] if at < len(self._words) else ""

    def _take(self) -> str:
        word = self.next()
        self._at += 1
        return word

    def _hears(self, *words: str) -> bool:
        if self._words[self._at : self._at + len(words)] != list(words):
            return False
        self._at += len(words)
        return True

    def _must_hear(self, *words: str) -> None:
        if not self._hears(*words):
            raise Unread(f"{' '.join(words)!r} is missing before {self.next()!r} in the spoken formula")

    def _within(self, read: Callable[[], Node], *end: str) -> Node:
        """What stands up to its spoken end."""
        self._depth += 1
        if self._depth > DEPTH:
            raise Unread("the spoken formula is nested too deeply")
        node = read()
        self._must_hear(*end)
        self._depth -= 1
        return node

    # statements

    def statement(self) -> Node:
        """Statements joined by `or`, or one of them, or an expression."""
        parts = [self._conjunction()]
        while self._hears(",", "or") or self._hears("or"):
            parts.append(self._conjunction())
        return formula.any_of(_all_statements(parts))

    def _conjunction(self) -> Node:
        parts = [self._relation()]
        while self._hears("and"):
            parts.append(self._relation())
        return formula.all_of(_all_statements(parts))

    def _relation(self) -> Node:
        if self._hears("no", "real", "solution"):
            return formula.Nothing()
        operands = [self._sum()]
        signs: list[str] = []
        while sign := self._sign(first=not signs):
            signs.append(sign)
            operands.append(self._sum())
        if not signs:
            return operands[0]
        return formula.all_of(
            formula.Relation(left, sign, right)
            for left, sign, right in zip(operands, signs, operands[1:], strict=False)
        )

    def _sign(self, *, first: bool) -> str:
        lead = () if first else ("which",)
        if self.next() not in {"equals", "is", "which"}:
            return ""
        return next((sign for words, sign in _RELATION_WORDS if self._hears(*lead, *words)), "")

    # expressions

    def _sum(self) -> Node:
        sign = "-" if self._hears("negative") else "±" if self._hears("plus", "or", "minus") else "+"
        terms = [(sign, self._product())]
        while sign := self._between():
            terms.append((sign, self._product()))
        return formula.sum_of(terms)

    def _between(self) -> str:
        if self._hears("plus", "or", "minus"):
            return "±"
        return "+" if self._hears("plus") else "-" if self._hears("minus") else ""

    def _product(self) -> Node:
        factors = [self._power()]
        while self._hears("times") or not (self.next() in _NO_FACTOR or self.next().isdecimal()):
            factors.append(self._power())
        return formula.product_of(factors)

    def _power(self) -> Node:
        node = self._operand()
        while True:
            if self._hears("squared"):
                node = formula.Power(node, formula.Numeral("2"))
            elif self._hears("cubed"):
                node = formula.Power(node, formula.Numeral("3"))
            elif self._hears("to", "the", "power"):
                node = formula.Power(node, self._within(self._sum, "end", "power"))
            else:
                return node

    def _operand(self) -> Node:
        if self.next().isdecimal():
            return formula.Numeral(self._numeral())
        if self._hears("the", "point"):
            first = self._within(self._sum, "comma")
            return formula.Point(first, self._within(self._sum, "end", "point"))
        if self._hears("open", "bracket"):
            return self._within(self.statement, "close", "bracket")
        announced = self._hears("the")
        if self._hears("fraction"):
            above = self._within(self._sum, "over")
            return formula.Quotient(above, self._within(self._sum, "end", "fraction"))
        if self.next() in _ROOTS and self.next(1) == "root":
            index = _ROOTS[self._take()]
            self._must_hear("root", "of")
            return formula.Root(self._within(self._sum, "end", "root"), index)
        if self._hears("absolute", "value", "of"):
            return formula.Absolute(self._within(self._sum, "end", "absolute", "value"))
        for words, name in _FUNCTIONS.items():
            if self._hears(*words):
                return self._applied(name)
        if announced:
            raise Unread(f"the {self.next()!r} is not known in a spoken formula")
        return formula.Letter(self._letter())

    def _applied(self, name: str) -> Node:
        self._must_hear("open", "bracket")
        arguments = [self._relation()]
        while self._hears("comma"):
            arguments.append(self._relation())
        self._must_hear("close", "bracket")
        return formula.Apply(name, tuple(arguments))

    def _numeral(self) -> str:
        whole = self._take()
        if not self._hears("point"):
            return whole
        places = ""
        while len(self.next()) == 1 and self.next().isdecimal():
            places += self._take()
        if not places:
            raise Unread("no decimal places follow the spoken point")
        return f"{whole}.{places}"

    def _letter(self) -> str:
        if self._hears("name"):
            letters = []
            while not self._hears("end", "name"):
                letters.append(self._cased())
            name = "".join(letters)
        else:
            name = self._cased()
        if not self._hears("sub"):
            return name
        digits = ""
        while self.next().isdecimal():
            digits += self._take()
        if not digits:
            raise Unread("no index follows the spoken `sub`")
        return f"{name}_{digits}"

    def _cased(self) -> str:
        capital = self._hears("capital")
        word = self._take()
        if not (word.isascii() and word.isalpha()) or (capital and len(word) > 1):
            raise Unread(f"{word!r} is no letter and no word known in a spoken formula")
        return word.upper() if capital else _GREEK.get(word, word)


def _all_statements(parts: list[Node]) -> list[Node]:
    if len(parts) > 1 and not all(formula.is_statement(part) for part in parts):
        raise Unread("a spoken word joins what is no statement")
    return parts
