r"""Items whose formulas are no MathML: pictures with spoken words, or LaTeX between delimiters.

Each formula is read by a reader of its notation and put back into the document as a `math` element that stands for it,
so that every check of an item works alike. Which delimiters are used is seen where the problem is told to staff.

A picture is not looked at. What is proved of it is what is spoken of it (`alt`), and that its own annotation says the
same; whoever doubts a picture must look.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Final, TypeAlias
from urllib.parse import unquote

from lxml import etree

from itembank.audit.dialects import QTI
from itembank.audit.findings import Fault
from itembank.audit.formula import Letter, Node
from itembank.audit.formulas import MATH, Formulas, Known
from itembank.audit.latex_reader import read_latex
from itembank.audit.letters import seen_letter
from itembank.audit.speech_reader import read_speech
from itembank.audit.tongues import ENGLISH, LANGUAGE, Tongue, tongue
from itembank.audit.xml_reading import local_name, namespace, parse

__all__ = ["PICTURED", "Pictures", "stand_ins"]

PICTURED: Final = b'class="formula '
"""Bytes that only a document with pictures of formulas holds."""
_IMAGE: Final = f"{{{QTI}}}img"
_SVG: Final = "http://www.w3.org/2000/svg"
_DRAWN: Final = frozenset({"svg", "symbol", "use", "path", "rect", "g", "metadata", "title"})
_DELIMITERS: Final = ((r"\(", r"\)"), (r"\[", r"\]"), ("$$", "$$"), ("$", "$"))
# what holds no text of a page
_SILENT: Final = frozenset(
    {"qti-response-declaration", "qti-outcome-declaration", "qti-response-processing", "qti-catalog-info"}
)

_Found: TypeAlias = "dict[etree._Element, Node | None]"
"""`formulas.Known`, while it is gathered; what cannot be read is among the faults."""


@dataclass(frozen=True, slots=True)
class Pictures:
    """Reads pictures of a package, each once. read: the bytes of a member in `names`; raises Fault."""

    read: Callable[[str], bytes]
    names: frozenset[str]
    _meanings: dict[tuple[str, str], Node | Fault] = field(default_factory=dict)

    def meaning(self, name: str, words: Tongue = ENGLISH) -> Node:
        """What a picture's own annotation says. words: of the language in which it is shown.

        Raises Fault for one without, or that is more than a drawing.
        """
        key = name, words.mark + words.name
        if key not in self._meanings:
            try:
                if name not in self.names:
                    raise Fault("missing-file", "it is not in the package")
                self._meanings[key] = _annotated(parse(self.read(name)), words)
            except Fault as wrong:
                self._meanings[key] = wrong
        found = self._meanings[key]
        if isinstance(found, Fault):
            raise found
        return found


def _annotated(svg: etree._Element, words: Tongue) -> Node:
    for element in svg.iter():
        if namespace(element) == _SVG and local_name(element) not in _DRAWN:
            raise Fault("unsafe-picture", f"the picture holds {local_name(element)}, which is no drawing")
        for name, value in element.attrib.items():
            if str(name).rpartition("}")[2] == "href" and not str(value).startswith("#"):
                raise Fault("unsafe-picture", "the picture points outside itself")
            if str(name).startswith("on"):
                raise Fault("unsafe-picture", "the picture holds a script")
    maths = list(svg.iter(MATH))
    formulas = Formulas(None, words)
    node = formulas.node(maths[0]) if len(maths) == 1 else None
    if node is None or formulas.faults:
        told = f": {formulas.faults[0].message}" if formulas.faults else ""
        raise Fault("picture-without-meaning", f"the picture has no annotation of its meaning{told}")
    return node


def stand_ins(root: etree._Element, member: str, pictures: Pictures | None) -> tuple[Known, list[Fault]]:
    """Put a `math` element for every formula in another notation; nothing is done to a document with MathML.

    member: the document's name in its package; pictures: None for an item alone, whose pictures cannot be read.
    """
    known: _Found = {}
    if next(root.iter(MATH), None) is not None:
        return known, []
    images = [each for each in root.iter(_IMAGE) if "formula" in (each.get("class") or "").split()]
    if images:
        return known, [fault for image in images for fault in _pictured(image, member, pictures, known)]
    return known, list(_typeset(root, known))


# pictures


def _pictured(
    image: etree._Element, member: str, pictures: Pictures | None, known: _Found
) -> Iterator[Fault]:
    spoken = (image.get("alt") or "").strip()
    words = tongue(image.get(LANGUAGE) or image.get("lang") or _language(image))
    math = _stand_in(image, spoken)
    known[math] = None
    if not spoken:
        yield Fault("picture-without-alt", "a picture has no text for those who cannot see it")
        return
    try:
        known[math] = heard = read_speech(spoken, words)
        math.text = _seen(heard) or spoken
        if pictures is None:
            return
        name = str(PurePosixPath(member).parent / unquote(image.get("src") or ""))
        if pictures.meaning(name, words) != heard:
            yield Fault(
                "picture-differs", f"the annotation of the picture “{spoken[:80]}” says something else"
            )
    except Fault as wrong:
        yield Fault(wrong.code, f"the picture “{spoken[:80]}”: {wrong.message}")


def _language(element: etree._Element) -> str:
    """What the document says."""
    return element.getroottree().getroot().get(LANGUAGE, "")


def _stand_in(element: etree._Element, text: str) -> etree._Element:
    """A `math` element in the place of another one; the text after it stays."""
    math = etree.Element(MATH, alttext=text)
    math.text, math.tail = text, element.tail
    parent = element.getparent()
    assert parent is not None
    parent.replace(element, math)
    return math


def _seen(node: Node) -> str:
    """The characters that a candidate sees of a single letter, which may stand between boxes; "" of all else."""
    return seen_letter(node.name) if isinstance(node, Letter) else ""


# LaTeX


def _typeset(root: etree._Element, known: _Found) -> Iterator[Fault]:
    delimiters = _delimiters(root)
    if delimiters is None:
        return
    opening, closing = (rf"(?<!\\){re.escape(each)}" for each in delimiters)
    pattern, lone = re.compile(f"{opening}(.+?){closing}"), re.compile(f"{opening}|{closing}")
    for element in list(_page(root)):
        texts = [(element, "text"), *((child, "tail") for child in element)]
        for holder, attribute in reversed(texts):
            words = getattr(holder, attribute) or ""
            yield from _parted(holder, attribute, pattern, known, tongue(root.get(LANGUAGE)))
            if lone.search(pattern.sub("", words)):
                yield Fault("unread-notation", f"a delimiter stands alone in “{words.strip()[:80]}”")


def _delimiters(root: etree._Element) -> tuple[str, str] | None:
    """What stands around the problem, where it is told to staff."""
    for paragraph in root.iter(f"{{{QTI}}}p"):
        if paragraph.get("data-role") == "problem":
            told = "".join(child.tail or "" for child in paragraph).strip()
            return next((pair for pair in _DELIMITERS if told.startswith(pair[0])), None)
    return None


def _page(element: etree._Element) -> Iterator[etree._Element]:
    """Every element whose text is of a page."""
    if local_name(element) in _SILENT:
        return
    yield element
    for child in element:
        yield from _page(child)


def _parted(
    holder: etree._Element, attribute: str, pattern: re.Pattern[str], known: _Found, spoken: Tongue
) -> Iterator[Fault]:
    """Take the formulas out of a stretch of text, last first, and put their stand-ins between the words."""
    text = getattr(holder, attribute) or ""
    for found in reversed(list(pattern.finditer(text))):
        source = found[1]
        math = etree.Element(MATH)
        math.text, math.tail = source, text[found.end() :]
        text = text[: found.start()]
        setattr(holder, attribute, None)
        if attribute == "text":
            holder.insert(0, math)
        else:
            holder.addnext(math)
        setattr(holder, attribute, text)
        known[math] = None
        try:
            known[math] = read = read_latex(source, spoken)
            math.text = _seen(read) or source
        except Fault as wrong:
            yield Fault(wrong.code, f"the formula “{source[:80]}” cannot be read: {wrong.message}")
