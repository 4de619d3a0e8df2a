"""`itembank build --formats cc` and `itembank verify` as real processes: whole cartridges, equal bytes, faults told."""

from __future__ import annotations

import json
import shutil
import zipfile
from pathlib import Path

import pytest

from itembank.build import cartridge
from tests.cli.harness import DEMO, Program

NAME = "platform/quadratics-cc.imscc"


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """The program beside a copy of the demo bank."""
    shutil.copytree(DEMO, tmp_path / "bank", ignore=shutil.ignore_patterns("bank.lock"))
    return Program(tmp_path)


def build(program: Program, out: str, *more: object) -> Path:
    """Builds cartridges into a folder."""
    program.run(
        "build", "bank", "--out", out, "--formats", "cc", "--count", 24, *more, left=ANYTHING, err=None
    )
    return program.folder / out


class _Anything(tuple[str, ...]):
    """Equal to any files left over; the tests look for themselves."""

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = tuple.__hash__


ANYTHING = _Anything()


def test_a_cartridge_is_written_reported_and_verified(program: Program) -> None:
    out = build(program, "out")
    report = json.loads((out / "report.json").read_text("utf-8"))
    checked = program.run("verify", out / NAME)

    assert NAME in report["files"]
    assert any(line.startswith("cartridge: boxes become one typed answer") for line in report["shortfalls"])
    assert "quadratics-cc.imscc: 24 items, none at fault\n" == checked.out
    with zipfile.ZipFile(out / NAME) as package:
        names = package.namelist()
    assert "imsmanifest.xml" == names[0]
    assert 1 == len([name for name in names if name.startswith("assessments/")])
    assert 12 == len([name for name in names if name.startswith("banks/")])
    assert [] == [name for name in names if not name.isascii()]
    assert len(names) == len({name.lower() for name in names})
    assert any(name.startswith("figures/") for name in names)


def test_the_report_names_every_item_that_loses_something(program: Program) -> None:
    out = build(program, "out")
    report = json.loads((out / "report.json").read_text("utf-8"))
    told = (out / "report.md").read_text("utf-8")
    (typed,) = [lost for lost in report["not_carried"] if "boxes become one typed answer" in lost["what"]]
    shares = ", ".join(f"{number} of {template}" for template, number in typed["templates"].items())

    assert len(report["shortfalls"]) >= len(report["not_carried"]) >= 2
    assert 5 < len(typed["items"]) == len(set(typed["items"])) == sum(typed["templates"].values()) < 24
    assert f"- {typed['what']} ({len(typed['items'])} items: {shares})" in told
    assert f"- {typed['what']}: {' '.join(typed['items'])}" in told.partition("### Which items these are")[2]
    everybody = [lost for lost in report["not_carried"] if len(lost["items"]) == 24]
    assert everybody
    assert all(f"- {lost['what']} (every item)" in told for lost in everybody)


def test_the_same_build_gives_the_same_bytes_for_any_number_of_workers(program: Program) -> None:
    first, second = build(program, "first"), build(program, "second", "--workers", 2)

    assert (first / NAME).read_bytes() == (second / NAME).read_bytes()


def test_a_larger_build_keeps_the_questions_of_a_smaller_one(program: Program) -> None:
    """So that a second import meets the items of the first under their identifiers."""
    small, large = build(program, "small"), build(program, "large", "--count", 36)

    def idents(path: Path) -> set[str]:
        with zipfile.ZipFile(path) as package:
            texts = [package.read(name).decode() for name in package.namelist() if name.startswith("banks/")]
        return {piece.partition('"')[0] for text in texts for piece in text.split('<item ident="')[1:]}

    assert 24 == len(idents(small / NAME))
    assert idents(small / NAME) < idents(large / NAME)


def test_a_cartridge_that_was_changed_does_not_verify(program: Program) -> None:
    out = build(program, "out")
    with zipfile.ZipFile(out / NAME) as package:
        contents = {name: package.read(name) for name in package.namelist()}
    changed = program.folder / "changed.imscc"
    with zipfile.ZipFile(changed, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in contents.items():
            package.writestr(
                name, data.replace(b'Set">100<', b'Set">0<', 1) if "assessments/" in name else data
            )
    checked = program.run("verify", changed, status=1)

    assert "copies-differ" in checked.out
    assert "key-misses-maximum" in checked.out or "no-key" in checked.out


def test_cartridges_are_split_by_number(
    program: Program, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """In this process, with a limit of ten questions: three files, numbered, each a whole cartridge."""
    from itembank.audit.verify import verify
    from itembank.build import BuildRequest
    from itembank.build import build as build_bank

    monkeypatch.setattr(cartridge, "ITEMS_PER_CARTRIDGE", 10)
    monkeypatch.setattr(cartridge, "ITEMS_PER_ASSESSMENT", 4)
    monkeypatch.setenv("ITEMBANK_CACHE", str(tmp_path / "cache"))
    made = build_bank(BuildRequest(tmp_path / "bank", tmp_path / "split", count=24, formats=("cc",)))
    files = sorted((tmp_path / "split" / "platform").iterdir())

    assert ["quadratics-cc-2.imscc", "quadratics-cc-3.imscc", "quadratics-cc.imscc"] == [
        f.name for f in files
    ]
    assert 24 == made.report.items
    assert [10, 4, 10] == [verify(file).items for file in files]
    assert all(verify(file).ok for file in files)


def test_a_bank_and_templates_with_the_longest_names_go_into_a_cartridge(program: Program) -> None:
    """Each of the two is shortened for file names, and then both together."""
    long = "a-name-that-goes-on" * 12
    facts, template = program.folder / "bank" / "bank.yaml", "equal-roots"
    facts.write_text(facts.read_text("utf-8").replace("bank: quadratics", f"bank: {long}"), "utf-8")
    path = program.folder / "bank" / "templates" / f"{template}.yaml"
    path.write_text(
        path.read_text("utf-8").replace(f"template: {template}", f"template: {long}-roots"), "utf-8"
    )
    out = build(program, "out")
    (written,) = (out / "platform").iterdir()

    assert program.run("verify", written).out.endswith(": 24 items, none at fault\n")
