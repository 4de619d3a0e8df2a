"""What parts of an item are called: feedback that rules show, answers as staff are told of them, and their notes."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copytree
from zipfile import ZipFile

import pytest

from itembank.audit.verify import audit_item, verify
from itembank.library import BuildRequest, build
from itembank.writers.qti3 import item_xml
from tests.template_items import items

BANK = Path(__file__).parents[3] / "banks" / "quadratics"
NOWHERE = {"no-feedback", "feedback-not-shown"}
RIGHT = "<p>That is right.</p>"
OF_A_SLIP = ' identifier="F1" show-hide="show"><qti-content-body>'
SPOILINGS = (
    # what stands in the file, what is put in its place, what tells it
    (' identifier="F0" show-hide', ' identifier="D" show-hide', NOWHERE),
    (">F1</qti-base-value>", ">F9</qti-base-value>", NOWHERE),
    ("<strong>A: </strong>", "<strong>B: </strong>", {"misnamed-answer"}),
    ('data-role="note" data-identifier="A"', 'data-role="note" data-identifier="C"', {"misnamed-answer"}),
    ("<p>That is right.</p>", "<p>That is wrong.</p>", {"wrong-feedback"}),
    ("<p>That is right.</p>", "<p>That is right. It is 7.</p>", {"wrong-feedback"}),
    ("<p>The value is right, but it is not in the form that was asked for.</p>", RIGHT, {"wrong-feedback"}),
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


def test_a_slip_that_is_told_to_be_right_is_told(package: Path, tmp_path: Path) -> None:
    spoiled, at_fault = tmp_path / "spoiled.zip", set()
    with ZipFile(package) as held, ZipFile(spoiled, "w") as written:
        for name in held.namelist():
            text = held.read(name).decode()
            changed = re.sub(f"({re.escape(OF_A_SLIP)}).*?(</qti-content-body>)", rf"\1{RIGHT}\2", text)
            if name.startswith("items/") and changed != text:
                at_fault.add(name)
            written.writestr(name, changed)

    found = {each.member for each in verify(spoiled).findings if each.code == "wrong-feedback"}

    assert at_fault
    assert at_fault == found


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "follow-through",
            "This follows from your earlier answer and earns marks; look at the earlier part again.",
        ),
        ("wrong-line", "That line follows from what stands above it."),
    ],
)
def test_what_is_said_of_other_answers_is_known_too(name: str, said: str) -> None:
    (item,) = items(name, 1)
    text = item_xml(item)

    assert said in text
    assert () == audit_item(text.encode(), "items/X.xml")[1]
    (found,) = audit_item(text.replace(said, "That is right.").encode(), "items/X.xml")[1]
    assert "wrong-feedback" == found.code


def test_a_package_of_ours_is_in_order(package: Path) -> None:
    assert verify(package).ok
