r"""How the formulas of a finished document are written: as MathML, as pictures, or as LaTeX for a platform to set.

Every writer of XML and HTML writes MathML. Another notation is made of the finished document, formula by formula, so
that no writer has to know of it and the usual notation costs nothing. Words are told from formulas by position: what is
escaped holds no `<`.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from dataclasses import dataclass
from html import unescape
from html.parser import HTMLParser
from types import MappingProxyType
from typing import Final, NamedTuple

from itembank.errors import DomainError
from itembank.writers.base import xml_text
from itembank.writers.formula_pictures import STYLE_SHEET, FormulaPicture, draw
from itembank.writers.mathml_as_latex import latex_of

__all__ = [
    "DELIMITERS", "FOLDER", "FULL_SIZE", "MATHML", "MODES", "STYLE_NAME", "Notation", "Shown", "in_characters",
    "in_package", "in_page", "notation_of", "style_sheet",
]  # fmt: skip

MODES: Final = ("mathml", "svg", "latex")
DELIMITERS: Final = MappingProxyType(
    {r"\( \)": (r"\(", r"\)"), r"\[ \]": (r"\[", r"\]"), "$ $": ("$", "$"), "$$ $$": ("$$", "$$")}
)
"""What may stand around LaTeX, by the way an option spells it."""
FOLDER: Final = "formulas"
"""Where pictures lie, beside the documents that show them."""
STYLE_NAME: Final = "formulas.css"

_FORMULA: Final = re.compile(r'<math\b[^>]*?\balttext="([^"]*)"[^>]*>.*?</math>', re.DOTALL)
_LANGUAGE: Final = re.compile(r'<math\b[^>]*?\b((?:xml:)?lang="[^"]*")')
_FORMULA_OR_WORDS: Final = re.compile(rf"{_FORMULA.pattern}|(?<=>)[^<>]+(?=<)", re.DOTALL)
_CHARACTERS: Final = re.compile(r'(<mattext texttype="text/html"[^>]*>)(.*?)(</mattext>)', re.DOTALL)
_BODY: Final = re.compile(r"<(qti-item-body|itemBody)\b")
_STYLES: Final = {"qti-item-body": "qti-stylesheet", "itemBody": "stylesheet"}
FULL_SIZE: Final = frozenset(
    {"answer", "answers", "formula", "key", "options", "right-answer", "slips", "solution"}
)
"""Classes of a page's elements in which its style sheet sets fractions at full size."""
_WITHOUT_END: Final = frozenset({"br", "col", "hr", "img", "input", "link", "meta", "wbr"})
_POLICY: Final = "style-src 'unsafe-inline'"


@dataclass(frozen=True, slots=True)
class Notation:
    """mode: one of MODES; delimiters: one of DELIMITERS, used by `latex` only. Raises DomainError for others."""

    mode: str = "mathml"
    delimiters: str = r"\( \)"

    def __post_init__(self) -> None:
        if self.mode not in MODES or self.delimiters not in DELIMITERS:
            raise DomainError(
                f"formulas can be written as {', '.join(MODES)}, LaTeX between {', '.join(DELIMITERS)}"
            )


MATHML: Final = Notation()


class Shown(NamedTuple):
    """A document in a notation, and the pictures it shows, each once, in the order they come."""

    document: str
    pictures: tuple[FormulaPicture, ...] = ()


def notation_of(mode: str | None, delimiters: str | None) -> Notation:
    """The notation of settings; None or "" for what is usual."""
    return Notation(mode or MATHML.mode, delimiters or MATHML.delimiters)


def style_sheet() -> str:
    """The style sheet of pictures in a package."""
    return STYLE_SHEET


def in_package(document: str, notation: Notation) -> Shown:
    """An item's document of a package; pictures lie in FOLDER beside it, with the style sheet."""
    if notation.mode == "latex":
        return Shown(_as_latex(document, notation))
    if notation.mode != "svg":
        return Shown(document)
    pictures: dict[str, FormulaPicture] = {}

    def image(picture: FormulaPicture, spoken: str, language: str) -> str:
        pictures.setdefault(picture.name, picture)
        width, height = picture.pixels
        return (
            f'<img class="{picture.classes}" src="{FOLDER}/{picture.name}" alt="{spoken}"'
            f' width="{width}" height="{height}"{language}/>'
        )

    document = _drawn(document, image)
    if pictures:
        document = _BODY.sub(_styled, document, count=1)
    return Shown(document, tuple(pictures.values()))


def _styled(body: re.Match[str]) -> str:
    return f'<{_STYLES[body[1]]} href="{FOLDER}/{STYLE_NAME}" type="text/css"/>{body[0]}'


def in_page(page: str, notation: Notation) -> str:
    """A page that is whole in itself, pictures included."""
    if notation.mode == "latex":
        return _as_latex(page, notation)
    if notation.mode != "svg":
        return page

    def image(picture: FormulaPicture, spoken: str, language: str) -> str:
        data = base64.b64encode(picture.svg.encode()).decode()
        return (
            f'<img class="formula" src="data:image/svg+xml;base64,{data}" alt="{spoken}"'
            f' style="{picture.style}"{language}>'
        )

    return _drawn(_at_full_size(page), image).replace(_POLICY, f"{_POLICY}; img-src data:", 1)


def _at_full_size(page: str) -> str:
    """The page, its formulas saying where its style sheet sets them at full size: it does not reach into pictures."""
    places = _Places()
    places.feed(page)
    places.close()
    full = iter(places.full)

    def written(found: re.Match[str]) -> str:
        said = next(full) and "displaystyle=" not in found[0].partition(">")[0]
        return found[0].replace("<math ", '<math displaystyle="true" ', 1) if said else found[0]

    return _FORMULA.sub(written, page)


class _Places(HTMLParser):
    """Which formulas of a page stand in a place of FULL_SIZE. full: of each, in the order they come."""

    def __init__(self) -> None:
        super().__init__()
        self.full: list[bool] = []
        self._open: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        """An element begins."""
        said = dict(attributes)
        within = bool(self._open and self._open[-1][1])
        if tag == "math" and "alttext" in said:
            self.full.append(within)
        if tag not in _WITHOUT_END:
            self._open.append((tag, within or not FULL_SIZE.isdisjoint((said.get("class") or "").split())))

    def handle_endtag(self, tag: str) -> None:
        """An element ends, and with it what was left open in it."""
        if any(name == tag for name, _ in self._open):
            while self._open.pop()[0] != tag:
                pass


def in_characters(document: str, notation: Notation, base: str = "") -> Shown:
    """A document whose HTML is written as characters, as QTI 1.2 has it; pictures lie in FOLDER at `base`.

    No style sheet can be pointed to from there, so that each picture says itself how it stands on the line.
    """
    if notation.mode not in {"latex", "svg"}:
        return Shown(document)
    pictures: dict[str, FormulaPicture] = {}

    def image(picture: FormulaPicture, spoken: str, language: str) -> str:
        pictures.setdefault(picture.name, picture)
        width, height = picture.pixels
        return (
            f'<img class="formula" src="{base}{FOLDER}/{picture.name}" alt="{spoken}" width="{width}"'
            f' height="{height}" style="{picture.style}"{language.replace("xml:", "")}/>'
        )

    def written(text: re.Match[str]) -> str:
        page = unescape(text[2])
        # the brackets around LaTeX, so that all words stand between tags
        page = _drawn(page, image) if notation.mode == "svg" else _as_latex(f">{page}<", notation)[1:-1]
        return f"{text[1]}{xml_text(page)}{text[3]}"

    return Shown(_CHARACTERS.sub(written, document), tuple(pictures.values()))


def _drawn(document: str, image: Callable[[FormulaPicture, str, str], str]) -> str:
    def drawn(found: re.Match[str]) -> str:
        language = _LANGUAGE.match(found[0])
        return image(draw(_without_language(found[0])), found[1], f" {language[1]}" if language else "")

    return _FORMULA.sub(drawn, document)


def _without_language(markup: str) -> str:
    """One picture serves items of all languages."""
    language = _LANGUAGE.match(markup)
    return markup.replace(f" {language[1]}", "", 1) if language else markup


def _as_latex(document: str, notation: Notation) -> str:
    opening, closing = DELIMITERS[notation.delimiters]

    def written(found: re.Match[str]) -> str:
        if found[1] is None:
            return _guarded(found[0], opening)
        source = latex_of(_without_language(found[0]))
        if closing in source:
            raise DomainError(f"the formula {source} holds {closing}, which would end it")
        return xml_text(f"{opening}{source}{closing}")

    return _FORMULA_OR_WORDS.sub(written, document)


def _guarded(words: str, opening: str) -> str:
    r"""Words of a text in which no delimiter begins: `\$5` where `$` would begin a formula.

    A backslash before `$` is what platforms that take `$` understand (common practice, no source); a bracket is parted
    from its backslash by a character of no width.
    """
    if opening[0] not in words:
        return words
    return (
        words.replace("$", r"\$") if opening[0] == "$" else words.replace(opening, f"\\\u2060{opening[1:]}")
    )
