"""The figures of the table: what each compares, the limit it must keep, and how it is judged and printed."""

from __future__ import annotations

import json
import os
import platform
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

MEMORY_EXTRA = 100_000_000


@dataclass(frozen=True, slots=True)
class Measured:
    """What one job of one round gave. `faults` are conditions that did not hold beside the number."""

    seconds: float
    items: int = 1
    size: int = 0
    peak: int = 0
    share: float = 0.0
    faults: tuple[str, ...] = ()

    @property
    def per_item(self) -> float:
        """Seconds for each item."""
        return self.seconds / self.items


Round = Mapping[str, Measured]


@dataclass(frozen=True, slots=True)
class Figure:
    """One row of the table: from the jobs of a round to one number, and the limit it must keep.

    is_floor: the limit and the aim are the least, else the most. also: holds for a round where the limit may
    be passed all the same. on_request: left out unless asked for by name.
    """

    name: str
    claim: str
    jobs: tuple[str, ...]
    value: Callable[[Round], float]
    limit: float
    aim: float | None = None
    is_floor: bool = True
    unit: str = "×"
    also: Callable[[Round], bool] | None = None
    on_request: bool = False

    def target(self) -> str:
        """The limit and the aim in words."""
        word = "at least" if self.is_floor else "at most"
        aim = "" if self.aim is None else f", aim {self.shown(self.aim)}"
        extra = f" or {MEMORY_EXTRA // 10**6} MB more" if self.also else ""
        return f"{word} {self.shown(self.limit)}{aim}{extra}"

    def shown(self, value: float) -> str:
        """A value of this figure in its unit."""
        return (
            f"{100 * value:.1f} %"
            if self.unit == "%"
            else f"{1000 * value:.2f} ms"
            if self.unit == "ms"
            else f"{value:.3g}×"
            if value < 100
            else f"{value:.0f}×"
        )

    def keeps(self, value: float, bound: float) -> bool:
        """Whether a value is on the right side of a bound."""
        return value >= bound if self.is_floor else value <= bound


def per_item(slow: str, quick: str) -> Callable[[Round], float]:
    """How many times the time for an item of one job is that of the other."""
    return lambda measured: measured[slow].per_item / measured[quick].per_item


def in_all(above: str, below: str) -> Callable[[Round], float]:
    """How many times the time of one job is that of the other."""
    return lambda measured: measured[above].seconds / measured[below].seconds


FIGURES = (
    Figure(
        "items-per-second",
        "plain script against product",
        ("plain", "product"),
        per_item("plain", "product"),
        200,
        400,
    ),
    Figure(
        "items-per-second-tuned",
        "tuned script against product",
        ("tuned", "product"),
        per_item("tuned", "product"),
        20,
        40,
    ),
    Figure(
        "zip-floor",
        "product against zipping its members again",
        ("product", "floor"),
        in_all("product", "floor"),
        5,
        2.5,
        is_floor=False,
    ),
    Figure(
        "mixed",
        "items of every kind against zipping their members again",
        ("mixed", "mixed-floor"),
        in_all("mixed", "mixed-floor"),
        5,
        2.5,
        is_floor=False,
    ),
    Figure(
        "proof-full",
        "plain script against product, --proof full",
        ("plain", "product-full"),
        per_item("plain", "product-full"),
        10,
        20,
    ),
    Figure(
        "workers", "one worker against two, many items", ("many", "many-two"), in_all("many", "many-two"), 1.6
    ),
    Figure(
        "memory",
        "peak memory, many items against the usual number",
        ("product", "many"),
        lambda measured: measured["many"].peak / measured["product"].peak,
        1.8,
        is_floor=False,
        also=lambda measured: measured["many"].peak - measured["product"].peak <= MEMORY_EXTRA,
    ),
    Figure(
        "count-3",
        "exact count of 10^8, 3 parameters: itertools against product",
        ("script-count-3", "product-count-3"),
        in_all("script-count-3", "product-count-3"),
        4,
        10,
    ),
    Figure(
        "count-4",
        "exact count of 10^8, 4 parameters: itertools against product",
        ("script-count-4", "product-count-4"),
        in_all("script-count-4", "product-count-4"),
        4,
        10,
    ),
    Figure(
        "check-3",
        "exact count of 10^8, 3 parameters: itertools against the whole command `check`",
        ("script-count-3", "check-3"),
        in_all("script-count-3", "check-3"),
        3,
    ),
    Figure(
        "check-4",
        "exact count of 10^8, 4 parameters: itertools against the whole command `check`",
        ("script-count-4", "check-4"),
        in_all("script-count-4", "check-4"),
        3,
    ),
    Figure(
        "help",
        "--help against a bare interpreter",
        ("bare", "help"),
        in_all("help", "bare"),
        6,
        is_floor=False,
    ),
    Figure(
        "build-40",
        "build of 40 items against a bare interpreter",
        ("bare", "few"),
        in_all("few", "bare"),
        20,
        12,
        is_floor=False,
    ),
    Figure(
        "papers",
        "a paper of 20 items alone against one of a hundred with names, LaTeX and pages, two workers",
        ("one-paper", "hundred-papers"),
        per_item("one-paper", "hundred-papers"),
        20,
        40,
    ),
    Figure(
        "proof-share",
        "share of proofs in the time per item",
        ("proof-share",),
        lambda measured: measured["proof-share"].share,
        0.2,
        is_floor=False,
        unit="%",
    ),
    Figure(
        "verify",
        "reading back and proving again against a bare parse of the documents",
        ("product", "verify"),
        lambda measured: measured["verify"].share,
        15,
        5,
        is_floor=False,
    ),
    Figure(
        "verify-item",
        "`itembank verify` of a whole package as it comes, for each item",
        ("product", "verify-command"),
        lambda measured: measured["verify-command"].per_item,
        0.0005,
        is_floor=False,
        unit="ms",
    ),
    Figure(
        "tuned-against-plain",
        "plain script against tuned script",
        ("plain", "tuned"),
        per_item("plain", "tuned"),
        1,
        on_request=True,
    ),
)


@dataclass(frozen=True, slots=True)
class Row:
    """A figure after the run. `verdict` is aim reached, held, missed or not measured."""

    figure: Figure
    values: tuple[float, ...]
    faults: tuple[str, ...]
    verdict: str

    def measured(self) -> str:
        """The median and the range."""
        if not self.values:
            return "-"
        low, high = min(self.values), max(self.values)
        shown = self.figure.shown
        return f"{shown(median(self.values))} ({shown(low)}..{shown(high)})"

    def cells(self, rounds: int) -> tuple[str, str, str, str]:
        """The row as printed."""
        counted = f", {len(self.values)} of {rounds} rounds" if len(self.values) < rounds else ""
        notes = "".join(f"; {fault}" for fault in self.faults)
        return (
            f"{self.figure.name}: {self.figure.claim}",
            self.figure.target(),
            self.measured(),
            f"{self.verdict}{counted}{notes}",
        )


def row(figure: Figure, results: Sequence[Round]) -> Row:
    """Judge a figure by the median of its rounds; a round without all its jobs does not count."""
    whole = [measured for measured in results if all(job in measured for job in figure.jobs)]
    values = tuple(figure.value(measured) for measured in whole)
    faults = {fault: None for measured in whole for job in figure.jobs for fault in measured[job].faults}
    if not values:
        return Row(figure, (), (), "not measured")
    middle = median(values)
    is_excused = figure.also is not None and all(figure.also(measured) for measured in whole)
    if faults or not (figure.keeps(middle, figure.limit) or is_excused):
        verdict = "missed"
    else:
        is_reached = figure.aim is not None and figure.keeps(middle, figure.aim)
        verdict = "aim reached" if is_reached else "held"
    return Row(figure, values, tuple(faults), verdict)


def job_facts(results: Sequence[Round]) -> dict[str, dict[str, float]]:
    """Medians of what each job gave, to read the ratios by."""
    facts: dict[str, dict[str, float]] = {}
    for name in dict.fromkeys(name for measured in results for name in measured):
        given = [measured[name] for measured in results if name in measured]
        facts[name] = {
            "seconds": median(m.seconds for m in given),
            "items": given[0].items,
            "milliseconds_per_item": 1000 * median(m.per_item for m in given),
            "bytes_per_item": median(m.size / m.items for m in given),
            "peak_megabytes": median(m.peak for m in given) / 1e6,
        }
    return facts


def as_table(cells: Sequence[Sequence[str]]) -> str:
    """Columns as wide as their widest cell."""
    widths = [max(len(line[at]) for line in cells) for at in range(len(cells[0]))]
    lines = [
        " | ".join(f"{cell:{width}}" for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in cells
    ]
    return "\n".join([lines[0], "-+-".join("-" * width for width in widths), *lines[1:]])


def as_text(rows: Sequence[Row], facts: Mapping[str, Mapping[str, float]], rounds: int) -> str:
    """The table of figures, then the facts of each job."""
    figures = [("figure", "target", "measured (min..max)", "verdict"), *(r.cells(rounds) for r in rows)]
    jobs = [("job", "seconds", "items", "ms per item", "bytes per item", "peak MB")]
    for name, fact in facts.items():
        jobs.append(
            (
                name,
                f"{fact['seconds']:.3f}",
                f"{fact['items']:.0f}",
                f"{fact['milliseconds_per_item']:.4g}",
                f"{fact['bytes_per_item']:.0f}",
                f"{fact['peak_megabytes']:.0f}",
            )
        )
    return f"{as_table(figures)}\n\n{as_table(jobs)}"


def as_json(rows: Sequence[Row], facts: object, failures: object, rounds: int) -> str:
    """The same for a program to read."""
    figures = [
        {
            "figure": r.figure.name,
            "claim": r.figure.claim,
            "target": r.figure.target(),
            "limit": r.figure.limit,
            "aim": r.figure.aim,
            "median": median(r.values) if r.values else None,
            "values": r.values,
            "verdict": r.verdict,
            "faults": r.faults,
        }
        for r in rows
    ]
    machine = {"python": platform.python_version(), "processors": os.cpu_count()}
    report = {"rounds": rounds, "machine": machine, "figures": figures, "jobs": facts, "failures": failures}
    return json.dumps(report, indent=2, ensure_ascii=False)
