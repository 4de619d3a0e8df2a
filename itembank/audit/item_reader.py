"""From an item's XML to its facts. What is missing or out of place is gathered, not raised, as far as it goes."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import TypeAlias

from lxml import etree

from itembank.audit.dialects import QTI
from itembank.audit.facts import (
    Box,
    Choice,
    ChoiceInteraction,
    Facts,
    Feedback,
    Line,
    Mapping,
    Mark,
    Outcome,
    Part,
    Picture,
    Response,
    Task,
    Value,
    Word,
)  # fmt: skip
from itembank.audit.findings import Fault
from itembank.audit.formula import Node, Scope
from itembank.audit.formulas import MATH, Formulas, Known
from itembank.audit.letters import letter
from itembank.audit.page_text import BLOCKS, seen, texts_before_boxes
from itembank.audit.structure import decimal
from itembank.audit.tongues import LANGUAGE, tongue
from itembank.audit.xml_reading import local_name

__all__ = ["ItemReader"]

_MARK = re.compile(r"([MAB])([1-9][0-9]?)\Z")
_FOLLOW_MARKS = re.compile(r"[^\s:]{1,30}:[0-9]{1,3}(?: [^\s:]{1,30}:[0-9]{1,3})*\Z")
_BOX_ID = re.compile(r"(?:BOX(?:_([a-z]))?_[1-9][0-9]{0,2}|JOIN(?:_([a-z]))?)\Z")
_WITH_ROLE = etree.XPath("descendant-or-self::*[@data-role]")
_CHOICE_ID = re.compile(r"(RESPONSE|TICK)(?:_([a-z]))?\Z")


def _q(name: str) -> str:
    return f"{{{QTI}}}{name}"


_DECLARATION, _OUTCOME = _q("qti-response-declaration"), _q("qti-outcome-declaration")
_BODY, _RUBRIC, _PROCESSING = _q("qti-item-body"), _q("qti-rubric-block"), _q("qti-response-processing")
_CHOICE, _SIMPLE, _ENTRY = (
    _q("qti-choice-interaction"),
    _q("qti-simple-choice"),
    _q("qti-text-entry-interaction"),
)
_INLINE, _INLINE_CHOICE = _q("qti-inline-choice-interaction"), _q("qti-inline-choice")
_MATCH_SET, _ASSOCIABLE = _q("qti-simple-match-set"), _q("qti-simple-associable-choice")
_TASKS = {
    _q("qti-order-interaction"): "order",
    _q("qti-match-interaction"): "match",
    _q("qti-extended-text-interaction"): "text",
}
_MAPPING, _ENTRY_OF_MAP = _q("qti-mapping"), _q("qti-map-entry")
_IMAGE = _q("img")
_FEEDBACK, _VALUE, _CORRECT, _DEFAULT = (
    _q("qti-modal-feedback"), _q("qti-value"), _q("qti-correct-response"), _q("qti-default-value"),
)  # fmt: skip

_Roles: TypeAlias = defaultdict[str, list[etree._Element]]


class ItemReader:
    """Reads one item; `faults` gathers what is wrong with the way it is written.

    known: of formulas that are no MathML, see `notations.py`.
    """

    def __init__(self, root: etree._Element, known: Known | None = None) -> None:
        self._root = root
        self._formulas = Formulas(known, tongue(root.get(LANGUAGE)))
        self._own: list[Fault] = []
        self._whole = True

    @property
    def faults(self) -> list[Fault]:
        """Everything wrong so far, formulas included."""
        return [*self._own, *self._formulas.faults]

    @property
    def formulas(self) -> Formulas:
        """The formulas read so far."""
        return self._formulas

    def read(self) -> Facts:
        """The facts. Formulas that cannot be read are left out and told in `faults`."""
        root = self._root
        body = root.find(_BODY)
        boxes, choices, tasks = self._interactions(body)
        parts = tuple(self._parts(body))
        for math in root.iter(MATH):
            self._formulas.node(math)
        return Facts(
            code=root.get("identifier", ""),
            responses=tuple(_response(each) for each in root.iterfind(_DECLARATION)),
            outcomes=tuple(_outcome(each) for each in root.iterfind(_OUTCOME)),
            choices=choices, boxes=boxes, parts=parts,
            feedbacks=tuple(
                Feedback(each.get("identifier", ""), each.get("outcome-identifier", ""))
                for each in root.iterfind(_FEEDBACK)
            ),
            whole=self._whole, processing=root.find(_PROCESSING), body=body, tasks=tasks,
            notes_for_scorers=_notes_for_scorers(body),
        )  # fmt: skip

    def _wrong(self, code: str, message: str, place: str = "") -> None:
        self._own.append(Fault(code, message, place=place))

    def _interactions(
        self, body: etree._Element | None
    ) -> tuple[tuple[Box, ...], tuple[ChoiceInteraction, ...], tuple[Task, ...]]:
        boxes: list[Box] = []
        tasks: list[Task] = []
        choices: list[ChoiceInteraction] = []
        if body is None:
            self._wrong("no-body", "the item has no body")
            return (), (), ()
        before = texts_before_boxes(body)
        for element in body.iter(_ENTRY, _CHOICE, _INLINE, *_TASKS):
            identifier = element.get("response-identifier", "")
            if element.tag in {_ENTRY, _INLINE}:
                box = self._box(element, identifier, before.get(element, ""))
                boxes += [box] if box else []
            elif element.tag in _TASKS:
                tasks.append(self._task(element, identifier))
            else:
                choices.append(self._choice(element, identifier))
        return tuple(boxes), tuple(choices), tuple(tasks)

    def _box(self, element: etree._Element, identifier: str, before: str) -> Box | None:
        named = _BOX_ID.match(identifier)
        role, form, slot = (_inherited(element, f"data-{name}") for name in ("box", "form", "slot"))
        if not named or not role or not form or not (slot or "").isdecimal():
            self._wrong("unclear-box", "the box does not say which value it belongs to", identifier)
            return None
        tolerance = decimal(_inherited(element, "data-tolerance") or "0")
        if tolerance is None or tolerance < 0 or (tolerance and form != "decimal"):
            self._wrong("unclear-box", "the tolerance of the box is none", identifier)
            return None
        unknown = letter(_inherited(element, "data-unknown") or "")
        paragraph = next(each for each in element.iterancestors() if local_name(each) in BLOCKS)
        beside = tuple(self._formulas.all_below(paragraph))
        listed = list(element.iterfind(_INLINE_CHOICE))
        options = tuple(each.get("identifier", "") for each in listed)
        part = named[1] or named[2] or ""
        texts = tuple(map(seen, listed))
        return Box(
            identifier, part, unknown, form, role, int(slot or 0), before, beside, options, texts, tolerance
        )

    def _task(self, element: etree._Element, identifier: str) -> Task:
        named = _CHOICE_ID.match(identifier)
        if not named or named[1] != "RESPONSE":
            self._wrong("unclear-interaction", "the response has no known name", identifier)
        part, kind = (named[2] or "") if named else "", _TASKS[str(element.tag)]
        if kind != "match":
            choices = tuple(self._option(each) for each in element.iterfind(_SIMPLE))
            return Task(identifier, part, kind, choices, shuffle=element.get("shuffle", "false"))
        sets = [list(each.iterfind(_ASSOCIABLE)) for each in element.iterfind(_MATCH_SET)]
        if len(sets) != 2:
            self._wrong("unclear-interaction", "a match does not have two sides", identifier)
            return Task(identifier, part, kind)
        rows, targets = (tuple(self._option(each) for each in side) for side in sets)
        often = tuple(each.get("match-max", "") for side in sets for each in side)
        most = element.get("max-associations", "1")
        return Task(identifier, part, kind, rows, targets, often, element.get("shuffle", "false"), most)

    def _choice(self, element: etree._Element, identifier: str) -> ChoiceInteraction:
        named = _CHOICE_ID.match(identifier)
        if not named:
            self._wrong("unclear-interaction", "the response of a choice has no known name", identifier)
        return ChoiceInteraction(
            identifier, (named[2] or "") if named else "", bool(named and named[1] == "TICK"),
            tuple(self._option(each) for each in element.iterfind(_SIMPLE)),
            element.get("max-choices", ""), element.get("shuffle", ""),
        )  # fmt: skip

    def _option(self, element: etree._Element) -> Choice:
        maths = list(element.iter(MATH))
        words = seen(element)
        alone = len(maths) == 1 and words == seen(maths[0])
        # of a line of working the formula has a paragraph to itself, below what is said
        node = self._formulas.node(maths[0]) if alone else self._line_maths(element)
        return Choice(element.get("identifier", ""), node, words)

    def _parts(self, body: etree._Element | None) -> Iterator[Part]:
        blocks = (
            [] if body is None else [each for each in body.iter(_RUBRIC) if each.get("use") == "solution"]
        )
        if len(blocks) != 1:
            self._wrong("no-solution", "the item has not one block with the solution for staff")
            self._whole = False
            return
        if not set((blocks[0].get("view") or "").split()) <= {"scorer", "tutor", "author", "proctor"}:
            self._wrong("key-shown", "the block with the solution is shown to candidates")
        assert body is not None
        told = [each for each in blocks[0].iter(_q("div")) if each.get("data-shape") is not None]
        if not told:
            self._wrong("incomplete-solution", "the block with the solution tells of no part")
        stems = _by_role(body)["stem"]
        parts = [self._part(each, stems) for each in told]
        self._whole = bool(told) and None not in parts
        yield from (part for part in parts if part is not None)

    def _part(self, element: etree._Element, stems: list[etree._Element]) -> Part | None:
        label = element.get("data-part", "")
        roles = _by_role(element)
        problem, domain, key = (self._only(roles, role, label) for role in ("problem", "domain", "key"))
        if problem is None or key is None:
            self._wrong("incomplete-solution", "the problem or the key of the part is missing", _place(label))
            return None
        stem = [each for each in stems if each.get("data-part", "") == label]
        if not stem:
            self._wrong("no-stem", "the part has no stem", _place(label))
        lines = tuple(self._line(each, number, label) for number, each in enumerate(roles["line"], start=1))
        if element.get("data-lines", str(len(lines))) != str(len(lines)):
            message = f"the solution has {len(lines)} lines, not {element.get('data-lines')}"
            self._wrong("incomplete-solution", message, _place(label))
        values = tuple(
            Value(
                each.get("data-identifier", ""),
                each.get("data-feedback", ""),
                self._single(each),
                each.get("data-words") or "",
            )
            for each in roles["option"]
        )
        return Part(
            label, element.get("data-shape", ""), element.get("data-kind", ""),
            _letters(element.get("data-unknowns", "")), _letters(element.get("data-for-every", "")),
            _scope(element.get("data-unknowns", ""), element.get("data-main-letter", "")),
            problem, domain, key, lines, values,
            tuple(node for each in stem for node in self._formulas.all_below(each)),
            self._only(roles, "follow-through", label), self._follow_marks(roles, label),
            tuple(map(self._word, roles["word"])),
            tuple(self._pictures((*stem, element))),
            element.get("data-stem") == "other",
        )  # fmt: skip

    def _pictures(self, elements: Iterable[etree._Element]) -> Iterator[Picture]:
        for image in (image for element in elements for image in element.iter(_IMAGE)):
            if not (image.get("class") or "").startswith("formula"):
                language = image.get(LANGUAGE) or image.get("lang") or self._root.get(LANGUAGE)
                yield Picture(image.get("src", ""), image.get("alt", ""), tongue(language).name)

    def _follow_marks(self, roles: _Roles, label: str) -> tuple[tuple[str, int], ...]:
        told = [each.get("data-marks") or "" for each in roles["follow-through"]]
        if told and not _FOLLOW_MARKS.match(told[0]):
            self._wrong("unclear-marks", "it is not told what follow-through earns", _place(label))
            return ()
        pairs = (word.split(":") for each in told[:1] for word in each.split())
        return tuple((letter(unknown), int(marks)) for unknown, marks in pairs)

    def _word(self, element: etree._Element) -> Word:
        """Words, after the number of a row if there is one, and the formula after them, as far as one is shown."""
        named = [each for each in element if each.get("class") != "letter"]
        first = named[0] if named else element
        maths = [math for each in named[1:] for math in each.iter(MATH)]
        if len(maths) > 1:
            self._wrong("incomplete-solution", "there is more than one formula where one should stand")
        return Word(
            element.get("data-response") or "", element.get("data-identifier") or "", seen(first),
            element.get("data-right") == "yes", self._formulas.node(maths[0]) if maths else None,
        )  # fmt: skip

    def _only(self, roles: _Roles, role: str, label: str) -> Node | None:
        found = roles[role]
        if len(found) > 1:
            self._wrong("incomplete-solution", f"the part has more than one {role}", _place(label))
        return self._single(found[0]) if found else None

    def _single(self, element: etree._Element) -> Node | None:
        """The formula of an element that holds one; None where it holds none or cannot be read."""
        maths = list(element.iter(MATH))
        if len(maths) > 1:
            self._wrong("incomplete-solution", "there is more than one formula where one should stand")
        return self._formulas.node(maths[0]) if maths else None

    def _line(self, element: etree._Element, number: int, label: str) -> Line:
        place = f"{_place(label)} line {number}".strip()
        marks = []
        for word in (element.get("data-marks") or "").split():
            found = _MARK.match(word)
            if found:
                marks.append(Mark(found[1], int(found[2])))
            elif word != "ft" or not marks:
                self._wrong("unclear-marks", f"the mark {word!r} is not known", place)
        shown = [
            " ".join("".join(map(str, each.itertext())).split())
            for each in element
            if each.get("class") == "marks"
        ]
        told = " ".join((element.get("data-marks") or "").split())
        if shown != ([told] if told else []):
            self._wrong(
                "unclear-marks", "the marks shown at the line are not those it is said to earn", place
            )
        kind = element.get("data-kind", "")
        if kind not in {"main", "aside", "rejects", "let"}:
            self._wrong("unclear-line", f"the kind of line {kind!r} is not known", place)
        return Line(number, kind, self._line_maths(element), tuple(marks))

    def _line_maths(self, element: etree._Element) -> Node | None:
        """The formula that has a paragraph to itself; formulas among words belong to the words."""
        alone = []
        for paragraph in element:
            maths = list(paragraph.iter(MATH)) if local_name(paragraph) == "p" else []
            if len(maths) == 1 and seen(paragraph) == seen(maths[0]):
                alone.append(maths[0])
        return self._formulas.node(alone[-1]) if alone else None


@lru_cache(maxsize=512)
def _scope(unknowns: str, main_letter: str) -> Scope:
    """The same object for the same letters: what is known of formulas is looked up by it."""
    return Scope(_letters(unknowns), letter(main_letter))


def _letters(names: str) -> tuple[str, ...]:
    return tuple(map(letter, names.split()))


def _notes_for_scorers(body: etree._Element | None) -> int:
    if body is None:
        return 0
    blocks = (each for each in body.iter(_RUBRIC) if each.get("use") == "scoring")
    return sum("scorer" in (each.get("view") or "").split() and bool(seen(each)) for each in blocks)


def _response(element: etree._Element) -> Response:
    correct = element.find(_CORRECT)
    return Response(
        element.get("identifier", ""),
        element.get("cardinality", ""),
        element.get("base-type", ""),
        _values(correct),
        _mapping(element.find(_MAPPING)),
    )


def _mapping(element: etree._Element | None) -> Mapping | None:
    if element is None:
        return None
    entries = (
        (each.get("map-key", ""), each.get("mapped-value", "")) for each in element.iterfind(_ENTRY_OF_MAP)
    )
    bounds = (element.get(f"{name}-bound", "") for name in ("lower", "upper"))
    return Mapping(tuple(entries), element.get("default-value", "0"), *bounds)


def _outcome(element: etree._Element) -> Outcome:
    return Outcome(
        element.get("identifier", ""), element.get("cardinality", ""), element.get("base-type", ""),
        _values(element.find(_DEFAULT)), element.get("normal-maximum", ""), element.get("normal-minimum", ""),
        element.get("external-scored", ""),
    )  # fmt: skip


def _values(element: etree._Element | None) -> tuple[str, ...]:
    return () if element is None else tuple((each.text or "").strip() for each in element.iterfind(_VALUE))


def _by_role(element: etree._Element) -> _Roles:
    """The element and all below it that say what they are for, by that."""
    found: _Roles = defaultdict(list)
    below: list[etree._Element] = _WITH_ROLE(element)  # type: ignore[assignment]
    for each in below:
        found[each.get("data-role", "")].append(each)
    return found


def _place(label: str) -> str:
    return f"part {label}" if label else ""


def _inherited(element: etree._Element, attribute: str) -> str | None:
    """An attribute of the interaction or of what is around it."""
    at: etree._Element | None = element
    while at is not None and at.tag != _BODY:
        value = at.get(attribute)
        if value is not None:
            return value
        at = at.getparent()
    return None
