"""Printed papers as HTML pages with MathML: question paper, answer key, worked solutions.

Each page is whole in itself: no script, no outside resource, its style sheet inside. It reads on a narrow screen
and prints on A4 from any browser. Templates hold the markup, `characters.py` all escaping: what a template receives
is either `Source` or is escaped on its way in.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Final

from itembank.errors import DomainError
from itembank.expressions.display import Maths
from itembank.items import Item, Mark
from itembank.writers.pages.characters import REPLACED, Source, escape
from itembank.writers.pages.content import blocks, in_line, mathematics, picture
from itembank.writers.pages.responses import answer_boxes, columns, option, room, slip_room
from itembank.writers.paper import (
    DOCUMENTS,
    Answer,
    PaperFacts,
    follow_marks,
    key_answer,
    key_place,
    key_rows,
    kind_of,
    slip_letters,
    slips_in_order,
    task,
    total_marks,
    unit,
    worked_rows,
    working_millimetres,
)
from itembank.writers.pictures import lines_with_pictures

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["FORMAT", "document", "document_shortfalls", "shortfalls"]

FORMAT: Final = "html"


def document(name: str, items: Sequence[Item], facts: PaperFacts) -> str:
    """The page of one of DOCUMENTS, of any number of items. Raises DomainError for another name."""
    if name not in DOCUMENTS:
        raise DomainError(f"there is no document {name!r}")
    page = _environment().get_template(f"{name}.html.j2")
    return page.render(
        items=items,
        facts=facts,
        total=total_marks(items),
        language=facts.language if facts.in_english else "en",
    )


def shortfalls(item: Item) -> tuple[str, ...]:
    """What the pages cannot carry of an item, a sentence each; () where nothing is lost."""
    facts = PaperFacts("")
    return document_shortfalls("".join(document(name, (item,), facts) for name in DOCUMENTS))


def document_shortfalls(page: str) -> tuple[str, ...]:
    """What a finished page could not carry, of its items and of the words around them.

    >>> document_shortfalls("<p>all is well</p>")
    ()
    """
    lost = REPLACED in page
    return ("characters that no page may hold are shown as the sign for a replaced one",) if lost else ()


@cache
def _environment() -> Environment:
    # Loaded only when a paper is printed.
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        autoescape=True, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True, undefined=StrictUndefined,
        finalize=_finalized, auto_reload=False, loader=PackageLoader("itembank.writers.pages", ""),
    )  # fmt: skip
    environment.globals |= {
        "follow_marks": follow_marks, "unit": unit,
        "answer": _answer, "blocks": blocks, "boxes": answer_boxes, "columns": columns, "has_kind": _has_kind,
        "in_line": in_line, "key_of": key_answer, "key_place": key_place, "key_rows": key_rows, "kind_of": kind_of,
        "marks": _marks, "maths": mathematics, "option": option, "room": room, "slip_letters": slip_letters,
        "picture": picture, "pictured": lines_with_pictures,
        "slip_room": slip_room, "slips_in_order": slips_in_order, "style": _style(environment), "task": task,
        "worked_rows": worked_rows, "working": working_millimetres,
    }  # fmt: skip
    return environment


def _style(environment: Environment) -> Source:
    assert environment.loader is not None
    return Source(environment.loader.get_source(environment, "page.css")[0])


def _finalized(value: object) -> str:
    # jinja2 runs constant text of a template through here as its own safe kind of string.
    return Source(value) if hasattr(value, "__html__") else escape(str(value))


def _answer(answer: Answer) -> Source:
    return mathematics(answer) if isinstance(answer, Maths) else in_line(answer)


def _has_kind(items: Sequence[Item], *kinds: str) -> bool:
    return any(kind_of(part) in kinds for item in items for part in item.parts)


def _marks(marks: tuple[Mark, ...]) -> str:
    return " ".join(map(str, marks))
