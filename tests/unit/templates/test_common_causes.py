"""One fault that strikes at many places is told once, with its places; different faults stay apart."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.cli.report import as_data, diagnostic_lines
from itembank.errors import Diagnostic, InputError
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS, load_slips
from itembank.yaml_source import parse

TEMPLATE = """\
template: base
version: 1
title: A square with its root
demand: use
calculator: no
unknowns: [x]
parameters:
  h: {from: 1, to: 9}
  k: {from: 2, to: 9}
derived: {b: -2*h, c: h^2 - k}
constraints: [c != 0]
guarantees: [irrational_roots(problem)]
problem: x^2 + b*x + c = 0
stem: Solve $problem$ for the $k$ you have.
response: {kind: choice, options: 2}
key: x = h ± surd(k)
slips: [{slip: sign, value: x = -h ± surd(k), pupil: Look at $h$., teacher: Signs.}]
solution: [{math: (x - h)^2 = k}, {math: x = h ± surd(k)}]
"""


def _told(text: str) -> list[Diagnostic]:
    with pytest.raises(InputError) as wrong:
        read_template(parse(text.encode(), "base.yaml"), NO_SLIPS)
    return list(wrong.value.diagnostics)


def _places(told: Diagnostic) -> list[tuple[int, int]]:
    assert told.span
    return [(span.line, span.column) for span in (told.span, *told.also)]


def _where(text: str, *lines: int, letter: str) -> list[tuple[int, int]]:
    """Where a letter stands alone in some lines of a text, counted without the program."""
    rows = text.splitlines()
    return [
        (line, column + 1)
        for line in lines
        for column, sign in enumerate(rows[line - 1])
        if sign == letter
        and not rows[line - 1][column - 1].isalpha()
        and not rows[line - 1][column + 1 : column + 2].isalpha()
    ]


def test_a_letter_nobody_declared_is_told_once_with_every_place() -> None:
    text = TEMPLATE.replace("  k: {from: 2, to: 9}\n", "")

    (told,) = _told(text)

    assert "unknown-name" == told.code
    assert _where(text, 9, 13, 15, 16, 17, letter="k") == _places(told)
    assert text.splitlines()[8] == told.excerpt


def test_different_letters_are_told_apart() -> None:
    text = TEMPLATE.replace("  k: {from: 2, to: 9}\n", "").replace("$k$ you have", "$k$ and $j$")

    told = _told(text)

    assert [("`k`", 6), ("`j`", 1)] == [(each.message.split()[0], len(_places(each))) for each in told]


def test_a_letter_wanting_in_an_early_and_a_late_place_is_told_at_the_early_one() -> None:
    """Whatever order a file is read in: the stem comes before the key there, the guarantees last."""
    text = TEMPLATE.replace("key: x = h ", "key: x = m ").replace("c: h^2 - k", "c: h^2 - k*m")

    (told,) = _told(text)

    assert [(10, 31), (16, 10)] == _places(told)


def test_a_function_that_is_none_is_told_once_and_another_apart() -> None:
    text = (
        TEMPLATE.replace("x = h ± surd(k)\n", "x = h ± wurzel(k)\n")
        .replace("x = -h ± surd(k)", "x = -h ± wurzel(k)")
        .replace("(x - h)^2 = k", "(x - h)^2 = radix(k)")
    )

    told = _told(text)

    assert [("`wurzel` is no function", [16, 17]), ("`radix` is no function", [18])] == [
        (each.message, [line for line, _ in _places(each)]) for each in told
    ]


def test_a_letter_without_a_value_in_two_conditions_is_told_once() -> None:
    (told,) = _told(TEMPLATE.replace("[c != 0]", "[c != x, x > 2, c != 0]"))

    assert ("letter-without-value", [(11, 20), (11, 23)]) == (told.code, _places(told))


def test_words_in_maths_and_a_column_that_is_not_there_are_told_once_each() -> None:
    rows = "  k: {from: 2, to: 9}\n  place: {rows: [{thing: yard}, {thing: lawn}]}\n"
    text = TEMPLATE.replace("  k: {from: 2, to: 9}\n", rows)
    text = text.replace("c: h^2 - k", "c: h^2 - place").replace("[c != 0]", "[c != place]")
    text = text.replace("the $k$ you have", "the $place.thin$ of $place.thin$ and $place.th$")

    told = _told(text)

    assert [("words-in-maths", 2), ("unknown-column", 2), ("unknown-column", 1)] == [
        (each.code, len(_places(each))) for each in told
    ]


def test_mistakes_that_are_mended_one_by_one_are_told_one_by_one() -> None:
    text = TEMPLATE.replace("[c != 0]", "[c == 0, k == 3]")

    assert ["double-equals", "double-equals"] == [each.code for each in _told(text)]


@pytest.mark.parametrize(
    ("blanks", "codes"),
    [
        ("{z: {form: surd}}", ["unknown-blank"]),
        ("{x: {form: surd}, z: {form: surd}}", ["unknown-blank"]),
        ("{z: {form: surd}, v: {form: surd}}", ["unknown-blank", "unknown-blank"]),
    ],
)
def test_a_blank_under_a_name_that_is_none_is_not_missing_besides(blanks: str, codes: list[str]) -> None:
    text = TEMPLATE.replace("{kind: choice, options: 2}", f"{{kind: entry, blanks: {blanks}}}")

    assert codes == [each.code for each in _told(text)]


def test_a_blank_more_that_is_missing_is_told() -> None:
    text = TEMPLATE.replace("unknowns: [x]", "unknowns: [x, y]").replace(
        "x^2 + b*x + c = 0", "x + y = h and x - y = k"
    )
    text = text.replace("irrational_roots(problem)", "not is_square(k)").replace("(x - h)^2 = k", "x + y = h")
    response = "{kind: entry, blanks: {z: {form: surd}}}"
    told = _told(text.replace("{kind: choice, options: 2}", response))

    assert {"unknown-blank", "missing-blank"} <= {each.code for each in told}


def test_slips_of_the_slip_file_have_each_a_fault_of_their_own(tmp_path: Path) -> None:
    slip = (
        "  - {{slip: {0}, unknowns: [x], takes: [h], value: x = m + h + m, pupil: See., teacher: See., "
        "source: none}}\n"
    )
    path = tmp_path / "slips.yaml"
    path.write_text("slips:\n" + slip.format("one") + slip.format("two"), "utf-8")

    with pytest.raises(InputError) as wrong:
        load_slips(path, "slips.yaml")

    assert [("unknown-name", [2, 2]), ("unknown-name", [3, 3])] == [
        (each.code, [line for line, _ in _places(each)]) for each in wrong.value.diagnostics
    ]


def test_the_places_are_told_and_of_very_many_the_first() -> None:
    few = _told(TEMPLATE.replace("key: x = h ", "key: x = m ").replace("c: h^2 - k", "c: h^2 - k*m"))[0]
    two = _told(TEMPLATE.replace("- k}", "- k*m - m*m}"))[0]
    many = _told(TEMPLATE.replace("- k}", "- k" + "*m" * 9 + "}"))[0]

    assert "  also at 16:10" in diagnostic_lines(few)
    assert "  also at 10:35 and 10:37" in diagnostic_lines(two)
    assert "  also at 10:33, 10:35, 10:37, 10:39, 10:41, 10:43 and 2 more places" in diagnostic_lines(many)
    assert [{"path": "base.yaml", "line": 16, "column": 10}] == as_data(few)["also"]
    assert 8 == len(as_data(many)["also"])
