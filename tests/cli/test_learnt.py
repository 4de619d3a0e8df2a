"""`itembank learnt` as a user runs it: a bank is built, a simulated class sits it, and the others get practice."""

from __future__ import annotations

import csv
import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from itembank.build import BuildRequest, build
from tests.analysis_samples import choices_table, marks_of_a_class, replies_of_a_class, write_csv
from tests.cli.harness import DEMO, Program

PUPILS = 20


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo bank, built once from a copy, with that copy beside it."""
    folder = tmp_path_factory.mktemp("learnt")
    shutil.copytree(DEMO, folder / "bank")
    build(BuildRequest(folder / "bank", folder / "built", 36, formats=("json",)))
    return folder


@pytest.fixture
def program(tmp_path: Path, built: Path) -> Program:
    folder = tmp_path / "here"
    shutil.copytree(built, folder)
    write_csv(folder / "marks.csv", marks_of_a_class(folder / "built", PUPILS, seed=5))
    write_csv(folder / "chosen.csv", choices_table(replies_of_a_class(folder / "built", PUPILS, seed=5)))
    return Program(folder)


def learnt(program: Program, *more: str) -> dict[str, Any]:
    """What is told as JSON."""
    told = program.run("learnt", "built", "marks.csv", *more, "--json", left=None).out
    found: dict[str, Any] = json.loads(told)
    return found


def rows(path: Path) -> list[dict[str, str]]:
    """Of a table."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_methods_and_pupils_are_told_as_text_and_as_json(program: Program) -> None:
    text = program.run("learnt", "built", "marks.csv").out
    data = learnt(program)

    assert text.startswith("Who has learnt what: Completing the square, evening algebra\n")
    assert f"{PUPILS} pupils, 4 methods, by topic" in text
    assert "The results tell marks alone." in text
    for method in data["methods"]:
        assert PUPILS == method["learnt"] + method["not_yet"] + method["cannot_tell"]
        assert re.search(rf"{method['name']} +{len(method['questions'])} +{method['marks']} ", text)
    assert {"learnt", "not yet"} <= {each["verdict"] for row in data["pupils"] for each in row["methods"]}


def test_the_marks_are_those_of_the_sheet(program: Program) -> None:
    head, _, *pupils = marks_of_a_class(program.folder / "built", PUPILS, seed=5)
    data = learnt(program, "--by", "template")
    questions = [method["questions"] for method in data["methods"]]

    assert sorted(head[1:-1]) == sorted(column for each in questions for column in each)
    for line, row in zip(pupils, data["pupils"], strict=True):
        got = [sum(int(line[head.index(column)]) for column in each) for each in questions]
        # what was not reached at the end of the paper is 0 in the sheet, so all of it counts
        assert got == [each["marks"] for each in row["methods"]]


def test_another_share_makes_more_pupils_have_learnt(program: Program) -> None:
    few, many = (
        sum(each["learnt"] for each in learnt(program, *more)["methods"])
        for more in ((), ("--from-share", "50"))
    )
    assert few < many


def test_practice_is_fresh_for_those_who_need_it_and_bears_their_names(program: Program) -> None:
    ended = program.run(
        "learnt",
        "built",
        "chosen.csv",
        "--practice",
        "bank",
        "--out",
        "who",
        "--count",
        "4",
        left=None,
        err=None,
    )
    data = json.loads((program.folder / "who" / "report.json").read_text("utf-8"))
    sat = json.loads((program.folder / "built" / "staff" / "items.json").read_text("utf-8"))["items"]
    problems = {(each["address"]["template"], each["parts"][0]["problem"]["plain"]) for each in sat}
    folders = sorted((program.folder / "who" / "practice").iterdir())

    assert len(folders) == len(data["methods"])
    for number, (folder, method) in enumerate(zip(folders, data["methods"], strict=True), 1):
        items = json.loads((folder / "staff" / "items.json").read_text("utf-8"))["items"]
        assert 4 == len(items)
        assert {each["address"]["template"] for each in items} <= set(method["templates"])
        assert not problems & {
            (each["address"]["template"], each["parts"][0]["problem"]["plain"]) for each in items
        }
        difficulties = [each["difficulty"]["thousandths"] for each in items]
        assert sorted(difficulties) == difficulties, "from easy to hard"
        (paper,) = folder.glob("pupils/*-named-*.html")
        named = set(re.findall(r"Pupil [0-9]{2}", paper.read_text("utf-8")))
        need = {
            row["pupil"]
            for row in data["pupils"]
            for each in row["methods"]
            if each["name"] == method["name"] and each["verdict"] != "learnt" and each["marks"] < each["of"]
        }
        assert need == named
        assert f"practice/{folder.name}: 4 items for {len(need)} pupils" in ended.out
        assert folder.name.startswith(f"{number}-")


def test_practice_is_in_the_language_of_the_test_unless_another_is_asked_for(program: Program) -> None:
    build(
        BuildRequest(
            program.folder / "bank", program.folder / "deutsch", 12, formats=("json",), language="de"
        )
    )
    write_csv(program.folder / "noten.csv", marks_of_a_class(program.folder / "deutsch", PUPILS, seed=5))
    command = ("learnt", "deutsch", "noten.csv", "--practice", "bank")
    for more, said, unsaid in (
        ((), "Arbeitsblatt", "Worksheet"),
        (("--language", "en"), "Worksheet", "Arbeitsblatt"),
    ):
        out = f"who-{len(more)}"
        program.run(*command, "--out", out, *more, left=None, err=None)
        papers = [
            each.read_text("utf-8")
            for each in (program.folder / out / "practice").glob("*/pupils/*worksheet*.html")
        ]
        assert papers
        assert all(said in each and unsaid not in each for each in papers)


def test_the_practice_can_be_sat_in_its_turn(program: Program) -> None:
    program.run("learnt", "built", "marks.csv", "--practice", "bank", "--out", "who", left=None)
    practice = sorted((program.folder / "who" / "practice").iterdir())[0]
    sheet = program.folder / "again.csv"
    lines = list(csv.reader((practice / "staff" / "mark-sheet.csv").read_text("utf-8").splitlines()))
    write_csv(sheet, [lines[0], lines[1], *([line[0], *lines[1][1:]] for line in lines[2:])])

    told = json.loads(program.run("learnt", practice, "again.csv", "--json").out)
    assert {"learnt"} == {each["verdict"] for row in told["pupils"] for each in row["methods"]}


def test_the_report_is_a_folder_of_tables(program: Program) -> None:
    out = program.run("learnt", "built", "chosen.csv", "--out", "who", left=None, err=None).out
    who = program.folder / "who"

    assert {
        "report.md", "report.html", "report.json", "methods.csv", "pupils.csv", "groups.csv", "standings.csv",
        "feedback.html", ".itembank-output",
    } == {path.name for path in who.iterdir()}  # fmt: skip
    assert "8 files in who; they hold names, keep them safe" in out
    assert 4 * PUPILS == len(rows(who / "standings.csv"))
    assert ["pupil", "1", "2", "3", "4"] == list(rows(who / "pupils.csv")[0])
    assert all(group["reteach"] for group in rows(who / "groups.csv"))


def test_the_report_is_in_the_language_of_the_test_and_its_tables_are_not(program: Program) -> None:
    build(
        BuildRequest(
            program.folder / "bank", program.folder / "deutsch", 12, formats=("json",), language="de"
        )
    )
    write_csv(program.folder / "marken.csv", marks_of_a_class(program.folder / "deutsch", PUPILS, seed=3))
    program.run("learnt", "deutsch", "marken.csv", "--out", "wer", left=None, err=None)
    who = program.folder / "wer"

    assert '<html lang="de">' in (who / "report.html").read_text("utf-8")
    assert (who / "report.md").read_text("utf-8").startswith("# Wer was gelernt hat: ")
    assert (who / "methods.csv").read_text("utf-8").startswith("no.,topic,questions,")


def test_several_forms_are_named_one_after_the_other(program: Program) -> None:
    build(BuildRequest(program.folder / "bank", program.folder / "other", 24, 2, formats=("json",)))
    write_csv(program.folder / "other.csv", marks_of_a_class(program.folder / "other", 30, seed=7))

    both = json.loads(program.run("learnt", "built", "marks.csv", "other", "other.csv", "--json").out)
    assert 30 == len(both["pupils"]), "who sat both counts once"
    assert 60 == sum(len(method["questions"]) for method in both["methods"])


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        (("built", "marks.csv", "--practice", "bank"), 2, "--practice needs a folder to write to"),
        (("built",), 1, "no file of results follows the build built"),
        (("marks.csv", "built"), 1, "marks.csv is no folder that a build wrote"),
        (("built", "marks.csv", "--out", "built"), 1, "would-replace-a-build"),
        (("built", "marks.csv", "--out", "who", "--practice", "nowhere"), 1, "nowhere"),
        (("built", "marks.csv", "--count", "4"), 2, "--count is for practice: add --practice BANK"),
        (
            ("built", "marks.csv", "--out", "x", "--used-since", "2026-01-05"),
            2,
            "--used-since is for practice",
        ),
        (("built", "marks.csv", "--by", "slip"), 2, "'slip' is not one of"),
        (("built", "marks.csv", "--from-share", "0"), 2, "1<=x<=100"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(
    program: Program, arguments: tuple[str, ...], status: int, told: str
) -> None:
    assert told in program.run("learnt", *arguments, status=status, err=None).err


def test_nobody_is_given_practice_who_has_learnt_everything(program: Program) -> None:
    head, most, *pupils = marks_of_a_class(program.folder / "built", PUPILS, seed=5)
    write_csv(program.folder / "all.csv", [head, most, *([line[0], *most[1:]] for line in pupils)])

    ended = program.run("learnt", "built", "all.csv", "--practice", "bank", "--out", "who", left=None)
    assert "no practice: nobody lost marks" in ended.out
    assert not (program.folder / "who" / "practice").exists()


def test_a_bank_that_has_lost_a_template_or_has_few_items_left_is_told(program: Program) -> None:
    templates = program.folder / "bank" / "templates"
    (lost,) = templates.rglob("simplify-surd.yaml")
    lost.unlink()

    ended = program.run(
        "learnt", "built", "marks.csv", "--practice", "bank", "--out", "who", "--count", "200", "--formats", "json",
        left=None, err=None,
    )  # fmt: skip
    assert "doubtful: template-gone" in ended.err
    assert "doubtful: few-fresh-items" in ended.err
    assert "no fresh item to practise `surds`, 200 were asked for" in ended.err
    assert not [path for path in (program.folder / "who" / "practice").iterdir() if "surds" in path.name]


def test_templates_that_are_not_in_the_language_of_the_practice_are_told(program: Program) -> None:
    (template,) = (program.folder / "bank" / "templates").rglob("simplify-surd.yaml")
    text = template.read_text("utf-8").replace("  de: ", "  fr: ", 1)
    template.write_text(re.sub(r"(?m)^version: \d+$", "version: 99", text, count=1), "utf-8")

    ended = program.run(
        "learnt", "built", "marks.csv", "--practice", "bank", "--out", "who", "--formats", "json",
        "--language", "de", left=None, err=None,
    )  # fmt: skip
    assert "doubtful: practice-in-language" in ended.err
    assert "without templates that are not whole in `de`: simplify-surd" in ended.err
    assert "such as --language en" in ended.err
    assert "template-gone" not in ended.err
