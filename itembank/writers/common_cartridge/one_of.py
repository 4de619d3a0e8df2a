"""Blanks where words are chosen: a choice for each of them, and the boxes beside them as one typed answer.

The profile has one response for an item and no choice in the line. Each blank earns its own marks, so that a question
of its own for each asks and marks the same; typed words would have spellings without end. Where the marks are for all
blanks together there is no honest form, and the part is left out.
"""

from __future__ import annotations

from dataclasses import replace

from itembank.items import WORD_NAMES, Blank, EntryResponse, Part, RecognisedEntry
from itembank.writers.common_cartridge.choice import options_pattern
from itembank.writers.common_cartridge.entry import entry
from itembank.writers.common_cartridge.markup import html, material, words
from itembank.writers.common_cartridge.pieces import LeftOut, Response, Words, phrase
from itembank.writers.common_cartridge.processing import condition, is_answer, percent, processing
from itembank.writers.common_cartridge.texts import blocks, fill, maths
from itembank.writers.phrases import Phrases

__all__ = ["has_words", "with_words"]

_SPLIT = "numbers and words that are asked for in one line become questions of their own"
_CHOSEN = "words that are chosen in the line become a choice below it"


def has_words(entered: EntryResponse) -> bool:
    """Whether words are chosen in a blank."""
    return any(blank.words for blank in entered.blanks)


def with_words(part: Part, entered: EntryResponse, language: str, said: Phrases) -> tuple[Response, ...]:
    """The questions of an entry with blanks where words are chosen. Raises LeftOut where there is no honest form."""
    chosen = [index for index, blank in enumerate(entered.blanks) if blank.words]
    boxes = [index for index, blank in enumerate(entered.blanks) if not blank.words]
    if sum(blank.worth for blank in entered.blanks) != entered.marks or not all(
        blank.worth for blank in entered.blanks
    ):
        raise LeftOut("its marks are for all blanks together, and each would be a question of its own")
    if any(len(entered.blanks[index].words) < 3 for index in chosen):
        raise LeftOut("a choice of two is a statement that is true or false, which its words are not")
    if boxes and any(entered.blanks[index].unknown for index in chosen):
        raise LeftOut("its words are for a value that no box holds, and could not be proved beside the boxes")
    if entered.tick and not boxes:
        raise LeftOut("its words stand beside a tick, which a choice has no place for")
    if len(entered.blanks) == 1:
        return (_choice(entered, entered.blanks[0], entered.recognised, said)._replace(lost=(_CHOSEN,)),)
    found = []
    if boxes:
        numbers = _without(entered, boxes)
        asked = entry(replace(part, response=numbers), numbers, language, said)
        found.append(_asked_apart(asked, "numbers", "_n", numbers.marks, said))
    for number, index in enumerate(chosen, start=1):
        suffix = f"_w{number}" if len(chosen) > 1 else "_w"
        blank = entered.blanks[index]
        # a slip is known by all blanks together, never by the words alone
        found.append(_asked_apart(_choice(entered, blank, (), said), "words", suffix, blank.worth, said))
    return tuple(found)


def _without(entered: EntryResponse, kept: list[int]) -> EntryResponse:
    """The entry with these blanks only, and what they are worth."""
    return replace(
        entered,
        blanks=tuple(entered.blanks[index] for index in kept),
        marks=sum(entered.blanks[index].worth for index in kept),
        recognised=tuple(
            replace(each, values=tuple(each.values[index] for index in kept)) for each in entered.recognised
        ),
    )


def _asked_apart(asked: Response, what: str, suffix: str, marks: int, said: Phrases) -> Response:
    """One question of several: it says what it asks for."""
    told = phrase(f"asked-{what}", said, class_="asked", data_asked=what)
    return asked._replace(below=told + asked.below, suffix=suffix, marks=marks, lost=(_SPLIT, *asked.lost))


def _choice(
    entered: EntryResponse, blank: Blank, recognised: tuple[RecognisedEntry, ...], said: Phrases
) -> Response:
    right = WORD_NAMES[blank.chosen]
    names = tuple(WORD_NAMES[: len(blank.words)])
    feedback = {f"F_{right}": phrase("right", said)}
    for each in recognised:
        ((name,),) = each.values[entered.blanks.index(blank)]
        if each.slip.pupil is not None:
            feedback.setdefault(f"F_{name}", blocks(each.slip.pupil, said))
    rules = [condition(is_answer(right), percent(1, 1), f"F_{right}")]
    rules += [
        condition(is_answer(name), "", f"F_{name}")
        for name in names
        if name != right and f"F_{name}" in feedback
    ]
    told = tuple(
        Words(name, words(word.text), name == right, "" if word.shown is None else maths(word.shown, said))
        for name, word in zip(names, blank.words, strict=True)
    )
    before = html("p", words(blank.before), class_="words") if blank.before else ""
    contents = tuple([material(words(word.text)) for word in blank.words])
    return Response(
        "cc.multiple_choice.v0p1", "words", before, fill(options_pattern(names), contents), processing(rules),
        tuple(feedback.items()), in_words=told,
    )  # fmt: skip
