"""Printed papers as HTML pages with MathML: for pupils and for staff, each document of a paper a page of its own.

Each page is whole in itself: no script, no outside resource, its style sheet inside. It reads on a narrow screen
and prints on A4 or US letter from any browser. Templates hold the markup, `characters.py` all escaping: what a
template receives is either `Source` or is escaped on its way in.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import cache, partial
from typing import TYPE_CHECKING, Final

from itembank.errors import DomainError
from itembank.expressions.conventions import Conventions, conventions_of
from itembank.expressions.display import Decimal, Maths
from itembank.items import Item, Mark
from itembank.words import Words
from itembank.writers.pages.characters import REPLACED, Source, css_string, escape
from itembank.writers.pages.content import blocks, conventional, in_line, mathematics, picture
from itembank.writers.pages.responses import (
    answer_boxes,
    answer_room,
    columns,
    longest,
    marks_room,
    option,
    room,
    ruled,
    slip_room,
    working,
)
from itembank.writers.pages.tongues import own_tongue, runs_left, turned
from itembank.writers.paper import (
    DOCUMENTS,
    SITTING,
    Answer,
    PaperFacts,
    choices_to_mark,
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
from itembank.writers.pictures import lines_with_pictures
from itembank.writers.points import entry_blanks
from itembank.writers.scheme import alternatives, mark_words, scheme_rows, score_words, slip_score_words
from itembank.writers.space import writes_on_lines

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["FORMAT", "combined_key", "document", "document_shortfalls", "pupils_papers", "shortfalls"]

FORMAT: Final = "html"
_FOREIGN: Final = re.compile(r'<article lang="[^"]*">.*?</article>', re.DOTALL)


def document(name: str, items: Sequence[Item], facts: PaperFacts, pupils: Sequence[str] = ()) -> str:
    """The page of one of DOCUMENTS, of any number of items. Raises DomainError for another name.

    pupils: the names on a mark sheet; a sheet without names has empty lines.
    """
    if name not in DOCUMENTS:
        raise DomainError(f"there is no document {name!r}")
    if name in SITTING:
        return pupils_papers(name, [(facts, items)])
    return _rendered(name, items, facts, pupils=pupils or ("",) * 24)


def pupils_papers(name: str, papers: Sequence[tuple[PaperFacts, Sequence[Item]]]) -> str:
    """Several of SITTING in one page, each on sheets of its own; the looks are the first one's.

    papers: at least one; the questions of equal items are worked out once. A browser knows how many sheets the whole
    file has, not how many a paper in it has: each of several papers counts its own pages from 1, and no total stands
    beside them.
    """
    facts, items = papers[0]
    bodies: dict[int, Source] = {}
    if name == "question-paper":
        shared = {"w": facts.words, "looks": facts.looks, "facts": facts}
        questions = _environment(facts.words).get_template("questions.html.j2").make_module(shared)
        for _, each in papers:
            if id(each) not in bodies:
                bodies[id(each)] = Source(questions.questions(each))  # type: ignore[attr-defined]
    rows = [(of_one, each, bodies.get(id(each), Source())) for of_one, each in papers]
    return _rendered(name, items, facts, papers=rows)


def combined_key(versions: Sequence[Sequence[Item]], letters: Sequence[str], facts: PaperFacts) -> str:
    """The key to all versions in one table, in the order of the first."""
    rows = list(combined_rows(versions))
    return _rendered("combined-key", versions[0], facts, combined=rows, letters=letters)


def _rendered(name: str, items: Sequence[Item], facts: PaperFacts, **more: object) -> str:
    words = facts.words
    page = (
        _environment(words)
        .get_template(f"{name}.html.j2")
        .render(
            items=items, facts=facts, total=total_marks(items), w=words, looks=facts.looks, kind=words(name),
            foot=_foot(facts), **more,
        )
    )  # fmt: skip
    return conventional(_tongued(page, facts), words, facts.looks.notation)


def _tongued(page: str, facts: PaperFacts) -> str:
    """The page with formulas that say in which language they are spoken, in items of another one."""
    spoken = f'<math lang="{facts.words.language}" '
    return _FOREIGN.sub(lambda article: article[0].replace("<math ", spoken), page)


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
def _environment(words: Words) -> Environment:
    # Loaded only when a paper is printed.
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        autoescape=True, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True, undefined=StrictUndefined,
        finalize=_finalized, auto_reload=False, loader=PackageLoader("itembank.writers.pages", ""),
    )  # fmt: skip
    signs = conventions_of(words)
    readings: dict[str, Callable[..., Source]] = {
        "answer": _answer, "blocks": blocks, "in_line": in_line, "maths": mathematics, "option": option,
    }  # fmt: skip
    environment.globals |= {name: partial(each, conventions=signs) for name, each in readings.items()}
    environment.globals |= {
        "alternatives": alternatives, "answer_room": answer_room,
        "boxes": answer_boxes, "choices": choices_to_mark, "columns": columns, "entry_blanks": entry_blanks,
        "follow_marks": follow_marks, "foot_of": _foot, "has_kind": has_kind,
        "key_alone": key_alone, "key_letters": key_letters, "key_of": key_answer, "key_place": key_place,
        "key_rows": key_rows, "mark_columns": mark_columns, "marks": _marks,
        "longest": longest, "marks_room": marks_room, "own_tongue": own_tongue, "runs_left": runs_left,
        "turned": turned,
        "number": _number, "picture": partial(picture, said=words),
        "printed_options": printed_options, "rows_to_match": rows_to_match,
        "pictured": lines_with_pictures, "room": room, "scheme_rows": scheme_rows, "scores": score_words,
        "slip_letters": slip_letters, "slip_room": slip_room, "slip_scores": slip_score_words,
        "slips_in_order": slips_in_order, "style": _style(environment), "task": task, "unit": unit,
        "worked_rows": worked_rows, "ruled": ruled, "working": working,
        "writes_on_lines": writes_on_lines,
    }  # fmt: skip
    environment.filters |= {
        "css": css_string,
        "mark_words": mark_words,
        "leaf_of": _leaf_of,
        "page_of": _page_of,
        "source": Source,
    }
    return environment


def _style(environment: Environment) -> Source:
    assert environment.loader is not None
    return Source(environment.loader.get_source(environment, "page.css")[0])


def _finalized(value: object) -> str:
    # jinja2 runs constant text of a template through here as its own safe kind of string.
    return Source(value) if hasattr(value, "__html__") else escape(str(value))


def _answer(answer: Answer, conventions: Conventions) -> Source:
    return mathematics(answer, conventions) if isinstance(answer, Maths) else in_line(answer, conventions)


def _marks(marks: tuple[Mark, ...]) -> str:
    return " ".join(map(str, marks))


def _number(number: Decimal, words: Words) -> str:
    return str(number).replace(".", words.decimal_mark)


def _foot(facts: PaperFacts) -> str:
    version = [facts.version_told] if facts.version else []
    return ", ".join([facts.title, *version, *([facts.pupil] if facts.pupil else [])])


def _leaf_of(text: str, paper: int) -> Source:
    """The foot's words with a count of a paper's own in the place of @."""
    return Source(css_string(text).replace("\\40 ", f'" counter(leaf-{paper}) "'))


def _page_of(text: str) -> Source:
    """The foot's words with the browser's own counts in the places of @ and #."""
    counted = css_string(text).replace("\\40 ", '" counter(page) "')
    return Source(counted.replace("\\23 ", '" counter(pages) "'))
