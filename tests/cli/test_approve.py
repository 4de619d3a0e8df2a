"""`itembank approve` as a user runs it: templates are read, approved, changed, and drawn from once approved again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from itembank.errors import InputError
from itembank.library import approve
from tests.cli.harness import Program, change

ASH = ("--by", "Ms Ash", "--on", "2026-06-12")
BLUEPRINT = """\
blueprint: two
title: Two questions
forms: 1
items: 2
holds:
  - {template: equal-roots, items: 1}
"""


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """A bank of two templates."""
    folder = tmp_path / "here"
    folder.mkdir()
    program = Program(folder)
    program.demo("vertex-form", "equal-roots")
    return program


def states(program: Program, *more: str) -> dict[str, Any]:
    told = json.loads(program.run("approve", "bank", *more, "--json", left=None).out)
    return {each["template"]: each for each in told["templates"]}


def built(program: Program, *more: str) -> set[str]:
    """The templates of the items of a build."""
    program.run(
        "build", "bank", "--out", "out", "--count", 4, "--formats", "json", *more, err=None, left=None
    )
    items = json.loads((program.folder / "out/staff/items.json").read_text("utf-8"))["items"]
    return {each["address"]["template"] for each in items}


def test_what_is_approved_is_listed_with_who_looked(program: Program) -> None:
    assert program.run("approve", "bank").out.endswith("0 of 2 templates approved as they are\n")
    out = program.run("approve", "bank", "vertex-form", *ASH, "--note", " read  with corners ", left=None).out
    listed = program.run("approve", "bank", left=None).out

    assert out == "approved: vertex-form\n1 of 2 templates approved as they are\n"
    assert "Ms Ash  2026-06-12  read with corners" in listed
    found = states(program)
    assert (found["vertex-form"]["state"], found["vertex-form"]["by"]) == ("approved", "Ms Ash")
    assert (found["equal-roots"]["state"], found["equal-roots"]["on"]) == ("not approved", None)


def test_whatever_changes_is_to_be_approved_anew(program: Program) -> None:
    program.run("approve", "bank", "--all", *ASH, left=None)
    template = program.folder / "bank/templates/vertex-form.yaml"
    version = states(program)["vertex-form"]["version"]
    change(template, "minutes: ", "minutes: 1")

    assert states(program)["vertex-form"]["state"] == "changed since"
    change(template, f"version: {version}\n", f"version: {version + 1}\n")
    found = states(program)
    assert (found["vertex-form"]["state"], found["vertex-form"]["approved_version"]) == (
        "changed since",
        version,
    )
    assert f"version {version} was approved" in program.run("approve", "bank", left=None).out
    assert found["equal-roots"]["state"] == "approved"
    program.run("approve", "bank", "vertex-form", "--by", "Mr Bay", "--on", "2026-06-13", left=None)
    assert states(program)["vertex-form"]["by"] == "Mr Bay"


def test_a_slip_that_is_reworded_is_to_be_looked_at_again(program: Program) -> None:
    program.run("approve", "bank", "--all", *ASH, left=None)
    change(
        program.folder / "bank/slips.yaml",
        "en: Expand your bracket and compare",
        "en: Expand it, and compare",
    )

    assert states(program)["vertex-form"]["state"] == "changed since"


def test_the_first_approval_stays_until_something_changes(program: Program) -> None:
    program.run("approve", "bank", "--all", *ASH, left=None)
    out = program.run("approve", "bank", "--all", "--by", "Mr Bay", left=None).out

    assert out.startswith("approved: nothing new\n")
    assert {each["by"] for each in states(program).values()} == {"Ms Ash"}


def test_only_what_is_approved_is_drawn_from_where_that_is_asked(program: Program) -> None:
    program.run("approve", "bank", "vertex-form", *ASH, left=None)

    assert built(program) == {"vertex-form", "equal-roots"}
    assert built(program, "--approved") == {"vertex-form"}
    ended = program.run("build", "bank", "--out", "out", "--count", 2, "--approved", err=None, left=None)
    assert "not-approved" in ended.err
    assert "equal-roots (not approved)" in ended.err


def test_a_bank_can_say_so_for_good(program: Program) -> None:
    program.run("approve", "bank", "vertex-form", *ASH, left=None)
    path = program.folder / "bank/bank.yaml"
    path.write_text(
        path.read_text("utf-8").replace("settings: {", "settings: {approved_only: yes, "), "utf-8"
    )
    if "approved_only" not in path.read_text("utf-8"):
        path.write_text(path.read_text("utf-8") + "settings: {approved_only: yes}\n", "utf-8")

    assert built(program) == {"vertex-form"}


def test_forms_are_assembled_from_what_is_approved(program: Program) -> None:
    program.write("bank/blueprints/two.yaml", BLUEPRINT)
    program.run("approve", "bank", "vertex-form", *ASH, left=None)
    arguments = ("assemble", "bank/blueprints/two.yaml", "--out", "forms", "--formats", "json")
    program.run(*arguments, err=None, left=None)
    refused = program.run(*arguments, "--approved", status=1, err=None, left=None)

    assert "Traceback" not in refused.err
    program.run("approve", "bank", "equal-roots", *ASH, left=None)
    program.run(*arguments, "--approved", err=None, left=None)


def test_nothing_approved_is_told_and_nothing_written(program: Program) -> None:
    ended = program.run("build", "bank", "--out", "out", "--approved", status=1, err=None)

    assert "nothing-approved" in ended.err
    assert 'itembank approve bank TEMPLATE --by "YOUR NAME"' in ended.err


def test_approvals_are_taken_back(program: Program) -> None:
    program.run("approve", "bank", "--all", *ASH, left=None)
    out = program.run("approve", "bank", "vertex-form", "--withdraw", left=None).out

    assert out == "taken back: vertex-form\n1 of 2 templates approved as they are\n"
    assert states(program)["vertex-form"]["state"] == "not approved"


def test_a_translation_is_approved_by_itself(program: Program) -> None:
    program.run("approve", "bank", "--all", *ASH, left=None)

    assert states(program, "--language", "es")["vertex-form"]["state"] == "not approved"
    program.run("approve", "bank", "vertex-form", "--language", "es", *ASH, left=None)
    assert states(program, "--language", "es")["vertex-form"]["state"] == "approved"
    assert built(program, "--approved", "--language", "es") == {"vertex-form"}


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        (("vertex-from", *ASH), 1, "do you mean vertex-form?"),
        (("vertex-form",), 2, "who looked? --by NAME"),
        (("--by", "Ms Ash"), 2, "name templates, or every one with --all"),
        (("--all", "vertex-form", *ASH), 2, "leave the names out"),
        (("--all", "--withdraw", *ASH), 2, "leave --by out"),
        (("--all", "--by", "Ms Ash", "--on", "yesterday"), 2, "yesterday"),
        (("--all", "--by", " "), 1, "nobody"),
    ],
)
def test_what_is_wrong_is_told(program: Program, arguments: tuple[str, ...], status: int, told: str) -> None:
    ended = program.run("approve", "bank", *arguments, status=status, err=None)

    assert told in ended.err


def test_a_broken_file_is_told_and_stays(program: Program) -> None:
    program.write("bank/bank.approvals", '{"approvals": {"vertex-form@1": 3}}')
    for arguments in (("approve", "bank"), ("build", "bank", "--out", "out", "--approved")):
        ended = program.run(*arguments, status=1, err=None, left=None)
        assert "bank.approvals:1:1: wrong: broken-approvals" in ended.err

    assert (program.folder / "bank/bank.approvals").read_text(
        "utf-8"
    ) == '{"approvals": {"vertex-form@1": 3}}'


def test_the_library_does_the_same(program: Program) -> None:
    found = approve(program.folder / "bank", "vertex-form", by="Ms Ash", on="2026-06-12")

    assert [(each.entry.recipe.template.name, each.state.value) for each in found if each.approval] == [
        ("vertex-form", "approved")
    ]
    with pytest.raises(InputError, match="someday"):
        approve(program.folder / "bank", by="Ms Ash", on="someday")
