"""Items with formulas as pictures or LaTeX, in every dialect, against digests and schemas; the demo bank in each.

The digests of the item schemas are not the publishers': passing them is no proof of conformance. SVG is checked to be
well-formed and of few elements; W3C publishes no schema of SVG 2.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import etree

from itembank.build.packages import pack
from itembank.items import Item
from itembank.publication import Publication
from itembank.writers import qti3, qti_manifest
from itembank.writers.dialects import DIALECTS
from itembank.writers.formulas import MODES, Notation
from tests import qti_items, samples
from tests.cli.test_build import ROOT, digests, run
from tests.qti_schemas import digest_faults, faults, needs_schemas, schema

ITEMS = (*samples.ALL, *qti_items.MORE)
DIGESTS = {"qti3": "qti3-asi.rng", "qti22": "qti2-asi.rng", "qti21": "qti2-asi.rng"}
MANIFESTS = {
    "qti3": "qti-3.0/imsqtiv3p0_imscpv1p2_v1p0.xsd",
    "qti22": "stand-ins/qti22-manifest.xsd",
}
PUBLISHED = Publication("algebra", "Evening algebra")
OTHERS = [Notation("svg"), Notation("latex"), Notation("latex", "$ $")]


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    """A copy of the demo bank."""
    folder = tmp_path / "bank"
    shutil.copytree(ROOT / "banks" / "quadratics", folder, ignore=shutil.ignore_patterns("bank.lock"))
    return folder


def document(item: Item, dialect: str, notation: Notation) -> etree._Element:
    """An item's document as the package holds it."""
    import zlib

    (((packed,), _),) = pack([item], (dialect,), PUBLISHED, notation)
    data = packed.member.data
    return etree.fromstring(zlib.decompress(data, -15) if packed.member.method else data)


@needs_schemas
@pytest.mark.parametrize("notation", OTHERS, ids=str)
@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("make", ITEMS)
def test_an_item_passes_the_digest_of_the_item_schema(
    make: Callable[[], Item], dialect: str, notation: Notation
) -> None:
    assert [] == digest_faults(DIGESTS[dialect], document(make(), dialect, notation))


@needs_schemas
@pytest.mark.parametrize("dialect", MANIFESTS)
def test_a_manifest_with_shared_pictures_is_valid(dialect: str) -> None:
    of = DIALECTS[dialect]
    pieces = [qti3.manifest_head(PUBLISHED, dialect=of)]
    shared: dict[str, None] = {}
    for make in ITEMS:
        (((packed,), _),) = pack([make()], (dialect,), PUBLISHED, Notation("svg"))
        pieces.append(packed.resource)
        shared.update(dict.fromkeys(str(member.path) for member in packed.shared))
    pieces += [*map(qti_manifest.shared_resource, shared), qti3.manifest_tail()]

    assert len(shared) > 20
    assert [] == faults(schema(MANIFESTS[dialect]), etree.fromstring("".join(pieces).encode()))


@pytest.mark.parametrize("mode", MODES)
def test_the_demo_bank_in_every_dialect_is_proved_again_from_the_files_alone(
    mode: str,
    demo: Path,
    tmp_path: Path,
) -> None:
    def command(*arguments: object) -> subprocess.CompletedProcess[str]:
        return run(*arguments, cwd=tmp_path)

    formats = ",".join((*DIALECTS, "cc", "html"))
    built = command("build", demo, "--out", "out", "--maths", mode, "--count", 24, "--formats", formats)
    assert (0, "") == (built.returncode, built.stderr)
    packages = sorted((tmp_path / "out" / "platform").glob("*.zip"))
    (cartridge,) = (tmp_path / "out" / "platform").glob("*.imscc")
    reports = json.loads(command("verify", "--json", *packages, cartridge).stdout)

    assert [(24, True, [])] * 4 == [(each["items"], each["ok"], each["findings"]) for each in reports]
    assert [mode == "svg"] * 4 == [bool(each["notes"]) for each in reports]
    with zipfile.ZipFile(cartridge) as package:
        texts = b"".join(package.read(name) for name in package.namelist() if name.endswith(".xml"))
        assert (b"&lt;math " in texts, rb"\(" in texts) == (mode == "mathml", mode == "latex")
    for path in packages:
        with zipfile.ZipFile(path) as package:
            names = package.namelist()
            assert "imsmanifest.xml" == names[0]
            assert len(names) == len(set(names))
            assert any(name.startswith("items/formulas/") for name in names) == (mode == "svg")


def test_the_same_build_gives_the_same_pictures(demo: Path, tmp_path: Path) -> None:
    wanted = ("--maths", "svg", "--count", 30, "--formats", "qti3,html")
    for out, more in (("first", ()), ("second", ("--workers", 2))):
        assert 0 == run("build", demo, "--out", out, *wanted, *more, cwd=tmp_path).returncode

    assert digests(tmp_path / "first") == digests(tmp_path / "second")


def test_the_bank_file_says_how_formulas_are_written(demo: Path, tmp_path: Path) -> None:
    text = (demo / "bank.yaml").read_text("utf-8")
    settings = 'settings: {formats: [html], maths: latex, latex_delimiters: "$ $"}\n'
    kept = "".join(line for line in text.splitlines(keepends=True) if not line.startswith("settings:"))
    (demo / "bank.yaml").write_text(kept + settings, "utf-8")

    def page(*more: object) -> str:
        assert 0 == run("build", demo, "--out", "out", "--count", 8, *more, cwd=tmp_path).returncode
        (found,) = (tmp_path / "out" / "pupils").glob("*-question-paper.html")
        return found.read_text("utf-8")

    assert re.search(r"\$[^$<]+ = 0\$", page())
    assert re.search(r"\\\[[^<]+ = 0\\\]", page("--latex-delimiters", r"\[ \]"))
    assert 'equals 0"' in page("--maths", "mathml")


@pytest.mark.parametrize("wrong", [("--maths", "png"), ("--latex-delimiters", "<< >>")])
def test_another_notation_is_wrong_usage(wrong: tuple[str, str], demo: Path, tmp_path: Path) -> None:
    refused = run("build", demo, "--out", "out", *wrong, cwd=tmp_path)

    assert 2 == refused.returncode
    assert wrong[0] in refused.stderr
    assert not (tmp_path / "out").exists()
