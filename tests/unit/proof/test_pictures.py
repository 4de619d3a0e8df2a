"""Pictures of other things than the part speaks of are refused where they are written, as the audit refuses them."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import verify_all
from itembank.build.build import BuildRequest, build
from itembank.library import InputError, check

INEQUALITY = """template: a-ray
version: 1
title: A linear inequality
topics: [inequalities]
demand: use
calculator: no
unknowns: [x]
parameters:
  a: {from: 2, to: 6}
  k: {from: -6, to: 6, leaving_out: [0]}
derived: {c: a*k}
problem: a*x < c
stem: Solve $problem$.
response: {kind: entry, marks: 2, blanks: {x: {form: interval}}}
key: x < k
solution:
  - math: x < k
    marks: M1 A1
    figure: FIGURE
"""
QUADRATIC = """template: a-curve
version: 1
title: Where a curve meets the axis
topics: [graphs]
demand: use
calculator: no
unknowns: [x]
parameters:
  p: {from: -6, to: -1}
  q: {from: 1, to: 6}
constraints: [p + q != 0]
problem: (x - p)*(x - q) > 0
stem: Solve $problem$.
response: {kind: entry, marks: 2, blanks: {x: {form: interval}}}
key: x < p or x > q
solution:
  - math: x^2 - (p + q)*x + value(p*q) > 0
    marks: M1
    figure: FIGURE
  - math: x < p or x > q
    marks: A1
"""
SHOWN = [
    (INEQUALITY, "{kind: number-line, of: x < k}"),
    (INEQUALITY, "{kind: number-line, of: a*x < c}"),
    (QUADRATIC, "{kind: number-line, of: x > q}"),
    (QUADRATIC, "{kind: number-line, of: x < p or x > q}"),
    (QUADRATIC, "{kind: sign-table, of: (x - p)*(x - q)}"),
    (QUADRATIC, "{kind: sign-table, of: 2*(x - p)*(x - q)}"),
    (QUADRATIC, "{kind: parabola, of: x^2 - (p + q)*x + p*q, shows: [roots]}"),
]
OTHERS = [
    (INEQUALITY, "{kind: number-line, of: x < 7}"),
    (INEQUALITY, "{kind: number-line, of: x <= k}"),
    (QUADRATIC, "{kind: number-line, of: x < p or x >= q}"),
    (QUADRATIC, "{kind: sign-table, of: (x - p)*(x - q - 1)}"),
    (QUADRATIC, "{kind: parabola, of: x^2 - (p + q)*x + p*q + 1, shows: [axis]}"),
    (QUADRATIC, "{kind: parabola, of: 2*x^2 - 2*(p + q)*x + 2*p*q, shows: [axis]}"),
]


def bank(folder: Path, text: str, figure: str) -> Path:
    """A bank of one template with a picture."""
    (folder / "bank" / "templates").mkdir(parents=True)
    (folder / "bank" / "bank.yaml").write_text("bank: pictures\ntitle: Pictures\nlicence: MIT\n", "utf-8")
    (folder / "bank" / "templates" / "t.yaml").write_text(text.replace("FIGURE", figure), "utf-8")
    return folder / "bank"


def told(folder: Path) -> list[tuple[str, str]]:
    """What check says of pictures: the code, and the line of the file."""
    return [
        (d.code, d.excerpt.strip())
        for d in check(folder).diagnostics
        if d.code.startswith(("picture", "figure"))
    ]


@pytest.mark.parametrize(("text", "figure"), SHOWN)
def test_a_picture_of_what_stands_there_is_built_and_verified(tmp_path: Path, text: str, figure: str) -> None:
    folder = bank(tmp_path, text, figure)
    build(BuildRequest(folder, tmp_path / "out", count=6, formats=("qti3", "cc"), full_proof=True))

    assert [] == told(folder)
    assert all(report.ok for report in verify_all([tmp_path / "out"]))


@pytest.mark.parametrize(("text", "figure"), OTHERS)
def test_a_picture_of_something_else_is_told_at_its_place(tmp_path: Path, text: str, figure: str) -> None:
    folder = bank(tmp_path, text, figure)

    assert [("picture-differs", f"figure: {figure}")] == told(folder)
    with pytest.raises(InputError, match="picture"):
        build(BuildRequest(folder, tmp_path / "out", count=6, formats=("qti3",)))


def test_a_number_line_that_marks_what_is_to_be_entered_is_doubtful_until_a_reason_is_given(
    tmp_path: Path,
) -> None:
    line = "figure: {kind: number-line, of: x < k}"
    text = INEQUALITY.replace("    figure: FIGURE\n", "").replace("response:", f"{line}\nresponse:")
    silent = text.replace("response:", "lint: {figure-shows-answer: it is what is read}\nresponse:")

    assert [("figure-shows-answer", line)] == told(bank(tmp_path / "a", text, ""))
    assert check(tmp_path / "a" / "bank").ok
    assert [] == told(bank(tmp_path / "b", silent, ""))
    assert [] == [d.code for d in check(tmp_path / "b" / "bank").diagnostics if d.code == "unknown-rule"]
