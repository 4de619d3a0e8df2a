"""The list of digests: what it holds, what changed between two, and that no changed byte passes `verify --digests`."""

from __future__ import annotations

import hashlib
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from itembank.audit.digests import read_digests
from itembank.audit.verify import verify_all
from itembank.build.digests import Changes, DigestList, changes, item_digests
from itembank.errors import InputError
from tests.audit_samples import members, write_zip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A build's folder with two packages, one noted while it was written, and its list kept outside."""
    root = tmp_path / "out"
    for name in ("platform", "staff"):
        (root / name).mkdir(parents=True)
    (root / "report.md").write_text("two packages", "utf-8")
    (root / "staff" / "answer-map.csv").write_text("item,part\n", "utf-8")
    for name in ("algebra-qti3.zip", "spare.zip"):
        write_zip(root / "platform" / name, members())
    with DigestList() as digests:
        for name, text in members().items():
            digests.note("platform/algebra.zip", name, hashlib.sha256(text.encode()).hexdigest())
        digests.rename("platform/algebra.zip", "platform/algebra-qti3.zip")
        digests.write(root)
    shutil.copy(root / "staff" / "digests.txt", tmp_path / "kept.txt")
    return root


def found(folder: Path, *below: str) -> set[tuple[str, str]]:
    """Code and member of everything that differs from the list."""
    listed = read_digests(folder.parent / "kept.txt")
    reports = verify_all([folder.joinpath(*below)], digests=listed)
    return {(each.code, each.member) for report in reports for each in report.findings}


def test_the_list_names_every_file_and_every_member(folder: Path) -> None:
    listed = read_digests(folder.parent / "kept.txt")
    names = set(members())

    assert {
        "platform/algebra-qti3.zip", "platform/spare.zip", "report.md", "staff/answer-map.csv",
    } == set(listed.files)  # fmt: skip
    assert (
        names == set(listed.members["platform/algebra-qti3.zip"]) == set(listed.members["platform/spare.zip"])
    )
    assert listed.members["platform/algebra-qti3.zip"] == listed.members["platform/spare.zip"]
    # expected value: coreutils' sha256sum of the same text
    assert "00ee4febde640504428793d5a2194ff298ff314ccc96a45968b9e3b2769769bf" == listed.files["report.md"]


def test_an_unchanged_folder_package_member_and_unpacked_package_pass(folder: Path, tmp_path: Path) -> None:
    package = folder / "platform" / "algebra-qti3.zip"
    with zipfile.ZipFile(package) as archive:
        archive.extractall(tmp_path / "unpacked")
    (folder / "staff" / "changes.md").write_text("not in the list, and no fault", "utf-8")
    unpacked = tmp_path / "unpacked"

    assert set() == found(folder)
    assert set() == found(folder, "platform", "algebra-qti3.zip")
    listed = read_digests(tmp_path / "kept.txt")
    assert [True, True] == [
        report.ok for report in verify_all([unpacked, unpacked / "items" / "K7Q2M.xml"], digests=listed)
    ]


def _new(path: Path) -> None:
    path.write_text("new", "utf-8")


def _append(path: Path, data: bytes) -> None:
    path.write_bytes(path.read_bytes() + data)


def _commented(path: Path) -> None:
    with zipfile.ZipFile(path, "a") as archive:
        archive.comment = b"hello"


def _with_another_member(path: Path) -> None:
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("items/NEW.xml", "<a/>")


def _with_a_changed_feedback(path: Path) -> None:
    whole = members()
    whole["items/K7Q2M.xml"] = whole["items/K7Q2M.xml"].replace("Look again.", "Look once more.")
    write_zip(path, whole)


def _with_members_the_other_way_round(path: Path) -> None:
    write_zip(path, dict(reversed(members().items())))


CHANGED: list[tuple[str, Callable[[Path], None], set[tuple[str, str]]]] = [
    ("report.md", lambda path: _append(path, b" "), {("digest-differs", "report.md")}),
    ("report.md", Path.unlink, {("missing-file", "report.md")}),
    ("staff/notes.txt", _new, {("not-in-list", "staff/notes.txt")}),
    ("platform/algebra-qti3.zip", _commented, {("digest-differs", "platform/algebra-qti3.zip")}),
    ("platform/algebra-qti3.zip", _with_another_member, {("not-in-list", "items/NEW.xml")}),
    ("platform/algebra-qti3.zip", _with_a_changed_feedback, {("digest-differs", "items/K7Q2M.xml")}),
    ("platform/algebra-qti3.zip", _with_members_the_other_way_round, {("digest-differs", "platform/algebra-qti3.zip")}),
    ("platform/spare.zip", lambda path: path.write_bytes(b"PK"), {("digest-differs", "platform/spare.zip")}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "change", "expected"), CHANGED)
def test_a_changed_byte_is_found(
    folder: Path, name: str, change: Callable[[Path], None], expected: set[tuple[str, str]]
) -> None:
    change(folder / name)

    assert expected <= found(folder)


def test_every_byte_of_a_package_counts(folder: Path) -> None:
    """One bit turned at many places, names, times and directory included."""
    path = folder / "platform" / "algebra-qti3.zip"
    whole = path.read_bytes()
    missed = []
    for at in range(0, len(whole), max(1, len(whole) // 150)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        if ("digest-differs", "platform/algebra-qti3.zip") not in found(folder):
            missed.append(at)

    assert [] == missed


def test_a_changed_member_of_an_unpacked_package_and_a_changed_item_file_are_found(
    folder: Path, tmp_path: Path
) -> None:
    with zipfile.ZipFile(folder / "platform" / "algebra-qti3.zip") as archive:
        archive.extractall(tmp_path / "unpacked")
    item = tmp_path / "unpacked" / "items" / "K7Q2M.xml"
    item.write_text(item.read_text("utf-8").replace("Look again.", "Look up."), "utf-8")
    listed = read_digests(tmp_path / "kept.txt")

    (report,) = verify_all([tmp_path / "unpacked"], digests=listed)
    assert [("digest-differs", "items/K7Q2M.xml")] == [(f.code, f.member) for f in report.findings]
    (report,) = verify_all([item], digests=listed)
    assert ["digest-differs"] == [each.code for each in report.findings]


@pytest.mark.parametrize(
    "text", ["", "itembank digests, MD5\n", "itembank digests, SHA-256\nabc  x\n", "\x80"]
)
def test_a_list_that_is_none_is_refused_at_its_line(text: str, tmp_path: Path) -> None:
    (tmp_path / "kept.txt").write_bytes(text.encode("latin-1"))

    with pytest.raises(InputError) as caught:
        read_digests(tmp_path / "kept.txt")
    assert "broken-digests" == caught.value.diagnostics[0].code


def test_two_lists_tell_what_is_new_changed_and_removed(folder: Path) -> None:
    now = item_digests(folder / "staff" / "digests.txt")
    (package,) = {name for name in now if "algebra" in name}
    before = {package: {**now[package], "K7Q2M": "0" * 64, "OLD77": "1" * 64}}
    del before[package]["T4W9C"]

    told = changes(before, now)

    assert Changes(("T4W9C",), ("K7Q2M",), ("OLD77",), 6) == told
    assert told is not None
    assert "since the last build: 1 new, 1 changed, 1 removed, 6 as before" == told.summary()
    assert "- OLD77" in told.as_markdown()
    assert changes({"platform/other": {"A": ""}}, now) is None
    assert {} == item_digests(folder / "nothing.txt") == item_digests(folder / "report.md")


def test_parts_of_a_package_are_one_for_what_changed(tmp_path: Path) -> None:
    lines = ["itembank digests, SHA-256"]
    for part in (1, 2):
        lines += [f"{'0' * 64}  platform/a-qti3-{part}.zip", f"    {'1' * 64}  items/K{part}.xml"]
    (tmp_path / "list.txt").write_text("\n".join(lines), "utf-8")

    assert {"platform/a-qti3": {"K1": "1" * 64, "K2": "1" * 64}} == item_digests(tmp_path / "list.txt")
