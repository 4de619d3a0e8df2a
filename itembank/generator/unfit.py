"""What is raised where a template's lines allow an assignment that yet makes no item."""

from __future__ import annotations

from itembank.errors import ItembankError


class NotAnItem(ItembankError):
    """An assignment that makes no item though its template's lines allow it; `code` and `part` tell where."""

    def __init__(self, code: str, reason: str, part: int) -> None:
        self.code = code
        self.part = part
        super().__init__(reason)
