"""The audit's look at pictures: what this house writes passes, and each way of spoiling a picture is told."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from itembank.audit.pictures import picture_faults
from itembank.audit.tongues import tongue
from itembank.audit.verify import verify
from itembank.figures import AreaModel, Figure, Parabola, SignTable, drawing, in_words
from itembank.items import Item
from itembank.publication import Publication
from itembank.words import words
from itembank.writers import qti3
from itembank.writers.pictures import STYLE_FILE, STYLE_SHEET, file_of, pictures
from itembank.writers.qti_manifest import depending, shared_resource
from tests.audit_samples import write_zip
from tests.figure_samples import FIGURES, SIGN_TABLES, number_line, sign_table
from tests.qti_items import pictured_item

FIGURE = AreaModel("x", Fraction(-8))
DATA = file_of(FIGURE, words("en")).decode()
WORDS = in_words(drawing(FIGURE))


def members(item: Item) -> dict[str, str]:
    """The package of one item."""
    style = f"items/{STYLE_FILE}"
    whole = (
        qti3.manifest_head(Publication("quiz", "Quiz"))
        + depending(qti3.manifest_resource(item), [style])
        + shared_resource(style)
        + qti3.manifest_tail()
    )
    named = zip(qti3.picture_names(item), pictures(item), strict=True)
    files = {name: file_of(picture.figure, picture.said).decode() for name, picture in named}
    return {"imsmanifest.xml": whole, qti3.item_name(item): qti3.item_xml(item), style: STYLE_SHEET, **files}


def codes(path: Path) -> list[str]:
    return [finding.code for finding in verify(path).findings]


@pytest.mark.parametrize("language", ["en", "en-US", "es", "es-MX", "de", "de-CH"])
@pytest.mark.parametrize("figure", FIGURES, ids=repr)
def test_what_is_drawn_passes(figure: Figure, language: str) -> None:
    said = words(language)
    told = in_words(drawing(figure, said))

    assert [] == list(picture_faults(file_of(figure, said), told, "a.svg", tongue(language)))


def test_words_in_another_language_than_the_item_says_are_told() -> None:
    told = in_words(drawing(FIGURE, words("es")))

    faults = list(picture_faults(file_of(FIGURE, words("es")), told, "a.svg", tongue("en")))

    assert {"picture-numbers"} == {fault.code for fault in faults}


def test_a_package_with_pictures_passes(tmp_path: Path) -> None:
    assert [] == codes(write_zip(tmp_path / "quiz.zip", members(pictured_item())))


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("</desc>", "</desc><script>alert(1)</script>", "unsafe-picture"),
        ("</desc>", '</desc><image href="http://example.org/a.png"/>', "unsafe-picture"),
        ("</desc>", "</desc><style>g { display: none }</style>", "unsafe-picture"),
        ("</desc>", '</desc><a xmlns="http://www.w3.org/1999/xhtml">x</a>', "unsafe-picture"),
        ('<g fill="none"', '<g onload="x()" fill="none"', "unsafe-picture"),
        (f"<desc>{WORDS}</desc>", "", "picture-without-description"),
        (f"<desc>{WORDS}</desc>", "<desc>A square.</desc>", "picture-differs"),
        ('<rect x="0"', '<rect x="1e9"', "misshapen-picture"),
        ('<path d="M', '<path d="url(x) M', "misshapen-picture"),
    ],
)
def test_a_spoiled_picture_is_told(old: str, new: str, code: str) -> None:
    assert 1 <= DATA.count(old)

    faults = list(picture_faults(DATA.replace(old, new, 1).encode(), WORDS, "a.svg"))

    assert [code] == [fault.code for fault in faults]


CURVE = Parabola("x", Fraction(1), Fraction(-8), Fraction(13), ("vertex", "axis", "roots", "intercept"))
LINE = number_line((None, False, -2, False), (5, True, None, False))
TABLE = SIGN_TABLES[0]


@pytest.mark.parametrize(
    ("figure", "old", "new", "reason"),
    [
        (FIGURE, "width 4 ", "width 3 ", "do not say 'width 4'"),
        (FIGURE, "area 16 ", "area 61 ", "do not say 'area 16'"),
        (FIGURE, "taken away", "added", "added or taken away"),
        (FIGURE, 'data-numbers="-8"', 'data-numbers="-6"', "do not say 'width 3'"),
        (FIGURE, 'data-numbers="-8"', 'data-numbers="eight"', "cannot be read"),
        (FIGURE, 'data-kind="area-model"', 'data-kind="area"', "is not known"),
        (CURVE, "point is (4, −3)", "point is (4, 3)", "vertex is at (4, 3)"),
        (CURVE, "axis at (0, 13)", "axis at (0, 31)", "at (0, 31)"),
        (CURVE, "line x = 4", "line x = −4", "symmetry is at −4"),
        (CURVE, "crosses the", "touches the", "how the curve meets the axis"),
        (CURVE, "opens upward", "opens downward", "which side the curve opens"),
        (CURVE, 'data-window="-2 ', 'data-window="-3 ', "not the parabola"),
        (CURVE, 'data-numbers="1 -8 13"', 'data-numbers="2 -16 29"', "not the parabola"),
        (LINE, "(full dot, it belongs to them)", "(ring, it does not belong to them)", "full dots are not"),
        (LINE, 'fill="#ffffff" stroke', 'fill="#000000" stroke', "full dots are not"),
        (LINE, "up to −2", "up to −3", "dots do not stand"),
        (LINE, 'circle cx="', 'circle cx="1', "dots do not stand"),
        (LINE, ">6<", ">9<", "cannot be read off its ticks"),
        (LINE, 'stroke-width="4.95"', 'stroke-width="1.35"', "segments are not"),
        (LINE, "all numbers up to", "any number up to", "cannot be read"),
        (CURVE, "at 4 − √3 and", "at 4 − √2 and", "crosses the horizontal axis at 4 − √2"),
        (CURVE, 'circle cx="', 'circle cx="1', "neither the vertex nor on an axis"),
        (
            TABLE,
            "x − 5 is negative below",
            "x − 5 is positive below",
            "tell a sign that the expression has not",
        ),
        (TABLE, "x + 2 is", "x + 3 is", "tell a sign that the expression has not"),
        (TABLE, "x + 2 is negative below −2", "x + 2 is negative below −4", "cannot be read"),
        (TABLE, ">+</text>\n<path", ">−</text>\n<path", "its signs are not those"),
        (TABLE, 'd="M5.18 28.98', 'd="M6.18 28.98', "rows and columns are not those"),
        (TABLE, ">5</text>\n<path", ">3</text>\n<path", "numbers above its columns"),
    ],
)
def test_numbers_that_disagree_are_told(figure: Figure, old: str, new: str, reason: str) -> None:
    data, told = file_of(figure, words("en")).decode(), in_words(drawing(figure))
    assert old in data

    faults = list(picture_faults(data.replace(old, new).encode(), told.replace(old, new), "a.svg"))

    assert {"picture-numbers"} == {fault.code for fault in faults}
    assert [fault for fault in faults if reason in fault.message]


@pytest.mark.parametrize(
    ("figure", "old", "new", "reason"),
    [
        (FIGURE, "anchura 4 ", "anchura 3 ", "do not say 'anchura 4'"),
        (FIGURE, "área 16 ", "área 61 ", "do not say 'área 16'"),
        (FIGURE, "se quita", "se suma", "added or taken away"),
        (CURVE, "más bajo es (4; −3)", "más bajo es (4; 3)", "vertex is at (4, 3)"),
        (CURVE, "en (0; 13)", "en (0; 31)", "at (0, 31)"),
        (CURVE, "recta x = 4", "recta x = −4", "symmetry is at −4"),
        (CURVE, "y corta al", "y no corta al", "how the curve meets the axis"),
        (CURVE, "hacia arriba", "hacia abajo", "which side the curve opens"),
        (LINE, "(punto lleno, es uno de ellos)", "(punto vacío, no es uno de ellos)", "full dots are not"),
    ],
)
def test_numbers_that_disagree_are_told_in_spanish(figure: Figure, old: str, new: str, reason: str) -> None:
    _told_in("es", figure, old, new, reason)


@pytest.mark.parametrize(
    ("figure", "old", "new", "reason"),
    [
        (FIGURE, "Breite 4 ", "Breite 3 ", "do not say 'Breite 4'"),
        (FIGURE, "Flächeninhalt 16 ", "Flächeninhalt 61 ", "do not say 'Flächeninhalt 16'"),
        (FIGURE, "weggenommen", "dazugenommen", "added or taken away"),
        (CURVE, "tiefster Punkt ist (4; −3)", "tiefster Punkt ist (4; 3)", "vertex is at (4, 3)"),
        (CURVE, "in (0; 13)", "in (0; 31)", "at (0, 31)"),
        (CURVE, "Gerade x = 4", "Gerade x = −4", "symmetry is at −4"),
        (CURVE, "und schneidet die", "und trifft die", "how the curve meets the axis"),
        (CURVE, "nach oben", "nach unten", "which side the curve opens"),
        (LINE, "(voller Punkt, gehört dazu)", "(leerer Kreis, gehört nicht dazu)", "full dots are not"),
    ],
)
def test_numbers_that_disagree_are_told_in_german(figure: Figure, old: str, new: str, reason: str) -> None:
    _told_in("de", figure, old, new, reason)


def _told_in(language: str, figure: Figure, old: str, new: str, reason: str) -> None:
    said = words(language)
    data, told = file_of(figure, said).decode(), in_words(drawing(figure, said))
    assert old in told

    faults = list(
        picture_faults(data.replace(old, new).encode(), told.replace(old, new), "a.svg", tongue(language))
    )

    assert {"picture-numbers"} == {fault.code for fault in faults}
    assert [fault for fault in faults if reason in fault.message]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda text: text.replace("</svg>", ""), "not-well-formed"),
        (lambda text: text.replace("<svg", "<!DOCTYPE svg><svg", 1), "document-type"),
        (lambda text: text.replace("<svg", "<html", 1).replace("</svg>", "</html>"), "wrong-root"),
    ],
)
def test_a_broken_file_is_told(change: Callable[[str], str], code: str, tmp_path: Path) -> None:
    files = members(pictured_item())
    name = next(name for name in files if name.endswith("-2.svg"))
    files[name] = change(files[name])

    assert [code] == codes(write_zip(tmp_path / "quiz.zip", files))


def table(first: int, second: int) -> SignTable:
    """The sign table of (x - first)(x - second)."""
    rows = ((-1, 0, 1, 1, 1), (-1, -1, -1, 0, 1), (1, 0, -1, 0, 1))
    texts = (f"x - {first}", f"x - {second}", f"(x - {first})*(x - {second})")
    return sign_table(*zip(texts, rows, strict=True), zeros=(first, second))


@pytest.mark.parametrize(
    ("figure", "found"),
    [
        (number_line((2, True, 2, True), (6, True, 6, True)), []),
        (number_line((2, True, 2, True), (7, True, 7, True)), ["picture-differs"]),
        (number_line((2, True, 6, True)), ["picture-differs"]),
        (table(2, 6), []),
        (table(2, 7), ["picture-differs"]),
        (Parabola("x", Fraction(1), Fraction(-8), Fraction(12)), []),
        (Parabola("x", Fraction(-1), Fraction(8), Fraction(-12)), ["picture-differs"]),
        (Parabola("x", Fraction(1), Fraction(-8), Fraction(13)), ["picture-differs"]),
    ],
    ids=repr,
)
def test_a_picture_shows_what_its_item_speaks_of(figure: Figure, found: list[str], tmp_path: Path) -> None:
    """x^2 - 8x + 12 = 0 with x = 2 or x = 6, and pictures that are in order each by itself."""
    item = pictured_item()
    item = replace(item, parts=(replace(item.parts[0], figure=figure),))

    assert found == codes(write_zip(tmp_path / "quiz.zip", members(item)))


def test_a_missing_picture_is_told(tmp_path: Path) -> None:
    files = members(pictured_item())
    files.pop(next(name for name in files if name.endswith("-1.svg")))

    assert {"missing-file"} == set(codes(write_zip(tmp_path / "quiz.zip", files)))


def test_a_missing_curve_is_told_and_none_outside_is_opened(tmp_path: Path) -> None:
    """In a zip and in a folder, where the address could lead to what is beside it."""
    item = pictured_item()
    curve = Parabola("x", Fraction(1), Fraction(-8), Fraction(12))
    item = replace(item, parts=(replace(item.parts[0], figure=curve),))
    files = members(item)
    name = next(name for name in files if name.endswith("-1.svg"))
    files.pop(name)
    (tmp_path / "beside.svg").mkdir()  # which nobody who opens it could read

    assert {"missing-file"} == set(codes(write_zip(tmp_path / "quiz.zip", files)))
    item_name = qti3.item_name(item)
    files[item_name] = files[item_name].replace(name.removeprefix("items/"), "../../beside.svg")
    for each, text in files.items():
        (tmp_path / "quiz" / each).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "quiz" / each).write_text(text, encoding="utf-8")
    assert "unsafe-reference" in codes(tmp_path / "quiz")


def test_a_picture_without_words_in_its_place_is_told(tmp_path: Path) -> None:
    files = members(pictured_item())
    name = qti3.item_name(pictured_item())
    files[name] = files[name].replace(f'alt="{WORDS}"', 'alt=""')

    assert {"picture-without-alt", "picture-differs"} <= set(codes(write_zip(tmp_path / "q.zip", files)))


@pytest.mark.parametrize("figure", [each for each in FIGURES if not isinstance(each, SignTable)], ids=repr)
def test_another_number_written_in_a_picture_is_told(figure: Figure) -> None:
    """At a tick, at an end, in an area or at a point: 8642 in the place of each numeral in turn."""
    data, told = file_of(figure, words("en")).decode(), in_words(drawing(figure))
    written = list(re.finditer(r"(?<=stroke=\"none\">)[0-9]+(?=</text>)", data))
    for numeral in written:
        changed = data[: numeral.start()] + "8642" + data[numeral.end() :]

        assert [] != list(picture_faults(changed.encode(), told, "a.svg", tongue("en"))), numeral


@pytest.mark.parametrize("scale", ["M33.98 235.31 L33.98 239.81", "M33.98 235.31 L29.48 235.31"])
def test_a_sign_that_is_lost_from_a_scale_is_told(scale: str) -> None:
    figure = Parabola("x", Fraction(1), Fraction(2), Fraction(-3), ("vertex", "roots", "intercept"))
    data, told = file_of(figure, words("en")).decode(), in_words(drawing(figure))
    before, tick, after = data.partition(scale)
    assert "\u2212" in after.partition("<path")[0]

    faults = picture_faults(
        (before + tick + after.replace("\u2212", "", 1)).encode(), told, "a.svg", tongue("en")
    )

    assert ["picture-numbers"] == [fault.code for fault in faults]


WHOLE = Parabola("x", Fraction(1), Fraction(-4), Fraction(-5), ("vertex", "axis", "roots", "intercept"))


@pytest.mark.parametrize("figure", [WHOLE, LINE, TABLE], ids=["curve", "line", "table"])
def test_every_numeral_that_is_drawn_stands_where_it_belongs(figure: Figure) -> None:
    """Also one that the words have elsewhere: each numeral is exchanged for every other one of the picture."""
    data, told = file_of(figure, words("en")).decode(), in_words(drawing(figure))
    drawn = list(re.finditer(r">([0-9]+)</text>", data))
    others = sorted({each[1] for each in drawn})
    missed = [
        (each[1], other)
        for each in drawn
        for other in others
        if other != each[1]
        and not list(
            picture_faults(f"{data[: each.start(1)]}{other}{data[each.end(1) :]}".encode(), told, "a.svg")
        )
    ]

    assert len(drawn) > 5
    assert [] == missed
