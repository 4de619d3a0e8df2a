"""Result reports of the open standard: QTI Results Reporting 2.1, 2.2 and 3.0, one document for each pupil.

Read without document types, entities or network. Of several attempts at an item the last counts, as in the standard's
own examples, but none that was opened and left as it was. Response variables are those of our packages (RESPONSE,
BOX_1, TICK; with the letter of a part behind), and so are the outcomes SCORE, SCORE_a and FEEDBACK; a platform that
leaves marks out leaves them to the key.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from lxml import etree

from itembank.analysis.columns import question_named
from itembank.analysis.keys import ANOTHER, RIGHT, Keys, Question
from itembank.analysis.matching import answered, entered_as, named_in
from itembank.analysis.meanings import meaning_of, of_boxes
from itembank.analysis.responses import BLANK, Answer, Record, State
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["is_xml", "read_report"]

_FORBIDDEN: Final = re.compile(rb"<!(?:DOCTYPE|ENTITY|ELEMENT|ATTLIST|NOTATION)")
_NAMESPACE: Final = "http://www.imsglobal.org/xsd/imsqti"
_NUMBER: Final = re.compile(r"[0-9]{1,9}(\.[0-9]{1,15})?([eE][+-]?[0-9]{1,2})?")
_BOX: Final = re.compile(r"BOX(?:_([a-z]))?_([0-9]+)")
_UNSEEN: Final = ("initial",)
_UNMARKED: Final = ("pendingExternalScoring", "pendingResponseProcessing")


@dataclass(frozen=True, slots=True)
class _Attempt:
    """What a report says of one attempt at an item. values: of each response and outcome variable; () for NULL."""

    line: int
    sequence: int
    when: str
    status: str
    responses: Mapping[str, tuple[str, ...]]
    outcomes: Mapping[str, tuple[str, ...]]


def is_xml(data: bytes) -> bool:
    """Whether a file looks like XML at all."""
    return data.lstrip(b"\xef\xbb\xbf\x00\xff\xfe \t\r\n")[:1] == b"<"


def read_report(
    path: str, data: bytes, keys: Keys, name: str, others: set[str] | None = None
) -> Record | None:
    """The record of one pupil; None for a document that is no result report (a manifest, say).

    name: what the pupil is called where the report does not say. others: takes the names of items
    of other builds. Questions were seen in the order of `sequenceIndex`,
    or of the document. Raises InputError: `document-type`, `not-utf-8`, `not-well-formed`, `unknown-item` where no
    item of it is one of the build, `not-a-mark`, `more-than-maximum`.
    """
    root = _root(path, data)
    if etree.QName(root).localname != "assessmentResult" or not _is_of_the_standard(root):
        return None
    attempts: dict[str, list[_Attempt]] = {}
    unknown: set[str] = set()
    for element in _children(root, "itemResult"):
        identifier = str(element.get("identifier", ""))
        code = _code(identifier, keys)
        if code is None:
            unknown.add(identifier)
        else:
            attempts.setdefault(code, []).append(_attempt(element))
    if not attempts and unknown:
        message = f"none of the {len(unknown)} items of the report is one of this build"
        hint = "name the folder of the build that the package came from"
        raise InputError(_told("unknown-item", message, path, _line(root), hint))
    if others is not None:
        others |= unknown
    faults: list[Diagnostic] = []
    answers: dict[int, Answer] = {}
    for code, every in attempts.items():
        # sorted keeps the order in which those of one time came
        *_, last = sorted(every, key=lambda each: (each.status not in _UNSEEN, each.when))
        for place in keys.of_item(code):
            answers[place] = _answer(path, keys.questions[place], last, faults)
    if faults:
        raise InputError(faults)
    seen = sorted(attempts, key=lambda code: attempts[code][0].sequence)
    order = tuple(place for code in seen for place in keys.of_item(code))
    return Record(_pupil(root) or name, Span(path, _line(root), 1), answers, order)


def _root(path: str, data: bytes) -> etree._Element:
    if _FORBIDDEN.search(data):
        message = "the file declares a document type or entities, which are not read"
        raise InputError(
            _told("document-type", message, path, 1, "ask the platform for plain result reports")
        )
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as wrong:
        line = data[: wrong.start].count(b"\n") + 1
        raise InputError(_told("not-utf-8", "the report is not in UTF-8", path, line, "")) from None
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False,
        remove_comments=True, remove_pis=True, encoding="utf-8",
    )  # fmt: skip
    try:
        return etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as wrong:
        line, column = getattr(wrong, "position", (1, 1))
        message = f"the file is not well-formed XML: {getattr(wrong, 'msg', wrong)}"
        raise InputError(
            Diagnostic("not-well-formed", message, Span(path, max(line, 1), max(column, 1)))
        ) from None


def _line(element: etree._Element) -> int:
    line: object = element.sourceline
    return line if isinstance(line, int) else 1


def _told(code: str, message: str, path: str, line: int, hint: str) -> Diagnostic:
    return Diagnostic(code, message, Span(path, line, 1), hint=hint)


def _is_of_the_standard(root: etree._Element) -> bool:
    namespace = etree.QName(root).namespace or ""
    return not namespace or namespace.startswith(_NAMESPACE)


def _children(element: etree._Element, name: str) -> Iterator[etree._Element]:
    for child in element:
        if isinstance(child.tag, str) and etree.QName(child).localname == name:
            yield child


def _code(identifier: str, keys: Keys) -> str | None:
    place = question_named(identifier, keys)
    if place is not None:
        return keys.questions[place].code
    words = set(re.findall(r"[a-z0-9]+", identifier.casefold()))
    found = {question.code for question in keys.questions if question.code.casefold() in words}
    return found.pop() if len(found) == 1 else None


def _pupil(root: etree._Element) -> str:
    for context in _children(root, "context"):
        if context.get("sourcedId"):
            return str(context.get("sourcedId"))
        for session in _children(context, "sessionIdentifier"):
            if session.get("identifier"):
                return str(session.get("identifier"))
    return ""


def _attempt(element: etree._Element) -> _Attempt:
    responses, outcomes = {}, {}
    for variable in _children(element, "responseVariable"):
        given = list(_children(variable, "candidateResponse"))
        responses[variable.get("identifier", "")] = _values(given[0]) if given else ()
    for variable in _children(element, "outcomeVariable"):
        outcomes[variable.get("identifier", "")] = _values(variable)
    index = element.get("sequenceIndex", "")
    return _Attempt(
        _line(element),
        int(index) if re.fullmatch(r"[0-9]{1,6}", index) else 0,
        element.get("datestamp", ""),
        element.get("sessionStatus", "final"),
        responses,
        outcomes,
    )


def _values(element: etree._Element) -> tuple[str, ...]:
    texts = ("".join(map(str, value.itertext())).strip() for value in _children(element, "value"))
    return tuple(text for text in texts if text)


def _answer(path: str, question: Question, attempt: _Attempt, faults: list[Diagnostic]) -> Answer:
    suffix = f"_{question.label}" if question.label else ""
    names = _names(question, attempt, suffix)
    mark = _mark(path, question, attempt, suffix, faults)
    if not names and (mark is None or not mark):
        return BLANK
    if question.kind == "written" and (attempt.status in _UNMARKED or mark is None):
        return Answer(State.UNMARKED, None, names)
    if question.kind == "entry" and names and mark == question.maximum:
        names = (RIGHT,)
    return answered(question, names, mark)


def _mark(
    path: str, question: Question, attempt: _Attempt, suffix: str, faults: list[Diagnostic]
) -> Fraction | None:
    """The marks that the platform gave, None where it tells none, or has not marked yet."""
    told = attempt.outcomes.get(f"SCORE{suffix}") or (
        attempt.outcomes.get("SCORE") if question.parts == 1 else ()
    )
    if not told or attempt.status in _UNMARKED:
        return None
    if not _NUMBER.fullmatch(told[0]):
        message = f"`{told[0][:20]}` is no number of marks for {question.column}"
        faults.append(_told("not-a-mark", message, path, attempt.line, f"0 to {question.maximum}"))
        return None
    mark = Fraction(told[0])
    if mark > question.maximum:
        message = f"{told[0][:20]} marks stand here, and {question.column} has at most {question.maximum}"
        faults.append(_told("more-than-maximum", message, path, attempt.line, f"0 to {question.maximum}"))
        return None
    return mark


def _names(question: Question, attempt: _Attempt, suffix: str) -> tuple[str, ...]:
    """Names of known answers in the response variables; () where nothing was answered."""
    if attempt.status in _UNSEEN:
        return ()
    values = attempt.responses.get(f"RESPONSE{suffix}", ())
    match question.kind:
        case "entry":
            return _entered(question, attempt, suffix)
        case "written":
            return (ANOTHER,) if values else ()
        case "order" | "match":
            found = named_in(" ; ".join(values), question, {})
        case _:
            known = {offered.name for offered in question.offered}
            bare = (value[1:] if question.kind == "wrong-line" else value for value in values)
            found = tuple(name if name in known else ANOTHER for name in bare)
    return found or ((ANOTHER,) if values else ())


def _entered(question: Question, attempt: _Attempt, suffix: str) -> tuple[str, ...]:
    """What stands in boxes: the key, a slip or something else, by what it means."""
    numbered = {
        int(found[2]): values[0] if values else ""
        for name, values in attempt.responses.items()
        if (found := _BOX.fullmatch(name)) and (found[1] or "") == question.label
    }
    ticked = bool(attempt.responses.get(f"TICK{suffix}"))
    typed = attempt.responses.get(f"RESPONSE{suffix}", ())
    if not ticked and not any(numbered.values()) and not typed:
        return ()
    if typed:
        return named_in(typed[0], question, {})
    if f"F0{suffix}" in attempt.outcomes.get("FEEDBACK", ()):
        return (RIGHT,)
    boxes = [numbered.get(number, "") for number in range(1, question.boxes + 1)]
    if ticked:
        meaning = meaning_of("none") if not any(boxes) else None
    else:
        meaning = of_boxes(question.blanks, boxes, points=question.is_of_points)
    return (entered_as(question, () if meaning is None else (meaning,)),)
