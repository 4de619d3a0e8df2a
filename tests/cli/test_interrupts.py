"""SIGTERM and SIGHUP end a run as the keyboard does: the exit status tells which, and nothing half-written stays."""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.cli.harness import DEMO, ROOT, Program

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there a request to end is no signal")

STOP_IN_THE_NEW_FOLDER = """
import os, signal, sys

def stop(event, arguments):
    global stopped
    if event == "open" and ".itembank-new-" in str(arguments[0]) and not stopped:
        stopped = True
        os.write(1, b"writing\\n")
        os.read(0, 1)

stopped = False
for name, way in zip(sys.argv[1:3], (signal.SIG_DFL, signal.SIG_IGN)):
    signal.signal(getattr(signal, name), way)
sys.argv[1:3] = []
sys.addaudithook(stop)
from itembank.cli.main import run
run()
"""


@contextmanager
def writing(tmp_path: Path, taken: str, ignored: str) -> Iterator[subprocess.Popen[bytes]]:
    """A build that has begun to write, with two workers."""
    shutil.copytree(DEMO, tmp_path / "bank", ignore=shutil.ignore_patterns("bank.lock"))
    build = ["build", "bank", "--out", "out", "--count", "48", "--workers", "2"]
    pipe = subprocess.PIPE
    with subprocess.Popen(
        [sys.executable, "-c", STOP_IN_THE_NEW_FOLDER, taken, ignored, *build],
        cwd=tmp_path,
        env=Program(tmp_path).variables({"PYTHONPATH": str(ROOT), "ITEMBANK_CACHE": str(tmp_path / "cache")}),
        stdin=pipe,
        stdout=pipe,
        stderr=pipe,
    ) as process:
        try:
            assert process.stdout
            assert process.stdout.readline() == b"writing\n"
            yield process
        finally:
            process.kill()


def beside(tmp_path: Path) -> set[str]:
    return {path.name for path in tmp_path.iterdir()} - {"bank", "cache"}


@pytest.mark.parametrize(("name", "other"), [("SIGTERM", "SIGHUP"), ("SIGHUP", "SIGTERM")])
def test_a_request_to_end_leaves_nothing_half_written(tmp_path: Path, name: str, other: str) -> None:
    with writing(tmp_path, name, other) as process:
        there = beside(tmp_path)
        process.send_signal(getattr(signal, name))
        said, told = process.communicate(timeout=120)

    assert len(there) == 2  # the new folder and the lock
    assert process.returncode == 128 + getattr(signal, name)
    assert (b"", b"") == (said, told.strip())
    assert set() == beside(tmp_path)


def test_what_is_ignored_stays_ignored(tmp_path: Path) -> None:
    with writing(tmp_path, "SIGTERM", "SIGHUP") as process:
        process.send_signal(signal.SIGHUP)  # as where the terminal of `nohup` is closed
        said, told = process.communicate(b"\n")

    assert (0, b"") == (process.returncode, told)
    assert b"items" in said
    assert {"out"} == beside(tmp_path)


INTERRUPTED_ON_THE_WAY = """
import os, signal, sys

signal.signal(signal.SIGINT, signal.default_int_handler)
wanted = sys.argv.pop(1)
sys.addaudithook(lambda event, given: event == "import" and given[0] == wanted and os.kill(os.getpid(), signal.SIGINT))
from itembank.__main__ import run
run()
"""


@pytest.mark.parametrize("module", ["itembank.cli.main", "click", "itembank.build.build"])
def test_the_keyboard_may_interrupt_before_anything_is_loaded(tmp_path: Path, module: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED_ON_THE_WAY, module, "build", str(DEMO), "--out", "out"],
        cwd=tmp_path,
        env=Program(tmp_path).variables(),
        capture_output=True,
        check=False,
    )

    assert (130, b"", b"") == (done.returncode, done.stdout, done.stderr.strip())
