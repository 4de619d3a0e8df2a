"""The writer of QTI 3.0: items as documents of the standard, and the manifest of a package that holds them.

`item_xml` is a pure function from a frozen item to a text; the manifest comes in pieces (`manifest_head`, one
`manifest_resource` for each item, `manifest_tail`), so that any number of items can pass through.

How responses are marked stands in `forms.py` (one value in its boxes), `blanks.py` (several), `entry.py` and
`choice.py` (a whole response).
Identifiers: RESPONSE (of a choice), BOX_1, BOX_2, ... in reading order, TICK; part a has RESPONSE_a, BOX_a_1, ...
Outcomes: SCORE, MAXSCORE, SCORE_a, ... of parts, FEEDBACK with F0 (right), FU (right, not simplified), F1, F2, ...
"""

from __future__ import annotations

from typing import Final

from itembank.writers.qti3.item import item_xml
from itembank.writers.qti3.shortfalls import shortfalls
from itembank.writers.qti_manifest import (
    item_name,
    manifest_head,
    manifest_resource,
    manifest_tail,
    picture_names,
)

__all__ = [
    "FORMAT", "item_name", "item_xml", "manifest_head", "manifest_resource", "manifest_tail", "picture_names",
    "shortfalls",
]  # fmt: skip

FORMAT: Final = "qti3"
