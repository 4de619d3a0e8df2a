"""What stands in an item's body: stem, options or boxes, and the block only staff see."""

from __future__ import annotations

from functools import cache
from typing import TypeAlias

from itembank.content import (
    Block,
    Content,
    Emphasis,
    Hole,
    Inline,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
    TextShape,
)
from itembank.expressions.display import Maths
from itembank.expressions.mathml import mathml
from itembank.items import Blank, ChoiceResponse, EntryResponse, Mark, Part
from itembank.writers.markup import attribute, text
from itembank.writers.qti.processing import Box, boxes, choice_name, feedback_of, tick_name

Pieces: TypeAlias = tuple[str, ...]
_HOLE = "\x00"


def content(given: Content) -> str:
    """A text as block elements."""
    pieces = _pieces(given.shape)
    if len(pieces) == 1:
        return pieces[0]
    filled = [pieces[0]]
    for index, piece in zip(_order(given.shape), pieces[1:], strict=True):
        filling = given.fillings[index]
        filled.append(text(filling) if isinstance(filling, str) else mathml(filling))
        filled.append(piece)
    return "".join(filled)


@cache
def _pieces(shape: TextShape) -> Pieces:
    """The markup between the holes."""
    return tuple("".join(_block(block) for block in shape.blocks).split(_HOLE))


@cache
def _order(shape: TextShape) -> tuple[int, ...]:
    """The holes in the order in which they stand."""
    found: list[int] = []

    def inline(node: Inline) -> None:
        if isinstance(node, Hole):
            found.append(node.index)
        elif isinstance(node, Emphasis):
            for part in node.inlines:
                inline(part)

    def block(node: Block) -> None:
        match node:
            case Paragraph(inlines):
                for part in inlines:
                    inline(part)
            case Listing(items):
                for item in items:
                    for part_block in item:
                        block(part_block)
            case Table(header, rows):
                for row in (header, *rows):
                    for cell in row:
                        for part in cell:
                            inline(part)

    for each in shape.blocks:
        block(each)
    return tuple(found)


def _block(node: Block) -> str:
    match node:
        case Paragraph(inlines):
            return f"<p>{_inlines(inlines)}</p>"
        case Listing(items, start):
            tag = "ul" if start is None else "ol"
            begin = f' start="{start}"' if start not in {None, 1} else ""
            return f"<{tag}{begin}>{''.join(f'<li>{_item(item)}</li>' for item in items)}</{tag}>"
        case Table(header, rows):
            head = "".join(f'<th scope="col">{_inlines(cell)}</th>' for cell in header)
            body = "".join(
                f"<tr>{''.join(f'<td>{_inlines(cell)}</td>' for cell in row)}</tr>" for row in rows
            )
            return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def _item(blocks: tuple[Block, ...]) -> str:
    if len(blocks) == 1 and isinstance(blocks[0], Paragraph):
        return _inlines(blocks[0].inlines)
    return "".join(_block(block) for block in blocks)


def _inlines(inlines: tuple[Inline, ...]) -> str:
    return "".join(_inline(node) for node in inlines)


def _inline(node: Inline) -> str:
    match node:
        case Text(plain):
            return text(plain)
        case Emphasis(inlines, strong):
            tag = "strong" if strong else "em"
            return f"<{tag}>{_inlines(inlines)}</{tag}>"
        case Hole():
            return _HOLE
        case LineBreak():
            return "<br/>"


def part_body(part: Part) -> str:
    """The stem of a part and what the pupil responds with."""
    stem = f'<div class="stem" data-role="stem" data-part="{part.label}">{_label(part)}{content(part.stem)}</div>'
    if isinstance(part.response, ChoiceResponse):
        return stem + _choice(part, part.response)
    return stem + _entry(part, part.response)


def _label(part: Part) -> str:
    return f"<p><strong>({part.label})</strong></p>" if part.label else ""


def _choice(part: Part, response: ChoiceResponse) -> str:
    choices = []
    for option in response.options:
        shown = mathml(option.content) if isinstance(option.content, Maths) else _bare(option.content)
        choices.append(
            f'<qti-simple-choice identifier="{option.identifier}" fixed="true">{shown}</qti-simple-choice>'
        )
    return (
        f'<qti-choice-interaction response-identifier="{choice_name(part)}" shuffle="false" max-choices="1" '
        f'min-choices="0">{"".join(choices)}</qti-choice-interaction>'
    )


def _bare(given: Content) -> str:
    """A text without the paragraph around it where it is one paragraph."""
    shown = content(given)
    if shown.count("<p>") == 1 and shown.startswith("<p>") and shown.endswith("</p>"):
        return shown[3:-4]
    return shown


def _entry(part: Part, response: EntryResponse) -> str:
    placed = boxes(part, response)
    rows = []
    for index, blank in enumerate(response.blanks):
        own = [box for box in placed if box.blank == index]
        for slot in range(blank.slots):
            rows.append(_row(blank, [box for box in own if box.slot == slot], slot))
    tick = ""
    if response.tick:
        tick = (
            f'<qti-choice-interaction response-identifier="{tick_name(part)}" shuffle="false" max-choices="1" '
            'min-choices="0"><qti-simple-choice identifier="none" fixed="true">There is no real solution.'
            "</qti-simple-choice></qti-choice-interaction>"
        )
    return f'<div class="entry" data-part="{part.label}">{content(response.instruction)}{"".join(rows)}{tick}</div>'


_ROLE_WORDS = {
    "value": "value",
    "numerator": "numerator",
    "denominator": "denominator",
    "p": "number before the root",
    "q": "coefficient of the root",
    "r": "number under the root",
    "s": "denominator",
}


def _row(blank: Blank, own: list[Box], slot: int) -> str:
    lead = _lead(blank.unknown)
    shown = {box.role: _box(blank, box, slot) for box in own}
    if blank.form == "fraction":
        inner = f"{shown['numerator']} / {shown['denominator']}"
    elif blank.form == "surd":
        sign = "±" if blank.pair else "+"
        inner = f"{shown['q']} √ {shown['r']}"
        if "p" in shown:
            inner = f"{shown['p']} {sign} {inner}"
        elif blank.pair:
            inner = f"± {inner}"
        if "s" in shown:
            inner = f"( {inner} ) / {shown['s']}"
    else:
        inner = shown["value"]
    return f"<p>{lead}{inner}</p>"


@cache
def _lead(unknown: str) -> str:
    if not unknown:
        return ""
    from itembank.expressions.display import Letter, Shape

    return f"{mathml(Maths(Shape(Letter(unknown), 0)), annotated=False)} = "


def _box(blank: Blank, box: Box, slot: int) -> str:
    return _box_markup(blank.unknown, blank.form, blank.slots, box, slot)


@cache
def _box_markup(unknown: str, form: str, slots: int, box: Box, slot: int) -> str:
    place = f" {slot + 1}" if slots > 1 else ""
    label = f"{unknown or 'answer'}{place}: {_ROLE_WORDS[box.role]}"
    return (
        f'<span role="group" aria-label="{attribute(label)}" data-unknown="{attribute(unknown)}" data-form="{form}" '
        f'data-box="{box.role}" data-slot="{slot + 1}"><qti-text-entry-interaction '
        f'response-identifier="{box.name}" expected-length="6"/></span>'
    )


def staff_block(parts: tuple[Part, ...]) -> str:
    """The worked solution, the key and what each option means, for scorers and tutors only."""
    inner = "".join(_staff_part(part) for part in parts)
    return (
        f'<qti-rubric-block use="solution" view="scorer tutor"><qti-content-body>{inner}'
        "</qti-content-body></qti-rubric-block>"
    )


def _staff_part(part: Part) -> str:
    problem = part.problem
    kind = "entry"
    if isinstance(part.response, ChoiceResponse):
        kind = "words" if part.response.by_words else "choice"
    head = (
        f'<div data-part="{part.label}" data-shape="{problem.shape}" data-unknowns="{" ".join(problem.unknowns)}" '
        f'data-for-every="{" ".join(problem.for_every)}" data-main-letter="{problem.main_letter}" data-kind="{kind}">'
    )
    pieces = [head, f'<p data-role="problem">{mathml(problem.statement)}</p>']
    if problem.domain is not None:
        pieces.append(f'<p data-role="domain">{mathml(problem.domain)}</p>')
    pieces.append(f'<p data-role="key">{mathml(part.key)}</p>')
    if part.solution:
        pieces.append("<ol>")
        for line in part.solution:
            said = content(line.say) if line.say is not None else ""
            shown = f"<p>{mathml(line.maths)}</p>" if line.maths is not None else ""
            marks = _marks(line.marks)
            told = f"<p>{marks}</p>" if marks else ""
            pieces.append(
                f'<li data-role="line" data-kind="{line.kind}" data-marks="{marks}">{said}{shown}{told}</li>'
            )
        pieces.append("</ol>")
    pieces.append(_meanings(part))
    pieces.append("</div>")
    return "".join(pieces)


@cache
def _marks(marks: tuple[Mark, ...]) -> str:
    return " ".join(str(mark) for mark in marks)


def _meanings(part: Part) -> str:
    """What each wrong option, or recognised entry, comes from."""
    response = part.response
    names = {index: name for name, index in feedback_of(part)}
    told = []
    if isinstance(response, ChoiceResponse):
        slips = [(index, option.identifier, option.slip) for index, option in enumerate(response.options)]
    else:
        slips = [(index, "", entry.slip) for index, entry in enumerate(response.recognised)]
    for index, identifier, slip in slips:
        if slip is None:
            continue
        told.append(
            f'<p data-role="option" data-identifier="{identifier}" data-feedback="{names.get(index, "")}">'
            f"{mathml(slip.answer)}</p>"
        )
        if slip.teacher is not None:
            told.append(content(slip.teacher))
    return "".join(told)
