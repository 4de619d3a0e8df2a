"""What of YAML a bank may not use, and the bounds of a file: one diagnostic each, with the way out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from itembank.errors import Diagnostic, Span
from itembank.yaml_source.nodes import Scalar, Source

DEEPEST = 20
"""How many mappings and lists may stand inside each other."""

MOST_NODES = 50_000
"""How many names, texts, mappings and lists a file may have."""


def directive(source: Source) -> Diagnostic | None:
    """Refuse a `%` line before the first content; None where there is none."""
    for number, line in enumerate(source.lines, start=1):
        if line.startswith("%"):
            return source.diagnostic(
                "yaml-directive",
                "a line that begins with `%` is an instruction to the YAML reader, and none is known here",
                source.span(number, 1, len(line) + 1),
                hint="delete the line; a text that begins with % must be in 'single quotes'",
            )
        if line.strip() and not line.lstrip().startswith("#"):
            return None
    return None


def properties(source: Source, event: Any) -> Iterator[Diagnostic]:
    """Refuse the `&name` and the `!type` in front of a node, `event` being the one that opens it."""
    if event.anchor is not None:
        yield source.diagnostic(
            "yaml-anchor",
            f"`&{event.anchor}` names this place in order to repeat it elsewhere, which a bank may not do",
            _sign(source, event, "&"),
            hint="delete it; a text that begins with & must be in 'single quotes'",
        )
    if event.tag is not None:
        yield source.diagnostic(
            "yaml-tag",
            "a `!` at the beginning of a text asks for a type, which a bank may not do",
            _sign(source, event, "!"),
            hint="delete it; a text that begins with ! must be in 'single quotes'",
        )


def _sign(source: Source, event: Any, sign: str) -> Span:
    line, column = event.start_mark.line, event.start_mark.column
    found = source.lines[line].find(sign, column)
    return source.span(line + 1, (found if found >= 0 else column) + 1)


def alias(source: Source, name: str, span: Span) -> Diagnostic:
    """Refuse a `*name`."""
    return source.diagnostic(
        "yaml-alias",
        f"`*{name}` repeats another place of the file, which a bank may not do",
        span,
        hint="write the content out again; a text that begins with * must be in 'single quotes'",
    )


def merge_key(source: Source, key: Scalar) -> Diagnostic:
    """Refuse the name `<<`."""
    return source.diagnostic(
        "yaml-merge",
        "`<<` copies the lines of another mapping, which a bank may not do",
        key.span,
        hint="write the lines out again",
    )


def duplicate_key(source: Source, key: Scalar, first: Span) -> Diagnostic:
    """Refuse a name that stands in the same mapping already."""
    return source.diagnostic(
        "duplicate-key",
        f"`{shortened(key.text)}` is given twice",
        key.span,
        hint="a decimal is written with a point: 0.5; a comma begins another name"
        if key.text.strip().isdigit()
        else "keep one of the two",
        related=(first, "it is given here first"),
    )


def key_not_text(source: Source, span: Span) -> Diagnostic:
    """Refuse a mapping, a list or nothing at all before a colon."""
    return source.diagnostic(
        "key-not-text",
        "before a colon there must be a name, not a list, a mapping or nothing",
        span,
        hint="write `name: value`; if this is a text or an expression, put all of it in 'single quotes'",
    )


def several_documents(source: Source, span: Span) -> Diagnostic:
    """Refuse a second `---`."""
    return source.diagnostic(
        "several-documents",
        "a second document begins here; a file holds one",
        span,
        hint="delete the line of dashes or dots, or move what follows into a file of its own",
    )


def too_deep(source: Source, span: Span) -> Diagnostic:
    """Refuse one level more than DEEPEST."""
    return source.diagnostic(
        "too-deep",
        f"more than {DEEPEST} lists and mappings stand inside each other here",
        span,
        hint="no template needs so many levels: look for brackets that were not closed",
    )


def too_many_nodes(source: Source, span: Span) -> Diagnostic:
    """Refuse one node more than MOST_NODES."""
    message = f"the file has more than {MOST_NODES} names and values"
    return source.diagnostic("too-many-nodes", message, span, hint="split it into several files")


def empty_file(source: Source) -> Diagnostic:
    """Refuse a file with nothing but blank lines and comments."""
    return source.diagnostic(
        "empty-file",
        "the file holds nothing but blank lines and comments",
        source.span(1, 1),
        hint="write `name: value` lines, or delete the file",
    )


def shortened(text: str) -> str:
    """Return a text for use inside a message: one line, at most 40 characters."""
    line = " ".join(text.split())
    return line if len(line) <= 40 else line[:39] + "…"
