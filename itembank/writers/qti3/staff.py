"""The block for staff: of each part the problem, the key, the worked solution with its marks, what leads to each
wrong answer. It is shown to scorers and tutors only, and holds neither addresses nor names of slips.

Its `data-` attributes say in words of the trade what is what, so that a reader of the file can check it.
"""

from __future__ import annotations

from functools import cache
from itertools import count
from typing import Any, NamedTuple

from itembank.content import Content
from itembank.expressions.display import Maths, Pattern, hole_mark
from itembank.items import (
    WORD_NAMES,
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Mark,
    MatchResponse,
    OrderResponse,
    Part,
    Response,
)
from itembank.writers.phrases import Phrases
from itembank.writers.qti3.markup import PICTURE, Key, gather, tag, together, words
from itembank.writers.qti3.slots import box_names

__all__ = ["Cause", "block", "part_block"]


class Cause(NamedTuple):
    """A wrong answer or the key among options.

    identifier: of the option, "" for an entry; feedback: what it shows, "" for nothing; value: what it comes to, as
    mathematics or as markup, "" where nothing leads there; note: the sentence for the teacher. chosen: of words alone,
    the names of those it leads to. told: the feedback of a slip, by its name and as the pupil reads it; reads: what an
    option that is no formula shows.
    """

    identifier: str
    feedback: str
    value: Maths | str
    note: Content | None = None
    chosen: str = ""
    told: tuple[str, str] | None = None
    reads: str = ""


class _Words(NamedTuple):
    """A choice of words: its response, its texts, the place of the right one, which conditions are shown."""

    response: str
    texts: tuple[str, ...]
    right: int
    shown: tuple[bool, ...]


class _Looks(NamedTuple):
    label: str
    shape: str
    unknowns: tuple[str, ...]
    for_every: tuple[str, ...]
    kind: str
    has_domain: bool
    shows_others: bool
    lines: tuple[tuple[str, tuple[Mark, ...], bool, bool, bool], ...]
    said: Phrases
    follow: tuple[tuple[str, int], ...] | None
    words: tuple[_Words, ...] = ()


def block(*parts: str) -> str:
    """The block with all its parts."""
    return _block().fill(("".join(parts),))


@cache
def _block() -> Pattern:
    body = tag("qti-content-body", hole_mark(0))
    return Pattern(tag("qti-rubric-block", body, use="solution", view="scorer tutor"))


def part_block(
    part: Part, causes: tuple[Cause, ...], said: Phrases, is_followed: bool = False,
    reads: tuple[tuple[str, str], ...] = (),
) -> str:  # fmt: skip
    """What staff are told of a part.

    said: the words this writer adds; is_followed: whether the file marks what follows through; reads: of targets that
    are words the name and what they show.
    """
    problem = part.problem
    follow = None
    if part.follow is not None and isinstance(part.response, EntryResponse):
        blanks = [
            blank for blank in part.response.blanks if blank.unknown
        ]  # what is chosen follows from nothing
        follow = tuple((b.unknown, b.follow_worth if is_followed else 0) for b in blanks) or None
    looks = _Looks(
        part.label, problem.shape, problem.unknowns, problem.for_every, _kind(part), problem.domain is not None,
        part.shows_others,
        tuple(
            [
                (line.kind, line.marks, line.say is not None, line.maths is not None, line.figure is not None)
                for line in part.solution
            ]
        ),
        said, follow, _words(part.label, part.response),
    )  # fmt: skip
    pieces: list[Maths | Content] = [problem.statement]
    if problem.domain is not None:
        pieces.append(problem.domain)
    pieces.append(part.key)
    if follow is not None:
        assert part.follow is not None
        pieces.append(part.follow)
    if looks.words and isinstance(part.response, EntryResponse):
        statements = (word.shown for blank in part.response.blanks for word in blank.words)
        pieces += [statement for statement in statements if statement is not None]
    for line in part.solution:
        if line.say is not None:
            pieces.append(line.say)
        if line.maths is not None:
            pieces.append(line.maths)
    numbers: list[Any] = []
    keys = tuple([gather(piece, numbers, said) for piece in pieces])
    read = [_target(name).fill(shown) for name, *shown in reads]
    numbers.append("".join([*[_caused(cause, said) for cause in causes], *read]))
    return _pattern(looks, keys).fill(numbers)


def _caused(cause: Cause, said: Phrases) -> str:
    numbers: list[Any] = []
    value = gather(cause.value, numbers, said) if cause.value else ""
    note = "" if cause.note is None else gather(cause.note, numbers, said)
    told, reads = "", bool(cause.reads)
    if reads:
        numbers.append(cause.reads)
    if cause.told is not None:
        told, sentence = cause.told
        numbers.append(sentence)
    looks = cause.identifier, cause.feedback, cause.chosen, told, reads
    return _cause(looks, value, note, said).fill(numbers)


@cache
def _target(name: str) -> Pattern:
    """A target that is words, as pupils read it."""
    label = tag("p", tag("strong", words(f"{name}:")))
    return Pattern(label + tag("div", hole_mark(0), data_role="words", data_identifier=name))


def _words(label: str, response: Response) -> tuple[_Words, ...]:
    if not isinstance(response, EntryResponse) or not any(blank.words for blank in response.blanks):
        return ()
    names = box_names(label, [(blank.boxes, blank.slots) for blank in response.blanks])
    return tuple(
        _Words(
            slots[0]["word"],
            tuple(word.text for word in blank.words),
            blank.chosen,
            tuple(word.shown is not None for word in blank.words),
        )
        for blank, slots in zip(response.blanks, names, strict=True)
        if blank.words
    )


def _kind(part: Part) -> str:
    """The kind of the response, and what its answers are told apart by."""
    match part.response:
        case ChoiceResponse(by_words=True):
            return "words"
        case ChoicesResponse(sense=sense):
            return f"choices-{sense}"
        case OrderResponse(by=by):
            return f"order-{by}"
        case MatchResponse(by_words=True):
            return "match-words"
        case response:
            return response.kind


@cache
def _pattern(looks: _Looks, keys: tuple[Key, ...]) -> Pattern:
    """A part with holes for the numbers of its pieces, and one for all that leads to wrong answers."""
    return Pattern(together(_marked(looks, len(keys)), (*keys, None), looks.said)[0])


@cache
def _marked(looks: _Looks, pieces: int) -> str:
    holes = (hole_mark(hole) for hole in count())
    told = [_told(looks, "problem", looks.said("problem"), next(holes))]
    if looks.has_domain:
        told.append(_told(looks, "domain", looks.said("where"), next(holes)))
    told.append(_told(looks, "key", looks.said("key"), next(holes)))
    if looks.follow is not None:
        earned = {"data_marks": " ".join(f"{unknown}:{worth}" for unknown, worth in looks.follow)}
        told.append(_told(looks, "follow-through", looks.said("follow-from-earlier"), next(holes), **earned))
    told += [
        _word(each, place, next(holes) if has else "")
        for each in looks.words
        for place, has in enumerate(each.shown)
    ]
    lines = []
    for kind, marks, has_words, has_maths, has_picture in looks.lines:
        say = next(holes) if has_words else ""
        lines.append(_line(kind, marks, say, next(holes) if has_maths else "", has_picture))
    told.append(tag("ol", *lines) if lines else "")
    told.append(hole_mark(pieces))
    return tag(
        "div", *told, data_part=looks.label, data_shape=looks.shape, data_unknowns=" ".join(looks.unknowns),
        data_for_every=" ".join(looks.for_every), data_kind=looks.kind,
        data_lines=str(len(looks.lines)), **({"data_stem": "other"} if looks.shows_others else {}),
    )  # fmt: skip


def _told(looks: _Looks, role: str, label: str, value: str, **more: str) -> str:
    tongue = {"xml__lang": looks.said.foreign} if looks.said.foreign else {}
    return tag("p", tag("strong", words(label), **tongue), " ", value, data_role=role, **more)


def _line(kind: str, marks: tuple[Mark, ...], say: str, value: str, has_picture: bool) -> str:
    """The words, the marks in sight, the mathematics in a paragraph of its own, and last the picture."""
    earned = " ".join(str(mark) for mark in marks)
    shown = tag("p", words(earned), class_="marks") if earned else ""
    written = tag("p", value) if value else ""
    picture = PICTURE if has_picture else ""
    return tag("li", say, shown, written, picture, data_role="line", data_kind=kind, data_marks=earned)


def _word(looks: _Words, place: int, condition: str) -> str:
    """Words of a choice, right or not, and when they are right as far as that can be shown."""
    name = WORD_NAMES[place]
    text = tag("span", words(looks.texts[place]))
    shown = tag("strong", text) if place == looks.right else text
    return tag(
        "p", shown, " " if condition else "", condition, data_role="word", data_identifier=name,
        data_response=looks.response, data_right="yes" if place == looks.right else "no",
    )  # fmt: skip


@cache
def _cause(
    looks: tuple[str, str, str, str, bool], value: Key | str, note: Key | str, said: Phrases
) -> Pattern:
    """One cause with holes for the numbers of its value and its note, "" for what it has none of; then for what pupils
    read, once more, so that nobody can exchange one for another unseen."""
    identifier, feedback, chosen, told_as, reads = looks
    named = {"data_identifier": identifier} if identifier else {}
    more = {"data_words": chosen} if chosen else {}
    label = tag("strong", words(f"{identifier or feedback}:"), " ") if identifier or feedback else ""
    pieces = [key for key in (value, note) if not isinstance(key, str)]
    shown = "" if isinstance(value, str) else hole_mark(0)
    told = tag("p", label, shown, data_role="option", **named, data_feedback=feedback, **more)
    if not isinstance(note, str):
        told += tag("div", hole_mark(len(pieces) - 1), data_role="note", **named)
    more_holes = count(len(pieces))
    if reads:
        told += tag("div", hole_mark(next(more_holes)), data_role="words", **named)
    if told_as:
        tongue = {"xml__lang": said.foreign} if said.foreign else {}
        told += tag("p", tag("strong", words(said("feedback-told")), **tongue))
        told += tag("div", hole_mark(next(more_holes)), data_role="told", data_feedback=told_as)
    pieces += [None] * (reads + bool(told_as))
    return Pattern(together(told, pieces, said)[0])
