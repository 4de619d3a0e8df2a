"""What a display must never show: the tidy rules, checked on the tree and on the texts of every notation."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.expressions import display, latex, spelling
from itembank.expressions.display import Display, Maths

_FORBIDDEN = (
    (r"[+±−-] ?[+±−-]", "two signs in a row"),
    (r"[+±−-] 0(?![\d.])", "a term 0"),
    (r"\^\{[01]\}|\^[01](?![\d.])|[⁰¹](?![⁰¹²³⁴⁵⁶⁷⁸⁹])(?<![⁰¹²³⁴⁵⁶⁷⁸⁹⁻].)", "an exponent 0 or 1"),
    (r"(?<![\d.])[01](?=[A-Za-zα-ω√|(])", "a coefficient 0 or 1"),
    (r"/0(?![\d.])|\}\{0\}", "a denominator 0"),
    (r"/\(?[−-]\d+\)?$|\}\{-\d+\}", "a negative denominator"),
    (r"/1(?![\d.])|\}\{1\}", "a denominator 1"),
    (r"\d\s+\d", "two numerals without a sign between them"),
)


def untidy(maths: Maths) -> list[str]:
    """Everything a display breaks of the tidy rules, in words; nothing for a tidy one."""
    found = list(_in_tree(maths.shape.display, False))
    texts = {
        "terminal": spelling.terminal(maths),
        "latex": latex.latex(maths),
        "plain": spelling.plain(maths),
    }
    for notation, text in texts.items():
        for pattern, said in _FORBIDDEN:
            if re.search(pattern, text):
                found.append(f"{said} in {notation}: {text}")
    return found


def _is_numeral(node: Display, text: str) -> bool:
    return isinstance(node, display.Numeral) and node.text == text


def _in_tree(node: Display, bracketed: bool) -> Iterator[str]:
    match node:
        case display.Terms(terms):
            yield from _sum(terms)
        case display.Factors(factors, crosses):
            yield from _product(factors, crosses)
        case display.Over(numerator, denominator):
            if _is_numeral(numerator, "0") or _is_lone_negative(numerator):
                yield "a fraction with numerator 0, or with its sign above the line"
            if _is_lone_negative(denominator):
                yield "a negative denominator"
        case display.Raised(base, _):
            if isinstance(
                base, display.Terms | display.Factors | display.Over | display.Raised | display.Root
            ):
                yield "a base that needs a bracket"
        case display.Bracket(inner):
            if bracketed or isinstance(
                inner, display.Numeral | display.Letter | display.Bracket | display.Bars
            ):
                yield "a bracket around a bracket, or around one thing"
        case _:
            pass
    holds_all = isinstance(node, display.Bracket | display.Bars)
    for part in display.parts(node):
        yield from _in_tree(part, holds_all)


def _is_lone_negative(node: Display) -> bool:
    return isinstance(node, display.Terms) and len(node.terms) == 1 and node.terms[0][0] == "-"


def _sum(terms: tuple[tuple[str, Display], ...]) -> Iterator[str]:
    for index, (_, term) in enumerate(terms):
        if _is_numeral(term, "0"):
            yield "a term 0"
        if isinstance(term, display.Terms):
            yield "a sum in a sum without a bracket"
        if len(terms) == 1 and terms[0][0] == "+":
            yield "a sum of one term"
        if index and isinstance(term, display.Bracket) and _is_lone_negative(term.inner):
            yield "a negative term in a bracket"


def _product(factors: tuple[Display, ...], crosses: tuple[bool, ...]) -> Iterator[str]:
    if any(_is_numeral(factor, "0") for factor in factors):
        yield "a factor 0"
    only_numbers = not any(isinstance(part, display.Letter) for factor in factors for part in _all(factor))
    if any(_is_numeral(factor, "1") for factor in factors) and not only_numbers:
        yield "a factor 1"
    for before, after, crossed in zip(factors, factors[1:], crosses, strict=False):
        if isinstance(after, display.Numeral) and not crossed:
            yield "a numeral without a × before it"
        if _letter(before) is not None and _letter(before) == _letter(after) and not crossed:
            yield "two powers of one letter without a × between"
        if isinstance(before, display.Numeral) and isinstance(after, display.Over) and not crossed:
            yield "a number before a fraction, as in a mixed number"
    for factor in factors:
        if isinstance(factor, display.Terms | display.Factors):
            yield "a sum or a product as a factor, without a bracket"


def _letter(node: Display) -> str | None:
    """The letter that a factor is, or is a power of."""
    inner = node.base if isinstance(node, display.Raised) else node
    return inner.name if isinstance(inner, display.Letter) else None


def _all(node: Display) -> Iterator[Display]:
    yield node
    for part in display.parts(node):
        yield from _all(part)
