"""Printed papers as LaTeX: question paper, answer key, worked solutions, each a document of its own.

Only the standard article class, packages of every usual distribution and macros of our own; the sources are ASCII
and set alike by pdflatex and lualatex. Templates hold the markup, `characters.py` all escaping: what a template
receives is either `Source` or is escaped on its way in.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Final

from itembank.errors import DomainError
from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.items import Item, Mark
from itembank.writers.latex.characters import Source, escape, unknown_characters
from itembank.writers.latex.content import blocks, displayed, in_line, inline_maths, picture
from itembank.writers.latex.responses import answer_boxes, options, shown_lines
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
)  # fmt: skip
from itembank.writers.pictures import has_pictures, lines_with_pictures

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["FORMAT", "document", "document_shortfalls", "shortfalls"]

FORMAT: Final = "latex"


def document(name: str, items: Sequence[Item], facts: PaperFacts) -> str:
    """The source of one of DOCUMENTS, of any number of items. Raises DomainError for another name."""
    if name not in DOCUMENTS:
        raise DomainError(f"there is no document {name!r}")
    return (
        _environment()
        .get_template(f"{name}.tex.j2")
        .render(items=items, facts=facts, total=total_marks(items), draws=_draws(name, items))
    )


def shortfalls(item: Item) -> tuple[str, ...]:
    """What the documents cannot carry of an item, a sentence each; () where nothing is lost."""
    facts = PaperFacts("")
    return document_shortfalls("".join(document(name, (item,), facts) for name in DOCUMENTS))


def document_shortfalls(source: str) -> tuple[str, ...]:
    r"""What a finished document could not carry, of its items and of the words around them.

    >>> document_shortfalls(r"\Unknown{05D0}\Unknown{1F600}")
    ('the usual TeX fonts have no sign for U+05D0, U+1F600: printed as framed codes',)
    """
    codes = ", ".join(f"U+{ord(character):04X}" for character in unknown_characters(source))
    return (f"the usual TeX fonts have no sign for {codes}: printed as framed codes",) if codes else ()


@cache
def _environment() -> Environment:
    # Loaded only when a paper is printed.
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        block_start_string="<%", block_end_string="%>", variable_start_string="<<", variable_end_string=">>",
        comment_start_string="<#", comment_end_string="#>", trim_blocks=True, lstrip_blocks=True,
        keep_trailing_newline=True, undefined=StrictUndefined, finalize=_finalized, auto_reload=False,
        loader=PackageLoader("itembank.writers.latex", ""),
    )  # fmt: skip
    environment.globals |= {
        "follow_marks": follow_marks, "unit": unit,
        "answer": _answer, "blocks": blocks, "boxes": answer_boxes, "has_kind": _has_kind, "in_line": in_line,
        "inline_maths": inline_maths, "key_of": key_answer, "key_place": key_place, "key_rows": key_rows,
        "kind_of": kind_of, "marks": _marks, "maths": _maths, "options": options, "shown_lines": shown_lines,
        "picture": picture, "pictured": lines_with_pictures,
        "slip_letters": slip_letters, "slips_in_order": slips_in_order, "task": task, "worked_rows": worked_rows,
        "working": working_millimetres,
    }  # fmt: skip
    return environment


def _finalized(value: object) -> str:
    return value if isinstance(value, Source) else escape(str(value))


def _answer(answer: Answer) -> Source:
    return displayed(answer) if isinstance(answer, Maths) else in_line(answer)


def _draws(name: str, items: Sequence[Item]) -> bool:
    """Whether a document has a picture: the question paper those of stems, the worked solutions all."""
    stems = any(part.figure is not None for item in items for part in item.parts)
    return name != "answer-key" and (stems or (name != "question-paper" and any(map(has_pictures, items))))


def _maths(maths: Maths) -> Source:
    return Source(latex(maths))


def _has_kind(items: Sequence[Item], *kinds: str) -> bool:
    return any(kind_of(part) in kinds for item in items for part in item.parts)


def _marks(marks: tuple[Mark, ...]) -> str:
    return " ".join(map(str, marks))
