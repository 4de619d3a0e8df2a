"""A report as lines for a terminal, as Markdown, and its tables as CSV."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from typing import Final

from itembank.analysis.report import Heading, Lines, Report, Table

__all__ = ["as_csv", "as_markdown", "as_text"]


def as_text(blocks: Report) -> Iterator[str]:
    """Lines for a terminal."""
    for number, block in enumerate(blocks):
        match block:
            case Heading(text):
                if number:
                    yield ""
                yield text
            case Lines(lines):
                yield from (f"  {line}" for line in lines)
            case Table():
                yield from _aligned(block)


def _aligned(table: Table) -> Iterator[str]:
    rows = [table.head, *table.rows]
    widths = [min(max(len(row[at]) for row in rows), 60) for at in range(len(table.head))]
    for row in rows:
        cells = [
            cell[:60].ljust(width) if at < table.texts else cell.rjust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield "  " + "  ".join(cells).rstrip()


def as_markdown(blocks: Report) -> str:
    """The report as Markdown."""
    lines: list[str] = []
    for block in blocks:
        match block:
            case Heading(text, level):
                lines += [f"{'#' * level} {text}", ""]
            case Lines(told):
                lines += [*(f"- {_harmless_markdown(line)}" for line in told), ""]
            case Table():
                lines += [
                    _piped(block.head),
                    _piped(("---",) * len(block.head)),
                    *map(_piped, block.rows),
                    "",
                ]
    return "\n".join(lines)


def _piped(cells: Iterable[str]) -> str:
    return "| " + " | ".join(_harmless_markdown(cell).replace("|", "\\|") for cell in cells) + " |"


def _harmless_markdown(text: str) -> str:
    return re.sub(r"([\\`*_<\[])", r"\\\1", " ".join(text.split()))


def as_csv(table: Table) -> str:
    """A table as CSV. A cell a spreadsheet would take for a formula gets an apostrophe before it; numbers stay."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.head)
    for row in table.rows:
        writer.writerow([_harmless(cell) for cell in row])
    return out.getvalue()


_NUMBER: Final = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")


def _harmless(text: str) -> str:
    is_formula = text[:1] in {"=", "+", "-", "@", "\t", "\r"} and not _NUMBER.fullmatch(text)
    return "'" + text if is_formula else text
