"""The pieces both documents are built of: page, styles, texts with mathematics, options and answer boxes."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final, TypeAlias, assert_never

from docx import Document
from docx.enum.section import WD_SECTION
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
from itembank.expressions.conventions import USUAL, conventions_of
from itembank.expressions.display import Maths
from itembank.figures import Figure, drawing
from itembank.figures.drawing import Drawing
from itembank.figures.drawingml import drawingml
from itembank.figures.lettering import lettering
from itembank.items import Blank
from itembank.words import Words
from itembank.words.direction import is_right_to_left
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import letter
from itembank.writers.points import PointBlank
from itembank.writers.space import enlarged
from itembank.writers.word.characters import plain
from itembank.writers.word.direction import run_their_way, runs_left

if TYPE_CHECKING:
    from docx.document import Document as Docx
    from docx.text.paragraph import Paragraph as Line

Box: TypeAlias = Any
"""A document, or a cell of a table: python-docx lets both be written into alike."""

__all__ = [
    "CELL_EDGE", "MARGIN", "NUMBERS", "Column", "add_blocks", "add_boxes", "add_code", "add_content", "add_drawing",
    "add_frame", "add_maths", "add_picture", "add_stem_picture", "apart", "at_each_page", "bare_table", "begun",
    "evenly_apart", "finished", "indented", "next_paper", "options_line", "right_tab", "ruled",
    "text_width", "whole_row", "width_of", "within_margins", "without_edges", "write_again", "written",
]  # fmt: skip

MARGIN: Final = 18
"""Millimetres around a page, and of the column of question numbers."""
NUMBERS: Final = 17
LETTERS: Final = 7
"""Millimetres of the column of the letters of options."""
_WIDTHS: Final = {"a4": (210, 297), "letter": (215.9, 279.4)}
CELL_EDGE: Final = 1.9
"""Millimetres beside the text of a cell, as the styles say that documents begin with: 108 twentieths of a point."""
_GAP: Final = "\u2003"
_LONG: Final = 45
"""Characters: mathematics of more may be longer than a line, in whatever letters."""
_SIGNS: Final = frozenset("=≠<≤>≥≈+−±")
_NOTHING: Final = "\u200b"
"""Before a sign that begins a piece of mathematics: some programs set none that has nothing at its left."""
# Nobody's clock: a document must say when it was made, and equal items give equal bytes.
_MADE: Final = datetime(2000, 1, 1)


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


def begun(facts: PaperFacts, kind: str, *, alone: bool = True) -> Docx:
    """An empty document with its page, styles, language, properties and foot; alone: nothing comes after it."""
    document = Document()
    section = document.sections[0]
    width, height = _WIDTHS[facts.looks.size]
    section.page_width, section.page_height = Mm(width), Mm(height)
    section.left_margin = section.right_margin = section.top_margin = Mm(MARGIN)
    section.bottom_margin = Mm(22)
    _styles(document, facts)
    _properties(document, facts, kind)
    foot = section.footer.paragraphs[0]
    foot.style = document.styles["Normal"]
    _foot(foot, facts, alone=alone)
    return document


def next_paper(document: Docx, facts: PaperFacts) -> None:
    """Another paper from a new page on, with a foot and page numbers of its own."""
    section = document.add_section(WD_SECTION.NEW_PAGE)
    # what ends a section stands in a line of its own, which might need a page of its own: the line before can carry it
    carrier = section._sectPr.getprevious()
    before = carrier.getprevious()
    before.get_or_add_pPr().append(carrier.pPr.find(qn("w:sectPr")))
    carrier.getparent().remove(carrier)
    section.footer.is_linked_to_previous = False
    foot = section.footer.paragraphs[0]
    foot.style = document.styles["Normal"]
    _foot(foot, facts, alone=False)
    if section._sectPr.find(qn("w:pgNumType")) is None:
        numbers = OxmlElement("w:pgNumType")
        numbers.set(qn("w:start"), "1")
        section._sectPr.find(qn("w:cols")).addprevious(numbers)  # the order of ISO/IEC 29500-1, 17.6.17


def written(document: Docx, start: int) -> list[Any]:
    """A copy of what stands in a document from a place on: a paper that follows changes the end of what it follows."""
    return [deepcopy(each) for each in document.element.body[start:] if each.tag != qn("w:sectPr")]


def write_again(document: Docx, elements: Iterable[Any]) -> None:
    """The same as was written elsewhere in a document, at its end."""
    last = document.element.body.sectPr
    for each in elements:
        last.addprevious(deepcopy(each))


def finished(document: Docx, facts: PaperFacts) -> bytes:
    """The document as a file, its mathematics in letters as large as the text: word processors want that said."""
    for number, picture in enumerate(document.element.body.iter(qn("wp:docPr")), 1):
        picture.set("id", str(number))
        picture.set("name", str(number))
    size, face = str(2 * letters_size(facts)), "Cambria Math"
    for run in document.element.body.iter(f"{{{omml.NAMESPACE}}}r"):
        looks, fonts, height = (OxmlElement(name) for name in ("w:rPr", "w:rFonts", "w:sz"))
        for side in ("ascii", "hAnsi"):
            fonts.set(qn(f"w:{side}"), face)
        height.set(qn("w:val"), size)
        looks.extend((fonts, height))
        run[-1].addprevious(looks)  # between what is said of the mathematics and its text
    if is_right_to_left(facts.language):
        run_their_way(document, facts.language)
    else:
        for whole in list(document.element.body.iter(f"{{{omml.NAMESPACE}}}oMath")):
            _broken(whole)
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def _broken(whole: Any) -> None:
    """Long mathematics is several pieces, each from a sign on: not every word processor breaks a line within one, and
    what is behind the margin would be lost. (In a line that runs to the left they would change places.)"""
    if len(_letters(whole)) <= _LONG:
        return
    last = whole
    for piece in list(whole)[1:]:
        if _letters(piece) in _SIGNS:
            further = parse_xml(f'<m:oMath xmlns:m="{omml.NAMESPACE}">{omml.words_run(_NOTHING)}</m:oMath>')
            last.addnext(further)
            last = further
        if last is not whole:
            last.append(piece)


def _letters(maths: Any) -> str:
    return "".join(text.text or "" for text in maths.iter(f"{{{omml.NAMESPACE}}}t"))


def text_width(facts: PaperFacts) -> float:
    """Millimetres between the margins."""
    return _WIDTHS[facts.looks.size][0] - 2 * MARGIN


def _styles(document: Docx, facts: PaperFacts) -> None:
    size = letters_size(facts)
    normal = document.styles["Normal"]
    normal.font.name, normal.font.size = "Cambria", Pt(size)
    normal.element.rPr.rFonts.set(qn("w:eastAsia"), "Cambria")
    normal.paragraph_format.space_after = Pt(3)
    normal.paragraph_format.line_spacing = 1.5 if facts.looks.wide else 1.1
    for name, points in (("Title", size + 9), ("Heading 1", size + 3), ("Heading 2", size)):
        style = document.styles[name]
        style.font.name, style.font.size, style.font.bold = "Cambria", Pt(points), True
        style.font.color.rgb = None
        fonts = style.element.rPr.rFonts
        for attribute in ("asciiTheme", "hAnsiTheme", "eastAsiaTheme", "cstheme"):
            fonts.attrib.pop(qn(f"w:{attribute}"), None)
        for colour in style.element.rPr.findall(qn("w:color")):
            style.element.rPr.remove(colour)
    for border in document.styles["Title"].element.pPr.findall(qn("w:pBdr")):
        document.styles["Title"].element.pPr.remove(border)
    language = document.styles.element.find(f".//{qn('w:lang')}")
    if language is not None:
        language.set(qn("w:val"), facts.words.language if facts.in_own_words else facts.language)


def _properties(document: Docx, facts: PaperFacts, kind: str) -> None:
    core = document.core_properties
    core.title, core.author, core.subject = (plain(text)[:255] for text in (facts.title, facts.author, kind))
    core.language = facts.language
    core.comments = core.keywords = core.last_modified_by = ""
    core.created = core.modified = _MADE
    core.revision = 1


def _foot(line: Line, facts: PaperFacts, *, alone: bool) -> None:
    """Title, version and pupil, and the page. How many there are is said where a paper is the only one of its file."""
    line.paragraph_format.tab_stops.add_tab_stop(Mm(text_width(facts)), WD_TAB_ALIGNMENT.RIGHT)
    version = facts.version_told
    told = ", ".join(part for part in (facts.title, version, facts.pupil) if part)
    line.add_run(plain(told) + "\t")
    page = facts.words("page-of", page="\0", pages="\1") if alone else facts.words("page-alone", page="\0")
    before, _, rest = page.partition("\0")
    between, _, after = rest.partition("\1")
    for text, field in ((before, "PAGE"), (between, "NUMPAGES" if alone else ""), (after, "")):
        line.add_run(text)
        if field:
            _field(line, field)
    for run in line.runs:
        run.font.size = Pt(9)


def _field(line: Line, name: str) -> None:
    """A number the word processor counts itself."""
    element = OxmlElement("w:fldSimple")
    element.set(qn("w:instr"), name)
    run = line.add_run("1")
    run.font.size = Pt(9)
    element.append(run._r)
    line._p.append(element)


# --- texts


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
        case Table(header, rows):
            _table(box, (header, *rows), content, words, millimetres)
            return indented(box.add_paragraph(), millimetres)
        case _:
            assert_never(block)


def _table(
    box: Box, rows: Sequence[tuple[tuple[Inline, ...], ...]], content: Content, words: Words, start: float
) -> None:
    """A table with lines, set in by so many millimetres and kept with what follows."""
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


_NO_BREAK: Final = "\u00a0"
_EQUALS, _OVER = f"{_NO_BREAK}={_NO_BREAK}", f"{_NO_BREAK}/{_NO_BREAK}"
_DIGIT_WIDE: Final = "\u2007"
"""A blank as wide as a digit, at which no line is parted and which is framed to the end of a line too."""
_SMALL, _NARROW, _USUAL, _WIDE = 2, 2, 4, 6
"""Blanks across a box: for a sign, for a number of a surd, for a number, for a decimal."""


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


def letters_size(facts: PaperFacts) -> int:
    """Points of the text's letters."""
    return 18 if facts.looks.large else 11


CENTRE: Final[Any] = WD_ALIGN_PARAGRAPH.CENTER
RIGHT: Final[Any] = WD_ALIGN_PARAGRAPH.RIGHT
