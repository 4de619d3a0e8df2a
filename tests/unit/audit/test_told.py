"""What pupils read stands once more in the block for staff: sentences that changed places, or words, are told.

Found by changing items of every kind one place at a time: feedback of two wrong options exchanged, options in words
exchanged and signs of inequality relabelled were not told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from zipfile import ZipFile

import pytest

from itembank.audit.verify import audit_item, verify
from itembank.items import Item
from itembank.library import BuildRequest, build
from itembank.writers.dialects import QTI_2_1, QTI_2_2
from itembank.writers.qti2 import translate
from itembank.writers.qti3 import item_xml
from tests import kinds_bank
from tests.template_items import items

BANK = Path(__file__).parents[3] / "banks" / "quadratics"
SENTENCE = re.compile(
    r"(<qti-modal-feedback [^>]*><qti-content-body>|<modalFeedback [^>]*>)(.*?)(?=</qti-c|</modal)"
)
OPTION = re.compile(
    r"(?:<qti-simple-choice |<qti-simple-associable-choice )[^>]*>(?!<math)(.*?)(?=</qti-simple)"
)
SIGN = re.compile('(?<=<qti-inline-choice identifier="(?:lt|le|gt|ge|or)">)[^<]+|(?<="and">)and')
KINDS = ("what-is-true", "discriminants-and-roots", "all-solutions", "equations-of-one-kind", "find-the-slip")


def codes(text: str) -> set[str]:
    return {finding.code for finding in audit_item(text.encode(), "items/X.xml")[1]}


def dialects(item: Item) -> Iterator[str]:
    written = item_xml(item)
    yield written
    for dialect in (QTI_2_2, QTI_2_1):
        yield translate(written, dialect).document


def exchanged(text: str, pattern: re.Pattern[str], group: int) -> Iterator[str]:
    """The text with what any two places of a pattern hold exchanged."""
    found = list(pattern.finditer(text))
    for place, one in enumerate(found):
        for other in found[place + 1 :]:
            if one[group] != other[group]:
                between = text[one.end(group) : other.start(group)]
                yield f"{text[: one.start(group)]}{other[group]}{between}{one[group]}{text[other.end(group) :]}"


@pytest.mark.parametrize("name", ["choice", "entry", "denominators", "points", "interval", "two-equations"])
def test_feedback_of_two_slips_that_changed_places_is_told(name: str) -> None:
    for text in dialects(next(items(name, 1))):
        assert set() == codes(text)
        spoiled = list(exchanged(text, SENTENCE, 2))
        assert spoiled
        assert all(map(codes, spoiled))


@pytest.mark.parametrize("name", KINDS)
def test_feedback_and_words_of_other_kinds_that_changed_places_are_told(name: str) -> None:
    text = item_xml(next(iter(kinds_bank.items(name, 1))))
    by_words = name in {"what-is-true", "discriminants-and-roots"}
    spoiled = [*exchanged(text, SENTENCE, 2), *(exchanged(text, OPTION, 1) if by_words else ())]

    assert set() == codes(text)
    assert spoiled
    assert all(map(codes, spoiled))


def test_words_of_one_option_that_say_something_else_are_told() -> None:
    text = item_xml(next(iter(kinds_bank.items("what-is-true", 1))))
    old = ">It has no real root.</qti-simple-choice>"

    assert old in text
    assert {"told-otherwise"} == codes(text.replace(old, ">It has a real root.</qti-simple-choice>"))


def test_a_sentence_of_a_slip_that_says_something_else_is_told() -> None:
    """Also where staff alone read something else, and where what they read belongs to no feedback."""
    text = item_xml(next(items("denominators", 1)))
    told = re.search('<div data-role="told" data-feedback="F1"><p>([^<]+)', text)

    assert told is not None
    for place in (text.index(told[1]), text.rindex(told[1])):
        changed = f"{text[:place]}Look again. {text[place:]}"
        assert {"told-otherwise"} == codes(changed)
    assert {"told-otherwise"} == codes(text.replace(told[0], told[0].replace('"F1"', '"F8"')))


@pytest.mark.parametrize("name", ["interval", "interval-rays"])
def test_what_is_read_of_a_sign_or_a_joining_word_is_what_is_scored(name: str) -> None:
    text = item_xml(next(items(name, 1)))
    found = list(SIGN.finditer(text))

    assert len(found) >= 6
    for each in found:
        for other in ("&lt;", "≤", "≥", "and", "or"):
            if other != each[0]:
                assert "misnamed-choice" in codes(text[: each.start()] + other + text[each.end() :])


def test_patterns_are_asked_of_texts_only() -> None:
    """A platform that is told of a number finds no match, and nobody gets the marks (QTI 3.0, pattern match)."""
    text = item_xml(next(items("points", 1)))
    declared = 'identifier="BOX_1" cardinality="single" base-type="string"'

    assert declared in text
    assert "misfit-response" in codes(text.replace(declared, declared.replace("string", "float")))


def test_no_item_of_a_package_is_read_too_quickly_to_tell(tmp_path: Path) -> None:
    """Items that look alike are looked through once; what pupils read is held to what staff read in each of them."""
    build(BuildRequest(BANK, tmp_path / "out", count=60, formats=("qti3",)))
    whole = tmp_path / "out" / "platform" / "quadratics-qti3.zip"
    with ZipFile(whole) as package:
        held = {name: package.read(name).decode() for name in package.namelist() if not name.endswith("/")}
    spoiled = {}
    for name, text in held.items():
        if name.startswith("items/") and (changed := next(exchanged(text, SENTENCE, 2), None)):
            spoiled[name] = changed
    path = tmp_path / "spoiled.zip"
    with ZipFile(path, "w") as package:
        for name, text in held.items():
            package.writestr(name, spoiled.get(name, text))

    assert len(spoiled) > 40
    assert verify(whole).findings == ()
    assert {finding.member for finding in verify(path).findings} >= set(spoiled)
