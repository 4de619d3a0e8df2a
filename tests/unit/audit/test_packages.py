"""Packages: opened without trust, their manifest against what is in them, and the report of a whole audit."""

from __future__ import annotations

import json
import os
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from itembank.audit import member_names
from itembank.audit.findings import Finding, Report
from itembank.audit.verify import verify, verify_all
from itembank.errors import InputError
from tests import audit_samples as samples
from tests.audit_samples import ITEMS, members, spoiled, write_zip

CHOICE = "items/K7Q2M.xml"
MANIFEST = "imsmanifest.xml"


def codes(report: Report) -> set[str]:
    """Every code of a report."""
    return {finding.code for finding in report.findings}


def codes_of(path: Path, contents: dict[str, str]) -> set[str]:
    """Every code of what is found in a zip of these members."""
    return codes(verify(write_zip(path / "quiz.zip", contents)))


def in_manifest(old: str, new: str) -> dict[str, str]:
    """The package with a piece of its manifest replaced."""
    whole = members()
    return {**whole, MANIFEST: spoiled(whole[MANIFEST], old, new)}


def test_a_right_package_passes(tmp_path: Path) -> None:
    """As a zip: nothing found."""
    report = verify(write_zip(tmp_path / "quiz.zip", members()))

    assert Report("quiz.zip", len(ITEMS), ()) == report
    assert report.ok


def test_a_folder_is_audited_as_a_zip_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same members, unpacked."""
    for name, text in members().items():
        (tmp_path / "quiz" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "quiz" / name).write_text(text, encoding="utf-8")

    assert Report("quiz", len(ITEMS), ()) == verify(tmp_path / "quiz")
    monkeypatch.chdir(tmp_path / "quiz" / "items")
    assert Report("quiz", len(ITEMS), ()) == verify(Path(".."))
    monkeypatch.chdir("..")
    assert Report("quiz", len(ITEMS), ()) == verify(Path())


def test_one_item_is_audited_alone(tmp_path: Path) -> None:
    """A file without a manifest, under any name."""
    (tmp_path / "some item.xml").write_text(ITEMS["K7Q2M"](), encoding="utf-8")

    assert Report("some item.xml", 1, ()) == verify(tmp_path / "some item.xml")


def test_nothing_at_the_path_is_an_error_of_the_user(tmp_path: Path) -> None:
    """Not a finding."""
    with pytest.raises(InputError, match="there is no file or folder"):
        verify(tmp_path / "none.zip")


def test_workers_change_nothing_in_the_report(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two processes, ranges of one item, a fault among them."""
    monkeypatch.setattr("itembank.audit.item_crew.SHARED_FROM", 3)
    whole = members()
    path = write_zip(tmp_path / "quiz.zip", {**whole, CHOICE: spoiled(whole[CHOICE], ">B<", ">C<")})
    alone = verify(path)

    assert {"wrong-option-keyed"} <= codes(alone)
    assert alone == verify(path, workers=2)


@pytest.mark.parametrize("member", [CHOICE, MANIFEST])
@pytest.mark.parametrize(
    "place", ["its header's name", "its header's method", "its header's size", "its bytes", "its checksum"]
)
def test_a_member_read_plainly_is_told_when_it_is_not_what_the_directory_says(
    member: str, place: str, tmp_path: Path
) -> None:
    """One byte of a deflated member, in its own header, what is pressed, and the directory's checksum."""
    path = write_zip(tmp_path / "quiz.zip", members())
    with zipfile.ZipFile(path) as package:
        entry = package.getinfo(member)
    data = bytearray(path.read_bytes())
    directory = data.index(member.encode(), entry.header_offset + 31) - 46
    start = entry.header_offset
    at = {
        "its header's name": start + 31, "its header's method": start + 8,
        "its header's size": start + 22,
        "its bytes": start + 30 + len(member) + entry.compress_size // 2, "its checksum": directory + 16,
    }[place]  # fmt: skip
    data[at] ^= 1
    path.write_bytes(data)

    assert "damaged-member" in codes(verify(path))


def test_a_folder_without_any_package_is_an_error_of_the_user(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()

    with pytest.raises(InputError, match="holds no package"):
        verify_all([tmp_path])


def test_packages_of_one_name_are_told_with_their_folders(tmp_path: Path) -> None:
    for folder in ("first", "second"):
        (tmp_path / folder).mkdir()
        write_zip(tmp_path / folder / "quiz.zip", members())
    one, other = tmp_path / "first" / "quiz.zip", tmp_path / "second" / "quiz.zip"

    assert ["quiz.zip"] == [report.package for report in verify_all([one])]
    assert ["quiz.zip"] == [report.package for report in verify_all([tmp_path / "first"])]
    assert [str(one), str(other)] == [report.package for report in verify_all([one, other])]


def test_the_report_tells_each_item_at_fault_in_one_line(tmp_path: Path) -> None:
    """Text and JSON say the same."""
    whole = members()
    path = write_zip(
        tmp_path / "quiz.zip",
        {**whole, CHOICE: spoiled(whole[CHOICE], 'max-choices="1"', 'max-choices="0"')},
    )
    report = verify(path)
    message = "single identifier does not fit the interaction"
    found = Finding("K7Q2M", CHOICE, "misfit-response", message, "RESPONSE")

    assert (found,) == report.findings
    assert [
        "K7Q2M (items/K7Q2M.xml): misfit-response: RESPONSE: single identifier does not fit the interaction",
        "quiz.zip: 8 items, 1 at fault",
    ] == report.lines()
    assert {
        "package": "quiz.zip", "items": 8, "ok": False, "thorough": False, "findings": [found.as_dict()],
        "notes": [],
    } == json.loads(json.dumps(report.as_dict()))  # fmt: skip


@pytest.mark.parametrize(
    ("expected", "contents"),
    [
        ("no-manifest", {name: text for name, text in members().items() if name != MANIFEST}),
        ("missing-file", {name: text for name, text in members().items() if name != CHOICE}),
        ("file-not-in-manifest", {**members(), "notes.txt": "hello"}),
        ("missing-file", in_manifest(f'<file href="{CHOICE}"/>', '<file href="items/other.xml"/>')),
        ("missing-file", in_manifest(f' href="{CHOICE}"><file', "><file")),
        ("duplicate-file", in_manifest(f'<file href="{CHOICE}"/>', f'<file href="{CHOICE}"/>' * 2)),
        ("duplicate-identifier", in_manifest('identifier="R1"', 'identifier="R0"')),
        ("wrong-identifier", in_manifest('identifier="R1"', 'identifier="1 R"')),
        ("missing-resource", in_manifest("</resource>", '<dependency identifierref="R99"/></resource>')),
        ("unsafe-reference", in_manifest(f'<file href="{CHOICE}"/>', '<file href="../K7Q2M.xml"/>')),
        ("unsafe-reference", in_manifest(f'<file href="{CHOICE}"/>', '<file href="%2e%2e/K7Q2M.xml"/>')),
        ("unsafe-reference", in_manifest(f'<file href="{CHOICE}"/>', '<file href="http://a.example/x"/>')),
        ("wrong-schema", in_manifest("QTI Item Bank", "IMS Common Cartridge")),
        ("wrong-schema", in_manifest("<schemaversion>3.0.0", "<schemaversion>2.2.0")),
        ("incomplete-manifest", in_manifest("<organizations/>", "")),
        ("not-in-grammar", in_manifest("<organizations/>", "<organizations/>" * 2)),
        ("not-in-grammar", in_manifest("</manifest>", '<manifest identifier="M2"/></manifest>')),
        ("unsafe-reference", in_manifest("<resources", '<resources xml:base="http://a.example/"')),
        ("unsafe-reference", in_manifest(f'<file href="{CHOICE}"', f'<file xml:base="b/" href="{CHOICE}"')),
        ("processing-instruction", in_manifest("<manifest", '<?xml-stylesheet href="a.css"?><manifest')),
        ("wrong-encoding", {**members(), MANIFEST: "\ufeff" + members()[MANIFEST]}),
        ("wrong-root", in_manifest(samples.PACKAGING, "http://www.imsglobal.org/xsd/imscp_v1p9")),
        ("wrong-schema", in_manifest(samples.PACKAGING, "http://www.imsglobal.org/xsd/imscp_v1p1")),
        ("no-items", {MANIFEST: samples.manifest([])}),
        ("document-type", in_manifest("<manifest", '<!DOCTYPE m [<!ENTITY a "b">]><manifest')),
        ("not-well-formed", in_manifest("</manifest>", "")),
        ("identifier-differs", {**members(), CHOICE: members()["items/C9P4L.xml"]}),
        ("duplicate-item", {**members(), CHOICE: members()["items/C9P4L.xml"]}),
        (
            "missing-file",
            {**members(), CHOICE: spoiled(members()[CHOICE], "By", '<img src="a.svg" alt="a"/>By')},
        ),
        (
            "unsafe-reference",
            {**members(), CHOICE: spoiled(members()[CHOICE], "By", '<img src="../../a.svg" alt="a"/>By')},
        ),
    ],
)
def test_a_spoiled_package_is_found(tmp_path: Path, expected: str, contents: dict[str, str]) -> None:
    """The code is among those found."""
    assert expected in codes_of(tmp_path, contents)


def test_a_picture_in_the_package_is_no_fault(tmp_path: Path) -> None:
    """A file of the item, found from the item's own folder."""
    whole = members()
    whole[CHOICE] = spoiled(whole[CHOICE], "By", '<img src="a%20b.svg" alt="a square"/>By')
    listed = f'<file href="{CHOICE}"/>'
    whole[MANIFEST] = spoiled(whole[MANIFEST], listed, listed + '<file href="items/a%20b.svg"/>')

    picture = '<svg xmlns="http://www.w3.org/2000/svg" aria-label="a square"><desc>a square</desc></svg>'
    assert set() == codes_of(tmp_path, {**whole, "items/a b.svg": picture})


def _first_directory_entry(data: bytes, place: int, value: bytes) -> bytes:
    at = data.index(b"PK\x01\x02") + place
    return data[:at] + value + data[at + len(value) :]


def _end_record(data: bytes, place: int, value: bytes) -> bytes:
    at = data.rindex(b"PK\x05\x06") + place
    return data[:at] + value + data[at + len(value) :]


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (lambda data: b"#!/bin/sh\nexit\n" + data, "not-a-package"),
        (lambda data: data + b"junk", "not-a-package"),
        (lambda data: data + data, "not-a-package"),
        (lambda data: data[: len(data) // 2], "not-a-package"),
        (lambda data: data[len(data) // 2 :], "not-a-package"),
        (lambda data: data[4:], "not-a-package"),
        (lambda data: b"", "not-a-package"),
        (lambda data: _end_record(data, 16, b"\xf0\xff\xff\x7f"), "not-a-package"),
        (lambda data: _end_record(data, 8, b"\x01\0\x01\0"), "not-a-package"),
        (lambda data: _end_record(data, 12, b"\x01\0\0\0"), "not-a-package"),
        (lambda data: _first_directory_entry(data, 42, b"\xf0\xff\xff\x7f"), "damaged-member"),
        (lambda data: _first_directory_entry(data, 20, b"\xff\xff\xff\x7f"), "damaged-member"),
        (lambda data: _first_directory_entry(data, 24, b"\x01\0\0\0"), "damaged-member"),
        (lambda data: _first_directory_entry(data, 8, b"\x01"), "encrypted-member"),
    ],
)
def test_a_zip_whose_ends_or_directory_are_changed_is_told_without_a_traceback(
    change: Callable[[bytes], bytes], expected: str, tmp_path: Path
) -> None:
    path = write_zip(tmp_path / "quiz.zip", members())
    path.write_bytes(change(path.read_bytes()))

    assert expected in codes(verify(path))


@pytest.mark.parametrize(
    "name", ["../K.xml", "/K.xml", "a//b.xml", "./a.xml", "a\\b.xml", "C:a.xml", "a\nb.xml", "x" * 300]
)
def test_an_unsafe_name_is_refused(tmp_path: Path, name: str) -> None:
    """Names that climb, that are absolute, or that systems read in different ways."""
    assert "unsafe-name" in codes_of(tmp_path, {**members(), name: "x"})


def test_names_that_differ_in_case_only_are_refused(tmp_path: Path) -> None:
    """They are one file on some systems."""
    assert "duplicate-member" in codes_of(tmp_path, {**members(), "items/k7q2m.xml": "x"})


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_members_of_one_name_are_refused_and_neither_is_read(tmp_path: Path) -> None:
    """Which one a platform takes, nobody knows."""
    path = write_zip(tmp_path / "quiz.zip", members())
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(CHOICE, "<other/>")
    report = verify(path)

    assert {"duplicate-member", "missing-file"} == codes(report)
    assert len(ITEMS) - 1 == report.items


def test_a_link_in_a_zip_is_refused(tmp_path: Path) -> None:
    """It could point anywhere."""
    path = write_zip(tmp_path / "quiz.zip", members())
    link = zipfile.ZipInfo("items/link.xml")
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(link, "../elsewhere.xml")

    assert "link" in codes(verify(path))


def test_a_link_in_a_folder_is_refused(tmp_path: Path) -> None:
    """It is not followed."""
    (tmp_path / "quiz").mkdir()
    (tmp_path / "quiz" / MANIFEST).write_text(samples.manifest([]), encoding="utf-8")
    os.symlink(tmp_path, tmp_path / "quiz" / "items")

    assert "link" in codes(verify(tmp_path / "quiz"))


def test_a_member_that_bursts_is_refused(tmp_path: Path) -> None:
    """Three million blanks in three thousand bytes."""
    assert "zip-bomb" in codes_of(tmp_path, {**members(), "items/blank.xml": " " * 3_000_000})


def test_a_large_member_is_refused(tmp_path: Path) -> None:
    """Stored, so that nothing bursts; one byte too many."""
    path = write_zip(tmp_path / "quiz.zip", members())
    with zipfile.ZipFile(path, "a", zipfile.ZIP_STORED) as archive:
        archive.writestr("items/large.xml", b"x" * (member_names.MEMBER_BYTES + 1))

    assert "too-large" in codes(verify(path))


def test_too_many_members_are_refused_before_any_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The end record alone says how many there are."""
    monkeypatch.setattr("itembank.audit.package.MEMBERS", 5)
    report = verify(write_zip(tmp_path / "quiz.zip", members()))

    assert {"too-many-members"} == codes(report)
    assert 0 == report.items


def test_members_that_share_bytes_are_refused(tmp_path: Path) -> None:
    """A directory that names the same bytes twice."""
    path = write_zip(tmp_path / "quiz.zip", members())
    data = bytearray(path.read_bytes())
    first = data.index(b"PK\x01\x02")
    second = data.index(b"PK\x01\x02", first + 4)
    data[second + 42 : second + 46] = struct.pack("<I", 1)
    path.write_bytes(bytes(data))

    assert "zip-bomb" in codes(verify(path))


def test_a_damaged_member_is_found(tmp_path: Path) -> None:
    """One bit of an item's bytes turned over: its check sum is wrong."""
    path = tmp_path / "quiz.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for name, text in members().items():
            archive.writestr(name, text)
    data = path.read_bytes()
    path.write_bytes(data.replace(b"By completing the square", b"by completing the square", 1))

    assert "damaged-member" in codes(verify(path))


@pytest.mark.parametrize("data", [b"", b"PK", b"hello" * 100, b"PK\x05\x06" + b"\xff" * 18])
def test_what_is_no_zip_is_said_to_be_none(tmp_path: Path, data: bytes) -> None:
    """Without a traceback."""
    (tmp_path / "quiz.zip").write_bytes(data)

    assert codes(verify(tmp_path / "quiz.zip")) <= {"not-a-package", "too-many-members"}
    assert not verify(tmp_path / "quiz.zip").ok
