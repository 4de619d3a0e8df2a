"""The writer of Common Cartridge 1.3, with items in its profile of QTI 1.2.1.

`written` is a pure function from a frozen item to documents' pieces: one item of the profile for each part that the
profile can carry, and what is lost of it in plain words. `assessment`, `question_bank` and `manifest` put them
together.

The profile knows multiple choice, multiple response, true or false, one typed answer, and the essay, nothing else;
boxes become one typed answer whose accepted spellings are listed (`typed.py`, `spellings.py`).
Identifiers: RESPONSE in every item; feedback F_A, F_B, ... of options, F0 (right), FU (right, not simplified), F1, F2,
... of typed answers, `solution`. SCORE is a percentage.
"""

from __future__ import annotations

from typing import Final

from itembank.writers.common_cartridge.documents import Collection, assessment, question_bank
from itembank.writers.common_cartridge.item import Written, shortfalls, written
from itembank.writers.common_cartridge.manifest import About, manifest

__all__ = [
    "FORMAT", "About", "Collection", "Written", "assessment", "manifest", "question_bank", "shortfalls", "written",
]  # fmt: skip

FORMAT: Final = "cc"
