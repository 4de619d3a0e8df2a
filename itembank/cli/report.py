"""What commands say: diagnostics and results as text or JSON, from the same fields; progress on a terminal only."""

from __future__ import annotations

import json
import os
import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from itembank.errors import Contradiction, Diagnostic, InputError, Level, Span
from itembank.whole_file import put_new

if TYPE_CHECKING:
    from itembank.analysis.blocks import Block

T = TypeVar("T")


def tell(text: str) -> None:
    """One line of talk, to standard error."""
    print(text, file=sys.stderr)


def say(text: str = "") -> None:
    """One line of the result, to standard output."""
    print(text)


def can_show_signs() -> bool:
    """Whether standard output can carry √, ², − and the like."""
    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        "√²⁷⁻₁−±≤≠".encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")


def in_a_line(name: str) -> str:
    """A file's name, or what holds one, for people: no character of it ends the line or commands the terminal.

    >>> print(in_a_line("two\\nlines.yaml"))
    two\\nlines.yaml
    """
    return _CONTROL.sub(lambda sign: repr(sign[0])[1:-1], name)


def diagnostic_lines(diagnostic: Diagnostic) -> list[str]:
    """A diagnostic as lines: place, level, code; claim; the source line with a mark under it; the remedy."""
    where = f"{in_a_line(str(diagnostic.span))}: " if diagnostic.span else ""
    lines = [f"{where}{diagnostic.level.value}: {diagnostic.code}", f"  {in_a_line(diagnostic.message)}"]
    span = diagnostic.span
    if span is not None and diagnostic.excerpt.strip():
        shown, start, width = _window(diagnostic.excerpt, span.column, span.end_column)
        lines += [f"    {shown}", f"    {' ' * start}{'^' * width}"]
    if diagnostic.also:
        lines.append(f"  {_also(diagnostic.also)}")
    if diagnostic.related:
        lines.append(f"  {diagnostic.related[0]}: {diagnostic.related[1]}")
    if diagnostic.hint:
        lines.append(f"  hint: {diagnostic.hint}")
    return lines


_PLACES_TOLD = 6


def _also(places: Sequence[Span]) -> str:
    """The further places of a diagnostic, by line and column; of very many the first.

    >>> _also([Span("sum.yaml", 4, 9), Span("sum.yaml", 7, 12)])
    'also at 4:9 and 7:12'
    """
    told = [f"{span.line}:{span.column}" for span in places[:_PLACES_TOLD]]
    more = len(places) - len(told)
    last = told.pop() if not more else f"{more} more {'place' if more == 1 else 'places'}"
    return f"also at {', '.join(told)} and {last}" if told else f"also at {last}"


def _window(line: str, column: int, end: int) -> tuple[str, int, int]:
    """The part of a source line around a place, where its mark starts, and how wide it is."""
    line = line.replace("\t", " ")
    start = max(column - 1, 0)
    width = max(min(end or column + 1, len(line) + 1) - column, 1)
    if len(line) <= 110:
        return line, start, width
    left = max(start - 40, 0)
    return line[left : left + 100], start - left, min(width, 60)


def as_data(diagnostic: Diagnostic) -> dict[str, Any]:
    """A diagnostic for programs."""
    span = diagnostic.span
    return {
        "level": diagnostic.level.value,
        "code": diagnostic.code,
        "message": diagnostic.message,
        "hint": diagnostic.hint,
        "path": span.path if span else "",
        "line": span.line if span else 0,
        "column": span.column if span else 0,
        "excerpt": diagnostic.excerpt,
        "also": [{"path": s.path, "line": s.line, "column": s.column} for s in diagnostic.also],
    }


def contradiction_as_data(ours: Contradiction) -> dict[str, Any]:
    """Our own fault for programs."""
    return {
        "template": ours.template,
        "address": ours.address,
        "values": dict(ours.values),
        "first": ours.first,
        "second": ours.second,
    }


_OF_NO_FILE = ("no-words-for-language",)
"""What would be said of every template of a bank in the same words."""


def tell_diagnostics(diagnostics: Iterable[Diagnostic]) -> None:
    """All of them to standard error, and a count at the end."""
    listed = list(diagnostics)
    tell_each(listed)
    tell(summary(listed))


def tell_each(diagnostics: Iterable[Diagnostic]) -> None:
    """All of them to standard error, also where the report is JSON: the one is for people, the other for programs.

    What is so of a language, and not of a file, is told once, with how many files it is so in.
    """
    listed = list(diagnostics)
    alike = Counter((each.code, each.message) for each in listed)
    told: set[tuple[str, str]] = set()
    for diagnostic in listed:
        key = diagnostic.code, diagnostic.message
        if diagnostic.code in _OF_NO_FILE and key in told:
            continue
        told.add(key)
        for line in diagnostic_lines(diagnostic):
            tell(line)
        if diagnostic.code in _OF_NO_FILE and (more := alike[key] - 1):
            tell(f"  and so in {more} more {'file' if more == 1 else 'files'}")


def summary(diagnostics: Iterable[Diagnostic]) -> str:
    """How many are wrong, how many doubtful."""
    listed = list(diagnostics)
    wrong = sum(d.level is Level.WRONG for d in listed)
    doubtful = len(listed) - wrong
    return f"{wrong} wrong, {doubtful} doubtful"


def tell_contradiction(ours: Contradiction) -> None:
    """Our own fault, with all that is needed to report it."""
    tell(
        "itembank contradicts itself; nothing was written. This is a fault of itembank, not of the template."
    )
    tell(f"  template: {ours.template}")
    tell(f"  address:  {ours.address}")
    if ours.values:
        tell("  values:   " + ", ".join(f"{name} = {value}" for name, value in ours.values.items()))
    tell(f"  one road: {ours.first}")
    tell(f"  another:  {ours.second}")


def figures_json(data: dict[str, Any]) -> str:
    """Data with figures in it as JSON. Decimals become numbers: they were rounded before and decide nothing."""
    return json.dumps(data, ensure_ascii=False, indent=1, default=_number)


def _number(value: object) -> float:
    if not isinstance(value, Decimal):
        raise TypeError(f"{value!r} is no figure")
    return float(value)


def write_report(out: Path, blocks: Sequence[Block], data: dict[str, Any], what: str) -> int:
    """A report with its tables as a whole folder; how many files.

    what: the report's subject in messages. Raises InputError as `whole_folder`.
    """
    from itembank.output_folder import whole_folder

    with whole_folder(out, what) as folder:
        return write_report_files(folder, blocks, data)


def write_report_files(
    folder: Path,
    blocks: Sequence[Block],
    data: dict[str, Any],
    read: tuple[str, Sequence[Block]] | None = None,
) -> int:
    """A report with its tables into a folder: Markdown, a page that prints, data, CSV; how many files.

    read: another language, and the same in it for the first two, which people read.
    """
    from itembank.analysis.blocks import Table
    from itembank.analysis.rendering import as_csv, as_markdown, as_page

    told = tuple(blocks)
    language, said = read or ("en", told)
    files = {
        "report.md": as_markdown(tuple(said)),
        "report.html": as_page(tuple(said), language),
        "report.json": figures_json(data) + "\n",
    }
    files |= {f"{block.name}.csv": as_csv(block) for block in told if isinstance(block, Table)}
    for name, text in files.items():
        (folder / name).write_text(text, "utf-8", newline="\n")
    return len(files)


def write_new(path: Path, text: str, why: str) -> None:
    """A text into a file that is not there yet. why: what one that is there may hold.

    Raises InputError `file-exists`, `not-writable`.
    """
    try:
        put_new(path, text.encode())
    except FileExistsError:
        message, hint = f"{path} is there already", f"choose another name: {why}"
        raise InputError(Diagnostic("file-exists", message, Span(str(path), 1, 1), hint=hint)) from None
    except OSError as failed:
        message = f"the file cannot be written: {(failed.strerror or str(failed)).lower()}"
        hint = "see to it that files can be made there"
        raise InputError(Diagnostic("not-writable", message, Span(str(path), 1, 1), hint=hint)) from None


def say_json(data: Any) -> None:
    """A result for programs."""
    say(json.dumps(data, ensure_ascii=False, indent=1))


def language_tag(ctx: object, parameter: object, value: str | None) -> str:
    """The language a command is asked for, "" for none. Raises click.BadParameter for what is no language tag."""
    import click

    if value is None:
        return ""
    if not re.fullmatch(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*", value):
        raise click.BadParameter(f"`{value}` is no language tag, such as es or en-US")
    from itembank.words.tags import unknown

    if (wrong := unknown(value)) is not None:
        meant = f"; did you mean `{wrong.meant}`?" if wrong.meant else ""
        raise click.BadParameter(f"there is no language tag `{value}`: {wrong.reason}{meant}")
    return value or ""


def a_day(ctx: object, parameter: object, value: str | None) -> str:
    """The day that an option names, "" for none. Raises click.BadParameter for what is no day."""
    import click

    if value is None:
        return ""
    from itembank.templates.record_model import a_day as read_day

    try:
        return read_day(value)
    except ValueError as wrong:
        raise click.BadParameter(f"`{value}`: {wrong}") from None


def progress(items: Iterable[T], total: int, what: str, *, shown_from: int = 200) -> Iterator[T]:
    """The items, with a bar on a terminal while there is something to wait for; quiet in a pipe.

    total: how many there will be; below `shown_from` it is not worth a bar.
    """
    if not sys.stderr.isatty() or os.environ.get("TERM") == "dumb" or total < shown_from:
        yield from items
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(stderr=True, no_color=bool(os.environ.get("NO_COLOR")))
    with Progress(
        TextColumn(what),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        console=console,
        transient=True,
    ) as bar:
        task = bar.add_task(what, total=total)
        step = min(shown_from, 50)
        for number, item in enumerate(items, 1):
            yield item
            if number % step == 0 or number == total:
                bar.update(task, completed=number)
