"""Results as they are analysed: one answer for each pupil and question, from any number of files.

A reader of one kind of file gives a `Record` for each pupil it finds; `combine` puts the records of a pupil together
and settles what is missing.

- omitted: nothing stands there, though something stands at a later question (or the pupil has read it: `-`)
- not reached: nothing stands there nor at any later question of the paper
- not given: the pupil's quiz or paper did not have the question, or the files do not speak of it
- unmarked: there is an answer whose marks nobody has told yet
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from fractions import Fraction
from typing import Final

from itembank.analysis.exact import added
from itembank.analysis.keys import Keys, Question
from itembank.errors import Diagnostic, InputError, Level, Span

__all__ = [
    "FEWEST_TO_TELL",
    "Answer",
    "Record",
    "Results",
    "Sitting",
    "State",
    "by_pupil",
    "combine",
    "given_of",
]


class State(Enum):
    """What became of a question in one pupil's hands."""

    ANSWERED = "answered"
    OMITTED = "omitted"
    NOT_REACHED = "not reached"
    NOT_GIVEN = "not given"
    UNMARKED = "unmarked"


@dataclass(frozen=True, slots=True)
class Answer:
    """One pupil's answer to one question.

    mark: what it earned; 0 for what is omitted or not reached, None where it is not known or not given.
    names: of what was chosen or recognised, as in `Question.offered`; () where only marks are known.
    slips: those it shows. is_blank: a reader found nothing there; `combine` says whether it was reached.
    """

    state: State
    mark: Fraction | None = None
    names: tuple[str, ...] = ()
    slips: tuple[str, ...] = ()
    is_blank: bool = False

    @property
    def is_counted(self) -> bool:
        """Whether it enters totals."""
        return self.mark is not None

    @property
    def is_reached(self) -> bool:
        """Whether it enters the figures of its question."""
        return self.state in (State.ANSWERED, State.OMITTED)


FEWEST_TO_TELL: Final = 5
"""Pupils below whom a question without any answer is taken as it stands (house rule)."""
NOT_GIVEN = Answer(State.NOT_GIVEN)
BLANK = Answer(State.OMITTED, Fraction(0), is_blank=True)
OMITTED = Answer(State.OMITTED, Fraction(0))


def given_of(answers: Mapping[int, Answer]) -> dict[int, Answer]:
    """Without the questions that were not given."""
    return {place: each for place, each in answers.items() if each.state is not State.NOT_GIVEN}


@dataclass(frozen=True, slots=True)
class Record:
    """What one file says of one pupil. answers: question's place -> answer; order: places in the order of the paper.

    Where the order is not known (None) what is blank counts as omitted.
    """

    pupil: str
    place: Span
    answers: Mapping[int, Answer]
    order: tuple[int, ...] | None
    version: str = ""


@dataclass(frozen=True, slots=True)
class Sitting:
    """A pupil's answers to the questions that were given, by their places in the results, in that order.

    total: marks in all; what is omitted or not reached earns none. most: the maximum of the questions that count;
    counted: how many these are.
    """

    pupil: str
    answers: Mapping[int, Answer]
    total: Fraction
    most: int
    version: str = ""
    counted: int = 0

    @classmethod
    def of(
        cls, pupil: str, answers: Mapping[int, Answer], questions: Sequence[Question], version: str = ""
    ) -> Sitting:
        """A sitting with its marks added up."""
        given = given_of(dict(sorted(answers.items())))
        counted = [place for place, each in given.items() if each.mark is not None]
        total = added(given[place].mark for place in counted)
        return cls(
            pupil, given, total, sum(questions[place].maximum for place in counted), version, len(counted)
        )

    def answer(self, place: int) -> Answer:
        """The answer to a question, of one that was not given too."""
        return self.answers.get(place, NOT_GIVEN)


@dataclass(frozen=True, slots=True)
class Results:
    """What is analysed. questions: those that anybody was given; order: their places as in the paper.

    absent: pupils with no answer at all, who are left out. left_out: names of questions that no file speaks of.
    doubts: what is doubtful in the files. items: the places of the questions of each item, under its code; given_to:
    for each question the numbers of the sittings that had it; shares: of each sitting its marks by the maximum;
    standings: by which sittings stand in the order of their shares, equal ones alike.
    """

    questions: tuple[Question, ...]
    sittings: tuple[Sitting, ...]
    absent: int = 0
    left_out: tuple[str, ...] = ()
    doubts: tuple[Diagnostic, ...] = field(default=(), compare=False)
    items: Mapping[str, tuple[int, ...]] = field(init=False, repr=False, compare=False)
    given_to: tuple[Sequence[int], ...] = field(init=False, repr=False, compare=False)
    shares: tuple[Fraction, ...] = field(init=False, repr=False, compare=False)
    standings: tuple[int, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # Pupils may have had few of many questions each: no figure looks at what was not given.
        items: dict[str, list[int]] = {}
        for place, question in enumerate(self.questions):
            items.setdefault(question.code, []).append(place)
        given_to: tuple[list[int], ...] = tuple([] for _ in self.questions)
        for number, sitting in enumerate(self.sittings):
            for place in sitting.answers:
                given_to[place].append(number)
        object.__setattr__(self, "items", {code: tuple(places) for code, places in items.items()})
        object.__setattr__(self, "given_to", given_to)
        shares = tuple(self.share(each) or Fraction(0) for each in self.sittings)
        order = {share: number for number, share in enumerate(sorted(set(shares)))}
        object.__setattr__(self, "shares", shares)
        object.__setattr__(self, "standings", tuple(order[share] for share in shares))

    def share(self, sitting: Sitting, without: Iterable[int] = ()) -> Fraction | None:
        """Marks by the maximum over the questions that count for a pupil, leaving some out; None where none is left."""
        got, most = sitting.total, sitting.most
        for place in without:
            mark = sitting.answer(place).mark
            if mark is not None:
                got, most = got - mark, most - self.questions[place].maximum
        return got / most if most else None

    def given(self, places: Iterable[int]) -> list[int]:
        """The numbers of the sittings that had any of some questions, in their order."""
        return sorted({number for place in places for number in self.given_to[place]})


def combine(keys: Keys, records: Sequence[Record], doubts: Iterable[Diagnostic] = ()) -> Results:
    """The results of all records. One pupil may have several, if no two tell marks of one question.

    Raises InputError `same-pupil-twice`, `no-results`.
    """
    merged = by_pupil(records)
    told = list(doubts)
    given = _given(keys, list(merged.values()), told)
    questions = tuple(keys.questions[place] for place in given)
    at = {place: number for number, place in enumerate(given)}
    sittings = []
    for record in merged.values():
        answers = {at[place]: answer for place, answer in _settled(record).items() if place in at}
        sittings.append(Sitting.of(record.pupil, answers, questions, record.version))
    present = tuple(
        s for s in sittings if any(a.state in (State.ANSWERED, State.UNMARKED) for a in s.answers.values())
    )
    if not present:
        message = "no pupil has an answer in these files"
        raise InputError(Diagnostic("no-results", message, records[0].place if records else None))
    return Results(
        questions,
        present,
        len(sittings) - len(present),
        tuple(q.column for place, q in enumerate(keys.questions) if place not in at),
        tuple(told),
    )


def by_pupil(records: Iterable[Record]) -> dict[str, Record]:
    """One record for each pupil, under the name as names are compared. Raises InputError `same-pupil-twice`."""
    wrong: list[Diagnostic] = []
    merged: dict[str, Record] = {}
    for record in records:
        name = " ".join(record.pupil.split()).casefold()
        known = merged.get(name)
        merged[name] = record if known is None else _merged(known, record, wrong)
    if wrong:
        raise InputError(wrong)
    return merged


def _given(keys: Keys, records: Sequence[Record], doubts: list[Diagnostic]) -> list[int]:
    """The places that anybody was given.

    Where nobody of several pupils has anything, marks were more likely not filled in yet than left out by all.
    """
    given = sorted({place for record in records for place in record.answers})
    present = [r for r in records if not all(answer.is_blank for answer in r.answers.values())]
    if len(present) < FEWEST_TO_TELL:
        return given
    known = {place for r in present for place, answer in r.answers.items() if not answer.is_blank}
    filled = [place for place in given if place in known]
    if empty := [keys.questions[place].column for place in given if place not in known]:
        some = ", ".join(empty[:5]) + (" ..." if len(empty) > 5 else "")
        message = (
            f"nobody has a mark or an answer in {len(empty)} of the questions, which are left out: {some}"
        )
        hint = "if they were left out by all, write - or 0 in their columns"
        doubts.append(Diagnostic("nobody-answered", message, records[0].place, Level.DOUBTFUL, hint=hint))
    return filled


def _merged(known: Record, more: Record, wrong: list[Diagnostic]) -> Record:
    both = [
        place
        for place in known.answers.keys() & more.answers.keys()
        if not _fits(known.answers[place], more.answers[place])
    ]
    if both:
        message = f"a pupil stands here who stands in {known.place} too, with an answer to the same question"
        wrong.append(
            Diagnostic(
                "same-pupil-twice", message, more.place,
                hint="leave one of the two lines out, or tell two pupils of one name apart",
            )
        )  # fmt: skip
        return known
    answers = dict(known.answers)
    for place, answer in more.answers.items():
        answers[place] = _joined(answers[place], answer) if place in answers else answer
    order = max(known.order, more.order, key=lambda order: len(order or ()))
    return replace(known, answers=answers, order=order, version=known.version or more.version)


def _fits(first: Answer, second: Answer) -> bool:
    """Whether one of two answers tells marks alone and the other what was chosen."""
    return bool(first.names) != bool(second.names) or first == second == BLANK


def _joined(first: Answer, second: Answer) -> Answer:
    """Marks as somebody gave them stand before marks that follow from what was chosen."""
    marks, chosen = (second, first) if first.names else (first, second)
    if marks.is_blank or marks.mark is None:
        return chosen
    return replace(chosen, state=State.ANSWERED, mark=marks.mark)


def _settled(record: Record) -> dict[int, Answer]:
    """Answers with blanks at the end of the paper as not reached."""
    answers = dict(record.answers)
    if record.order is None:
        return {place: replace(answer, is_blank=False) for place, answer in answers.items()}
    sequence = [place for place in record.order if place in answers]
    known = frozenset(sequence)
    sequence += [place for place in answers if place not in known]
    for place in reversed(sequence):
        if not answers[place].is_blank:
            break
        answers[place] = Answer(State.NOT_REACHED, Fraction(0))
    return {place: replace(answer, is_blank=False) for place, answer in answers.items()}
