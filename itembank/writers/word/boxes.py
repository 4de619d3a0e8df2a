"""Places to write in: the boxes of one blank in a line, laid out as its answer is written."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from docx.oxml import OxmlElement, parse_xml
from docx.oxml.ns import qn
from docx.shared import Pt

from itembank.expressions import omml
from itembank.expressions.conventions import USUAL, conventions_of
from itembank.items import Blank
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import letter
from itembank.writers.points import PointBlank
from itembank.writers.word.characters import plain
from itembank.writers.word.page import letters_size

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph as Line

__all__ = ["add_boxes"]

_GAP: Final = "\u2003"
_NO_BREAK: Final = "\u00a0"
_EQUALS, _OVER = f"{_NO_BREAK}={_NO_BREAK}", f"{_NO_BREAK}/{_NO_BREAK}"
_DIGIT_WIDE: Final = "\u2007"
"""A blank as wide as a digit, at which no line is parted and which is framed to the end of a line too."""
_SMALL, _NARROW, _USUAL, _WIDE = 2, 2, 4, 6
"""Blanks across a box: for a sign, for a number of a surd, for a number, for a decimal."""


def add_boxes(line: Line, blank: Blank | PointBlank, facts: PaperFacts) -> None:
    """The places to write in of one blank, laid out as the answer is written; several are joined by "or".

    Boxes are framed blanks in the line, a quotient in one line too: no word processor frames a part of a formula alike.
    """
    words = facts.words
    if isinstance(blank, PointBlank):
        _add_points(line, blank, facts)
        return
    if blank.words:  # to be circled
        line.add_run(plain(f"{blank.before} [" if blank.before else "["))
        for number, choice in enumerate(blank.words):
            line.add_run(" / " if number else "")
            line.add_run(plain(choice.text)).italic = True
        line.add_run("]")
        return
    word = words("and-or" if blank.ends else "or").replace(" ", _NO_BREAK)
    for slot in range(max(blank.slots, 1)):
        if slot:
            line.add_run(f" {_GAP} {word}{_NO_BREAK * 2}")
        if blank.unknown:
            _letter(line, blank.unknown)
            line.add_run(_NO_BREAK if "sign" in blank.boxes else _EQUALS)
        if blank.unit_first:
            line.add_run(plain(f"{blank.unit}{_NO_BREAK}"))
        if "sign" in blank.boxes:
            _box(line, _SMALL, facts)
            line.add_run(_NO_BREAK)
        _boxes(line, blank, facts)
        if blank.unit and not blank.unit_first:
            line.add_run(plain(f"{_NO_BREAK}{blank.unit}"))


def _add_points(line: Line, blank: PointBlank, facts: PaperFacts) -> None:
    conventions = conventions_of(facts.words)
    for slot in range(blank.first.slots):
        if slot:
            line.add_run(f" {_GAP} {facts.words('or')}{_NO_BREAK * 2}")
        line.add_run("(")
        _letter(line, blank.first.unknown)
        line.add_run(conventions.pair.strip() + _NO_BREAK)
        _letter(line, blank.second.unknown)
        line.add_run(f"){_EQUALS}({_NO_BREAK}")
        _boxes(line, blank.first, facts)
        line.add_run(plain(f"{conventions.pair.strip()}{_NO_BREAK}"))
        _boxes(line, blank.second, facts)
        line.add_run(f"{_NO_BREAK})")


def _letter(line: Line, name: str) -> None:
    """A letter beside a box. Within the text, where it is but a letter, so that no line parts it from its box."""
    if len(name) == 1:
        line.add_run(name).italic = True
    else:
        line._p.append(parse_xml(omml.omml(letter(name), USUAL)))


def _box(line: Line, width: int, facts: PaperFacts) -> None:
    """A box to write in: framed blanks that no line parts, as high as a hand writes."""
    run = line.add_run(_DIGIT_WIDE * width)
    run.font.size = Pt(letters_size(facts) * 2)
    border = OxmlElement("w:bdr")
    for name, value in (("val", "single"), ("sz", "4"), ("space", "0"), ("color", "auto")):
        border.set(qn(f"w:{name}"), value)
    run._r.get_or_add_rPr().append(border)


def _boxes(line: Line, blank: Blank, facts: PaperFacts) -> None:
    match blank.ends or blank.form:
        case "fraction":
            _box(line, _USUAL, facts)
            line.add_run(_OVER)
            _box(line, _USUAL, facts)
        case "surd":
            _surd_boxes(line, blank, facts)
        case "brackets":
            if "k" in blank.boxes:
                _box(line, _NARROW, facts)
            for place in range(2):
                line.add_run(f"{_NO_BREAK if place or 'k' in blank.boxes else ''}({_NO_BREAK}")
                _box(line, _NARROW, facts)
                line.add_run(_NO_BREAK)
                _letter(line, blank.letter)
                line.add_run(f"{_NO_BREAK}+{_NO_BREAK}")
                _box(line, _NARROW, facts)
                line.add_run(f"{_NO_BREAK})")
        case "decimal":
            _box(line, _WIDE, facts)
        case _:
            _box(line, _USUAL, facts)


def _surd_boxes(line: Line, blank: Blank, facts: PaperFacts) -> None:
    """(p ± q√r)/s, of it what the blank has boxes for; brackets only where a sum is divided."""
    has = set(blank.boxes)
    sign = ("±" if blank.pair else "+" if "p" in has else "") if {"q", "r"} & has else ""
    within = bool(sign and "s" in has)
    line.add_run(f"({_NO_BREAK}" if within else "")
    if "p" in has:
        _box(line, _NARROW, facts)
    line.add_run(f"{_NO_BREAK}{sign}{_NO_BREAK}" if sign else "")
    if "q" in has:
        _box(line, _NARROW, facts)
    if "r" in has:
        line.add_run(f"{_NO_BREAK}√{_NO_BREAK}")
        _box(line, _NARROW, facts)
    line.add_run(f"{_NO_BREAK})" if within else "")
    if "s" in has:
        line.add_run(_OVER)
        _box(line, _NARROW, facts)
