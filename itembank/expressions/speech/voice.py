"""The mechanism of all spoken readings: a displayed tree and the words of a language become one line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from itembank.expressions import display
from itembank.expressions.display import Display, hole_mark
from itembank.expressions.speech.vocabulary import Enclosed, Vocabulary
from itembank.expressions.vocabulary import INVERSES, NAMED, NAMED_LETTERS, stem_and_index

__all__ = ["Voice"]

_SHORTEST_WORD: Final = 3


@dataclass(frozen=True, slots=True)
class Voice:
    """Reads with the words of a language. point: the decimal mark that is printed.

    line, exponent: hole n has the mark line + n, where it is an exponent exponent + n.
    """

    words: Vocabulary
    point: str
    line: int
    exponent: int

    def read(self, node: Display) -> str:
        """The words of a tree, with hole marks."""
        words = self.words
        match node:
            case display.Numeral(hole, text):
                return self.digits(text) if hole < 0 else hole_mark(self.line + hole)
            case display.Letter(name):
                return self._letter(name)
            case display.Terms(((sign, first), *rest)):
                tail = "".join(f" {words.between[between]} {self.read(term)}" for between, term in rest)
                lead = self._bare(first) if sign == "-" else self.read(first)
                return f"{words.leading[sign]}{lead}{tail}"
            case display.Factors((first, *rest), crosses):
                return self.read(first) + "".join(map(self._factor, crosses, rest))
            case display.Over(numerator, denominator):
                return self._enclosed(words.fraction, numerator, denominator)
            case display.Raised(base, exponent):
                return f"{self.read(base)} {self._exponent(exponent)}"
            case display.Root(radicand, index):
                opening = words.roots.get(index) or words.root_with.format(index=self.digits(index))
                return f"{opening} {self.read(radicand)} {words.root_end}"
            case display.Bracket(inner):
                return self._enclosed(words.bracket, inner)
            case display.Bars(inner):
                return self._enclosed(words.bars, inner)
            case display.Applied(name, arguments):
                held = f" {words.argument} ".join(self.read(argument) for argument in arguments)
                return f"{self._function(name)} {words.bracket.opening} {held} {words.bracket.closing}"
            case display.Pair(first, second):
                return self._enclosed(words.point, first, second)
            case display.Compared((first, *rest), signs):
                said = (self.read(first), *map(self._compared, range(len(rest)), signs, rest))
                return " ".join(said).strip()
            case display.Joined(word, parts):
                pause = words.pause if any(isinstance(part, display.Joined) for part in parts) else ""
                join = words.either if word == "or" else words.both
                return f"{pause} {join} ".join(self.read(part) for part in parts)
            case display.Nothing():
                return words.nothing
            case _:
                raise AssertionError(f"a display without words: {node!r}")

    def digits(self, text: str) -> str:
        """A numeral: 12 as it is, the places of a decimal digit by digit, a leading 0 of an index too."""
        whole, point, places = text.partition(".")
        if len(whole) > 1 and whole.startswith("0"):
            whole = " ".join(whole)
        return f"{whole} {self.words.decimal[self.point]} {' '.join(places)}" if point else whole

    def raised(self, exponent: str) -> str:
        """What is said of an exponent."""
        power = self.words.power
        return self.words.powers.get(exponent) or f"{power.opening} {exponent} {power.closing}"

    def _enclosed(self, around: Enclosed, *parts: Display) -> str:
        held = f" {around.between} ".join(map(self.read, parts))
        return f"{around.opening} {held} {around.closing}"

    def _factor(self, crossed: bool, factor: Display) -> str:
        return f" {self.words.times} {self.read(factor)}" if crossed else f" {self._bare(factor)}"

    def _bare(self, node: Display) -> str:
        """What follows a factor or a sign: `2 square root of 3`, where alone it were `the square root of 3`.

        A point keeps its article: after a number it would be heard as a decimal point.
        """
        said = self.read(node)
        if isinstance(node, display.Pair):
            return said
        return next((said.removeprefix(each) for each in self.words.articles if said.startswith(each)), said)

    def _exponent(self, exponent: Display) -> str:
        match exponent:
            case display.Numeral(hole) if hole >= 0:
                return hole_mark(self.exponent + hole)
            case _:
                return self.raised(self.read(exponent))

    def _compared(self, index: int, sign: str, operand: Display) -> str:
        return f"{self.words.chained if index else ''}{self.words.relations[sign]} {self.read(operand)}"

    def _function(self, name: str) -> str:
        if name in INVERSES:
            return self.words.named_inverse.format(name=INVERSES[name])
        if name in NAMED:
            return self.words.named_function.format(name=name)
        opening = self.words.functions.get(name)
        return opening or self.words.other_function.format(name=name.replace("_", " "))

    def _letter(self, name: str) -> str:
        stem, index = stem_and_index(name)
        if len(stem) == 1 or stem in NAMED_LETTERS:
            said = self._cased(stem)
        elif self._is_word(stem):
            said = self.words.letters.get(stem, stem)
        else:
            said = f"{self.words.spelt.opening} {' '.join(map(self._cased, stem))} {self.words.spelt.closing}"
        if not index:
            return said
        low = " ".join(map(self._low, index))
        if len(index) > 1:
            low = f"{self.words.bracket.opening} {low} {self.words.bracket.closing}"
        return f"{said} {self.words.below} {low}"

    def _low(self, piece: str) -> str:
        if piece.isdecimal():
            return self.digits(piece)
        return self.words.between.get(piece) or self._cased(piece)

    def _cased(self, letter: str) -> str:
        small = letter.lower()
        said = self.words.letters.get(small, small)
        return self.words.capital.format(letter=said) if letter[0].isupper() else said

    def _is_word(self, name: str) -> bool:
        """Whether a voice says a name as one word, and as no word of ours; any other is spelt."""
        sayable = len(name) >= _SHORTEST_WORD and name.islower() and not set("aeiouy").isdisjoint(name)
        return sayable and name not in self.words.own_words
