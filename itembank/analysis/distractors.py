"""What was chosen: each option of a question with who chose it, and each slip over all questions that offer it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction

from itembank.analysis.exact import CannotTell, mean
from itembank.analysis.keys import ANOTHER, Offered
from itembank.analysis.responses import Results, State

__all__ = ["Chosen", "QuestionChoices", "SlipFigures", "Thirds", "question_choices", "slip_figures", "thirds"]


@dataclass(frozen=True, slots=True)
class Thirds:
    """The stronger and the weaker third of pupils, as places among the sittings; both empty where they cannot be told.

    Pupils who are equal at a border all belong to the third, which may so be larger.
    """

    upper: frozenset[int]
    lower: frozenset[int]


@dataclass(frozen=True, slots=True)
class Chosen:
    """One answer to a question. number: pupils who chose it; upper, lower: of these in either third.

    rest: the mean share of marks, in all other items, of those who chose it.
    """

    offered: Offered
    number: int
    upper: int
    lower: int
    rest: Fraction | CannotTell


@dataclass(frozen=True, slots=True)
class QuestionChoices:
    """The answers to one question.

    answers: pupils of whom it is known what they chose; upper, lower: those in a third.
    """

    name: str
    kind: str
    answers: int
    upper: int
    lower: int
    chosen: tuple[Chosen, ...]


@dataclass(frozen=True, slots=True)
class SlipFigures:
    """One slip over all questions. pupils: who made it at least once, `of_pupils` of those it was offered to.

    times: answers that show it, `of_times` of those to questions that offer it. questions: their names. teacher: what
    to reteach, as the questions say where it was made most.
    """

    slip: str
    teacher: str
    pupils: int
    of_pupils: int
    times: int
    of_times: int
    questions: tuple[str, ...]


def thirds(results: Results) -> Thirds:
    """The thirds by the share of marks.

    Undefined below three pupils, and where equal pupils reach from one border to the other.
    Source: common practice in classes that are too small for groups of 27 %.
    """
    shares = results.shares
    if len(shares) < 3:
        return Thirds(frozenset(), frozenset())
    ordered = sorted(shares)
    size = (len(shares) + 1) // 3
    low, high = ordered[size - 1], ordered[-size]
    if low >= high:
        return Thirds(frozenset(), frozenset())
    return Thirds(
        frozenset(place for place, share in enumerate(shares) if share >= high),
        frozenset(place for place, share in enumerate(shares) if share <= low),
    )


def question_choices(results: Results, place: int, groups: Thirds) -> QuestionChoices | None:
    """The options of a question with those who chose them, as offered; then what was answered besides.

    None where nothing is known but marks, or where pupils write freely. Several options of one pupil count each.
    """
    question = results.questions[place]
    if question.kind == "written":
        return None
    siblings = results.items[question.code]
    answers = ((number, results.sittings[number].answers[place]) for number in results.given_to[place])
    answering = [
        number for number, each in answers if each.state in (State.ANSWERED, State.UNMARKED) and each.names
    ]
    if not answering:
        return None
    names = [offered.name for offered in question.offered]
    if any(
        name not in names for number in answering for name in results.sittings[number].answers[place].names
    ):
        names.append(ANOTHER)
    offered_by = {offered.name: offered for offered in question.offered} | {ANOTHER: Offered(ANOTHER, "")}
    rows: dict[str, list[int]] = {name: [] for name in names}
    for number in answering:
        for name in dict.fromkeys(results.sittings[number].answers[place].names):
            rows[name if name in offered_by else ANOTHER].append(number)
    return QuestionChoices(
        question.column,
        question.kind,
        len(answering),
        len(groups.upper.intersection(answering)),
        len(groups.lower.intersection(answering)),
        tuple(_chosen(results, offered_by[name], who, siblings, groups) for name, who in rows.items()),
    )


def _chosen(
    results: Results, offered: Offered, who: Sequence[int], siblings: tuple[int, ...], groups: Thirds
) -> Chosen:
    rests = [results.share(results.sittings[number], siblings) for number in who]
    known = [rest for rest in rests if rest is not None]
    return Chosen(
        offered,
        len(who),
        len(groups.upper.intersection(who)),
        len(groups.lower.intersection(who)),
        mean(known) if known else CannotTell("nobody chose it"),
    )


def slip_figures(results: Results, without: Collection[str] = ()) -> tuple[SlipFigures, ...]:
    """Every slip that the questions offer, those first that many pupils make often. without: names of questions.

    The order is by the number of pupils who made it times the share of answers that show it: a slip that is offered
    everywhere is made once by many, one that is offered once by few. Counted are answers of which it is known what
    was chosen.
    """
    columns: dict[str, list[int]] = {}
    for place, question in enumerate(results.questions):
        for offered in question.offered if question.column not in without else ():
            if offered.slip and place not in columns.setdefault(offered.slip, []):
                columns[offered.slip].append(place)
    found = (_slip(results, slip, places) for slip, places in columns.items())
    return tuple(
        sorted(
            (f for f in found if f.of_times),
            key=lambda f: (-f.pupils * Fraction(f.times, f.of_times), f.slip),
        )
    )


def _slip(results: Results, slip: str, places: Sequence[int]) -> SlipFigures:
    pupils: set[int] = set()
    of_pupils: set[int] = set()
    times, of_times = 0, 0
    sentences: dict[str, int] = {}
    for place in places:
        answers = {number: results.sittings[number].answers[place] for number in results.given_to[place]}
        asked = [number for number, answer in answers.items() if answer.names]
        made = [number for number in asked if slip in answers[number].slips]
        pupils.update(made)
        of_pupils.update(asked)
        times, of_times = times + len(made), of_times + len(asked)
        if made:
            sentence = _teacher(results, place, slip)
            sentences[sentence] = sentences.get(sentence, 0) + len(made)
    # Templates may word it each in its own way: the sentence of most of the answers stands for all.
    most = sorted(sentences, key=lambda sentence: (-sentences[sentence], sentence))
    teacher = most[0] if most else _teacher(results, places[0], slip)
    columns = tuple(results.questions[place].column for place in places)
    return SlipFigures(slip, teacher, len(pupils), len(of_pupils), times, of_times, columns)


def _teacher(results: Results, place: int, slip: str) -> str:
    return next(each.teacher for each in results.questions[place].offered if each.slip == slip)
