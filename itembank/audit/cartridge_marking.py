"""The rules of an item of the profile, run on answers.

Source: IMS QTI 1.2, response processing: conditions in turn, the first that holds ends it; comparisons side by side
must all hold; capitals do not matter.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import product

from itembank.audit.cartridge_reader import Question
from itembank.audit.findings import Fault

__all__ = ["check_nothing", "check_options", "check_sets", "keyed_options", "run"]

_FULL = Fraction(100)
_ROUNDED = Fraction(1, 100)
_MOST_OPTIONS = 10


def run(question: Question, response: frozenset[str]) -> tuple[Fraction, tuple[str, ...]]:
    """What an answer earns in percent, and the feedback it shows. response: options, or one text; empty for none."""
    given = {each.casefold() for each in response}
    score, shown = Fraction(0), []
    for rule in question.conditions:
        wanted, unwanted = rule.folded
        # with nothing to compare, a rule is for any other answer
        if not (given.issuperset(wanted) and given.isdisjoint(unwanted)):
            continue
        score = score if rule.score is None else rule.score
        shown += [name for kind, name in rule.feedback if kind == "Response"]
        if not rule.goes_on:
            break
    return score, tuple(shown)


def keyed_options(question: Question) -> list[frozenset[str]]:
    """The sets of options that earn everything; of a choice of one, single options."""
    if question.is_multiple:
        named = [frozenset(rule.equal) for rule in question.conditions if rule.score == _FULL]
    else:
        named = [frozenset({name}) for name in question.options]
    return [chosen for chosen in dict.fromkeys(named) if run(question, chosen)[0] == _FULL]


def check_options(question: Question) -> Iterator[Fault]:
    """Whether one option earns all and the others nothing, and each shows what is said of it."""
    keyed = keyed_options(question)
    if len(keyed) != 1:
        yield Fault("no-key", f"{len(keyed)} options earn everything, not one")
    for name in question.options:
        score, shown = run(question, frozenset({name}))
        own, place = f"F_{name}", f"option {name}"
        if frozenset({name}) not in keyed and score:
            yield Fault("wrong-option-earns", "a wrong option earns marks", place=place)
        if shown != ((own,) if own in question.feedbacks else ()):
            yield Fault("wrong-feedback", "the option does not show what is said of it", place=place)
    yield from check_nothing(question)


def check_sets(question: Question) -> Iterator[Fault]:
    """Whether one set of options earns all, and every other what its right and wrong options come to.

    Each right option adds one share of the marks and each wrong one costs it; or only all right ones earn anything.
    """
    keyed = keyed_options(question)
    if len(keyed) != 1:
        yield Fault("no-key", f"{len(keyed)} sets of options earn everything, not one")
        return
    (right,) = keyed
    scores = {chosen: run(question, chosen) for chosen in _sets(question.options)}
    shared = any(0 < score < _FULL for score, _ in scores.values())
    share = _FULL / len(right) if shared else Fraction(0)
    for chosen, (score, shown) in scores.items():
        place = f"options {' '.join(sorted(chosen))}".strip()
        due = (
            _FULL
            if chosen == right
            else max(share * (len(chosen & right) - len(chosen - right)), Fraction(0))
        )
        if abs(score - due) > _ROUNDED:
            yield Fault("wrong-option-earns", f"the options earn {score} of 100", place=place)
        said = {f"F_{name}" for name in chosen if f"F_{name}" in question.feedbacks}
        if set(shown) != (said | {"F0"} if chosen == right else said):
            yield Fault("wrong-feedback", "the options do not show what is said of them", place=place)
    yield from check_nothing(question)


def _sets(options: tuple[str, ...]) -> Iterator[frozenset[str]]:
    """Every set of options. Raises Fault above a bound."""
    if len(options) > _MOST_OPTIONS:
        raise Fault(
            "too-many-options", f"there are more than {_MOST_OPTIONS} options of which several are right"
        )
    for taken in product((False, True), repeat=len(options)):
        yield frozenset(name for name, is_taken in zip(options, taken, strict=True) if is_taken)


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
