"""Lines of a worked solution that stand in some items only: shown, proved and marked where they stand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from itembank.audit.verify import verify_all
from itembank.build.build import BuildRequest, build
from itembank.difficulty.predict import Predictor
from itembank.expressions.spelling import plain
from itembank.items import Item
from itembank.library import check, draw
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from tests.template_items import GOOD, bound, items

NAME = "real-or-none"


def shown(item: Item) -> list[str]:
    """The worked solution of an item, line by line."""
    return ["" if line.maths is None else plain(line.maths) for line in item.parts[0].solution]


def test_each_item_has_the_lines_whose_conditions_hold() -> None:
    kinds = set()
    for item in items(NAME, 40):
        lines, k = shown(item), item.values["k"]
        assert isinstance(k, int)
        kinds.add(k > 0)
        assert 2 + (k < 0) == len(lines)
        assert plain(item.parts[0].key) == lines[-1]
        assert (k < 0) == (lines[-1] == "none") == (lines[0] == "")
        assert sum(mark.worth for line in item.parts[0].solution for mark in line.marks) == 3
        assert [] == list(faults((*prove(item), *prove_with_sympy(item))))
    assert {True, False} == kinds


def test_what_stands_in_some_items_only_leaves_the_others_possible() -> None:
    """Nothing is passed over because a line that does not stand in an item would have no value there."""
    ready = bound(NAME)
    possible = [a for a in (ready.assignment(i) for i in range(ready.size)) if ready.feasible(*a)]

    assert all(ready.forms(*arguments) is not None for arguments in possible)
    assert any(arguments[1] < 0 for arguments in possible)
    assert any(arguments[1] > 0 for arguments in possible)


def test_the_steps_of_each_item_count_for_its_difficulty(tmp_path: Path) -> None:
    text = TEXT.replace(
        "  - when: k < 0\n", "  - when: h > 0 and k > 0\n    math: (x - h)^2 = k\n  - when: k < 0\n"
    )
    made = [drawn.item for drawn in draw(bank(tmp_path, text), count=60)]

    assert {2, 3} == {len(item.parts[0].solution) for item in made}
    for item in made:
        assert Predictor(item.about).predict(item.parts) == item.difficulty


def bank(folder: Path, text: str) -> Path:
    """A bank of one template and the slips of the good ones."""
    (folder / "bank" / "templates").mkdir(parents=True)
    (folder / "bank" / "bank.yaml").write_text("bank: lines\ntitle: Lines\nlicence: MIT\n", "utf-8")
    (folder / "bank" / "slips.yaml").write_text((GOOD / "slips.yaml").read_text("utf-8"), "utf-8")
    (folder / "bank" / "templates" / "t.yaml").write_text(text, "utf-8")
    return folder / "bank"


TEXT = (GOOD / f"{NAME}.yaml").read_text("utf-8")


@pytest.mark.parametrize("maths", ["mathml", "latex"])
def test_every_format_carries_them_and_the_audit_follows(tmp_path: Path, maths: str) -> None:
    formats = ("qti3", "qti22", "qti21", "cc", "latex", "html", "docx", "json")
    built = build(
        BuildRequest(
            bank(tmp_path, TEXT), tmp_path / "out", count=24, formats=formats, full_proof=True, maths=maths
        )
    )

    assert 24 == built.report.items
    reports = verify_all([tmp_path / "out"])
    assert 4 == len(reports)
    assert all(report.ok for report in reports)
    solutions = (tmp_path / "out" / "staff" / "lines-worked-solutions.tex").read_text("utf-8")
    assert "no real solution" in solutions
    assert "Take square roots" in solutions


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("when: k > 0\n    math: x = h ± surd(k)", "when: k > 0\n    math: x = h ± surd(2*k)", ":25: solution-line"),
        ("when: k > 0\n", "when: k > -5\n", ":25: line-without-value"),
        ("when: k > 0\n", "when: k > 4\n", ":13: marks-do-not-sum"),
        ("  - when: k < 0\n", "  - when: k < 5\n", ":28: solution-line"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_at_the_line_itself(tmp_path: Path, old: str, new: str, told: str) -> None:
    """Though other lines above it do not stand in the item."""
    assert old in TEXT
    found = check(bank(tmp_path, TEXT.replace(old, new)))

    said = [
        f":{d.span.line}: {re.sub('-wrong$', '', d.code)}" for d in found.diagnostics if d.span is not None
    ]
    assert not found.ok
    assert told in said


def test_an_item_in_which_no_line_earns_the_marks_is_told_at_the_last_that_could(tmp_path: Path) -> None:
    """The sum of nothing is no sum that fits."""
    text = (
        TEXT.replace("    marks: M1\n", "")
        .replace("marks: M1 A1", "marks: M1 A2")
        .replace("marks: A2", "marks: M1 A2")
    )
    assert check(bank(tmp_path / "right", text)).ok
    found = check(bank(tmp_path / "wrong", text.replace("  - when: k < 0\n", "  - when: k < -2\n")))

    (told,) = [each for each in found.diagnostics if each.code == "no-marked-line"]
    assert told.span is not None
    assert "  - when: k < 0" == text.splitlines()[told.span.line - 1]


def test_a_range_that_is_too_large_is_told_at_the_line_itself(tmp_path: Path) -> None:
    text = TEXT.replace("x = h ± surd(k)", "x - 12345 = h - 12345 ± surd(k)")
    found = check(bank(tmp_path, text))

    assert any(
        d.span is not None and d.span.line == 25 and d.code == "numbers-too-ugly" for d in found.diagnostics
    )
