"""Words chosen in a line on the second road: each condition in sympy's numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import WORD_NAMES, Blank, EntryResponse, Item, RecognisedEntry, Word
from itembank.proof.findings import Finding
from itembank.proof.one_of import keyed_fault
from itembank.proof.symbolic_claims import claim_holds
from itembank.proof.symbolic_numbers import CannotTell, Rooted, rational
from itembank.proof.symbolic_part import Answer, Asked, single_value
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_words"]

_RIGHT = Proved("its condition holds in sympy's numbers, and no other")
_LEADS = Proved("the value makes the conditions of just these words hold")


def prove_words(asked: Asked, response: EntryResponse, wanted: Answer, item: Item) -> Iterator[Finding]:
    """The claims of a response's words; none where it has boxes only."""
    for blank in response.blanks:
        if blank.words:
            claim = "just one of the words is right, and keyed"
            yield Finding("one-of", claim, _words(asked, blank, wanted, item), "response")
    if all(blank.words for blank in response.blanks):
        names = [slip.name for slip in asked.part.slips]
        for entry in response.recognised:
            index = names.index(entry.slip.name) if entry.slip.name in names else -1
            verdict = _led_to(asked, response, entry, item)
            yield Finding("slip", "the slip leads to other words", verdict, "slip", index)


def _answer(asked: Asked, answer: Answer) -> Mapping[str, Rooted]:
    value = single_value(answer)
    return {asked.unknowns[0]: value} if value is not None and len(asked.unknowns) == 1 else {}


def _words(asked: Asked, blank: Blank, wanted: Answer, item: Item) -> Verdict:
    if fault := keyed_fault(blank):
        return Refuted(fault)
    for index, word in enumerate(blank.words):
        try:
            holds = claim_holds(word.when, item, asked, _answer(asked, wanted))
        except CannotTell as stuck:
            return Undecided(f"whether {word.text!r} is right cannot be decided: {stuck}")
        if holds != (index == blank.chosen):
            told = "right" if holds else "wrong"
            return Refuted(f"{word.text!r} is {told} for {spelling.terminal(asked.part.key)}")
        if word.shown is not None and _shown_otherwise(asked, word, word.shown, _answer(asked, wanted), item):
            return Refuted(f"{word.text!r} has another condition than {spelling.terminal(word.shown)}")
    return _RIGHT


def _shown_otherwise(
    asked: Asked, word: Word, shown: Maths, answer: Mapping[str, Rooted], item: Item
) -> bool:
    """Whether the condition that staff read is another than the words', at the answer or near a number in it."""
    try:
        read = asked.read(shown)
        told = [rational(0), *(numeral.value for numeral in read.numerals)]
        near = [value + rational(by) for value in told for by in (-1, 0, 1)]
        near += [-value for value in near]
        for tried in [answer, *({name: value} for name in answer for value in near)]:
            if claim_holds(word.when, item, asked, tried) != asked.space.holds(read, tried):
                return True
    except CannotTell:  # what is shown beside words is told in other ways too
        return False
    return False


def _led_to(asked: Asked, response: EntryResponse, entry: RecognisedEntry, item: Item) -> Verdict:
    if all(values == blank.values for values, blank in zip(entry.values, response.blanks, strict=True)):
        return Refuted(f"the entry of {entry.slip.name} is right")
    try:
        answer = _answer(asked, asked.answer(asked.read(entry.slip.answer)))
        for blank, values in zip(response.blanks, entry.values, strict=True):
            for index, word in enumerate(blank.words):
                if claim_holds(word.when, item, asked, answer) != (((WORD_NAMES[index],),) == values):
                    return Refuted(f"the slip {entry.slip.name} does not lead to {values[0][0]}")
    except CannotTell as stuck:
        return Undecided(str(stuck))
    return _LEADS
