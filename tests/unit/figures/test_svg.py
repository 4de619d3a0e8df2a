"""The rendering for screens: well-formed, harmless, with its description, and the same for the same figure."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from lxml import etree

from itembank.figures import AreaModel, Figure, drawing, in_words
from itembank.figures.drawing import Drawing, Label, Point
from itembank.figures.svg import NAMESPACE, pixels, rendered, svg
from tests.figure_samples import FIGURES

# Source: W3C, SVG 1.1 second edition, appendix K (elements); those that only draw and describe.
DRAWS = {"svg", "desc", "g", "rect", "path", "circle", "text"}


def read(figure: Figure) -> etree._Element:
    return etree.fromstring(svg(figure).encode())


@pytest.mark.parametrize("figure", FIGURES, ids=repr)
def test_a_picture_is_well_formed_and_only_draws(figure: Figure) -> None:
    names = {etree.QName(element).localname for element in read(figure).iter()}
    attributes = {str(key) for element in read(figure).iter() for key in element.attrib}

    assert names <= DRAWS
    assert {NAMESPACE} == {etree.QName(element).namespace for element in read(figure).iter()}
    assert not [key for key in attributes if key.startswith("on") or "href" in key or key in {"style", "id"}]


@pytest.mark.parametrize("figure", FIGURES, ids=repr)
def test_a_picture_says_what_it_shows(figure: Figure) -> None:
    root = read(figure)

    words = in_words(drawing(figure))
    assert words == root.get("aria-label") == root.findtext(f"{{{NAMESPACE}}}desc")
    assert "img" == root.get("role")


@pytest.mark.parametrize("figure", FIGURES, ids=repr)
def test_everything_lies_within_the_view(figure: Figure) -> None:
    root = read(figure)
    _, _, width, height = (float(number) for number in root.get("viewBox", "").split())

    for text in root.iter(f"{{{NAMESPACE}}}text"):
        assert 0 < float(text.get("x", "")) < width
        assert 0 < float(text.get("y", "")) < height
    for path in root.iter(f"{{{NAMESPACE}}}path"):
        places = [float(number) for number in re.findall(r"-?[0-9.]+", path.get("d", ""))]
        # of a curve the control point may lie outside, the curve does not
        if "Q" not in path.get("d", ""):
            assert all(-0.01 <= x <= width + 0.01 for x in places[::2])
            assert all(-0.01 <= y <= height + 0.01 for y in places[1::2])
    across, up = pixels(figure)
    assert across - 1 < width <= across
    assert up - 1 < height <= up


def test_the_same_figure_gives_the_same_bytes() -> None:
    first = rendered(drawing.__wrapped__(AreaModel("x", Fraction(5), 2)))

    assert first == rendered(drawing.__wrapped__(AreaModel("x", Fraction(5), 2)))


def test_words_are_escaped() -> None:
    label = Label(Point(Fraction(10), Fraction(10)), '<b> & "c" \x00')
    picture = Drawing(Fraction(20), Fraction(20), (label,), ('a < b & "c"',))

    root = etree.fromstring(rendered(picture).encode())

    assert '<b> & "c" \ufffd' == root.findtext(f".//{{{NAMESPACE}}}text")
    assert 'a < b & "c"' == root.get("aria-label")


def test_letters_are_slanted_and_numbers_upright() -> None:
    root = read(AreaModel("x", Fraction(6), 2))

    texts = {each.text: each.get("font-style") for each in root.iter(f"{{{NAMESPACE}}}text")}

    assert "italic" == texts["x"]
    assert texts["3"] is None
