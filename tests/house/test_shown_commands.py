"""The commands that README and DEVELOPERS show: each exists with its options, and those without a place to fill run."""

from __future__ import annotations

import importlib
import re
import shlex
import shutil
from pathlib import Path

import click
import pytest

from itembank.cli import main as command_line
from tests.cli.harness import Program, change
from tests.walk_through import agrees

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = ("README.md", "DEVELOPERS.md")
_INLINE = re.compile(r"`(itembank [a-z]+ ?[^`]*)`")
_AT_PROMPT = re.compile(r"^\$ (itembank .*)$", re.MULTILINE)
_TO_FILL = re.compile(r"\b[A-Z]{3,}\b|\bmy-template\b|<|\*")


def shown(name: str) -> list[str]:
    """Every command line a document shows, in running text or at a prompt."""
    text = (ROOT / name).read_text("utf-8")
    found = [" ".join(each.split()) for each in _INLINE.findall(text)] + _AT_PROMPT.findall(text)
    return list(dict.fromkeys(found))


SHOWN = [(name, line) for name in DOCUMENTS for line in shown(name)]
COMPLETE = [
    line
    for name in DOCUMENTS
    for line in dict.fromkeys(_INLINE.findall((ROOT / name).read_text("utf-8")))
    if not _TO_FILL.search(line) and len(line.split()) > 2
]


def test_the_collector_finds_the_commands() -> None:
    assert len(SHOWN) >= 20
    assert len(COMPLETE) >= 2


@pytest.mark.parametrize(("document", "line"), SHOWN, ids=[f"{d}: {c}" for d, c in SHOWN])
def test_a_command_that_is_shown_exists_with_its_options(document: str, line: str) -> None:
    _, name, *rest = shlex.split(line)

    assert name in command_line._COMMANDS
    command: click.Command = importlib.import_module(f"itembank.cli.{name}").command
    known = {option for each in command.params for option in each.opts}
    assert {word for word in rest if word.startswith("--")} <= known


@pytest.mark.parametrize("line", COMPLETE)
def test_a_command_that_is_shown_whole_runs(line: str, tmp_path: Path) -> None:
    program = Program(tmp_path)
    shutil.copytree(ROOT / "banks", tmp_path / "banks")

    program.run(*shlex.split(line)[1:], err=None, left=None)


def test_the_tour_of_the_readme_prints_what_it_shows(tmp_path: Path) -> None:
    """The item under `See what a template makes`, line by line; `...` leaves lines out."""
    text = (ROOT / "README.md").read_text("utf-8")
    found = re.search(r"`(itembank show [^`]*--count 1)`\n\n```\n(.*?)```", text, re.DOTALL)
    assert found
    shutil.copytree(ROOT / "banks", tmp_path / "banks")
    printed = Program(tmp_path).run(*shlex.split(found[1])[1:], err=None, left=None).out

    assert agrees(found[2], printed), printed


def test_a_scaffold_is_what_the_readme_changes_it_into(tmp_path: Path) -> None:
    """`itembank new my-template` and the wrong key that the README plants in it."""
    program = Program(tmp_path)
    program.run("new", "my-template", left=None)
    path = tmp_path / "my-template.yaml"
    change(path, "key: x = h ± surd(k) ", "key: x = h ± surd(k + 1) ")
    told = program.run("check", "my-template.yaml", status=1, left=None).out
    readme = (ROOT / "README.md").read_text("utf-8")
    said = re.search(r"```\n(my-template\.yaml:.*?)```", readme, re.DOTALL)

    assert said
    for part in said[1].replace("...\n", "\n").splitlines():
        assert part in told
