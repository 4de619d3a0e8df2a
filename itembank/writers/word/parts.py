"""The pieces all documents are built of: lines, texts with mathematics, tables, pictures, options."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, TypeAlias, assert_never

from docx.enum.table import WD_ROW_HEIGHT_RULE
from docx.enum.text import WD_ALIGN_PARAGRAPH, WD_TAB_ALIGNMENT
from docx.oxml import OxmlElement, parse_xml
from docx.oxml.ns import qn
from docx.shared import Mm, Pt

from itembank.content import (
    Block,
    Content,
    Emphasis,
    Hole,
    Inline,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
)
from itembank.expressions import omml
from itembank.expressions.conventions import conventions_of
from itembank.expressions.display import Maths
from itembank.figures import Figure, drawing
from itembank.figures.drawing import Drawing
from itembank.figures.drawingml import drawingml
from itembank.figures.lettering import lettering
from itembank.words import Words
from itembank.writers.facts import PaperFacts
from itembank.writers.space import enlarged
from itembank.writers.word.characters import plain
from itembank.writers.word.direction import runs_left
from itembank.writers.word.page import letters_size, text_width

if TYPE_CHECKING:
    from docx.document import Document as Docx
    from docx.text.paragraph import Paragraph as Line

Box: TypeAlias = Any
"""A document, or a cell of a table: python-docx lets both be written into alike."""

__all__ = [
    "CELL_EDGE", "CENTRE", "NUMBERS", "RIGHT", "Column", "add_blocks", "add_code", "add_content", "add_drawing",
    "add_frame", "add_maths", "add_picture", "add_stem_picture", "apart", "at_each_page", "bare_table",
    "evenly_apart", "indented", "options_line", "right_tab", "ruled",
    "whole_row", "width_of", "within_margins", "without_edges",
]  # fmt: skip

CENTRE: Final[Any] = WD_ALIGN_PARAGRAPH.CENTER
RIGHT: Final[Any] = WD_ALIGN_PARAGRAPH.RIGHT
_ALIGNMENTS: Final[Mapping[str, Any]] = MappingProxyType({"center": CENTRE, "right": RIGHT})
NUMBERS: Final = 17
"""Millimetres of the column of question numbers."""
LETTERS: Final = 7
"""Millimetres of the column of the letters of options."""
CELL_EDGE: Final = 1.9
"""Millimetres beside the text of a cell, as the styles say that documents begin with: 108 twentieths of a point."""
_GAP: Final = "\u2003"


@dataclass(frozen=True)
class Column:
    """Where lines are written: in a document or in a cell of it, so wide, each line set in by so many millimetres."""

    box: Box
    width: float
    start: float

    def line(self, text: str = "", *, keep: bool = True) -> Line:
        """A new line below what is there."""
        return indented(self.box.add_paragraph(text), self.start, keep=keep)

    def hanging(self, name: str) -> Line:
        """A new line that begins with a letter or number in bold, with all its text right of it."""
        line = indented(self.box.add_paragraph(), self.start + LETTERS)
        line.paragraph_format.first_line_indent = Mm(-LETTERS)
        line.add_run(name).bold = True
        return line


def indented(line: Line, millimetres: float = NUMBERS, *, keep: bool = True) -> Line:
    """A line set in from the numbers, and kept with what follows."""
    line.paragraph_format.left_indent = Mm(millimetres)
    line.paragraph_format.keep_with_next = keep
    line.paragraph_format.keep_together = True
    return line


def add_code(line: Line, code: str) -> None:
    """An item's code, small."""
    line.add_run(plain(code)).font.size = Pt(8)


def add_maths(line: Line, maths: Maths, words: Words) -> None:
    """Mathematics at the end of a line."""
    line._p.append(parse_xml(omml.omml(maths, conventions_of(words))))


def add_content(line: Line, content: Content | Maths, words: Words) -> None:
    """A text (its blocks one after the other) or mathematics at the end of a line."""
    if isinstance(content, Maths):
        add_maths(line, content, words)
        return
    for index, block in enumerate(content.shape.blocks):
        if index:
            line.add_run(" ")
        _flat(line, block, content, words)


def _flat(line: Line, block: Block, content: Content, words: Words) -> None:
    match block:
        case Paragraph(inlines):
            _inlines(line, inlines, content, words)
        case Listing(items):
            for number, item in enumerate(items):
                line.add_run("; " if number else "")
                for inner in item:
                    _flat(line, inner, content, words)
        case Table(header, rows):
            for number, row in enumerate((header, *rows)):
                line.add_run("; " if number else "")
                for place, cell in enumerate(row):
                    line.add_run(" | " if place else "")
                    _inlines(line, cell, content, words)
        case _:
            assert_never(block)


def _inlines(
    line: Line,
    inlines: Iterable[Inline],
    content: Content,
    words: Words,
    *,
    bold: bool = False,
    slant: bool = False,
) -> None:
    for inline in inlines:
        match inline:
            case Text(text):
                if rest := _closed(line, text):
                    run = line.add_run(plain(rest))
                    run.bold, run.italic = bold or None, slant or None
            case Emphasis(inner, strong):
                _inlines(line, inner, content, words, bold=bold or strong, slant=slant or not strong)
            case Hole(index):
                filling = content.fillings[index]
                if isinstance(filling, str):
                    line.add_run(plain(filling))
                else:
                    add_maths(line, filling, words)
            case LineBreak():
                line.add_run().add_break()
            case _:
                assert_never(inline)


def _closed(line: Line, text: str) -> str:
    """A text without the marks that close a formula right before it: they go into the formula, for some word processors
    begin a new line between the two. In a line that runs to the left they would come to stand before it."""
    before = line._p[-1] if len(line._p) else None
    if before is None or not str(before.tag).endswith("}oMath"):
        return text
    rest = text.lstrip(".,;:?!")
    closing = text[: len(text) - len(rest)]
    if closing and runs_left(line.text):
        return text
    if closing:
        run = omml.words_run(closing).replace("<m:r>", f'<m:r xmlns:m="{omml.NAMESPACE}">', 1)
        before.append(parse_xml(run))
    return rest


def add_blocks(box: Box, content: Content, words: Words, millimetres: float = NUMBERS) -> Line:
    """A whole text below what is there; the last paragraph, in which more may be put."""
    last: Line | None = None
    for block in content.shape.blocks:
        last = _block(box, block, content, words, millimetres)
    return last if last is not None else indented(box.add_paragraph(), millimetres)


def _block(box: Box, block: Block, content: Content, words: Words, millimetres: float) -> Line:
    match block:
        case Paragraph(inlines):
            line = indented(box.add_paragraph(), millimetres)
            _inlines(line, inlines, content, words)
            return line
        case Listing(items, start):
            line = indented(box.add_paragraph(), millimetres)
            for number, item in enumerate(items, start or 0):
                line = indented(box.add_paragraph(), millimetres + 6)
                line.paragraph_format.first_line_indent = Mm(-6)
                line.add_run("•\t" if start is None else f"{number}.\t")
                for inner in item:
                    _flat(line, inner, content, words)
            return line
        case Table():
            _table(box, block, content, words, millimetres)
            return indented(box.add_paragraph(), millimetres)
        case _:
            assert_never(block)


def _table(box: Box, given: Table, content: Content, words: Words, start: float) -> None:
    """A table with lines, set in by so many millimetres and kept with what follows."""
    rows = (given.header, *given.rows)
    columns = max(*(len(row) for row in rows), 1)
    table = box.add_table(rows=0, cols=columns)
    table.style = "Table Grid"
    table.autofit = False
    room = sum(column.width for column in table.columns) - Mm(start)
    _set_in(table, start)
    for number, row in enumerate(rows):
        cells = whole_row(table).cells
        for cell in cells:
            cell.width = room // columns
            cell.paragraphs[0].paragraph_format.keep_with_next = True
        for place, inlines in enumerate(row):
            _inlines(cells[place].paragraphs[0], inlines, content, words, bold=number == 0)
            alignment = given.alignments[place] if place < len(given.alignments) else ""
            cells[place].paragraphs[0].alignment = _ALIGNMENTS.get(alignment)
    for column in table.columns:
        column.width = room // columns


def within_margins(table: Any) -> None:
    """A table with lines that begins at the margin: word processors set the text of its first column there."""
    _set_in(table, CELL_EDGE)


def evenly_apart(line: Line) -> Line:
    """A line in a cell with lines, as far from the one above it as from the one below."""
    line.paragraph_format.space_before = line.paragraph_format.space_after = Pt(2)
    return line


def _set_in(table: Any, millimetres: float) -> None:
    # the order of properties is part of the format: ISO/IEC 29500-1, 17.4.59
    table.autofit = False
    table._tbl.tblPr.find(qn("w:tblLayout")).addprevious(_width("w:tblInd", millimetres))


def add_picture(line: Line, figure: Figure, facts: PaperFacts, widest: float) -> None:
    """A picture at the end of a line, as native shapes with its description, at most so many millimetres wide."""
    add_drawing(line, drawing(figure, facts.words), widest, enlarged(facts.looks))


def add_drawing(line: Line, picture: Drawing, widest: float, scale: Fraction = Fraction(1)) -> None:
    """The same from a drawing, so much larger, at most so many millimetres wide."""
    scale = min(scale, Fraction(widest) / picture.width)
    line.add_run()._r.append(parse_xml(drawingml(picture, 0, scale)))


def add_frame(column: Column, millimetres: float) -> None:
    """An empty frame, so high."""
    table = column.box.add_table(rows=1, cols=1)
    table.style = "Table Grid"
    row = table.rows[0]
    row.height, row.height_rule = Mm(millimetres), WD_ROW_HEIGHT_RULE.EXACTLY


def add_stem_picture(
    box: Box, figure: Figure | None, facts: PaperFacts, start: float = NUMBERS, widest: float = 0
) -> None:
    """The picture of a stem in a line of its own, set in by so many millimetres; widest: 0 for as wide as the page."""
    if figure is not None:
        line = indented(box.add_paragraph(), start)
        line.paragraph_format.space_before = Pt(4)
        line.paragraph_format.line_spacing = 1.0
        add_picture(line, figure, facts, widest or text_width(facts) - start)


def apart(document: Docx) -> None:
    """A thin line behind a table: two would else become one."""
    line = indented(document.add_paragraph())
    line.paragraph_format.space_after = Pt(0)
    line.paragraph_format.line_spacing = Pt(2)


def bare_table(document: Docx, columns: int, start: float = NUMBERS, *, tight: bool = False) -> Any:
    """A table without lines and rows, set in by so many millimetres; a tight one leaves no room at its cells' edges."""
    table = document.add_table(rows=0, cols=columns)
    table.autofit = False
    _set_in(table, start)
    if tight:
        without_edges(table)
    return table


def without_edges(table: Any) -> None:
    """A table whose cells leave no room at their edges; its layout is fixed."""
    margins = OxmlElement("w:tblCellMar")
    for side in ("w:left", "w:right"):
        margins.append(_width(side, 0))
    table._tbl.tblPr.find(qn("w:tblLayout")).addnext(margins)


def _width(name: str, millimetres: float) -> Any:
    element = OxmlElement(name)
    element.set(qn("w:w"), str(int(Mm(millimetres).twips)))
    element.set(qn("w:type"), "dxa")
    return element


def at_each_page(row: Any) -> None:
    """A row at the head of a table, which stands again on every page that the table goes on to."""
    row._tr.get_or_add_trPr().append(OxmlElement("w:tblHeader"))


def whole_row(table: Any) -> Any:
    """A new row that no page parts."""
    row = table.add_row()
    row._tr.get_or_add_trPr().append(OxmlElement("w:cantSplit"))
    return row


# --- responses


def options_line(
    column: Column,
    options: Sequence[tuple[str, Content | Maths]],
    columns: int,
    facts: PaperFacts,
) -> Line:
    """Lettered options in so many columns, below what is there; the last line of them."""
    if columns == 1:
        for name, content in options:
            line = column.hanging(f"{plain(name)}\t")
            add_content(line, content, facts.words)
        return line
    start = column.start
    width = (column.width - start - 12) / columns
    line = column.line()
    for index, (name, content) in enumerate(options):
        if index and index % columns == 0:
            line = column.line()
        for place in range(columns):
            line.paragraph_format.tab_stops.add_tab_stop(Mm(start + place * width + LETTERS))
            if place < columns - 1:
                line.paragraph_format.tab_stops.add_tab_stop(Mm(start + (place + 1) * width))
        line.add_run("\t" if index % columns else "")
        line.add_run(f"{plain(name)}\t").bold = True
        add_content(line, content, facts.words)
    # columns that stay empty have their tab stops too, before the one for the marks
    line.add_run("\t\t" * (-len(options) % columns))
    return line


def ruled(line: Line) -> None:
    """A rule below a line, and between it and one like it."""
    borders = OxmlElement("w:pBdr")
    for side in ("w:bottom", "w:between"):
        border = OxmlElement(side)
        for name, value in (("val", "single"), ("sz", "4"), ("space", "1"), ("color", "auto")):
            border.set(qn(f"w:{name}"), value)
        borders.append(border)
    # the order of properties is part of the format: ISO/IEC 29500-1, 17.3.1.26
    spacing: Any = line._p.get_or_add_pPr().find(qn("w:spacing"))
    spacing.addprevious(borders)


def right_tab(line: Line, width: float) -> None:
    """A place at the right edge, for marks."""
    line.paragraph_format.tab_stops.add_tab_stop(Mm(width), WD_TAB_ALIGNMENT.RIGHT)


def width_of(maths: Maths, facts: PaperFacts) -> float:
    """About how many millimetres mathematics takes in a line; rather more than less, whatever the font."""
    return lettering(maths).width * letters_size(facts) * 0.353 / 1000 * 1.3 + 5
