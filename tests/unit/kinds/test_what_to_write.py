"""The sentence that tells what to write into boxes of different forms: what is asked of each number, by its letter."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.items import EntryResponse
from itembank.library import draw, plain_text
from itembank.writers.common_cartridge.to_type import how_to_write
from itembank.writers.phrases import phrases

TEMPLATE = """\
template: numbers
version: 1
title: {{en: Numbers, es: Números, de: Zahlen}}
unknowns: [n, theta_1]
parameters: {{a: {{from: 1, to: 9}}, b: {{from: 2, to: 9}}}}
problem: n + theta_1 = a + b and n - theta_1 = a - b
stem: {{en: Solve $problem$., es: Resuelve $problem$., de: Löse $problem$.}}
response: {{kind: entry, marks: 2, blanks: {{n: {first}, theta_1: {second}}}}}
key: n = a and theta_1 = b
"""
ONE, TWO, WHOLE = "{form: decimal, places: 1}", "{form: decimal, places: 2}", "{form: integer}"


@pytest.mark.parametrize(
    ("first", "second", "language", "said"),
    [
        (ONE, TWO, "en", "Give n to 1 decimal place. Give θ₁ to 2 decimal places."),
        (ONE, TWO, "es", "Da n con 1 cifra decimal. Da θ₁ con 2 cifras decimales."),
        (WHOLE, TWO, "en", "Give n as an integer. Give θ₁ to 2 decimal places."),
        (ONE, WHOLE, "es", "Da n con 1 cifra decimal. Da θ₁ como número entero."),
        (ONE, WHOLE, "de", "Gib n mit 1 Nachkommastelle an. Gib θ₁ als ganze Zahl an."),
        (TWO, TWO, "en", "Give each answer to 2 decimal places."),
        (WHOLE, WHOLE, "en", "Enter integers."),
    ],
)
def test_each_number_is_told_its_form_where_they_differ(
    first: str, second: str, language: str, said: str, tmp_path: Path
) -> None:
    path = tmp_path / "numbers.yaml"
    path.write_text(TEMPLATE.format(first=first, second=second), encoding="utf-8")
    (item, _), *_ = draw(path, count=1, language=language)
    response = item.parts[0].response

    assert isinstance(response, EntryResponse)
    assert said == plain_text(response.instruction)
    if first != second:
        assert said == how_to_write(response, phrases(language))


SEVERAL = """\
template: several
version: 1
title: Several numbers
unknowns: [x]
parameters: {{a: {{from: 1, to: 4}}, b: {{from: 5, to: 9}}}}
problem: (x - a)*(x - b) {sign} 0
stem: Solve $problem$.
response: {{kind: entry, marks: 2, blanks: {{x: {blank}}}}}
key: {key}
"""


@pytest.mark.parametrize(
    ("sign", "key", "blank", "said"),
    [
        ("=", "x = a or x = b", WHOLE, "empty if there are fewer. Enter integers."),
        ("=", "x = a or x = b", ONE, "empty if there are fewer. Give each answer to 1 decimal place."),
        ("<", "a < x < b", "{form: interval}", "leave the second empty. Enter integers."),
    ],
)
def test_several_numbers_are_told_their_form_as_one_is(
    sign: str, key: str, blank: str, said: str, tmp_path: Path
) -> None:
    """So that nobody writes fractions or roots where only integers are looked for."""
    path = tmp_path / "several.yaml"
    path.write_text(SEVERAL.format(sign=sign, key=key, blank=blank), encoding="utf-8")
    (item, _), *_ = draw(path, count=1)
    response = item.parts[0].response

    assert isinstance(response, EntryResponse)
    assert plain_text(response.instruction).endswith(said)
