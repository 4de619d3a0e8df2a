"""What the staff's own files hold of a response, kind by kind."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, TypeAlias, assert_never

from itembank.build.staff_text import plain_text, sentence, shown
from itembank.content import Content, of_text
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import (
    WORD_NAMES,
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    MatchResponse,
    Option,
    OrderResponse,
    Part,
    Response,
    Slip,
    WrittenResponse,
    WrongLineResponse,
    marks_text,
)

__all__ = ["answer_rows", "response_record"]

Row: TypeAlias = tuple[object, ...]


def response_record(response: Response, language: str) -> dict[str, Any]:
    """A response whole, as JSON takes it."""
    match response:
        case ChoiceResponse():
            return {"response": response.kind, "options": _options(response.options, language)}
        case ChoicesResponse():
            return {
                "response": response.kind,
                "sense": response.sense,
                "share": marks_text(response.share),
                "options": _options(response.options, language),
            }
        case WrongLineResponse():
            return {
                "response": response.kind,
                "lines": [
                    {"say": plain_text(line.say), "maths": spelling.plain(line.maths), "follows": follows}
                    for line, follows in _lines(response)
                ],
                "slip": response.slip.name,
            }
        case EntryResponse():
            return _entry(response)
        case OrderResponse():
            return {
                "response": response.kind,
                "by": response.by,
                "share": marks_text(response.share),
                "things": [
                    {"option": thing.identifier, "place": thing.place + 1, **shown(thing.maths, language)}
                    for thing in response.things
                ],
            }
        case MatchResponse():
            return {
                "response": response.kind,
                "share": marks_text(response.share),
                "rows": [
                    {"row": row.identifier[1:], "target": row.target, **shown(row.statement, language)}
                    for row in response.rows
                ],
                "targets": _options(
                    tuple(Option(t.identifier, t.content, False, t.slip) for t in response.targets),
                    language,
                ),
            }
        case WrittenResponse():
            return {"response": response.kind, "lines": response.lines}
        case _:
            assert_never(response)


def _options(options: tuple[Option, ...], language: str) -> list[dict[str, Any]]:
    return [
        {
            "option": o.identifier,
            "right": o.is_key,
            **shown(o.content, language),
            "slip": o.slip.name if o.slip else "",
        }
        for o in options
    ]


def _lines(response: WrongLineResponse) -> list[tuple[Any, bool]]:
    return [(line, index != response.wrong) for index, line in enumerate(response.lines)]


def _entry(response: EntryResponse) -> dict[str, Any]:
    return {
        "response": response.kind,
        "blanks": [
            {
                "unknown": b.unknown,
                "form": b.form,
                "boxes": list(b.boxes),
                "slots": b.slots,
                "values": [[_box(v) for v in group] for group in b.values],
                "any_order": b.any_order,
                **({"pair": b.pair} if b.form == "surd" else {}),
                **({"places": b.places} if b.form == "decimal" else {}),
                **({"tolerance": str(b.tolerance)} if b.tolerance is not None else {}),
                **({"letter": b.letter} if b.letter else {}),
                **({"ends": b.ends, "join": b.join} if b.ends else {}),
                **({"unit": b.unit} if b.unit else {}),
                **({"words": [word.text for word in b.words], "before": b.before} if b.words else {}),
                "marks": " ".join(str(mark) for mark in b.marks),
            }
            for b in response.blanks
        ],
        **({"points": True, "share": marks_text(response.share)} if response.points else {}),
        **({"rounded": spelling.plain(response.rounded)} if response.rounded is not None else {}),
        "instruction": plain_text(response.instruction),
        "tick": response.tick,
        "no_real_solution": response.tick_is_right,
    }


def _box(value: object) -> object:
    return value if isinstance(value, int) or value is None else str(value)


def answer_rows(part: Part, language: str) -> Iterator[Row]:
    """Rows of the answer map for a part, after item and part: what each option, line or recognised entry means."""
    response = part.response
    match response:
        case ChoiceResponse():
            for option in response.options:
                marks = str(response.marks if option.is_key else 0)
                yield _row(language, option.identifier, option.is_key, option.content, option.slip, marks)
        case ChoicesResponse():
            for option in response.options:
                share = marks_text(response.share)
                marks = "" if not response.share else share if option.is_key else f"costs {share}"
                yield _row(language, option.identifier, option.is_key, option.content, option.slip, marks)
        case WrongLineResponse():
            for number, (line, follows) in enumerate(_lines(response), start=1):
                slip = None if follows else response.slip
                yield _row(
                    language,
                    str(number),
                    not follows,
                    line.maths,
                    slip,
                    str(0 if follows else response.marks),
                )
        case OrderResponse():
            for thing in response.things:
                share = marks_text(response.share) if response.share else ""
                yield _row(language, f"{thing.identifier} {thing.place + 1}", True, thing.maths, None, share)
        case MatchResponse():
            share = marks_text(response.share) if response.share else ""
            for target in response.targets:
                rows = [row.identifier[1:] for row in response.rows if row.target == target.identifier]
                for row in rows or [""]:
                    place = f"{row} {target.identifier}".strip()
                    yield _row(language, place, bool(row), target.content, target.slip, share if row else "0")
        case EntryResponse() | WrittenResponse():
            yield _row(language, "", True, part.key, None, str(response.marks))
            for blank in response.blanks if isinstance(response, EntryResponse) else ():
                for index, word in enumerate(blank.words):
                    marks = str(blank.worth if index == blank.chosen else 0)
                    yield _row(
                        language, WORD_NAMES[index], index == blank.chosen, of_text(word.text), None, marks
                    )
            for slip in part.slips:
                yield _row(language, "", False, slip.answer, slip, "")
        case _:
            assert_never(response)


def _row(
    language: str, option: str, is_right: bool, content: Maths | Content, slip: Slip | None, marks: str
) -> Row:
    notations = shown(content, language)
    return (
        option,
        "yes" if is_right else "no",
        notations["plain"],
        notations["latex"],
        notations["mathml"],
        slip.name if slip else "",
        marks,
        sentence(slip.teacher, language) if slip else "",
    )
