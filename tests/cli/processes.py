"""Runs of the program, each a process of its own with a folder, an environment, a status and two streams.

Starting Python and importing the program takes longer than most runs. Where the system can fork, a run is forked from
a process that has imported everything and done nothing (`forking.py`); what depends on the start itself (several
workers, the interpreter's own variables) is started afresh, as is every run that a test wants so.
`test_processes.py` holds the two to each other.
"""

from __future__ import annotations

import atexit
import json
import os
import select
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

__all__ = ["OF_THE_START", "ROOT", "run"]

ROOT = Path(__file__).resolve().parents[2]
SECONDS = 300
OF_THE_START = {
    "PYTHONIOENCODING": "utf-8",
    "PYTHONDONTWRITEBYTECODE": "1",
    "PYTHONWARNINGS": "error,ignore:path is deprecated:DeprecationWarning",  # ziamath's fonts, as in pyproject.toml
}
"""Variables that Python reads at its start, as the forking process has them."""


def run(
    arguments: Sequence[str],
    folder: Path,
    environment: Mapping[str, str],
    *,
    before: str = "",
    afresh: bool = False,
) -> subprocess.CompletedProcess[bytes]:
    """The program with these arguments. before: code that runs first, as a test double; afresh: not forked."""
    if afresh or not _can_be_forked(arguments, environment):
        command = [sys.executable, "-m", "itembank", *arguments]
        if before:
            script = f"{before}\nimport sys\nfrom itembank.cli.main import main\nsys.exit(main(sys.argv[1:]))"
            command = [sys.executable, "-c", script, *arguments]
        return subprocess.run(
            command, cwd=folder, env=environment, capture_output=True, check=False, timeout=SECONDS
        )
    return _forking().run(arguments, folder, environment, before)


def _can_be_forked(arguments: Sequence[str], environment: Mapping[str, str]) -> bool:
    of_the_start = {name: value for name, value in environment.items() if _is_of_the_start(name)}
    return (
        hasattr(os, "fork")
        and sys.platform != "darwin"
        and "--workers" not in arguments
        and of_the_start == OF_THE_START
    )


def _is_of_the_start(name: str) -> bool:
    return name.startswith("PYTHON") and name != "PYTHONPATH"


class _Forking:
    """The process that forks, and the folder its runs write their output to."""

    def __init__(self) -> None:
        self.outputs = tempfile.TemporaryDirectory(prefix="itembank-runs-")
        kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
        self.process = subprocess.Popen(
            [sys.executable, str(Path(__file__).with_name("forking.py"))],
            env={**kept, **OF_THE_START, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        atexit.register(self.end)

    def run(
        self, arguments: Sequence[str], folder: Path, environment: Mapping[str, str], before: str
    ) -> subprocess.CompletedProcess[bytes]:
        out, err = (Path(self.outputs.name) / name for name in ("out", "err"))
        wanted = {
            "arguments": list(arguments), "folder": str(folder), "environment": dict(environment), "before": before,
            "out": str(out), "err": str(err),
        }  # fmt: skip
        asked, answers = self.process.stdin, self.process.stdout
        assert asked is not None
        assert answers is not None
        asked.write(json.dumps(wanted).encode() + b"\n")
        asked.flush()
        if not select.select([answers], [], [], SECONDS)[0]:
            _forking.cache_clear()
            raise subprocess.TimeoutExpired(list(arguments), SECONDS)
        status = int(answers.readline())
        return subprocess.CompletedProcess(list(arguments), status, out.read_bytes(), err.read_bytes())

    def end(self) -> None:
        """Standard input ends, and with it the process."""
        self.process.communicate()
        self.outputs.cleanup()


@cache
def _forking() -> _Forking:
    return _Forking()
