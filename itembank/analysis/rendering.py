"""A report as lines for a terminal, as Markdown, as a page for a browser, and its tables as CSV."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from html import escape
from typing import Final

from itembank import spreadsheets
from itembank.analysis.blocks import ON_PAPER, Heading, Lines, Report, Table

__all__ = ["as_csv", "as_markdown", "as_page", "as_text"]


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


_STYLE: Final = """
@page { size: A4 landscape; margin: 15mm; }
body { font-family: Georgia, "Times New Roman", serif; line-height: 1.45; color: #1b1b1b; background: #fff;
  max-width: 75rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.6rem; }
h2 { font-size: 1.2rem; margin: 1.8rem 0 0.4rem; break-after: avoid; }
ul { padding-left: 1.2rem; max-width: 48rem; }
li { margin: 0.25rem 0; overflow-wrap: anywhere; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-size: 0.9rem; }
th, td { text-align: left; vertical-align: baseline; padding: 0.2rem 0.8rem 0.2rem 0; }
thead th { border-bottom: 1px solid #1b1b1b; }
tbody th { font-weight: normal; }
tbody tr + tr > * { border-top: 1px solid #d0d0d0; }
.bar { display: inline-block; border-bottom: 0.7em solid #4a5a6a; }
.number { text-align: right; white-space: nowrap; }
thead .number { white-space: normal; vertical-align: bottom; }
.sentence { min-width: 15rem; }
tr { break-inside: avoid; }
@media print {
  html { font-size: 9.5pt; }
  body { margin: 0; padding: 0; max-width: none; font-size: 10pt; }
  .wide { overflow: visible; }
}
"""


_BAR: Final = 200
"""Tenths of an em of the longest bar; a border, since browsers print no backgrounds."""


_SENTENCE: Final = 40
"""Characters from which a cell is one."""


def as_page(blocks: Report, language: str = "en") -> str:
    """The report as one page of HTML that stands alone, to be looked at and printed. language: that of its words."""
    title = next((block.text for block in blocks if isinstance(block, Heading)), "")
    lines = [
        '<!DOCTYPE html>', f'<html lang="{escape(language)}">', '<head>', '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title)}</title>", f"<style>{_STYLE}</style>", "</head>", "<body>", "<main>",
    ]  # fmt: skip
    for block in blocks:
        match block:
            case Heading(text, level):
                lines.append(f"<h{level}>{escape(text)}</h{level}>")
            case Lines(told):
                lines += ["<ul>", *(f"<li>{escape(line)}</li>" for line in told), "</ul>"]
            case Table():
                lines += _in_html(block)
    return "\n".join([*lines, "</main>", "</body>", "</html>", ""])


def _in_html(table: Table) -> Iterator[str]:
    numbers = [_class(table, at) for at in range(len(table.head))]
    heads = zip(table.head, numbers, strict=True)
    yield '<div class="wide">\n<table>\n<thead>'
    bars = "" if table.bars is None else "<td></td>"
    yield (
        "<tr>"
        + "".join(f'<th scope="col"{number}>{escape(cell)}</th>' for cell, number in heads)
        + f"{bars}</tr>"
    )
    yield "</thead>\n<tbody>"
    most = max((int(row[table.bars]) for row in table.rows), default=0) if table.bars is not None else 0
    for row in table.rows:
        rest = zip(table.head[1:], row[1:], numbers[1:], strict=True)
        cells = "".join(f"<td{number}>{_cell(head, cell)}</td>" for head, cell, number in rest)
        if most and table.bars is not None:
            length = _BAR * int(row[table.bars]) // most
            cells += f'<td><span class="bar" style="width: {length / 10}em"></span></td>'
        yield f'<tr><th scope="row">{escape(row[0])}</th>{cells}</tr>'
    yield "</tbody>\n</table>\n</div>"


def _class(table: Table, at: int) -> str:
    """How a column is set: numbers to the right, and sentences in lines of several words."""
    if at >= table.texts:
        return ' class="number"'
    return ' class="sentence"' if any(len(row[at]) > _SENTENCE for row in table.rows) else ""


def _cell(head: str, text: str) -> str:
    """A cell; what stands at one place on paper, `A 10 C`, is not parted."""
    if head == ON_PAPER:
        return ", ".join(escape(place).replace(" ", "&#160;") for place in text.split(", "))
    return escape(text)


def as_csv(table: Table) -> str:
    """A table as CSV."""
    return spreadsheets.as_csv([table.head, *table.rows])
