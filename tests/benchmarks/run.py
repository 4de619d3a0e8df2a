"""Run the benchmarks in turn in fresh processes and print  figure | target | measured (min..max).

    python tests/benchmarks/run.py [--only FIGURE ...] [--rounds 7] [--bank BANK] [--json]

The package's docstring says what is compared and how it is kept fair. Exit status: 0 every figure held, 1 one
was missed or could not be measured, 2 wrong usage.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from shutil import copytree
from tempfile import TemporaryDirectory

from figures import FIGURES, Measured, as_json, as_text, job_facts, row
from jobs import ON_SCRIPTS_ALONE, Bench
from mixed_bank import copy_with_wider_ranges
from processes import JobFailed
from product import HERE, PROGRAM, Product

BANK = HERE / "bank"


def run_rounds(bench: Bench, jobs: set[str], rounds: int) -> tuple[list[dict[str, Measured]], dict[str, str]]:
    """The measurements of each round, and why a job gave none; a job that failed once is not tried again."""
    results: list[dict[str, Measured]] = []
    failures: dict[str, str] = {}
    for number in range(1, rounds + 1):
        bench.round = number
        measured: dict[str, Measured] = {}
        for name, job in bench.jobs().items():
            if name not in jobs or name in failures:
                continue
            print(f"round {number} of {rounds}: {name}", file=sys.stderr, flush=True)
            try:
                measured[name] = job()
            except JobFailed as failure:
                failures[name] = str(failure)
                print(f"  does not count: {failure}", file=sys.stderr, flush=True)
        bench.end_round()
        results.append(measured)
    return results, failures


def options_of(arguments: Sequence[str] | None = None) -> argparse.Namespace:
    """The command line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    names = [figure.name for figure in FIGURES]
    parser.add_argument("--only", action="append", choices=names, metavar="FIGURE", help=", ".join(names))
    parser.add_argument("--rounds", type=int, default=7, help="rounds (default 7)")
    parser.add_argument("--bank", type=Path, default=BANK, help="the bank that is built from")
    parser.add_argument("--script-items", type=int, default=200, help="items of a script (default 200)")
    parser.add_argument("--items", type=int, default=10_000, help="items of the product (default 10000)")
    parser.add_argument("--mixed-items", type=int, default=10_000, help="items of every kind (default 10000)")
    parser.add_argument(
        "--full-items", type=int, default=10_000, help="items under --proof full (default 10000)"
    )
    parser.add_argument("--many-items", type=int, default=100_000, help="many items (default 100000)")
    parser.add_argument("--work", type=Path, help="where working folders are made (default: the system's)")
    parser.add_argument("--json", action="store_true", help="print JSON")
    options = parser.parse_args(arguments)
    if options.rounds < 1:
        parser.error("--rounds is at least 1")
    return options


def main() -> int:
    """Run, print, and say whether everything held."""
    options = options_of()
    figures = [
        figure
        for figure in FIGURES
        if (figure.name in options.only if options.only else not figure.on_request)
    ]
    jobs = {job for figure in figures for job in figure.jobs}
    needs_product = bool(jobs - ON_SCRIPTS_ALONE)
    if needs_product and not (PROGRAM.is_file() and options.bank.is_dir()):
        print(
            f"needed: {PROGRAM.name} beside this interpreter, and a bank at {options.bank}", file=sys.stderr
        )
        return 2
    with TemporaryDirectory(prefix="benchmarks-", dir=options.work) as folder:
        work = Path(folder)
        bench = Bench(options, work, Product(work / "bank", work), Product(work / "mixed-bank", work))
        if needs_product:
            copytree(options.bank, bench.product.bank)
            copy_with_wider_ranges(bench.mixed.bank)
            try:
                bench.warm(jobs)
            except JobFailed as failure:
                print(f"the product cannot be measured: {failure}", file=sys.stderr)
                return 1
        results, failures = run_rounds(bench, jobs, options.rounds)
    rows = [row(figure, results) for figure in figures]
    facts = job_facts(results)
    report = as_json(rows, facts, failures, options.rounds)
    print(report if options.json else as_text(rows, facts, options.rounds))
    return (
        0
        if all(r.verdict in ("held", "aim reached") and len(r.values) == options.rounds for r in rows)
        else 1
    )


if __name__ == "__main__":
    sys.exit(main())
