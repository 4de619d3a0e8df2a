"""The staff's own files: every item whole with its key and proof, what each option means, a sheet for marks."""

from __future__ import annotations

import json
from typing import Any

from itembank.bank.explain import values_told
from itembank.build.staff_responses import answer_rows, response_record
from itembank.build.staff_text import plain_text, sentence, shown
from itembank.expressions import spelling
from itembank.figures import Figure, drawing, in_words
from itembank.items import Difficulty, Item, Part
from itembank.proof.findings import Finding
from itembank.spreadsheets import as_csv
from itembank.verdicts import Proved
from itembank.words import words

ANSWER_COLUMNS = ("item", "part", "option", "right", "plain", "latex", "mathml", "slip", "marks", "teacher")


def record(item: Item, findings: tuple[Finding, ...]) -> str:
    """One item as a line of JSON: whole, with key, slips, solution and proof."""
    address = item.address
    data = {
        "code": item.code,
        "address": {
            "template": address.template,
            "version": address.version,
            "seed": address.seed,
            "position": address.position,
        },
        "band": item.band,
        "title": item.about.title,
        "language": item.about.language,
        "topics": list(item.about.topics),
        **({"topic_titles": dict(titles)} if (titles := item.about.topic_titles) else {}),
        "curriculum": list(item.about.curriculum),
        "level": item.about.level,
        "demand": item.about.demand,
        "calculator": item.about.calculator,
        "minutes": item.about.minutes,
        "marks": item.marks,
        "difficulty": _difficulty(item.difficulty),
        "values": values_told(item),
        "parts": [_part(part, item.about.language) for part in item.parts],
        "proof": [
            {"claim": f.claim, "about": f.subject, "witness": f.verdict.witness}
            for f in findings
            if isinstance(f.verdict, Proved)
        ],
    }
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def _difficulty(predicted: Difficulty | None) -> dict[str, Any] | None:
    """A predicted difficulty in thousandths of a logit, with what contributed."""
    if predicted is None:
        return None
    return {
        "thousandths": predicted.thousandths,
        "word": predicted.word,
        "contributions": [
            {"feature": feature, "times": times, "adds": adds, **({"part": part} if part else {})}
            for feature, times, adds, part in predicted.contributions
        ],
    }


def _part(part: Part, language: str) -> dict[str, Any]:
    response = part.response
    told: dict[str, Any] = {
        "label": part.label,
        "problem": shown(part.problem.statement, language),
        "kind": part.problem.shape,
        "unknowns": list(part.problem.unknowns),
        **({"for_every": list(part.problem.for_every)} if part.problem.for_every else {}),
        **({"domain": spelling.plain(part.problem.domain)} if part.problem.domain else {}),
        "stem": plain_text(part.stem),
        "key": shown(part.key, language),
        "marks": response.marks,
        "solution": [
            {
                "kind": line.kind,
                "say": plain_text(line.say),
                "maths": spelling.plain(line.maths) if line.maths else "",
                "marks": " ".join(str(mark) for mark in line.marks),
                **_picture(line.figure, language),
            }
            for line in part.solution
        ],
        **_picture(part.figure, language),
    }
    told |= response_record(response, language)
    if part.follow is not None:
        told["follow_through"] = shown(part.follow, language)
    told["slips"] = [
        {
            "slip": s.name,
            "answer": spelling.plain(s.answer),
            "pupil": sentence(s.pupil, language),
            "teacher": sentence(s.teacher, language),
        }
        for s in part.slips
    ]
    return told


def _picture(figure: Figure | None, language: str) -> dict[str, str]:
    return {} if figure is None else {"figure": in_words(drawing(figure, words(language)))}


def answers(item: Item) -> tuple[tuple[str, ...], ...]:
    """Rows of the answer map: what each option, or recognised entry, of an item means."""
    return tuple(
        (item.code, part.label, *(str(cell) for cell in row))
        for part in item.parts
        for row in answer_rows(part, item.about.language)
    )


def columns(item: Item) -> tuple[tuple[str, int], ...]:
    """Columns of the mark sheet: the code (with the part's letter) and its maximum."""
    return tuple((f"{item.code}{part.label}", part.response.marks) for part in item.parts)


def csv_line(cells: tuple[object, ...]) -> str:
    """One line of CSV."""
    return as_csv([cells])
