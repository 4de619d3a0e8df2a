"""`--json` on every command that reports: what is wrong comes as data too, and nothing else on standard output."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import pytest

from itembank.cli import main as program_main
from itembank.errors import Contradiction, ItembankError
from tests.cli.harness import Program, change

FIELDS = {"level", "code", "message", "hint", "path", "line", "column", "excerpt"}
COMMANDS: Sequence[tuple[str, ...]] = (
    ("check", "bank"),
    ("show", "bank"),
    ("build", "bank", "--out", "out"),
    ("sampler", "bank", "--out", "out"),
    ("coverage", "bank"),
)


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """The program in a folder of its own, with one template of the demo bank."""
    (tmp_path / "here").mkdir()
    program = Program(tmp_path / "here")
    program.demo("monic-even-surd")
    return program


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
def test_a_wrong_template_is_told_as_data_at_its_place(program: Program, command: tuple[str, ...]) -> None:
    path = program.folder / "bank/templates/monic-even-surd.yaml"
    lines = path.read_text("utf-8").splitlines()
    number, line = next((n, line) for n, line in enumerate(lines, 1) if line.startswith("problem:"))
    change(path, line, "problem: x^2 + b*x + qq = 0")

    told = json.loads(program.run(*command, "--json", status=1).out)

    (found,) = [each for each in told["diagnostics"] if each["level"] == "wrong"]
    assert FIELDS <= set(found)
    assert ("bank/templates/monic-even-surd.yaml", number, 22) == (
        found["path"],
        found["line"],
        found["column"],
    )
    assert "qq" in found["message"]
    assert found["hint"]
    assert "problem: x^2 + b*x + qq = 0" == found["excerpt"]


@pytest.mark.parametrize("command", [*COMMANDS, ("verify", "bank")], ids=lambda command: command[0])
def test_what_is_not_there_is_told_as_data(program: Program, command: tuple[str, ...]) -> None:
    command = tuple("nowhere" if word == "bank" else word for word in command)

    (found,) = json.loads(program.run(*command, "--json", status=1).out)["diagnostics"]

    assert FIELDS <= set(found)
    assert found["path"].startswith("nowhere")
    assert "wrong" == found["level"]
    assert found["hint"]


def test_a_list_of_digests_that_is_not_there_is_told_as_data(program: Program) -> None:
    told = json.loads(program.run("verify", "bank", "--digests", "nowhere.txt", "--json", status=1).out)

    (found,) = told["diagnostics"]
    assert "nowhere.txt" == found["path"]


def test_more_items_than_there_are_is_told_as_data(program: Program) -> None:
    refused = program.run("build", "bank", "--out", "out", "--count", 10_000_000, "--json", status=1)

    (found,) = json.loads(refused.out)["diagnostics"]
    assert "wrong" == found["level"]


def test_wrong_usage_is_told_in_words_and_leaves_standard_output_empty(program: Program) -> None:
    ended = program.run("build", "bank", "--json", status=2, err=None)

    assert "" == ended.out
    assert "--out" in ended.err


def test_json_after_the_end_of_options_is_a_name(program: Program) -> None:
    ended = program.run("check", "--", "--json", status=1)

    assert "--json is not there" in ended.out


def test_our_own_contradiction_is_told_as_data(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def contradicts(*_: object, **__: object) -> int:
        raise Contradiction(template="t", address="t/1/1/0", values={"h": "2"}, first="two", second="three")

    monkeypatch.setattr(program_main.group, "main", contradicts)

    assert 3 == program_main.main(["check", "bank", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert {
        "template": "t",
        "address": "t/1/1/0",
        "values": {"h": "2"},
        "first": "two",
        "second": "three",
    } == told["contradiction"]


@pytest.mark.parametrize(
    ("failure", "path", "message"),
    [
        (ItembankError("the extension `x` failed"), "", "the extension `x` failed"),
        (OSError(28, "No space left on device", "out/staff"), "out/staff", "No space left on device"),
    ],
)
def test_other_failures_are_told_as_data(
    failure: Exception,
    path: str,
    message: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def fails(*_: object, **__: object) -> int:
        raise failure

    monkeypatch.setattr(program_main.group, "main", fails)

    assert 1 == program_main.main(["build", "bank", "--json"])
    (found,) = json.loads(capsys.readouterr().out)["diagnostics"]
    assert (path, message) == (found["path"], found["message"])
