"""The writers of QTI 2.2 and 2.1: the documents of the writer of QTI 3.0, translated name by name.

So every kind of item that 3.0 carries comes along, or is refused loudly; see `names.py` and `translate.py`. What 2.x
has no place for is kept where it can be (what staff and the audit need: `tokens.py`), and told where it cannot.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from itembank.items import Item
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_2_2, Dialect
from itembank.writers.qti2.translate import Translated, translate

__all__ = ["WRITER_2_1", "WRITER_2_2", "Translated", "translate"]


@dataclass(frozen=True, slots=True)
class _Writer:
    """A dialect as a writer."""

    dialect: Dialect

    @property
    def FORMAT(self) -> str:  # noqa: N802 (as the constant of other writers)
        """The name of the format."""
        return self.dialect.name

    def item_xml(self, item: Item) -> str:
        """The item as a document of the dialect, to be written in UTF-8. Raises DomainError as the writer of 3.0."""
        return translate(qti3.item_xml(item), self.dialect).document

    def shortfalls(self, item: Item) -> tuple[str, ...]:
        """What is lost of an item; () for nothing, each sentence once."""
        return (*qti3.shortfalls(item), *translate(qti3.item_xml(item), self.dialect).lost)


WRITER_2_2: Final = _Writer(QTI_2_2)
WRITER_2_1: Final = _Writer(QTI_2_1)
