"""Printed papers as LaTeX: for pupils and for staff, each document of a paper a source of its own.

Only the standard article class, packages of every usual distribution and macros of our own; the sources are ASCII
and set alike by pdflatex and lualatex. Templates hold the markup, `characters.py` all escaping: what a template
receives is either `Source` or is escaped on its way in.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Final

from itembank.errors import DomainError
from itembank.expressions.conventions import FUNCTIONS, conventions_of
from itembank.expressions.display import Decimal, Maths
from itembank.items import Item, Mark
from itembank.words import Words
from itembank.writers.drawn_answers import has_squares
from itembank.writers.latex.characters import Source, escape, hexadecimal, language_tag, unknown_characters
from itembank.writers.latex.content import blocks, displayed, in_line, inline_maths, maths_source, picture
from itembank.writers.latex.responses import (
    answer_boxes,
    answers_by_columns,
    circles_by_columns,
    match_rows,
    options,
    ruled,
    shown_lines,
    working,
)
from itembank.writers.paper import (
    DOCUMENTS,
    SITTING,
    Answer,
    PaperFacts,
    combined_rows,
    follow_marks,
    has_kind,
    key_alone,
    key_answer,
    key_letters,
    key_place,
    key_rows,
    mark_columns,
    printed_options,
    rows_to_match,
    slip_letters,
    slips_in_order,
    task,
    total_marks,
    unit,
    worked_rows,
)
from itembank.writers.pictures import has_pictures, lines_with_pictures
from itembank.writers.points import entry_blanks
from itembank.writers.scheme import alternatives, mark_words, scheme_rows, score_words, slip_score_words
from itembank.writers.space import writes_on_lines

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["FORMAT", "combined_key", "document", "document_shortfalls", "pupils_papers", "shortfalls"]

FORMAT: Final = "latex"


_FUNCTION: Final = re.compile(rf"\\mathrm\{{({'|'.join(FUNCTIONS)})\}}")


def document(name: str, items: Sequence[Item], facts: PaperFacts, pupils: Sequence[str] = ()) -> str:
    """The source of one of DOCUMENTS, of any number of items. Raises DomainError for another name.

    pupils: the names on a mark sheet; a sheet without names has empty lines.
    """
    if name not in DOCUMENTS:
        raise DomainError(f"there is no document {name!r}")
    if name in SITTING:
        return pupils_papers(name, [(facts, items)])
    return _rendered(name, items, facts, pupils=pupils or ("",) * 22)


def pupils_papers(name: str, papers: Sequence[tuple[PaperFacts, Sequence[Item]]]) -> str:
    """Several of SITTING in one source, each with its own front and page numbers; the looks are the first one's.

    papers: at least one; the questions of equal items are worked out once.
    """
    facts, items = papers[0]
    bodies: dict[int, Source] = {}
    if name == "question-paper":
        shared = {"w": facts.words, "looks": facts.looks, "facts": facts}
        questions = _environment().get_template("questions.tex.j2").make_module(shared)
        for _, each in papers:
            if id(each) not in bodies:
                bodies[id(each)] = Source(questions.questions(each))  # type: ignore[attr-defined]
    rows = [(of_one, each, bodies.get(id(each), Source())) for of_one, each in papers]
    return _rendered(name, items, facts, papers=rows)


def combined_key(versions: Sequence[Sequence[Item]], letters: Sequence[str], facts: PaperFacts) -> str:
    """The key to all versions in one table, in the order of the first."""
    rows = list(combined_rows(versions))
    longest = max((len(option) for row in rows for _, option in row.places), default=0)
    place = 20 if longest > len("A, B") else 14  # an order, or pairs, need more room
    if longest > len("A, B, C") and len(letters) == 2 and not facts.looks.large:
        place = 36  # which two versions have, on one line
    return _rendered("combined-key", versions[0], facts, combined=rows, letters=letters, place=place)


def _rendered(name: str, items: Sequence[Item], facts: PaperFacts, **more: object) -> str:
    source = (
        _environment()
        .get_template(f"{name}.tex.j2")
        .render(
            items=items, facts=facts, total=total_marks(items), w=facts.words, looks=facts.looks,
            draws=_draws(name, items), kind=facts.words(name), **more,
        )
    )  # fmt: skip
    return _with_functions(source, facts.words)


def _with_functions(source: str, said: Words) -> str:
    """The document with functions called as its language calls them; no text of an author holds a command of ours."""
    names = conventions_of(said)

    def called(found: re.Match[str]) -> str:
        name = names.function(found[1])
        return found[0] if name == found[1] else rf"\text{{{escape(name)}}}"

    return _FUNCTION.sub(called, source)


def shortfalls(item: Item) -> tuple[str, ...]:
    """What the documents cannot carry of an item, a sentence each; () where nothing is lost."""
    facts = PaperFacts("")
    return document_shortfalls("".join(document(name, (item,), facts) for name in DOCUMENTS))


_NAMED: Final = 6
"""Characters that are named one by one; of a whole alphabet nobody reads them."""


def document_shortfalls(source: str) -> tuple[str, ...]:
    r"""What a finished document could not carry, of its items and of the words around them.

    >>> document_shortfalls(r"\Unknown{05D0}\Unknown{1F600}")
    ('the usual TeX fonts have no sign for U+05D0, U+1F600: printed as framed codes',)
    """
    unknown = unknown_characters(source)
    codes = ", ".join(f"U+{ord(character):04X}" for character in unknown[:_NAMED])
    if not codes:
        return ()
    if len(unknown) <= _NAMED:
        return (f"the usual TeX fonts have no sign for {codes}: printed as framed codes",)
    return (
        f"the usual TeX fonts have no sign for {codes} and {len(unknown) - _NAMED} more: printed as framed codes; "
        "the formats html and docx have them all",
    )


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
        "alternatives": alternatives, "answer": _answer, "answers_by_columns": answers_by_columns,
        "blocks": blocks, "boxes": answer_boxes, "entry_blanks": entry_blanks, "circles_by_columns": circles_by_columns,
        "follow_marks": follow_marks, "has_kind": has_kind, "in_line": in_line,
        "inline_maths": inline_maths, "key_alone": key_alone, "key_letters": key_letters, "key_of": key_answer,
        "key_place": key_place, "key_rows": key_rows, "mark_columns": mark_columns,
        "marks": _marks, "maths": maths_source, "number": _number, "options": options, "picture": picture,
        "match_rows": match_rows, "printed_options": printed_options, "rows_to_match": rows_to_match, "ruled": ruled,
        "pictured": lines_with_pictures, "scheme_rows": scheme_rows, "scores": score_words,
        "shown_lines": shown_lines, "slip_letters": slip_letters, "slip_scores": slip_score_words,
        "slips_in_order": slips_in_order, "task": task, "unit": unit, "worked_rows": worked_rows,
        "working": working, "writes_on_lines": writes_on_lines,
    }  # fmt: skip
    environment.filters |= {
        "comment": escape, "hexadecimal": hexadecimal, "mark_words": mark_words, "page_of": _page_of, "source": Source,
        "tag": language_tag,
    }  # fmt: skip
    return environment


def _finalized(value: object) -> str:
    return value if isinstance(value, Source) else escape(str(value))


def _answer(answer: Answer) -> Source:
    return displayed(answer) if isinstance(answer, Maths) else in_line(answer)


def _draws(name: str, items: Sequence[Item]) -> bool:
    """Whether a document has a picture: question paper and worksheet those of stems and squared paper, the worked
    solutions all of the items."""
    if name == "worked-solutions":
        return any(map(has_pictures, items))
    stems = any(part.figure is not None or has_squares(part) for item in items for part in item.parts)
    return name in {"question-paper", "worksheet"} and stems


def _marks(marks: tuple[Mark, ...]) -> str:
    return " ".join(map(str, marks))


def _number(number: Decimal, words: Words) -> str:
    return str(number).replace(".", words.decimal_mark)


def _page_of(text: str) -> Source:
    """The foot's words with TeX's own counts in the places of @ and #."""
    counted = escape(text).replace("@", r"\thepage{}")
    return Source(counted.replace(r"\#", r"\pageref{paper:\number\PaperNumber}"))
