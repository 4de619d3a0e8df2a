"""Solutions that are surds and no pair p ± q√r: boxes for each, in any order, and no more than the key can need."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import verify_all
from itembank.build.build import BuildRequest, build
from itembank.items import EntryResponse
from itembank.library import check, draw, plain_text

HEAD = "template: surds\nversion: 1\ntitle: Surds\nunknowns: [x]\n"
TWO = (
    HEAD
    + """\
parameters: {h: {from: -2, to: 5, leaving_out: [0]}, k: {from: 2, to: 9}}
constraints: [not is_square(k), h != -2]
problem: (x - h*sqrt(k)/2)*(x - 1 + sqrt(k)) = 0
stem: Solve $problem$, giving surds in their simplest form.
response: {kind: entry, marks: 2, blanks: {x: {form: surd}}}
key: x = h*sqrt(k)/2 or x = 1 - sqrt(k)
slips:
  - {slip: signs, value: x = -h*sqrt(k)/2 or x = -1 + sqrt(k), pupil: Put them in., teacher: Signs.}
  - {slip: one-only, value: x = 1 - sqrt(k), pupil: Is that all?, teacher: One only.}
"""
)
MIXED = (
    HEAD
    + """\
parameters: {h: {from: -2, to: 2}, k: {from: 2, to: 9}}
constraints: [not is_square(k)]
problem: (x + sqrt(k))*(x - h - sqrt(k)) = 0
stem: Solve $problem$, giving surds in their simplest form.
response: {kind: entry, marks: 2, blanks: {x: {form: surd}}}
key: x = -sqrt(k) or x = h + sqrt(k)
"""
)


@pytest.mark.parametrize("text", [TWO, MIXED])
def test_every_surd_has_its_boxes_in_every_package(text: str, tmp_path: Path) -> None:
    folder = tmp_path / "evening" / "templates"
    folder.mkdir(parents=True)
    (folder.parent / "bank.yaml").write_text("bank: evening\ntitle: Surds\n", encoding="utf-8")
    (folder / "surds.yaml").write_text(text, encoding="utf-8")

    assert check(folder.parent).ok
    formats = ("qti3", "qti21", "cc", "latex", "html")
    build(BuildRequest(folder.parent, tmp_path / "out", count=12, formats=formats, full_proof=True))
    reports = verify_all([tmp_path / "out"], thorough=True, workers=1)
    assert len(reports) == 3
    assert [] == [finding for report in reports for finding in report.findings]


def test_they_stand_in_any_order_and_slips_of_two_are_recognised(tmp_path: Path) -> None:
    path = tmp_path / "surds.yaml"
    path.write_text(TWO, encoding="utf-8")
    (item, _), *_ = draw(path, count=1)
    response = item.parts[0].response

    assert isinstance(response, EntryResponse)
    assert plain_text(response.instruction).startswith("Enter the solutions in any order")
    assert (2, True, False) == (
        response.blanks[0].slots, response.blanks[0].any_order, response.blanks[0].pair,
    )  # fmt: skip
    assert ["signs", "one-only"] == [each.slip.name for each in response.recognised]


@pytest.mark.parametrize(
    ("problem", "key", "boxes"),
    [
        ("(x - h)^2 = k", "x = h - sqrt(k) or x = h + sqrt(k)", ("p", "q", "r")),
        ("x^2 = k + 0*h", "x = -sqrt(k) or x = sqrt(k)", ("q", "r")),
        ("(2*x - h)^2 = k", "x = (h - sqrt(k))/2 or x = (h + sqrt(k))/2", ("p", "q", "r", "s")),
    ],
)
def test_a_pair_told_one_by_one_has_the_boxes_of_a_pair(
    problem: str, key: str, boxes: tuple[str, ...], tmp_path: Path
) -> None:
    path = tmp_path / "surds.yaml"
    path.write_text(
        f"{HEAD}parameters: {{h: {{from: 1, to: 5}}, k: {{from: 2, to: 9}}}}\nconstraints: [not is_square(k)]\n"
        f'problem: "{problem}"\nstem: Solve $problem$ for $h$.\nkey: {key}\n'
        "response: {kind: entry, marks: 2, blanks: {x: {form: surd}}}\n",
        encoding="utf-8",
    )
    (item, _), *_ = draw(path, count=1)
    response = item.parts[0].response

    assert isinstance(response, EntryResponse)
    assert boxes == response.blanks[0].boxes
    assert response.blanks[0].pair


def test_surds_of_points_have_no_boxes_that_stay_1_or_0(tmp_path: Path) -> None:
    path = tmp_path / "surds.yaml"
    text = """parameters: {k: {from: 2, to: 9}, c: {from: 1, to: 5}}
constraints: [not is_square(k)]
problem: y = x^2 + c and y = k + c
stem: Solve $problem$, giving surds in their simplest form.
key: (x, y) = (sqrt(k), k + c) or (x, y) = (-sqrt(k), k + c)
response: {kind: entry, points: any-order, marks: 2, blanks: {x: {form: surd}, y: {form: integer}}}
"""
    path.write_text(HEAD.replace("[x]", "[x, y]") + text, encoding="utf-8")
    (item, _), *_ = draw(path, count=1, full_proof=True)
    response = item.parts[0].response

    assert isinstance(response, EntryResponse)
    assert [("q", "r"), ("value",)] == [blank.boxes for blank in response.blanks]


def test_surds_too_large_for_the_rules_are_no_fault_of_the_package(tmp_path: Path) -> None:
    """Of (-927 ± √860309)/70 over 140 the squares leave 32 bits: only the simplest form earns marks."""
    folder = tmp_path / "evening" / "templates"
    folder.mkdir(parents=True)
    (folder.parent / "bank.yaml").write_text("bank: evening\ntitle: Surds\n", encoding="utf-8")
    text = """parameters: {a: [35], b: [927, 157]}
problem: a*x^2 + b*x - 7 = 0
stem: Solve $problem$, giving surds in their simplest form.
response: {kind: entry, marks: 3, blanks: {x: {form: surd}}}
key: a*x^2 + b*x - 7 = 0
"""
    (folder / "surds.yaml").write_text(HEAD + text, encoding="utf-8")
    build(BuildRequest(folder.parent, tmp_path / "out", count=2, formats=("qti3", "cc")))

    for report in verify_all([tmp_path / "out"], thorough=False, workers=1):
        assert [] == list(report.findings)
