"""Both readers of formulas: what is seen, what is annotated, and what is refused because nobody could be sure."""

from __future__ import annotations

import pytest
from lxml import etree

from itembank.audit import formula
from itembank.audit.content_reader import read_content
from itembank.audit.findings import Unread
from itembank.audit.formula import (
    Absolute,
    Apply,
    Letter,
    Node,
    Nothing,
    Numeral,
    Point,
    Power,
    Product,
    Quotient,
    Relation,
    Root,
    Sum,
)
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.speech_reader import read_speech
from tests.audit_samples import MATHML, MINUS, NEGATIVE, TIMES, ap, ci, cn, i, n, quadratic

X, Y, TWO, THREE = Letter("x"), Letter("y"), Numeral("2"), Numeral("3")
PLUS, CROSS, EITHER, OPEN, CLOSE, BAR = (f"<mo>{sign}</mo>" for sign in "+×±()|")
APPLIED = "<mo>\u2061</mo>"


def shown(inner: str) -> Node:
    """What presentation elements say."""
    return read_presentation(etree.fromstring(f'<math xmlns="{MATHML}">{inner}</math>'))


def meant(inner: str) -> Node:
    """What content elements say."""
    return read_content(etree.fromstring(f'<x xmlns="{MATHML}">{inner}</x>')[0])


def relation(sign: str) -> str:
    """A relation sign as shown."""
    return f"<mo>{sign}</mo>"


@pytest.mark.parametrize(
    ("expected", "inner"),
    [
        (Sum((("+", X), ("-", Product((TWO, Y))))), f"{i('x')}{MINUS}{n(2)}{TIMES}{i('y')}"),
        (Sum((("-", Power(X, TWO)),)), f"{NEGATIVE}<msup>{i('x')}{n(2)}</msup>"),
        (Sum((("±", Root(THREE)),)), f"{EITHER}<msqrt>{n(3)}</msqrt>"),
        (Root(Sum((("+", X), ("+", TWO)))), f"<msqrt>{i('x')}{PLUS}{n(2)}</msqrt>"),
        (Root(TWO, 3), f"<mroot>{n(2)}{n(3)}</mroot>"),
        (Quotient(X, TWO), f"<mfrac>{i('x')}{n(2)}</mfrac>"),
        (
            Power(Product((TWO, X)), TWO),
            f"<msup><mrow>{OPEN}{n(2)}{TIMES}{i('x')}{CLOSE}</mrow>{n(2)}</msup>",
        ),
        (Absolute(Sum((("+", X), ("-", TWO)))), f"{BAR}{i('x')}{MINUS}{n(2)}{BAR}"),
        (Absolute(Sum((("+", Absolute(X)), ("-", TWO)))), f"{BAR}{BAR}{i('x')}{BAR}{MINUS}{n(2)}{BAR}"),
        (Point(X, TWO), f"{OPEN}{i('x')}<mo>,</mo>{n(2)}{CLOSE}"),
        (Apply("gcd", (TWO, X)), f"{i('gcd')}{APPLIED}{OPEN}{n(2)}<mo>,</mo>{i('x')}{CLOSE}"),
        (Letter("x_1"), f"<msub>{i('x')}{n(1)}</msub>"),
        (Relation(X, "≠", TWO), f"{i('x')}{relation('≠')}{n(2)}"),
        (Nothing(), "<mtext>no real solution</mtext>"),
        (Numeral("0.50"), n("0.50")),
        (Product((TWO, X, Y)), f"{n(2)}{TIMES}<mrow>{i('x')}{TIMES}{i('y')}</mrow>"),
    ],
)
def test_what_is_seen_is_read(expected: Node, inner: str) -> None:
    """One notation after the other."""
    assert expected == shown(inner)


def test_a_row_within_a_row_groups_nothing_a_reader_sees() -> None:
    """x − (a row of y + 2) is seen as x − y + 2."""
    assert shown(f"{i('x')}{MINUS}{i('y')}{PLUS}{n(2)}") == shown(
        f"{i('x')}{MINUS}<mrow>{i('y')}{PLUS}{n(2)}</mrow>"
    )


def test_and_binds_more_than_or() -> None:
    """x = 2 or x = 3 and y = 2."""
    first, second, third = Relation(X, "=", TWO), Relation(X, "=", THREE), Relation(Y, "=", TWO)
    words = [f"<mtext>{word}</mtext>" for word in ("or", "and")]
    told = f"{i('x')}<mo>=</mo>{n(2)}{words[0]}{i('x')}<mo>=</mo>{n(3)}{words[1]}{i('y')}<mo>=</mo>{n(2)}"

    assert formula.any_of([first, formula.all_of([second, third])]) == shown(told)


def test_a_chain_is_its_pairs() -> None:
    """1 < x ≤ 3, shown in one go, annotated as a conjunction."""
    expected = formula.all_of([Relation(Numeral("1"), "<", X), Relation(X, "≤", THREE)])

    assert expected == shown(f"{n(1)}<mo>&lt;</mo>{i('x')}<mo>≤</mo>{n(3)}")
    assert expected == meant(ap("and", ap("lt", cn(1), ci("x")), ap("leq", ci("x"), cn(3))))


@pytest.mark.parametrize(("a", "b", "c"), [(1, -8, 3), (2, 1, -7), (5, -1, -1)])
def test_both_readers_read_a_quadratic_alike(a: int, b: int, c: int) -> None:
    """The same tree from what is shown and what is meant."""
    seen, said = quadratic(a, b, c)

    assert shown(seen) == meant(said)


@pytest.mark.parametrize(
    "inner",
    [
        "",
        f"{n(2)}{i('x')}",
        f"{n(2)}{TIMES}{n(3)}",
        f"{i('x')}{TIMES}<mfrac>{n(1)}{n(2)}</mfrac>",
        f"{i('x')}{PLUS}",
        f"{PLUS}{i('x')}{TIMES}",
        f"{OPEN}{i('x')}",
        f"{i('x')}{CLOSE}",
        f"{BAR}{i('x')}",
        f"{i('x')}{CROSS}{NEGATIVE}{n(2)}",
        "<mn>1 000</mn>",
        "<mn>007</mn>",
        "<mn>1e3</mn>",
        "<mn>.5</mn>",
        "<mi>xyz</mi><mo>!</mo>",
        "<mi>ж</mi>",
        f"<mo>⋅</mo>{n(2)}",
        "<mtext>therefore</mtext>",
        f"{i('gcd')}{PLUS}{n(2)}",
        f"{i('k')}{APPLIED}{OPEN}{i('x')}{CLOSE}",
        f"<msup>{i('x')}</msup>",
        f"<mphantom>{n(2)}</mphantom>",
        f"<mstyle>{n(2)}</mstyle>",
        f"<mn style='display:none'>{2}</mn>",
        f"<mroot>{n(2)}{i('x')}</mroot>",
        f"<msup><msup>{n(2)}{n(3)}</msup>{n(2)}</msup>",
        f"<msup><mfrac>{n(2)}{n(3)}</mfrac>{n(2)}</msup>",
        f"<msup><mrow>{n(2)}{TIMES}{i('x')}</mrow>{n(2)}</msup>",
        f"<mrow>2{n(2)}</mrow>",
        f"{n(2)}x",
        f"{i('x')}<mtext>or</mtext>{i('y')}",
        f"<mfrac><mrow>{i('x')}<mo>=</mo>{n(2)}</mrow>{n(2)}</mfrac>",
        f"<msub>{n(2)}{n(1)}</msub>",
        f"<msub>{i('x')}{i('yz')}</msub>",
        "<mn><mi>x</mi></mn>",
        "<mrow>" * 60 + n(2) + "</mrow>" * 60,
        OPEN * 60 + n(2) + CLOSE * 60,
    ],
)
def test_what_nobody_can_be_sure_of_is_refused(inner: str) -> None:
    """Never guessed."""
    with pytest.raises(Unread):
        shown(inner)


@pytest.mark.parametrize(
    "inner",
    [
        "<apply/>",
        ap("plus", ci("x")),
        ap("divide", ci("x")),
        ap("power", ci("x"), cn(2), cn(3)),
        ap("eq", ci("x")),
        ap("sin", ci("x")),
        "<apply><csymbol>k</csymbol><ci>x</ci></apply>",
        "<apply><csymbol>f</csymbol><ci>x</ci><ci>y</ci></apply>",
        "<vector><cn>1</cn></vector>",
        "<apply><root/><degree><ci>n</ci></degree><cn>2</cn></apply>",
        "<apply><root/></apply>",
        "<cn type='real'>2</cn>",
        "<apply>2<plus/><cn>1</cn><cn>2</cn></apply>",
        "<ci><mi>x</mi></ci>",
        "<lambda><ci>x</ci></lambda>",
        "<apply><plus>x</plus><cn>1</cn><cn>2</cn></apply>",
        "<x xmlns='urn:other'/>",
        "<apply><minus/>" * 80 + cn(1) + "</apply>" * 80,
    ],
)
def test_an_annotation_nobody_knows_is_refused(inner: str) -> None:
    """Never guessed either."""
    with pytest.raises(Unread):
        meant(inner)


def test_a_bracket_with_a_sign_before_it_is_kept() -> None:
    """−(x + 2) is not −x + 2, in either reading."""
    seen = f"{NEGATIVE}{OPEN}{i('x')}{PLUS}{n(2)}{CLOSE}"

    assert Sum((("-", Sum((("+", X), ("+", TWO)))),)) == shown(seen)
    assert shown(seen) == meant(ap("minus", ap("plus", ci("x"), cn(2))))
    assert shown(seen) != shown(f"{NEGATIVE}{i('x')}{PLUS}{n(2)}")


@pytest.mark.parametrize(
    ("expected", "spoken"),
    [
        (Sum((("+", X), ("-", Product((TWO, Y))))), "x minus 2 y"),
        (Sum((("-", Power(X, TWO)),)), "negative x squared"),
        (Sum((("±", Root(THREE)),)), "plus or minus the square root of 3 end root"),
        (Sum((("+", X), ("±", Root(THREE, 9)))), "x plus or minus the ninth root of 3 end root"),
        (Power(Product((TWO, X)), Numeral("4")), "open bracket 2 x close bracket to the power 4 end power"),
        (
            Quotient(X, Quotient(TWO, Y)),
            "the fraction x over the fraction 2 over y end fraction end fraction",
        ),
        (Numeral("2.50"), "2 point 5 0"),
        (Letter("D_01"), "capital d sub 0 1"),
        (Letter("over"), "name o v e r end name"),
        (Letter("α"), "alpha"),
        (Absolute(Sum((("+", X), ("+", TWO)))), "the absolute value of x plus 2 end absolute value"),
        (Apply("gcd", (X, TWO)), "the greatest common divisor of open bracket x comma 2 close bracket"),
        (Point(X, TWO), "the point x comma 2 end point"),
        (Relation(X, "≤", TWO), "x is less than or equal to 2"),
        (
            formula.any_of([Relation(X, "=", TWO), Relation(X, "=", THREE)]),
            "x equals 2 or x equals 3",
        ),
        (
            formula.all_of([Relation(TWO, "<", X), Relation(X, "<", THREE)]),
            "2 is less than x which is less than 3",
        ),
        (Nothing(), "no real solution"),
    ],
)
def test_what_is_spoken_is_heard(expected: Node, spoken: str) -> None:
    assert expected == read_speech(spoken)


@pytest.mark.parametrize(
    "spoken",
    [
        "", "x plus", "x x equals", "the fraction 1 over 2", "the square root of 3", "x to the power 2",
        "x equals 2 or 3", "2 3", "x sub Y", "capital area", "2 point x", "x ½", "open bracket x", "the", "name x",
        "x is less than 2 is less than 3", "the gcd of 2", "open bracket " * 60 + "x" + " close bracket" * 60,
    ],
)  # fmt: skip
def test_words_without_one_meaning_are_refused(spoken: str) -> None:
    with pytest.raises(Unread):
        read_speech(spoken)
