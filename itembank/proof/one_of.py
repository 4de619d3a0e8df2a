"""Words chosen in a line: the row of the right ones is true, every other false, no two read the same."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from itembank.errors import DomainError
from itembank.expressions import numbers, spelling, tree
from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact
from itembank.items import WORD_NAMES, Blank, EntryResponse, Item, Part, RecognisedEntry, Word
from itembank.proof import meaning
from itembank.proof.answers import answer_identity, single_value
from itembank.proof.findings import Finding
from itembank.proof.guarantees import row_holds
from itembank.proof.identity import Identity
from itembank.proof.solver import CannotDecide
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["keyed_fault", "prove_words", "without_words"]

_RIGHT, _WRONG = Proved("its row is true, and it is keyed"), Proved("its row is false")
_MOST_KEPT = 100_000
_LEADS = Proved("the value makes the rows of just these words true")


def without_words(response: EntryResponse) -> EntryResponse:
    """The boxes alone; the response itself where it has no words."""
    if not any(blank.words for blank in response.blanks):
        return response
    kept = [not blank.words for blank in response.blanks]

    def of_boxes(entry: RecognisedEntry) -> RecognisedEntry:
        values = tuple(each for each, is_kept in zip(entry.values, kept, strict=True) if is_kept)
        return replace(entry, values=values)

    return replace(
        response,
        blanks=tuple(blank for blank in response.blanks if not blank.words),
        recognised=tuple(map(of_boxes, response.recognised)) if any(kept) else (),
    )


def keyed_fault(blank: Blank) -> str:
    """What is wrong with the words whatever they mean; "" for nothing."""
    if (
        len(blank.words) < 2
        or blank.boxes != ("word",)
        or len(blank.values) != 1
        or len(blank.values[0]) != 1
    ):
        return "not one of several words is keyed"
    if str(blank.values[0][0]) not in WORD_NAMES[: len(blank.words)]:
        return "what is keyed is none of the words"
    texts = [word.text.casefold() for word in blank.words]
    if not all(texts) or len(set(texts)) < len(texts):
        return "two of the words read the same, or one is empty"
    return ""


def prove_words(part: Part, response: EntryResponse, wanted: Identity, item: Item) -> Iterator[Finding]:
    """The claims of a response's words; none where it has boxes only."""
    answer = _answer(part, single_value(wanted))
    for blank in response.blanks:
        if blank.words:
            yield Finding("one-of", "just one of the words is right, and keyed", _words(part, blank, answer, item),
                          "response")  # fmt: skip
    if all(blank.words for blank in response.blanks):
        names = [slip.name for slip in part.slips]
        for entry in response.recognised:
            index = names.index(entry.slip.name) if entry.slip.name in names else -1
            verdict = _led_to(part, response, entry, item)
            yield Finding("slip", "the slip leads to other words", verdict, "slip", index)


def _answer(part: Part, value: Exact | None) -> dict[str, Exact]:
    unknowns = part.problem.unknowns
    return {unknowns[0]: value} if value is not None and len(unknowns) == 1 else {}


def _words(part: Part, blank: Blank, answer: dict[str, Exact], item: Item) -> Verdict:
    if fault := keyed_fault(blank):
        return Refuted(fault)
    for index, word in enumerate(blank.words):
        holds = row_holds(word.when, item, part, answer)
        if holds is None:
            return Undecided(f"whether {word.text!r} is right cannot be decided")
        if holds != (index == blank.chosen):
            return Refuted(
                f"{word.text!r} is {'right' if holds else 'wrong'} for {spelling.terminal(part.key)}"
            )
        if fault := _shown_otherwise(word, item, part, answer):
            return Refuted(fault)
    return _RIGHT


_SHOWN: dict[tuple[object, ...], tuple[Word, str]] = {}
"""What was found of words whose condition speaks of the unknown alone; they are kept, so their ids stay."""


def _shown_otherwise(word: Word, item: Item, part: Part, answer: dict[str, Exact]) -> str:
    """What is wrong where staff read another condition than the words have, "" for nothing.

    Both are tried on the answer, on 0, on the numbers that are shown and on those one apart: where the conditions of
    school algebra differ, they differ there.
    """
    if word.shown is None:
        return ""
    mark = (id(word.when), id(word.shown.shape), word.shown.numbers, *answer.items())
    if (kept := _SHOWN.get(mark)) is not None:
        return kept[1]
    fault = _differs(word, word.shown, item, part, answer)
    if set(tree.names(word.when)) <= set(answer) and len(_SHOWN) < _MOST_KEPT:
        _SHOWN[mark] = (word, fault)
    return fault


def _differs(word: Word, shown: Maths, item: Item, part: Part, answer: dict[str, Exact]) -> str:
    told: list[Exact] = [0, *(n for n in shown.numbers if isinstance(n, int | Fraction))]
    near = {numbers.add(number, by) for number in told for by in (-1, 0, 1)}
    for tried in [answer, *({name: number} for name in answer for number in near)]:
        holds = row_holds(word.when, item, part, tried)
        try:
            if holds is not None and meaning.satisfies(shown, tried) != holds:
                return f"{word.text!r} has another condition than {spelling.terminal(shown)}"
        except (CannotDecide, DomainError):
            return ""
    return ""


def _led_to(part: Part, response: EntryResponse, entry: RecognisedEntry, item: Item) -> Verdict:
    if all(values == blank.values for values, blank in zip(entry.values, response.blanks, strict=True)):
        return Refuted(f"the entry of {entry.slip.name} is right")
    try:
        answer = _answer(part, single_value(answer_identity(part, entry.slip.answer)))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    for blank, values in zip(response.blanks, entry.values, strict=True):
        for index, word in enumerate(blank.words):
            if row_holds(word.when, item, part, answer) is not (((WORD_NAMES[index],),) == values):
                return Refuted(f"the slip {entry.slip.name} does not lead to {values[0][0]}")
    return _LEADS
