"""The block for staff: of each part the problem, the key, the worked solution with its marks, what leads to each
wrong answer. It is shown to scorers and tutors only, and holds neither addresses nor names of slips.

Its `data-` attributes say in words of the trade what is what, so that a reader of the file can check it.
"""

from __future__ import annotations

from functools import cache
from itertools import count
from typing import NamedTuple, assert_never

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import (
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Mark,
    MatchResponse,
    OrderResponse,
    Part,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.writers.qti3 import phrases
from itembank.writers.qti3.markup import PICTURE, blocks, maths, tag, words

__all__ = ["Cause", "block", "part_block"]


class Cause(NamedTuple):
    """A wrong answer or the key among options, as markup.

    identifier: of the option, "" for an entry; feedback: what it shows, "" for nothing; value: what it comes to, ""
    where nothing leads there; note: the sentence for the teacher, "" for none.
    """

    identifier: str
    feedback: str
    value: str
    note: str


class _Looks(NamedTuple):
    label: str
    shape: str
    unknowns: tuple[str, ...]
    for_every: tuple[str, ...]
    kind: str
    has_domain: bool
    lines: tuple[tuple[str, tuple[Mark, ...], bool, bool, bool], ...]
    causes: tuple[tuple[str, str, bool, bool], ...]
    language: str
    follow: tuple[tuple[str, int], ...] | None


def block(*parts: str) -> str:
    """The block with all its parts."""
    return _block().fill(("".join(parts),))  # type: ignore[arg-type]


@cache
def _block() -> Pattern:
    body = tag("qti-content-body", hole_mark(0))
    return Pattern(tag("qti-rubric-block", body, use="solution", view="scorer tutor"))


def part_block(part: Part, causes: tuple[Cause, ...], language: str, is_followed: bool = False) -> str:
    """What staff are told of a part.

    language: of the words this writer adds, "" where it is the item's own; is_followed: whether the file marks what
    follows through.
    """
    problem = part.problem
    follow = None
    if part.follow is not None and isinstance(part.response, EntryResponse):
        follow = tuple((b.unknown, b.follow_worth if is_followed else 0) for b in part.response.blanks)
    looks = _Looks(
        part.label, problem.shape, problem.unknowns, problem.for_every, _kind(part), problem.domain is not None,
        tuple(
            [
                (line.kind, line.marks, line.say is not None, line.maths is not None, line.figure is not None)
                for line in part.solution
            ]
        ),
        tuple([(each.identifier, each.feedback, bool(each.value), bool(each.note)) for each in causes]),
        language, follow,
    )  # fmt: skip
    filled = [maths(problem.statement)]
    if problem.domain is not None:
        filled.append(maths(problem.domain))
    filled.append(maths(part.key))
    if follow is not None:
        assert part.follow is not None
        filled.append(maths(part.follow))
    for line in part.solution:
        if line.say is not None:
            filled.append(blocks(line.say))
        if line.maths is not None:
            filled.append(maths(line.maths))
    for cause in causes:
        filled += [text for text in (cause.value, cause.note) if text]
    return _pattern(looks).fill(tuple(filled))  # type: ignore[arg-type]


def _kind(part: Part) -> str:
    match part.response:
        case ChoiceResponse(by_words=by_words):
            return "words" if by_words else "choice"
        case EntryResponse():
            return "entry"
        case ChoicesResponse(sense=sense):
            return f"choices-{sense}"
        case WrongLineResponse():
            return "wrong-line"
        case OrderResponse(by=by):
            return f"order-{by}"
        case MatchResponse(by_words=by_words):
            return "match-words" if by_words else "match"
        case WrittenResponse():
            return "written"
        case _:
            assert_never(part.response)


@cache
def _pattern(looks: _Looks) -> Pattern:
    holes = (hole_mark(hole) for hole in count())
    told = [_told(looks, "problem", phrases.PROBLEM, next(holes))]
    if looks.has_domain:
        told.append(_told(looks, "domain", phrases.DOMAIN, next(holes)))
    told.append(_told(looks, "key", phrases.KEY, next(holes)))
    if looks.follow is not None:
        earned = {"data_marks": " ".join(f"{unknown}:{worth}" for unknown, worth in looks.follow)}
        told.append(_told(looks, "follow-through", phrases.FOLLOW_THROUGH, next(holes), **earned))
    lines = []
    for kind, marks, has_words, has_maths, has_picture in looks.lines:
        say = next(holes) if has_words else ""
        lines.append(_line(kind, marks, say, next(holes) if has_maths else "", has_picture))
    told.append(tag("ol", *lines) if lines else "")
    for identifier, feedback, has_value, has_note in looks.causes:
        value = next(holes) if has_value else ""
        told.append(_cause(identifier, feedback, value, next(holes) if has_note else ""))
    return Pattern(
        tag(
            "div", *told, data_part=looks.label, data_shape=looks.shape, data_unknowns=" ".join(looks.unknowns),
            data_for_every=" ".join(looks.for_every), data_kind=looks.kind,
        )
    )  # fmt: skip


def _told(looks: _Looks, role: str, label: str, value: str, **more: str) -> str:
    tongue = {"xml__lang": looks.language} if looks.language else {}
    return tag("p", tag("strong", words(label), **tongue), " ", value, data_role=role, **more)


def _line(kind: str, marks: tuple[Mark, ...], say: str, value: str, has_picture: bool) -> str:
    """The words, the marks in sight, the mathematics in a paragraph of its own, and last the picture."""
    earned = " ".join(str(mark) for mark in marks)
    shown = tag("p", words(earned), class_="marks") if earned else ""
    written = tag("p", value) if value else ""
    picture = PICTURE if has_picture else ""
    return tag("li", say, shown, written, picture, data_role="line", data_kind=kind, data_marks=earned)


def _cause(identifier: str, feedback: str, value: str, note: str) -> str:
    named = {"data_identifier": identifier} if identifier else {}
    label = tag("strong", words(f"{identifier or feedback}:"), " ") if identifier or feedback else ""
    told = tag("p", label, value, data_role="option", **named, data_feedback=feedback)
    return told + (tag("div", note, data_role="note", **named) if note else "")
