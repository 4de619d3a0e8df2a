"""An item's file: a frozen item in, one document of the standard out. Pure: the same item gives the same text."""

from __future__ import annotations

from functools import cache
from typing import Any, Final, NamedTuple

from itembank.content import Content
from itembank.errors import DomainError
from itembank.expressions.display import Maths, Pattern, hole_mark
from itembank.items import About, ChoiceResponse, EntryResponse, Item, Option, Part, Slip
from itembank.writers.base import xml_attribute
from itembank.writers.dialects import TOOL
from itembank.writers.qti3 import phrases, rules, spoken, staff
from itembank.writers.qti3.choice import choice_looks, choice_plan, feedback_names
from itembank.writers.qti3.entry import entry_plan
from itembank.writers.qti3.follow import follow_looks
from itembank.writers.qti3.looks import entry_facts, entry_looks
from itembank.writers.qti3.markup import Safe, blocks, inline, maths, tag, words

__all__ = ["NAMESPACE", "foreign", "item_xml"]

NAMESPACE: Final = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
_SCHEMA: Final = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"
_INSTANCE: Final = "http://www.w3.org/2001/XMLSchema-instance"


def item_xml(item: Item) -> str:
    """The item as a document of QTI 3.0, to be written in UTF-8.

    What depends on looks only is made once and remembered; see `entry.py` and `choice.py`. Raises DomainError for
    several parts without labels, and for boxes that hold what their form cannot.
    """
    labelled = tuple([(part.label, part.response.marks) for part in item.parts if part.label])
    if len(item.parts) > max(len(labelled), 1):
        raise DomainError("each of several parts needs a label")
    language = foreign(item.about.language)
    written = [_part(part, language, item.parts[:index]) for index, part in enumerate(item.parts)]
    if len(written) == 1:
        declarations, body, told, processing, feedback = written[0]
    else:
        declarations, body, told, processing, feedback = map("".join, zip(*written, strict=True))
    body += staff.block(told)
    catalog = "" if language else spoken.catalog(item.parts)
    filled = (xml_attribute(item.code), declarations, body, processing, feedback, catalog)
    document = _fill(_frame(item.about, item.marks, labelled), filled)
    return _tongued(document) if language else document


def _tongued(document: str) -> str:
    """The document with its formulas marked as what they are spoken in. No text can hold a bare `<`."""
    return document.replace("<math ", f'<math xml:lang="{spoken.LANGUAGE}" ')


@cache
def foreign(language: str) -> str:
    """The language of the words this writer adds, "" where an item in this language needs none said."""
    return "" if phrases.is_english(language) else phrases.LANGUAGE


class _Written(NamedTuple):
    """A part as markup: for the declarations, the body, the staff block, the rules and the feedback."""

    declarations: str
    body: str
    told: str
    processing: str
    feedback: str


@cache
def _frame(about: About, marks: int, labelled: tuple[tuple[str, int], ...]) -> Pattern:
    """The document with holes for the code, declarations, body, rules, feedback and catalogue."""
    code, declarations, body, processing, feedback, catalog = (hole_mark(hole) for hole in range(6))
    outcomes = [_score("SCORE", marks)]
    if labelled:
        outcomes += [_score(f"SCORE_{label}", worth) for label, worth in labelled]
        parts = (rules.variable(f"SCORE_{label}") for label, _ in labelled)
        processing += rules.set_outcome("SCORE", rules.total(*parts))
    outcomes.append(_outcome("MAXSCORE", marks))
    outcomes.append(
        tag("qti-outcome-declaration", identifier="FEEDBACK", cardinality="multiple", base_type="identifier")
    )
    children = (
        declarations, *outcomes, tag("qti-item-body", body), catalog, tag("qti-response-processing", processing),
        feedback,
    )  # fmt: skip
    schema = {"xmlns": NAMESPACE, "xmlns__xsi": _INSTANCE, "xsi__schemaLocation": f"{NAMESPACE} {_SCHEMA}"}
    root = tag(
        "qti-assessment-item", *children, **schema, identifier=Safe(code),
        title=Safe(f"{xml_attribute(about.title)} ({code})"), xml__lang=about.language,
        time_dependent="false", adaptive="false", tool_name=TOOL,
    )  # fmt: skip
    return Pattern(f'<?xml version="1.0" encoding="UTF-8"?>\n{root}\n')


def _score(identifier: str, marks: int) -> str:
    return _outcome(identifier, 0, normal_maximum=str(marks), normal_minimum="0")


def _outcome(identifier: str, default: int, **limits: str) -> str:
    value = tag("qti-default-value", tag("qti-value", str(default)))
    return tag(
        "qti-outcome-declaration",
        value,
        identifier=identifier,
        cardinality="single",
        base_type="float",
        **limits,
    )


def _part(part: Part, language: str, earlier: tuple[Part, ...]) -> _Written:
    match part.response:
        case ChoiceResponse():
            return _choice(part, part.response, language)
        case EntryResponse():
            return _entry(part, part.response, language, earlier)


def _choice(part: Part, response: ChoiceResponse, language: str) -> _Written:
    looks = choice_looks(part.label, response)
    plan, names = choice_plan(looks), feedback_names(looks)
    contents = tuple([_content(option.content) for option in response.options])
    causes, feedback = [], []
    for option, name, content in zip(response.options, names, contents, strict=True):
        causes.append(staff.Cause(option.identifier, name, _value(part, option, content), _note(option.slip)))
        if option.is_key:
            feedback.append((name, _phrase(phrases.RIGHT, language)))
        elif option.slip is not None and option.slip.pupil is not None:
            feedback.append((name, blocks(option.slip.pupil)))
    return _Written(
        plan.declaration,
        _stem(part, language) + _fill(plan.interaction, contents),
        staff.part_block(part, tuple(causes), language),
        plan.processing,
        _feedback(feedback),
    )


def _content(content: Maths | Content) -> str:
    return maths(content) if isinstance(content, Maths) else inline(content)


def _value(part: Part, option: Option, content: str) -> str:
    """What an option comes to: itself, or of words the answer that leads to them."""
    if isinstance(option.content, Maths):
        return content
    if option.is_key:
        return maths(part.key)
    return maths(option.slip.answer) if option.slip is not None else ""


def _note(slip: Slip | None) -> str:
    return blocks(slip.teacher) if slip is not None and slip.teacher is not None else ""


def _entry(part: Part, response: EntryResponse, language: str, earlier: tuple[Part, ...]) -> _Written:
    follow = follow_looks(part, earlier) if part.follow is not None else None
    plan = entry_plan(entry_looks(part.label, response, language, follow))
    facts: Any = entry_facts(response, follow, part.follow.numbers if part.follow is not None else ())
    suffix = f"_{part.label}" if part.label else ""
    causes, feedback = [], [(f"F0{suffix}", _phrase(phrases.RIGHT, language))]
    if plan.has_alike:
        feedback.append((f"FU{suffix}", _phrase(phrases.UNSIMPLIFIED, language)))
    if plan.has_follow:
        feedback.append((f"FF{suffix}", _phrase(phrases.FOLLOWS, language)))
    for number, entry in enumerate(response.recognised, start=1):
        name = f"F{number}{suffix}" if entry.slip.pupil is not None else ""
        causes.append(staff.Cause("", name, maths(entry.slip.answer), _note(entry.slip)))
        if entry.slip.pupil is not None:
            feedback.append((name, blocks(entry.slip.pupil)))
    statement = () if response.blanks[0].unknown else (maths(part.problem.statement),)
    body = _stem(part, language) + tag("div", blocks(response.instruction), class_="instruction")
    return _Written(
        plan.declarations.fill(facts),
        body + _fill(plan.boxes, statement),
        staff.part_block(part, tuple(causes), language, plan.has_follow),
        plan.processing.fill(facts),
        _feedback(feedback),
    )


def _fill(pattern: Pattern, markup: tuple[str, ...]) -> str:
    filled: Any = markup
    return pattern.fill(filled)


def _stem(part: Part, language: str) -> str:
    heard = "" if language else spoken.reference(part)
    return _fill(_stem_pattern(part.label, heard), (blocks(part.stem),))


@cache
def _stem_pattern(label: str, heard: str) -> Pattern:
    shown = tag("p", words(f"({label})"), class_="part-label") if label else ""
    entry = {"data_catalog_idref": heard} if heard else {}
    return Pattern(tag("div", shown, hole_mark(0), class_="stem", data_part=label, data_role="stem", **entry))


@cache
def _phrase(text: str, language: str) -> str:
    return tag("p", words(text), **({"xml__lang": language} if language else {}))


def _feedback(sentences: list[tuple[str, str]]) -> str:
    """Sentences for the pupil, each a feedback's name and markup."""
    return _fill(_modal(tuple([name for name, _ in sentences])), tuple([told for _, told in sentences]))


@cache
def _modal(names: tuple[str, ...]) -> Pattern:
    return Pattern(
        "".join(
            tag(
                "qti-modal-feedback", tag("qti-content-body", hole_mark(hole)),
                outcome_identifier="FEEDBACK", identifier=name, show_hide="show",
            )
            for hole, name in enumerate(names)
        )
    )  # fmt: skip
