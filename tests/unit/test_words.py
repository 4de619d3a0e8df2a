"""The translation files: whole, alike, and well formed."""

from __future__ import annotations

import re
from string import Formatter

import pytest

from itembank.errors import DomainError
from itembank.words import LANGUAGES, fitting, words

WHOLE = tuple(name for name in LANGUAGES if "-" not in name)


def _places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


def test_the_collector_finds_the_languages() -> None:
    assert {"en", "es", "de"} <= set(WHOLE)
    assert len(words("en").table) >= 100


@pytest.mark.parametrize("language", WHOLE)
def test_every_language_says_everything_with_the_same_places(language: str) -> None:
    own, other = words("en").table, words(language).table

    assert set(own) == set(other)
    assert {key: _places(text) for key, text in own.items()} == {
        key: _places(text) for key, text in other.items()
    }
    assert all(text.strip() == text != "" for text in other.values())


ALIKE = {
    "es": {"review-no", "total"},
    "de": {"code", "function-max", "function-min", "maximum", "name", "option"},
}


@pytest.mark.parametrize("language", sorted(set(WHOLE) - {"en"}))
def test_a_translation_is_not_english_left_standing(language: str) -> None:
    same = {key for key, text in words("en").table.items() if words(language).table[key] == text}

    # said alike in both languages
    assert ALIKE[language] == same


@pytest.mark.parametrize("language", [name for name in LANGUAGES if "-" in name])
def test_a_region_changes_some_words_of_its_language(language: str) -> None:
    base, regional = words(language.partition("-")[0]).table, words(language).table

    assert set(base) == set(regional)
    assert 1 <= sum(base[key] != regional[key] for key in base) < len(base) / 4


@pytest.mark.parametrize("language", WHOLE)
def test_numbers_have_words_for_one_and_for_others(language: str) -> None:
    table = words(language).table
    counted = {key.removesuffix("-one") for key in table if key.endswith("-one")}

    assert counted == {key.removesuffix("-other") for key in table if key.endswith("-other")}
    assert len(counted) >= 5


def test_conventions_of_the_languages() -> None:
    # Source: Real Academia Española, Ortografía (2010), decimal comma or point; CENAM and OpenStax print ⋅ or ×:
    # common practice, no single source.
    assert (".", "×", "surd") == tuple(
        words("en-GB")(key) for key in ("decimal-mark", "multiplication-sign", "surd")
    )
    assert (".", "⋅", "radical") == tuple(
        words("en-US")(key) for key in ("decimal-mark", "multiplication-sign", "surd")
    )
    assert "," == words("es").decimal_mark
    # Source: DIN 1302 (the dot) and DIN 1333 (the comma); Unicode CLDR for Switzerland: from memory.
    assert (",", "⋅") == (words("de").decimal_mark, words("de").multiplication_sign)
    assert (".", ".", ",") == tuple(words(tag).decimal_mark for tag in ("de-CH", "de-LI", "de-AT"))
    assert ["after", "before", "before"] == [words(tag)("currency-sign") for tag in ("de", "de-AT", "de-CH")]


def test_no_word_of_swiss_german_has_a_sharp_s() -> None:
    assert [] == [key for key, text in words("de-CH").table.items() if "ß" in text]


def test_german_declines_what_is_counted_of() -> None:
    told = [words("de").counted("feedback-marks", count, got="1") for count in (1, 8)]
    assert ["1 von 1 Punkt", "1 von 8 Punkten"] == told


def test_german_calls_pupils_in_one_way() -> None:
    """In the singular, as schoolbooks do: nowhere *Sie* or *Ihr* within a sentence."""
    polite = re.compile(r"(?<![.:!?] )(?<!^)\b(?:Sie|Ihnen|Ihre?[nmrs]?)\b")
    assert polite.search("Geben Sie an.")
    assert [] == [key for key, text in words("de").table.items() if polite.search(text)]


@pytest.mark.parametrize(
    ("tag", "told"),
    [
        ("en", "en"),
        ("en-GB", "en-GB"),
        ("la", "en"),
        ("de-AT", "de-AT"),
        ("es-MX", "es-MX"),
        ("", "en"),
        ("../x", "en"),
    ],
)
def test_a_tag_is_looked_up_whole_then_shorter_and_english_stands_in(tag: str, told: str) -> None:
    assert told == words(tag).language


def test_a_key_no_file_has_is_refused() -> None:
    with pytest.raises(DomainError, match="no-such-key"):
        words("en")("no-such-key")


def test_the_tag_that_serves_a_reader() -> None:
    assert "es" == fitting("es-MX", ("en", "es"))
    assert None is fitting("cy", ("en", "es"))


def test_no_line_of_a_file_is_longer_than_a_translator_likes() -> None:
    for language in ("es", "de"):
        told = words(language).table.values()
        assert all(len(text) <= 220 and not re.search(r"[\n\t]", text) for text in told)
