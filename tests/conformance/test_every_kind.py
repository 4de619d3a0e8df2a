"""Every kind of response and form of entry, in every dialect and every way of writing formulas, against the schemas.

One bank holds a template of each (`tests/templates/good`); it is built as a user builds it, and every document of every
package is looked at. Where the publisher's schema is not at hand, the grammar that stands in for it is asked.
"""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest
from lxml import etree

from itembank.audit.verify import verify
from itembank.build import BuildRequest, build
from itembank.writers.dialects import DIALECTS
from itembank.writers.formulas import MODES
from tests.qti_schemas import digest_faults, faults, needs_schemas, schema

GOOD = Path(__file__).resolve().parents[1] / "templates" / "good"
MATH = "{http://www.w3.org/1998/Math/MathML}math"
BANK_FILE = "bank: every-kind\ntitle: Every kind\nlicence: CC-BY-4.0\nauthor: Saltmarsh College\n"
MANIFESTS = {
    "qti3": "qti-3.0/imsqtiv3p0_imscpv1p2_v1p0.xsd",
    "qti22": "stand-ins/qti22-manifest.xsd",
    "cc": "common-cartridge-1.3/ccv1p3_imscp_v1p2_v1p0.xsd",
}
INTERACTIONS = {
    "choiceInteraction", "inlineChoiceInteraction", "textEntryInteraction", "orderInteraction", "matchInteraction",
    "extendedTextInteraction",
}  # fmt: skip
"""Every interaction this house writes."""


@pytest.fixture(scope="module", params=MODES)
def platform(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The packages of the bank with one item of each template, in one way of writing formulas."""
    folder = tmp_path_factory.mktemp(str(request.param))
    shutil.copytree(
        GOOD, folder / "bank" / "templates", ignore=shutil.ignore_patterns("bank.*", "slips.yaml")
    )
    shutil.copy(GOOD / "slips.yaml", folder / "bank")
    (folder / "bank" / "bank.yaml").write_text(BANK_FILE, "utf-8")
    count = len(list((folder / "bank" / "templates").iterdir()))
    formats = (*DIALECTS, "cc")
    build(
        BuildRequest(folder / "bank", folder / "out", count=count, formats=formats, maths=str(request.param))
    )
    return folder / "out" / "platform"


def documents(path: Path) -> dict[str, etree._Element]:
    """Every document of a package."""
    with zipfile.ZipFile(path) as package:
        return {
            name: etree.fromstring(package.read(name)) for name in package.namelist() if name.endswith(".xml")
        }


def package(platform: Path, name: str) -> Path:
    """The one package of a format."""
    (found,) = [each for each in platform.iterdir() if each.stem.endswith(f"-{name}")]
    return found


@needs_schemas
@pytest.mark.parametrize("dialect", DIALECTS)
def test_every_item_quiz_and_formula_is_valid(platform: Path, dialect: str) -> None:
    found = documents(package(platform, dialect))
    digest = "qti3-asi.rng" if dialect == "qti3" else "qti2-asi.rng"
    mathml = schema("mathml-3/mathml3.xsd")

    assert len(found) > 45
    for name, root in found.items():
        if name != "imsmanifest.xml":
            assert [] == digest_faults(digest, root), name
            assert [] == [fault for formula in root.iter(MATH) for fault in faults(mathml, formula)], name


@needs_schemas
def test_every_rule_and_outcome_of_3_0_is_valid(platform: Path) -> None:
    found = documents(package(platform, "qti3"))
    rules = schema("qti-3.0/imsqti_responseprocessingv3p0_v1p0.xsd")
    outcomes = schema("qti-3.0/imsqti_outcomev3p0_v1p0.xsd")
    processed = [each for root in found.values() for each in root.iterfind("{*}qti-response-processing")]
    declared = [each for root in found.values() for each in root.iterfind("{*}qti-outcome-declaration")]

    assert len(processed) > 40
    assert [] == [fault for each in processed for fault in faults(rules, each)]
    assert [] == [fault for each in declared for fault in faults(outcomes, each)]


@needs_schemas
@pytest.mark.parametrize("name", MANIFESTS)
def test_every_manifest_with_its_metadata_is_valid(platform: Path, name: str) -> None:
    manifest = documents(package(platform, name))["imsmanifest.xml"]

    assert [] == faults(schema(MANIFESTS[name]), manifest)


@needs_schemas
def test_every_document_of_the_cartridge_is_valid(platform: Path) -> None:
    found = documents(package(platform, "cc"))
    model = schema("stand-ins/cc-qti12.xsd")

    assert len(found) > 40
    assert [] == [
        fault for name, root in found.items() if name != "imsmanifest.xml" for fault in faults(model, root)
    ]


def test_every_kind_of_interaction_is_there(platform: Path) -> None:
    """So that none of the tests above passes for want of items."""
    told = documents(package(platform, "qti21"))["imsmanifest.xml"].iter("{*}interactionType")

    assert INTERACTIONS == {each.text for each in told}


@pytest.mark.parametrize("name", [*DIALECTS, "cc"])
def test_every_package_is_proved_again_from_the_file_alone(platform: Path, name: str) -> None:
    report = verify(package(platform, name))

    assert report.items > 40
    assert () == report.findings
