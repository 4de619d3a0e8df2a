"""`itembank coverage` and the coverage a report tells, through the command line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
import yaml

from itembank.build.build import BuildRequest, build
from tests.cli.harness import Program

DEMO = Path(__file__).resolve().parents[2] / "banks" / "quadratics"


@pytest.fixture
def program(tmp_path: Path) -> Program:
    folder = tmp_path / "here"
    folder.mkdir()
    return Program(folder)


@pytest.fixture
def bank(program: Program) -> Path:
    """The demo bank with a strand and a statement that nothing speaks to."""
    folder = program.folder / "bank"
    shutil.copytree(DEMO, folder)
    strand = folder / "templates" / "surds"
    strand.mkdir()
    (folder / "templates" / "simplify-surd.yaml").rename(strand / "simplify-surd.yaml")
    facts = folder / "bank.yaml"
    text = facts.read_text("utf-8")
    added = "  XYZ-1: {says: Something else}\n"
    text = (
        text.replace("statements:\n", "statements:\n" + added)
        if "\nstatements:\n" in text
        else text + "statements:\n" + added
    )
    facts.write_text(text, "utf-8")
    return folder


def test_rows_add_up_to_the_templates_and_their_items(program: Program, bank: Path) -> None:
    told = json.loads(program.run("coverage", str(bank), "--json").out)
    checked = json.loads(program.run("check", str(bank), "--json").out)["templates"]

    assert len(checked) == sum(row["templates"] for row in told["coverage"])
    assert sum(each["count"] for each in checked) == sum(row["items"] for row in told["coverage"])
    (surds,) = [row for row in told["coverage"] if row["strand"] == "surds"]
    (template,) = [each for each in checked if each["template"] == "simplify-surd"]
    facts = yaml.safe_load((bank / "templates" / "surds" / "simplify-surd.yaml").read_text("utf-8"))
    assert (facts["demand"], template["count"], str(facts["minutes"])) == (
        surds["demand"], surds["items"], surds["minutes"],
    )  # fmt: skip


def test_a_statement_with_no_item_is_named_in_table_json_and_report(program: Program, bank: Path) -> None:
    told = json.loads(program.run("coverage", str(bank), "--json").out)
    table = program.run("coverage", str(bank)).out
    build(BuildRequest(bank, program.folder / "out", 24, formats=("json",)))
    report = (program.folder / "out" / "report.md").read_text("utf-8")

    assert ["XYZ-1"] == told["without_items"]
    assert any(line.split()[:3] == ["XYZ-1", "no", "item"] for line in table.splitlines())
    assert "Curriculum statements with no item here: XYZ-1" in report
    assert "| surds |" in report


def test_what_is_no_bank_is_told(program: Program) -> None:
    done = program.run("coverage", "nothing", status=1, err=None)

    assert "not-there" in done.err


def test_a_folder_of_templates_tells_their_strands(program: Program, bank: Path) -> None:
    told = program.run("coverage", "bank/templates").out

    assert "surds" in told
    assert told.splitlines()[1].startswith("-")


def test_several_banks_are_not_counted_together(program: Program, bank: Path) -> None:
    shutil.copytree(bank, program.folder / "banks" / "one")
    shutil.copytree(bank, program.folder / "banks" / "two")

    told = program.run("coverage", "banks", status=1, err=None).err
    assert "several-banks" in told
    assert "banks/one, banks/two" in told
