r"""Plain characters as LaTeX source: the one place of this writer where text is escaped.

The source is ASCII throughout, so that every engine reads the same: letters with marks become accents, signs
become macros of the standard classes and fonts, and what those fonts lack becomes `\Unknown{05D0}`, a small
framed code that a reader sees and a search finds. No text can open or close a group, begin a macro or a comment.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Final

__all__ = ["Source", "escape", "hexadecimal", "language_tag", "unknown_characters"]


class Source(str):
    """LaTeX source: what has been escaped, or was written by this writer. Nothing else may reach a template."""

    __slots__ = ()


# `\Apart` stands between signs that would melt into another one, as two hyphens into a dash; {} does so in
# pdfTeX, but not in LuaTeX.
_ASCII: Final = {
    "\\": r"\textbackslash{}", "{": r"\{", "}": r"\}", "$": r"\$", "&": r"\&", "#": r"\#", "%": r"\%", "_": r"\_",
    "^": r"\textasciicircum{}", "~": r"\textasciitilde{}", "`": r"\textasciigrave\Apart{}", '"': r"\textquotedbl{}",
    "<": r"\textless\Apart{}", ">": r"\textgreater\Apart{}", "|": r"\textbar{}", "-": r"-\Apart{}", ",": r",\Apart{}",
    "'": r"'\Apart{}", "!": r"!\Apart{}", "?": r"?\Apart{}",
}  # fmt: skip

_SPACES: Final = {
    "\t": " ", "\n": " ", "\r": " ", "\v": " ", "\f": " ",
    "\u0085": " ", "\u00a0": "~", "\u00ad": r"\-", "\u2000": r"\enspace{}", "\u2001": r"\quad{}",
    "\u2002": r"\enspace{}", "\u2003": r"\quad{}", "\u2004": " ", "\u2005": " ", "\u2006": r"\,", "\u2007": "~",
    "\u2008": r"\,", "\u2009": r"\,", "\u200a": r"\,", "\u200b": r"\allowbreak{}", "\u2028": " ", "\u2029": " ",
    "\u202f": r"\,", "\u205f": r"\,", "\u3000": r"\quad{}",
}  # fmt: skip

_TEXT_SIGNS: Final = {
    "¡": "textexclamdown", "¢": "textcent", "£": "textsterling", "¥": "textyen", "¦": "textbrokenbar",
    "§": "textsection", "©": "textcopyright", "ª": "textordfeminine", "«": "guillemotleft", "®": "textregistered",
    "°": "textdegree", "µ": "textmu", "¶": "textparagraph", "·": "textperiodcentered", "º": "textordmasculine",
    "»": "guillemotright", "¼": "textonequarter", "½": "textonehalf", "¾": "textthreequarters",
    "¿": "textquestiondown", "ß": "ss", "ẞ": "SS", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O",
    "ł": "l", "Ł": "L", "đ": "dj", "Đ": "DJ", "ð": "dh", "Ð": "DH", "þ": "th", "Þ": "TH", "ı": "i", "ŋ": "ng",
    "Ŋ": "NG", "–": "textendash", "—": "textemdash", "‘": "textquoteleft", "’": "textquoteright",
    "‚": "quotesinglbase", "“": "textquotedblleft", "”": "textquotedblright", "„": "quotedblbase",
    "†": "textdagger", "‡": "textdaggerdbl", "•": "textbullet", "…": "textellipsis", "‰": "textperthousand",
    "‹": "guilsinglleft", "›": "guilsinglright", "€": "texteuro", "№": "textnumero", "™": "texttrademark",
    "←": "textleftarrow", "→": "textrightarrow", "↑": "textuparrow", "↓": "textdownarrow",
}  # fmt: skip

_MATHS_SIGNS: Final = {
    "¬": r"\neg", "±": r"\pm", "×": r"\times", "÷": r"\div", "′": "'", "″": "''", "ℓ": r"\ell", "ℕ": r"\mathbf{N}",
    "ℤ": r"\mathbf{Z}", "ℚ": r"\mathbf{Q}", "ℝ": r"\mathbf{R}", "ℂ": r"\mathbf{C}", "↔": r"\leftrightarrow",
    "⇐": r"\Leftarrow", "⇒": r"\Rightarrow", "⇔": r"\Leftrightarrow", "∀": r"\forall", "∂": r"\partial",
    "∃": r"\exists", "∅": r"\emptyset", "∆": r"\Delta", "∈": r"\in", "∉": r"\notin", "∏": r"\prod", "∑": r"\sum",
    "−": "-", "∓": r"\mp", "∘": r"\circ", "√": r"\surd", "∝": r"\propto", "∞": r"\infty", "∠": r"\angle",
    "∥": r"\parallel", "∧": r"\wedge", "∨": r"\vee", "∩": r"\cap", "∪": r"\cup", "∫": r"\int", "∼": r"\sim",
    "≅": r"\cong", "≈": r"\approx", "≠": r"\neq", "≡": r"\equiv", "≤": r"\leq", "≥": r"\geq", "⊂": r"\subset",
    "⊆": r"\subseteq", "⊥": r"\perp", "⋅": r"\cdot", "⌈": r"\lceil", "⌉": r"\rceil", "⌊": r"\lfloor",
    "⌋": r"\rfloor", "⟨": r"\langle", "⟩": r"\rangle", "△": r"\triangle", "ϑ": r"\vartheta", "ϕ": r"\phi",
    "↦": r"\mapsto", "⟶": r"\longrightarrow", "⟼": r"\longmapsto", "⟹": r"\Longrightarrow",
    "⟺": r"\Longleftrightarrow", "∖": r"\setminus", "∋": r"\ni", "⊃": r"\supset", "⊇": r"\supseteq", "∣": r"\mid",
    "∗": r"\ast", "≪": r"\ll", "≫": r"\gg", "≃": r"\simeq", "⋯": r"\cdots", "⊕": r"\oplus", "⊗": r"\otimes",
    "ϵ": r"\epsilon", "ο": "o", "ς": r"\varsigma", "φ": r"\varphi", "ε": r"\varepsilon",
}  # fmt: skip

_GREEK: Final = {
    "α": "alpha", "β": "beta", "γ": "gamma", "δ": "delta", "ζ": "zeta", "η": "eta", "θ": "theta", "ι": "iota",
    "κ": "kappa", "λ": "lambda", "μ": "mu", "ν": "nu", "ξ": "xi", "π": "pi", "ρ": "rho", "σ": "sigma", "τ": "tau",
    "υ": "upsilon", "χ": "chi", "ψ": "psi", "ω": "omega",
}  # fmt: skip
_GREEK_CAPITALS: Final = {
    "Γ": r"\Gamma", "Δ": r"\Delta", "Θ": r"\Theta", "Λ": r"\Lambda", "Ξ": r"\Xi", "Π": r"\Pi", "Σ": r"\Sigma",
    "Υ": r"\Upsilon", "Φ": r"\Phi", "Ψ": r"\Psi", "Ω": r"\Omega",
    **{greek: rf"\mathrm{{{latin}}}" for greek, latin in zip("ΑΒΕΖΗΙΚΜΝΟΡΤΧ", "ABEZHIKMNOPTX", strict=True)},
}  # fmt: skip

_SIGNS: Final[dict[str, str]] = {
    **_SPACES,
    **{sign: f"\\{macro}{{}}" for sign, macro in _TEXT_SIGNS.items()},
    **{sign: rf"\{_TEXT_SIGNS[sign]}\Apart{{}}" for sign in "–—‘’"},
    **{sign: rf"\ensuremath{{{source}}}" for sign, source in _MATHS_SIGNS.items()},
    **{sign: rf"\ensuremath{{\{name}}}" for sign, name in _GREEK.items()},
    **{sign: rf"\ensuremath{{{source}}}" for sign, source in _GREEK_CAPITALS.items()},
    "‐": r"-\Apart{}", "‑": r"\mbox{-}", "□": r"\TickBox{}",
}  # fmt: skip

_ABOVE: Final = {
    "\u0300": "`", "\u0301": "'", "\u0302": "^", "\u0303": "~", "\u0304": "=", "\u0306": "u", "\u0307": ".",
    "\u0308": '"', "\u030a": "r", "\u030b": "H", "\u030c": "v",
}  # fmt: skip
_BELOW: Final = {"\u0323": "d", "\u0327": "c", "\u0328": "k", "\u0331": "b"}
_DOTLESS: Final = {"i": r"\i{}", "j": r"\j{}"}

# Longer runs without a space get places to break, or one word could leave the page.
_LONG_RUN: Final = re.compile(r"\S{24}(?=\S)")
_TO_ESCAPE: Final = re.compile(
    r"""-(?=[-–—‐])|,(?=,)|'(?=['’])|[!?](?=[`‘])|[\\{}$&#%_^~`"<>|]|[A-Za-z]?[^\x20-\x7e]+"""
)
_UNKNOWN: Final = re.compile(r"\\Unknown\{([0-9A-F]+)\}")


@lru_cache(maxsize=4096)
def escape(text: str) -> Source:
    r"""The source that prints a text, whatever its characters.

    >>> escape(r"50% of \input{x}")
    '50\\% of \\textbackslash{}input\\{x\\}'
    >>> escape("é − ש")
    "\\'{e} \\ensuremath{-} \\Unknown{05E9}"
    """
    composed = unicodedata.normalize("NFC", text)
    broken = _LONG_RUN.sub(lambda run: run[0] + "\u200b", composed)
    return Source(_TO_ESCAPE.sub(lambda found: _escaped(found[0]), broken))


def hexadecimal(text: str) -> Source:
    """A text as a hexadecimal string of a PDF file, in which no character can end the string.

    Source: ISO 32000-1, 7.9.2.2 (text strings in UTF-16BE, begun by FEFF) and 7.3.4.3 (hexadecimal strings).

    >>> hexadecimal("A)")
    '<FEFF00410029>'
    """
    return Source(f"<FEFF{text.encode('utf-16-be', 'replace').hex().upper()}>")


def language_tag(tag: str) -> Source:
    """A language tag (BCP 47) with nothing in it but letters, digits and hyphens.

    >>> language_tag("en-GB)")
    'en-GB'
    """
    return Source(re.sub("[^A-Za-z0-9-]", "", tag))


def unknown_characters(source: str) -> tuple[str, ...]:
    """The characters that a finished source shows as framed codes, each once, by code."""
    return tuple(chr(code) for code in sorted({int(code, 16) for code in _UNKNOWN.findall(source)}))


def _escaped(run: str) -> str:
    if run in _ASCII:
        return _ASCII[run]
    pieces: list[str] = []
    base, marks = "", ""
    for character in _apart(run):
        if base and _bearable(marks + character):
            marks += character
            continue
        pieces.append(_accented(base, marks))
        base, marks = (character, "") if _is_letter(character) else ("", "")
        if not base:
            pieces.append(_sign(character))
    pieces.append(_accented(base, marks))
    return "".join(pieces)


def _apart(run: str) -> str:
    """The run with the accents of a letter behind it, where TeX can set them all on the letter."""
    return "".join(map(_letter_and_marks, run))


def _letter_and_marks(character: str) -> str:
    if character in _SIGNS:
        return character
    parted = unicodedata.normalize("NFD", character)
    return parted if _is_letter(parted[0]) and _bearable(parted[1:]) else character


def _is_letter(character: str) -> bool:
    return character.isascii() and character.isalpha()


def _bearable(marks: str) -> bool:
    """Whether TeX sets these marks on one letter: it knows them, one above the letter and one below at most."""
    above = sum(mark in _ABOVE for mark in marks)
    below = sum(mark in _BELOW for mark in marks)
    return above <= 1 and below <= 1 and above + below == len(marks)


def _accented(base: str, marks: str) -> str:
    source = base
    # The mark above goes on first: TeX sets it on a letter only, the one below on anything.
    for mark in sorted(marks, key=_BELOW.__contains__):
        if mark in _ABOVE:
            source = _DOTLESS.get(source, source)
        source = f"\\{_ABOVE.get(mark) or _BELOW[mark]}{{{source}}}"
    return source


def _sign(character: str) -> str:
    if character in _SIGNS:
        return _SIGNS[character]
    kind, _, parts = unicodedata.decomposition(character).rpartition("> ")
    shown = "".join(chr(int(code, 16)) for code in parts.split()) if kind else ""
    if kind == "<fraction" and shown.replace("\u2044", "").isdigit():
        above, _, below = shown.partition("\u2044")
        return rf"\ensuremath{{\tfrac{{{above}}}{{{below}}}}}"
    if kind in {"<super", "<sub"} and (inner := _signs(shown)):
        return rf"\text{kind[1:]}script{{{inner}}}"
    if kind in {"<font", "<wide", "<narrow", "<compat"} and (inner := _signs(shown)):
        return inner
    return rf"\Unknown{{{ord(character):04X}}}"


def _signs(shown: str) -> str:
    """The source of what a compatibility character stands for; "" where we cannot print it."""
    if shown.isascii() and shown.isprintable():
        return escape(shown)
    return _SIGNS.get(shown, "")
