"""Results for tests of the analysis: from plain numbers, and from a simulated class that sits a build.

The class answers by the Rasch model: a pupil of ability a gets a step of difficulty d right with probability
1 / (1 + exp(d - a)); the seed is fixed.
"""

from __future__ import annotations

import csv
import json
import math
import random
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
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


@dataclass(frozen=True)
class Reply:
    """What a simulated pupil does with an item. text: a letter, or what is typed; right: whether it is the key."""

    text: str
    right: bool
    values: tuple[str, ...]


def replies_of_a_class(build: Path, count: int, seed: int, slip: str = "") -> list[dict[str, Reply]]:
    """For each pupil the replies to choices and to entries of whole numbers, under the items' codes.

    slip: one that every second pupil makes wherever it is offered. Whoever does not find the key takes a wrong option
    by chance, and of what is typed the first slip.
    """
    draw = random.Random(seed)
    found = []
    for number, ability in enumerate(abilities(count, seed)):
        replies = {}
        for item in items_of(build):
            (part,) = item["parts"]
            is_right = draw.random() < 1 / (1 + math.exp(item["difficulty"]["thousandths"] / 1000 - ability))
            if part["response"] == "choice":
                options = part["options"]
                (key,) = [each["option"] for each in options if each["right"]]
                made = [each["option"] for each in options if each["slip"] == slip and slip and number % 2]
                wrong = draw.choice([each["option"] for each in options if not each["right"]])
                name = made[0] if made else key if is_right else wrong
                replies[item["code"]] = Reply(name, name == key, (name,))
            elif part["response"] == "entry" and [b["form"] for b in part["blanks"]] == ["integer"]:
                boxes = [str(value) for group in part["blanks"][0]["values"] for value in group]
                slots = part["blanks"][0]["slots"]
                values = boxes if is_right else re.findall(r"-?[0-9]+", part["slips"][0]["answer"])[:slots]
                text = part["key"]["plain"] if is_right else part["slips"][0]["answer"]
                replies[item["code"]] = Reply(text, is_right, (*values, *[""] * (slots - len(values))))
        found.append(replies)
    return found


def choices_table(replies: Sequence[dict[str, Reply]]) -> list[list[str]]:
    """A line for each pupil and a column for each item."""
    codes = list(replies[0])
    lines = [[f"Pupil {n:02}", *(each[code].text for code in codes)] for n, each in enumerate(replies, 1)]
    return [["pupil", *codes], *lines]


def report_xml(
    pupil: str, items: Sequence[str], namespace: str = "http://www.imsglobal.org/xsd/imsqti_result_v3p0"
) -> bytes:
    """A result report. items: made by `item_result`."""
    head = f'<?xml version="1.0" encoding="UTF-8"?>\n<assessmentResult xmlns="{namespace}">'
    return f'{head}<context sourcedId="{pupil}"/>{"".join(items)}</assessmentResult>'.encode()


def item_result(
    identifier: str,
    responses: Mapping[str, Sequence[str]],
    score: str = "",
    *,
    when: str = "2026-03-02T10:00:00",
    status: str = "final",
    feedback: Sequence[str] = (),
    more: Mapping[str, str] = MappingProxyType({}),
) -> str:
    """One attempt at an item. responses: variable -> values; more: further outcomes."""

    def values(texts: Sequence[str]) -> str:
        return "".join(f"<value>{text}</value>" for text in texts)

    told = "".join(
        f'<responseVariable identifier="{name}" cardinality="{"multiple" if len(texts) > 1 else "single"}" '
        f'baseType="identifier"><candidateResponse>{values(texts)}</candidateResponse></responseVariable>'
        for name, texts in responses.items()
    )
    outcomes = {**({"SCORE": score} if score else {}), **more}
    told += "".join(
        f'<outcomeVariable identifier="{name}" cardinality="single" baseType="float">{values([text])}</outcomeVariable>'
        for name, text in outcomes.items()
    )
    if feedback:
        told += (
            '<outcomeVariable identifier="FEEDBACK" cardinality="multiple" baseType="identifier">'
            f"{values(feedback)}</outcomeVariable>"
        )
    return f'<itemResult identifier="{identifier}" datestamp="{when}" sessionStatus="{status}">{told}</itemResult>'


def reports_of_a_class(replies: Sequence[dict[str, Reply]], marks: Mapping[str, int]) -> dict[str, bytes]:
    """A report for each pupil, as a platform writes them, by file name. marks: the maximum of each item."""
    found = {}
    for number, each in enumerate(replies, 1):
        items = []
        for code, reply in each.items():
            is_choice = len(reply.values) == 1 and reply.values[0].isalpha()
            boxes = {f"BOX_{at}": [value] if value else [] for at, value in enumerate(reply.values, 1)}
            items.append(
                item_result(
                    f"item-{code}",
                    {"RESPONSE": reply.values} if is_choice else boxes,
                    str(marks[code] * reply.right),
                )
            )
        found[f"pupil-{number:02}.xml"] = report_xml(f"pupil-{number:02}", items)
    return found


def write_csv(path: Path, rows: Sequence[Sequence[str]]) -> Path:
    """A table as a file."""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    return path
