"""How numbers and polynomials stand in a witness: plain text with true minus signs, × and superscripts."""

from __future__ import annotations

from math import gcd

__all__ = ["coefficient", "exponent", "integer", "listing", "plus", "polynomial", "ratio", "total"]

_SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def integer(n: int) -> str:
    """The integer as text.

    >>> integer(-3)
    '−3'
    """
    return f"{n}" if n >= 0 else f"−{-n}"


def exponent(n: int) -> str:
    """The integer, raised.

    >>> "10" + exponent(15)
    '10¹⁵'
    """
    return f"{n}".translate(_SUPERSCRIPTS)


def ratio(n: int, d: int) -> str:
    """n/d (d not 0) in lowest terms with a positive denominator.

    >>> ratio(6, -4), ratio(6, 3)
    ('−3/2', '2')
    """
    if d != 1:
        common = gcd(n, d) if d > 0 else -gcd(n, d)
        n, d = n // common, d // common
    return integer(n) if d == 1 else f"{integer(n)}/{d}"


def coefficient(n: int, d: int) -> str:
    """n/d (d not 0) as it stands before a letter or a bracket.

    >>> coefficient(1, 1) + "x", coefficient(-2, 2) + "x", coefficient(-3, 2) + "x"
    ('x', '−x', '−(3/2)x')
    """
    text = ratio(n, d)
    sign, size = ("−", text[1:]) if text[0] == "−" else ("", text)
    if size == "1":
        return sign
    return f"{sign}({size})" if "/" in size else text


def plus(n: int, d: int = 1, letters: str = "") -> str:
    """n/d times the letters, as a later term of a sum: nothing where it is 0.

    >>> "x²" + plus(-3, 2, "x") + plus(0) + plus(5)
    'x² − (3/2)x + 5'
    """
    if n == 0:
        return ""
    text = coefficient(n, d) + letters if letters else ratio(n, d)
    return f" − {text[1:]}" if text[0] == "−" else f" + {text}"


def total(first: str, *later: str) -> str:
    """The terms added up, for terms that come from `plus`: "0" where all vanish.

    >>> total(plus(-4), plus(3)), total(plus(0))
    ('−4 + 3', '0')
    """
    text = "".join((first, *later))
    if not text:
        return "0"
    return f"−{text[3:]}" if text[1] == "−" else text[3:]


def polynomial(a: int, b: int, c: int, d: int, x: str) -> str:
    """(a x² + b x + c)/d, term by term; d >= 1.

    >>> polynomial(2, -1, 3, 2, "x")
    'x² − (1/2)x + 3/2'
    """
    return total(plus(a, d, f"{x}²"), plus(b, d, x), plus(c, d))


def listing(numbers: tuple[int, ...]) -> str:
    """Two or more integers in a row of words.

    >>> listing((4, -6, 10))
    '4, −6 and 10'
    """
    words = [integer(number) for number in numbers]
    return f"{', '.join(words[:-1])} and {words[-1]}"
