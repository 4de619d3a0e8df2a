"""Real pools in real processes, ended in every way: no worker is left.

All of a run's processes hold its standard output, so it ends (and `communicate` returns) with the last of them.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.cli.harness import ROOT

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="signals that end a process are sent")

SECONDS = 120
"""Where a worker is left, a test fails after so long, and does not wait for ever."""

SCRIPT = """
import os, signal, sys
from itembank.worker_pool import worker_pool

def begin(*words):
    os.write(1, (" ".join(["began", *words]) + "\\n").encode())

def stand(number):
    os.write(1, b"working\\n")
    while True:
        signal.pause()

if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit("asked to end"))
    with worker_pool(2, begin, "with", "words", fresh=sys.argv[1] == "fresh") as pool:
        for job in [pool.submit(stand, number) for number in range(6)]:
            job.result()
"""


@contextmanager
def working(tmp_path: Path, kind: str) -> Iterator[subprocess.Popen[bytes]]:
    """A run of SCRIPT, in a group of its own, whose two workers are at work."""
    script = tmp_path / "script.py"
    script.write_text(SCRIPT, "utf-8")
    pipe = subprocess.PIPE
    with subprocess.Popen(
        [sys.executable, str(script), kind],
        stdout=pipe,
        stderr=pipe,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
    ) as process:
        try:
            assert process.stdout
            said = sorted(process.stdout.readline() for _ in range(4))
            assert said == [b"began with words\n"] * 2 + [b"working\n"] * 2
            yield process
        finally:
            process.kill()


@POSIX
@pytest.mark.parametrize("kind", ["fresh", "usual"])
def test_workers_end_when_their_parent_is_killed(tmp_path: Path, kind: str) -> None:
    with working(tmp_path, kind) as process:
        process.kill()
        said, told = process.communicate(timeout=SECONDS)

    assert said == b""
    assert b"Traceback" not in told


@POSIX
@pytest.mark.parametrize("kind", ["fresh", "usual"])
def test_an_interrupt_from_the_keyboard_ends_all_and_only_the_parent_tells_of_it(
    tmp_path: Path, kind: str
) -> None:
    with working(tmp_path, kind) as process:
        os.killpg(process.pid, signal.SIGINT)
        said, told = process.communicate(timeout=SECONDS)

    assert process.returncode == -signal.SIGINT
    assert said == b""
    assert told.count(b"Traceback") == 1
    assert b"KeyboardInterrupt" in told


@POSIX
def test_a_request_to_end_the_parent_ends_the_workers_that_are_at_work(tmp_path: Path) -> None:
    with working(tmp_path, "usual") as process:
        process.terminate()
        said, told = process.communicate(timeout=SECONDS)

    assert process.returncode == 1
    assert (b"", b"asked to end\n") == (said, told)
