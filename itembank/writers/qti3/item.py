"""An item's file: a frozen item in, one document of the standard out. Pure: the same item gives the same text."""

from __future__ import annotations

import re
from functools import cache
from typing import Final, assert_never

from itembank.errors import DomainError
from itembank.expressions.display import Pattern, hole_mark
from itembank.items import (
    About,
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Item,
    MatchResponse,
    OrderResponse,
    Part,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.words.direction import is_right_to_left
from itembank.writers import pictures
from itembank.writers.base import has_decimal_comma, xml_attribute
from itembank.writers.dialects import TOOL
from itembank.writers.phrases import Phrases, phrases
from itembank.writers.pictures import has_pictures
from itembank.writers.qti3 import rules, spoken, staff
from itembank.writers.qti3.choice import write_choice
from itembank.writers.qti3.choices import write_choices
from itembank.writers.qti3.entry_part import write_entry
from itembank.writers.qti3.follow import letters
from itembank.writers.qti3.looks import Typed
from itembank.writers.qti3.markup import Safe, tag
from itembank.writers.qti3.match import write_match
from itembank.writers.qti3.order import write_order
from itembank.writers.qti3.pieces import PICTURE, Written, fill
from itembank.writers.qti3.written import write_written
from itembank.writers.qti3.wrong_line import write_wrong_line

__all__ = ["NAMESPACE", "item_xml"]

NAMESPACE: Final = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
_SCHEMA: Final = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"
_STYLED: Final = tag("qti-stylesheet", href=pictures.STYLE_FILE, type="text/css")
_INSTRUCTION: Final = '<div class="instruction"'
_FEEDBACK: Final = re.compile(
    r"(<qti-modal-feedback [^>]*><qti-content-body>)(.*?)(</qti-content-body>)", re.DOTALL
)
_INSTANCE: Final = "http://www.w3.org/2001/XMLSchema-instance"


def item_xml(item: Item) -> str:
    """The item as a document of QTI 3.0, to be written in UTF-8.

    What depends on looks only is made once and remembered; see `entry.py` and `choice.py`. Raises DomainError for
    several parts without labels, and for boxes that hold what their form cannot.
    """
    labelled = tuple([(part.label, part.response.marks) for part in item.parts if part.label])
    if len(item.parts) > max(len(labelled), 1):
        raise DomainError("each of several parts needs a label")
    by_hand = tuple([part.label for part in item.parts if isinstance(part.response, WrittenResponse)])
    said = phrases(item.about.language)
    typed = _typed(item)
    written = [_part(part, said, item.parts[:index], typed) for index, part in enumerate(item.parts)]
    if len(written) == 1:
        declarations, body, told, processing, feedback = written[0]
    else:
        declarations, body, told, processing, feedback = map("".join, zip(*written, strict=True))
    body += staff.block(told)
    catalog = "" if said.foreign else spoken.catalog(item.parts, said)
    filled = (xml_attribute(item.code), declarations, body, processing, feedback, catalog)
    document = fill(_frame(item.about, item.marks, labelled, by_hand), filled)
    if has_pictures(item):
        document = _pictured(document, item)
    if said.foreign:
        document = _tongued(document, said.foreign)
    return _turned(document, said.foreign) if is_right_to_left(item.about.language) else document


def _tongued(document: str, language: str) -> str:
    """The document with its formulas and our own sentence above boxes marked as what they are in.

    No text can hold a bare `<`.
    """
    document = document.replace("<math ", f'<math xml:lang="{language}" ')
    return document.replace(_INSTRUCTION, f'{_INSTRUCTION} xml:lang="{language}"')


def _turned(document: str, foreign: str) -> str:
    """The document of a language that is written from right to left: all texts run so, lines of boxes do not.

    foreign: the language of what we say ourselves where it is not the item's; such sentences keep their own way. Of
    feedback an element of its own tells it, since older versions have no other that could.
    """
    document = document.replace("<qti-item-body>", '<qti-item-body dir="rtl">')
    document = document.replace('<p class="boxes"', '<p dir="ltr" class="boxes"')
    document = _FEEDBACK.sub(r'\1<div dir="rtl">\2</div>\3', document)
    return (
        document.replace(f' xml:lang="{foreign}">', f' xml:lang="{foreign}" dir="ltr">')
        if foreign
        else document
    )


def _typed(item: Item) -> Typed:
    """Which numbers are typed as text: those that no later part works with."""
    follows = [part.follow for part in item.parts if part.follow is not None] if len(item.parts) > 1 else []
    if not follows:
        return _typed_in(item.about.language)
    worked_with = frozenset(name for follow in follows for name in letters(follow.shape.display))
    return _typed_in(item.about.language)._replace(worked_with=worked_with)


@cache
def _typed_in(language: str) -> Typed:
    return Typed("," if has_decimal_comma(language) else ".")


@cache
def _frame(
    about: About, marks: int, labelled: tuple[tuple[str, int], ...], by_hand: tuple[str, ...]
) -> Pattern:
    """The document with holes for the code, declarations, body, rules, feedback and catalogue.

    by_hand: the labels of the parts that a person marks; where that is the only part there are no rules.
    """
    code, declarations, body, processing, feedback, catalog = (hole_mark(hole) for hole in range(6))
    outcomes = [_score("SCORE", marks, "" in by_hand)]
    if labelled:
        outcomes += [_score(f"SCORE_{label}", worth, label in by_hand) for label, worth in labelled]
        parts = (rules.variable(f"SCORE_{label}") for label, _ in labelled)
        processing += rules.set_outcome("SCORE", rules.total(*parts))
    outcomes.append(_outcome("MAXSCORE", marks))
    outcomes.append(
        tag("qti-outcome-declaration", identifier="FEEDBACK", cardinality="multiple", base_type="identifier")
    )
    marking = "" if "" in by_hand else tag("qti-response-processing", processing)
    children = (declarations, *outcomes, tag("qti-item-body", body), catalog, marking, feedback)
    schema = {"xmlns": NAMESPACE, "xmlns__xsi": _INSTANCE, "xsi__schemaLocation": f"{NAMESPACE} {_SCHEMA}"}
    root = tag(
        "qti-assessment-item", *children, **schema, identifier=Safe(code),
        title=Safe(f"{xml_attribute(about.title)} ({code})"), xml__lang=about.language,
        time_dependent="false", adaptive="false", tool_name=TOOL,
    )  # fmt: skip
    return Pattern(f'<?xml version="1.0" encoding="UTF-8"?>\n{root}\n')


def _score(identifier: str, marks: int, by_hand: bool) -> str:
    limits = {"normal_maximum": str(marks), "normal_minimum": "0"}
    if by_hand:
        limits["external_scored"] = "human"
    return _outcome(identifier, 0, **limits)


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


def _pictured(document: str, item: Item) -> str:
    """The document with its pictures where marks stand: those of stems first, then those of the lines for staff."""
    pieces = document.split(PICTURE)
    shown = sorted(
        pictures.pictures(item), key=lambda picture: (picture.line >= 0, picture.part, picture.line)
    )
    written = [pieces[0].replace("<qti-item-body>", f"{_STYLED}<qti-item-body>", 1)]
    for picture, piece in zip(shown, pieces[1:], strict=True):
        width, height = picture.size
        tongue = {"xml__lang": picture.foreign} if picture.foreign else {}
        image = tag(
            "img",
            src=picture.address,
            alt=picture.description,
            width=str(width),
            height=str(height),
            **tongue,
        )
        written += [tag("p", image, class_="picture"), piece]
    return "".join(written)


def _part(part: Part, said: Phrases, earlier: tuple[Part, ...], typed: Typed) -> Written:
    match part.response:
        case ChoiceResponse() as response:
            return write_choice(part, response, said)
        case EntryResponse() as response:
            return write_entry(part, response, said, earlier, typed)
        case ChoicesResponse() as response:
            return write_choices(part, response, said)
        case WrongLineResponse() as response:
            return write_wrong_line(part, response, said)
        case OrderResponse() as response:
            return write_order(part, response, said)
        case MatchResponse() as response:
            return write_match(part, response, said)
        case WrittenResponse() as response:
            return write_written(part, response, said)
        case _:
            assert_never(part.response)
