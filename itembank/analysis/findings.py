"""What somebody should look at, each with its name, its source and the number of pupils below which it says nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from itembank.analysis.distractors import Chosen, QuestionChoices, SlipFigures
from itembank.analysis.exact import CannotTell, Root, rounded
from itembank.analysis.item_statistics import ItemFigures
from itembank.analysis.reliability import WholeFigures
from itembank.analysis.responses import Results
from itembank.analysis.shown import answer_shown
from itembank.analysis.together import Marks, correlated, pairs

__all__ = ["RULES", "Evidence", "Finding", "Rule", "find", "keys_in_doubt"]


@dataclass(frozen=True, slots=True)
class Finding:
    """rule: its name. about: names of questions, items or slips. message: what was seen; hint: what to do."""

    rule: str
    about: tuple[str, ...]
    message: str
    hint: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that findings look at. questions: figures of each question, in the order of the results."""

    results: Results
    whole: WholeFigures
    questions: tuple[ItemFigures, ...]
    choices: Mapping[str, QuestionChoices]
    slips: tuple[SlipFigures, ...]


@dataclass(frozen=True, slots=True)
class Rule:
    """name, source and meaning of a finding; fewest: pupils below whom it is not looked for.

    of_choices: whether it is looked for in what pupils chose or typed, which marks alone do not tell.
    """

    name: str
    source: str
    meaning: str
    fewest: int
    look: Callable[[Evidence, int], Iterator[Finding]]
    of_choices: bool = False


_HARDEST, _EASIEST = Fraction(1, 5), Fraction(19, 20)
_POOR: Final = Fraction(1, 5)
_ALIKE: Final = Fraction(17, 20)
_MIDDLE: Final = (Fraction(1, 10), Fraction(9, 10))
_MANY: Final = Fraction(1, 5)
_COMMON: Final = Fraction(1, 3)
_RELIABLE: Final = Fraction(7, 10)


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Every finding, rule by rule; within a rule in the order of questions."""
    return tuple(finding for rule in RULES.values() for finding in rule.look(evidence, rule.fewest))


def keys_in_doubt(choices: Iterable[QuestionChoices]) -> frozenset[str]:
    """The names of the questions whose key is in doubt: what is wrong by it may be right."""
    fewest = RULES["key-in-doubt"].fewest
    return frozenset(each.name for each in choices if _key_and_rival(each, fewest) is not None)


def _key_and_rival(choices: QuestionChoices, fewest: int) -> tuple[Chosen, Chosen] | None:
    """The key, and the option that more of the strong chose; None for none."""
    if choices.answers < fewest or choices.kind not in ("choice", "wrong-line"):
        return None
    key = next((each for each in choices.chosen if each.offered.is_right), None)
    if key is None:
        return None
    rivals = [each for each in choices.chosen if not each.offered.is_right and _is_rival(each, key)]
    return (key, max(rivals, key=lambda each: (each.upper, each.number))) if rivals else None


def _key_in_doubt(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for choices in evidence.choices.values():
        if (told := _key_and_rival(choices, fewest)) is not None:
            key, rival = told
            message = (
                f"in the stronger third {rival.upper} chose {answer_shown(rival.offered)} "
                f"and {key.upper} the key, {answer_shown(key.offered)}"
            )
            hint = "look at the key first, then at what the question may be read as"
            yield Finding("key-in-doubt", (choices.name,), message, hint)


def _is_rival(each: Chosen, key: Chosen) -> bool:
    """More of the strong chose it than the key, and whoever chose it is stronger, so far as that is known."""
    if each.upper <= key.upper or isinstance(each.rest, CannotTell):
        return False
    return isinstance(key.rest, CannotTell) or each.rest > key.rest


def _negative(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for each in evidence.questions:
        r = each.discrimination
        if each.taken >= fewest and isinstance(r, Root) and _is_negative(r, each.taken):
            message = f"those who do well elsewhere do worse here: discrimination {rounded(r, 2)}"
            yield Finding(
                "negative-discrimination", (each.name,), message, "look at the key and at the words"
            )


def _is_negative(r: Root, pupils: int) -> bool:
    """Whether it is below 0 by more than the standard error of a correlation near 0, 1 / sqrt(n)."""
    return r.is_negative and r.square * pupils > 1


def _poor(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for each in evidence.questions:
        r = each.discrimination
        if each.taken < fewest or not isinstance(r, Root) or _is_negative(r, each.taken):
            continue
        if not r.exceeds(_POOR):
            message = f"it hardly tells strong from weak: discrimination {rounded(r, 2)}"
            yield Finding(
                "low-discrimination", (each.name,), message, "see whether it asks what the others ask"
            )


def _hard(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    doubted = keys_in_doubt(evidence.choices.values())
    for each in evidence.questions:
        if each.name in doubted:
            continue
        if each.taken >= fewest and isinstance(each.facility, Fraction) and each.facility <= _HARDEST:
            message = f"it was hard for nearly all: facility {rounded(each.facility, 2)}"
            yield Finding("too-hard", (each.name,), message, "teach it again, or ask it later")


def _easy(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for each in evidence.questions:
        if each.taken >= fewest and isinstance(each.facility, Fraction) and each.facility >= _EASIEST:
            message = f"it was easy for nearly all: facility {rounded(each.facility, 2)}"
            yield Finding("too-easy", (each.name,), message, "keep it for a start, or leave it out")


def _omitted(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for each in evidence.questions:
        if each.taken >= fewest and Fraction(each.omitted, each.taken) >= _MANY:
            message = f"{each.omitted} of {each.taken} left it out"
            yield Finding("many-omitted", (each.name,), message, "see whether it says what is to be done")


def _not_reached(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for each in evidence.questions:
        seen = each.taken + each.not_reached
        if seen >= fewest and Fraction(each.not_reached, seen) >= _MANY:
            message = f"{each.not_reached} of {seen} did not reach it"
            yield Finding("not-reached", (each.name,), message, "give more time, or fewer questions")


def _unused(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for choices in evidence.choices.values():
        if choices.answers < fewest or choices.kind not in ("choice", "choices"):
            continue
        unused = [each.offered for each in choices.chosen if not each.number and not each.offered.is_right]
        if unused:
            told = ", ".join(map(answer_shown, unused))
            hint = "offer a slip that is made, or fewer options"
            yield Finding("unused-distractor", (choices.name,), f"nobody chose {told}", hint)


def _alike(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    results = evidence.results
    single = [
        (code, places[0])
        for code, places in results.items.items()
        if len(places) == 1 and _is_in_the_middle(evidence.questions[places[0]])
    ]
    marks = [_marks_at(results, place) for _, place in single]
    for first, second in pairs(marks, fewest):
        r = correlated(marks[first], marks[second])
        if isinstance(r, Root) and r.exceeds(_ALIKE):
            message = f"who gets one gets the other: they correlate {rounded(r, 2)}"
            yield Finding("alike-items", (single[first][0], single[second][0]), message, "one of them may do")


def _marks_at(results: Results, place: int) -> Marks:
    """Those of who reached a question."""
    answers = ((number, results.sittings[number].answers[place]) for number in results.given_to[place])
    return Marks.of({n: each.mark for n, each in answers if each.is_reached and each.mark is not None})


def _is_in_the_middle(figures: ItemFigures) -> bool:
    """Two items that nearly all get right correlate highly by one pupil's chance."""
    return isinstance(figures.facility, Fraction) and _MIDDLE[0] <= figures.facility <= _MIDDLE[1]


def _common(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    for each in evidence.slips:
        is_common = each.of_pupils >= fewest and Fraction(each.pupils, each.of_pupils) >= _COMMON
        if is_common and Fraction(each.times, each.of_times) >= _MANY:
            message = f"{each.pupils} of {each.of_pupils} pupils made it, in {each.times} of {each.of_times} answers"
            yield Finding("common-slip", (each.slip,), message, each.teacher)


def _unreliable(evidence: Evidence, fewest: int) -> Iterator[Finding]:
    whole = evidence.whole
    if whole.complete >= fewest and isinstance(whole.alpha, Fraction) and whole.alpha < _RELIABLE:
        message = f"totals hold much chance: alpha {rounded(whole.alpha, 2)}"
        yield Finding("low-reliability", (), message, "do not decide about a pupil by this total alone")


RULES: Final[Mapping[str, Rule]] = MappingProxyType(
    {
        rule.name: rule
        for rule in (
            Rule(
                "key-in-doubt", "Crocker & Algina 1986, chapter 14; Ebel & Frisbie 1991 (from memory)",
                "more of the stronger third chose a wrong option than the key, and their rest of the test is better",
                20, _key_in_doubt, of_choices=True,
            ),
            Rule(
                "negative-discrimination", "Ebel & Frisbie 1991 (from memory)",
                "the item correlates negatively with the rest of the test, by more than 1 / sqrt(n)", 20, _negative,
            ),
            Rule(
                "common-slip", "house rule",
                "a third or more of those who could make a slip made it, and a fifth of answers show it", 5, _common,
                of_choices=True,
            ),
            Rule(
                "not-reached", "Swineford 1956 (from memory): four fifths should reach the end",
                "a fifth or more of the pupils did not reach the question", 10, _not_reached,
            ),
            Rule(
                "many-omitted", "house rule",
                "a fifth or more of those who reached the question left it out", 10, _omitted,
            ),
            Rule(
                "too-hard", "house rule",
                "the facility is 0.2 or less, and the key is not in doubt", 10, _hard,
            ),
            Rule(
                "too-easy", "house rule",
                "the facility is 0.95 or more", 10, _easy,
            ),
            Rule(
                "low-discrimination", "Ebel & Frisbie 1991 (from memory): below 0.2 poor",
                "the item correlates 0.2 or less with the rest of the test", 30, _poor,
            ),
            Rule(
                "alike-items", "house rule",
                "the marks of two items correlate above 0.85, and neither is very easy or very hard", 50, _alike,
            ),
            Rule(
                "unused-distractor", "Haladyna & Downing 1989 (from memory)",
                "nobody chose a wrong option", 20, _unused, of_choices=True,
            ),
            Rule(
                "low-reliability", "Nunnally 1978 (from memory): 0.7 at the least",
                "alpha is below 0.7", 20, _unreliable,
            ),
        )
    }
)  # fmt: skip
"""Every finding by name, in the order in which they are told."""
