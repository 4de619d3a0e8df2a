"""One command in a fresh process: how long it took from the outside, and its memory at its peak."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryFile


class JobFailed(Exception):
    """A command did not succeed, or what it left was not accepted: what it measured does not count."""


@dataclass(frozen=True, slots=True)
class Finished:
    """What is known of a process that ended well.

    seconds: from before its start until it was reaped. peak: bytes of resident memory at most; a child starts
    with what its starter holds, so the harness stays small. out, err: what it wrote.
    """

    seconds: float
    peak: int
    out: str
    err: str


def _environment() -> dict[str, str]:
    """The environment without the wish that modules be compiled anew at every start: installed programs never are."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def run(command: Sequence[str | Path]) -> Finished:
    """Run `command` to its end. Raises JobFailed with the end of what it said if its exit status is not 0."""
    with TemporaryFile() as out, TemporaryFile() as err:
        start = time.perf_counter()
        process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=out, stderr=err, env=_environment()
        )
        try:
            _, status, usage = os.wait4(process.pid, 0)
        except BaseException:
            process.kill()
            process.wait()
            raise
        seconds = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        err.seek(0)
        said, complained = out.read().decode(errors="replace"), err.read().decode(errors="replace")
    if process.returncode != 0:
        shown = " ".join(Path(part).name if os.sep in str(part) else str(part) for part in command)
        end = "\n".join((complained or said).strip().splitlines()[-12:])
        raise JobFailed(f"exit status {process.returncode} of: {shown}\n{end}")
    # Linux counts the peak in units of 1024 bytes
    return Finished(seconds, usage.ru_maxrss * 1024, said, complained)
