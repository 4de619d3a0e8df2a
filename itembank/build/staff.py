"""The staff's own files: every item whole with its key and proof, what each option means, a sheet for marks."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

from itembank.bank.explain import values_told
from itembank.content import Content, Emphasis, Hole, Inline, LineBreak, Listing, Paragraph, Text
from itembank.expressions import latex, mathml, spelling
from itembank.expressions.display import Maths
from itembank.items import ChoiceResponse, Item, Part
from itembank.proof.findings import Finding
from itembank.verdicts import Proved

ANSWER_COLUMNS = ("item", "part", "option", "right", "plain", "latex", "mathml", "slip", "marks", "teacher")


def plain_text(content: Content | None) -> str:
    """A text in one line, its maths in the language's own spelling."""
    if content is None:
        return ""

    def inline(node: Inline) -> str:
        match node:
            case Text(text):
                return text
            case Emphasis(inlines):
                return "".join(inline(part) for part in inlines)
            case Hole(index):
                filling = content.fillings[index]
                return filling if isinstance(filling, str) else spelling.plain(filling)
            case LineBreak():
                return " "

    def block(node: Any) -> str:
        match node:
            case Paragraph(inlines):
                return "".join(inline(part) for part in inlines)
            case Listing(items):
                return "; ".join(" ".join(block(b) for b in item) for item in items)
            case _:
                rows = (node.header, *node.rows)
                return "; ".join(" | ".join("".join(inline(i) for i in cell) for cell in row) for row in rows)

    return " ".join(block(node) for node in content.shape.blocks)


def _shown(content: Maths | Content) -> dict[str, str]:
    if isinstance(content, Maths):
        return {
            "plain": spelling.plain(content),
            "latex": latex.latex(content),
            "mathml": mathml.mathml(content, annotated=False),
        }
    return {"plain": plain_text(content), "latex": "", "mathml": ""}


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
        "curriculum": list(item.about.curriculum),
        "level": item.about.level,
        "demand": item.about.demand,
        "calculator": item.about.calculator,
        "minutes": item.about.minutes,
        "marks": item.marks,
        "values": values_told(item),
        "parts": [_part(part) for part in item.parts],
        "proof": [
            {"claim": f.claim, "about": f.subject, "witness": f.verdict.witness}
            for f in findings
            if isinstance(f.verdict, Proved)
        ],
    }
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def _part(part: Part) -> dict[str, Any]:
    response = part.response
    told: dict[str, Any] = {
        "label": part.label,
        "problem": _shown(part.problem.statement),
        "kind": part.problem.shape,
        "unknowns": list(part.problem.unknowns),
        "stem": plain_text(part.stem),
        "key": _shown(part.key),
        "marks": response.marks,
        "solution": [
            {
                "kind": line.kind,
                "say": plain_text(line.say),
                "maths": spelling.plain(line.maths) if line.maths else "",
                "marks": " ".join(str(mark) for mark in line.marks),
            }
            for line in part.solution
        ],
    }
    if isinstance(response, ChoiceResponse):
        told["response"] = "choice"
        told["options"] = [
            {
                "option": o.identifier,
                "right": o.is_key,
                **_shown(o.content),
                "slip": o.slip.name if o.slip else "",
            }
            for o in response.options
        ]
    else:
        told["response"] = "entry"
        told["blanks"] = [
            {
                "unknown": b.unknown,
                "form": b.form,
                "boxes": list(b.boxes),
                "values": [[_box(v) for v in group] for group in b.values],
                "any_order": b.any_order,
                **({"ends": b.ends, "join": b.join} if b.ends else {}),
                **({"unit": b.unit} if b.unit else {}),
                "marks": " ".join(str(mark) for mark in b.marks),
            }
            for b in response.blanks
        ]
        told["no_real_solution"] = response.tick_is_right
        if part.follow is not None:
            told["follow_through"] = _shown(part.follow)
    told["slips"] = [
        {
            "slip": s.name,
            "answer": spelling.plain(s.answer),
            "pupil": plain_text(s.pupil),
            "teacher": plain_text(s.teacher),
        }
        for s in part.slips
    ]
    return told


def _box(value: object) -> object:
    return value if isinstance(value, int) or value is None else str(value)


def answers(item: Item) -> tuple[tuple[str, ...], ...]:
    """Rows of the answer map: what each option, or recognised entry, of an item means."""
    rows = []
    for part in item.parts:
        response = part.response
        if isinstance(response, ChoiceResponse):
            for option in response.options:
                shown = _shown(option.content)
                slip = option.slip
                rows.append(
                    (
                        item.code,
                        part.label,
                        option.identifier,
                        "yes" if option.is_key else "no",
                        shown["plain"],
                        shown["latex"],
                        shown["mathml"],
                        slip.name if slip else "",
                        str(response.marks if option.is_key else 0),
                        plain_text(slip.teacher) if slip else "",
                    )
                )
        else:
            key = _shown(part.key)
            rows.append(
                (
                    item.code,
                    part.label,
                    "",
                    "yes",
                    key["plain"],
                    key["latex"],
                    key["mathml"],
                    "",
                    str(response.marks),
                    "",
                )
            )
            for slip in part.slips:
                shown = _shown(slip.answer)
                rows.append(
                    (
                        item.code,
                        part.label,
                        "",
                        "no",
                        shown["plain"],
                        shown["latex"],
                        shown["mathml"],
                        slip.name,
                        "",
                        plain_text(slip.teacher),
                    )
                )
    return tuple(rows)


def columns(item: Item) -> tuple[tuple[str, int], ...]:
    """Columns of the mark sheet: the code (with the part's letter) and its maximum."""
    return tuple((f"{item.code}{part.label}", part.response.marks) for part in item.parts)


def csv_line(cells: tuple[object, ...]) -> str:
    """One line of CSV. A cell a spreadsheet would take for a formula gets an apostrophe before it."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([_harmless(str(cell)) for cell in cells])
    return out.getvalue()


def _harmless(text: str) -> str:
    return "'" + text if text[:1] in {"=", "+", "-", "@", "\t", "\r"} else text
