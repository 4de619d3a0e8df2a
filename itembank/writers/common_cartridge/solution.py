"""The worked solution as HTML: the problem, the answer, and the lines with their marks.

The profile has no place that staff alone see, so what is for staff only stays out. `data-` attributes say in words of
the trade what is what, so that a reader of the file can check it; a platform may drop them.
"""

from __future__ import annotations

from functools import cache
from itertools import count
from typing import NamedTuple

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import Mark, Part
from itembank.writers.common_cartridge.markup import html, words
from itembank.writers.common_cartridge.pieces import Words, words_told
from itembank.writers.common_cartridge.texts import blocks, fill, maths
from itembank.writers.phrases import Phrases

__all__ = ["solution"]


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
    has_words: bool


def solution(
    part: Part, kind: str, said: Phrases, images: tuple[str, ...] = (), in_words: tuple[Words, ...] = ()
) -> str:
    """The worked solution of a part.

    kind: of its response; said: the words added; images: the picture at each line as
    HTML, "" for none, or () where no line has one; in_words: what is said of options in words.
    """
    images = images or ("",) * len(part.solution)
    problem = part.problem
    looks = _Looks(
        part.label, problem.shape, problem.unknowns, problem.for_every, kind, problem.domain is not None,
        part.shows_others,
        tuple(
            [
                (line.kind, line.marks, line.say is not None, line.maths is not None, bool(image))
                for line, image in zip(part.solution, images, strict=True)
            ]
        ),
        said, bool(in_words),
    )  # fmt: skip
    filled = [maths(problem.statement, said)]
    if problem.domain is not None:
        filled.append(maths(problem.domain, said))
    filled.append(maths(part.key, said))
    for line, image in zip(part.solution, images, strict=True):
        if line.say is not None:
            filled.append(blocks(line.say, said))
        if line.maths is not None:
            filled.append(maths(line.maths, said))
        if image:
            filled.append(image)
    if in_words:
        filled.append("".join(map(words_told, in_words)))
    return fill(_pattern(looks), tuple(filled))


@cache
def _pattern(looks: _Looks) -> Pattern:
    holes = (hole_mark(hole) for hole in count())
    shown = html("p", words(f"({looks.label})"), class_="part-label") if looks.label else ""
    told = [shown, _told(looks, "problem", looks.said("problem"), next(holes))]
    if looks.has_domain:
        told.append(_told(looks, "domain", looks.said("where"), next(holes)))
    told.append(_told(looks, "key", looks.said("answer-told"), next(holes)))
    lines = []
    for kind, marks, has_words, has_maths, has_image in looks.lines:
        say = next(holes) if has_words else ""
        value = next(holes) if has_maths else ""
        lines.append(_line(kind, marks, say, value, next(holes) if has_image else ""))
    told.append(html("ol", *lines) if lines else "")
    told.append(next(holes) if looks.has_words else "")
    return Pattern(
        html(
            "div", *told, data_part=looks.label, data_shape=looks.shape, data_unknowns=" ".join(looks.unknowns),
            data_for_every=" ".join(looks.for_every), data_kind=looks.kind,
            data_lines=str(len(looks.lines)), **({"data_stem": "other"} if looks.shows_others else {}),
        )
    )  # fmt: skip


def _told(looks: _Looks, role: str, label: str, value: str) -> str:
    tongue = {"lang": looks.said.foreign} if looks.said.foreign else {}
    return html("p", html("strong", words(label), **tongue), " ", value, data_role=role)


def _line(kind: str, marks: tuple[Mark, ...], say: str, value: str, image: str) -> str:
    earned = " ".join(str(mark) for mark in marks)
    shown = html("p", words(earned), class_="marks") if earned else ""
    written = html("p", value) if value else ""
    return html("li", say, shown, written, image, data_role="line", data_kind=kind, data_marks=earned)
