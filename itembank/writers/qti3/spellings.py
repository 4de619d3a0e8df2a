"""Typed numbers in all their spellings, as patterns of the standard: signs, blanks, zeros, a decimal comma.

A whole number may have a point with noughts behind it, 2. and 2.0 for 2: whoever enters that knows the number, and an
integer is asked for to say that no decimal is wanted. In languages with a decimal comma a point may also stand before
thousands, so that three noughts are more than is taken there.

A whole number or a decimal that is only compared is typed as text and matched, since platforms differ in what they
take for a number: the true minus sign (U+2212) beside the keyboard's, blanks around, a leading +, zeros in front, and
thousands set apart by a blank, by an apostrophe (as in Switzerland; no language marks decimals by it), or by the comma
where it marks no decimals.
Source: XML Schema part 2, regular expressions; a pattern matches the whole text.
"""

from __future__ import annotations

from itembank.expressions.display import Decimal

__all__ = ["number_pattern"]


def number_pattern(value: int | Decimal, mark: str = ".") -> str:
    r"""The pattern of every spelling of a number. mark: of decimals, `.`, or `,` where either may be typed.

    >>> number_pattern(-5)
    '\\s*[\\-−]\\s*0*5([.]0*)?\\s*'
    >>> from fractions import Fraction
    >>> number_pattern(Decimal(Fraction(5, 4), 2), ",")
    '\\s*\\+?\\s*0*1[.,]250*\\s*'
    """
    digits = str(abs(value)) if isinstance(value, int) else str(value).lstrip("-")
    whole, _, decimals = digits.partition(".")
    decimals = decimals.rstrip("0")
    is_zero = not whole.strip("0") and not decimals
    below = (value if isinstance(value, int) else value.value) < 0
    sign = r"[+\-−]?" if is_zero else r"[\-−]" if below else r"\+?"
    front = "0+" if is_zero else f"0*{_grouped(whole.lstrip('0'), mark)}"
    point = "[.,]" if mark == "," else "[.]"
    if decimals:
        return rf"\s*{sign}\s*{front}{point}{decimals}0*\s*"
    noughts = "0?0?" if mark == "," and isinstance(value, int) else "0*"
    return rf"\s*{sign}\s*{front}({point}{noughts})?\s*"


def _grouped(digits: str, mark: str) -> str:
    r"""Digits between which a blank or an apostrophe may stand, or the comma where it is no decimal mark.

    >>> _grouped("250", "."), _grouped("9250", ",").encode("ascii", "namereplace")
    ('250', b"9[ \\N{NO-BREAK SPACE}\\N{THIN SPACE}\\N{NARROW NO-BREAK SPACE}'\\N{RIGHT SINGLE QUOTATION MARK}]?250")
    """
    if len(digits) < 4:
        return digits
    first = len(digits) % 3 or 3
    groups = [digits[:first], *(digits[at : at + 3] for at in range(first, len(digits), 3))]
    return f"[ \u00a0\u2009\u202f'’{',' if mark == '.' else ''}]?".join(groups)
