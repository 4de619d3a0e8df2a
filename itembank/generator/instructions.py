"""The sentence that tells a pupil what to write into the boxes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Final

from itembank.content import Content, of_text
from itembank.expressions import spelling
from itembank.generator.one_of import in_a_line
from itembank.templates.template import ResponseTemplate
from itembank.words import words

_NUMBERS: Final = frozenset({"integer", "fraction", "decimal"})


@cache
def instruction(
    response: ResponseTemplate,
    slots: int,
    has_scale: bool = False,
    language: str = "en",
    has_term: bool = True,
    *,
    has_surds: bool = False,
) -> Content:
    """The sentence for an entry's boxes. has_scale: whether a number may stand before brackets; language: a tag.

    has_term: whether a term, which may be 0, can stand before a root. has_surds: several that are no pair.
    """
    w = words(language)
    sentences = []
    forms = [blank.ends or blank.form for blank in response.blanks]
    has_ends = any(blank.ends for blank in response.blanks)
    alone = len(forms) == 1 and slots <= 1 and not has_ends
    if "one-of" in forms:
        return _with_words(response, slots, has_scale, language, has_term, has_surds)
    if has_ends:
        sentences.append(w("write-inequalities"))
    if "brackets" in forms:
        sentences += [w("write-brackets"), w("write-brackets-order")]
        if has_scale:
            sentences.append(w("write-brackets-factor"))
    if response.points and slots > 1:
        sentences.append(w("write-points"))
    numbers = any(form in _NUMBERS for form in forms) or has_surds
    if slots > 1 and not response.points and numbers and not has_ends:
        sentences.append(w("write-any-order"))
    if "surd" in forms:
        sentences.append(w("write-surd" if has_term or has_ends else "write-surd-alone"))
    elif "fraction" in forms:
        sentences.append(w("write-fraction-alone" if alone else "write-fraction"))
    one_by_one = w.numbers_one_by_one(
        [(spelling.letter(blank.unknown), blank.form, blank.places) for blank in response.blanks]
    )
    if one_by_one:
        return of_text(" ".join([*sentences, *one_by_one, *([w("write-tick")] if response.tick else [])]))
    if {"surd", "fraction"}.isdisjoint(forms) and "integer" in forms:
        sentences.append(w("write-integer" if alone else "write-integers"))
    for places in sorted({blank.places for blank in response.blanks if blank.form == "decimal"}):
        sentences.append(w.counted("write-decimal" if alone else "write-decimals", places))
    if response.tick:
        sentences.append(w("write-tick"))
    return of_text(" ".join(sentences))


def _with_words(
    response: ResponseTemplate, slots: int, has_scale: bool, language: str, has_term: bool, has_surds: bool
) -> Content:
    """The sentences for boxes, and the one for words to choose from."""
    told = words(language)("write-words")
    boxes = tuple(blank for blank in response.blanks if not blank.words)
    if not boxes:
        return of_text(told)
    first = instruction(
        replace(response, blanks=boxes), slots, has_scale, language, has_term, has_surds=has_surds
    )
    return of_text(f"{in_a_line(first)} {told}")
