"""A slip of a template's own may name its source, as slips of the slip file do."""

from __future__ import annotations

from pathlib import Path

from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips

GOOD = Path(__file__).parents[2] / "templates" / "good"


def test_a_slip_in_a_template_may_name_its_source(tmp_path: Path) -> None:
    text = (GOOD / "choice.yaml").read_text("utf-8")
    assert 1 == text.count("when: h != 1}")
    path = tmp_path / "sourced.yaml"
    path.write_text(
        text.replace("when: h != 1}", "when: h != 1, source: 'common practice, no source'}"), "utf-8"
    )
    catalogue = load_slips(GOOD / "slips.yaml", "slips.yaml")[0]

    assert load_template(GOOD / "choice.yaml", "choice.yaml", catalogue).doubts == ()
    assert load_template(path, path.name, catalogue).doubts == ()
