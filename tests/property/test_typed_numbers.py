"""Typed numbers: every spelling of the right number is right, and nothing else is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import example, given, settings
from hypothesis import strategies as st

from itembank.items import Blank, Item, Mark
from itembank.writers.base import has_decimal_comma
from itembank.writers.qti3 import item_xml
from tests import qti_items
from tests.qti_scorer import ScoredItem
from tests.template_items import items

_signs = st.sampled_from(["", "-", "−", "+", "--", "– "])
_blanks = st.sampled_from(["", " ", "  ", "\t"])
_zeros = st.sampled_from(["", "0", "000"])


def meant(text: str, marks: str = "") -> Fraction | None:
    """The number a text spells, read by Python's own exact reader; None for none."""
    text = text.strip(" \t").replace("−", "-")
    if text[:1] in {"-", "+"}:
        text = text[0] + text[1:].lstrip(" \t")
    for mark in marks:
        text = text.replace(mark, ".")
    digits = text.lstrip("+-") if text[:2] not in {"--", "++", "-+", "+-"} else ""
    whole, point, decimals = digits.partition(".")
    if not (whole + decimals).isdecimal() or not (whole + decimals).isascii() or (point and not marks):
        return None
    return Fraction(("-" if text.startswith("-") else "") + (whole or "0") + "." + (decimals or "0"))


def whole_item(value: int) -> Item:
    return qti_items.entry_item("4*x = 5", "x = 5/4", qti_items.whole("x", value, worth=2))


@given(st.integers(-30, 30), _blanks, _signs, _blanks, _zeros, st.integers(-1, 1), _blanks)
@settings(deadline=None, max_examples=300)
@example(0, "", "−", "", "", 0, "")
@example(-5, " ", "−", " ", "0", 0, " ")
def test_whole_numbers_in_every_spelling(
    value: int, before: str, sign: str, between: str, zeros: str, off: int, after: str
) -> None:
    text = f"{before}{sign}{between}{zeros}{abs(value) + off}{after}"
    right = meant(text) == value
    # a plus sign stands before what is not below 0 only
    right = right and not (value < 0 and "+" in text)

    assert (2 if right else 0) == ScoredItem(item_xml(whole_item(value))).answer({"BOX_1": text}).score


@given(
    st.integers(-400, 400), st.sampled_from([1, 2]), _blanks, _signs, _zeros, st.sampled_from([".", ",", ";"]),
    st.sampled_from(["", "0", "00", "1"]), st.sampled_from(["en", "de", "fr-FR", "de-CH"]),
)  # fmt: skip
@settings(deadline=None, max_examples=300)
@example(-150, 2, "", "−", "", ",", "0", "de")
@example(0, 2, "", "", "", ".", "", "en")
def test_decimals_with_the_marks_of_the_language(
    hundredths: int, places: int, blank: str, sign: str, zeros: str, mark: str, more: str, language: str
) -> None:
    value = Fraction(hundredths, 10**places)
    shown = qti_items.decimal(str(hundredths / 10**places), places)
    box = Blank("x", "decimal", ("value",), ((shown,),), 1, places=places, marks=(Mark("A", 2),))
    item = qti_items.entry_item("4*x = 5", "x = 5/4", box)
    item = replace(item, about=item.about._replace(language=language))
    digits = str(shown).lstrip("-")
    text = f"{blank}{sign}{zeros}{digits.replace('.', mark)}{more}{blank}"
    marks = ".," if has_decimal_comma(language) else "."
    right = meant(text, marks) == value and not (value < 0 and "+" in text)

    assert (2 if right else 0) == ScoredItem(item_xml(item)).answer({"BOX_1": text}).score


def test_numbers_that_are_worked_with_stay_numbers() -> None:
    """A later part's follow-through takes them; the others are texts."""
    (item,) = items("follow-through", 1)
    scorer = ScoredItem(item_xml(item))
    assert {"integer"} == {declared.base for declared in scorer.responses.values()}

    (alone,) = items("units", 1)
    assert {"string"} == {declared.base for declared in ScoredItem(item_xml(alone)).responses.values()}
