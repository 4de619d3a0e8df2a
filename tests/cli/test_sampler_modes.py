"""`itembank sampler --maths`: a package for each way of writing formulas, each proved again from the file alone."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest

from tests.cli.harness import Program

KINDS = Path(__file__).resolve().parents[2] / "banks" / "kinds"


@pytest.fixture
def program(tmp_path: Path) -> Program:
    folder = tmp_path / "work"
    folder.mkdir()
    return Program(folder)


def test_a_package_for_each_mode_holds_the_same_items(program: Program) -> None:
    shutil.copytree(KINDS, program.folder / "bank", ignore=shutil.ignore_patterns("bank.lock"))
    command = ("sampler", "bank", "--out", "out", "--formats", "qti3,qti22", "--maths", "mathml,latex")
    program.run(*command, left=None)
    packages = sorted((program.folder / "out" / "platform").glob("*.zip"))
    items = [{n for n in zipfile.ZipFile(each).namelist() if n.endswith(".xml")} for each in packages]
    verified = program.run("verify", "out").out

    assert [
        "kinds-sampler-latex-qti22.zip", "kinds-sampler-latex-qti3.zip",
        "kinds-sampler-qti22.zip", "kinds-sampler-qti3.zip",
    ] == [each.name for each in packages]  # fmt: skip
    assert all(items[0] == each for each in items)
    assert 4 == verified.count("none at fault")


def test_an_unknown_mode_is_wrong_usage(program: Program) -> None:
    done = program.run("sampler", "bank", "--out", "out", "--maths", "drawn", status=2, err=None)

    assert "`drawn` is none of mathml, svg, latex" in done.err
