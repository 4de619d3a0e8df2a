"""A quiz as the standard's assessment test: sections, how items are chosen, the rules of a sitting, the total.

It is written in the names of QTI 3.0; `qti2.translate` gives it those of 2.x.
Source: QTI 3.0, assessment test, outcome processing.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Final
from urllib.parse import quote

from itembank.publication import Publication, Quiz, Section
from itembank.writers.dialects import QTI_3_0, TOOL
from itembank.writers.elements import Safe, tag
from itembank.writers.package import file_name

__all__ = ["QUIZ_FILE", "quiz_identifier", "quiz_xml", "reference", "total_marks"]

QUIZ_FILE: Final = "quiz.xml"
_INSTANCE: Final = "http://www.w3.org/2001/XMLSchema-instance"


def quiz_identifier(publication: Publication, part: int) -> str:
    """The quiz's identifier, the same at every build. part: of a bank in several packages, 0 for the only one."""
    name = f"quiz-{file_name(publication.name, '')}"
    return f"{name}-{part}" if part else name


def reference(code: str) -> str:
    """The identifier of an item within a quiz, and of its resource in a package."""
    return f"item-{code}"


def total_marks(quiz: Quiz, sections: Sequence[Section]) -> int | None:
    """The marks a pupil can earn in all, None where that depends on the items that chance chooses.

    >>> mixed = Section("surds", "Surds", (("K7Q2M", 2), ("B2H6R", 2), ("T4W9C", 3)))
    >>> total_marks(Quiz(), [mixed]), total_marks(Quiz(select=1), [mixed])
    (7, None)
    """
    total = 0
    for section in sections:
        marks = [worth for _, worth in section.items]
        taken = _taken(quiz, section)
        if taken < len(marks) and len(set(marks)) > 1:
            return None
        total += sum(marks[:taken])
    return total


def _taken(quiz: Quiz, section: Section) -> int:
    return min(quiz.selected(section.name) or len(section.items), len(section.items))


def quiz_xml(publication: Publication, quiz: Quiz, sections: Sequence[Section], part: int = 0) -> str:
    """The document of a quiz. sections: with at least one item each; part: as in `quiz_identifier`."""
    title = quiz.title or publication.title
    total = total_marks(quiz, sections)
    worth = {"normal_maximum": str(total), "normal_minimum": "0"} if total is not None else {}
    shown = [_section(quiz, section) for section in sections]
    test_part = tag(
        "qti-test-part", _control(quiz), *shown, identifier="part-1",
        navigation_mode="linear" if quiz.forward else "nonlinear",
        submission_mode="simultaneous" if quiz.together else "individual",
    )  # fmt: skip
    root = tag(
        "qti-assessment-test", _outcome("SCORE", **worth), _outcome("MAXSCORE"), _time(quiz), test_part,
        tag("qti-outcome-processing", _sum("SCORE"), _sum("MAXSCORE")),
        xmlns=QTI_3_0.items, xmlns__xsi=_INSTANCE, xsi__schemaLocation=QTI_3_0.item_schema,
        identifier=quiz_identifier(publication, part), title=f"{title} ({part})" if part else title,
        tool_name=TOOL,
    )  # fmt: skip
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{root}\n'


def _outcome(identifier: str, **limits: str) -> str:
    start = tag("qti-default-value", tag("qti-value", "0"))
    return tag(
        "qti-outcome-declaration",
        start,
        identifier=identifier,
        cardinality="single",
        base_type="float",
        **limits,
    )


def _sum(identifier: str) -> str:
    """The items' outcomes of this name added; of items that chance left out there is none to add."""
    found = tag("qti-test-variables", variable_identifier=identifier)
    return tag("qti-set-outcome-value", tag("qti-sum", found), identifier=identifier)


def _time(quiz: Quiz) -> str:
    if not quiz.minutes:
        return ""
    late = {"allow_late_submission": _truth(quiz.late)}
    return tag("qti-time-limits", max_time=str(60 * quiz.minutes), **late)


def _control(quiz: Quiz) -> str:
    return tag(
        "qti-item-session-control", max_attempts=str(quiz.attempts), show_feedback=_truth(quiz.feedback),
        allow_review=_truth(quiz.review), show_solution=_truth(quiz.solution),
        allow_comment=_truth(quiz.comments), allow_skipping=_truth(quiz.skip),
    )  # fmt: skip


def _section_identifier(name: str) -> str:
    """The same at every build, and opaque: a template's name is half of an item's address.

    >>> _section_identifier("surds")
    'section-ce00f2c163'
    """
    return f"section-{hashlib.sha256(name.encode()).hexdigest()[:10]}"


def _section(quiz: Quiz, section: Section) -> str:
    taken = _taken(quiz, section)
    chosen = tag("qti-selection", select=str(taken)) if taken < len(section.items) else ""
    order = tag("qti-ordering", shuffle="true") if quiz.shuffled else ""
    items = [
        tag("qti-assessment-item-ref", identifier=reference(code), href=Safe(quote(f"items/{code}.xml")))
        for code, _ in section.items
    ]
    return tag(
        "qti-assessment-section", chosen, order, *items,
        identifier=_section_identifier(section.name), title=section.title, visible="true",
    )  # fmt: skip


def _truth(value: bool) -> str:
    return str(value).lower()
