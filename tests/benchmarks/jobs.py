"""The jobs that figures are made of, each in fresh processes: scripts, builds, counts, short commands."""

from __future__ import annotations

import argparse
import json
import sys
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from shutil import rmtree
from statistics import median

from count_script import ASSIGNMENTS, TEMPLATES
from figures import Measured
from processes import Finished, JobFailed, run
from product import COMMAND, HERE, PROGRAM, Built, Product, has_loaded, product_count

SHORT_REPEATS = 5
COUNT_PEAK = 200_000_000
FEW = 40
PAPER_ITEMS = 20
ON_SCRIPTS_ALONE = frozenset({"plain", "tuned", "bare", "script-count-3", "script-count-4"})


@dataclass(slots=True)
class Bench:
    """The jobs of one run, by name. Outputs live under `work`, and until the end of their round.

    mixed: the product on a bank with items of every kind.
    """

    options: argparse.Namespace
    work: Path
    product: Product
    mixed: Product
    round: int = 0
    built: dict[str, Built] = field(default_factory=dict)
    counts: dict[int, int] = field(default_factory=dict)
    loads_sympy: dict[str, bool] = field(default_factory=dict)

    def jobs(self) -> dict[str, Callable[[], Measured]]:
        """All jobs, in the order in which a round runs them, what is compared side by side."""
        items, many = self.options.items, self.options.many_items
        return {
            "plain": lambda: self.script("plain"),
            "product": lambda: self.build("product", items),
            "tuned": lambda: self.script("tuned"),
            "floor": lambda: self.floor("product"),
            "mixed": lambda: self.build("mixed", self.options.mixed_items, product=self.mixed),
            "mixed-floor": lambda: self.floor("mixed"),
            "product-full": lambda: self.build("product-full", self.options.full_items, proof="full"),
            "many": lambda: self.build("many", many),
            "many-two": lambda: self.build("many-two", many, workers=2),
            "script-count-3": lambda: self.script_count(3),
            "product-count-3": lambda: self.product_count(3),
            "check-3": lambda: self.check(3),
            "script-count-4": lambda: self.script_count(4),
            "product-count-4": lambda: self.product_count(4),
            "check-4": lambda: self.check(4),
            "bare": lambda: short(lambda: run([sys.executable, "-c", "pass"])),
            "help": self.help,
            "few": self.few,
            "one-paper": lambda: self.papers("one-paper", 1),
            "hundred-papers": lambda: self.papers("hundred-papers", 100),
            "proof-share": self.proof_share,
            "verify": self.verify,
            "verify-command": self.verify_command,
        }

    def warm(self, jobs: set[str]) -> None:
        """One small build of each kind that will be measured, so that compiled templates are on disk."""
        if jobs & {"product", "many", "many-two", "few", "proof-share", "one-paper", "hundred-papers"}:
            self.product.build("warm", FEW)
        if "product-full" in jobs:
            self.product.build("warm", FEW, proof="full")
        if "mixed" in jobs:
            self.mixed.build("warm", FEW)

    def script(self, name: str) -> Measured:
        """One of the two scripts; both of a round have the same seed and must write the same bytes."""
        out = self.work / f"{name}.zip"
        asked: list[str | Path] = [
            "--count",
            str(self.options.script_items),
            "--seed",
            str(self.round),
            "--out",
            out,
        ]
        finished = run([sys.executable, HERE / f"{name}_script.py", *asked])
        report = json.loads(finished.out)
        other = self.work / ("plain.zip" if name == "tuned" else "tuned.zip")
        faults = (
            ("the two scripts wrote different items",) if other.exists() and not are_same(out, other) else ()
        )
        return Measured(report["seconds"], report["items"], report["bytes"], finished.peak, faults=faults)

    def build(
        self, name: str, count: int, *, workers: int = 1, proof: str = "", product: Product | None = None
    ) -> Measured:
        """A build of the product, accepted by its reading back."""
        maker = product or self.product
        built = self.built[name] = maker.build(name, count, workers=workers, proof=proof)
        if name.startswith("many"):
            self.product.fresh(name)
        return Measured(built.finished.seconds, built.items, built.size, built.finished.peak)

    def floor(self, name: str) -> Measured:
        """Zipping again what a build of this round wrote."""
        if name not in self.built:
            raise JobFailed("there is no package of this round to zip again")
        seconds = 0.0
        for package in self.built[name].packages:
            finished = run(
                [sys.executable, HERE / "floor_script.py", package, "--out", self.work / "floor.zip"]
            )
            seconds += json.loads(finished.out)["seconds"]
        return Measured(seconds, self.built[name].items, self.built[name].size, finished.peak)

    def script_count(self, parameters: int) -> Measured:
        """The count by itertools, of the whole box."""
        finished = run([sys.executable, HERE / "count_script.py", "--parameters", str(parameters)])
        report = json.loads(finished.out)
        self.counts[parameters] = report["count"]
        return Measured(report["seconds"], report["assignments"], peak=finished.peak)

    def product_count(self, parameters: int) -> Measured:
        """The product's count of the same box, timed as the script times its own."""
        finished = run([sys.executable, HERE / "count_product.py", self.counted_template(parameters)])
        report = json.loads(finished.out)
        faults = () if report["exact"] else ("the product estimates",)
        return self.counted(parameters, report["count"], report["seconds"], finished, faults)

    def check(self, parameters: int) -> Measured:
        """The whole command that counts: start, reading, proofs for all values, search for twins, and the count."""
        count, finished = product_count(self.counted_template(parameters))
        return self.counted(parameters, count, finished.seconds, finished)

    def counted_template(self, parameters: int) -> Path:
        """The template of the box with so many parameters."""
        path = self.work / f"count-{parameters}.yaml"
        path.write_text(TEMPLATES[parameters], encoding="utf-8")
        return path

    def counted(
        self, parameters: int, count: int, seconds: float, finished: Finished, faults: tuple[str, ...] = ()
    ) -> Measured:
        """A count of the product; it must be the number that itertools gave, within the memory allowed."""
        if parameters not in self.counts:
            raise JobFailed("itertools has given no number to compare with")
        counted = self.counts[parameters]
        if counted != count:
            faults += (f"itertools counts {counted}, the product {count}",)
        if finished.peak > COUNT_PEAK:
            faults += (f"peak memory {finished.peak / 1e6:.0f} MB, allowed {COUNT_PEAK // 10**6} MB",)
        return Measured(seconds, ASSIGNMENTS, peak=finished.peak, faults=faults)

    def help(self) -> Measured:
        """The shortest thing the product does."""
        return short(lambda: run([*COMMAND, "--help"]), self.sympy_faults("help", ["--help"]))

    def few(self) -> Measured:
        """Small builds with compiled templates on disk; the last one is read back."""

        def once() -> Finished:
            out = self.product.fresh("few")
            return run([*COMMAND, *self.product.arguments(out, FEW)])

        faults = self.sympy_faults("few", self.product.arguments(self.product.fresh("few"), FEW))
        measured = short(once, faults)
        self.product.read_back(Finished(measured.seconds, measured.peak, "", ""), self.work / "few", FEW)
        return measured

    def papers(self, name: str, pupils: int) -> Measured:
        """Papers of 20 items in LaTeX and as pages, one for each name of a class list, in four versions."""
        names = self.work / f"{name}.csv"
        names.write_text("name\n" + "".join(f"Pupil {n}\n" for n in range(1, pupils + 1)), encoding="utf-8")
        out = self.product.fresh(name)
        finished = run([*COMMAND, *self.product.paper_arguments(out, PAPER_ITEMS, names)])
        written = [
            out / "pupils" / f"{self.product.name}-named-question-papers{end}" for end in (".tex", ".html")
        ]
        faults = tuple(
            f"{path.name} does not bear {pupils} names"
            for path in written
            if any(f"Pupil {n}" not in path.read_text("utf-8") for n in range(1, pupils + 1))
        )
        size = sum(path.stat().st_size for path in written)
        return Measured(finished.seconds, pupils, size, finished.peak, faults=faults)

    def sympy_faults(self, name: str, arguments: Sequence[str | Path]) -> tuple[str, ...]:
        """A fault if these arguments make the product import sympy; looked at once in a run."""
        if name not in self.loads_sympy:
            self.loads_sympy[name] = has_loaded(arguments, "sympy")
        return ("sympy was loaded",) if self.loads_sympy[name] else ()

    def proof_share(self) -> Measured:
        """A build under the sampler: the share of samples with the proof room on the stack."""
        report, out = self.work / "share.json", self.product.fresh("share")
        arguments = self.product.arguments(out, self.options.items)
        finished = run([sys.executable, HERE / "proof_sampler.py", report, PROGRAM, *arguments])
        built = self.product.read_back(finished, out, self.options.items)
        sampled = json.loads(report.read_text())
        if not sampled["in_proof"]:
            raise JobFailed(
                "no sample fell into a proof: ask for more --items, or the sampler looks in the wrong place"
            )
        share = sampled["in_proof"] / sampled["samples"]
        return Measured(finished.seconds, built.items, built.size, finished.peak, share=share)

    def verify(self) -> Measured:
        """The audit of what the product wrote in this round; share: how many times a bare parse it takes."""
        if "product" not in self.built:
            raise JobFailed("there is no package of this round to verify")
        items, parse, seconds = 0, 0.0, 0.0
        for package in self.built["product"].packages:
            report = json.loads(run([sys.executable, HERE / "verify_script.py", package]).out)
            items, parse = items + report["items"], parse + report["parse"]
            seconds += report["verify"]
        return Measured(seconds, items, share=seconds / parse)

    def verify_command(self) -> Measured:
        """The whole command on what the product wrote in this round, with as many processes as it takes by itself."""
        if "product" not in self.built:
            raise JobFailed("there is no package of this round to verify")
        built = self.built["product"]
        finished = run([*COMMAND, "verify", *built.packages])
        return Measured(finished.seconds, built.items, built.size, finished.peak)

    def end_round(self) -> None:
        """Forget the packages of the round."""
        self.built.clear()
        for path in self.work.iterdir():
            if path.is_dir() and path not in {self.product.bank, self.mixed.bank}:
                rmtree(path)
            elif path.suffix == ".zip":
                path.unlink()


def short(job: Callable[[], Finished], faults: tuple[str, ...] = ()) -> Measured:
    """The median of a few runs of something that takes milliseconds."""
    finished = [job() for _ in range(SHORT_REPEATS)]
    return Measured(median(f.seconds for f in finished), peak=max(f.peak for f in finished), faults=faults)


def are_same(first: Path, second: Path) -> bool:
    """Whether two packages hold the same members with the same bytes in the same order."""
    with zipfile.ZipFile(first) as one, zipfile.ZipFile(second) as other:
        names = one.namelist()
        return names == other.namelist() and all(one.read(name) == other.read(name) for name in names)
