r"""Our own presentation MathML as LaTeX source for math mode, for documents whose formulas are to be set by a platform.

It reads what the MathML reading writes and nothing else, and gives exactly what the LaTeX reading gives: finished
documents of any writer can be turned, and no writer needs to know of a second notation.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from itembank.errors import DomainError
from itembank.expressions.vocabulary import NAMED, NAMED_LETTERS, WHOLE_NUMBERS

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

__all__ = ["latex_of"]

_SIGNS: Final = {"+": "+", "−": "-", "±": r"\pm"}
_RELATIONS: Final = {
    "=": "=", "≠": r"\ne", "<": "<", "≤": r"\le", ">": ">", "≥": r"\ge", "≈": r"\approx",
    "∈": r"\in",
}  # fmt: skip
_LETTERS: Final = {
    letter: r"\mathbb{Z}" if name == WHOLE_NUMBERS else f"\\{name}" for name, letter in NAMED_LETTERS.items()
}
_TIMES: Final = {"×": r"\times", "⋅": r"\cdot"}
_APPLIED, _INVISIBLE_TIMES = "\u2061", "\u2062"
_THIN_SPACE: Final = r"\,"
_SEPARATORS: Final = frozenset(",;")


@lru_cache(maxsize=4096)
def latex_of(markup: str) -> str:
    r"""The source of a `math` element, without delimiters. Raises DomainError for an element we do not write.

    >>> latex_of('<math><msqrt><mn>2</mn></msqrt><mo>\u2062</mo><mi>x</mi></math>')
    '\\sqrt{2}x'
    """
    from xml.etree import ElementTree  # here: only builds with LaTeX need it

    math = ElementTree.fromstring(markup)
    if len(math) == 1 and _name(math[0]) == "semantics":
        return _whole(math[0][0])
    return _row(list(math))


def _name(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _text(element: Element) -> str:
    return element.text or ""


def _whole(element: Element) -> str:
    """What stands in one place: an element, or the row in it."""
    return _row([element])


def _row(elements: Sequence[Element]) -> str:
    if len(elements) == 1 and _name(elements[0]) == "mrow" and not _is_fence(elements[0]):
        return _row(list(elements[0]))
    source = ""
    begun = 0  # where the product at hand begins
    for index, element in enumerate(elements):
        before = elements[index - 1] if index else None
        if _name(element) == "mo":
            written, ends = _operator(_text(element), source[begun:], leads=element.get("form") == "prefix")
            if _comes_after_a_word(elements[:index]):
                # In a group, since TeX would space a sign behind a word as if something were added to the word.
                written = written.replace("-", "{-}").replace(r"\pm", r"{\pm}")
            source += written
            begun = len(source) if ends else begun
        elif _name(element) == "mtext":
            source += _words(_text(element), alone=len(elements) == 1)
            begun = len(source)
        elif before is not None and _is_applied(before):
            held = ", ".join(map(_row, _held(element)))
            named = _function(elements[index - 2]) in NAMED
            source += rf"\!\left({held}\right)" if named else f"({held})"
        elif index + 1 < len(elements) and _is_applied(elements[index + 1]):
            name = _function(element)
            words = name.replace(" ", "\\ ")
            source += name.replace("^-1", "^{-1}") if name in NAMED else rf"\mathrm{{{words}}}"
        else:
            source += _operand(element)
    return source


def _comes_after_a_word(before: Sequence[Element]) -> bool:
    names = [_name(each) for each in before if _name(each) != "mspace"]
    return names[-1:] == ["mtext"]


def _function(element: Element) -> str:
    """The name of what is applied, f^-1 for an inverse."""
    if _name(element) == "msup":
        base, exponent = element
        return f"{_text(base)}^{''.join(exponent.itertext()).replace('−', '-')}"
    return _text(element)


def _is_applied(element: Element) -> bool:
    return _name(element) == "mo" and _text(element) == _APPLIED


def _operator(sign: str, product: str, *, leads: bool) -> tuple[str, bool]:
    """The source of a sign, and whether a product ends with it. product: what is written of the one before it."""
    if sign in _SIGNS:
        lead = {"+": "", "−": "-", "±": r"\pm "}[sign]
        return (lead if leads else f" {_SIGNS[sign]} "), True
    if sign in _RELATIONS:
        return f" {_RELATIONS[sign]} ", True
    if sign == _INVISIBLE_TIMES:
        # A command's name would run into the next letter.
        return (" " if product[-1:].isalpha() and "\\" in product else ""), False
    if sign in _TIMES:
        return f" {_TIMES[sign]} ", False
    if sign in _SEPARATORS:
        return f"{sign}{_THIN_SPACE} ", True
    if sign == _APPLIED:
        return "", False
    raise DomainError(f"the sign {sign!r} has no LaTeX")


def _words(text: str, *, alone: bool) -> str:
    """Words between statements, in whatever language; alone they are the statement themselves."""
    return rf"\text{{{text}}}" if alone else rf"\ \text{{{text}}}\ "


def _operand(element: Element) -> str:
    parts = list(element)
    match _name(element):
        case "mn":
            return _text(element).replace(",", "{,}")  # a decimal comma, which TeX would set as a separator
        case "mi":
            return _letter(_text(element))
        case "msub":
            return f"{_operand(parts[0])}_{{{''.join(parts[1].itertext()).replace('−', '-')}}}"
        case "mfrac":
            return rf"\frac{{{_whole(parts[0])}}}{{{_whole(parts[1])}}}"
        case "msup":
            return f"{_whole(parts[0])}^{{{_whole(parts[1])}}}"
        case "msqrt":
            return rf"\sqrt{{{_row(parts)}}}"
        case "mroot":
            return rf"\sqrt[{_text(parts[1])}]{{{_whole(parts[0])}}}"
        case "mrow" if _is_fence(element):
            return _fenced(element)
        case "mrow":
            return _row(parts)
        case "mspace":
            return ""
        case name:
            raise DomainError(f"the element {name} has no LaTeX")


def _letter(text: str) -> str:
    if text in _LETTERS:
        return _LETTERS[text]
    return text if len(text) == 1 else rf"\mathit{{{text}}}"


def _is_fence(element: Element) -> bool:
    return len(element) > 1 and _name(element[0]) == "mo" and _text(element[0]) in {"(", "|"}


def _held(fence: Element) -> list[list[Element]]:
    """What stands between brackets, parted at its commas."""
    parts: list[list[Element]] = [[]]
    for element in list(fence)[1:-1]:
        if _name(element) == "mo" and _text(element) in _SEPARATORS:
            parts.append([])
        else:
            parts[-1].append(element)
    return parts


def _fenced(fence: Element) -> str:
    opening, closing = _text(fence[0]), _text(fence[-1])
    held = [_row(part) for part in _held(fence)]
    if opening == "|" or len(held) > 1:
        separator = next((sign for sign in map(_text, fence) if sign in _SEPARATORS and sign), "")
        return rf"\left{opening}{f'{separator}{_THIN_SPACE} '.join(held)}\right{closing}"
    is_tall = any(_name(each) == "mfrac" for each in fence.iter())
    return rf"\left({held[0]}\right)" if is_tall else f"({held[0]})"
