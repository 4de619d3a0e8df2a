"""The format `revision-cards`: a table with a question and its answer a line, for cards. For staff: it has keys."""

from __future__ import annotations

from collections.abc import Iterable

from itembank.extending import Item, Publication, WriterExtension, csv_line, plain_text, terminal


def write(items: Iterable[Item], about: Publication) -> str:
    """One line for each part of each item."""
    lines = [csv_line(("item", "question", "answer"))]
    for item in items:
        for part in item.parts:
            name = f"{item.code} {part.label}".strip()
            lines.append(csv_line((name, plain_text(part.stem), terminal(part.key))))
    return "".join(lines)


def shortfalls(item: Item) -> Iterable[str]:
    """Pictures and worked solutions stay behind."""
    if any(part.figure is not None for part in item.parts):
        yield "a card has no picture"


CARDS = WriterExtension("revision-cards", "staff", ".csv", write, shortfalls)
