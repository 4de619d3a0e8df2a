"""`itembank build` as a real process: whole folders, equal bytes, kills, a full disk, and a package that verifies."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli import processes
from tests.cli.harness import ROOT, Program


@pytest.fixture
def bank(tmp_path: Path) -> Path:
    """A copy of the demo bank, so that a lock file never touches the checkout."""
    folder = tmp_path / "bank"
    shutil.copytree(ROOT / "banks" / "quadratics", folder, ignore=shutil.ignore_patterns("bank.lock"))
    return folder


def run(*arguments: object, cwd: Path, hash_seed: str = "") -> subprocess.CompletedProcess[str]:
    """The program with these arguments, in its own cache."""
    done = processes.run([str(each) for each in arguments], cwd, _environment(cwd, hash_seed))
    return subprocess.CompletedProcess(
        done.args, done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8")
    )


def _environment(cwd: Path, hash_seed: str = "") -> dict[str, str]:
    given = Program(cwd).variables({"ITEMBANK_CACHE": str(cwd / "cache")})
    return {**given, "PYTHONHASHSEED": hash_seed} if hash_seed else given


def digests(folder: Path) -> dict[str, str]:
    """The digest of every file below a folder."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_a_build_leaves_package_papers_staff_files_and_report(bank: Path, tmp_path: Path) -> None:
    done = run("build", "bank", "--out", "out", cwd=tmp_path)

    assert (0, "") == (done.returncode, done.stderr)
    assert {
        ".itembank-output",
        "report.md",
        "report.json",
        "platform/quadratics-qti3.zip",
        "pupils/quadratics-question-paper.tex",
        "pupils/quadratics-question-paper.html",
        "staff/quadratics-answer-key.tex",
        "staff/quadratics-answer-key.html",
        "staff/quadratics-mark-scheme.tex",
        "staff/quadratics-mark-scheme.html",
        "staff/quadratics-mark-sheet.tex",
        "staff/quadratics-mark-sheet.html",
        "pupils/quadratics-worksheet.tex",
        "pupils/quadratics-worksheet.html",
        "staff/quadratics-worked-solutions.tex",
        "staff/quadratics-worked-solutions.html",
        "staff/items.json",
        "staff/answer-map.csv",
        "staff/mark-sheet.csv",
        "staff/digests.txt",
    } == set(digests(tmp_path / "out"))
    report = json.loads((tmp_path / "out" / "report.json").read_text("utf-8"))
    items = json.loads((tmp_path / "out" / "staff" / "items.json").read_text("utf-8"))["items"]
    assert 60 == report["items"] == len(items)
    assert report["marks"] == sum(item["marks"] for item in items)
    assert all(item["proof"] for item in items)


def test_equal_inputs_give_equal_files_whatever_the_workers_and_the_hash_seed(
    bank: Path, tmp_path: Path
) -> None:
    wanted = ("--count", 900, "--formats", "qti3,json")
    run("build", "bank", "--out", "first", *wanted, cwd=tmp_path, hash_seed="1")
    run("build", "bank", "--out", "second", *wanted, "--workers", 2, cwd=tmp_path, hash_seed="7")

    assert digests(tmp_path / "first") == digests(tmp_path / "second")
    package = zipfile.ZipFile(tmp_path / "first" / "platform" / "quadratics-qti3.zip")
    assert 900 == sum(name.endswith(".xml") and name.startswith("items/") for name in package.namelist())


def test_every_dialect_is_written_with_the_same_items_manifest_first_and_verifies(
    bank: Path, tmp_path: Path
) -> None:
    run("build", "bank", "--out", "out", "--formats", "qti21,qti3,qti22", "--workers", 2, cwd=tmp_path)
    packages = sorted((tmp_path / "out" / "platform").iterdir())
    names = [zipfile.ZipFile(path).namelist() for path in packages]

    assert ["quadratics-qti21.zip", "quadratics-qti22.zip", "quadratics-qti3.zip"] == [
        p.name for p in packages
    ]
    assert "imsmanifest.xml" == names[0][0]
    assert names[0] == names[1] == names[2]
    assert 60 == sum(name.endswith(".xml") and name.startswith("items/") for name in names[0])
    verified = run("verify", *packages, cwd=tmp_path)
    assert (0, 3) == (verified.returncode, verified.stdout.count("60 items, none at fault"))
    assert "QTI 2.1: what a screen reader says" in (tmp_path / "out" / "report.md").read_text("utf-8")


def test_a_build_tells_what_changed_and_its_list_of_digests_finds_a_changed_byte(
    bank: Path, tmp_path: Path
) -> None:
    command = ("build", "bank", "--out", "out", "--formats", "qti22,json", "--count")
    first = run(*command, 24, cwd=tmp_path)
    second = run(*command, 36, cwd=tmp_path)
    changed = digests(tmp_path / "out")
    third = run(*command, 36, cwd=tmp_path)

    assert "since the last build" not in first.stdout
    assert "since the last build: 12 new, 0 changed, 0 removed, 24 as before" in second.stdout
    assert "12 new" in (tmp_path / "out" / "staff" / "changes.md").read_text("utf-8")
    assert "0 new, 0 changed, 0 removed, 36 as before" in third.stdout
    assert changed == digests(tmp_path / "out")
    shutil.copy(tmp_path / "out" / "staff" / "digests.txt", tmp_path / "kept.txt")
    assert 0 == run("verify", "out", "--digests", "kept.txt", cwd=tmp_path).returncode
    sheet = tmp_path / "out" / "staff" / "mark-sheet.csv"
    sheet.write_text(sheet.read_text("utf-8").replace("maximum", "maximun"), "utf-8")
    found = run("verify", "out", "--digests", "kept.txt", cwd=tmp_path)
    assert 1 == found.returncode
    assert "staff/mark-sheet.csv: digest-differs" in found.stdout
    assert 1 == run("verify", "out", "--digests", "none.txt", cwd=tmp_path).returncode


def test_a_bank_too_large_for_one_package_goes_into_several_with_a_quiz_each(
    bank: Path, tmp_path: Path
) -> None:
    text = (bank / "bank.yaml").read_text("utf-8").partition("settings:")[0]
    more = "settings: {package: {entries: 27}}\nquiz: {sections: one, select: 30, attempts: 0}\n"
    (bank / "bank.yaml").write_text(text + more, "utf-8")
    made = run("build", "bank", "--out", "out", "--formats", "qti21,qti3", cwd=tmp_path)
    packages = sorted((tmp_path / "out" / "platform").iterdir())
    names = {path.name: set(zipfile.ZipFile(path).namelist()) for path in packages}

    assert (0, "") == (made.returncode, made.stderr)
    parts = len(names) // 2
    assert [
        f"quadratics-{name}-{part + 1}.zip" for name in ("qti21", "qti3") for part in range(parts)
    ] == list(names)
    sizes = [len(members) for name, members in names.items() if "qti3" in name]
    assert parts >= 3
    assert all(24 <= size <= 27 for size in sizes[:-1])
    assert sizes[-1] <= 27
    assert all({"imsmanifest.xml", "quiz.xml"} <= members for members in names.values())
    assert 60 == sum(
        name.endswith(".xml") and name.startswith("items/") for name in set().union(*names.values())
    )
    verified = run("verify", "out", "--digests", "out/staff/digests.txt", cwd=tmp_path)
    assert (0, 2 * parts) == (verified.returncode, verified.stdout.count("none at fault")), verified.stdout
    told = (tmp_path / "out" / "report.md").read_text("utf-8")
    assert f"QTI 3.0: the bank went into {parts} packages, each with a quiz of its own items" in told
    assert re.search("QTI 2.1: the quiz takes all [12][0-9] items of items, for there are not 30", told)


def test_a_package_stays_within_its_megabytes(bank: Path, tmp_path: Path) -> None:
    text = (bank / "bank.yaml").read_text("utf-8").partition("settings:")[0]
    (bank / "bank.yaml").write_text(
        text + "settings: {package: {megabytes: 1}}\nquiz: {sections: none}\n", "utf-8"
    )
    run("build", "bank", "--out", "out", "--formats", "qti3", "--count", 500, cwd=tmp_path)
    packages = sorted((tmp_path / "out" / "platform").iterdir())

    assert len(packages) >= 2
    assert all(path.stat().st_size <= 1_000_000 for path in packages)
    assert max(path.stat().st_size for path in packages) >= 600_000
    assert not any("quiz.xml" in zipfile.ZipFile(path).namelist() for path in packages)
    assert 0 == run("verify", "out", cwd=tmp_path).returncode


def test_another_seed_gives_other_items(bank: Path, tmp_path: Path) -> None:
    run("build", "bank", "--out", "first", "--formats", "json", cwd=tmp_path)
    run("build", "bank", "--out", "second", "--formats", "json", "--seed", 2, cwd=tmp_path)

    assert (tmp_path / "first/staff/items.json").read_bytes() != (
        tmp_path / "second/staff/items.json"
    ).read_bytes()


def test_what_was_built_verifies_and_a_changed_digit_does_not(bank: Path, tmp_path: Path) -> None:
    run("build", "bank", "--out", "out", "--count", 48, "--formats", "qti3", cwd=tmp_path)
    package = tmp_path / "out" / "platform" / "quadratics-qti3.zip"

    assert 0 == run("verify", package, cwd=tmp_path).returncode

    changed = tmp_path / "changed.zip"
    with zipfile.ZipFile(package) as old, zipfile.ZipFile(changed, "w", zipfile.ZIP_DEFLATED) as new:
        spoilt = False
        for name in old.namelist():
            data = old.read(name)
            if (
                not spoilt
                and b'<p data-role="key">' in data
                and b"<mn>" in data.split(b'<p data-role="key">')[1]
            ):
                head, tail = data.split(b'<p data-role="key">')
                data = head + b'<p data-role="key">' + tail.replace(b"<mn>", b"<mn>9", 1)
                spoilt = True
            new.writestr(name, data)
    found = run("verify", changed, cwd=tmp_path)
    assert 1 == found.returncode
    assert "1 at fault" in found.stdout


def test_more_items_than_there_are_is_refused_with_the_number_and_nothing_is_written(
    bank: Path, tmp_path: Path
) -> None:
    done = run("build", "bank", "--out", "out", "--count", 1_000_000, cwd=tmp_path)

    assert 1 == done.returncode
    assert "can make only" in done.stderr
    assert not (tmp_path / "out").exists()


def test_exactly_the_possible_number_is_built_and_one_more_is_not(bank: Path, tmp_path: Path) -> None:
    refused = run("build", "bank", "--out", "out", "--count", 1_000_000, "--formats", "json", cwd=tmp_path)
    possible = int(refused.stderr.split("can make only ")[1].split()[0])

    assert (
        0
        == run(
            "build", "bank", "--out", "out", "--count", possible, "--formats", "json", cwd=tmp_path
        ).returncode
    )
    assert (
        1
        == run(
            "build", "bank", "--out", "out", "--count", possible + 1, "--formats", "json", cwd=tmp_path
        ).returncode
    )


def test_a_folder_that_is_not_ours_is_never_replaced(bank: Path, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("years of work", "utf-8")

    done = run("build", "bank", "--out", "mine", cwd=tmp_path)

    assert 1 == done.returncode
    assert "years of work" == (tmp_path / "mine" / "thesis.txt").read_text("utf-8")


def test_a_build_never_lies_among_the_templates(bank: Path, tmp_path: Path) -> None:
    before = sorted(bank.rglob("*"))
    for out in (bank / "templates", bank / "templates" / "quiz", bank / "templates" / "a" / ".." / "quiz"):
        done = run("build", "bank", "--out", out, cwd=tmp_path)
        assert (1, True) == (done.returncode, "among-templates" in done.stdout + done.stderr)
    assert sorted(bank.rglob("*")) == before


def test_content_changed_under_an_old_version_is_refused(bank: Path, tmp_path: Path) -> None:
    run("build", "bank", "--out", "out", "--formats", "json", cwd=tmp_path)
    path = bank / "templates" / "monic-even-surd.yaml"
    path.write_text(path.read_text("utf-8").replace("to: 90}", "to: 80}"), "utf-8")

    done = run("build", "bank", "--out", "out", "--formats", "json", cwd=tmp_path)
    assert 1 == done.returncode
    assert "version-not-raised" in done.stderr
    assert 0 == run("check", "bank", cwd=tmp_path).returncode

    text = path.read_text("utf-8")
    version = int(text.partition("\nversion: ")[2].split()[0])
    path.write_text(text.replace(f"version: {version}", f"version: {version + 1}"), "utf-8")
    assert 0 == run("build", "bank", "--out", "out", "--formats", "json", cwd=tmp_path).returncode


def test_a_bank_with_a_secret_makes_it_once_and_keeps_its_codes(bank: Path, tmp_path: Path) -> None:
    with (bank / "bank.yaml").open("a", encoding="utf-8") as file:
        file.write("secret: private/codes.txt\n")
    run("build", "bank", "--out", "first", "--formats", "json", cwd=tmp_path)
    run("build", "bank", "--out", "second", "--formats", "json", cwd=tmp_path)

    assert digests(tmp_path / "first") == digests(tmp_path / "second")
    assert 0o600 == (bank / "private" / "codes.txt").stat().st_mode & 0o777
    assert json.loads((tmp_path / "first/report.json").read_text("utf-8"))["own_secret"]


def _killed_builds(tmp_path: Path, sizes: list[int]) -> Iterator[None]:
    """Builds killed as soon as what they have written beside the target exceeds each size."""
    for size in sizes:
        process = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "itembank",
                "build",
                "bank",
                "--out",
                "out",
                "--count",
                "700",
                "--formats",
                "qti3,json",
            ],
            cwd=tmp_path,
            env=_environment(tmp_path),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        while process.poll() is None and _written(tmp_path) < size:
            pass
        process.send_signal(signal.SIGKILL)
        process.wait()
        yield


def _written(folder: Path) -> int:
    """Bytes and folders written beside the target; what vanishes meanwhile counts as nothing."""
    total = 0
    for beside in folder.glob(".out.itembank-new-*"):
        for where, folders, files in os.walk(beside):
            total += len(folders) + 1
            for name in files:
                with contextlib.suppress(FileNotFoundError):
                    total += Path(where, name).stat().st_size
    return total


def test_a_killed_build_leaves_the_old_folder_and_the_next_one_tidies_up(bank: Path, tmp_path: Path) -> None:
    run("build", "bank", "--out", "out", "--formats", "qti3,json", "--count", 12, cwd=tmp_path)
    before = digests(tmp_path / "out")

    killed = 0
    for _ in _killed_builds(tmp_path, [1, 2, 20_000, 200_000, 600_000]):
        killed += 1
        if (tmp_path / "out").exists():
            found = digests(tmp_path / "out")
            assert (
                found == before
                or len(json.loads((tmp_path / "out/staff/items.json").read_text("utf-8"))["items"]) == 700
            )
            before = found
    assert 5 == killed

    assert (
        0 == run("build", "bank", "--out", "out", "--formats", "json", "--count", 12, cwd=tmp_path).returncode
    )
    assert [] == [path.name for path in tmp_path.iterdir() if "itembank-" in path.name]


def test_a_full_disk_leaves_the_old_folder(bank: Path, tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = shutil.which("mount") and subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(disk)], capture_output=True, check=False
    )
    if not mounted or mounted.returncode:
        pytest.skip("a small disk can only be mounted by root")
    try:
        assert (
            0
            == run(
                "build", "bank", "--out", "disk/out", "--formats", "qti3", "--count", 12, cwd=tmp_path
            ).returncode
        )
        before = digests(disk / "out")

        done = run(
            "build", "bank", "--out", "disk/out", "--formats", "qti3,json", "--count", 2000, cwd=tmp_path
        )

        assert 1 == done.returncode
        assert "disk-full" in done.stderr
        assert before == digests(disk / "out")
        assert ["out"] == sorted(path.name for path in disk.iterdir())
    finally:
        subprocess.run(["umount", str(disk)], check=True)


@pytest.mark.parametrize("command", ["build", "check"])
def test_what_is_wrong_is_told_alike_whatever_the_workers(command: str, tmp_path: Path) -> None:
    bank = tmp_path / "bank"
    (bank / "templates").mkdir(parents=True)
    (bank / "bank.yaml").write_text("bank: evening\ntitle: Evening\n", "utf-8")
    for number in range(6):
        lines = (
            f"template: linear-{number}", "version: 1", "title: Linear", "unknowns: [x]",
            f"parameters: {{p: {{from: {-40 if number else 1}, to: 40}}, q: {{from: 1, to: 40}}}}",
            f"problem: q*x + {number} = p*q + {number}", f"stem: Solve $q*x + {number} = p*q + {number}$.",
            "response: {kind: entry, blanks: {x: {form: integer}}}", "key: x = abs(p)",
            "solution: [{math: x = abs(p), marks: A1}]",
        )  # fmt: skip
        (bank / "templates" / f"linear-{number}.yaml").write_text("\n".join(lines) + "\n", "utf-8")
    more = ("--out", "out", "--count", 1200) if command == "build" else ()

    one, two = (run(command, bank, *more, "--workers", number, cwd=tmp_path) for number in (1, 2))

    assert (1, 1) == (one.returncode, two.returncode)
    assert "wrong-key" in one.stdout + one.stderr
    assert (one.stdout, one.stderr) == (two.stdout, two.stderr)
    assert not (tmp_path / "out").exists()
