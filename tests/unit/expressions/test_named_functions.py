"""Functions that a text calls f, g or h: shown in every reading, understood by the audit, worth nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from itembank.audit import formula
from itembank.audit.content_reader import read_content
from itembank.audit.latex_reader import read_latex
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.speech_reader import read_speech
from itembank.audit.tongues import tongue
from itembank.errors import DomainError
from itembank.expressions import latex, mathml, omml, speech, spelling
from itembank.expressions.conventions import conventions
from itembank.expressions.display import Maths
from itembank.expressions.parser import ExpressionError, parse
from itembank.expressions.plain import plain
from itembank.expressions.vocabulary import NAMED
from itembank.writers.mathml_as_latex import latex_of
from tests.expressions.showing import show, values_of


def shown(source: str, **values: str) -> Maths:
    return show(parse(source, in_text=True), values_of(values))


def test_a_function_is_shown_in_every_reading() -> None:
    maths = shown("2*f(a) = f(x)^2", a="-3")

    assert "2*f(-3) = f(x)^2" == spelling.plain(maths)
    assert "2f(−3) = f(x)²" == spelling.terminal(maths)
    assert r"2f\!\left(-3\right) = f\!\left(x\right)^{2}" == latex.latex(maths)
    assert (
        "2 f of open bracket negative 3 close bracket equals f of open bracket x close bracket squared"
        == (speech.speech(maths))
    )
    assert speech.speech(maths, conventions("es")).startswith(
        "2 f de abre paréntesis menos 3 cierra paréntesis"
    )
    assert mathml.presentation(maths).startswith(
        "<mn>2</mn><mo>\u2062</mo><mi>f</mi><mo>\u2061</mo><mrow><mo>(</mo>"
    )
    assert "<apply><csymbol>f</csymbol><apply><minus/><cn>3</cn></apply></apply>" in mathml.content(maths)
    assert '<m:r><m:t xml:space="preserve">f</m:t></m:r>' in omml.omml(maths)


ARGUMENTS = st.recursive(
    st.sampled_from(["x", "-4", "2*x", "x + 1", "x^2 - 3*x", "x/2", "sqrt(x)"]),
    lambda inner: st.builds("{}({})".format, st.sampled_from(NAMED), inner),
    max_leaves=3,
)


@given(
    st.builds("{}({})".format, st.sampled_from(NAMED), ARGUMENTS),
    st.sampled_from(["{} = x^2", "3*{} - 1", "{}^2", "x*{}", "({} + 2)/5", "y = {} or y = 2"]),
)
def test_every_notation_of_a_function_says_the_same(called: str, within: str) -> None:
    node = parse(within.format(called), in_text=True)
    maths = show(node, {})

    assert parse(plain(node), in_text=True) == node
    element = etree.fromstring(mathml.mathml(maths))
    meant = read_content(element[0][1][0])
    assert formula.Apply in {type(part) for part in formula.walk(meant)}
    for read in (
        read_presentation(element[0][0]),
        read_latex(latex.latex(maths)),
        read_latex(latex_of(mathml.mathml(maths))),
        read_speech(speech.speech(maths)),
        read_speech(speech.speech(maths, conventions("es")), tongue("es")),
        read_speech(speech.speech(maths, conventions("de")), tongue("de")),
    ):
        assert meant == read


def test_a_product_is_no_function() -> None:
    product = r"f\left(x + 1\right)"

    assert isinstance(read_latex(product), formula.Product)
    assert isinstance(read_latex(rf"f\!{product[1:]}"), formula.Apply)


@pytest.mark.parametrize("source", ["f(x, 2)", "f()", "k(x)", "F(x)"])
def test_only_functions_of_one_number_have_these_names(source: str) -> None:
    with pytest.raises(ExpressionError):
        parse(source, in_text=True)


def test_outside_texts_a_function_is_told_to_be_written_out() -> None:
    with pytest.raises(ExpressionError) as refused:
        parse("y = f(x)")

    assert (
        "for a product write f*(...); only a text may call a function f, here write what it is worth"
        == refused.value.hint
    )


@pytest.mark.parametrize("source", ["value(f(2))", "surd(g(3))"])
def test_nobody_works_a_function_out(source: str) -> None:
    with pytest.raises(DomainError, match=r"the function . has no value"):
        shown(source)


@pytest.mark.parametrize("source", ["f^(-1)(x + 2)", "f^-1(x + 2)", "f^(−1) (x + 2)"])
def test_an_inverse_is_shown_in_every_reading(source: str) -> None:
    maths = shown(source)

    assert "f^-1(x + 2)" == spelling.plain(maths)
    assert "f⁻¹(x + 2)" == spelling.terminal(maths)
    assert r"f^{-1}\!\left(x + 2\right)" == latex.latex(maths)
    assert "f inverse of open bracket x plus 2 close bracket" == speech.speech(maths)
    assert "f inversa de abre paréntesis x más 2 cierra paréntesis" == speech.speech(maths, conventions("es"))
    german = speech.speech(maths, conventions("de"))
    assert "Umkehrfunktion f von Klammer auf x plus 2 Klammer zu" == german
    assert read_speech(german, tongue("de")) == read_speech(speech.speech(maths))
    sign = '<mrow><mo form="prefix">−</mo><mn>1</mn></mrow>'
    assert mathml.presentation(maths).startswith(f"<msup><mi>f</mi>{sign}</msup><mo>\u2061</mo>")
    assert "<m:sSup>" in omml.omml(maths)


def test_a_power_is_no_inverse() -> None:
    assert isinstance(read_latex(r"f^{-1}\left(x + 1\right)"), formula.Product)
    assert isinstance(read_latex(r"f^{-1}\!\left(x + 1\right)"), formula.Apply)
    assert isinstance(read_latex(r"f^{-2}"), formula.Power)


def test_outside_texts_an_inverse_is_told_to_be_written_out() -> None:
    with pytest.raises(ExpressionError) as refused:
        parse("y = f^(-1)(x)")

    assert "only a text may speak of an inverse" in refused.value.hint


@pytest.mark.parametrize("source", ["f^(-2)(x)", "x^(-1)(x)", "f^(n)(x)"])
def test_other_powers_before_a_bracket_are_still_refused(source: str) -> None:
    with pytest.raises(ExpressionError) as refused:
        parse(source, in_text=True)

    assert "factor-after-power" == refused.value.code
