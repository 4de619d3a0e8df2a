"""What is refused on an expression's text alone, before the grammar is asked.

Bounds come first, so that no text is waited for; then the spellings of other notations, each with its remedy.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from itembank.errors import ItembankError
from itembank.expressions.vocabulary import GREEK

MAXIMUM_LENGTH = 2_000
MAXIMUM_DEPTH = 30
MAXIMUM_DIGITS = 30


class ExpressionError(ItembankError):
    """The text is no expression: `code`, `message`, `hint`, and the offsets `start`, `end` in the text."""

    def __init__(self, code: str, message: str, start: int, end: int, hint: str = "") -> None:
        self.code = code
        self.message = message
        self.start = start
        self.end = max(end, start + 1)
        self.hint = hint
        super().__init__(f"{message}; {hint}" if hint else message)


@dataclass(frozen=True, slots=True)
class _Refused:
    """A spelling that is not read: what finds it, the code and the sentence, and what to write."""

    pattern: str
    code: str
    message: str
    hint: str


_REFUSED = (
    _Refused(r"==", "double-equals", "`==` is not used here", "write a single ="),
    _Refused(r"=[<≤]", "turned-relation", "the relation signs are written <= and >=", "write <="),
    _Refused(r"=[>≥]", "turned-relation", "the relation signs are written <= and >=", "write >="),
    _Refused(r"<>", "turned-relation", "`<>` is not read", "write !="),
    _Refused(r"&+", "ampersand", "`&` is not read", "write and"),
    _Refused(r"^\s*\$", "dollar", "a $ stands around mathematics in texts only", "leave it out: this is mathematics"),
    _Refused(r"\*\*", "double-star", "`**` is not used here", "write ^ for a power"),
    _Refused(r"[⁰¹²³⁴-⁹]+", "raised-digit", "raised digits are not read", "write ^ and the digit: x^2"),
    _Refused(r"[√∛∜]", "root-sign", "the root sign is not read", "write sqrt(...), or root(..., 3)"),
    _Refused(r"\|", "bars", "bars are not read",
             "write abs(...) for an absolute value, `or` between statements"),
    _Refused(r"\\[A-Za-z]*", "latex", "LaTeX is not read", "write a/b, sqrt(a), a^2, ±, <="),
    _Refused(r"(?<![A-Za-z_0-9])in(?=\s*[\[(])", "interval", "`in` is not read",
             "write 2 <= x < 5, with `or` between two intervals"),
    _Refused(r"(?<![A-Za-z_0-9)])\[(?=[^\[\]]*,)", "wrong-bracket", "intervals in brackets are not read",
             "write the ends with signs: 2 <= x <= 5 for those from 2 to 5"),
    _Refused(r"[\[\]{}]", "wrong-bracket", "only round brackets are read", "write ( and )"),
    _Refused(r"[0-9]+(?:\.[0-9]+){2,}", "two-points", "a number has one decimal point",
             "leave the second point out"),
    _Refused(r"[0-9]*\.?[0-9]+[eE][+-]?[0-9]+", "power-of-ten", "the shorthand 1e3 is not read",
             "write 1000, or 10^3"),
    _Refused(r"(?<![0-9])\.[0-9]+", "bare-point", "a number may not begin with its point",
             "write the 0 before it: 0.5"),
    _Refused(r"[0-9]+\.(?![0-9])", "bare-point", "a number may not end with its point",
             "leave the point out"),
    _Refused(r"∓", "minus-plus", "the sign ∓ is not read",
             "write one ±; both signs are read over the whole statement"),
    _Refused(r"÷", "division-sign", "the sign ÷ is not read", "write /"),
    _Refused(r"[·⋅∙•]", "dot", "the dot is not read as a multiplication", "write *"),
    _Refused(r"[–—]", "dash", "the dash is not read as a minus sign", "write -"),
)  # fmt: skip
_GREEK_NAMES = {letter: name for name, letter in GREEK.items()}


def check_text(text: str) -> None:
    """Refuses a text that is too large, or written in another notation. Raises ExpressionError.

    >>> check_text("x**2")
    Traceback (most recent call last):
    itembank.expressions.prescan.ExpressionError: `**` is not used here; write ^ for a power
    """
    _check_bounds(text)
    _check_spellings(text)
    _check_commas_and_brackets(text)
    _check_signs(text)


def _check_bounds(text: str) -> None:
    if len(text) > MAXIMUM_LENGTH:
        raise ExpressionError(
            "expression-too-long", f"an expression of {len(text)} characters; {MAXIMUM_LENGTH} are read",
            0, 1, "split it into derived values",
        )  # fmt: skip
    if not text.strip():
        raise ExpressionError(
            "empty-expression", "an expression is missing here", 0, 1, "write one, such as x^2 - 3"
        )
    depth = 0
    for offset, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth > MAXIMUM_DEPTH:
            raise too_deep(offset, offset + 1)
    for match in re.finditer(r"[0-9]+", text):
        if len(match[0]) > MAXIMUM_DIGITS:
            raise ExpressionError(
                "number-too-long", f"a number of {len(match[0])} digits; {MAXIMUM_DIGITS} are read",
                match.start(), match.end(), "use smaller numbers",
            )  # fmt: skip


def too_deep(start: int, end: int) -> ExpressionError:
    """The refusal of an expression whose parts are nested too deeply."""
    message = f"expressions are nested too deeply; {MAXIMUM_DEPTH} brackets are read one in the other"
    return ExpressionError("too-deep", message, start, end, "name the inner part as a derived value")


def _check_spellings(text: str) -> None:
    found = [
        (match.start(), index, match) for index, refused in enumerate(_REFUSED)
        if (match := re.search(refused.pattern, text))
    ]  # fmt: skip
    if found:
        _, index, match = min(found, key=lambda each: each[:2])
        refused = _REFUSED[index]
        raise ExpressionError(refused.code, refused.message, match.start(), match.end(), refused.hint)
    for offset, character in enumerate(text):
        if character in _GREEK_NAMES:
            raise ExpressionError(
                "greek-letter", f"the letter {character} is written by name", offset, offset + 1,
                f"write {_GREEK_NAMES[character]}",
            )  # fmt: skip


def _check_commas_and_brackets(text: str) -> None:
    depth = 0
    for offset, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth < 0:
            raise ExpressionError(
                "unopened-bracket", "this bracket was never opened", offset, offset + 1,
                "take it out, or open it before",
            )  # fmt: skip
        if character == ";" or (character == "," and depth == 0):
            raise _comma(text, offset)


def _comma(text: str, offset: int) -> ExpressionError:
    decimal = re.compile(r"[0-9]+,[0-9]+").search(text, max(0, offset - MAXIMUM_DIGITS))
    if decimal and decimal.start() < offset < decimal.end() and text[offset] == ",":
        shown = decimal[0].replace(",", ".")
        if re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+", decimal[0]):
            shown = f"{decimal[0].replace(',', '')}, or {shown} if it is a decimal"
        return ExpressionError(
            "decimal-comma", "a number has a decimal point, no comma", *decimal.span(), f"write {shown}"
        )
    return comma(offset)


def comma(offset: int) -> ExpressionError:
    """The refusal of a comma or semicolon that separates statements."""
    return ExpressionError(
        "comma", "commas do not join statements", offset, offset + 1,
        "write `or` between alternatives, `and` between things that hold together",
    )  # fmt: skip


def _check_signs(text: str) -> None:
    signs = list(re.finditer(r"±|\+/[-−]", text))
    if len(signs) > 1:
        raise ExpressionError(
            "two-plus-minus", "more than one ± in a statement", *signs[1].span(),
            "use one ±; both its signs are read over the whole statement",
        )  # fmt: skip
