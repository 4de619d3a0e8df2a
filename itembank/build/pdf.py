"""Sources set by the TeX that is installed: in a private folder, without a shell, for a limited time and size.

A source is ours, its words are strangers'; whatever they hold, TeX reads and writes nothing but its own private
folder and the files of its distribution. What TeX finds wrong is told with the item it concerns.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from itembank.errors import Diagnostic, InputError

__all__ = ["ENGINES", "find_engine", "set_all", "set_as_pdf"]

ENGINES: Final = ("pdflatex", "lualatex")
MOST_SECONDS: Final = 300
MOST_BYTES: Final = 256 * 1024 * 1024
MOST_RUNS: Final = 3
_ERROR: Final = re.compile(r"^(?:\./)?paper\.tex:([0-9]+): (.*)$", re.MULTILINE)
_AGAIN: Final = "Label(s) may have changed"


def find_engine() -> str:
    """The engine that is installed. Raises InputError with what to install where none is."""
    for engine in ENGINES:
        if (found := shutil.which(engine)) is not None:
            return found
    raise InputError(
        Diagnostic(
            "no-tex",
            "no TeX is installed that could make PDF files",
            hint="install TeX (Debian, Ubuntu: apt-get install texlive-latex-recommended lmodern; elsewhere TeX Live "
            "or MiKTeX), or print the HTML pages from a browser",
        )
    )


def set_as_pdf(source: str, engine: str, shown_as: str, below: str | None = None) -> bytes:
    """The PDF file of a source.

    engine: the path of one of ENGINES. shown_as: the name of the source in messages. below: where what TeX leaves goes.
    The same source gives the same bytes on the same TeX. Raises InputError where TeX stops, with the item at whose
    source it did.
    """
    with tempfile.TemporaryDirectory(prefix="itembank-tex-", dir=below) as name:
        folder = Path(name)
        (folder / "paper.tex").write_text(source, "ascii", newline="\n")
        for _ in range(MOST_RUNS):
            _run(engine, folder, source, shown_as)
            log = (folder / "paper.log").read_text("latin-1")
            if _AGAIN not in log and "undefined references" not in log:
                break
        return (folder / "paper.pdf").read_bytes()


def set_all(sources: Sequence[tuple[str, str]], engine: str, workers: int) -> Iterator[bytes]:
    """The PDF files of (source, its name in messages), in their order, so many set at a time.

    Raises InputError where TeX stops at one of them.
    """
    if workers <= 1 or len(sources) <= 1:
        for source, shown_as in sources:
            yield set_as_pdf(source, engine, shown_as)
        return
    from itembank.worker_pool import worker_pool

    # An interrupted worker tidies nothing, and its TeX may still write for a moment: all of it stands in one folder.
    with (
        tempfile.TemporaryDirectory(prefix="itembank-tex-", ignore_cleanup_errors=True) as below,
        worker_pool(min(workers, len(sources))) as pool,
    ):
        for job in [pool.submit(set_as_pdf, source, engine, shown_as, below) for source, shown_as in sources]:
            yield job.result()


if sys.platform == "win32":
    _limits = None  # none can be set there; the time is limited all the same
    _NEEDED: Final = (
        "SYSTEMROOT",
        "APPDATA",
        "LOCALAPPDATA",
        "TEMP",
    )  # without these no program starts there
else:
    import resource

    _NEEDED: Final[tuple[str, ...]] = ()

    def _limits() -> None:
        """Limits of the child: no file grows, and no time is taken, without end."""
        resource.setrlimit(resource.RLIMIT_FSIZE, (MOST_BYTES, MOST_BYTES))
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _run(engine: str, folder: Path, source: str, shown_as: str) -> None:
    command = [
        engine, "-no-shell-escape", "-interaction=nonstopmode", "-halt-on-error", "-file-line-error", "paper.tex",
    ]  # fmt: skip
    # Source: web2c, texmf.cnf: `p`, paranoid: no dot files, no parent folders, no absolute paths by name.
    surroundings = {
        "PATH": os.environ.get("PATH", os.defpath), "HOME": str(folder), "openin_any": "p", "openout_any": "p",
        "shell_escape": "f", "SOURCE_DATE_EPOCH": "0", "FORCE_SOURCE_DATE": "1", "max_print_line": "1000",
        "TEXMFVAR": str(folder / ".texmf-var"),
        **{name: os.environ[name] for name in _NEEDED if name in os.environ},
    }  # fmt: skip
    try:
        run = subprocess.run(
            command, cwd=folder, env=surroundings, stdin=subprocess.DEVNULL, capture_output=True, check=False,
            timeout=MOST_SECONDS, preexec_fn=_limits,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise _stopped(shown_as, f"it took longer than {MOST_SECONDS} seconds", "") from None
    if run.returncode or not (folder / "paper.pdf").is_file():
        told = run.stdout.decode("utf-8", "replace")
        found = _ERROR.search(told)
        if found is None:
            last = next((line for line in told.splitlines() if line.startswith("!")), told.strip()[-200:])
            raise _stopped(shown_as, last.lstrip("! "), "")
        raise _stopped(shown_as, found[2], _item_at(source, int(found[1])))


def _item_at(source: str, line: int) -> str:
    """The code of the item whose source a line belongs to, "" for none."""
    begun = [text for text in source.splitlines()[:line] if text.startswith("% item ")]
    return begun[-1].removeprefix("% item ").strip() if begun else ""


def _stopped(shown_as: str, reason: str, item: str) -> InputError:
    where = f"at item {item}: " if item else ""
    return InputError(
        Diagnostic(
            "tex-stopped",
            f"TeX could not set {shown_as}: {where}{reason}",
            hint="build without --pdf and look at the source"
            if not item
            else f"look at the texts of item {item}",
        )
    )
