"""What is spoken of a formula, heard as a listener hears it, to the same tree as what is shown.

Words alone decide. Each opening (`the fraction`, `the square root of`, `open bracket`) is closed by words of its own,
so the reader never goes back; what it does not know it refuses.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache

from itembank.audit import formula
from itembank.audit.findings import Unread
from itembank.audit.formula import Node
from itembank.audit.mathml_tokens import DEPTH
from itembank.audit.spoken_words import SPOKEN, Spoken
from itembank.audit.tongues import ENGLISH, Tongue

__all__ = ["read_speech"]


@lru_cache(maxsize=4096)
def read_speech(text: str, words: Tongue = ENGLISH) -> Node:
    """What a sentence says. words: of its language. Raises Unread for words the audit does not know.

    >>> read_speech("x squared minus 2") == formula.sum_of([
    ...     ("+", formula.Power(formula.Letter("x"), formula.Numeral("2"))), ("-", formula.Numeral("2"))])
    True
    """
    listener = _Listener(text.replace(",", " ,").split(), SPOKEN[words.name], words.mark)
    node = listener.statement()
    if listener.next():
        raise Unread(f"the word {listener.next()!r} follows where the spoken formula should end")
    return node


class _Listener:
    def __init__(self, words: list[str], said: Spoken, mark: str) -> None:
        self._words = words
        self._said = said
        self._point = said.decimal[mark]
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
        while self._hears(",", self._said.either) or self._hears(self._said.either):
            parts.append(self._conjunction())
        return formula.any_of(_all_statements(parts))

    def _conjunction(self) -> Node:
        parts = [self._relation()]
        while self._hears(self._said.both):
            parts.append(self._relation())
        return formula.all_of(_all_statements(parts))

    def _relation(self) -> Node:
        if self._hears(*self._said.nothing):
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
        lead = () if first else self._said.chained
        return next((sign for words, sign in self._said.relations if self._hears(*lead, *words)), "")

    # expressions

    def _sum(self) -> Node:
        lead = next((sign for words, sign in self._said.leading if self._hears(*words)), "+")
        terms = [(lead, self._product())]
        while sign := next((sign for words, sign in self._said.between if self._hears(*words)), ""):
            terms.append((sign, self._product()))
        return formula.sum_of(terms)

    def _product(self) -> Node:
        factors = [self._power()]
        while self._hears(self._said.times) or not (
            self.next() in self._said.no_factor or self.next().isdecimal() or self._closes()
        ):
            factors.append(self._power())
        return formula.product_of(factors)

    def _closes(self) -> bool:
        """Whether a bracket closes here: in German a word begins both of its ends."""
        end = self._said.bracket[1]
        return tuple(self._words[self._at : self._at + len(end)]) == end

    def _power(self) -> Node:
        node = self._operand()
        opening, end = self._said.power
        while True:
            if digits := next((digits for words, digits in self._said.powers if self._hears(*words)), ""):
                node = formula.Power(node, formula.Numeral(digits))
            elif self._hears(*opening):
                node = formula.Power(node, self._within(self._sum, *end))
            else:
                return node

    def _operand(self) -> Node:
        said = self._said
        if self.next().isdecimal():
            return formula.Numeral(self._numeral())
        if self._hears(*said.point[0]):
            first = self._within(self._sum, *said.point[1])
            return formula.Point(first, self._within(self._sum, *said.point[2]))
        if self._hears(*said.bracket[0]):
            return self._within(self.statement, *said.bracket[1])
        announced = self.next() if self.next() in said.articles else ""
        self._at += bool(announced)
        if self._hears(*said.fraction[0]):
            above = self._within(self._sum, *said.fraction[1])
            return formula.Quotient(above, self._within(self._sum, *said.fraction[2]))
        for words, index in said.roots.items():
            if self._hears(*words):
                return formula.Root(self._within(self._sum, *said.root_end), index)
        if self._hears(*said.bars[0]):
            return formula.Absolute(self._within(self._sum, *said.bars[1]))
        for words, name in said.functions.items():
            if self._hears(*words):
                return self._applied(name)
        if announced:
            raise Unread(f"{announced} {self.next()!r} is not known in a spoken formula")
        return formula.Letter(self._letter())

    def _applied(self, name: str) -> Node:
        opening, end = self._said.bracket
        self._must_hear(*opening)
        arguments = [self._relation()]
        while self._hears(*self._said.argument):
            arguments.append(self._relation())
        self._must_hear(*end)
        return formula.Apply(name, tuple(arguments))

    def _numeral(self) -> str:
        whole = self._take()
        # where a point is spoken, `punto y coma` may follow a number too
        is_mark = self._said.argument[0] != self._point or self.next(1).isdecimal()
        if self.next() != self._point or not is_mark:
            return whole
        self._at += 1
        places = ""
        while len(self.next()) == 1 and self.next().isdecimal():
            places += self._take()
        if not places:
            raise Unread("no decimal places follow the spoken point")
        return f"{whole}.{places}"

    def _letter(self) -> str:
        opening, end = self._said.spelt
        if self._hears(*opening):
            letters = []
            while not self._hears(*end):
                letters.append(self._cased())
            name = "".join(letters)
        else:
            name = self._cased()
        if not self._hears(self._said.below):
            return name
        opening, closing = self._said.bracket
        if self._hears(*opening):
            return f"{name}_({self._general()}{self._step(*closing)})"
        digits = ""
        while self.next().isdecimal():
            digits += self._take()
        return f"{name}_{digits or self._general()}"

    def _general(self) -> str:
        """The index of a general term."""
        index = self._cased()
        if not re.fullmatch("[a-z]", index):
            raise Unread("no index follows the spoken `sub`")
        return index

    def _step(self, *closing: str) -> str:
        sign = next((sign for words, sign in self._said.between if self._hears(*words)), "")
        step = self._take()
        if sign not in {"+", "-"} or not re.fullmatch("[1-9]", step) or not self._hears(*closing):
            raise Unread("no sign and digit stand in the brackets after the spoken `sub`")
        return sign + step

    def _cased(self) -> str:
        said = self._said
        capital = not said.capital_follows and self._hears(said.capital)
        word = (
            next((letter for words, letter in said.letters.items() if self._hears(*words)), "")
            or self._take()
        )
        capital |= said.capital_follows and self._hears(said.capital)
        name = said.greek.get(word, word)
        is_known = word in said.greek or (word.isascii() and word.isalpha())
        if not is_known or (capital and len(name) > 1):
            raise Unread(f"{word!r} is no letter and no word known in a spoken formula")
        return name.upper() if capital else name


def _all_statements(parts: list[Node]) -> list[Node]:
    if len(parts) > 1 and not all(formula.is_statement(part) for part in parts):
        raise Unread("a spoken word joins what is no statement")
    return parts
