"""Formulas whose subject is asked for, through the real commands: every format, every proof, and a spoiled package."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest

from tests.cli.harness import ROOT, Program

GOOD = ROOT / "tests" / "templates" / "good"
NAMES = (
    "subject",
    "subject-fractions",
    "subject-choices",
    "subject-line",
    "subject-letters",
    "subject-parts",
)
FORMATS = "qti3,qti22,qti21,cc,latex,html,docx,json"


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """A bank of these templates in a folder of its own."""
    templates = tmp_path / "bank" / "templates"
    templates.mkdir(parents=True)
    for name in NAMES:
        shutil.copyfile(GOOD / f"{name}.yaml", templates / f"{name}.yaml")
    text = "bank: formulas\ntitle: Formulas\nauthor: Saltmarsh College\n"
    (tmp_path / "bank" / "bank.yaml").write_text(text, "utf-8")
    return Program(tmp_path)


def test_they_are_checked_and_shown(program: Program) -> None:
    done = program.run("check", "bank", left=None)
    assert "both come to t = (-u + v)/a" in done.out
    assert "6 templates; 0 wrong, 0 doubtful" in done.out

    done = program.run("show", "bank/templates/subject-fractions.yaml", "--count", 1, left=None)
    assert "uv/(u + v)" in done.out


def test_they_are_built_and_verified_in_every_format(program: Program) -> None:
    build = ("build", "bank", "--out", "out", "--count", 16, "--formats", FORMATS, "--proof", "full")
    program.run(*build, left=None, err=None)

    program.run("verify", "--thorough", "out/platform/formulas-qti3.zip", left=None)
    done = program.run("verify", "out", left=None)

    assert [
        f"formulas-{name}: {20 if name == 'cc.imscc' else 16} items, none at fault"
        for name in ("cc.imscc", "qti21.zip", "qti22.zip", "qti3.zip")
    ] == done.out.splitlines()
    tex = (program.folder / "out" / "staff" / "formulas-worked-solutions.tex").read_text("utf-8")
    assert r"\frac{v - u}{a}" in tex or r"\dfrac{v - u}{a}" in tex
    page = (program.folder / "out" / "pupils" / "formulas-question-paper.html").read_text("utf-8")
    assert "<mfrac><mrow><mi>v</mi><mo>−</mo><mi>u</mi></mrow><mi>a</mi></mfrac>" in page
    with zipfile.ZipFile(program.folder / "out" / "pupils" / "formulas-question-paper.docx") as paper:
        assert b"m:oMath" in paper.read("word/document.xml")


SIGN = "<mrow><mi>v</mi><mo>−</mo><mi>u</mi></mrow>"


@pytest.mark.parametrize("form", ["qti3.zip", "cc.imscc"])
def test_a_spoiled_package_is_found(program: Program, form: str) -> None:
    kind = form.partition(".")[0]
    program.run("build", "bank", "--out", "out", "--count", 6, "--formats", kind, left=None, err=None)
    package = program.folder / "out" / "platform" / f"formulas-{form}"
    unpacked = program.folder / "unpacked"
    shutil.unpack_archive(package, unpacked, "zip")
    spoiled = 0
    for path in sorted(unpacked.rglob("*.xml")):
        text = path.read_text("utf-8")
        for shown in (SIGN, SIGN.replace("<", "&lt;").replace(">", "&gt;")):
            if shown in text:
                path.write_text(text.replace(shown, shown.replace("−", "+")), "utf-8")
                spoiled += 1
    assert spoiled

    done = program.run("verify", "unpacked", status=1, left=None)

    assert "at fault" in done.out
    assert "wrong-key" in done.out + done.err
