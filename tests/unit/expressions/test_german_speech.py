"""Spoken German: whole sentences as they are heard, and back to what is seen by the audit's own reader.

Common practice of classrooms, no source; `zum Quadrat`, `Wurzel aus`, `plus minus`, `Klammer auf`, `Klammer zu`, `ist
kleiner oder gleich` as German schoolbooks read them (from memory). No native teacher has heard them yet.
"""

from __future__ import annotations

import pytest
from lxml import etree

from itembank.audit.mathml_reader import read_presentation
from itembank.audit.speech_reader import read_speech
from itembank.audit.tongues import tongue
from itembank.expressions.conventions import conventions
from itembank.expressions.mathml import mathml
from itembank.expressions.speech import speech
from tests.samples import maths

SENTENCES = [
    ("x^2 - 8*x + 3 = 0", "x zum Quadrat minus 8 x plus 3 ist gleich 0"),
    ("x = 4 ± sqrt(13)", "x ist gleich 4 plus minus Wurzel aus 13 Ende Wurzel"),
    ("x = -4 ± 2*sqrt(13)", "x ist gleich minus 4 plus minus 2 Wurzel aus 13 Ende Wurzel"),
    ("x = -1/2", "x ist gleich minus Bruch 1 durch 2 Ende Bruch"),
    ("x = 3/4 or x = 2", "x ist gleich Bruch 3 durch 4 Ende Bruch oder x ist gleich 2"),
    ("-2 <= x and x < 5", "minus 2 ist kleiner oder gleich x und x ist kleiner als 5"),
    ("-2 < x <= 5", "minus 2 ist kleiner als x dies ist kleiner oder gleich 5"),
    ("(-1, 3)", "Punkt mit den Koordinaten minus 1 und 3 Ende Punkt"),
    ("(x + 5)^2 = 7", "Klammer auf x plus 5 Klammer zu zum Quadrat ist gleich 7"),
    ("(x - 1)*(x + 2) = 0", "Klammer auf x minus 1 Klammer zu Klammer auf x plus 2 Klammer zu ist gleich 0"),
    ("x^3 - 2^x", "x zur dritten Potenz minus 2 hoch x Ende Exponent"),
    ("root(x, 3)", "dritte Wurzel aus x Ende Wurzel"),
    ("x != 2.50", "x ist ungleich 2 Komma 5 0"),
    ("x >= mu", "x ist größer oder gleich my"),
    ("D_1 = 12", "großes d Index 1 ist gleich 12"),
    ("gcd(a, 6) = 3", "größter gemeinsamer Teiler von Klammer auf a Semikolon 6 Klammer zu ist gleich 3"),
    ("none", "keine reelle Lösung"),
]  # fmt: skip


@pytest.mark.parametrize(("shown", "heard"), SENTENCES)
def test_sentences(shown: str, heard: str) -> None:
    displayed = maths(shown)

    assert heard == speech(displayed, conventions("de"))
    markup = etree.fromstring(mathml(displayed, conventions("de")))
    assert heard == markup.get("alttext")
    assert read_presentation(markup[0][0], tongue("de")) == read_speech(heard, tongue("de"))


def test_switzerland_says_and_prints_a_decimal_point_and_austria_a_comma() -> None:
    displayed = maths("(x, y) = (2.5, 3)")

    assert "<mn>2.5</mn><mo>,</mo>" in mathml(displayed, conventions("de-CH"))
    assert "Koordinaten 2 Punkt 5 und 3 Ende Punkt" in speech(displayed, conventions("de-LI"))
    assert "<mn>2,5</mn><mo>;</mo>" in mathml(displayed, conventions("de-AT"))
    assert "Koordinaten 2 Komma 5 und 3 Ende Punkt" in speech(displayed, conventions("de-AT"))


def test_a_square_does_not_begin_as_a_longer_exponent_does() -> None:
    """To the ear `hoch zwei` and `hoch 2` are one: x² · y and the power 2y of x would begin alike."""
    for shown in ("x^2*y", "x^3*y"):
        assert "hoch" not in speech(maths(shown), conventions("de"))
    assert "x hoch 2 y Ende Exponent" == speech(maths("x^(2*y)"), conventions("de"))
