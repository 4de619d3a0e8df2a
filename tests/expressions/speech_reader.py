"""A reader of spoken mathematics, written for the tests: what was heard, back to the tree that was displayed.

It shares no code with the package but the data types of displayed trees. It looks one word ahead (two for the words
that begin alike), never goes back, and refuses (ValueError) what it does not know: so every sentence it takes has one
reading.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from itembank.expressions import display
from itembank.expressions.display import Display, Maths, Numeral
from tests.expressions.readers import GREEK

_RELATIONS = {
    "is approximately equal to": "≈",
    "is greater than or equal to": ">=",
    "is greater than": ">",
    "is less than or equal to": "<=",
    "is less than": "<",
    "is not equal to": "!=",
    "equals": "=",
}
_ORDINALS = ("square", "cube", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
_FUNCTIONS = {
    "discriminant of": "discriminant",
    "greatest common divisor of": "gcd",
    "least common multiple of": "lcm",
    "minimum of": "min",
    "maximum of": "max",
    "remainder of": "mod",
    "rounded value of": "round",
    "numerator of": "numerator",
    "denominator of": "denominator",
}


def read_speech(text: str) -> Display:
    """The displayed tree of a sentence; holes are filled."""
    heard = _Listener(text.replace(",", " ,").split())
    tree = heard.statement()
    if heard.words:
        raise ValueError(f"left over: {heard.words}")
    return tree


def filled(maths: Maths) -> Display:
    """The displayed tree with its numbers in it: what `read_speech` must give."""

    def fill(node: Display) -> Display:
        match node:
            case Numeral(hole) if hole >= 0:
                return Numeral(text=str(maths.numbers[hole]))
            case display.Terms(terms):
                return display.Terms(tuple((sign, fill(term)) for sign, term in terms))
            case display.Factors(factors, crosses):
                return display.Factors(tuple(map(fill, factors)), crosses)
            case display.Over(above, below):
                return display.Over(fill(above), fill(below))
            case display.Raised(base, exponent):
                return display.Raised(fill(base), fill(exponent))
            case display.Root(radicand, index):
                return display.Root(fill(radicand), index)
            case display.Bracket(inner):
                return display.Bracket(fill(inner))
            case display.Bars(inner):
                return display.Bars(fill(inner))
            case display.Applied(name, arguments):
                return display.Applied(name, tuple(map(fill, arguments)))
            case display.Pair(first, second):
                return display.Pair(fill(first), fill(second))
            case display.Compared(operands, signs):
                return display.Compared(tuple(map(fill, operands)), signs)
            case display.Joined(word, parts):
                return display.Joined(word, tuple(map(fill, parts)))
            case _:
                return node

    return fill(maths.shape.display)


class _Listener:
    def __init__(self, words: list[str]) -> None:
        self.words = words

    def hears(self, phrase: str) -> bool:
        """Whether these words come next; takes them if so."""
        wanted = phrase.split()
        if self.words[: len(wanted)] != wanted:
            return False
        del self.words[: len(wanted)]
        return True

    def must_hear(self, phrase: str) -> None:
        if not self.hears(phrase):
            raise ValueError(f"expected {phrase!r} before {self.words}")

    def coming(self, phrase: str) -> bool:
        wanted = phrase.split()
        return self.words[: len(wanted)] == wanted

    def statement(self) -> Display:
        """Pauses part an `or` of longer statements from the `and` within them."""
        parts = [self.conjunction()]
        while self.hears(", or") or (not self.coming("or minus") and self.hears("or")):
            parts.append(self.conjunction())
        return parts[0] if len(parts) == 1 else display.Joined("or", tuple(parts))

    def conjunction(self) -> Display:
        parts = [self.compared()]
        while self.hears("and"):
            parts.append(self.compared())
        return parts[0] if len(parts) == 1 else display.Joined("and", tuple(parts))

    def compared(self) -> Display:
        if self.hears("no real solution"):
            return display.Nothing()
        operands, signs = [self.terms()], []
        while sign := self.relation("which" if signs else ""):
            signs.append(sign)
            operands.append(self.terms())
        return display.Compared(tuple(operands), tuple(signs)) if signs else operands[0]

    def relation(self, lead: str) -> str:
        return next((sign for said, sign in _RELATIONS.items() if self.hears(f"{lead} {said}")), "")

    def terms(self) -> Display:
        lead = "±" if self.hears("plus or minus") else "-" if self.hears("negative") else "+"
        terms = [(lead, self.factors())]
        while True:
            sign = "±" if self.hears("plus or minus") else ""
            sign = sign or ("+" if self.hears("plus") else "-" if self.hears("minus") else "")
            if not sign:
                break
            terms.append((sign, self.factors()))
        return terms[0][1] if len(terms) == 1 and lead == "+" else display.Terms(tuple(terms))

    def factors(self) -> Display:
        factors, crosses = [self.raised()], []
        while True:
            if self.hears("times"):
                crosses.append(True)
            elif self.begins_a_factor():
                crosses.append(False)
            else:
                break
            factors.append(self.raised())
        return factors[0] if len(factors) == 1 else display.Factors(tuple(factors), tuple(crosses))

    def begins_a_factor(self) -> bool:
        if not self.words or self.words[0][0].isdigit():
            return False
        ends = "over end close comma and or plus minus equals is which ,".split()  # noqa: SIM905
        return self.words[0] not in ends

    def raised(self) -> Display:
        node = self.operand()
        while True:
            if self.hears("squared"):
                node = display.Raised(node, Numeral(text="2"))
            elif self.hears("cubed"):
                node = display.Raised(node, Numeral(text="3"))
            elif self.hears("to the power"):
                node = display.Raised(node, self.until(self.terms, "end power"))
            else:
                return node

    def until(self, read: Callable[[], Display], end: str) -> Display:
        node = read()
        self.must_hear(end)
        return node

    def operand(self) -> Display:
        if not self.words:
            raise ValueError("an operand is missing")
        if self.words[0].isdecimal():
            return Numeral(text=self.numeral())
        if self.hears("the point"):
            first = self.until(self.terms, "comma")
            return display.Pair(first, self.until(self.terms, "end point"))
        if self.hears("open bracket"):
            return display.Bracket(self.until(self.statement, "close bracket"))
        self.hears("the")
        if self.hears("fraction"):
            above = self.until(self.terms, "over")
            return display.Over(above, self.until(self.terms, "end fraction"))
        if self.hears("absolute value of"):
            return display.Bars(self.until(self.terms, "end absolute value"))
        for index, ordinal in enumerate(_ORDINALS, start=2):
            if self.hears(f"{ordinal} root of"):
                return display.Root(self.until(self.terms, "end root"), "" if index == 2 else str(index))
        if self.hears("root with index"):
            index_text = self.numeral()
            self.must_hear("of")
            return display.Root(self.until(self.terms, "end root"), index_text)
        return self.function() or display.Letter(self.letter())

    def numeral(self) -> str:
        digits = self.words.pop(0)
        if digits == "0" and self.words and self.words[0].isdecimal():  # an index such as 01
            while self.words and re.fullmatch("[0-9]", self.words[0]):
                digits += self.words.pop(0)
        if self.hears("point"):
            digits += "."
            while self.words and re.fullmatch("[0-9]", self.words[0]):
                digits += self.words.pop(0)
        if not re.fullmatch(r"[0-9]+(\.[0-9]+)?", digits):
            raise ValueError(f"no numeral: {digits!r}")
        return digits

    def function(self) -> Display | None:
        name = next((name for said, name in _FUNCTIONS.items() if self.hears(said)), "")
        if not name and self.hears("function"):
            words = []
            while not self.hears("of"):
                words.append(self.words.pop(0))
            name = "_".join(words)
        if not name:
            return None
        self.must_hear("open bracket")
        arguments = [self.statement()]
        while self.hears("comma"):
            arguments.append(self.statement())
        self.must_hear("close bracket")
        return display.Applied(name, tuple(arguments))

    def letter(self) -> str:
        if self.hears("name"):
            name = ""
            while not self.hears("end name"):
                name += self.cased()
        else:
            name = self.cased()
        if not self.hears("sub"):
            return name
        if self.hears("open bracket"):
            general, sign = self.cased(), "+" if self.hears("plus") else "-"
            if sign == "-":
                self.must_hear("minus")
            step = self.numeral()
            self.must_hear("close bracket")
            return f"{name}_({general}{sign}{step})"
        return f"{name}_{self.numeral() if self.words[0].isdecimal() else self.cased()}"

    def cased(self) -> str:
        capital = self.hears("capital")
        if not self.words or not re.fullmatch("[A-Za-z]+", self.words[0]):
            raise ValueError(f"no name at {self.words}")
        name = self.words.pop(0)
        if name == "dots":
            return "ldots"
        if capital and name.title() in GREEK:
            return name.title()
        if capital and len(name) > 1:
            raise ValueError(f"capital {name}")
        return name.upper() if capital else name
