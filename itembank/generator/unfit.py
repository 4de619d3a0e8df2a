"""What is raised where a template's lines allow an assignment that yet makes no item."""

from __future__ import annotations

from typing import Final

from itembank.errors import ItembankError, Span

NOTHING_TO_SAY_SO_WITH: Final = (
    "by the key there is no real solution, and the response has nothing to say so with"
)


class NotAnItem(ItembankError):
    """An assignment that makes no item though its template's lines allow it; `code` and `part` tell where.

    span: the place in the template, None for the response of the part.
    """

    def __init__(self, code: str, reason: str, part: int, span: Span | None = None) -> None:
        self.code = code
        self.part = part
        self.span = span
        super().__init__(reason)
