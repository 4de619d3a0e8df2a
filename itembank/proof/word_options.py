"""Options in words: a right one's row is true of the answer, every other row false, no two have the same words."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.content import Content, said
from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.tree import Node
from itembank.items import ChoiceResponse, ChoicesResponse, Item, Option, Part
from itembank.proof.answer_wording import told
from itembank.proof.answers import answer_identity, single_value
from itembank.proof.findings import Finding
from itembank.proof.guarantees import row_holds
from itembank.proof.identity import Identity
from itembank.proof.solver import CannotDecide
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_word_options"]

_TRUE, _FALSE = Proved("its row is true"), Proved("its row is false")


def prove_word_options(
    part: Part, response: ChoiceResponse | ChoicesResponse, wanted: Identity, item: Item, right: str
) -> Iterator[Finding]:
    """The claims of options in words, one for each.

    wanted: the problem's answer, of which the rows speak; right: the claim of an option that is right.
    """
    value = single_value(wanted)
    if value is None or len(part.problem.unknowns) != 1:
        fault = Refuted(f"it has {told(wanted)}")
        yield Finding("words", "the problem has one rational value", fault, "response")
        return
    answer = {part.problem.unknowns[0]: value}
    texts: dict[object, int] = {}
    for index, (option, row) in enumerate(zip(response.options, response.rows, strict=True)):
        holds = row_holds(row, item, part, answer)
        verdict: Verdict = _TRUE if option.is_key else _FALSE
        if holds is None:
            verdict = Undecided("its condition cannot be decided")
        elif holds != option.is_key:
            verdict = Refuted(f"it is {'true' if holds else 'false'} for {spelling.terminal(part.key)}")
        elif isinstance(option.content, Content) and texts.setdefault(said(option.content), index) != index:
            verdict = Refuted("two rows have the same words: make them one, its conditions joined by `or`")
        elif option.slip is not None:
            verdict = _led_elsewhere(part, option, row, item) or verdict
        yield Finding("option", right if option.is_key else "the row is false", verdict, "option", index)


def _led_elsewhere(part: Part, option: Option, row: Node, item: Item) -> Verdict | None:
    """What is wrong where a slip's answer does not make its row true."""
    assert option.slip is not None
    try:
        value = single_value(answer_identity(part, option.slip.answer))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    if value is None or row_holds(row, item, part, {part.problem.unknowns[0]: value}) is not True:
        return Refuted(f"the slip {option.slip.name} does not lead to this row")
    return None
