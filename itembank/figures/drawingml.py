"""The rendering for word-processing documents: a drawing as a group of native shapes that can be edited.

Lines, curves, rectangles and dots are shapes at their exact places in English Metric Units; a label is one text box
for each stretch of letters on one base line. The base line is exact whatever the font: a line of exact height has it
four fifths down. This is the one place of this rendering where text is escaped and a `<` is written.
Source: ISO/IEC 29500-1, 20.1 (DrawingML shapes; 20.1.10.16: 36 000 EMU for a millimetre) and 20.4 (inline drawings);
ISO/IEC 29500-3, 9.3 (alternate content): a reader that knows no group of shapes shows the description in its place.
The four fifths: common practice, no source (read off what two word processors print).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple, assert_never

from itembank.figures import in_words
from itembank.figures.drawing import (
    WEIGHTS,
    Box,
    Curve,
    Dot,
    Drawing,
    Label,
    Line,
    Mark,
    Point,
    Rectangle,
    bounds,
    hatching,
    label_corner,
)
from itembank.figures.lettering import Run, lettering
from itembank.figures.svg import arrow_head

__all__ = ["EMU", "drawingml", "rendered"]

EMU: Final = 36_000
"""English Metric Units of a millimetre."""

NAMESPACES: Final = {
    "w": "http://schemas.openxmlformats.org/wordprocessingml/2006/main",
    "mc": "http://schemas.openxmlformats.org/markup-compatibility/2006",
    "wp": "http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing",
    "a": "http://schemas.openxmlformats.org/drawingml/2006/main",
    "wpg": "http://schemas.microsoft.com/office/word/2010/wordprocessingGroup",
    "wps": "http://schemas.microsoft.com/office/word/2010/wordprocessingShape",
}
_INK, _TINT, _PAPER = "000000", "E4E4E4", "FFFFFF"
_FONT: Final = "Cambria"
_LEADING: Final = Fraction(5, 4)
"""Height of an exact line for its letters' size: what is above its base line is then their size."""

_GAP: Final = 700
"""Letters further apart than this, in thousandths of their size, are two stretches; nearer ones have a blank."""

_POINTS: Final = Fraction(72 * 10, 254)
"""Points of a millimetre."""


def drawingml(picture: Drawing, number: int, scale: Fraction = Fraction(1)) -> str:
    """A drawing as the `mc:AlternateContent` of a run, its namespaces declared.

    number: tells it from the other pictures of a document, 0 where the document numbers them itself. scale: how much
    larger than drawn the whole picture is shown, its letters with it.
    """
    return rendered(picture, scale).replace('id="0" name="0"', f'id="{number}" name="{number}"', 1)


@lru_cache(maxsize=512)
def rendered(picture: Drawing, scale: Fraction) -> str:
    """The same from a drawing, with the number 0."""
    told = _escaped(in_words(picture))
    pen = _Pen(picture.height, scale)
    width, height = _emu(picture.width), _emu(picture.height)
    shown = f'cx="{_emu(picture.width * scale)}" cy="{_emu(picture.height * scale)}"'
    names = "".join(f' xmlns:{prefix}="{uri}"' for prefix, uri in NAMESPACES.items())
    shapes = "".join(shape for mark in picture.marks for shape in pen.mark(mark))
    return (
        f'<mc:AlternateContent{names}><mc:Choice Requires="wpg"><w:drawing><wp:inline distT="0" distB="0" distL="0"'
        f' distR="0"><wp:extent {shown}/><wp:docPr id="0" name="0" descr="{told}"/>'
        f'<wp:cNvGraphicFramePr/><a:graphic><a:graphicData uri="{NAMESPACES["wpg"]}"><wpg:wgp><wpg:cNvGrpSpPr/>'
        f'<wpg:grpSpPr><a:xfrm><a:off x="0" y="0"/><a:ext {shown}/><a:chOff x="0" y="0"/>'
        f'<a:chExt cx="{width}" cy="{height}"/></a:xfrm></wpg:grpSpPr>{shapes}</wpg:wgp></a:graphicData></a:graphic>'
        f"</wp:inline></w:drawing></mc:Choice><mc:Fallback><w:t>[{told}]</w:t></mc:Fallback></mc:AlternateContent>"
    )


class _Stretch(NamedTuple):
    """Letters of one size on one base line, in thousandths of the label's size."""

    runs: tuple[Run, ...]

    @property
    def right(self) -> int:
        return self.runs[-1].x + self.runs[-1].width


class _Pen:
    def __init__(self, height: Fraction, scale: Fraction) -> None:
        self.height, self.scale = height, scale

    def mark(self, mark: Mark) -> Iterator[str]:
        match mark:
            case Line(points, weight, dashed, arrow):
                yield self._path([points], _pen(weight, dashed), "<a:noFill/>")
                if arrow:
                    yield self._path([arrow_head(mark)], _NO_LINE, _filled(_INK), closed=True)
            case Curve(start, control, end, weight):
                yield self._curve(start, control, end, weight)
            case Rectangle():
                yield from self._rectangle(mark)
            case Dot(centre, radius, is_full):
                box = Box(centre.x, centre.y, centre.x, centre.y).grown(radius)
                yield self._shape(
                    box, _preset("ellipse"), _filled(_INK if is_full else _PAPER), _pen("medium")
                )
            case Label():
                yield from self._label(mark)
            case _:
                assert_never(mark)

    def _shape(self, box: Box, geometry: str, fill: str, line: str, text: str = "") -> str:
        body = (
            f"<wps:txbx><w:txbxContent>{text}</w:txbxContent></wps:txbx>{_TIGHT}" if text else "<wps:bodyPr/>"
        )
        kind = ' txBox="1"' if text else ""
        left, top = _emu(box.left), _emu(self.height - box.top)
        across, down = _emu(box.right) - left, _emu(self.height - box.bottom) - top
        return (
            f'<wps:wsp><wps:cNvSpPr{kind}/><wps:spPr><a:xfrm><a:off x="{left}" y="{top}"/>'
            f'<a:ext cx="{across}" cy="{down}"/></a:xfrm>{geometry}{fill}{line}</wps:spPr>{body}</wps:wsp>'
        )

    def _path(self, lines: Sequence[Sequence[Point]], line: str, fill: str, *, closed: bool = False) -> str:
        """Straight lines through points as one shape, as large as what they reach."""
        box = Box.around(Box(point.x, point.y, point.x, point.y) for points in lines for point in points)
        moves = "".join(
            f"<a:moveTo>{self._at(points[0], box)}</a:moveTo>"
            + "".join(f"<a:lnTo>{self._at(point, box)}</a:lnTo>" for point in points[1:])
            for points in lines
        )
        return self._shape(box, self._geometry(moves + ("<a:close/>" if closed else ""), box), fill, line)

    def _curve(self, start: Point, control: Point, end: Point, weight: str) -> str:
        box = bounds(Curve(start, control, end, weight)).grown(-WEIGHTS[weight] / 2)
        at = [self._at(point, box) for point in (start, control, end)]
        moves = f"<a:moveTo>{at[0]}</a:moveTo><a:quadBezTo>{at[1]}{at[2]}</a:quadBezTo>"
        return self._shape(box, self._geometry(moves, box), "<a:noFill/>", _pen(weight))

    def _geometry(self, moves: str, box: Box) -> str:
        width = _emu(box.right) - _emu(box.left)
        height = _emu(self.height - box.bottom) - _emu(self.height - box.top)
        return (
            '<a:custGeom><a:avLst/><a:gdLst/><a:ahLst/><a:cxnLst/><a:rect l="0" t="0" r="r" b="b"/><a:pathLst>'
            f'<a:path w="{width}" h="{height}">{moves}</a:path></a:pathLst></a:custGeom>'
        )

    def _at(self, point: Point, box: Box) -> str:
        x = _emu(point.x) - _emu(box.left)
        y = _emu(self.height - point.y) - _emu(self.height - box.top)
        return f'<a:pt x="{x}" y="{y}"/>'

    def _rectangle(self, mark: Rectangle) -> Iterator[str]:
        (left, bottom), right, top = mark.corner, mark.corner.x + mark.width, mark.corner.y + mark.height
        box = Box(left, bottom, right, top)
        colour = {"tint": _TINT, "white": _PAPER}.get(mark.fill)
        fill = _filled(colour) if colour else "<a:noFill/>"
        if lines := list(hatching(mark)):
            yield self._path(lines, _pen("thin"), "<a:noFill/>")
        if colour or mark.outline:
            outline = _pen(mark.outline, mark.dashed) if mark.outline else _NO_LINE
            yield self._shape(box, _preset("rect"), fill, outline)

    def _label(self, label: Label) -> Iterator[str]:
        corner, size = label_corner(label)
        laid, unit = lettering(label.text), size / 1000
        stretches = list(_stretches(laid.runs))
        for number, stretch in enumerate(stretches):
            first = stretch.runs[0]
            side = _side(stretch, stretches[:number], stretches[number + 1 :])
            letters = size * first.size / 1000
            base = corner.y + first.y * unit
            # room on both sides, so that wider letters of another font stand in the middle of their place
            spare = letters / 2 + (stretch.right - first.x) * unit / 6
            before = {"center": spare, "right": 2 * spare, "left": Fraction(0)}[side]
            box = Box(
                corner.x + first.x * unit - before, base - letters / 4,
                corner.x + stretch.right * unit + 2 * spare - before, base + letters,
            )  # fmt: skip
            told = self._letters(stretch, letters, side)
            yield self._shape(box, _preset("rect"), "<a:noFill/>", _NO_LINE, told)
        for stroke in laid.strokes:
            points = tuple(Point(corner.x + x * unit, corner.y + y * unit) for x, y in stroke)
            yield self._path([points], _pen("thin"), "<a:noFill/>")

    def _letters(self, stretch: _Stretch, letters: Fraction, side: str) -> str:
        """A paragraph whose line is as high as its box, so that its base line is where it is meant to be."""
        letters *= self.scale
        twips, halves = _whole(letters * _LEADING * _POINTS * 20), _whole(letters * _POINTS * 2)
        runs = "".join(_run(text, slanted, halves) for text, slanted in _texts(stretch.runs))
        return (
            f'<w:p><w:pPr><w:spacing w:before="0" w:after="0" w:line="{twips}" w:lineRule="exact"/>'
            f'<w:ind w:left="0" w:firstLine="0"/><w:jc w:val="{side}"/></w:pPr>{runs}</w:p>'
        )


def _stretches(runs: Sequence[Run]) -> Iterator[_Stretch]:
    """Runs that stand beside one another on one base line in one size."""
    begun: list[Run] = []
    for run in runs:
        last = begun[-1] if begun else run
        apart = run.x - last.x - last.width
        if begun and ((run.y, run.size) != (last.y, last.size) or not -1 <= apart * 1000 <= _GAP * run.size):
            yield _Stretch(tuple(begun))
            begun = []
        begun.append(run)
    if begun:
        yield _Stretch(tuple(begun))


def _side(stretch: _Stretch, before: Sequence[_Stretch], behind: Sequence[_Stretch]) -> str:
    """To which side letters stand: an exponent and its base meet where they were drawn, whatever the font."""
    if behind and _raised(behind[0], stretch):
        return "right"
    return "left" if before and _raised(stretch, before[-1]) else "center"


def _raised(stretch: _Stretch, base: _Stretch) -> bool:
    """Whether letters stand higher than those before them, and are smaller."""
    (first, *_), (*_, last) = stretch.runs, base.runs
    return first.size < last.size and first.y > last.y


def _texts(runs: Sequence[Run]) -> Iterator[tuple[str, bool]]:
    """The letters of a stretch with the blanks between them."""
    end = runs[0].x
    for run in runs:
        if (run.x - end) * 1000 > 100 * run.size:
            yield "\u2005", False
        yield run.text, run.slanted
        end = run.x + run.width


def _run(text: str, slanted: bool, halves: int) -> str:
    slant = "<w:i/>" if slanted else ""
    return (
        f'<w:r><w:rPr><w:rFonts w:ascii="{_FONT}" w:hAnsi="{_FONT}" w:cs="{_FONT}" w:eastAsia="{_FONT}"/>{slant}'
        f'<w:sz w:val="{halves}"/></w:rPr><w:t xml:space="preserve">{_escaped(text)}</w:t></w:r>'
    )


def _preset(name: str) -> str:
    return f'<a:prstGeom prst="{name}"><a:avLst/></a:prstGeom>'


def _filled(colour: str) -> str:
    return f'<a:solidFill><a:srgbClr val="{colour}"/></a:solidFill>'


_NO_LINE: Final = "<a:ln><a:noFill/></a:ln>"
_TIGHT: Final = (
    '<wps:bodyPr wrap="square" lIns="0" tIns="0" rIns="0" bIns="0" anchor="t" anchorCtr="0">'
    "<a:noAutofit/></wps:bodyPr>"
)


def _pen(weight: str, dashed: bool = False) -> str:
    width = WEIGHTS[weight]
    dashes = ""
    if dashed:
        # lengths of dashes are told in thousandths of a hundredth of the line's width
        on, off = (_whole(length / width * 100_000) for length in (Fraction(3, 2), Fraction(1)))
        dashes = f'<a:custDash><a:ds d="{on}" sp="{off}"/></a:custDash>'
    return f'<a:ln w="{_emu(width)}" cap="rnd">{_filled(_INK)}{dashes}<a:round/></a:ln>'


def _emu(millimetres: Fraction) -> int:
    return _whole(millimetres * EMU)


def _whole(value: Fraction) -> int:
    """The nearest whole number, halves upward: no float is needed."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def _escaped(text: str) -> str:
    for character, entity in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        text = text.replace(character, entity)
    return text
