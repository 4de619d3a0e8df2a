"""Waits with the program imported and forks a process for each run that is asked for; see `processes.py`.

Each line of standard input is a run as JSON: its folder, environment, arguments, the files that take its output, and
code to run before. The answer is a line with its exit status. The parent does nothing but fork, so that what a run
does to itself is gone with it. The child goes on as `python -m itembank` would.
"""

from __future__ import annotations

import atexit
import contextlib
import gc
import importlib
import json
import os
import pkgutil
import runpy
import sys
import traceback
from typing import Any, NoReturn

import itembank

_BESIDE = ("itembank.__main__", "itembank.testing")
"""Not what a command imports: the first is run, the second is for tests of banks."""


def _import_the_program() -> None:
    for module in pkgutil.walk_packages(itembank.__path__, "itembank."):
        if not module.name.startswith(_BESIDE):
            with contextlib.suppress(ImportError):  # of an extra that is not installed
                importlib.import_module(module.name)


def _next_run(asked: int, answers: int) -> dict[str, Any]:
    """Answers for every child that has ended, until this is a child; its own run."""
    with os.fdopen(asked, encoding="utf-8") as lines:
        for line in lines:
            child = os.fork()
            if child == 0:
                found: dict[str, Any] = json.loads(line)
                return found
            _, ended = os.waitpid(child, 0)
            os.write(answers, b"%d\n" % os.waitstatus_to_exitcode(ended))
    os._exit(0)


def _become(run: dict[str, Any]) -> None:
    """This process as one that was started for the run: files, folder, environment, the path of imports."""
    for number, name, flags in (
        (0, os.devnull, os.O_RDONLY),
        (1, run["out"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC),
        (2, run["err"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC),
    ):
        opened = os.open(name, flags)
        os.dup2(opened, number)
        os.close(opened)
    os.chdir(run["folder"])
    ours = os.environ["PYTHONPATH"].split(os.pathsep)
    os.environ.clear()
    os.environ.update(run["environment"])
    theirs = os.environ["PYTHONPATH"].split(os.pathsep)
    sys.path[:] = [run["folder"], *theirs, *(place for place in sys.path[1:] if place not in ours)]
    importlib.invalidate_caches()
    sys.argv = ["itembank", *run["arguments"]]


def _status(before: str) -> int:
    """Runs the program as `python -m itembank` does; the status it ends with."""
    try:
        exec(before, {})  # noqa: S102 - what a test replaces in the program
        runpy.run_module("itembank", run_name="__main__", alter_sys=True)
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    except BaseException:
        traceback.print_exc()
        return 1
    return 0


def _end(status: int) -> NoReturn:
    """Ends without taking apart what was imported, which takes longer than most runs."""
    atexit._run_exitfuncs()
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    os._exit(status)


if __name__ == "__main__":
    _import_the_program()
    gc.freeze()
    asked_for, told = os.dup(0), os.dup(1)
    wanted = _next_run(asked_for, told)
    os.close(told)
    _become(wanted)
    _end(_status(wanted["before"]))
