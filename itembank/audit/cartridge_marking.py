"""The rules of an item of the profile, run on answers.

Source: IMS QTI 1.2, response processing: conditions in turn, the first that holds ends it; comparisons side by side
must all hold; capitals do not matter.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from itembank.audit.cartridge_reader import Question
from itembank.audit.findings import Fault

__all__ = ["check_options", "keyed_options", "run"]

_FULL = Fraction(100)


def run(question: Question, response: frozenset[str]) -> tuple[Fraction, tuple[str, ...]]:
    """What an answer earns in percent, and the feedback it shows. response: options, or one text; empty for none."""
    given = {each.casefold() for each in response}
    for rule in question.conditions:
        holds = all(text.casefold() in given for text in rule.equal) and not any(
            text.casefold() in given for text in rule.unequal
        )
        if holds:  # with nothing to compare, a rule is for any other answer
            return rule.score or Fraction(0), tuple(
                name for kind, name in rule.feedback if kind == "Response"
            )
    return Fraction(0), ()


def keyed_options(question: Question) -> list[str]:
    """The options that earn everything."""
    return [name for name in question.options if run(question, frozenset({name}))[0] == _FULL]


def check_options(question: Question) -> Iterator[Fault]:
    """Whether one option earns all and the others nothing, and each shows what is said of it."""
    keyed = keyed_options(question)
    if len(keyed) != 1:
        yield Fault("no-key", f"{len(keyed)} options earn everything, not one")
    for name in question.options:
        score, shown = run(question, frozenset({name}))
        own = f"F_{name}"
        if name not in keyed and score:
            yield Fault("wrong-option-earns", "a wrong option earns marks", place=f"option {name}")
        if shown != ((own,) if own in question.feedbacks else ()):
            yield Fault(
                "wrong-feedback", "the option does not show what is said of it", place=f"option {name}"
            )
    yield from check_nothing(question)


def check_nothing(question: Question) -> Iterator[Fault]:
    """Whether no answer, and an answer that nobody foresaw, earn nothing and are told nothing."""
    for text in ("", "?", "0", "x"):
        response = frozenset({text} if text else ())
        listed = any(
            text.casefold() == each.casefold() for rule in question.conditions for each in rule.equal
        )
        if text and listed:
            continue
        score, shown = run(question, response)
        if score:
            yield Fault(
                "empty-earns", f"the answer {text!r} earns marks" if text else "an empty answer earns marks"
            )
        if shown:
            yield Fault("wrong-feedback", "an answer that nobody foresaw is told something")
