"""Documents of a cartridge against our own grammars of exactly what is written.

The grammars are this house's, not the publisher's: passing them says nothing of conformance.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from lxml import etree

from itembank.audit.findings import Fault

__all__ = ["MANIFEST_GRAMMAR", "QUESTIONS_GRAMMAR", "grammar_faults"]

MANIFEST_GRAMMAR = "cartridge_manifest.rng"
QUESTIONS_GRAMMAR = "cartridge_questions.rng"
_MOST = 5


def grammar_faults(root: etree._Element, name: str) -> list[Fault]:
    """What a grammar of ours finds wrong with a document, the first few."""
    grammar = _grammar(name)
    if grammar.validate(root):
        return []
    said = "the document is not written as it should be"
    return [
        Fault("not-in-grammar", f"{said}: {error.message}", place=f"line {error.line}")
        for error in list(grammar.error_log)[:_MOST]
    ]


@cache
def _grammar(name: str) -> etree.RelaxNG:
    return etree.RelaxNG(etree.fromstring((files("itembank.audit") / name).read_bytes()))
