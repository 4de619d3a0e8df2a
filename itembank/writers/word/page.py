"""A document from its first to its last: page, styles, language, foot, several papers in one, and the file."""

from __future__ import annotations

import io
from collections.abc import Iterable
from copy import deepcopy
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from docx import Document
from docx.enum.section import WD_SECTION
from docx.enum.text import WD_TAB_ALIGNMENT
from docx.opc.constants import CONTENT_TYPE, NAMESPACE
from docx.opc.spec import default_content_types
from docx.oxml import OxmlElement, parse_xml
from docx.oxml.ns import qn
from docx.shared import Mm, Pt
from lxml import etree

from itembank.expressions import omml
from itembank.words.direction import is_right_to_left
from itembank.writers.facts import PaperFacts
from itembank.writers.package import PackagePath, PackageWriter, compress
from itembank.writers.word.characters import plain
from itembank.writers.word.direction import run_their_way

if TYPE_CHECKING:
    from docx.document import Document as Docx
    from docx.text.paragraph import Paragraph as Line

__all__ = [
    "MARGIN",
    "begun",
    "finished",
    "letters_size",
    "next_paper",
    "text_width",
    "write_again",
    "written",
]

MARGIN: Final = 18
"""Millimetres around a page."""
_WIDTHS: Final = {"a4": (210, 297), "letter": (215.9, 279.4)}
_LONG: Final = 45
"""Characters: mathematics of more may be longer than a line, in whatever letters."""
_SIGNS: Final = frozenset("=≠<≤>≥≈+−±")
_NOTHING: Final = "\u200b"
"""Before a sign that begins a piece of mathematics: some programs set none that has nothing at its left."""
# Nobody's clock: a document must say when it was made, and equal items give equal bytes.
_MADE: Final = datetime(2000, 1, 1)


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
    return _packed(document)


def _packed(document: Docx) -> bytes:
    """The container, by our own writer: it holds no time, and needs none that a container can hold.

    Source: ISO/IEC 29500-2, content types and relationships.
    """
    package = document.part.package
    for part in package.parts:
        part.before_marshal()
    out = io.BytesIO()
    with PackageWriter(out) as writer:

        def add(name: str, data: bytes) -> None:
            writer.add(compress(PackagePath(name), data))

        add("[Content_Types].xml", _content_types(package.parts))
        add("_rels/.rels", package.rels.xml)
        for part in package.parts:
            add(part.partname.membername, part.blob)
            if len(part.rels):
                add(part.partname.rels_uri.membername, part.rels.xml)
    return out.getvalue()


def _content_types(parts: Iterable[Any]) -> bytes:
    usual = {"rels": CONTENT_TYPE.OPC_RELATIONSHIPS, "xml": CONTENT_TYPE.XML}
    own = {}
    for part in parts:
        if (part.partname.ext.lower(), part.content_type) in default_content_types:
            usual[part.partname.ext] = part.content_type
        else:
            own[str(part.partname)] = part.content_type
    names: Any = {None: NAMESPACE.OPC_CONTENT_TYPES}
    types = etree.Element("Types", nsmap=names)
    for name, content_type in sorted(usual.items()):
        etree.SubElement(types, "Default", Extension=name, ContentType=content_type)
    for name, content_type in sorted(own.items()):
        etree.SubElement(types, "Override", PartName=name, ContentType=content_type)
    return etree.tostring(types, encoding="UTF-8", standalone=True)


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


def letters_size(facts: PaperFacts) -> int:
    """Points of the text's letters."""
    return 18 if facts.looks.large else 11
