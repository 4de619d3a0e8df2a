"""The house's own grammar, one for each family of dialects: a document is made of what we write, as we write it.

The grammars (RELAX NG, beside this file) are of documents under the names of 3.0. With a folder of official schemas
`schemas.py` checks the document itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Final

from lxml import etree

from itembank.audit.dialects import Version
from itembank.audit.findings import Fault

__all__ = ["check_grammar"]

_FOLDER: Final = Path(__file__).parent / "grammars"
_MOST: Final = 3


@cache
def _grammar(name: str) -> etree.RelaxNG:
    return etree.RelaxNG(etree.parse(_FOLDER / name, etree.XMLParser(no_network=True)))


def check_grammar(root: etree._Element, version: Version) -> Iterator[Fault]:
    """What is not as this house writes it, the first few places. root: under the names of 3.0."""
    grammar = _grammar("qti3.rng" if version.name == "QTI 3.0" else "qti2.rng")
    if grammar.validate(root):
        return
    told: dict[str, int] = {}
    for entry in grammar.error_log:
        told.setdefault(entry.message, entry.line)
    for message, line in list(told.items())[:_MOST]:
        yield Fault("not-in-grammar", f"line {line} is not as this house writes it: {message}")
