"""The ends of ranges: one that no value reaches is doubtful, with the end that is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips

GOOD = Path(__file__).parents[2] / "templates" / "good" / "entry.yaml"
TEXT = GOOD.read_text("utf-8")


def _doubts(tmp_path: Path, line: str) -> list[tuple[str, str, str]]:
    path = tmp_path / "ranged.yaml"
    text, times = re.subn(r"^parameters:$", f"parameters:\n  spare: {line}", TEXT, flags=re.MULTILINE)
    assert 1 == times
    path.write_text(text, "utf-8")
    doubts = load_template(path, path.name, load_slips(GOOD.parent / "slips.yaml", "slips.yaml")[0]).doubts
    return [(each.message, each.hint, each.excerpt) for each in doubts if each.code == "end-not-reached"]


@pytest.mark.parametrize(("line", "last"), [
    ("{from: 1, to: 9.5}", "9"), ("{from: -9, to: 10, step: 2}", "9"), ("{from: 0.5, to: 4.2, step: 0.5}", "4.0"),
    ("{from: 1/3, to: 3}", "7/3"),
])  # fmt: skip
def test_an_end_that_is_not_reached_is_doubtful(line: str, last: str, tmp_path: Path) -> None:
    ((message, hint, excerpt),) = _doubts(tmp_path, line)

    assert f"the values end at {last.removesuffix('.0')}" in message
    assert f"write to: {last.removesuffix('.0')}" in hint
    assert line in excerpt


@pytest.mark.parametrize("line", [
    "{from: 1, to: 9}", "{from: -9, to: 9, step: 2}", "{from: 0.5, to: 4.5, step: 0.5, places: 1}",
    "{from: -3, to: 3, denominators: [2, 3]}", "{from: 4, to: 4}",
])  # fmt: skip
def test_one_that_is_reached_is_not(line: str, tmp_path: Path) -> None:
    assert [] == _doubts(tmp_path, line)
