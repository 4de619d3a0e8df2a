"""Paragraphs and runs of a language that is written from right to left.

Word processors ask for both: of a paragraph on which side it begins, of a run that its letters are of such a script.
Source: ECMA-376, part 1, 17.3.1.6 (bidi), 17.3.2.30 (rtl), 17.3.2.39 (szCs), 17.3.2.20 (lang), 17.4.1 (bidiVisual).
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Any, Final

from docx.oxml import OxmlElement
from docx.oxml.ns import qn

if TYPE_CHECKING:
    from docx.document import Document as Docx

__all__ = ["run_their_way", "runs_left"]

_LEFTWARD: Final = frozenset({"R", "AL"})
_BEFORE: Final = frozenset(
    qn(f"w:{name}")
    for name in (
        "pStyle", "keepNext", "keepLines", "pageBreakBefore", "framePr", "widowControl", "numPr", "suppressLineNumbers",
        "pBdr", "shd", "tabs", "suppressAutoHyphens", "kinsoku", "wordWrap", "overflowPunct", "topLinePunct",
        "autoSpaceDE", "autoSpaceDN",
    )
)  # fmt: skip
"""What is said of a paragraph before its direction. Source: ECMA-376, part 1, 17.3.1.26."""
_BEFORE_TABLE: Final = frozenset(qn(f"w:{name}") for name in ("tblStyle", "tblpPr", "tblOverlap"))
"""What is said of a table before its direction. Source: ECMA-376, part 1, 17.4.59."""


def run_their_way(document: Docx, language: str) -> None:
    """Paragraphs begin on the side of their first letter, and runs with letters that run to the left are marked so.

    What the document says in its own words keeps its own way. language: of the texts that run to the left.
    """
    styles = document.styles.element
    for size in list(styles.iter(qn("w:sz"))):
        other = size.getparent().find(qn("w:szCs"))
        if other is None:
            other = OxmlElement("w:szCs")
            size.addnext(other)
        other.set(qn("w:val"), size.get(qn("w:val")))
    for told in styles.iter(qn("w:lang")):
        told.set(qn("w:bidi"), language)
    for table in document.element.body.iter(qn("w:tbl")):
        _marked_table(table)
    for paragraph in document.element.body.iter(qn("w:p")):
        runs = paragraph.findall(qn("w:r"))
        texts = ["".join(text.text or "" for text in run.findall(qn("w:t"))) for run in runs]
        if runs_left("".join(texts)):
            _marked_paragraph(paragraph)
        for run, text in zip(runs, texts, strict=True):
            if any(unicodedata.bidirectional(character) in _LEFTWARD for character in text):
                run.get_or_add_rPr().append(OxmlElement("w:rtl"))


def runs_left(text: str) -> bool:
    """Whether the first letter of a text runs to the left. Source: Unicode Standard Annex 9, rules P2 and P3.

    >>> runs_left("2 \u05d0b"), runs_left("2 b\u05d0")
    (True, False)
    """
    ways = map(unicodedata.bidirectional, text)
    return next((way for way in ways if way in _LEFTWARD or way == "L"), "") in _LEFTWARD


def _marked_paragraph(paragraph: Any) -> None:
    said = paragraph.get_or_add_pPr()
    said.insert(sum(child.tag in _BEFORE for child in said), OxmlElement("w:bidi"))


def _marked_table(table: Any) -> None:
    """A table of a text goes the way of its heading; one without lines is how we set things, and keeps our way.

    That is said too: some word processors let a table go the way of its first paragraph, the halves of an equation in
    its columns change places, and `x = 3` becomes `= 3 x`.
    """
    way, style = OxmlElement("w:bidiVisual"), table.tblPr.find(qn("w:tblStyle"))
    heading = "".join(text.text or "" for text in table.find(qn("w:tr")).iter(qn("w:t")))
    way.set(qn("w:val"), "1" if style is not None and runs_left(heading) else "0")
    table.tblPr.insert(sum(child.tag in _BEFORE_TABLE for child in table.tblPr), way)
