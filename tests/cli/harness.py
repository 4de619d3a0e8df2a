"""The program as a real process in a fresh folder: exit status, standard output, standard error, files left over."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass, field
from pathlib import Path

from tests.cli import processes
from tests.cli.processes import OF_THE_START, ROOT

DEMO = ROOT / "banks" / "quadratics"


@dataclass(frozen=True)
class Ended:
    """How a run ended. left: files that are there now and were not before, below the folder it ran in."""

    status: int
    out: str
    err: str
    left: tuple[str, ...]


@dataclass
class Program:
    """Runs `itembank` in a folder of its own, with a cache of its own beside it."""

    folder: Path
    environment: dict[str, str] = field(default_factory=dict)

    def run(
        self,
        *arguments: object,
        status: int | None = 0,
        err: str | None = "",
        left: tuple[str, ...] | None = (),
        environment: dict[str, str] | None = None,
        afresh: bool = False,
    ) -> Ended:
        """Runs, and holds the run to its exit status, its standard error and the files it leaves (None: any of these).

        No run may end in a traceback. afresh: by an interpreter of its own, not forked.
        """
        before = set(self.files())
        done = processes.run(
            [str(each) for each in arguments], self.folder, self.variables(environment), afresh=afresh
        )
        out, told = done.stdout.decode("utf-8"), done.stderr.decode("utf-8")
        ended = Ended(done.returncode, out, told, tuple(sorted(set(self.files()) - before)))

        assert "Traceback" not in told, told
        assert status is None or status == ended.status, told or out
        assert err is None or err == ended.err
        assert left is None or left == ended.left
        return ended

    def variables(self, more: dict[str, str] | None = None) -> dict[str, str]:
        """The environment of a run: nothing of the caller's own that could change it."""
        kept = {
            name: value for name, value in os.environ.items() if name in {"PATH", "HOME", "LANG", "TMPDIR"}
        }
        return {
            **kept,
            "ITEMBANK_CACHE": str(self.folder.parent.parent / "cache"),
            "PYTHONPATH": str(ROOT),
            **OF_THE_START,
            **self.environment,
            **(more or {}),
        }

    def own_cache(self) -> Path:
        """A cache that no other test has part in; the usual one is shared, as the runs of one user share theirs."""
        cache = self.folder.parent / "cache"
        self.environment["ITEMBANK_CACHE"] = str(cache)
        return cache

    def files(self) -> list[str]:
        """Every file and folder below the folder, by its path."""
        return sorted(str(path.relative_to(self.folder)) for path in self.folder.rglob("*"))

    def write(self, name: str, text: str) -> Path:
        """A file of the folder."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
        return path

    def demo(self, *only: str) -> Path:
        """A copy of the demo bank without its lock file, as `bank`.

        only: names of templates, all unless said; blueprints, which name others, are left out then.
        """
        folder = self.folder / "bank"
        left_out = ("bank.lock", "blueprints") if only else ("bank.lock",)
        shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns(*left_out))
        for path in sorted((folder / "templates").rglob("*.yaml")):
            if only and path.stem not in only:
                path.unlink()
        return folder


def change(path: Path, old: str, new: str) -> None:
    """One replacement in a file; what is replaced stands there exactly once."""
    text = path.read_text("utf-8")
    assert 1 == text.count(old), (path.name, old, text.count(old))
    path.write_text(text.replace(old, new), "utf-8")
