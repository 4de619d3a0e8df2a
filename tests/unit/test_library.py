"""The front door for programs: the same items as a build, the README's example, and errors that can be caught."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from shutil import copytree

import pytest

from itembank import library
from itembank.analysis.learnt import Verdict
from itembank.library import (
    AssembleRequest,
    BuildRequest,
    ChoiceResponse,
    DomainError,
    InputError,
    NotEnoughItems,
    analyse,
    assemble,
    build,
    check,
    draw,
    exposure,
    latex,
    learnt,
    mathml,
    passmark,
    plain,
    plain_text,
    spoken,
    used,
    verify,
)

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "banks" / "quadratics"
TEMPLATE = DEMO / "templates" / "vertex-form.yaml"


def test_what_is_drawn_is_what_a_build_writes(tmp_path: Path) -> None:
    bank = copytree(DEMO, tmp_path / "bank")
    result = build(BuildRequest(bank, tmp_path / "out", count=26, seed=5, formats=("json", "qti3")))
    written = json.loads((result.out / "staff" / "items.json").read_text("utf-8"))["items"]

    assert written == [drawn.as_data() for drawn in draw(bank, count=26, seed=5)]
    assert all(report.ok for report in verify(result.out))
    assert [26] == [report.items for report in verify(*(result.out / "platform").glob("*.zip"))]


def test_texts_are_taken_as_paths_everywhere(tmp_path: Path) -> None:
    bank = copytree(DEMO, tmp_path / "bank")
    (tmp_path / "class.csv").write_text("name\nAda\n", "utf-8")
    asked = BuildRequest(str(bank), str(tmp_path / "out"), 12, class_list=str(tmp_path / "class.csv"))
    built = build(asked)
    forms = AssembleRequest(
        str(bank / "blueprints" / "half-term.yaml"), str(tmp_path / "forms"), formats=("json",),
        not_again=[str(built.out)],
    )  # fmt: skip

    assert 12 == built.report.items
    assert (tmp_path / "out" / "staff" / "items.json").is_file()
    assert 3 == len(assemble(forms).report.forms)


@pytest.mark.parametrize("asked", [{"count": 0}, {"count": -1}, {"count": 11, "versions": 0}])
def test_a_build_of_nothing_is_refused(asked: dict[str, int], tmp_path: Path) -> None:
    with pytest.raises(DomainError, match=f"not {list(asked.values())[-1]}$"):
        build(BuildRequest(str(ROOT / "banks" / "kinds"), tmp_path / "out", **asked))

    assert not (tmp_path / "out").exists()


def test_drawing_or_assembling_nothing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DomainError, match="not 0"):
        draw(DEMO, count=0)
    with pytest.raises(DomainError, match="not 0"):
        assemble(AssembleRequest(DEMO / "blueprints" / "half-term.yaml", tmp_path / "forms", forms=0))

    assert not (tmp_path / "forms").exists()


def test_uses_since_no_day_are_refused() -> None:
    """Days are compared as texts: whatever stood there would else be taken for one."""
    with pytest.raises(InputError, match="yesterday"):
        used(DEMO, since="yesterday")
    with pytest.raises(InputError, match="calendar"):
        exposure(DEMO, since="2026-02-30")


def test_items_are_told_apart_by_what_they_take() -> None:
    kinds = [
        part.response.kind for item, _ in draw(ROOT / "banks" / "kinds", count=24) for part in item.parts
    ]
    (drawn,) = draw(DEMO / "templates" / "monic-even-surd.yaml", count=1)
    response = drawn.item.parts[0].response

    assert {"choices", "match", "order", "written", "wrong-line"} <= set(kinds)
    assert "choice" == response.kind
    assert isinstance(response, ChoiceResponse)
    assert all(plain_text(option.content).startswith("x = ") for option in response.options)


def test_a_template_alone_gives_as_many_as_are_asked_for() -> None:
    drawn = {item.code: proof for item, proof in draw(TEMPLATE, count=5, seed=3, full_proof=True)}

    assert 5 == len(drawn)
    assert all(finding.holds for proof in drawn.values() for finding in proof)
    (usual,) = draw(TEMPLATE, count=1, seed=3)
    assert len(usual.proof) < len(drawn[usual.item.code])


def test_a_formula_reads_in_every_notation() -> None:
    (drawn,) = draw(DEMO / "templates" / "monic-even-surd.yaml", count=1)
    key = drawn.item.parts[0].key

    assert re.fullmatch(r"x = -?\d+ ± \d*\*?sqrt\(\d+\)", plain(key))
    assert r"\pm" in latex(key)
    assert mathml(key).startswith("<math ")
    assert "plus or minus" in spoken(key)


def test_what_is_wrong_is_raised_at_its_place_or_told(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(TEMPLATE.read_text("utf-8").replace("problem:", "problm:"), "utf-8")

    with pytest.raises(InputError) as raised:
        draw(wrong)
    assert "problm" in str(raised.value)
    assert raised.value.diagnostics == check(wrong).diagnostics
    assert not check(wrong).ok


def test_more_than_there_are_a_folder_and_nothing_at_all_are_refused(tmp_path: Path) -> None:
    with pytest.raises(NotEnoughItems) as raised:
        draw(TEMPLATE, count=10**6)
    assert 0 < raised.value.possible < 10**6
    for path, code in ((DEMO / "templates", "no-bank"), (tmp_path / "nothing", "not-there")):
        with pytest.raises(InputError) as refused:
            draw(path)
        assert [code] == [diagnostic.code for diagnostic in refused.value.diagnostics]


def test_the_readmes_example_does_what_it_says() -> None:
    (example,) = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)

    ended = subprocess.run(
        [sys.executable, "-c", example], cwd=ROOT, capture_output=True, check=True, encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip

    lines = ended.stdout.splitlines()
    assert 24 == len(lines)
    assert all(re.search(r"\((\d+) marks, \d+ claims proved\)$", line) for line in lines)


def test_results_are_analysed_as_the_command_does(tmp_path: Path) -> None:
    out = tmp_path / "out"
    build(BuildRequest(ROOT / "banks" / "quadratics", out, 12, formats=("json",)))
    head, most = (
        line.split(",") for line in (out / "staff" / "mark-sheet.csv").read_text("utf-8").splitlines()[:2]
    )
    rows = [head, most, ["Ada", *most[1:]], ["Bo", *("0" for _ in most[1:])]]
    (tmp_path / "marks.csv").write_text("\n".join(map(",".join, rows)), "utf-8")

    found = analyse(out, tmp_path / "marks.csv")

    assert (2, 12) == (found.whole.pupils, found.whole.questions)
    assert {Fraction(1, 2)} == {each.facility for each in found.questions}
    with pytest.raises(InputError):
        analyse(tmp_path, tmp_path / "marks.csv")


def test_who_has_learnt_is_told_as_the_command_does(tmp_path: Path) -> None:
    out = tmp_path / "out"
    build(BuildRequest(ROOT / "banks" / "quadratics", out, 24, formats=("json",)))
    head, most = (
        line.split(",") for line in (out / "staff" / "mark-sheet.csv").read_text("utf-8").splitlines()[:2]
    )
    rows = [head, most, ["Ada", *most[1:]], ["Bo", *("0" for _ in most[1:])]]
    (tmp_path / "marks.csv").write_text("\n".join(map(",".join, rows)), "utf-8")

    found = learnt((out, [tmp_path / "marks.csv"]), by="template")

    assert ("Ada",) == found.of(0, Verdict.LEARNT)
    assert ("Bo",) == found.of(0, Verdict.NOT_YET) == found.to_practise(0)
    with pytest.raises(DomainError, match="not by slip"):
        learnt((out, [tmp_path / "marks.csv"]), by="slip")


def test_a_pass_mark_is_told_as_the_command_does(tmp_path: Path) -> None:
    out = tmp_path / "out"
    build(BuildRequest(ROOT / "banks" / "quadratics", out, 12, formats=("json",)))
    head, most = (
        line.split(",") for line in (out / "staff" / "mark-sheet.csv").read_text("utf-8").splitlines()[:2]
    )
    rated = [f"{item},{3 * int(marks) / 4}" for item, marks in zip(head[1:-1], most[1:-1], strict=True)]
    (tmp_path / "ratings.csv").write_text("\n".join(["item,Ms Ash", *rated]), "utf-8")
    (tmp_path / "shares.csv").write_text(
        "\n".join(["item,Ms Ash", *(f"{item},0.75" for item in head[1:-1])]), "utf-8"
    )

    found = passmark(out, tmp_path / "ratings.csv", boundary="merit")
    shares = passmark(out, tmp_path / "shares.csv", scale="share")

    assert [Fraction(3, 4) * found.setting.maximum] == [cut.value for cut in found.cuts]
    assert [cut.value for cut in found.cuts] == [cut.value for cut in shares.cuts]
    assert "merit" == found.setting.boundary
    with pytest.raises(DomainError, match="no scale"):
        passmark(out, tmp_path / "ratings.csv", scale="stars")


def test_forms_are_assembled_as_the_command_does(tmp_path: Path) -> None:
    blueprint = tmp_path / "surds.yaml"
    blueprint.write_text("blueprint: surds\ntitle: Surds\nforms: 2\nitems: 3\npool: 5\n", "utf-8")

    made = assemble(
        AssembleRequest(blueprint, tmp_path / "out", ROOT / "banks" / "quadratics", formats=("json",))
    )

    assert [3, 3] == [form.items for form in made.report.forms]
    assert made.report.forms[0].marks == made.report.forms[1].marks
    assert (made.out / "form-b" / "staff" / "items.json").is_file()


def test_every_name_of_the_front_door_is_there_and_explained() -> None:
    for name in library.__all__:
        assert getattr(library, name).__doc__, name


def test_the_record_of_use_is_kept_told_and_taken_back(tmp_path: Path) -> None:
    bank = copytree(DEMO, tmp_path / "bank")
    out = build(BuildRequest(bank, tmp_path / "out", count=12, formats=("json", "qti3"))).out

    kept = library.record(out, into=bank, group="Evening B", on="2026-06-12", note="room 1")
    assert (True, 12, "room 1") == (kept.is_new, len(kept.items), kept.sitting.note)
    assert not library.record(out, into=bank, group="evening b", on="2026-06-12").is_new
    assert [kept.sitting.name] == [each.name for each in library.used(bank, by=["Evening B"]).sittings]
    assert () == library.used(bank, since="2026-06-13").sittings
    assert 12 == len(library.exposure(bank, limit=0).over)
    rule = library.LeaveOut(by=("Evening B",))
    other = build(BuildRequest(bank, tmp_path / "other", count=12, formats=("json",), leave_out=rule))
    assert 12 <= (other.report.used_before or 0)
    library.restore(bank, kept.sitting.name, tmp_path / "back")
    library.restore(bank, kept.sitting.name, tmp_path / "anew", formats=("qti21",))
    codes = [
        [
            item["code"]
            for item in json.loads((tmp_path / name / "staff/items.json").read_text("utf-8"))["items"]
        ]
        for name in ("out", "back", "anew")
    ]
    assert codes[0] == codes[1] == codes[2]
    assert all(report.ok for report in verify(tmp_path / "anew"))
    assert kept.sitting.name == library.unrecord(bank, kept.sitting.name).name
    assert not (bank / "record").exists()
    assert check(bank / "templates" / "vertex-form.yaml").recorded == ()
