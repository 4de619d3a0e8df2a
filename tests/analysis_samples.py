"""Results for tests of the analysis: from plain numbers, and from a simulated class that sits a build.

The class answers by the Rasch model: a pupil of ability a gets a step of difficulty d right with probability
1 / (1 + exp(d - a)); the seed is fixed.
"""

from __future__ import annotations

import csv
import json
import math
import random
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from itembank.analysis.keys import Keys, Offered, Question
from itembank.analysis.responses import Answer, Record, Results, State, combine
from itembank.errors import Span

Row = Sequence[int | Fraction | None]


def question(
    number: int, maximum: int = 1, offered: tuple[Offered, ...] = (), kind: str = "entry"
) -> Question:
    """A question that is an item of its own."""
    return Question(
        f"ITEM{number:02}", "", f"template-{number % 3}", f"Item {number}", maximum, kind, offered
    )


def keys_of(maxima: Sequence[int]) -> Keys:
    """Questions with these maxima."""
    return Keys("A test", tuple(question(number, maximum) for number, maximum in enumerate(maxima)))


def results_of(rows: Sequence[Row], maxima: Sequence[int] | None = None) -> Results:
    """rows: for each pupil the marks, None for nothing given. maxima: 1 each unless said."""
    keys = keys_of(maxima if maxima is not None else [1] * len(rows[0]))
    return combine(keys, [record(number, row) for number, row in enumerate(rows)])


def record(number: int, row: Row) -> Record:
    """A pupil's marks."""
    answers = {
        place: Answer(State.ANSWERED, Fraction(mark)) for place, mark in enumerate(row) if mark is not None
    }
    return Record(f"pupil {number}", Span("marks.csv", number + 3, 1), answers, tuple(range(len(row))))


def chosen_results(
    choices: Sequence[Sequence[str]], questions: Sequence[Question], more: Sequence[Row] = ()
) -> Results:
    """choices: for each pupil the name chosen in each question; more: marks in further questions."""
    extra = [question(50 + at) for at in range(len(more[0]))] if more else []
    keys = Keys("A test", (*questions, *extra))
    records = []
    for number, names in enumerate(choices):
        answers = {place: _answer(questions[place], name) for place, name in enumerate(names)}
        if more:
            answers |= {
                len(names) + at: Answer(State.ANSWERED, Fraction(mark or 0))
                for at, mark in enumerate(more[number])
            }
        records.append(
            Record(
                f"pupil {number}",
                Span("chosen.csv", number + 2, 1),
                answers,
                tuple(range(len(keys.questions))),
            )
        )
    return combine(keys, records)


def _answer(asked: Question, name: str) -> Answer:
    offered = next(each for each in asked.offered if each.name == name)
    mark = Fraction(asked.maximum if offered.is_right else 0)
    return Answer(State.ANSWERED, mark, (name,), (offered.slip,) if offered.slip else ())


def items_of(build: Path) -> list[dict[str, Any]]:
    """The items of a build, as `staff/items.json` has them."""
    found: list[dict[str, Any]] = json.loads((build / "staff" / "items.json").read_text("utf-8"))["items"]
    return found


def abilities(count: int, seed: int) -> list[float]:
    """A class: abilities in logits, normal with deviation 1."""
    draw = random.Random(seed)
    return [draw.gauss(0, 1) for _ in range(count)]


def marks_of_a_class(build: Path, count: int, seed: int) -> list[list[str]]:
    """The rows of the build's mark sheet, filled in by a class; head and maximum first, the total last."""
    draw = random.Random(seed)
    with (build / "staff" / "mark-sheet.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))[:2]
    difficulty = {item["code"]: item["difficulty"]["thousandths"] / 1000 for item in items_of(build)}
    for number, ability in enumerate(abilities(count, seed), 1):
        marks = [
            sum(draw.random() < 1 / (1 + math.exp(difficulty[code[:9]] - ability)) for _ in range(int(most)))
            for code, most in zip(rows[0][1:-1], rows[1][1:-1], strict=True)
        ]
        rows.append([f"Pupil {number:02}", *map(str, marks), str(sum(marks))])
    return rows


def write_csv(path: Path, rows: Sequence[Sequence[str]]) -> Path:
    """A table as a file."""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    return path
