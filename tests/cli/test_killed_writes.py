"""Real processes that write output folders and are killed: wherever that was, the target is whole afterwards.

A child either runs freely and reports each file it has written (it is killed after so many reports,
somewhere), or it stops just before its n-th change of the disk and is killed there, for every n.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest

from itembank.errors import InputError
from itembank.output_folder import MARKER, restore, whole_folder

WRITE = """
import os, signal, sys
from pathlib import Path
from itembank.output_folder import restore, whole_folder

def say(*words):
    os.write(1, (" ".join(map(str, words)) + "\\n").encode())

def write(target, generation, count):
    with whole_folder(target, "the build") as new:
        for number in range(count):
            file = new / f"strand-{number % 3}" / f"item-{number}.txt"
            file.parent.mkdir(exist_ok=True)
            file.write_text(f"{generation}")
            say("file", number)
    say("done", generation)
"""

RUN_FREELY = (
    WRITE
    + """
target, generation, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
while True:
    write(target, generation, count)
    generation += 1
"""
)

STOP_AT = (
    WRITE
    + """
CHANGES = {"os.mkdir", "os.rename", "os.remove", "os.rmdir", "open", "fcntl.flock"}
changes = 0

def stop(event, arguments):
    global changes
    if event in CHANGES:
        changes += 1
        if changes == at:
            say("stopped", event)
            os.read(0, 1)

target, task, at = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
# whoever started the tests in the background may have had this signal ignored, and that is inherited
signal.signal(signal.SIGINT, signal.default_int_handler)
sys.addaudithook(stop)
if task == "restore":
    restore(target)
else:
    write(target, int(task), 4)
say("ended", changes)
"""
)


@contextmanager
def child(script: str, *arguments: object) -> Iterator[subprocess.Popen[bytes]]:
    """A Python process that ends with the `with` at the latest."""
    command = [sys.executable, "-c", script, *map(str, arguments)]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=pipe) as process:
        try:
            yield process
        finally:
            process.kill()


def line(process: subprocess.Popen[bytes]) -> list[str]:
    assert process.stdout
    return process.stdout.readline().decode().split()


def kill(process: subprocess.Popen[bytes]) -> list[str]:
    """Kill a process, and give what it had still said."""
    process.send_signal(signal.SIGKILL)
    rest, trace = process.communicate()
    assert process.returncode == -signal.SIGKILL
    assert trace == b""
    return rest.decode().splitlines()


def generation(target: Path, items: int) -> int | None:
    """The one generation all files of a target are of, None if it is absent; anything else fails."""
    if not target.exists():
        return None
    found = {str(path.relative_to(target)): path for path in target.rglob("*") if path.is_file()}
    expected = {f"strand-{number % 3}/item-{number}.txt" for number in range(items)}
    assert expected | {MARKER} == found.keys()
    (written,) = {found[name].read_text() for name in expected}
    return int(written)


def write(target: Path, number: int, items: int) -> None:
    with whole_folder(target, "the build") as new:
        for strand in range(3):
            (new / f"strand-{strand}").mkdir()
        for item in range(items):
            (new / f"strand-{item % 3}" / f"item-{item}.txt").write_text(str(number))


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def old_of(target: Path) -> Path:
    return target.parent / f".{target.name}.itembank-old"


@pytest.mark.parametrize("seed", range(12))
def test_a_run_killed_anywhere_leaves_the_old_folder_or_the_new(tmp_path: Path, seed: int) -> None:
    source, target, items = random.Random(seed), tmp_path / "quiz", 200
    write(target, 0, items)
    done = 0
    for _ in range(2):
        with child(RUN_FREELY, target, done + 1, items) as process:
            said = [line(process) for _ in range(source.randrange(1, 2 * items))]
            said += [words.split() for words in kill(process)]
        done = max([done, *(int(words[1]) for words in said if words[0] == "done")])

        found = generation(target, items)
        if found is None:
            assert done == generation(old_of(target), items)
        else:
            assert found in (done, done + 1)
        if source.random() < 0.5:
            restore(target)
            assert generation(target, items) in (done, done + 1)
            assert names(tmp_path) == ["quiz"]
        done = found or done

    restore(target)
    assert generation(target, items) in (done, done + 1)
    assert names(tmp_path) == ["quiz"]


def stopped_before_each_change(
    folder: Path, task: str, prepare: Callable[[Path], None]
) -> Iterator[tuple[Path, subprocess.Popen[bytes]]]:
    """A prepared target, and a child stopped before its n-th change of the disk; for each n in turn."""
    for at in count(1):
        target = folder / str(at) / "quiz"
        target.parent.mkdir()
        prepare(target)
        with child(STOP_AT, target, task, at) as process:
            said = line(process)
            while said[0] not in ("stopped", "ended"):
                said = line(process)
            if said[0] == "ended":
                process.communicate()
                assert process.returncode == 0
                return
            yield target, process


def with_an_old_folder(target: Path) -> None:
    write(target, 1, 4)


def with_an_empty_folder(target: Path) -> None:
    target.mkdir()


def with_nothing(target: Path) -> None:
    assert not target.exists()


def test_killed_before_any_change_of_the_disk_a_run_leaves_the_old_folder_or_the_new(tmp_path: Path) -> None:
    seen = Counter[tuple[int | None, int | None]]()
    for target, process in stopped_before_each_change(tmp_path, "2", with_an_old_folder):
        kill(process)
        left = generation(target, 4)
        restore(target)
        seen[left, generation(target, 4)] += 1
        assert names(target.parent) == ["quiz"]

    # Old all along; absent between the renames, then old again; new while the old one is cleared away.
    expected = {(1, 1), (None, 1), (2, 2)}
    assert expected == seen.keys()
    assert seen[None, 1] == 1
    assert min(seen[1, 1], seen[2, 2]) >= 9


@pytest.mark.parametrize("prepare", [with_nothing, with_an_empty_folder])
def test_killed_before_any_change_of_the_disk_a_first_run_leaves_nothing_or_the_new(
    tmp_path: Path, prepare: Callable[[Path], None]
) -> None:
    seen = Counter[str]()
    for target, process in stopped_before_each_change(tmp_path, "2", prepare):
        kill(process)
        restore(target)
        is_new = target.exists() and names(target) != []
        seen["new" if is_new else "as before"] += 1
        assert not is_new or generation(target, 4) == 2
        assert names(target.parent) == (["quiz"] if is_new or prepare is with_an_empty_folder else [])

    assert seen["as before"] >= 9
    assert seen["new"] >= 1


def test_interrupted_before_any_change_of_the_disk_a_run_leaves_a_whole_folder(
    tmp_path: Path,
) -> None:
    seen = Counter[int | None]()
    for target, process in stopped_before_each_change(tmp_path, "2", with_an_old_folder):
        process.send_signal(signal.SIGINT)
        _, trace = process.communicate()
        assert process.returncode == -signal.SIGINT
        assert b"KeyboardInterrupt" in trace
        seen[generation(target, 4)] += 1
        restore(target)
        assert names(target.parent) == ["quiz"]

    expected = {1, 2}
    assert expected == seen.keys()


def left_between_the_renames(target: Path) -> None:
    write(target, 1, 4)
    target.rename(old_of(target))


def left_after_the_renames(target: Path) -> None:
    write(target, 0, 4)
    target.rename(old_of(target))
    write(target.with_name("other"), 1, 4)
    target.with_name("other").rename(target)


@pytest.mark.parametrize("prepare", [left_between_the_renames, left_after_the_renames])
def test_killed_while_it_restores_a_run_leaves_what_can_be_restored(
    tmp_path: Path, prepare: Callable[[Path], None]
) -> None:
    stops = 0
    for target, process in stopped_before_each_change(tmp_path, "restore", prepare):
        kill(process)
        restore(target)
        stops += 1
        assert generation(target, 4) == 1
        assert names(target.parent) == ["quiz"]

    assert stops >= 4


def test_while_a_run_lives_another_process_can_neither_write_nor_clear_away(tmp_path: Path) -> None:
    refused = 0
    for target, process in stopped_before_each_change(tmp_path, "2", with_an_old_folder):
        beside = names(target.parent)
        if f".quiz.itembank-new-{process.pid}" in beside:
            with pytest.raises(InputError, match="another run is writing it"):
                write(target, 3, 4)
            refused += 1
            # Between the renames it would wait for the child, and that waits for us.
            if generation(target, 4) is not None:
                restore(target)
            assert beside == names(target.parent)
        process.communicate(b"\n")
        assert process.returncode == 0
        assert generation(target, 4) == 2
        assert names(target.parent) == ["quiz"]

    assert refused >= 9


def test_a_restore_at_any_moment_of_a_living_run_does_it_no_harm(tmp_path: Path) -> None:
    for target, process in stopped_before_each_change(tmp_path, "2", with_an_old_folder):
        if generation(target, 4) is not None:
            restore(target)
        process.communicate(b"\n")
        assert process.returncode == 0
        assert generation(target, 4) == 2
        assert names(target.parent) == ["quiz"]


BETWEEN = (
    WRITE
    + """
rename = Path.rename

def rename_and_wait(source, destination):
    rename(source, destination)
    Path.rename = rename
    say("between")
    os.read(0, 1)

Path.rename = rename_and_wait
write(Path(sys.argv[1]), 2, 4)
"""
)


def test_restore_waits_for_a_living_run_that_is_between_its_renames(tmp_path: Path) -> None:
    target = tmp_path / "quiz"
    write(target, 1, 4)
    with child(BETWEEN, target) as process:
        while line(process) != ["between"]:
            pass
        absent = generation(target, 4)
        assert process.stdin
        process.stdin.write(b"\n")
        process.stdin.flush()
        restore(target)

        assert absent is None
        assert generation(target, 4) == 2
        process.communicate()
    assert names(tmp_path) == ["quiz"]


FORK = (
    WRITE
    + """
with whole_folder(Path(sys.argv[1]), "the build"):
    if not os.fork():
        say("forked")
        os.read(0, 1)
        os._exit(0)
    signal.pause()
"""
).replace("import os,", "import os, signal,")


def test_a_worker_that_outlives_its_killed_run_keeps_nobody_from_writing(tmp_path: Path) -> None:
    target = tmp_path / "quiz"
    with child(FORK, target) as process:
        assert line(process) == ["forked"]
        process.send_signal(signal.SIGKILL)
        process.wait()
        write(target, 3, 4)
        # The worker still lives: it holds the other end of both pipes, and ends when it may read.
        process.communicate(b"\n")

    assert generation(target, 4) == 3
    assert names(tmp_path) == ["quiz"]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 256 KiB of its own."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if os.geteuid() or not shutil.which("mount"):
        pytest.skip("only root can mount a small disk")
    mount = ["mount", "-t", "tmpfs", "-o", "size=256k,mode=755", "itembank-test", str(disk)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no disk can be mounted here")
    try:
        yield disk
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def fill(target: Path) -> None:
    with whole_folder(target, "the build") as new:
        for number in range(300):
            (new / f"item-{number}.txt").write_bytes(bytes(4096))


@pytest.mark.parametrize("parents", ["", "a/b"])
def test_a_full_disk_leaves_the_old_folder_and_nothing_else(small_disk: Path, parents: str) -> None:
    target = small_disk / parents / "quiz"
    if not parents:
        write(target, 1, 4)
    with pytest.raises(InputError, match="no space is left on the disk") as caught:
        fill(target)

    assert [each.code for each in caught.value.diagnostics] == ["disk-full"]
    assert generation(target, 4) == (None if parents else 1)
    assert names(small_disk) == ([] if parents else ["quiz"])


def test_after_a_full_disk_a_smaller_run_fits(small_disk: Path) -> None:
    target = small_disk / "quiz"
    with pytest.raises(InputError):
        fill(target)
    write(target, 2, 4)

    assert generation(target, 4) == 2


def test_a_mounted_disk_itself_is_refused_before_anything_is_written(small_disk: Path) -> None:
    with pytest.raises(InputError, match="disk of its own"):
        fill(small_disk)

    assert names(small_disk) == []


def test_on_a_disk_that_takes_no_change_a_whole_folder_can_be_read_and_a_run_says_so(
    small_disk: Path,
) -> None:
    left_after_the_renames(small_disk / "whole")
    left_between_the_renames(small_disk / "absent")
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)

    restore(small_disk / "whole")
    assert generation(small_disk / "whole", 4) == 1
    with pytest.raises(InputError, match="read-only"):
        restore(small_disk / "absent")
    for name in ("whole", "absent", "another"):
        with pytest.raises(InputError, match="read-only"):
            write(small_disk / name, 2, 4)
