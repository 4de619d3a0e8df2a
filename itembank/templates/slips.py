"""A bank's slip file: names of known slips, their mal-rules, a sentence for the pupil and one for the teacher."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TypeAlias

from itembank.errors import Diagnostic, InputError
from itembank.templates.model import CatalogueSlipShape, SlipFileShape
from itembank.templates.reading import Findings, at, validated
from itembank.templates.scope import Names, Scope
from itembank.templates.template import Expression, TextTemplate
from itembank.yaml_source import Document, load


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

ANY_SLIP_MAY_SPEAK_OF = "xyzabcnkpq"
"""Letters a slip's sentences may show without taking them: $x^2$, $b^2 - 4*a*c$."""


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
        slip = _slip(document, index, findings, entry)
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
                entry.model_dump_json(exclude_defaults=True),
            )
    if findings.wrong:
        raise InputError(findings.diagnostics)
    return MappingProxyType(slips), tuple(findings.diagnostics)


def _slip(
    document: Document, index: int, findings: Findings, entry: CatalogueSlipShape
) -> tuple[Expression | None, TextTemplate, TextTemplate] | None:
    path = ("slips", index)
    scope = Scope(document.root, findings)
    own = Names(set(entry.takes), set(), set(entry.unknowns), None, owner="slip")
    value = scope.expression_at((*path, "value"), own) if entry.value is not None else None
    texts = [
        scope.text_at((*path, key), replace(own, letters=set(ANY_SLIP_MAY_SPEAK_OF)))
        for key in ("pupil", "teacher")
    ]
    if (entry.value is not None and value is None) or texts[0] is None or texts[1] is None:
        return None
    return value, texts[0], texts[1]
