"""Several right options on the second road: read back, and each compared with the problem by sympy."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.content import Content, said
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import ChoicesResponse, Item, Option
from itembank.proof.findings import Finding
from itembank.proof.symbolic_claims import claim_holds
from itembank.proof.symbolic_numbers import CannotTell, Rooted
from itembank.proof.symbolic_part import Answer, Asked, same
from itembank.proof.symbolic_regions import Stretches
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_choices", "single_value"]

_RIGHT = Proved("read back, it is right (sympy)")
_WRONG = Proved("read back, it is wrong (sympy)")


def prove_choices(asked: Asked, response: ChoicesResponse, wanted: Answer, item: Item) -> Iterator[Finding]:
    """The claims of a response with several right options, marks apart."""
    if response.sense == "words":
        yield from _words(asked, response, wanted, item)
        return
    points: set[tuple[Rooted, ...]] = set()
    texts: list[str] = []
    for index, option in enumerate(response.options):
        claim = "the keyed option is right" if option.is_key else "the option is wrong"
        verdict: Verdict = Refuted("it is words")
        if isinstance(option.content, Maths):
            text = spelling.plain(option.content)
            verdict = _option(asked, response, option, option.content, wanted, points)
            if text in texts:
                verdict = Refuted(f"{text} stands there twice")
            texts.append(text)
        yield Finding("option", claim, verdict, "option", index)
    if response.sense == "solutions":
        complete: Verdict = _RIGHT if same(frozenset(points), wanted) else Refuted("one is missing")
        yield Finding("option", "every solution is among the options", complete, "response")


def _option(
    asked: Asked,
    response: ChoicesResponse,
    option: Option,
    shown: Maths,
    wanted: Answer,
    points: set[tuple[Rooted, ...]],
) -> Verdict:
    try:
        found = asked.answer(asked.read(shown))
    except CannotTell as stuck:
        return Undecided(str(stuck))
    if response.sense == "same":
        right = same(found, wanted)
    elif not isinstance(found, frozenset) or not isinstance(wanted, frozenset) or len(found) != 1:
        return Refuted(f"{spelling.terminal(shown)} is not one value")
    else:
        right = found <= wanted
        points |= found if right and option.is_key else frozenset()
    if right != option.is_key:
        return Refuted(f"{spelling.terminal(shown)} is {'right' if right else 'wrong'}")
    return _RIGHT if right else _WRONG


def _words(asked: Asked, response: ChoicesResponse, wanted: Answer, item: Item) -> Iterator[Finding]:
    value = single_value(wanted)
    if value is None:
        fault = Refuted("it has not")
        yield Finding("words", "the problem has one rational value", fault, "response")
        return
    texts: list[object] = []
    for index, option in enumerate(response.options):
        claim = "the row of a right option is true" if option.is_key else "the row is false"
        try:
            verdict = _row(asked, response, index, value, item)
        except CannotTell:
            verdict = Undecided("its condition cannot be decided")
        words = said(option.content) if isinstance(option.content, Content) else option.content
        if isinstance(verdict, Proved) and words in texts:
            verdict = Refuted("two rows have the same words")
        texts.append(words)
        yield Finding("option", claim, verdict, "option", index)


def _row(asked: Asked, response: ChoicesResponse, index: int, value: Rooted, item: Item) -> Verdict:
    (unknown,) = asked.unknowns
    option, row = response.options[index], response.rows[index]
    holds = claim_holds(row, item, asked, {unknown: value})
    if holds != option.is_key:
        return Refuted(f"it is {'true' if holds else 'false'} for {spelling.terminal(asked.part.key)}")
    if option.slip is not None:
        led = single_value(asked.answer(asked.read(option.slip.answer)))
        if led is None or not claim_holds(row, item, asked, {unknown: led}):
            return Refuted(f"the slip {option.slip.name} does not lead to this row")
    return _RIGHT if option.is_key else _WRONG


def single_value(answer: Answer) -> Rooted | None:
    """The value where there is exactly one, of one unknown, and it is rational."""
    if isinstance(answer, Rooted | Stretches) or len(answer) != 1:
        return None
    (point,) = answer
    return point[0] if len(point) == 1 and point[0].is_rational() else None
