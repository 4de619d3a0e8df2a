"""Several right options on the second road: read back, and each compared with the problem by sympy."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import ChoicesResponse, Item, Option
from itembank.proof.findings import Finding
from itembank.proof.symbolic_numbers import CannotTell, Rooted
from itembank.proof.symbolic_part import Answer, Asked, same
from itembank.proof.symbolic_word_options import prove_word_options
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_choices"]

_RIGHT = Proved("read back, it is right (sympy)")
_WRONG = Proved("read back, it is wrong (sympy)")


def prove_choices(asked: Asked, response: ChoicesResponse, wanted: Answer, item: Item) -> Iterator[Finding]:
    """The claims of a response with several right options, marks apart."""
    if response.sense == "words":
        yield from prove_word_options(asked, response, wanted, item, "the row of a right option is true")
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
    slip = option.slip
    led = asked.answer(asked.read(slip.answer)) if slip is not None else found
    if not (
        found <= led if isinstance(found, frozenset) and isinstance(led, frozenset) else same(found, led)
    ):
        return Refuted(f"{spelling.terminal(shown)} is not what its slip leads to")
    if right != option.is_key:
        return Refuted(f"{spelling.terminal(shown)} is {'right' if right else 'wrong'}")
    return _RIGHT if right else _WRONG
