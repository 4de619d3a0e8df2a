"""What parts of an item are called: feedback that rules show, answers as staff are told of them, and their notes."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree
from zipfile import ZipFile

import pytest

from itembank.audit.verify import verify
from itembank.library import BuildRequest, build

BANK = Path(__file__).parents[3] / "banks" / "quadratics"
NOWHERE = {"no-feedback", "feedback-not-shown"}
SPOILINGS = (
    # what stands in the file, what is put in its place, what tells it
    (' identifier="F0" show-hide', ' identifier="D" show-hide', NOWHERE),
    (">F1</qti-base-value>", ">F9</qti-base-value>", NOWHERE),
    ("<strong>A: </strong>", "<strong>B: </strong>", {"misnamed-answer"}),
    ('data-role="note" data-identifier="A"', 'data-role="note" data-identifier="C"', {"misnamed-answer"}),
)


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Several items of each demo template."""
    folder = tmp_path_factory.mktemp("labels")
    bank = copytree(BANK, folder / "bank")
    build(BuildRequest(bank, folder / "out", count=60, formats=("qti3",)))
    return folder / "out" / "platform" / "quadratics-qti3.zip"


@pytest.mark.parametrize(("old", "new", "codes"), SPOILINGS)
def test_a_name_that_leads_elsewhere_is_told(
    old: str, new: str, codes: set[str], package: Path, tmp_path: Path
) -> None:
    """In one item among many that are like it, which the audit looks through quickly."""
    spoiled, at_fault = tmp_path / "spoiled.zip", ""
    with ZipFile(package) as held, ZipFile(spoiled, "w") as written:
        for name in held.namelist():
            text = held.read(name).decode()
            if name.startswith("items/") and old in text:
                at_fault, text = (at_fault, text) if at_fault else (name, text.replace(old, new, 1))
            written.writestr(name, text)

    found = [finding for finding in verify(spoiled).findings if finding.member == at_fault]

    assert codes <= {finding.code for finding in found}


def test_a_package_of_ours_is_in_order(package: Path) -> None:
    assert verify(package).ok
