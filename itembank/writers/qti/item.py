"""One item as a QTI 3.0 file."""

from __future__ import annotations

from functools import cache

from itembank import __version__
from itembank.items import About, ChoiceResponse, EntryResponse, Item
from itembank.writers.markup import attribute
from itembank.writers.qti.body import content, part_body, staff_block
from itembank.writers.qti.processing import OTHER_FORM, RIGHT, declarations, feedback_of, processing

NAMESPACE = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
SCHEMA = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"


def item_xml(item: Item) -> str:
    """The item's file, UTF-8 when encoded."""
    parts = item.parts
    if len(parts) == 1:
        part = parts[0]
        declared, bodies, rules = declarations(part), part_body(part), processing(part)
    else:
        declared = "".join([declarations(part) for part in parts])
        bodies = "".join([part_body(part) for part in parts])
        rules = "".join([processing(part) for part in parts])
    return "".join(
        [
            _head(item.about, item.code),
            declared,
            _outcomes(item.marks),
            "<qti-item-body>",
            bodies,
            staff_block(parts),
            "</qti-item-body><qti-response-processing>",
            rules,
            "</qti-response-processing>",
            _feedback(item),
            "</qti-assessment-item>\n",
        ]
    )


def shortfalls(item: Item) -> tuple[str, ...]:
    """What the format could not carry of an item: nothing so far."""
    return ()


def _head(about: About, code: str) -> str:
    first, second, third = _head_pieces(about)
    return first + code + second + code + third


@cache
def _head_pieces(about: About) -> tuple[str, str, str]:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<qti-assessment-item xmlns="{NAMESPACE}" '
        'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
        f'xsi:schemaLocation="{NAMESPACE} {SCHEMA}" identifier="',
        f'" title="{attribute(about.title)} (',
        f')" time-dependent="false" adaptive="false" xml:lang="{attribute(about.language)}" tool-name="itembank" '
        f'tool-version="{__version__}">',
    )


@cache
def _outcomes(marks: int) -> str:
    zero = "<qti-default-value><qti-value>0</qti-value></qti-default-value>"
    most = f"<qti-default-value><qti-value>{marks}</qti-value></qti-default-value>"
    return (
        '<qti-outcome-declaration identifier="SCORE" cardinality="single" base-type="float" '
        f'normal-maximum="{marks}" normal-minimum="0">{zero}</qti-outcome-declaration>'
        '<qti-outcome-declaration identifier="MAXSCORE" cardinality="single" base-type="float">'
        f"{most}</qti-outcome-declaration>"
        '<qti-outcome-declaration identifier="FEEDBACK" cardinality="multiple" base-type="identifier"/>'
    )


def _feedback(item: Item) -> str:
    shown = []
    single = len(item.parts) == 1
    any_choice = any(isinstance(part.response, ChoiceResponse) for part in item.parts)
    if single or any_choice:
        shown.append(_modal(RIGHT, "<p>Right.</p>"))
    if any(_has_other_form(part.response) for part in item.parts if isinstance(part.response, EntryResponse)):
        shown.append(
            _modal(OTHER_FORM, "<p>Your answer has the right value, but it is not in its simplest form.</p>")
        )
    for part in item.parts:
        for name, index in feedback_of(part):
            response = part.response
            slip = (
                response.options[index].slip
                if isinstance(response, ChoiceResponse)
                else response.recognised[index].slip
            )
            if slip is not None and slip.pupil is not None:
                shown.append(_modal(name, content(slip.pupil)))
    return "".join(shown)


def _has_other_form(response: EntryResponse) -> bool:
    return not response.tick_is_right and any(blank.form in {"surd", "fraction"} for blank in response.blanks)


def _modal(name: str, inner: str) -> str:
    return (
        f'<qti-modal-feedback outcome-identifier="FEEDBACK" identifier="{name}" show-hide="show">'
        f"<qti-content-body>{inner}</qti-content-body></qti-modal-feedback>"
    )
