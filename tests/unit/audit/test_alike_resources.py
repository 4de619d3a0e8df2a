"""A manifest of which resources that are alike are read once says what it says read the usual way."""

from __future__ import annotations

import random
import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from itembank.audit import alike_resources, manifest
from itembank.audit.item_metadata import Metadata
from itembank.audit.manifest import read_manifest
from itembank.audit.package import open_package
from itembank.publication import Publication
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_3_0, Dialect
from itembank.writers.qti_manifest import quiz_resource
from tests import kinds_bank, samples

BANK = Publication(
    "evening", "Evening algebra? All of it!", "en", licence="CC-BY-4.0", author="Saltmarsh College"
)
CODES = ("K7Q2M", "ABCDE", "ABCDEF", "ZZZZZ9", "H4X0R")
HOSTILE = (
    "<!-- ", " -->", "<![CDATA[", "]]>", "<?go on?>", '<resource identifier="a">', "</resource>", "<resource/>",
    "</resources>", "</resources><resources>", "<resources>", ' xml:id="a"', ' xml:base="b/"', "ABCDE", "&#65;",
    "K7Q2M", "&lt;", "&", "<", ">", '"', "'", "\ue000", "é", "]", " ", "\n", "../", "%2e%2e/", "F", ' xmlns="a"', "9 ",
)  # fmt: skip
CHANGES = 400


@cache
def whole(dialect: Dialect) -> str:
    """A manifest of several items that differ in their codes, some with a picture, and of a test of them."""
    makers = (samples.choice_item(), samples.surd_entry_item(), kinds_bank.items("order-of-steps", 1)[0])
    told = {item.code: qti3.manifest_resource(item, dialect=dialect, publication=BANK) for item in makers}
    entries = [text.replace(own, code) for own, text in told.items() for code in codes(own)]
    head = qti3.manifest_head(BANK, dialect=dialect, quiz=True)
    named = [code for own in told for code in codes(own)]
    return head + "".join(entries) + quiz_resource(BANK, named, dialect=dialect) + qti3.manifest_tail()


def codes(own: str) -> list[str]:
    """Codes of items that are told of as one item is."""
    return [f"{own}{code}" for code in CODES]


class Read(NamedTuple):
    """What an inventory holds, its faults as texts."""

    items: list[str]
    faults: list[tuple[str, ...]]
    version: str
    tests: list[tuple[str, frozenset[str]]]
    metadata: dict[str, Metadata]


def inventory(folder: Path, text: str, *, quick: bool = True) -> Read:
    """What is read of a folder with this manifest."""
    (folder / "imsmanifest.xml").write_bytes(text.encode())
    with open_package(folder) as package:
        found = read_manifest(package, quick=quick)
    faults = [(each.code, each.message, each.member, each.place) for each in found.faults]
    return Read(found.items, faults, found.version.name if found.version else "", found.tests, found.metadata)


@pytest.fixture(params=[QTI_3_0, QTI_2_1], ids=["qti3", "qti21"])
def dialect(request: pytest.FixtureRequest) -> Dialect:
    found: Dialect = request.param
    return found


@pytest.fixture
def folder(tmp_path: Path, dialect: Dialect) -> Path:
    """With all files that the manifest names."""
    for name in re.findall('<file href="([^"]*)"', whole(dialect)):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    return tmp_path


def test_resources_that_differ_in_their_codes_are_parsed_once(
    dialect: Dialect, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The head, one of each kind of item, and the test."""
    parsed: list[bytes] = []
    usual = alike_resources.parse
    monkeypatch.setattr(alike_resources, "parse", lambda data: parsed.append(data) or usual(data))
    monkeypatch.setattr(manifest._Reader, "read", pytest.fail)
    found = inventory(folder, whole(dialect))

    assert [] == found.faults
    assert 3 * len(CODES) == len(found.items) == len(found.metadata)
    assert 1 + 3 + 1 == len(parsed)


def test_what_is_read_is_what_the_usual_reader_reads(dialect: Dialect, folder: Path) -> None:
    assert inventory(folder, whole(dialect), quick=False) == inventory(folder, whole(dialect))


def test_any_change_is_told_as_the_usual_reader_tells_it(dialect: Dialect, folder: Path) -> None:
    """Bytes and hostile pieces put in, taken out and put in the place of others, most of them in masked places."""
    chance = random.Random(31)
    text = whole(dialect)
    masked = [found.start() for code in {*CODES} for found in re.finditer(code, text)]
    told = 0
    for _ in range(CHANGES):
        at = (
            chance.choice(masked) + chance.randrange(-2, 8)
            if chance.random() < 0.5
            else chance.randrange(len(text))
        )
        piece = chance.choice([*HOSTILE, "", chance.choice(text)])
        changed = text[:at] + piece + text[at + chance.choice([0, 0, 1, len(piece)]) :]
        usual = inventory(folder, changed, quick=False)
        assert usual == inventory(folder, changed), (at, piece)
        told += bool(usual.faults)
    assert told > CHANGES // 3


@pytest.mark.parametrize(
    "place", ['identifier="item-', ' href="items/', '<file href="items/', "<entry>", "("]
)
def test_another_code_in_any_masked_place_is_found(place: str, dialect: Dialect, folder: Path) -> None:
    """In the last resource of its looks, which is not parsed, one letter of the code is another."""
    text = whole(dialect)
    code = max(re.findall("<entry>([A-Z0-9]+)<", text), key=text.rindex)
    at = text.rindex(place + code) + len(place)
    other = "B" if code[0] != "B" else "C"

    assert [] == inventory(folder, text).faults
    assert inventory(folder, text[:at] + other + text[at + 1 :]).faults


def test_a_code_that_stands_in_other_places_too_is_no_mask_there(dialect: Dialect, folder: Path) -> None:
    """Items whose codes are a word of the vocabulary, a part of a title, of the author or of another code."""
    text = whole(dialect)
    for old, new in (
        ("BEGIN:", "CODE:"),
        ("2 marks", "CODE marks"),
        ("Saltmarsh", "CODE"),
        ("responseprocessing", "CODE"),
    ):
        for code in codes(samples.choice_item().code):
            start = text.index(f'<resource identifier="item-{code}"')
            at = text.find(old, start)
            if at >= 0:
                changed = text[:at] + new.replace("CODE", code) + text[at + len(old) :]
                assert inventory(folder, changed, quick=False) == inventory(folder, changed)


def test_a_manifest_of_resources_with_little_in_common_is_read_the_usual_way(
    dialect: Dialect, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(alike_resources, "_FREE", 0)
    read: list[object] = []
    usual = manifest._Reader.read
    monkeypatch.setattr(manifest._Reader, "read", lambda reader: read.append(reader) or usual(reader))

    assert [] == inventory(folder, whole(dialect)).faults
    assert 1 == len(read)
