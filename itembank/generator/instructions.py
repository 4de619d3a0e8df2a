"""The sentence that tells a pupil what to write into the boxes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from itembank.content import Content, of_text
from itembank.generator.one_of import in_a_line
from itembank.templates.template import ResponseTemplate


@cache
def instruction(response: ResponseTemplate, slots: int, has_scale: bool = False) -> Content:
    """The sentence for an entry's boxes, in English. has_scale: whether a number may stand before brackets."""
    sentences = []
    forms = [blank.ends or blank.form for blank in response.blanks]
    if "one-of" in forms:
        return _with_words(response, slots, has_scale)
    if any(blank.ends for blank in response.blanks):
        sentences.append(
            "Choose a sign and enter an end for each inequality, and how two of them are joined; "
            "leave the second one empty if one says it all."
        )
    if "brackets" in forms:
        sentences.append("Fill every box with a whole number: 1 or 0 where nothing would be written.")
        sentences.append("The brackets may stand in either order.")
        if has_scale:
            sentences.append("Leave no common factor inside a bracket.")
    if any(blank.any_order for blank in response.blanks) and slots > 1:
        sentences.append("Enter the solutions in any order; leave a box empty if there are fewer.")
    if "surd" in forms:
        sentences.append("Fill every box with a whole number, so that the root is in its simplest form.")
    elif "fraction" in forms:
        sentences.append(
            "Enter each fraction in its lowest terms; write a whole number as a fraction over 1."
        )
    elif "integer" in forms and not sentences:
        sentences.append("Enter a whole number." if len(forms) == 1 else "Enter whole numbers.")
    for places in sorted({blank.places for blank in response.blanks if blank.form == "decimal"}):
        sentences.append(f"Give your answer to {places} decimal place{'s' if places != 1 else ''}.")
    if response.tick:
        sentences.append("If there is no real solution, tick the box and leave the others empty.")
    return of_text(" ".join(sentences))


def _with_words(response: ResponseTemplate, slots: int, has_scale: bool) -> Content:
    """The sentences for boxes, and the one for words to choose from."""
    told = "Choose the words that fit."
    boxes = tuple(blank for blank in response.blanks if not blank.words)
    if not boxes:
        return of_text(told)
    first = instruction(replace(response, blanks=boxes), slots, has_scale)
    return of_text(f"{in_a_line(first)} {told}")
