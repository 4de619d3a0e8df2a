"""Writing the record: whole or nothing wherever a process ends, and several processes at once."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from functools import partial
from itertools import count
from pathlib import Path

import pytest

from itembank.library import BuildRequest, build, record, unrecord, used
from tests.cli.harness import DEMO

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="processes are forked here")

CHANGES = {"os.mkdir", "os.rename", "os.remove", "os.rmdir", "open", "fcntl.flock"}


@pytest.fixture
def bank(tmp_path: Path) -> Path:
    """A bank with two builds beside it."""
    folder = shutil.copytree(DEMO, tmp_path / "bank")
    for seed in (1, 2):
        build(BuildRequest(folder, tmp_path / f"quiz-{seed}", count=3, seed=seed, formats=("json",)))
    record(tmp_path / "quiz-1", into=folder, group="A", on="2026-01-01")
    return folder


def in_a_child(work: Callable[[], object], at: int = 0) -> int:
    """Runs in a process of its own, which ends without another step before its change of the disk number `at`."""
    child = os.fork()
    if child == 0:
        left = at

        def stop(event: str, arguments: object) -> None:
            nonlocal left
            if event in CHANGES:
                left -= 1
                if left == 0:
                    os._exit(9)

        try:
            if at:
                sys.addaudithook(stop)
            work()
            os._exit(0)
        except BaseException:
            os._exit(1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def files(bank: Path) -> dict[str, bytes]:
    below = bank / "record"
    return {str(path.relative_to(below)): path.read_bytes() for path in below.rglob("*") if path.is_file()}


def test_a_process_that_ends_anywhere_leaves_the_record_with_the_sitting_or_without(bank: Path) -> None:
    quiz = bank.parent / "quiz-2"
    before, names = files(bank), [each.name for each in used(bank).sittings]
    kept = record(quiz, into=bank, group="B", on="2026-02-02").sitting.name
    after = files(bank)
    unrecord(bank, kept)
    assert before == files(bank)

    statuses = set()
    for at in count(1):
        ended = in_a_child(lambda: record(quiz, into=bank, group="B", on="2026-02-02"), at)
        statuses.add(ended)
        assert [each.name for each in used(bank).sittings] in (names, [*names, kept])
        assert record(quiz, into=bank, group="B", on="2026-02-02").sitting.name == kept
        assert after == files(bank)
        unrecord(bank, kept)
        assert before == files(bank)
        if ended == 0:
            break
    assert statuses == {0, 9}


def test_a_process_that_ends_while_it_takes_back_can_be_followed_by_another(bank: Path) -> None:
    quiz = bank.parent / "quiz-2"
    before = files(bank)
    for at in count(1):
        name = record(quiz, into=bank, group="B", on="2026-02-02").sitting.name
        ended = in_a_child(partial(unrecord, bank, name), at)
        record(quiz, into=bank, group="B", on="2026-02-02")
        unrecord(bank, name)
        assert before == files(bank)
        if ended == 0:
            break
    assert at > 3


def test_several_processes_record_at_once_and_nothing_is_lost(bank: Path) -> None:
    children = []
    for number in range(6):
        child = os.fork()
        if child == 0:
            try:
                record(bank.parent / "quiz-2", into=bank, group=f"Group {number}", on="2026-02-02")
                os._exit(0)
            except BaseException:
                os._exit(1)
        children.append(child)

    assert [0] * 6 == [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
    assert 7 == len(used(bank).sittings)
    assert {6, 1} == {len(each.sittings) for each in used(bank).uses()}
