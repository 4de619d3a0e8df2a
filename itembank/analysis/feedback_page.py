"""The page that pupils are handed back, a sheet of paper for each: in the language of the items."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from html import escape
from typing import Final
from xml.etree import ElementTree

from itembank.analysis.exact import marks_told
from itembank.analysis.feedback import Lost, Told
from itembank.analysis.keys import Offered, Piece
from itembank.analysis.learnt import Verdict
from itembank.analysis.shown import text_shown
from itembank.words import Words, words

__all__ = ["as_feedback_page"]

_SAID: Final = {
    Verdict.LEARNT: "feedback-learnt",
    Verdict.NOT_YET: "feedback-not-yet",
    Verdict.CANNOT_TELL: "feedback-cannot-tell",
}
_MATHML: Final = "{http://www.w3.org/1998/Math/MathML}"
_ACTING: Final = frozenset({"href", "{http://www.w3.org/1999/xlink}href", "style"})
_STYLE: Final = """
@page { size: A4; margin: 20mm; }
body { font-family: Georgia, "Times New Roman", serif; line-height: 1.5; color: #1b1b1b; background: #fff;
  max-width: 42rem; margin: 2rem auto; padding: 0 1rem; }
section + section { border-top: 1px solid #1b1b1b; margin-top: 3rem; padding-top: 1.5rem; }
h1 { font-size: 1.5rem; margin: 0; }
h2 { font-size: 1.1rem; margin: 1.5rem 0 0.4rem; break-after: avoid; }
p { margin: 0.2rem 0; }
ul, ol { padding-left: 1.2rem; margin: 0.3rem 0; }
math { math-style: normal; }
li { margin: 0.5rem 0; break-inside: avoid; overflow-wrap: anywhere; }
@media print { body { margin: 0; padding: 0; max-width: none; font-size: 11pt; }
  section + section { border: 0; margin: 0; padding: 0; break-before: page; } }
"""


def as_feedback_page(told: Iterable[Told], title: str, language: str) -> str:
    """One page of HTML that stands alone, a section for each pupil.

    language: of the items, a tag of BCP 47; what it has no words for is said in English.
    """
    said = words(language)
    head = said("feedback-title")
    lines = [
        "<!DOCTYPE html>", f'<html lang="{escape(said.language)}">', "<head>", '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(f'{head}: {title}' if title else head)}</title>", f"<style>{_STYLE}</style>", "</head>",
        "<body>", "<main>",
    ]  # fmt: skip
    for each in told:
        lines += _pupil(each, said)
    return "\n".join([*lines, "</main>", "</body>", "</html>", ""])


def _pupil(told: Told, said: Words) -> Iterator[str]:
    title = ", ".join(filter(None, told.tests))
    yield "<section>"
    yield f"<h1>{escape(told.pupil)}</h1>"
    in_all = _marks(told.got, told.most, said)
    yield f"<p>{escape(f'{title}: {in_all}' if title else in_all)}</p>"
    if told.methods:
        yield f"<h2>{escape(said('feedback-methods'))}</h2>\n<ul>"
        for name, standing, sheet in told.methods:
            marks = _marks(standing.got, standing.most, said)
            practise = f" {said('feedback-practise', sheet=sheet)}" if sheet else ""
            verdict = said(_SAID[standing.verdict])
            yield f"<li><strong>{escape(name)}</strong> ({escape(marks)}): {escape(verdict + practise)}</li>"
        yield "</ul>"
    yield f"<h2>{escape(said('feedback-lost'))}</h2>"
    if not told.lost:
        yield f"<p>{escape(said('feedback-nothing-lost'))}</p>"
    else:
        yield "<ul>"
        for lost in told.lost:
            yield from _lost(lost, said)
        yield "</ul>"
    yield "</section>"


def _lost(lost: Lost, said: Words) -> Iterator[str]:
    asked = said("feedback-question", number=lost.number) if lost.number else lost.title
    asked = f"{lost.test}: {asked}" if lost.test else asked
    marks = _marks(lost.got, lost.most, said)
    yield f"<li><strong>{escape(asked)}</strong> ({escape(marks)})"
    for sentence in lost.sentences:
        yield f"<p>{escape(sentence)}</p>"
    if right := _all_right(lost.right):
        line = f"{said('feedback-line', number=lost.line)} " if lost.line else ""
        yield f"<p>{escape(said('feedback-right'))} {escape(line)}{right}</p>"
    yield "</li>"


def _marks(got: Fraction, most: int, said: Words) -> str:
    return said.counted("feedback-marks", most, got=marks_told(got).replace(".", said.decimal_mark))


def _all_right(right: Sequence[Offered]) -> str:
    """Everything that is right, "" for nothing: whole sentences one after the other, what has pieces by semicolons."""
    told = [text for each in right if (text := _shown(each))]
    if any(each.text.endswith(".") for each in right):
        return " ".join(told)
    return ("; " if any(each.pieces for each in right) else ", ").join(told)


def _shown(right: Offered) -> str:
    pieces = right.pieces or (Piece(right.text, right.mathml),)
    return escape(right.between).join(map(_piece, pieces))


def _piece(piece: Piece) -> str:
    """Mathematics as the build wrote it; else the words."""
    return piece.mathml if _is_mathml(piece.mathml) else escape(text_shown(piece.text))


def _is_mathml(markup: str) -> bool:
    """Whether it is nothing but MathML: a build's files may have been changed on the way here."""
    try:
        root = ElementTree.fromstring(markup)
    except ElementTree.ParseError:
        return False
    return all(each.tag.startswith(_MATHML) and not any(map(_acts, each.attrib)) for each in root.iter())


def _acts(attribute: str) -> bool:
    return attribute in _ACTING or attribute.startswith("on")
