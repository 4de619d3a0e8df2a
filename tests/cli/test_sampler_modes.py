"""`itembank sampler --maths`: a package for each way of writing formulas, each proved again from the file alone."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest

from tests.cli.harness import Program
from tests.conformance.test_notations import run

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


def test_a_cartridge_in_pictures_differs_and_is_read_back(program: Program) -> None:
    """Every formula is a picture there, every picture a file, and the audit says what it could not see."""
    pytest.importorskip("ziamath")
    shutil.copytree(KINDS, program.folder / "bank", ignore=shutil.ignore_patterns("bank.lock"))
    command = ("sampler", "bank", "--out", "out", "--formats", "cc", "--maths", "mathml,svg")
    assert 0 == run(*command, cwd=program.folder).returncode
    plain, drawn = (
        zipfile.ZipFile(program.folder / "out" / "platform" / f"kinds-sampler{mode}-cc.imscc")
        for mode in ("", "-svg")
    )
    documents = [name for name in drawn.namelist() if name.startswith(("assessments/", "banks/"))]
    texts = [drawn.read(name).decode() for name in documents]
    files = [name for name in drawn.namelist() if name.startswith("formulas/")]
    verified = program.run("verify", "out").out

    assert not any("&lt;math" in text for text in texts)
    assert any(b"&lt;math" in plain.read(name) for name in plain.namelist())
    assert len(files) >= 20
    assert {name for name in files if any(name in text for text in texts)} == set(files)
    assert 2 == verified.count("none at fault")
    assert 1 == verified.count("which cannot be read")


def test_an_unknown_mode_is_wrong_usage(program: Program) -> None:
    done = program.run("sampler", "bank", "--out", "out", "--maths", "drawn", status=2, err=None)

    assert "`drawn` is none of mathml, svg, latex" in done.err
