"""Everything the benchmarks know of the product's command line; adapt here when a command changes."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from shutil import rmtree

from processes import Finished, JobFailed, run

HERE = Path(__file__).resolve().parent
PROGRAM = Path(sys.executable).parent / "itembank"
COMMAND = (sys.executable, PROGRAM)

PACKAGES = "platform/*.zip"


@dataclass(frozen=True, slots=True)
class Built:
    """A build that ended well and whose packages were all accepted.

    finished: the process. packages: what was written, sorted. items: how many the manifests list. size: bytes
    of the packages' members, not compressed.
    """

    finished: Finished
    packages: tuple[Path, ...]
    items: int
    size: int


@dataclass(slots=True)
class Product:
    """Builds of one bank under one working folder; packages are read back once for each digest.

    bank: a copy of its own, since a build writes into the bank. work: where outputs go.
    """

    bank: Path
    work: Path
    accepted: set[str] = field(default_factory=set)

    def arguments(self, out: Path, count: int, *, workers: int = 1, proof: str = "") -> list[str | Path]:
        """The command of a build, without the interpreter and the program."""
        asked = ["--count", str(count), "--formats", "qti3", "--workers", str(workers)]
        return ["build", self.bank, "--out", out, *asked, *(["--proof", proof] if proof else [])]

    @property
    def name(self) -> str:
        """What the bank is called, as its files' names begin."""
        for line in (self.bank / "bank.yaml").read_text("utf-8").splitlines():
            if line.startswith("bank:"):
                return line.removeprefix("bank:").strip()
        raise JobFailed("the bank has no name")

    def paper_arguments(self, out: Path, count: int, names: Path) -> list[str | Path]:
        """The command of printed papers for a class, without the interpreter and the program."""
        asked = ["--count", str(count), "--formats", "latex,html", "--versions", "4", "--workers", "2"]
        return ["build", self.bank, "--out", out, *asked, "--class-list", names]

    def build(self, name: str, count: int, *, workers: int = 1, proof: str = "") -> Built:
        """Build into a fresh folder of that name and read the packages back (outside the time).

        Raises JobFailed unless the build and the reading end well and the packages hold `count` items.
        """
        out = self.fresh(name)
        finished = run([*COMMAND, *self.arguments(out, count, workers=workers, proof=proof)])
        return self.read_back(finished, out, count)

    def fresh(self, name: str) -> Path:
        """A path under the working folder where nothing is."""
        out = self.work / name
        rmtree(out, ignore_errors=True)
        return out

    def read_back(self, finished: Finished, out: Path, count: int) -> Built:
        """What a finished build left at `out`, accepted by `itembank verify`."""
        packages = tuple(sorted(out.glob(PACKAGES)))
        if not packages:
            raise JobFailed(f"the build left no {PACKAGES}")
        self._verify(packages)
        items = size = 0
        for path in packages:
            held = json.loads(run([sys.executable, HERE / "package_script.py", path]).out)
            items += held["items"]
            size += held["bytes"]
        if items != count:
            raise JobFailed(f"{count} items were asked for, the packages list {items}")
        return Built(finished, packages, items, size)

    def _verify(self, packages: Sequence[Path]) -> None:
        """Have each package read back, unless the same bytes were accepted before. Raises JobFailed."""
        for path in packages:
            with path.open("rb") as file:
                digest = sha256()
                while block := file.read(1 << 20):
                    digest.update(block)
            if digest.hexdigest() not in self.accepted:
                run([*COMMAND, "verify", path])
                self.accepted.add(digest.hexdigest())


def product_count(path: Path) -> tuple[int, Finished]:
    """The exact number of feasible assignments of the one template at `path`, and the process that told it.

    ADAPT HERE: reads the JSON of `itembank check`, taken to list its templates under `templates`, each with
    the number under `count`. The time is that of the whole command: start, reading, the shares of each line,
    and the count.
    """
    finished = run([*COMMAND, "check", path, "--json"])
    report = json.loads(finished.out)
    try:
        (template,) = report["templates"]
        return int(template["count"]), finished
    except (KeyError, TypeError, ValueError) as error:
        raise JobFailed(f"the report of `itembank check --json` has no single count: {error!r}") from error


def has_loaded(arguments: Sequence[str | Path], module: str) -> bool:
    """Whether the product, run with `arguments`, imports the module of that name."""
    finished = run([sys.executable, "-X", "importtime", PROGRAM, *arguments])
    return any(line.rpartition("|")[2].strip() == module for line in finished.err.splitlines())
