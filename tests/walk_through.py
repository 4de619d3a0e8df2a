"""The chapter of DEVELOPERS.md that is followed to the letter: its fenced blocks read, done in a folder, compared.

Three kinds of block are done: `yaml FILE` is put into that file; `diff FILE` replaces, in that file, the lines that
begin with `-` by the lines with `+` after them; `console` holds commands after `$ ` and what each prints. Every other
block is for the reader.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

_FENCE = re.compile(r"^```([a-z]+)(?: (\S+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Block:
    """A fenced block: its kind, the file it speaks of, its text, and where the text stands in the document."""

    kind: str
    file: str
    text: str
    start: int
    end: int


@dataclass(frozen=True)
class Step:
    """A command with what the document says it prints."""

    command: str
    printed: str


def blocks(chapter: str) -> list[Block]:
    """The fenced blocks of a chapter."""
    return [
        Block(found[1], found[2] or "", found[3], found.start(3), found.end(3))
        for found in _FENCE.finditer(chapter)
    ]


def steps(text: str) -> list[Step]:
    """The commands of a console block."""
    found: list[Step] = []
    for line in text.splitlines(keepends=True):
        if line.startswith("$ "):
            found.append(Step(line[2:].rstrip("\n"), ""))
        else:
            assert found, f"what is printed stands before any command: {line}"
            found[-1] = replace(found[-1], printed=found[-1].printed + line)
    return found


def changed(text: str, block: str) -> str:
    """A file's text with the changes of a diff block; each run of lines to take out stands there exactly once."""
    for old, new in _runs(block.splitlines(keepends=True)):
        assert text.count(old) == 1, f"{text.count(old)} places for:\n{old}"
        text = text.replace(old, new)
    return text


def _runs(lines: list[str]) -> Iterator[tuple[str, str]]:
    old = new = ""
    for line in lines:
        assert line[0] in "-+", f"neither out nor in: {line}"
        if line[0] == "-" and new:
            yield old, new
            old = new = ""
        if line[0] == "-":
            old += line[1:]
        else:
            new += line[1:]
    yield old, new


def agrees(said: str, printed: str) -> bool:
    """Whether what was printed is what the document says.

    A line `...` stands for any lines, and ` ...` at the end of a line for the rest of it.
    """
    parts = [
        re.sub(r"(?m)\\ \\\.\\\.\\\.(?=\\?$)", " .*", re.escape(part))
        for part in re.split(r"^\.\.\.\n", said, flags=re.MULTILINE)
    ]
    return re.fullmatch(r"(?:.*\n)*?".join(parts), printed) is not None


def run(command: str, folder: Path, program: Path) -> str:
    """What a command prints, on both of its streams, with the folder of `itembank` first on the path."""
    kept = {name: os.environ[name] for name in ("HOME", "LANG", "TMPDIR") if name in os.environ}
    environment = {
        **kept, "PATH": f"{program}{os.pathsep}{os.environ['PATH']}", "PYTHONIOENCODING": "utf-8",
        "ITEMBANK_CACHE": str(folder.parent / "cache"), "PYTHONDONTWRITEBYTECODE": "1",
    }  # fmt: skip
    shell = shutil.which("bash") or "/bin/sh"
    done = subprocess.run(
        [shell, "-c", command], cwd=folder, env=environment, check=False, timeout=300,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    )  # fmt: skip
    return done.stdout.decode("utf-8")
