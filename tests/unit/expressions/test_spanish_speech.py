"""Spoken Spanish: whole sentences as they are heard, and back to what is seen by the audit's own reader.

Common practice of classrooms, no source; that minus is *menos* before a number too, `al cuadrado`, `raíz cuadrada de`,
`más o menos`, `es menor o igual que` as Spanish schoolbooks read them (from memory).
"""

from __future__ import annotations

import pytest
from lxml import etree

from itembank.audit.findings import Unread
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.speech_reader import read_speech
from itembank.audit.tongues import tongue
from itembank.expressions.conventions import FUNCTIONS, conventions
from itembank.expressions.mathml import mathml
from itembank.expressions.speech import VOICES, speech
from itembank.words import LANGUAGES, base_language
from tests.samples import maths

SENTENCES = [
    ("x^2 - 8*x + 3 = 0", "x al cuadrado menos 8 x más 3 es igual a 0"),
    ("x = 4 ± sqrt(13)", "x es igual a 4 más o menos la raíz cuadrada de 13 fin raíz"),
    ("x = -4 ± 2*sqrt(13)", "x es igual a menos 4 más o menos 2 raíz cuadrada de 13 fin raíz"),
    ("x = -1/2", "x es igual a menos fracción 1 sobre 2 fin fracción"),
    ("x = 3/4 or x = 2", "x es igual a la fracción 3 sobre 4 fin fracción o x es igual a 2"),
    ("-2 <= x and x < 5", "menos 2 es menor o igual que x y x es menor que 5"),
    ("y = 2*x + 1", "i griega es igual a 2 x más 1"),
    ("(-1, 3)", "el punto de coordenadas menos 1 y 3 fin punto"),
    ("(x, y)", "el punto de coordenadas x y i griega fin punto"),
    ("(x + 5)^2 = 7", "abre paréntesis x más 5 cierra paréntesis al cuadrado es igual a 7"),
    ("x^3 - 2^x", "x al cubo menos 2 elevado a x fin exponente"),
    ("root(x, 3)", "la raíz cúbica de x fin raíz"),
    ("x != 2.50", "x es distinto de 2 coma 5 0"),
    ("D_1 = 12", "d mayúscula sub 1 es igual a 12"),
    ("none", "sin solución real"),
]  # fmt: skip


@pytest.mark.parametrize(("shown", "heard"), SENTENCES)
def test_sentences(shown: str, heard: str) -> None:
    displayed = maths(shown)

    assert heard == speech(displayed, conventions("es"))
    markup = etree.fromstring(mathml(displayed, conventions("es")))
    assert heard == markup.get("alttext")
    assert read_presentation(markup[0][0], tongue("es")) == read_speech(heard, tongue("es"))


def test_mexico_says_and_prints_a_decimal_point() -> None:
    displayed = maths("(x, y) = (2.5, 3)")
    markup = mathml(displayed, conventions("es-MX"))

    assert "<mn>2.5</mn><mo>,</mo>" in markup
    assert "el punto de coordenadas 2 punto 5 y 3 fin punto" in speech(displayed, conventions("es-MX"))
    assert "<mn>2,5</mn><mo>;</mo>" in mathml(displayed, conventions("es"))
    assert "<cn>2.5</cn>" in mathml(
        displayed, conventions("es")
    )  # what it means is the same in every language


def test_each_language_of_documents_has_a_voice() -> None:
    assert set(VOICES) == {base_language(name) for name in LANGUAGES}


def test_functions_have_the_names_of_the_language_and_are_read_back() -> None:
    for language in LANGUAGES:
        named = {conventions(language).function(name): name for name in FUNCTIONS}
        assert tongue(language).functions == named
    assert "mcd" == conventions("es").function("gcd")


@pytest.mark.parametrize(
    ("told", "language"),
    [
        ("x equals 2", "es"),
        ("x es igual a 2", "en"),
        ("2 punto 5", "es"),
        ("2 coma 5", "es-MX"),
        ("x y 2", "es"),
        ("x ist gleich 2", "en"),
        ("x es igual a 2", "de"),
        ("2 Punkt 5", "de"),
        ("2 Komma 5", "de-CH"),
    ],
)
def test_words_of_another_language_are_not_heard(told: str, language: str) -> None:
    with pytest.raises(Unread):
        read_speech(told, tongue(language))


WORDS, MARKS = ("x = 1 or x = 2", "x > 1 and x < 2", "none", "gcd(a, b)"), ("x = 2.5", "(x, y) = (1, 2)")


@pytest.mark.parametrize(
    ("language", "foreign", "samples"),
    [
        ("de", "en", WORDS + MARKS),
        ("de", "es", WORDS),
        ("es", "de", WORDS),
        ("de-CH", "de", MARKS),
        ("de-AT", "de-CH", MARKS),
        ("en", "es", WORDS + MARKS),
        ("es", "en", WORDS + MARKS),
        ("es-MX", "en", WORDS),
        ("es-MX", "es", MARKS),
    ],
)
def test_words_and_marks_of_another_language_are_not_seen(
    language: str, foreign: str, samples: tuple[str, ...]
) -> None:
    for shown in samples:
        markup = etree.fromstring(mathml(maths(shown), conventions(foreign)))
        with pytest.raises(Unread):
            read_presentation(markup[0][0], tongue(language))
