"""Pictures as native shapes: each mark where the neutral drawing has it, in English Metric Units."""

from __future__ import annotations

from fractions import Fraction

import pytest
from lxml import etree

from itembank.figures import Figure, drawing, in_words
from itembank.figures.drawing import (
    Curve,
    Dot,
    Drawing,
    Label,
    Line,
    Mark,
    Rectangle,
    bounds,
    hatching,
    label_corner,
)
from itembank.figures.drawingml import NAMESPACES, drawingml
from itembank.figures.lettering import lettering
from tests.figure_samples import FIGURES, NUMBER_LINES

# Source: ISO/IEC 29500-1, 20.1.10.16: 914 400 EMU are an inch, which is 25.4 mm.
EMU = Fraction(914_400 * 10, 254)


def _tree(figure: Figure, number: int = 1, scale: Fraction = Fraction(1)) -> etree._Element:
    return etree.fromstring(drawingml(drawing(figure), number, scale))


def _found(node: etree._Element, path: str) -> list[etree._Element]:
    found = node.xpath(path, namespaces=NAMESPACES)
    assert isinstance(found, list)
    return found


def _box(shape: etree._Element) -> tuple[int, int, int, int]:
    """(left, top, width, height) of a shape."""
    (off,), (ext,) = _found(shape, "wps:spPr/a:xfrm/a:off"), _found(shape, "wps:spPr/a:xfrm/a:ext")
    return int(off.get("x")), int(off.get("y")), int(ext.get("cx")), int(ext.get("cy"))


def _points(shape: etree._Element) -> list[tuple[int, int]]:
    """The places of a path in the group."""
    left, top, width, height = _box(shape)
    (path,) = _found(shape, ".//a:path")
    assert (str(width), str(height)) == (path.get("w"), path.get("h"))
    return [(left + int(at.get("x")), top + int(at.get("y"))) for at in _found(path, ".//a:pt")]


def _near(found: tuple[int, int], x: Fraction, y: Fraction, picture: Drawing) -> None:
    """A place is the nearest one in whole EMU (two of them where a difference was taken)."""
    assert abs(found[0] - x * EMU) <= 1
    assert abs(found[1] - (picture.height - y) * EMU) <= 1


def _shapes_of(mark: Mark) -> int:
    match mark:
        case Line():
            return 1 + mark.arrow
        case Rectangle():
            return bool(list(hatching(mark))) + bool(mark.fill in {"tint", "white"} or mark.outline)
        case _:
            return 1


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: in_words(drawing(figure))[:60])
def test_every_mark_is_a_shape_at_its_exact_place(figure: Figure) -> None:
    picture = drawing(figure)
    shapes = _found(_tree(figure), ".//wpg:wgp/wps:wsp")
    for mark in picture.marks:
        if isinstance(mark, Label):
            shapes = _label(mark, shapes, picture)
            continue
        count = _shapes_of(mark)
        own, shapes = shapes[:count], shapes[count:]
        match mark:
            case Line(points):
                for found, point in zip(_points(own[0]), points, strict=True):
                    _near(found, *point, picture)
            case Curve(start, control, end):
                assert 1 == len(_found(own[0], ".//a:quadBezTo"))
                for found, point in zip(_points(own[0]), (start, control, end), strict=True):
                    _near(found, *point, picture)
            case Dot(centre, radius):
                left, top, width, height = _box(own[0])
                _near((left + width // 2, top + height // 2), *centre, picture)
                assert abs(width - 2 * radius * EMU) <= 1
                assert abs(height - width) <= 1
            case Rectangle(corner, width, height):
                lines = [point for line in hatching(mark) for point in line]
                if lines:
                    for found, point in zip(_points(own[0]), lines, strict=True):
                        _near(found, *point, picture)
                if count > bool(lines):
                    left, top, across, down = _box(own[-1])
                    _near((left, top + down), *corner, picture)
                    assert abs(across - width * EMU) <= 1
                    assert abs(down - height * EMU) <= 1
    assert [] == shapes


def _label(label: Label, shapes: list[etree._Element], picture: Drawing) -> list[etree._Element]:
    """The text boxes of a label: its letters, their base lines (an exact line's lies four fifths down) and strokes."""
    laid, (corner, size) = lettering(label.text), label_corner(label)
    runs = list(laid.runs)
    while runs:
        box, shapes = shapes[0], shapes[1:]
        (spacing,) = _found(box, ".//w:spacing")
        assert "exact" == spacing.get(f"{{{NAMESPACES['w']}}}lineRule")
        letters = [text.text for text in _found(box, ".//w:t") if text.text and text.text.strip()]
        own, runs = runs[: len(letters)], runs[len(letters) :]
        assert [run.text for run in own] == letters
        line = Fraction(int(spacing.get(f"{{{NAMESPACES['w']}}}line")), 20) * Fraction(254, 720)
        left, top, width, _ = _box(box)
        base = picture.height - Fraction(top) / EMU - line * 4 / 5
        assert abs(base - corner.y - own[0].y * size / 1000) < Fraction(1, 50)  # a twentieth of a point
        # letters of another font grow from where they are held, so that a base and its exponent never meet
        (side,) = (each.get(f"{{{NAMESPACES['w']}}}val") for each in _found(box, ".//w:jc"))
        begin, end = (Fraction(x) * size / 1000 for x in (own[0].x, own[-1].x + own[-1].width))
        at, held = {
            "center": (left + Fraction(width, 2), (begin + end) / 2),
            "right": (Fraction(left + width), end),
            "left": (Fraction(left), begin),
        }[side]
        assert abs(at / EMU - corner.x - held) < Fraction(1, 1000)
        follows = runs[:1] and runs[0].y > own[-1].y and runs[0].size < own[-1].size
        assert bool(follows) == (side == "right")
        slanted = _found(box, ".//w:r[w:rPr/w:i]/w:t")
        assert [run.text for run in own if run.slanted] == [text.text for text in slanted]
    for stroke in laid.strokes:
        box, shapes = shapes[0], shapes[1:]
        for found, (x, y) in zip(_points(box), stroke, strict=True):
            _near(found, corner.x + x * size / 1000, corner.y + y * size / 1000, picture)
    return shapes


@pytest.mark.parametrize("figure", FIGURES[::5])
def test_the_picture_is_as_large_as_the_drawing_and_told_in_words(figure: Figure) -> None:
    picture, root = drawing(figure), _tree(figure, 7)
    (extent,), (told,) = _found(root, ".//wp:extent"), _found(root, ".//wp:docPr")

    assert abs(int(extent.get("cx")) - picture.width * EMU) <= 1
    assert abs(int(extent.get("cy")) - picture.height * EMU) <= 1
    assert in_words(picture) == told.get("descr")
    assert "7" == told.get("id")
    assert [f"[{told.get('descr')}]"] == [text.text for text in _found(root, "mc:Fallback/w:t")]
    assert [] == _found(root, ".//*[local-name()='blip' or local-name()='imagedata']")


def test_nothing_but_letters_leaves_the_frame() -> None:
    for figure in FIGURES:
        picture = drawing(figure)
        frame = picture.frame
        for shape in _found(_tree(figure), ".//wps:wsp[not(wps:cNvSpPr/@txBox)]"):
            left, top, width, height = _box(shape)
            assert left >= 0
            assert top >= 0
            assert left + width <= frame.right * EMU + 1
            assert top + height <= frame.top * EMU + 1
        assert all(bounds(mark).lies_within(frame) for mark in picture.marks)


@pytest.mark.parametrize("scale", [Fraction(1, 2), Fraction(3, 2)])
def test_a_picture_is_made_larger_and_smaller_as_a_whole(scale: Fraction) -> None:
    figure = NUMBER_LINES[0]  # letters of one size only
    picture, root = drawing(figure), _tree(figure, 1, scale)
    (shown,), (inner,), (outer,) = (
        _found(root, path) for path in (".//wp:extent", ".//wpg:grpSpPr//a:chExt", ".//wpg:grpSpPr//a:ext")
    )

    assert shown.attrib == outer.attrib
    for name, length in (("cx", picture.width), ("cy", picture.height)):
        assert abs(int(inner.get(name)) - length * EMU) <= 1
        assert abs(int(shown.get(name)) - length * scale * EMU) <= 1
    letters = {int(size.get(f"{{{NAMESPACES['w']}}}val")) for size in _found(root, ".//w:sz")}
    assert max(letters) == round(20 * scale)
