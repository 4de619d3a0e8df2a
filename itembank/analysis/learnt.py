"""Who has learnt which method: of each pupil and method what the marks say, and how sure that is.

Sources: a pupil has learnt what a domain of questions asks if the share of marks reaches a border, and with few
questions both errors are to be told: Millman, "Passing scores and test lengths for domain-referenced measures", Review
of Educational Research 43 (1973), 205-216 (from memory); the binomial model there, here with the chances of each
question. That the border is 80 % of the marks is common practice, no source; the other numbers are rules of the house.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from fractions import Fraction
from typing import Final, NamedTuple

from itembank.analysis.exact import rounded
from itembank.analysis.guessing import Chances, at_least, at_most, guessed, known, together
from itembank.analysis.keys import Question
from itembank.analysis.responses import Answer, Results, State
from itembank.errors import DomainError
from itembank.words import OWN, Words, words

__all__ = [
    "BY",
    "MOST_ASKED",
    "Group",
    "Learning",
    "Method",
    "Rule",
    "Standing",
    "Verdict",
    "Why",
    "same_name",
    "who_has_learnt",
]

BY: Final = ("topic", "template", "statement")
"""What a method may be: a topic of the templates, one template, a statement of the curriculum."""


class Verdict(Enum):
    """What the marks say."""

    LEARNT = "learnt"
    NOT_YET = "not yet"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Rule:
    """What is taken for learnt.

    share: of the marks, from which on. fewest: questions below which nothing is said. slipping: the share of questions
    that somebody gets wrong who has learnt the method. doubt: how large the chance of either error may be.
    """

    share: Fraction = Fraction(4, 5)
    fewest: int = 2
    slipping: Fraction = Fraction(1, 10)
    doubt: Fraction = Fraction(1, 10)


USUAL: Final = Rule()
MOST_ASKED: Final = 12
"""Questions of one method that a test may have; more are not tried."""


@dataclass(frozen=True, slots=True)
class Method:
    """name: the topic, the template or the statement. title: the same for people. questions: their names; templates:
    which ask for it.
    """

    name: str
    title: str
    questions: tuple[str, ...]
    templates: tuple[str, ...]
    marks: int


class Why(NamedTuple):
    """Why something cannot be told. key: of the words that say it, without what all such keys begin with."""

    key: str
    values: tuple[tuple[str, object], ...] = ()


@dataclass(frozen=True, slots=True)
class Standing:
    """How a pupil stands in a method: `got` of `most` marks in so many questions that the pupil came to.

    why: of what cannot be told the key of the words that say why, with their values, else None. slips: those made
    there, with how often.
    """

    verdict: Verdict
    got: Fraction
    most: int
    questions: int
    why: Why | None
    slips: tuple[tuple[str, int], ...]

    def told_why(self, said: Words) -> str:
        """Why it cannot be told, in some language; "" where it can be."""
        return said(f"learnt-why-{self.why.key}", **dict(self.why.values)) if self.why is not None else ""

    @property
    def reason(self) -> str:
        """Why it cannot be told, in English, else ""."""
        return self.told_why(words(OWN))


@dataclass(frozen=True, slots=True)
class Group:
    """Pupils who made a slip, with how often, and have not learnt the method for certain; teacher: what to reteach."""

    slip: str
    teacher: str
    pupils: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Learning:
    """pupils: by name; standings: for each pupil one in each method, in the order of `methods`.

    tells_slips: whether the results tell what was chosen or typed, and so which slips were made. enough: for each
    method how many questions like its own would tell of most who have learnt it that it is so, None for too many.
    """

    by: str
    rule: Rule
    methods: tuple[Method, ...]
    pupils: tuple[str, ...]
    standings: tuple[tuple[Standing, ...], ...]
    groups: tuple[Group, ...]
    tells_slips: bool = True
    enough: tuple[int | None, ...] = ()

    def of(self, place: int, verdict: Verdict) -> tuple[str, ...]:
        """The pupils of whom this is said in a method."""
        return tuple(
            name
            for name, row in zip(self.pupils, self.standings, strict=True)
            if row[place].verdict is verdict
        )

    def most_asked(self, place: int) -> int:
        """How many questions of a method the pupil came to who came to most; of several forms each has its own."""
        return max((row[place].questions for row in self.standings), default=0)

    def to_practise(self, place: int) -> tuple[str, ...]:
        """The pupils who lost marks in a method and have not learnt it for certain."""
        return tuple(
            name
            for name, row in zip(self.pupils, self.standings, strict=True)
            if row[place].verdict is not Verdict.LEARNT and row[place].got < row[place].most
        )


@dataclass(slots=True)
class _Evidence:
    """A pupil's answers in all sittings."""

    pupil: str
    answers: list[tuple[Question, Answer]] = field(default_factory=list)


def who_has_learnt(sittings: Sequence[Results], by: str = "topic", rule: Rule = USUAL) -> Learning:
    """What the results of one or several sittings say of each pupil and method.

    sittings: of pupils in several, all answers count together. by: one of BY. Questions without a topic or statement
    stand for their template. Raises DomainError for another `by`.
    """
    if by not in BY:
        raise DomainError(f"methods go by {', '.join(BY)}, not by {by}")
    questions = {
        (question.code, question.label): question for results in sittings for question in results.questions
    }
    methods = _methods(questions.values(), by)
    pupils = _pupils(sittings)
    judge = _Judge(rule)
    standings = tuple(
        tuple(judge.standing(by_method.get(method.name, ())) for method in methods)
        for by_method in (_by_method(pupil, by) for pupil in pupils)
    )
    groups = tuple(_groups(pupils, methods, standings, by))
    tells_slips = any(answer.names for pupil in pupils for _, answer in pupil.answers)
    asked = [[each for each in questions.values() if method.name in _names(each, by)] for method in methods]
    enough = tuple(map(judge.enough, asked))
    names = tuple(pupil.pupil for pupil in pupils)
    return Learning(by, rule, methods, names, standings, groups, tells_slips, enough)


def _by_method(pupil: _Evidence, by: str) -> dict[str, list[tuple[Question, Answer]]]:
    found: dict[str, list[tuple[Question, Answer]]] = {}
    for question, answer in pupil.answers:
        for name in dict.fromkeys(_names(question, by)):
            found.setdefault(name, []).append((question, answer))
    return found


def _names(question: Question, by: str) -> tuple[str, ...]:
    """The methods that a question asks for."""
    named = question.topics if by == "topic" else question.curriculum if by == "statement" else ()
    return named or (question.template,)


def _methods(questions: Iterable[Question], by: str) -> tuple[Method, ...]:
    found: dict[str, list[Question]] = {}
    for question in questions:
        for name in _names(question, by):
            found.setdefault(name, []).append(question)
    return tuple(
        Method(
            name,
            _title(name, asked),
            tuple(each.column for each in asked),
            tuple(dict.fromkeys(each.template for each in asked)),
            sum(each.maximum for each in asked),
        )
        for name, asked in found.items()
    )


def _title(name: str, asked: Sequence[Question]) -> str:
    """What the bank calls a topic, of a method that is a template the template's title, else its own name in words."""
    if name == asked[0].template:
        return asked[0].title
    titles = (title for question in asked for topic, title in question.topic_titles if topic == name)
    return next(titles, "") or _in_words(name)


def _in_words(name: str) -> str:
    """A topic for people; one word says too little without what stands above it.

    >>> _in_words("quadratics/completing-the-square"), _in_words("equations/linear"), _in_words("HSA-REI.B.4b")
    ('Completing the square', 'Equations: linear', 'HSA-REI.B.4b')
    """
    above, _, last = name.rpartition("/")
    if not last.islower():
        return last
    if above and "-" not in last:
        return f"{_in_words(above)}: {last}"
    return last.replace("-", " ").capitalize()


def _pupils(sittings: Sequence[Results]) -> list[_Evidence]:
    """In the order of the files; the same name is the same pupil."""
    found: dict[str, _Evidence] = {}
    for results in sittings:
        for sitting in results.sittings:
            evidence = found.setdefault(same_name(sitting.pupil), _Evidence(sitting.pupil))
            evidence.answers += (
                (results.questions[place], answer) for place, answer in sitting.answers.items()
            )
    return list(found.values())


def same_name(pupil: str) -> str:
    """A name as names are compared: neither blanks nor capitals tell pupils apart."""
    return " ".join(pupil.split()).casefold()


class _Judge:
    """Judges by a rule; what luck does in the same questions is worked out once."""

    def __init__(self, rule: Rule) -> None:
        self.rule = rule
        self._lucky: dict[tuple[Question, ...], Chances] = {}
        self._unlucky: dict[tuple[Question, ...], Chances] = {}

    def standing(self, answers: Sequence[tuple[Question, Answer]]) -> Standing:
        """What a pupil's answers to the questions of a method say; what was not reached says nothing of it."""
        taken = [(question, answer) for question, answer in answers if answer.is_reached]
        got = sum((answer.mark for _, answer in taken if answer.mark is not None), Fraction(0))
        most = sum(question.maximum for question, _ in taken)
        verdict, why = self._verdict(tuple(question for question, _ in taken), got, most)
        if why is None and verdict is Verdict.CANNOT_TELL:
            why = _nothing_taken(answers)
        return Standing(verdict, got, most, len(taken), why, tuple(_slips(taken)))

    def _verdict(self, asked: tuple[Question, ...], got: Fraction, most: int) -> tuple[Verdict, Why | None]:
        rule = self.rule
        if not asked:
            return Verdict.CANNOT_TELL, None
        if len(asked) < rule.fewest:
            return Verdict.CANNOT_TELL, Why("single", (("fewest", rule.fewest),))
        if got >= rule.share * most:
            lucky = at_least(self._guessing(asked), got)
            if lucky <= rule.doubt:
                return Verdict.LEARNT, None
            return Verdict.CANNOT_TELL, Why("guessing", (("chance", _per_cent(lucky)),))
        unlucky = at_most(self._knowing(asked), got)
        if unlucky <= rule.doubt:
            return Verdict.NOT_YET, None
        slips = _per_cent(rule.slipping)
        return Verdict.CANNOT_TELL, Why("slipping", (("slips", slips), ("chance", _per_cent(unlucky))))

    def enough(self, like: Sequence[Question]) -> int | None:
        """The fewest questions of these kinds, in turn, that tell of somebody who has learnt the method that it is so.

        In all cases but those of doubt: who slips now and then may do so twice. Marks are taken as equal, since one
        question of many marks makes a slip weigh more. Of five, of which four are enough, that is 0.9^5 + 5 * 0.9^4 *
        0.1 = 0.92 of cases.
        """
        like = [replace(each, maximum=1, share="") for each in like]
        for number in range(self.rule.fewest, MOST_ASKED + 1):
            asked = tuple(like[at % len(like)] for at in range(number))
            most = sum(question.maximum for question in asked)
            told = sum(
                chance
                for got, chance in self._knowing(asked).items()
                if self._verdict(asked, got, most)[0] is Verdict.LEARNT
            )
            if told >= 1 - self.rule.doubt:
                return number
        return None

    def _guessing(self, asked: tuple[Question, ...]) -> Chances:
        if asked not in self._lucky:
            self._lucky[asked] = together(map(guessed, asked))
        return self._lucky[asked]

    def _knowing(self, asked: tuple[Question, ...]) -> Chances:
        if asked not in self._unlucky:
            self._unlucky[asked] = together(known(question, self.rule.slipping) for question in asked)
        return self._unlucky[asked]


def _nothing_taken(answers: Sequence[tuple[Question, Answer]]) -> Why:
    states = {answer.state for _, answer in answers}
    if State.UNMARKED in states:
        return Why("unmarked")
    return Why("not-reached" if State.NOT_REACHED in states else "not-given")


def _per_cent(share: Fraction) -> str:
    return f"{rounded(100 * share, 0)} %"


def _slips(taken: Sequence[tuple[Question, Answer]]) -> Iterator[tuple[str, int]]:
    """Those made most often first."""
    times: dict[str, int] = {}
    for _, answer in taken:
        for slip in answer.slips:
            times[slip] = times.get(slip, 0) + 1
    yield from sorted(times.items(), key=lambda each: (-each[1], each[0]))


def _groups(
    pupils: Sequence[_Evidence],
    methods: Sequence[Method],
    standings: Sequence[Sequence[Standing]],
    by: str,
) -> Iterator[Group]:
    """By slip, that of most pupils first."""
    made: dict[str, dict[str, int]] = {}
    teachers: dict[str, str] = {}
    for pupil, row in zip(pupils, standings, strict=True):
        open_ones = {
            method.name
            for method, standing in zip(methods, row, strict=True)
            if standing.verdict is not Verdict.LEARNT
        }
        for question, answer in pupil.answers:
            if not open_ones.intersection(_names(question, by)):
                continue
            for slip in answer.slips:
                times = made.setdefault(slip, {})
                times[pupil.pupil] = times.get(pupil.pupil, 0) + 1
                sentence = next((each.teacher for each in question.offered if each.slip == slip), "")
                teachers[slip] = teachers.get(slip) or sentence
    for slip, times in sorted(made.items(), key=lambda each: (-len(each[1]), each[0])):
        yield Group(slip, teachers[slip], tuple(times.items()))
