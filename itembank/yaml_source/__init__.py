"""YAML read into a frozen tree of raw texts with their places.

Why the room exists: a bank is written by people, so `no`, `010`, `1.10` and `12:30` must stay as written, and
every complaint must point at the author's own line and column. It knows nothing of templates or mathematics;
the schema above gives a text its meaning.

Left out of YAML, each with a diagnostic of its own: types, anchors, repeated places, merging, directives,
several documents, names that are not texts, tabs. Size, depth and number of nodes are bounded.
"""

from __future__ import annotations

from pathlib import Path

from itembank.yaml_source.intake import LARGEST_FILE, read_bytes, source_of
from itembank.yaml_source.nodes import Document, Mapping, Node, Scalar, Sequence, Source, Style, WrittenOut
from itembank.yaml_source.refusals import DEEPEST, MOST_NODES

__all__ = [
    "DEEPEST",
    "LARGEST_FILE",
    "MOST_NODES",
    "Document",
    "Mapping",
    "Node",
    "Scalar",
    "Sequence",
    "Source",
    "Style",
    "WrittenOut",
    "load",
    "parse",
]


def load(path: Path, shown_as: str, *, pure: bool = False) -> Document:
    """Read a YAML file. shown_as: the path that diagnostics name; pure: as in `parse`.

    Raises InputError as `parse` does, and `not-readable`. Reads at most LARGEST_FILE + 1 bytes.
    """
    return parse(read_bytes(path, shown_as), shown_as, pure=pure)


def parse(data: bytes, shown_as: str, *, pure: bool = False) -> Document:
    """Read the bytes of a YAML file, UTF-8 with or without a byte order mark, any line ends.

    pure: use PyYAML's Python parser even where its C one is there; slower, and the same in every result.
    Raises InputError with all diagnostics that can be found, ordered by place; a syntax error is the last.

    >>> document = parse(b"calculator: no", "card.yaml")
    >>> document.root.get("calculator")
    Scalar(text='no', span=Span(path='card.yaml', line=1, column=13, end_column=15), style=<Style.PLAIN: ''>)
    """
    from itembank.yaml_source.reader import document_of  # late: a bank read from the cache parses nothing

    return document_of(source_of(data, shown_as), pure=pure)
