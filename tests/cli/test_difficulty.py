"""Predicted difficulty through the command line: in `show`, reports, staff files and packages; a bank's own weights."""

from __future__ import annotations

import json
import shutil
import zipfile
from pathlib import Path

import pytest
from lxml import etree

from tests.cli.harness import DEMO, Program

LOM = "{http://ltsc.ieee.org/xsd/LOM}"
OWN = """
difficulty:
  source: calibrated on the November sitting
  weights: {start: 0, minus-signs: 250}
  words: [100, 200, 300, 400]
"""


@pytest.fixture
def program(tmp_path: Path) -> Program:
    folder = tmp_path / "here"
    folder.mkdir()
    return Program(folder)


@pytest.fixture
def bank(program: Program) -> Path:
    """The demo bank with weights of its own."""
    folder = program.folder / "bank"
    shutil.copytree(DEMO, folder)
    facts = folder / "bank.yaml"
    facts.write_text(facts.read_text("utf-8") + OWN, "utf-8")
    return folder


def test_an_item_is_shown_with_what_contributed(program: Program) -> None:
    shown = program.run("show", str(DEMO / "templates" / "simplify-surd.yaml"), "--count", "1").out
    (line,) = [line.strip() for line in shown.splitlines() if "predicted" in line]

    assert line.startswith("predicted difficulty ")
    assert all(word in line for word in ("logits", "start -1.6", "know -0.5", "surd-in-key +0.4"))


def test_what_is_told_of_each_item_is_what_the_report_gathers(program: Program) -> None:
    ended = program.run("build", str(DEMO), "--out", "out", "--count", "48", left=None)
    assert (0, "") == (ended.status, ended.err)
    out = program.folder / "out"
    items = json.loads((out / "staff" / "items.json").read_text("utf-8"))["items"]
    report = json.loads((out / "report.json").read_text("utf-8"))

    found: dict[tuple[str, str], list[int]] = {}
    for item in items:
        difficulty = item["difficulty"]
        found.setdefault((item["address"]["template"], item["band"]), []).append(difficulty["thousandths"])
        if len(item["parts"]) == 1:
            assert difficulty["thousandths"] == sum(each["adds"] for each in difficulty["contributions"])
    told = {
        (tally["template"], band): spread
        for tally in report["templates"]
        for band, spread in tally["difficulty"].items()
    }
    assert set(found) == set(told)
    for place, values in found.items():
        spread = told[place]
        assert (min(values), max(values), len(values)) == (
            spread["least"],
            spread["greatest"],
            spread["items"],
        )
        assert spread["median"] == sorted(values)[(len(values) - 1) // 2]
    assert "## Predicted difficulty, in logits" in (out / "report.md").read_text("utf-8")


def test_check_tells_the_spread_of_a_template_and_of_its_bands(program: Program) -> None:
    path = str(DEMO / "templates" / "kind-of-roots.yaml")
    told = program.run("check", path).out
    (checked,) = json.loads(program.run("check", path, "--json").out)["templates"]
    shown = json.loads(program.run("show", path, "--count", "20", "--json").out)

    spread = checked["difficulty"]
    assert set(spread) == {"all", *checked["bands"]}
    middles = [each["median"] for name, each in spread.items() if name != "all"]
    assert middles == sorted(middles)
    assert all(each["least"] <= each["median"] <= each["greatest"] for each in spread.values())
    assert spread["all"]["least"] <= min(each["least"] for name, each in spread.items() if name != "all")
    assert all(
        spread["all"]["least"] <= item["difficulty"]["thousandths"] <= spread["all"]["greatest"]
        for item in shown
    )
    (line,) = [line for line in told.splitlines() if "predicted difficulty" in line]
    assert spread["all"]["word"] in line
    assert all(" logits" in line for line in told.splitlines() if line.startswith("    band "))


def test_coverage_tells_the_spread_of_rows_templates_and_bands(program: Program) -> None:
    told = json.loads(program.run("coverage", str(DEMO), "--json").out)
    table = program.run("coverage", str(DEMO), "--templates").out

    for row in told["coverage"]:
        assert row["difficulty"]["least"] <= row["difficulty"]["median"] <= row["difficulty"]["greatest"]
    for bands in told["difficulty"].values():
        whole, *others = bands.values()
        assert [each["median"] for each in others] == sorted(each["median"] for each in others)
        assert whole["items"] >= 20
    listed = [line for line in table.splitlines() if " logits" in line and not line.startswith("minutes")]
    names = [line.partition(":")[0] for line in listed if not line.startswith(" ")]
    assert sorted(names) == sorted(told["difficulty"])
    middles = [told["difficulty"][name]["all"]["median"] for name in names]
    assert middles == sorted(middles)
    assert sum(line.startswith("    band ") for line in listed) == sum(
        len(bands) - 1 for bands in told["difficulty"].values()
    )


def test_packages_say_it_in_the_words_of_the_standard_and_no_item_file_does(program: Program) -> None:
    program.run(
        "build", str(DEMO), "--out", "out", "--count", "24", "--formats", "qti3,qti21,json", left=None
    )
    out = program.folder / "out"
    items = json.loads((out / "staff" / "items.json").read_text("utf-8"))["items"]
    words = {item["code"]: item["difficulty"]["word"] for item in items}
    for package in ("quadratics-qti3.zip", "quadratics-qti21.zip"):
        with zipfile.ZipFile(out / "platform" / package) as archive:
            root = etree.fromstring(archive.read("imsmanifest.xml"))
            told = {
                str(lom.findtext(f".//{LOM}entry")): lom.findtext(f".//{LOM}difficulty/{LOM}value")
                for lom in root.iter(f"{LOM}lom")
                if lom.find(f".//{LOM}entry") is not None
            }
            assert words == told
            files = [
                name for name in archive.namelist() if name.startswith("items/") and name.endswith(".xml")
            ]
            assert files
            assert not any(b"difficulty" in archive.read(name) for name in files)


def test_a_banks_own_weights_count_for_the_bank_and_for_a_file_of_it(program: Program, bank: Path) -> None:
    for path in (bank, bank, bank / "templates" / "simplify-surd.yaml"):  # the second time from the cache
        shown = json.loads(program.run("show", str(path), "--count", "1", "--json").out)
        item = next(each for each in shown if each["address"]["template"] == "simplify-surd")
        assert "start" not in [each["feature"] for each in item["difficulty"]["contributions"]]
        assert item["difficulty"]["word"] == "very difficult"
    program.run("build", str(bank), "--out", "out", "--count", "12", left=None)
    assert "calibrated on the November sitting" in (program.folder / "out" / "report.md").read_text("utf-8")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("start: 0", "strat: 0", "there is no feature `strat`; nearest: start"),
        ("start: 0", "start: 0.5", "a whole number"),
        ("start: 0", "start: 99999", "20000"),
        ("[100, 200, 300, 400]", "[100, 200, 150, 400]", "the numbers must ascend"),
    ],
)
def test_weights_that_are_wrong_are_told_at_their_place(
    program: Program, bank: Path, old: str, new: str, told: str
) -> None:
    facts = bank / "bank.yaml"
    facts.write_text(facts.read_text("utf-8").replace(old, new), "utf-8")
    ended = program.run("check", str(bank), status=1)

    assert told in ended.out
    assert "bank.yaml" in ended.out
    assert "Traceback" not in ended.out + ended.err
