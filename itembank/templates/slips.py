"""A bank's slip file: names of known slips, their mal-rules, a sentence for the pupil and one for the teacher."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TypeAlias

from itembank.errors import Diagnostic, InputError
from itembank.expressions import tree
from itembank.expressions.parser import ExpressionError, parse
from itembank.expressions.vocabulary import nearest
from itembank.templates.model import SlipFileShape
from itembank.templates.reading import Findings, at, validated
from itembank.templates.template import Expression, TextTemplate
from itembank.templates.text import UnclosedMaths, split_maths, text_shape
from itembank.yaml_source import Document, Scalar, load


@dataclass(frozen=True, slots=True)
class CatalogueSlip:
    """A slip of the file. content: what its digest is made of."""

    name: str
    unknowns: tuple[str, ...]
    takes: tuple[str, ...]
    value: Expression | None
    pupil: TextTemplate
    teacher: TextTemplate
    source: str
    content: str


Catalogue: TypeAlias = Mapping[str, CatalogueSlip]

NO_SLIPS: Catalogue = MappingProxyType({})


def load_slips(path: Path, shown_as: str) -> tuple[Catalogue, tuple[Diagnostic, ...]]:
    """The slips of a file and what is doubtful. Raises InputError with everything that is wrong."""
    document = load(path, shown_as)
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    shape = validated(document.root, SlipFileShape, findings)
    if shape is None:
        raise InputError(findings.diagnostics)
    slips: dict[str, CatalogueSlip] = {}
    for index, entry in enumerate(shape.slips):
        slip = _slip(document, index, findings, set(entry.unknowns) | set(entry.takes))
        place = at(document.root, ("slips", index, "slip")).span
        if entry.slip in slips:
            findings.add("duplicate-slip", f"`{entry.slip}` stands twice", place, hint="keep one of them")
        elif slip is not None:
            value, pupil, teacher = slip
            slips[entry.slip] = CatalogueSlip(
                entry.slip,
                tuple(entry.unknowns),
                tuple(entry.takes),
                value,
                pupil,
                teacher,
                entry.source,
                entry.model_dump_json(),
            )
    if findings.wrong:
        raise InputError(findings.diagnostics)
    return MappingProxyType(slips), tuple(findings.diagnostics)


def _slip(
    document: Document, index: int, findings: Findings, letters: set[str]
) -> tuple[Expression | None, TextTemplate, TextTemplate] | None:
    path = ("slips", index)
    value_node = at(document.root, (*path, "value"))
    value: Expression | None = None
    if isinstance(value_node, Scalar):
        value = _expression(value_node, 0, value_node.text, findings, letters)
        if value is None:
            return None
    texts = [_text(at(document.root, (*path, key)), findings, letters) for key in ("pupil", "teacher")]
    if texts[0] is None or texts[1] is None:
        return None
    return value, texts[0], texts[1]


def _expression(
    source: Scalar, offset: int, text: str, findings: Findings, letters: set[str]
) -> Expression | None:
    try:
        node = parse(text)
    except ExpressionError as wrong:
        start = min(offset + wrong.start, max(len(source.text) - 1, 0))
        findings.add(
            wrong.code,
            wrong.message,
            source.place(start, min(wrong.end - wrong.start, len(source.text) - start)),
            hint=wrong.hint,
        )
        return None
    written = Expression(node, text, source, offset)
    for part in tree.walk(node):
        if isinstance(part, tree.Name) and part.name not in letters:
            near = nearest(part.name, letters)
            hint = f"name it in `takes` or `unknowns`{f'; nearest: {near}' if near else ''}"
            findings.add(
                "unknown-name",
                f"`{part.name}` is neither taken nor unknown here",
                written.span(part),
                hint=hint,
            )
            return None
    return written


def _text(node: object, findings: Findings, letters: set[str]) -> TextTemplate | None:
    if not isinstance(node, Scalar):
        return None
    try:
        shown, pieces = split_maths(node.text)
    except UnclosedMaths as unclosed:
        findings.add(
            "unclosed-maths",
            "this $ has no partner",
            node.place(unclosed.offset, 1),
            hint="close the maths with $; write \\$ for money",
        )
        return None
    holes = []
    for offset, text in pieces:
        try:
            holes.append(Expression(parse(text), text, node, offset))
        except ExpressionError as wrong:
            findings.add(
                wrong.code,
                wrong.message,
                node.place(offset + wrong.start, wrong.end - wrong.start),
                hint=wrong.hint,
            )
            return None
    for hole in holes:
        if tree.names(hole.node) and not set(tree.names(hole.node)) <= letters | set("xyzabcnkpq"):
            findings.add(
                "unknown-name", f"`{hole.text}` speaks of letters the slip does not have", hole.span()
            )
            return None
    return TextTemplate(text_shape(shown, len(holes)), tuple(holes), node)
