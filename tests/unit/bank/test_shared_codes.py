"""Two banks without a secret whose templates have the same name give the same codes, which `check` tells."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.library import check, draw

TEMPLATE = """# a comment first
template: halves
version: 1
title: Halve
unknowns: [x]
parameters: {a: {from: -20, to: 20, leaving_out: [0]}}
problem: 2*x = 2*a
stem: Solve $problem$.
response: {kind: entry, marks: 1, blanks: {x: {form: integer}}}
key: x = a
"""


def banks(folder: Path, *files: str) -> list[Path]:
    made = []
    for number, text in enumerate(files):
        place = folder / f"bank-{number}"
        (place / "templates").mkdir(parents=True)
        (place / "bank.yaml").write_text(f"bank: b{number}\ntitle: Halves\ncount: 3\n{text}", "utf-8")
        (place / "templates" / "halves.yaml").write_text(TEMPLATE, "utf-8")
        made.append(place)
    return made


def test_the_second_is_told_at_the_name_of_its_template(tmp_path: Path) -> None:
    first, second = banks(tmp_path, "", "")
    (told,) = [each for each in check(first, second).diagnostics if each.code == "codes-shared"]

    assert [each.item.code for each in draw(first)] == [each.item.code for each in draw(second)]
    assert told.span is not None
    assert (str(second / "templates" / "halves.yaml"), 2, 1) == (
        told.span.path, told.span.line, told.span.column,
    )  # fmt: skip
    assert str(first) in told.message
    assert check(first, second).ok


@pytest.mark.parametrize("said", ["secret: own.txt\n", "seed: 2\n"])
def test_a_secret_or_another_seed_tells_them_apart(tmp_path: Path, said: str) -> None:
    first, second = banks(tmp_path, "", said)
    (second / "own.txt").write_text("a secret of this bank alone", "utf-8")

    codes = [{each.item.code for each in draw(place)} for place in (first, second)]
    assert not codes[0] & codes[1]
    assert [] == [each for each in check(first, second).diagnostics if each.code == "codes-shared"]


def test_one_bank_named_twice_is_not_told(tmp_path: Path) -> None:
    (only,) = banks(tmp_path, "")

    assert [] == [
        each for each in check(only, only / ".." / only.name).diagnostics if each.code == "codes-shared"
    ]
