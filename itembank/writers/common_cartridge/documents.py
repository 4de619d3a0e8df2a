"""Assessments and question banks: documents that hold items, and how many fit into one.

An assessment of more than fifty questions is no test that anyone sits; a bank's file stays below a few million bytes,
which slow importers still take. Source of both limits: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from itembank.writers.common_cartridge.markup import element, field

__all__ = [
    "ITEMS_PER_ASSESSMENT",
    "ITEMS_PER_CARTRIDGE",
    "Collection",
    "assessment",
    "question_bank",
    "shared_out",
]

ITEMS_PER_ASSESSMENT: Final = 50
ITEMS_PER_CARTRIDGE: Final = 1000
CHARACTERS_PER_FILE: Final = 2_500_000
NAMESPACE: Final = "http://www.imsglobal.org/xsd/ims_qtiasiv1p2"
_SCHEMA: Final = "http://www.imsglobal.org/profile/cc/ccv1p3/ccv1p3_qtiasiv1p2p1_v1p0.xsd"
_INSTANCE: Final = "http://www.w3.org/2001/XMLSchema-instance"


@dataclass(frozen=True, slots=True)
class Collection:
    """An assessment or a question bank. identifier: stable over builds, ASCII; title: plain text.

    uses: the files its questions point to, as they lie in the cartridge.
    """

    identifier: str
    title: str
    is_bank: bool
    uses: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Its file in the cartridge."""
        return f"{'banks' if self.is_bank else 'assessments'}/{self.identifier}.xml"


def assessment(collection: Collection, items: Sequence[str], language: str) -> str:
    """The document of an assessment: one attempt, percentages, feedback and solutions shown."""
    told = element(
        "qtimetadata",
        field("cc_profile", "cc.exam.v0p1"),
        field("qmd_assessmenttype", "Examination"),
        field("qmd_scoretype", "Percentage"),
        field("qmd_feedbackpermitted", "Yes"),
        field("qmd_solutionspermitted", "Yes"),
        field("cc_maxattempts", "1"),
    )
    section = element("section", *items, ident=f"{collection.identifier}-section")
    return _document(
        element(
            "assessment", told, section,
            ident=collection.identifier, title=collection.title, xml__lang=language,
        )
    )  # fmt: skip


def question_bank(collection: Collection, items: Sequence[str]) -> str:
    """The document of a question bank."""
    return _document(element("objectbank", *items, ident=collection.identifier))


def _document(child: str) -> str:
    root = element(
        "questestinterop", child,
        xmlns=NAMESPACE, xmlns__xsi=_INSTANCE, xsi__schemaLocation=f"{NAMESPACE} {_SCHEMA}",
    )  # fmt: skip
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{root}\n'


def shared_out(items: Sequence[str], most: int) -> list[Sequence[str]]:
    """Items in files, in their order: at most so many, and so many characters, in each."""
    files: list[Sequence[str]] = []
    begin = characters = 0
    for index, item in enumerate(items):
        characters += len(item)
        if index > begin and (index - begin == most or characters > CHARACTERS_PER_FILE):
            files.append(items[begin:index])
            begin, characters = index, len(item)
    return [*files, items[begin:]] if items else []
