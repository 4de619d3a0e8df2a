"""What answers mean, however they are spelled."""

from __future__ import annotations

from typing import Any

import pytest

from itembank.analysis.meanings import meaning_of, of_boxes, readings


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("x = 3 or x = -5", "x = -5 or x = 3"),
        ("x = (8 ± sqrt(52))/2", "x = 4 ± sqrt(13)"),
        ("x = 4 - sqrt(13) or x = 4 + sqrt(13)", "x = 4 ± sqrt(13)"),
        ("x = -(1 ± sqrt(2))", "x = -1 ± sqrt(2)"),
        ("q = 3 and p = 2", "p = 2 and q = 3"),
        ("(x, y) = (1, 2) or (x, y) = (3, 4)", "(x, y) = (3, 4) or (x, y) = (1, 2)"),
        ("3 < x", "x > 3"),
        ("x < -1 or x >= 2", "2 <= x or -1 > x"),
        ("2*(x + 1)", "2*x + 2"),
        ("y = 2*(x + 1)", "2*x + 2 = y"),
        ("0.5", "1/2"),
        ("None", "no real solution"),
        ("No real roots", "∅"),
        ("no tiene solución real", "none"),
        ("Keine reelle Lösung", "none"),
    ],
)
def test_two_spellings_of_one_answer_mean_the_same(text: str, same: str) -> None:
    assert meaning_of(text) is not None
    assert meaning_of(same) == meaning_of(text)


@pytest.mark.parametrize(
    ("text", "other"),
    [
        ("x = 3", "x = -3"),
        ("x = 3", "x = 3 or x = -3"),
        ("x < 3", "x <= 3"),
        ("x < 3", "x > 3"),
        ("p = 2 and q = 3", "p = 3 and q = 2"),
        ("x = 3", "none"),
        ("2*x + 2", "2*x + 3"),
    ],
)
def test_different_answers_mean_something_else(text: str, other: str) -> None:
    assert meaning_of(text) != meaning_of(other)


@pytest.mark.parametrize(
    "text", ["", "??", "x = ", "1/0", "sqrt(-2)", "9^9^9^9", "x" * 300, "__import__('os')"]
)
def test_what_cannot_be_read_has_no_meaning(text: str) -> None:
    assert meaning_of(text) is None
    assert [] == list(readings(text))


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("{3, -5}", "x = 3 or x = -5"),
        ("x = {3; -5}", "x = 3 or x = -5"),
        ("x ∈ { 4 ± √13 }", "x = 4 ± sqrt(13)"),
        ("{ }", "none"),
    ],
)
def test_a_set_of_solutions_may_stand_in_braces(typed: str, key: str) -> None:
    assert meaning_of(key) in list(readings(typed))


def blank(form: str, boxes: str, slots: int = 1, unknown: str = "x", **more: object) -> dict[str, Any]:
    return {"form": form, "boxes": boxes.split(), "slots": slots, "unknown": unknown, **more}


@pytest.mark.parametrize(
    ("blanks", "boxes", "points", "text"),
    [
        ([blank("integer", "value", 2)], ["3", "−5"], False, "x = -5 or x = 3"),
        ([blank("integer", "value", 2)], ["3", ""], False, "x = 3"),
        ([blank("integer", "value", 2)], ["", ""], False, "none"),
        ([blank("fraction", "numerator denominator")], ["6", "-4"], False, "x = -3/2"),
        ([blank("decimal", "value")], ["2,50"], False, "x = 5/2"),
        ([blank("surd", "p q r s", pair=True)], ["-9", "1", "85", "2"], False, "x = (-9 ± sqrt(85))/2"),
        ([blank("surd", "p q r s", pair=True)], ["-3", "3", "2", ""], False, "x = -3 ± 3*sqrt(2)"),
        ([blank("surd", "q r", pair=False)], ["6", "2"], False, "x = 6*sqrt(2)"),
        ([blank("integer", "value", unknown="q"), blank("integer", "value", unknown="p")], ["7", "-4"], False,
         "p = -4 and q = 7"),
        ([blank("integer", "value", 2, "x"), blank("integer", "value", 2, "y")], ["-2", "3", "3", "-2"], True,
         "(x, y) = (-2, 3) or (x, y) = (3, -2)"),
        ([blank("integer", "value", 2, "x"), blank("integer", "value", 2, "y")], ["-3", "7", "", ""], True,
         "(x, y) = (-3, 7)"),
    ],
)  # fmt: skip
def test_boxes_mean_what_their_values_are(
    blanks: list[dict[str, Any]], boxes: list[str], points: bool, text: str
) -> None:
    assert meaning_of(text) is not None
    assert meaning_of(text) == of_boxes(blanks, boxes, points=points)


@pytest.mark.parametrize(
    ("blanks", "boxes"),
    [
        ([blank("integer", "value")], ["three"]),
        ([blank("integer", "value", 2)], ["3"]),
        ([blank("fraction", "numerator denominator")], ["1", "0"]),
        ([blank("surd", "p r")], ["1", "-3"]),
        ([blank("interval", "sign value")], ["lt", "3"]),
    ],
)
def test_boxes_that_hold_no_number_mean_nothing(blanks: list[dict[str, Any]], boxes: list[str]) -> None:
    assert of_boxes(blanks, boxes, points=False) is None


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("x = 3 oder x = -5", "x = 3 or x = -5"),
        ("3 und -5", "x = 3 or x = -5"),
        ("q = 3 und p = 2", "p = 2 and q = 3"),
        ("9 250", "9250"),
        ("9'250", "9250"),
        ("x = 1’009’250", "x = 1009250"),
        ("x = 1\u202f009\u00a0250,5", "x = 1009250.5"),
    ],
)
def test_german_words_and_thousands_set_apart_may_mean_the_key(typed: str, key: str) -> None:
    assert meaning_of(key) in readings(typed)
