"""Typed inequalities: each listed statement is read, solved, and earns what its set of solutions deserves."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import gcd
from typing import Final

from itembank.audit import formula
from itembank.audit.cartridge_marking import check_nothing, run
from itembank.audit.cartridge_reader import Question
from itembank.audit.findings import Fault
from itembank.audit.formula import Letter, Node, Numeral, Quotient, Relation
from itembank.audit.part_view import PartView
from itembank.audit.tongues import ENGLISH, Tongue

__all__ = ["check_inequalities", "read_inequalities"]

_FULL: Final = Fraction(100)
_SIGNS: Final = {"<": "<", ">": ">", "<=": "≤", ">=": "≥"}
_TURNED: Final = {"<": ">", ">": "<", "≤": "≥", "≥": "≤"}
_LOOSER: Final = {"<": "≤", "≤": "<", ">": "≥", "≥": ">"}
_NUMBER: Final = re.compile(r"-?[0-9]{1,18}(?:/[0-9]{1,18})?\Z")


@dataclass(frozen=True, slots=True)
class _Ray:
    """unknown sign end; the end as text."""

    sign: str
    end: str

    def node(self, letter: str) -> Node:
        above, _, below = self.end.removeprefix("-").partition("/")
        size: Node = Quotient(Numeral(above), Numeral(below)) if below else Numeral(above)
        return Relation(
            Letter(letter), self.sign, formula.Sum((("-", size),)) if self.end[0] == "-" else size
        )


@dataclass(frozen=True, slots=True)
class _Typed:
    """Rays and what joins two of them; () for no real solution."""

    rays: tuple[_Ray, ...]
    join: str = ""

    def node(self, letter: str) -> Node:
        """The statement."""
        if not self.rays:
            return formula.Nothing()
        nodes = [ray.node(letter) for ray in self.rays]
        return formula.any_of(nodes) if self.join == "or" else formula.all_of(nodes)


def read_inequalities(text: str, letter: str, words: Tongue = ENGLISH) -> _Typed | None:
    """What a typed statement says; None for what says nothing plainly.

    >>> read_inequalities("-1<=X and x < 4", "x")
    _Typed(rays=(_Ray(sign='≥', end='-1'), _Ray(sign='<', end='4')), join='and')
    >>> read_inequalities("x < ", "x")
    """
    plain = " ".join(text.replace("−", "-").replace("≤", "<=").replace("≥", ">=").casefold().split())
    if plain in words.typed_nothing:
        return _Typed(())
    if (rays := _rays(plain, letter.casefold())) is not None:
        return _Typed(tuple(rays), "and" if len(rays) == 2 else "")
    for word, meaning in words.joins.items():
        # the letter may be the word: `y > 1 y y < 4`
        for found in re.finditer(f"(?= {word} )", plain):
            pieces = plain[: found.start()], plain[found.start() + len(word) + 2 :]
            both = [_rays(piece, letter.casefold()) or [] for piece in pieces]
            if all(len(each) == 1 for each in both):
                return _Typed((*both[0], *both[1]), meaning)
    return None


def _rays(piece: str, letter: str) -> list[_Ray] | None:
    """The rays of one comparison, or of a chain with the letter in its middle."""
    split = [each.strip() for each in re.split("(<=|>=|<|>)", piece)]
    terms, signs = split[::2], [_SIGNS[sign] for sign in split[1::2]]
    if terms.count(letter) != 1 or not all(term == letter or _NUMBER.match(term) for term in terms):
        return None
    if len(terms) == 2:
        return [_Ray(signs[0], terms[1])] if terms[0] == letter else [_Ray(_TURNED[signs[0]], terms[0])]
    if len(terms) == 3 and terms[1] == letter and signs[0].translate(_LOOSE) == signs[1].translate(_LOOSE):
        return [_Ray(_TURNED[signs[0]], terms[0]), _Ray(signs[1], terms[2])]
    return None


_LOOSE: Final = str.maketrans("≤≥", "<>")


def check_inequalities(question: Question, view: PartView) -> Iterator[Fault]:
    """Everything wrong with typed inequalities: what is listed, what it earns, what is missing from the list."""
    if len(view.part.unknowns) != 1 or view.boxes or view.choice:
        yield Fault("unclear-interaction", "inequalities are typed for one unknown", place=view.place)
        return
    (letter,) = view.part.unknowns
    known: dict[_Typed, bool] = {}

    def is_right(typed: _Typed) -> bool:
        if typed not in known:
            wanted = view.statement(view.part.key)
            known[typed] = view.mathematics.same_solutions(view.statement(typed.node(letter)), wanted)
        return known[typed]

    full: dict[_Typed, None] = {}
    for text in (text for rule in question.conditions for text in rule.equal):
        typed = read_inequalities(text, letter, question.words)
        if typed is None:
            yield Fault("unclear-entry", f"the listed answer {text!r} cannot be read", place=view.place)
            continue
        right = is_right(typed)
        if right:
            full[typed] = None
        yield from _earned(question, text, right, typed)
    if not full:
        yield Fault("no-key", "no listed answer is the key", place=view.place)
    for typed in full:
        yield from _missing(question, letter, typed)
        for other in _near(typed):
            score, _ = run(question, frozenset({_plain(letter, other, question.words)}))
            if score and not is_right(other):
                yield Fault("wrong-entry-earns", "a statement nearly right earns marks", place=view.place)
    yield from check_nothing(question)
    marks = sum(mark.worth for line in view.part.lines for mark in line.marks)
    if marks and marks != question.weight:
        message = f"the marks on the lines come to {marks}, the answer earns {question.weight}"
        yield Fault("marks-do-not-sum", message, place=view.place)


def _earned(question: Question, text: str, right: bool, typed: _Typed) -> Iterator[Fault]:
    score, shown = run(question, frozenset({text}))
    place = f"answer {text!r}"
    if right and score != _FULL:
        yield Fault("key-misses-maximum", "a right answer does not earn everything", place=place)
    if right and not all(map(_is_lowest, typed.rays)):
        yield Fault("unsimplified-mark", "an end that is not in lowest terms earns everything", place=place)
    if not right and score:
        yield Fault("wrong-entry-earns", "a wrong answer earns marks", place=place)
    if (shown != ("F0",)) if right else (not shown or "F0" in shown):
        yield Fault("wrong-feedback", "the answer is not told what it is", place=place)


def _is_lowest(ray: _Ray) -> bool:
    above, _, below = ray.end.removeprefix("-").partition("/")
    return not below or (int(below) > 1 and gcd(int(above), int(below)) == 1)


def _plain(letter: str, typed: _Typed, words: Tongue) -> str:
    shown = [f"{letter} {ray.sign} {ray.end}".replace("≤", "<=").replace("≥", ">=") for ray in typed.rays]
    if not shown:
        return words.typed_nothing[0]
    return f" {words.typed(typed.join)} ".join(shown) if typed.join else shown[0]


def _missing(question: Question, letter: str, typed: _Typed) -> Iterator[Fault]:
    """Either order, either side, blanks or none, either minus sign, `<=` or `≤`."""
    if not typed.rays:
        spelt = list(question.words.typed_nothing)
    else:
        turned = [_Typed(typed.rays[::-1], typed.join), typed]
        spelt = [_plain(letter, each, question.words) for each in turned]
        if len(typed.rays) == 1:
            (ray,) = typed.rays
            spelt.append(f"{ray.end} {_TURNED[ray.sign]} {letter}")
    spelt += [re.sub(" ?([<>≤≥]=?) ?", r"\1", each) for each in spelt]
    spelt += [each.replace("<=", "≤").replace(">=", "≥") for each in spelt]
    spelt += [each.replace("-", "−") for each in spelt]
    for text in dict.fromkeys(spelt):
        if run(question, frozenset({text}))[0] != _FULL:
            yield Fault("spelling-missing", f"the right answer {text!r} does not count")


def _near(typed: _Typed) -> Iterator[_Typed]:
    """Another sign, another end, joined otherwise, one of two alone."""
    for index, ray in enumerate(typed.rays):
        for sign in (_LOOSER[ray.sign], _TURNED[ray.sign]):
            yield _Typed((*typed.rays[:index], _Ray(sign, ray.end), *typed.rays[index + 1 :]), typed.join)
        if len(typed.rays) == 2:
            yield _Typed((ray,))
    if len(typed.rays) == 2:
        yield _Typed(typed.rays, "or" if typed.join == "and" else "and")
