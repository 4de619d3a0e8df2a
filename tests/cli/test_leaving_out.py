"""Items that were used are not used again: said on the command line, in the bank file or in a blueprint."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.cli.harness import DEMO, Program, change

BLUEPRINT = """blueprint: term
title: The term's test
forms: 1
items: 5
pool: 12
"""
Question = tuple[str, str]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bank of which group A sat 12 items in spring and 12 others in summer, and group B the latter."""
    folder = tmp_path_factory.mktemp("leaving") / "here"
    folder.mkdir()
    program = Program(folder)
    shutil.copytree(DEMO, folder / "bank")
    program.write("bank/blueprints/term.yaml", BLUEPRINT)
    for seed, sat in ((1, (("A", "2026-02-10"),)), (2, (("A", "2026-06-10"), ("B", "2026-06-11")))):
        program.run(
            "build",
            "bank",
            "--out",
            f"quiz-{seed}",
            "--count",
            12,
            "--seed",
            seed,
            "--formats",
            "json",
            left=None,
        )
        for group, on in sat:
            program.run(
                "record", f"quiz-{seed}", "--into", "bank", "--group", f"Group {group}", "--on", on, left=None
            )
    return folder


@pytest.fixture
def program(made: Path, tmp_path: Path) -> Program:
    shutil.copytree(made, tmp_path / "here")
    return Program(tmp_path / "here")


def recorded(program: Program, *options: object) -> dict[Question, int]:
    """The questions of the record with their uses, as `used` tells them."""
    told = json.loads(program.run("used", "bank", "--json", *options).out)
    return {(each["address"].split("/")[0], each["asks"]): each["uses"] for each in told["items"]}


def built(program: Program, *options: object, seed: int = 1, count: int = 36, err: str | None = "") -> Any:
    """The report of a build, and the questions of its items as a sitting would have them."""
    ended = program.run(
        "build", "bank", "--out", "out", "--count", count, "--seed", seed, "--formats", "json", "--json", *options,
        left=None, err=err,
    )  # fmt: skip
    return json.loads(ended.out), questions(program, "out")


def questions(program: Program, folder: str) -> set[Question]:
    told = program.run(
        "record", folder, "--into", "bank", "--group", "nobody", "--on", "2030-01-01", "--json", left=None
    )
    found = json.loads(told.out)
    program.run("unrecord", "bank", found["sitting"], left=None)
    return {(each["address"].split("/")[0], each["asks"]) for each in found["items"]}


def assembled(program: Program, *options: object, status: int = 0) -> Any:
    return program.run(
        "assemble", "bank/blueprints/term.yaml", "--out", "term", "--formats", "json", *options,
        status=status, err=None, left=None,
    )  # fmt: skip


def test_without_a_word_items_come_again(program: Program) -> None:
    report, found = built(program)

    assert "used_before" not in report
    assert found & recorded(program).keys()


@pytest.mark.parametrize(
    ("options", "kept_from"),
    [
        (("--leave-out-used",), ()),
        (("--used-by", "group a"), ("--by", "Group A")),
        (("--used-by", "Group B"), ("--by", "Group B")),
        (("--used-since", "2026-06-11"), ("--since", "2026-06-11")),
        (
            ("--used-by", "Group A", "--used-since", "2026-05-01"),
            ("--by", "Group A", "--since", "2026-05-01"),
        ),
    ],
)
def test_what_was_used_is_left_out_whatever_the_seed(
    program: Program, options: tuple[str, ...], kept_from: tuple[str, ...]
) -> None:
    used = recorded(program, *kept_from)
    for seed in (1, 2, 3):
        report, found = built(program, *options, seed=seed)
        assert 36 == report["items"]
        assert not found & used.keys()
        assert f"- {report['used_before']} item" in (program.folder / "out/report.md").read_text("utf-8")
    assert recorded(program).keys() & built(program, "--used-by", "Group B")[1]


def test_items_may_be_used_a_number_of_times(program: Program) -> None:
    uses = recorded(program)
    twice = {question for question, number in uses.items() if number == 2}

    _, found = built(program, "--used-times", 2, seed=2)
    _, again = built(program, "--used-times", 3, seed=2)

    assert twice
    assert not found & twice
    assert twice & again


def test_an_item_is_known_again_after_its_template_got_other_words_and_a_version(program: Program) -> None:
    path = program.folder / "bank/templates/simplify-surd.yaml"
    change(path, "version: 1", "version: 2")
    text = path.read_text("utf-8")
    assert 1 == text.count("in its simplest form.")
    path.write_text(text.replace("in its simplest form.", "as simply as you can."), "utf-8")
    surds = {question for question in recorded(program) if question[0] == "simplify-surd"}

    _, again = built(program, seed=2)
    _, found = built(program, "--leave-out-used", seed=2)

    assert surds & again
    assert not surds & found


def test_an_item_is_known_again_after_its_template_was_renamed(program: Program) -> None:
    """The record cannot know the new name: what the lost template asked is not asked again by any other."""
    path = program.folder / "bank/templates/simplify-surd.yaml"
    change(path, "template: simplify-surd", "template: surd-to-simplify")
    path.rename(path.with_name("surd-to-simplify.yaml"))
    for other in path.parent.rglob("*.yaml"):
        if other.stem != "surd-to-simplify":
            other.unlink()
    shutil.rmtree(program.folder / "bank/blueprints")
    surds = {asks for template, asks in recorded(program) if template == "simplify-surd"}
    number = int(program.run("check", "bank/templates").out.partition(" items")[0].rpartition(" ")[2])

    _, again = built(program, count=number)
    _, found = built(program, "--leave-out-used", count=number - len(surds))

    assert surds < {asks for _, asks in again}
    assert {asks for _, asks in again} - surds == {asks for _, asks in found}


def test_the_bank_file_says_it_and_the_command_may_say_otherwise(program: Program) -> None:
    change(
        program.folder / "bank/bank.yaml",
        "settings: {",
        "settings: {leave_out_used: {by: Group A, since: 2026-05-01}, ",
    )

    _, found = built(program, seed=2)
    report, again = built(program, "--used-too", seed=2)

    assert not found & recorded(program, "--since", "2026-05-01").keys()
    assert "used_before" not in report
    assert again & recorded(program).keys()


def test_a_blueprint_says_it_before_the_bank_and_the_command_before_it(program: Program) -> None:
    change(program.folder / "bank/bank.yaml", "settings: {", "settings: {leave_out_used: yes, ")
    path = program.folder / "bank/blueprints/term.yaml"
    used = recorded(program)

    assert "passed over, used before" in assembled(program).out
    assert not questions(program, "term") & used.keys()
    path.write_text(BLUEPRINT + "leave_out_used: no\n", "utf-8")
    assert "passed over" not in assembled(program).out
    path.write_text(BLUEPRINT + "leave_out_used: {by: [Group A]}\n", "utf-8")
    assert "passed over, used before" in assembled(program).out
    assert not questions(program, "term") & recorded(program, "--by", "Group A").keys()
    assert "passed over" not in assembled(program, "--used-too").out


def test_folders_of_earlier_builds_are_kept_from_in_a_build_too(program: Program) -> None:
    _, before = built(program, seed=5, count=12)
    (program.folder / "out").rename(program.folder / "earlier")

    report, found = built(program, "--not-again", "earlier", seed=5)

    assert report["used_before"] >= 12
    assert not found & before


def test_what_is_left_out_is_told_where_too_few_are_left(program: Program) -> None:
    for path in (program.folder / "bank/templates").rglob("*.yaml"):
        if path.stem != "kind-of-roots":
            path.unlink()
    shutil.rmtree(program.folder / "bank/blueprints")
    path = program.folder / "bank/templates/kind-of-roots.yaml"
    told = program.run("check", str(path)).out
    number = int(told.partition(" items")[0].rpartition(" ")[2])

    ended = program.run(
        "build", "bank", "--out", "all", "--count", number, "--leave-out-used", status=1, err=None
    )

    assert "not-enough-items" in ended.err
    assert "items that were used before are left out" in ended.err
    assert "--used-too" in ended.err


def test_forms_that_cannot_be_for_want_of_unused_items_say_so(program: Program) -> None:
    path = program.folder / "bank/blueprints/term.yaml"
    path.write_text(BLUEPRINT.replace("items: 5", "items: 900\nof_each_template: 300"), "utf-8")

    ended = assembled(program, "--leave-out-used", status=1)

    assert "doubtful: used-before" in ended.err


def test_a_group_of_which_nothing_is_recorded_is_told_and_nothing_is_left_out(program: Program) -> None:
    ended = program.run(
        "build",
        "bank",
        "--out",
        "out",
        "--count",
        12,
        "--formats",
        "json",
        "--used-by",
        "Grup A",
        err=None,
        left=None,
    )

    assert "doubtful: unknown-group" in ended.err
    assert "Group A; Group B" in ended.err
    assert "0 items passed over, used before" in ended.out


def test_a_damaged_record_stops_what_would_leave_out_by_it_and_nothing_else(program: Program) -> None:
    (path,) = (program.folder / "bank/record/sittings").glob("2026-02-10*.yaml")
    path.write_text(path.read_text("utf-8").replace("day:", "dey:"), "utf-8")

    program.run("build", "bank", "--out", "out", "--count", 12, "--formats", "json", left=None)
    shutil.rmtree(program.folder / "out")
    ended = program.run(
        "build", "bank", "--out", "out", "--count", 12, "--leave-out-used", status=1, err=None
    )

    assert "2026-02-10-group-a-quadratics.yaml:" in ended.err


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("perhaps", "yes or no is needed"),
        ("{times: 0}", "times"),
        ("{since: 2026-02-30}", "no such day"),
        ("{groups: A}", "groups"),
    ],
)
def test_what_is_said_wrongly_is_told_at_its_place(program: Program, said: str, told: str) -> None:
    path = program.folder / "bank/blueprints/term.yaml"
    path.write_text(f"{BLUEPRINT}leave_out_used: {said}\n", "utf-8")

    ended = assembled(program, status=1)

    assert "bank/blueprints/term.yaml:6:" in ended.err
    assert told in ended.err


def test_two_opposite_options_are_wrong_usage(program: Program) -> None:
    ended = program.run("build", "bank", "--out", "o", "--leave-out-used", "--used-too", status=2, err=None)

    assert "--used-too leaves nothing out" in ended.err
    assert (
        "no such day"
        in program.run("build", "bank", "--out", "o", "--used-since", "2026-02-30", status=2, err=None).err
    )
