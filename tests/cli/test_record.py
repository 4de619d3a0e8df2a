"""`itembank record`, `used`, `restore`, `unrecord`: the record of use as an assessment lead keeps it."""

from __future__ import annotations

import json
import re
import shutil
import zipfile
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from tests.cli.harness import DEMO, Program, change

BLUEPRINT = """blueprint: half-term
title: Quadratics at half-term
forms: 2
items: 4
shared: 1
pool: 12
"""
FORM = "half-term/form-a"
GROUP = ("--group", "Evening algebra, group B")
SITTING = "2026-06-12-evening-algebra-group-b-half-term-a"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a bank, an assembly of two forms, and a build with papers that bear names."""
    folder = tmp_path_factory.mktemp("record") / "here"
    folder.mkdir()
    program = Program(folder)
    shutil.copytree(DEMO, folder / "bank")
    program.write("bank/blueprints/two.yaml", BLUEPRINT)
    program.write("class.csv", "name\nAda Quill\nZoë Marsh\n")
    program.run(
        "assemble", "bank/blueprints/two.yaml", "--out", "half-term", "--formats", "qti3,html,json", left=None
    )
    program.run(
        "build", "bank", "--out", "quiz", "--count", 12, "--versions", 2, "--class-list", "class.csv",
        "--formats", "latex,html,docx,json", left=None,
    )  # fmt: skip
    return folder


@pytest.fixture
def program(made: Path, tmp_path: Path) -> Program:
    shutil.copytree(made, tmp_path / "here")
    return Program(tmp_path / "here")


def record(program: Program, build: str = FORM, on: str = "2026-06-12", *more: object, **how: Any) -> str:
    group = () if "--group" in more else GROUP
    how = {"left": None, **how}
    return program.run("record", build, "--into", "bank", *group, "--on", on, *more, **how).out


def tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


# ---- recording --------------------------------------------------------------------------------------------


def test_a_sitting_is_kept_whole_and_brought_back_byte_for_byte(program: Program) -> None:
    out = record(program)

    assert out == (
        f"recorded {SITTING}: 4 items of Quadratics at half-term A, sat by Evening algebra, group B on 2026-06-12\n"
    )
    change(program.folder / "bank/templates/vertex-form.yaml", "title:", "title: Another")
    shutil.rmtree(program.folder / "bank/templates/other", ignore_errors=True)
    back = program.run("restore", "bank", SITTING, "--out", "back", left=None).out
    assert back == "13 files in back, proved to be as they were recorded\n"
    assert tree(program.folder / FORM) == {
        name: data for name, data in tree(program.folder / "back").items() if name != ".itembank-output"
    }
    verified = program.run("verify", "back", "--digests", "back/staff/digests.txt").out
    assert "4 items, none at fault" in verified


def test_recording_the_same_again_changes_nothing(program: Program) -> None:
    record(program)
    before = tree(program.folder)

    out = record(program, FORM, "2026-06-12", "--group", "evening algebra GROUP B")

    assert out == f"was recorded before as {SITTING}; nothing was changed\n"
    assert before == tree(program.folder)


def test_what_is_taken_back_leaves_the_bank_as_it_was(program: Program) -> None:
    before = program.files()
    record(program)
    record(program, FORM, "2026-06-15", "--group", "Group A")

    assert "taken back" in program.run("unrecord", "bank", "2026-06-15-group-a-half-term-a", left=None).out
    program.run("restore", "bank", SITTING, "--out", "back", left=None)
    shutil.rmtree(program.folder / "back")
    told = json.loads(program.run("unrecord", "bank", f"{SITTING}.yaml", "--json", left=None).out)

    assert {"sitting": SITTING, "group": "Evening algebra, group B", "day": "2026-06-12"} == told
    assert before == program.files()


def test_of_an_assembly_all_forms_are_one_sitting_and_what_they_share_is_used_once(program: Program) -> None:
    record(program, "half-term")

    told = json.loads(program.run("used", "bank", "--json").out)
    (sitting,) = told["sittings"]
    assert "2026-06-12-evening-algebra-group-b-half-term" == sitting["sitting"]
    assert ["Quadratics at half-term A", "Quadratics at half-term B"] == [
        f["title"] for f in sitting["forms"]
    ]
    assert 7 == len(sitting["items"]) == len(told["items"])
    assert {1} == {item["uses"] for item in told["items"]}
    program.run("restore", "bank", sitting["sitting"], "--out", "back", left=None)
    for form in ("form-a", "form-b"):
        for name in ("staff/items.json", "staff/digests.txt", "report.md"):
            assert (program.folder / "half-term" / form / name).read_bytes() == (
                (program.folder / "back" / form / name).read_bytes()
            )


def test_no_name_and_no_mark_of_a_pupil_is_kept(program: Program) -> None:
    sheet = program.folder / "quiz/staff/mark-sheet.csv"
    sheet.write_text(sheet.read_text("utf-8-sig").replace("Ada Quill,A,,", "Ada Quill,A,1,2"), "utf-8")

    out = record(program, "quiz", err=None)

    assert "not kept, for pupils may be named there: quadratics-named-question-papers.docx" in out
    program.run(
        "restore", "bank", "2026-06-12-evening-algebra-group-b-quadratics", "--out", "back", left=None
    )
    files = tree(program.folder / "back") | tree(program.folder / "bank/record")
    for name, data in files.items():
        inner = [data]
        if name.endswith((".docx", ".zip")):
            (program.folder / "one.zip").write_bytes(data)
            with zipfile.ZipFile(program.folder / "one.zip") as package:
                inner += [package.read(member) for member in package.namelist()]
        for text in inner:
            assert b"Quill" not in text, name
            assert "Zoë".encode() not in text, name
    assert {"quadratics-question-paper-A.docx", "quadratics-question-paper-B.tex"} <= {
        Path(n).name for n in files
    }
    kept = (program.folder / "back/staff/mark-sheet.csv").read_text("utf-8").splitlines()
    assert ["pupil", "maximum", "question A", "question B"] == [line.split(",")[0] for line in kept]


def test_what_lies_in_the_folder_and_was_not_built_is_not_kept(program: Program) -> None:
    program.write(f"{FORM}/staff/results.csv", "Ada Quill,17")
    record(program)

    assert "13 files" in program.run("restore", "bank", SITTING, "--out", "back", left=None).out


def test_a_paper_that_was_changed_by_hand_is_kept_as_it_was_sat_and_told(program: Program) -> None:
    path = program.folder / FORM / "pupils/half-term-a-question-paper.html"
    path.write_text(path.read_text("utf-8").replace("</body>", "<p>Good luck</p></body>"), "utf-8")

    ended = program.run("record", FORM, "--into", "bank", *GROUP, "--on", "2026-06-12", err=None, left=None)

    assert "doubtful: changed-since-built" in ended.err
    program.run("restore", "bank", SITTING, "--out", "back", left=None)
    assert b"Good luck" in (program.folder / "back/pupils/half-term-a-question-paper.html").read_bytes()
    assert "none at fault" in program.run("verify", "back", "--digests", "back/staff/digests.txt").out


def test_two_quizzes_of_one_day_are_two_sittings(program: Program) -> None:
    record(program, "quiz")
    program.run("build", "bank", "--out", "quiz", "--count", 6, "--seed", 5, "--formats", "json", left=None)

    out = record(program, "quiz")

    assert out.startswith("recorded 2026-06-12-evening-algebra-group-b-quadratics-2: 6 items")


def test_items_that_the_group_had_before_are_told(program: Program) -> None:
    record(program)

    assert "the group had sat 4 of them before: " in record(program, FORM, "2026-09-01")
    assert "before" not in record(program, FORM, "2026-09-01", "--group", "Group A")


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("nowhere", "--group", "B", "--on", "2026-06-12"), "no-build"),
        (("bank", "--group", "B", "--on", "2026-06-12"), "no-build"),
        ((FORM, "--group", "B", "--on", "2026-02-30"), "no-such-day"),
        ((FORM, "--group", "B", "--on", "today"), "no-such-day"),
        ((FORM, "--group", " ,", "--on", "2026-06-12"), "no-group"),
    ],
)
def test_what_cannot_be_recorded_is_told_and_nothing_is_written(
    program: Program, arguments: tuple[str, ...], code: str
) -> None:
    ended = program.run("record", *arguments, "--into", "bank", status=1, err=None)

    assert f"wrong: {code}" in ended.err
    assert not (program.folder / "bank/record").exists()


def test_a_build_of_another_bank_or_without_its_list_or_with_other_items_is_refused(program: Program) -> None:
    shutil.copytree(program.folder / "bank", program.folder / "other")
    for path in (program.folder / "other/templates").rglob("*.yaml"):
        if path.stem != "vertex-form":
            path.unlink()
    shutil.rmtree(program.folder / "other/blueprints")
    on = (*GROUP, "--on", "2026-06-12")

    assert "another-bank" in program.run("record", FORM, "--into", "other", *on, status=1, err=None).err
    items = program.folder / FORM / "staff/items.json"
    items.write_text(items.read_text("utf-8").replace('"marks":1', '"marks":9', 1), "utf-8")
    assert "changed-since-built" in program.run("record", FORM, "--into", "bank", *on, status=1, err=None).err
    (program.folder / FORM / "staff/digests.txt").unlink()
    assert "no-digests" in program.run("record", FORM, "--into", "bank", *on, status=1, err=None).err
    items.write_text("{}", "utf-8")
    assert "no-digests" in program.run("record", FORM, "--into", "bank", *on, status=1, err=None).err


def test_a_bank_that_cannot_be_written_to_is_told(program: Program) -> None:
    (program.folder / "bank/record").write_text("a file", "utf-8")

    ended = program.run("record", FORM, "--into", "bank", *GROUP, "--on", "2026-06-12", status=1, err=None)

    assert "wrong: not-writable" in ended.err


# ---- the list ---------------------------------------------------------------------------------------------


def test_the_list_tells_sittings_exposure_and_what_was_never_used(program: Program) -> None:
    record(program)
    record(program, FORM, "2026-06-15", "--group", "Group A")
    record(program, "half-term/form-b", "2026-06-16", "--group", "Group A")

    out = program.run("used", "bank", "--limit", 1).out
    told = json.loads(program.run("used", "bank", "--limit", 1, "--json").out)

    assert f"  {SITTING}  2026-06-12  Evening algebra, group B  Quadratics at half-term A      4" in out
    assert "  3 sittings, 7 different items used\n  never used: " in out
    assert 4 == len(re.findall(" [23] of 3$", out.partition("Items used more than 1 time")[2], re.MULTILINE))
    assert 3 == max(item["uses"] for item in told["items"])  # the one that both forms have
    assert 4 == len(told["over_the_limit"])
    assert 12 == sum(template["uses"] for template in told["templates"])
    assert set(told["never"]) == {t["template"] for t in told["templates"] if not t["uses"]}
    few = json.loads(program.run("used", "bank", "--by", "group a", "--since", "2026-06-16", "--json").out)
    assert ["2026-06-16-group-a-half-term-b"] == [each["sitting"] for each in few["sittings"]]


def test_the_list_goes_into_a_folder_too(program: Program) -> None:
    record(program, FORM, "2026-06-12", "--note", "room 1")

    out = program.run("used", "bank", "--limit", 0, "--out", "told", left=None).out

    assert out == "1 sitting, 4 different items used, 7 files in told\n"
    page = (program.folder / "told/report.html").read_text("utf-8")
    assert "Evening algebra, group B" in page
    assert "room 1" in (program.folder / "told/sittings.csv").read_text("utf-8")
    table = (program.folder / "told/over-the-limit.csv").read_text("utf-8")
    assert table == (program.folder / "told/items.csv").read_text("utf-8")
    assert 4 == table.count(",1 of 1\n")
    told = program.run("used", "bank", "--out", "bank/record/told", status=1, err=None).err
    assert "would-replace-a-build" in told


def test_a_group_that_never_sat_anything_is_told(program: Program) -> None:
    record(program)

    ended = program.run("used", "bank", "--by", "Grup B", err=None)

    assert "doubtful: unknown-group" in ended.err
    assert "recorded are: Evening algebra, group B" in ended.err
    assert "no sitting of these is recorded" in ended.out


def test_where_nothing_is_recorded_the_way_to_do_it_is_told(program: Program) -> None:
    assert "itembank record BUILD --into bank" in program.run("used", "bank").out
    assert "no-such-sitting" in program.run("unrecord", "bank", "x", status=1, err=None).err
    told = program.run("restore", "bank", "x", "--out", "y", status=1, err=None).err
    assert "nothing is recorded in this bank" in told


def test_a_wrong_day_is_wrong_usage(program: Program) -> None:
    assert "no such day" in program.run("used", "bank", "--since", "2026-13-01", status=2, err=None).err


# ---- damage -----------------------------------------------------------------------------------------------


def test_a_form_that_was_changed_is_never_brought_back(program: Program) -> None:
    record(program)
    (path,) = (program.folder / "bank/record/forms").glob("*.zip")
    data = path.read_bytes()
    for spoiled in (
        b"",
        data[:-30],
        data[:2000] + b"?" + data[2001:],
        (program.folder / "class.csv").read_bytes(),
    ):
        path.write_bytes(spoiled)
        ended = program.run("restore", "bank", SITTING, "--out", "back", status=1, err=None)
        assert "wrong: form-damaged" in ended.err
        assert "version control" in ended.err
    path.unlink()
    assert "form-missing" in program.run("restore", "bank", SITTING, "--out", "back", status=1, err=None).err
    assert "recorded before" in record(program)
    program.run("restore", "bank", SITTING, "--out", "back", left=None)


def test_a_damaged_sitting_is_told_and_can_be_taken_back(program: Program) -> None:
    record(program)
    path = program.folder / f"bank/record/sittings/{SITTING}.yaml"
    path.write_text("<<<<<<< ours\n" + path.read_text("utf-8"), "utf-8")

    told = program.run("used", "bank", status=1, err=None)
    assert f"{SITTING}.yaml:4:1: wrong" in told.err
    assert (
        "wrong"
        in program.run("record", FORM, "--into", "bank", *GROUP, "--on", "2027-01-01", status=1, err=None).err
    )
    program.run("unrecord", "bank", SITTING, left=None)
    assert "no sitting is recorded" in program.run("used", "bank").out


@pytest.mark.parametrize("how", ["gone", "with semicolons", "cut"])
def test_a_damaged_table_of_a_form_is_made_good_from_the_form_itself(program: Program, how: str) -> None:
    record(program)
    told = program.run("used", "bank", "--items").out
    (table,) = (program.folder / "bank/record/forms").glob("*.csv")
    was = table.read_text("utf-8")
    if how == "gone":
        table.unlink()
    else:
        table.write_text(was.replace(",", ";") if how == "with semicolons" else was[:-20], "utf-8")

    assert told == program.run("used", "bank", "--items").out
    record(program, FORM, "2026-06-13", "--group", "Group A")
    assert was == table.read_text("utf-8")


def test_what_a_killed_run_left_is_removed_by_the_next(program: Program) -> None:
    record(program)
    leftover = program.write("bank/record/forms/.form.99999.new", "half")

    record(program, FORM, "2026-06-13")

    assert not leftover.exists()


# ---- check ------------------------------------------------------------------------------------------------


@pytest.fixture
def small(program: Program) -> Program:
    """The bank with two of the templates that were sat, and one that was not, so that `check` is quick."""
    record(program)
    record(program, FORM, "2026-06-15", "--group", "Group A")
    told = json.loads(program.run("used", "bank", "--json").out)
    sat = sorted(each["template"] for each in told["templates"] if each["uses"])
    for path in (program.folder / "bank/templates").rglob("*.yaml"):
        if path.stem not in {*sat[:2], "vertex-form"}:
            path.unlink()
    shutil.rmtree(program.folder / "bank/blueprints")
    return program


def test_check_tells_what_changed_since_it_was_sat_and_calls_it_neither_wrong_nor_doubtful(
    small: Program,
) -> None:
    template = next(iter(sorted((small.folder / "bank/templates").rglob("*.yaml"))))
    text = template.read_text("utf-8")
    number = int(text.partition("\nversion: ")[2].partition("\n")[0])
    template.write_text(text.replace(f"\nversion: {number}\n", f"\nversion: {number + 1}\n"), "utf-8")

    out = small.run("check", "bank").out

    assert "bank: 2 sittings recorded, 4 different items; templates changed since: " in out
    assert f"{template.stem} ({number}, now {number + 1})" in out
    assert "; templates gone since: " in out
    assert out.endswith("0 wrong, 0 doubtful\n")
    told = json.loads(small.run("check", "bank", "--json").out)["record"]
    assert told == [line for line in out.splitlines() if line.startswith("bank: 2 sittings")]


def test_check_tells_a_damaged_record_at_its_place(small: Program) -> None:
    folder = small.folder / "bank/record"
    (table,) = (folder / "forms").glob("*.csv")
    (package,) = (folder / "forms").glob("*.zip")
    (folder / "sittings/copy.yaml").write_bytes((folder / f"sittings/{SITTING}.yaml").read_bytes())
    shutil.copy(package, folder / "forms/other-12345678.zip")

    out = small.run("check", "bank").out
    assert "bank/record/sittings/copy.yaml:1:1: doubtful: same-sitting-twice" in out
    assert "bank/record/forms/other-12345678.zip:1:1: doubtful: form-of-no-sitting" in out
    table.write_text(table.read_text("utf-8").replace(",1,", ",7,", 1), "utf-8")
    assert (
        f"{table.relative_to(small.folder)}:1:1: wrong: broken-form"
        in small.run("check", "bank", status=1).out
    )
    was = package.read_bytes()
    package.write_bytes(b"")
    told = f"{package.relative_to(small.folder)}:1:1: wrong: form-damaged"
    assert told in small.run("check", "bank", status=1).out
    package.unlink()
    assert "wrong: form-missing" in small.run("check", "bank", status=1).out
    table.unlink()
    assert "neither its table nor its package" in small.run("check", "bank", status=1).out
    package.write_bytes(was)
    out = small.run("check", "bank").out
    assert f"{table.relative_to(small.folder)}:1:1: doubtful: broken-form" in out
    assert "the next `record` writes it anew" in out


def test_check_of_a_bank_that_cannot_be_read_says_nothing_of_its_templates(small: Program) -> None:
    change(small.folder / "bank/bank.yaml", "seed: 1", "seed: one")

    out = small.run("check", "bank", status=1).out

    assert "bank: 2 sittings recorded, 4 different items\n" in out


def test_a_sitting_is_no_template(small: Program) -> None:
    path = f"bank/record/sittings/{SITTING}.yaml"

    assert "itembank used bank" in small.run("check", path, status=1).out
    (small.folder / "banks").mkdir()
    (small.folder / "bank").rename(small.folder / "banks/one")
    assert "sittings" not in small.run("check", "banks", status=0, err=None).out


def test_the_schema_of_a_sitting_takes_what_is_written(program: Program) -> None:
    record(program, FORM, "2026-06-12", "--note", "room 1")
    schema = json.loads(program.run("schema", "--of", "sitting").out)
    (path,) = (program.folder / "bank/record/sittings").glob("*.yaml")

    jsonschema.validate(yaml.safe_load(path.read_text("utf-8")), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"group": "B", "day": "2026-06-12", "forms": []}, schema)


def test_nothing_is_built_into_the_record(program: Program) -> None:
    for out in ("bank/record", "bank/record/new"):
        ended = program.run("build", "bank", "--out", out, "--count", 2, status=1, err=None)
        assert "in-the-record" in ended.err


# ---- in other formats -------------------------------------------------------------------------------------


def of(program: Program, folder: str) -> list[dict[str, Any]]:
    items = json.loads((program.folder / folder / "staff/items.json").read_text("utf-8"))["items"]
    return [{key: value for key, value in item.items() if key != "difficulty"} for item in items]


def test_what_was_sat_is_written_in_other_formats_with_the_very_items(program: Program) -> None:
    record(program)

    out = program.run(
        "restore",
        "bank",
        SITTING,
        "--out",
        "back",
        "--formats",
        "docx,html,qti21",
        "--large-print",
        left=None,
    ).out

    assert out.endswith(" files in back, written anew of the very items that were sat\n")
    assert of(program, FORM) == of(program, "back")
    assert "4 items, none at fault" in program.run("verify", "back").out
    names = {path.name for path in (program.folder / "back").rglob("*") if path.is_file()}
    assert {"half-term-a-question-paper.docx", "half-term-a-qti21.zip"} <= names
    assert "half-term-a-qti3.zip" not in names
    was, now = (
        (program.folder / folder / "pupils/half-term-a-question-paper.html").read_text("utf-8")
        for folder in (FORM, "back")
    )
    assert "Form A" in now
    assert was != now
    program.run("restore", "bank", SITTING, "--out", "back", "--formats", "html", left=None)
    again = (program.folder / "back/pupils/half-term-a-question-paper.html").read_text("utf-8")
    assert was == again


def test_versions_and_whole_assemblies_are_written_anew_too(program: Program) -> None:
    record(program, "quiz")
    record(program, "half-term", "2026-06-13")

    program.run(
        "restore",
        "bank",
        "2026-06-12-evening-algebra-group-b-quadratics",
        "--out",
        "back",
        "--formats",
        "html",
        left=None,
    )
    program.run(
        "restore",
        "bank",
        "2026-06-13-evening-algebra-group-b-half-term",
        "--out",
        "both",
        "--formats",
        "qti3",
        left=None,
    )

    for letter in "AB":
        name = f"pupils/quadratics-question-paper-{letter}.html"
        assert (program.folder / "quiz" / name).read_bytes() == (program.folder / "back" / name).read_bytes()
    assert of(program, "quiz") == of(program, "back")
    assert 2 == len(list((program.folder / "both").glob("form-[ab]/platform/*-qti3.zip")))


@pytest.mark.parametrize("how", ["version", "gone", "slips"])
def test_what_the_bank_makes_otherwise_now_is_not_written_anew(program: Program, how: str) -> None:
    record(program)
    name = of(program, FORM)[0]["address"]["template"]
    (path,) = (program.folder / "bank/templates").rglob(f"{name}.yaml")
    text = path.read_text("utf-8")
    number = int(text.partition("\nversion: ")[2].partition("\n")[0])
    told = {
        "version": f"the bank has version {number + 1}",
        "gone": "no such template",
        "slips": "otherwise now",
    }[how]
    if how == "version":
        path.write_text(text.replace(f"\nversion: {number}\n", f"\nversion: {number + 1}\n"), "utf-8")
    elif how == "gone":
        path.unlink()
        shutil.rmtree(program.folder / "bank/blueprints")
    else:
        path.write_text(re.sub(r"\ntitle:.*(\n  .*)*", "\ntitle: Another title", text, count=1), "utf-8")
        (program.folder / "bank/bank.lock").unlink()

    ended = program.run("restore", "bank", SITTING, "--out", "back", "--formats", "docx", status=1, err=None)

    assert f"{SITTING}.yaml:1:1: wrong: not-the-same-item" in ended.err
    assert told in ended.err
    program.run("restore", "bank", SITTING, "--out", "back", left=None)
