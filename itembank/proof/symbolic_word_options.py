"""Options in words on the second road: each row's condition decided by sympy of the answer that is read back."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.content import Content, said
from itembank.expressions import spelling
from itembank.items import ChoiceResponse, ChoicesResponse, Item
from itembank.proof.findings import Finding
from itembank.proof.symbolic_claims import claim_holds
from itembank.proof.symbolic_numbers import CannotTell, Rooted
from itembank.proof.symbolic_part import Answer, Asked, single_value
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_word_options"]

_TRUE = Proved("read back, its row is true (sympy)")
_FALSE = Proved("read back, its row is false (sympy)")


def prove_word_options(
    asked: Asked, response: ChoiceResponse | ChoicesResponse, wanted: Answer, item: Item, right: str
) -> Iterator[Finding]:
    """The claims of options in words, one for each, as `word_options.prove_word_options` has them."""
    value = single_value(wanted)
    if value is None:
        fault = Refuted("it has not")
        yield Finding("words", "the problem has one rational value", fault, "response")
        return
    texts: list[object] = []
    for index, option in enumerate(response.options):
        try:
            verdict = _row(asked, response, index, value, item)
        except CannotTell:
            verdict = Undecided("its condition cannot be decided")
        words = said(option.content) if isinstance(option.content, Content) else option.content
        if isinstance(verdict, Proved) and words in texts:
            verdict = Refuted("two rows have the same words")
        texts.append(words)
        yield Finding("option", right if option.is_key else "the row is false", verdict, "option", index)


def _row(
    asked: Asked, response: ChoiceResponse | ChoicesResponse, index: int, value: Rooted, item: Item
) -> Verdict:
    (unknown,) = asked.unknowns
    option, row = response.options[index], response.rows[index]
    holds = claim_holds(row, item, asked, {unknown: value})
    if holds != option.is_key:
        return Refuted(f"it is {'true' if holds else 'false'} for {spelling.terminal(asked.part.key)}")
    if option.slip is not None:
        led = single_value(asked.answer(asked.read(option.slip.answer)))
        if led is None or not claim_holds(row, item, asked, {unknown: led}):
            return Refuted(f"the slip {option.slip.name} does not lead to this row")
    return _TRUE if option.is_key else _FALSE
