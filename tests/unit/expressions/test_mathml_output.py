"""MathML as a whole: well-formed, only elements of MathML Core, everything escaped, fences in rows of their own."""

from __future__ import annotations

from fractions import Fraction
from xml.etree import ElementTree

import pytest

from itembank.errors import DomainError
from itembank.expressions import display, mathml
from itembank.expressions.display import Maths
from itembank.expressions.layout import lay_out
from itembank.expressions.layout_nodes import NoSolution
from itembank.expressions.parser import parse

NAMESPACE = "{http://www.w3.org/1998/Math/MathML}"
# the element list of MathML Core, as far as this package needs it
PRESENTATION = {"math", "semantics", "mrow", "mn", "mi", "mo", "msub", "mfrac", "msup", "msqrt", "mroot", "mtext",
                "mspace", "annotation-xml"}  # fmt: skip
CHILDREN = {"mfrac": 2, "msup": 2, "msub": 2, "mroot": 2, "semantics": 2}
SOURCES = [
    "x^2 - 8*x + 3 = 0", "x = 4 ± sqrt(13)", "(x + 1)^2/(2*x)", "root(x, 3) < 2 and y >= 1", "abs(x)*alpha_1",
    "gcd(x, 4) != 2", "(x, y) = (1, -2)", "1 <= x < 3", "x = 2 or x = 3", "x^(y + 1)", "(1/2)^x", "is_square(x)",
]  # fmt: skip


def shown(source: str) -> Maths:
    return Maths(lay_out(parse(source), 0))


def elements(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


@pytest.mark.parametrize("source", SOURCES)
def test_a_formula_is_well_formed_and_uses_core_elements_with_their_number_of_parts(source: str) -> None:
    root = elements(mathml.mathml(shown(source)))
    (semantics,) = root
    row, annotation = semantics

    assert f"{NAMESPACE}math" == root.tag
    assert "MathML-Content" == annotation.get("encoding")
    for element in row.iter():
        name = element.tag.removeprefix(NAMESPACE)
        assert name in PRESENTATION
        assert len(element) == CHILDREN.get(name, len(element))
        assert "-" not in (element.text or "")


@pytest.mark.parametrize("source", SOURCES)
def test_without_the_annotation_the_same_is_shown(source: str) -> None:
    bare = mathml.mathml(shown(source), annotated=False)

    assert "semantics" not in bare
    assert mathml.presentation(shown(source)) in bare
    assert elements(bare).get("alttext") == elements(mathml.mathml(shown(source))).get("alttext")


def test_the_text_alternative_is_what_is_spoken() -> None:
    text = mathml.mathml(shown("0 < x^2 and y > 1"))

    assert "0 is less than x squared and y is greater than 1" == elements(text).get("alttext")


def test_numbers_fill_the_text_alternative_too() -> None:
    from itembank.expressions import canonical
    from itembank.expressions.plan import make_plan

    plan = make_plan(parse("x < h"), ("h",), lambda name: None, lambda node: node)
    text = mathml.mathml(plan.fill((canonical.integer(-17),)), display="block")

    assert "x is less than negative 17" == elements(text).get("alttext")
    assert "block" == elements(text).get("display")
    assert text.count("17") == 3


def test_decimals_and_exponents_in_holes_are_spoken_too() -> None:
    raised = display.Raised(display.Numeral(0), display.Numeral(1))
    numbers = (display.Decimal(Fraction(3, 2), 2), 3)

    text = mathml.mathml(Maths(display.Shape(raised, 2), numbers))

    assert "1 point 5 0 cubed" == elements(text).get("alttext")
    assert "<mn>1.50</mn><mn>3</mn>" in text


def test_mathematics_is_inline_or_a_block() -> None:
    with pytest.raises(DomainError):
        mathml.mathml(shown("x"), display="wide")


def test_no_solution_is_words_and_the_empty_set() -> None:
    nothing = Maths(lay_out(NoSolution(), 0))

    assert "<mtext>no real solution</mtext>" == mathml.presentation(nothing)
    assert "<emptyset/>" == mathml.content(nothing)
    assert elements(mathml.mathml(nothing)).get("alttext") == "no real solution"


def test_brackets_and_bars_stand_in_rows_of_their_own() -> None:
    for source in ("(x + 1)*(y/2)", "abs(x)*(y/2)", "(x, y) = (1, 2)", "gcd(x, y)"):
        root = elements(f"<mrow>{mathml.presentation(shown(source))}</mrow>")
        fences = {"(", ")", "|"}
        for row in root.iter():
            held = [child.text for child in row if child.tag == "mo" and child.text in fences]
            assert not held or (len(held) == 2 and row[0].text in fences and row[-1].text in fences)


def test_signs_are_the_true_characters() -> None:
    text = mathml.presentation(shown("-x*y != 2*3^x - 1"))

    assert [char for char in "−⁢×≠" if char not in text] == []
