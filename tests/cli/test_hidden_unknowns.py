"""Templates with unknowns under roots and in exponents through the real commands: every format, every proof."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.harness import ROOT, Program

GOOD = ROOT / "tests" / "templates" / "good"
LIBRARY = ROOT / "banks" / "algebra"
NAMES = ("root-equation", "squared-equation", "power-equation", "power-without", "quartic-equation")
FORMATS = "qti3,qti22,qti21,cc,latex,html,docx,json"


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """A bank of these templates, and those of the library, in a folder of its own."""
    templates = tmp_path / "bank" / "templates"
    templates.mkdir(parents=True)
    for name in NAMES:
        shutil.copyfile(GOOD / f"{name}.yaml", templates / f"{name}.yaml")
    for name in ("in-a-root", "in-an-exponent", "root-equals-difference"):
        shutil.copyfile(LIBRARY / "templates" / "hidden" / f"{name}.yaml", templates / f"{name}.yaml")
    shutil.copyfile(LIBRARY / "slips.yaml", tmp_path / "bank" / "slips.yaml")
    (tmp_path / "bank" / "bank.yaml").write_text("bank: hidden\ntitle: Hidden unknowns\n", "utf-8")
    return Program(tmp_path)


def test_they_are_built_and_verified_in_every_format(program: Program) -> None:
    program.run(
        "build",
        "bank",
        "--out",
        "out",
        "--count",
        40,
        "--formats",
        FORMATS,
        "--proof",
        "full",
        left=None,
        err=None,
    )
    done = program.run("verify", "--thorough", "out", left=None)

    assert [
        f"hidden-{name}: 40 items, none at fault"
        for name in ("cc.imscc", "qti21.zip", "qti22.zip", "qti3.zip")
    ] == done.out.splitlines()
    tex = (program.folder / "out" / "staff" / "hidden-worked-solutions.tex").read_text("utf-8")
    assert r"\sqrt{x}" in tex
    assert r"2^{2x}" in tex.replace(" ", "")


def test_a_spoiled_package_is_found(program: Program) -> None:
    program.run("build", "bank", "--out", "out", "--count", 12, "--formats", "qti3", left=None, err=None)
    unpacked = program.folder / "unpacked"
    shutil.unpack_archive(program.folder / "out" / "platform" / "hidden-qti3.zip", unpacked)
    spoiled = 0
    for path in sorted((unpacked / "items").glob("*.xml")):
        text = path.read_text("utf-8")
        if "<msqrt><mi>x</mi></msqrt>" in text:
            path.write_text(text.replace("<msqrt><mi>x</mi></msqrt>", "<mi>x</mi>"), "utf-8")
            spoiled += 1
    assert spoiled

    done = program.run("verify", "unpacked", status=1, left=None)

    assert f"{spoiled} at fault" in done.out


def test_a_logarithm_is_refused_where_the_problem_stands(program: Program) -> None:
    path = program.folder / "bank" / "templates" / "power-equation.yaml"
    path.write_text(path.read_text("utf-8").replace("{m: n^p}", "{m: 7*n^p}"), "utf-8")

    done = program.run("check", path, status=1, left=None)

    assert "power-equation.yaml:13:10: wrong: problem-not-solved" in done.out + done.err
    assert "the exponent would be a logarithm" in done.out + done.err
