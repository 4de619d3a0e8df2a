"""A bank's slip file: names of known slips, their mal-rules, a sentence for the pupil and one for the teacher."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from string import ascii_letters
from types import MappingProxyType
from typing import TypeAlias

from itembank.errors import Diagnostic, InputError
from itembank.expressions.vocabulary import GREEK
from itembank.templates.languages import ByLanguage, by_language
from itembank.templates.model import CatalogueSlipShape, SlipFileShape
from itembank.templates.reading import Findings, at, validated
from itembank.templates.scope import Names, Scope
from itembank.templates.template import NO_SOLUTION, Expression, TextTemplate
from itembank.words import base_language, fitting
from itembank.yaml_source import Node, Scalar, load


@dataclass(frozen=True, slots=True)
class CatalogueSlip:
    """A slip of the file. content: what its digest is made of; others: its sentences in other languages.

    titles: by language, () where it has none.
    """

    name: str
    unknowns: tuple[str, ...]
    takes: tuple[str, ...]
    value: Expression | None
    pupil: TextTemplate
    teacher: TextTemplate
    source: str
    content: str
    own: str = "en"
    others: tuple[tuple[str, TextTemplate, TextTemplate], ...] = ()
    titles: tuple[tuple[str, str], ...] = ()

    def serves(self, language: str) -> bool:
        """Whether its sentences serve a reader of a language."""
        return fitting(language, (self.own, *(tag for tag, _, _ in self.others))) is not None

    def content_in(self, language: str) -> str:
        """What the digest of a template in a language is made of."""
        sentences = self.sentences(language)
        if sentences == (self.pupil, self.teacher):
            return self.content
        return "\0".join((self.content, *(each.source.text for each in sentences)))

    def tag_read(self, language: str) -> str:
        """The tag of the sentences that a reader of a language gets."""
        return fitting(language, (self.own, *(tag for tag, _, _ in self.others))) or self.own

    def sentences(self, language: str) -> tuple[TextTemplate, TextTemplate]:
        """The sentence for the pupil and the one for the teacher, in a language it serves, else in its own."""
        tag = self.tag_read(language)
        return next(((p, t) for other, p, t in self.others if other == tag), (self.pupil, self.teacher))

    def title(self, language: str) -> str:
        """What staff who read a language call it: its title, its name in the file's own language, else nothing."""
        tag = fitting(language, tuple(tag for tag, _ in self.titles))
        return dict(self.titles)[tag] if tag else name_in_words(self.name, self.own, language)


def name_in_words(name: str, own: str, language: str) -> str:
    """A slip's name as words, "" for who reads another language than that of its file.

    >>> name_in_words("not-halved", "en", "en-US"), name_in_words("not-halved", "en", "es")
    ('not halved', '')
    """
    return name.replace("-", " ") if base_language(own) == base_language(language) else ""


Catalogue: TypeAlias = Mapping[str, CatalogueSlip]

NO_SLIPS: Catalogue = MappingProxyType({})

ANY_SLIP_MAY_SPEAK_OF = "xyzabcnkpq"
"""Letters that a slip's sentences may show without taking them: $x^2$, $b^2 - 4*a*c$. A slip that takes nothing may
show any letter; where a template has a number of that name, it is told that the slip does not take it."""


def load_slips(path: Path, shown_as: str) -> tuple[Catalogue, tuple[Diagnostic, ...]]:
    """The slips of a file and what is doubtful. Raises InputError with everything that is wrong."""
    document = load(path, shown_as)
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    texts = by_language(document.root, findings)
    if findings.wrong:
        raise InputError(findings.diagnostics)
    root, _ = texts.read_in(texts.own)
    shape = validated(root, SlipFileShape, findings)
    if shape is None:
        raise InputError(findings.diagnostics)
    slips: dict[str, CatalogueSlip] = {}
    first: dict[str, int] = {}
    for index, entry in enumerate(shape.slips):
        slip = _slip(document.root, index, findings, entry, texts.own)
        place = at(document.root, ("slips", index, "slip")).span
        if entry.slip in first:
            hint = f"it stands in line {first[entry.slip]} already: keep one of them, or give this one another name"
            findings.add("duplicate-slip", f"`{entry.slip}` stands twice", place, hint=hint)
            continue
        first[entry.slip] = place.line
        if slip is not None:
            slips[entry.slip] = slip
    if findings.wrong:
        raise InputError(findings.diagnostics)
    return MappingProxyType(slips), tuple(findings.diagnostics)


def _slip(
    root: Node, index: int, findings: Findings, entry: CatalogueSlipShape, own: str
) -> CatalogueSlip | None:
    path = ("slips", index)
    scope = Scope(root, findings)
    names = Names(set(entry.takes), set(), set(entry.unknowns), None, owner=entry.slip)
    value = _value(scope, (*path, "value"), names) if entry.value is not None else None
    texts = by_language(at(root, path), Findings(findings.source), own)
    found = {tag: _sentences(texts, tag, findings, names) for tag in texts.tags()}
    sentences = found.pop(texts.own)
    if (entry.value is not None and value is None) or sentences is None:
        return None
    content = entry.model_dump_json(exclude_defaults=True, exclude={"title"})  # items do not hold it
    titles = {tag: at(texts.read_in(tag)[0], ("title",)) for tag in texts.tags()}
    others = tuple((tag, *each) for tag, each in found.items() if each is not None)
    return CatalogueSlip(
        entry.slip, tuple(entry.unknowns), tuple(entry.takes), value, *sentences, entry.source, content, texts.own,
        others, tuple((tag, node.text) for tag, node in titles.items() if entry.title and isinstance(node, Scalar)),
    )  # fmt: skip


def _value(scope: Scope, path: tuple[str | int, ...], names: Names) -> Expression | None:
    given = at(scope.root, path)
    if isinstance(given, Scalar) and given.text.strip() == "none" and "none" not in names.all:
        return Expression(NO_SOLUTION, "none", given)
    return scope.expression_at(path, names)


def _sentences(
    texts: ByLanguage, tag: str, findings: Findings, names: Names
) -> tuple[TextTemplate, TextTemplate] | None:
    """The sentence for the pupil and the one for the teacher, in one language."""
    root, _ = texts.read_in(tag)
    scope = Scope(root, findings)
    # a slip that takes nothing has no letters that a wrong one could be meant for
    is_bare = not (names.numeric or names.unknowns)
    free = replace(names, letters={*ascii_letters, *GREEK} if is_bare else set(ANY_SLIP_MAY_SPEAK_OF))
    pupil, teacher = (scope.text_at((key,), free) for key in ("pupil", "teacher"))
    return None if pupil is None or teacher is None else (pupil, teacher)
