"""Laws of the spoken reading and of LaTeX: what is heard or typeset has one meaning, and it is what is displayed."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from lxml import etree

from itembank.audit import formula
from itembank.audit.content_reader import read_content
from itembank.audit.findings import Unread
from itembank.audit.latex_reader import read_latex
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.speech_reader import read_speech as read_speech_in_audit
from itembank.audit.tongues import tongue
from itembank.errors import DomainError
from itembank.expressions import display, latex, mathml, speech, tree
from itembank.expressions.conventions import conventions
from itembank.expressions.display import Decimal, Display, Maths, Numeral, Shape
from itembank.expressions.layout import lay_out
from itembank.expressions.speech.english import ENGLISH
from itembank.expressions.speech.german import GERMAN
from itembank.expressions.speech.spanish import SPANISH
from itembank.expressions.speech.vocabulary import Vocabulary
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import GREEK, WHOLE_NUMBERS
from itembank.writers.mathml_as_latex import latex_of
from tests.expressions.showing import show
from tests.expressions.speech_reader import filled, read_speech
from tests.property import strategies as some

LANGUAGES = ("en", "en-US", "es", "es-MX", "de", "de-CH")
LETTERS = (
    "x",
    "y",
    "A",
    "x_1",
    "x_12",
    "x_01",
    "alpha",
    "area",
    "over",
    "xy",
    "AB",
    "point",
    "squared",
    "the",
)
_leaf = st.one_of(some.numerals(decimals=True), some.names(("h", "k", *LETTERS)))
_calls = ("keep", "value")
_term = some.terms(
    _leaf, roots=True, functions=True, exponents=(1, 2, 3, 4, 12, -1), display_words=_calls, size=12
)
_deep_root = st.builds(
    lambda inner, n: tree.Call("root", (inner, tree.Number(Fraction(n)))), _term, st.integers(2, 12)
)
_points = st.builds(tree.Point, _term, _term)
_expression = st.one_of(_term, some.with_either_sign(_term), _deep_root, _points)
_node = st.one_of(_expression, some.statements(_expression, negated=False))
_values = some.values(("h", "k"))
DISPLAYABLE_WORDS = re.compile("[a-z0-9 ,]+")


def shown(node: Node, values: dict[str, Fraction]) -> Maths:
    try:
        return show(node, {name: (value, None) for name, value in values.items()})
    except DomainError:
        assume(False)
        raise


@given(_node, _values)
@settings(max_examples=600, deadline=None)
def test_what_is_heard_is_read_back_to_the_very_tree_that_is_displayed(
    node: Node, values: dict[str, Fraction]
) -> None:
    maths = shown(node, values)

    heard = speech.speech(maths)

    assert filled(maths) == read_speech(heard)
    assert DISPLAYABLE_WORDS.fullmatch(heard)
    assert "  " not in heard


@given(node=_node, values=_values)
@settings(max_examples=300, deadline=None)
def test_the_audit_hears_what_it_sees(node: Node, values: dict[str, Fraction]) -> None:
    maths = shown(node, values)
    for language in LANGUAGES:
        element = etree.fromstring(mathml.mathml(maths, conventions(language)))
        seen = read_or_passed_over(element, language)

        assert (language, seen) == (
            language,
            read_speech_in_audit(element.get("alttext", ""), tongue(language)),
        )
        assert (language, seen) == (language, read_presentation(etree.fromstring(mathml.mathml(maths))[0][0]))
        assert (language, seen) == (language, read_content(element[0][1][0]))


def read_or_passed_over(element: etree._Element, language: str) -> object:
    """What the audit sees in an element; an example that it cannot read in this language is none."""
    try:
        return read_presentation(element[0][0], tongue(language))
    except Unread:
        assume(False)
        raise


@given(first=_node, second=_node, values=_values)
@settings(max_examples=400, deadline=None)
def test_two_displayed_trees_that_differ_are_heard_differently(
    first: Node, second: Node, values: dict[str, Fraction]
) -> None:
    one, other = shown(first, values), shown(second, values)

    same = filled(one) == filled(other)

    for language in LANGUAGES:
        signs = conventions(language)
        assert (language, same) == (language, speech.speech(one, signs) == speech.speech(other, signs))


_numbers = st.one_of(
    st.integers(0, 2000),
    st.builds(lambda n, p: Decimal(Fraction(n, 10**p), p), st.integers(0, 900), st.just(2)),
)


@given(st.lists(_numbers, min_size=3, max_size=3).map(tuple))
@settings(max_examples=300, deadline=None)
def test_numbers_in_holes_are_said_as_fixed_ones_are(numbers: tuple[int | Decimal, ...]) -> None:
    def display_of(first: Numeral, second: Numeral, third: Numeral) -> Display:
        raised = display.Raised(display.Letter("x"), second)
        return display.Compared((display.Over(first, raised), display.Raised(first, third)), ("=",))

    holes = Shape(display_of(Numeral(0), Numeral(1), Numeral(2)), 3)
    fixed = Shape(display_of(*(Numeral(text=str(number)) for number in numbers)), 0)

    assert speech.speech(Maths(fixed)) == speech.speech(Maths(holes, numbers))


@given(st.from_regex(r"[A-Za-z]{1,9}(_[0-9]{1,3})?", fullmatch=True))
@settings(max_examples=250, deadline=None)
def test_every_name_is_heard_as_itself(name: str) -> None:
    maths = Maths(Shape(display.Letter(name), 0))

    assert display.Letter(name) == read_speech(speech.speech(maths))


def test_a_name_that_is_a_word_of_the_reading_is_spelt() -> None:
    own = {WHOLE_NUMBERS}  # is no name of an author's: it stands for the set, and is said as that
    words = [word for word in ENGLISH.own_words - own if len(word) > 1 and word.isalpha()]

    assert len(words) >= 60
    for word in words:
        said = speech.speech(Maths(lay_out(tree.Name(word), 0)))
        assert f"name {' '.join(word)} end name" == said


@given(st.from_regex(r"[A-Za-z]{1,9}(_[0-9]{1,3})?", fullmatch=True), st.sampled_from(["es", "de", "de-CH"]))
@settings(max_examples=250, deadline=None)
def test_the_audit_hears_every_name_in_another_language(name: str, language: str) -> None:
    assume(name.partition("_")[0] not in GREEK)
    heard = speech.speech(Maths(Shape(display.Letter(name), 0)), conventions(language))

    assert formula.Letter(name) == read_speech_in_audit(heard, tongue(language))


@pytest.mark.parametrize(("language", "said"), [("es", SPANISH), ("de", GERMAN)])
def test_words_of_another_language_that_are_names_are_spelt(language: str, said: Vocabulary) -> None:
    words = {word for word in said.own_words if len(word) > 1 and word.isascii() and word.isalpha()}
    names = sorted(words - GREEK.keys())

    assert len(names) >= 60
    for name in names:
        heard = speech.speech(Maths(Shape(display.Letter(name), 0)), conventions(language))
        assert name != heard.lower()
        assert formula.Letter(name) == read_speech_in_audit(heard, tongue(language))


# LaTeX goes another way round, by the same laws


@given(_node, _values, st.booleans())
@settings(max_examples=300, deadline=None)
def test_the_latex_made_of_mathml_is_the_latex_reading(
    node: Node, values: dict[str, Fraction], annotated: bool
) -> None:
    maths = shown(node, values)

    assert latex.latex(maths) == latex_of(mathml.mathml(maths, annotated=annotated))


@given(node=_node, values=_values)
@settings(max_examples=300, deadline=None)
def test_the_audit_reads_latex_as_it_reads_mathml(node: Node, values: dict[str, Fraction]) -> None:
    maths = shown(node, values)
    for language in LANGUAGES:
        markup = mathml.mathml(maths, conventions(language))
        seen = read_or_passed_over(etree.fromstring(markup), language)

        assert (language, seen) == (language, read_latex(latex_of(markup), tongue(language)))
        if language == "en":
            assert seen == read_latex(latex.latex(maths))
