"""From a template file to a `Template`: shape, then expressions, then names; every mistake told at its place."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from pathlib import Path

from itembank.errors import Diagnostic, InputError, Span
from itembank.expressions import tree
from itembank.expressions.statement_checks import says_something
from itembank.expressions.vocabulary import FUNCTIONS, LEFT_OUT, WHOLE_NUMBERS
from itembank.items import About
from itembank.templates import model
from itembank.templates.conditions import check_value
from itembank.templates.extension import written_out
from itembank.templates.languages import ByLanguage, by_language
from itembank.templates.parameters import parameter
from itembank.templates.parts import PartReader, Whole
from itembank.templates.reading import Findings, at, key_span, validated
from itembank.templates.scope import Names, Scope
from itembank.templates.slips import Catalogue, CatalogueSlip
from itembank.templates.template import Derived, Expression, PartTemplate, Template
from itembank.yaml_source import Document, Mapping, Node, Scalar, Sequence, load

RESERVED = {"problem", "none", "and", "or", "not", LEFT_OUT, WHOLE_NUMBERS}


@dataclass(frozen=True, slots=True)
class Loaded:
    """A template and what is doubtful about it."""

    template: Template
    doubts: tuple[Diagnostic, ...]


def load_template(path: Path, shown_as: str, catalogue: Catalogue, language: str = "") -> Loaded:
    """The template of a file. Raises InputError with everything that is wrong, and the doubts with it.

    language: what its texts are to be in; it is read in its own language where it, or a slip it uses, is not whole
    in that one, and `about.language` then says so.
    """
    document = load(path, shown_as)
    return read_template(document, catalogue, language)


def read_template(document: Document, catalogue: Catalogue, language: str = "") -> Loaded:
    """The same from a document already read."""
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    document = replace(document, root=written_out(document.root, findings))
    texts = by_language(document.root, findings)
    if findings.wrong:
        raise InputError(findings.diagnostics)
    own, loader = _read(document, texts, texts.own, catalogue, findings)
    for tag in texts.tags()[1:]:  # what is wrong in any language is wrong
        more = Findings(document.source)
        _read(document, texts, tag, catalogue, more)
        findings.diagnostics.extend(one for one in more.diagnostics if one not in findings.diagnostics)
    if findings.wrong or own is None:
        raise InputError(findings.diagnostics)
    if language and texts.serves(language) and all(slip.serves(language) for slip in loader.used_slips):
        found, _ = _read(document, texts, language, catalogue, Findings(document.source))
        assert found is not None
        read = texts.tags_read(language) | {slip.tag_read(language) for slip in loader.used_slips}
        own = replace(found, translation=_translation(read, texts.own, language))
    return Loaded(own, tuple(findings.diagnostics))


def _translation(read: frozenset[str], own: str, wanted: str) -> str:
    """The one tag of all texts that were read, the wanted one where there are several; "" for the file's own.

    So a reader of `en-US` who gets the texts of an English file has the same template as one of `en`.
    """
    if read <= {own}:
        return ""
    return min(read) if len(read) == 1 else wanted


def _has_parts(root: Node) -> bool:
    """Whether a template has several parts, though their key be misspelt."""
    if not isinstance(root, Mapping) or root.get("parts") is not None:
        return isinstance(root, Mapping)
    return root.get("problem") is None and any(
        isinstance(item, Mapping) and item.get("problem") is not None
        for _, node in root.entries
        if isinstance(node, Sequence)
        for item in node.items
    )


def _read(
    document: Document, texts: ByLanguage, language: str, catalogue: Catalogue, findings: Findings
) -> tuple[Template | None, _Loader]:
    """The template with its texts in one language. Raises InputError where its shape is wrong."""
    root, told = texts.read_in(language)
    shape: Whole | None
    if _has_parts(root):
        shape = validated(root, model.PartsTemplateShape, findings)
    else:
        shape = validated(root, model.TemplateShape, findings)
    if shape is None:
        raise InputError(findings.diagnostics)
    loader = _Loader(replace(document, root=root), shape, catalogue, findings, told)
    return loader.template(), loader


_OF_A_FORMULA = "letter of a formula"
_OF_EVERY, _OF_EVERY_IN_A_PART = "letter of `for_every`", "letter of a part's `for_every`"
_OF_A_PART = "unknown of a part"
_TOGETHER = (
    {"letter", _OF_A_FORMULA},
    {"subject", _OF_A_FORMULA},
    {"subject", "unknown"},
    {"letter", _OF_EVERY_IN_A_PART},
    {_OF_EVERY, _OF_EVERY_IN_A_PART},
    {"subject", _OF_A_PART},
    {"unknown", _OF_A_PART},
    {"letter", _OF_A_PART},
    {_OF_EVERY, _OF_A_PART},
)
"""What is a subject in one part may be another letter in the next, or be worked out there; the letter of an identity or
of an expression may stand in the texts of other parts, or be what another part asks for."""


class _Loader:
    def __init__(
        self,
        document: Document,
        shape: Whole,
        catalogue: Catalogue,
        findings: Findings,
        language: str,
    ) -> None:
        self.language = language
        self.root = document.root
        self.source = document.source
        self.shape = shape
        self.catalogue = catalogue
        self.findings = findings
        self.scope = Scope(document.root, findings, language)
        self.numeric: set[str] = set()
        self.used_slips: list[CatalogueSlip] = []

    def template(self) -> Template | None:
        shape = self.shape
        parameters = [parameter(name, p, self.root, self.findings) for name, p in shape.parameters.items()]
        kept = tuple(p for p in parameters if p is not None)
        self.numeric = {name for name, p in shape.parameters.items() if p.rows is None} | set(shape.derived)
        self.scope.rows = {p.name: p for p in kept if p.rows}
        self.scope.wrong = set(shape.parameters) - {p.name for p in kept} - self.numeric
        self._check_names()
        self._check_topics()
        derived = self._derived()
        part_shapes = shape.parts if isinstance(shape, model.PartsTemplateShape) else [shape]
        self.scope.asked = {name for part in part_shapes for name in part.unknowns}
        base: tuple[str | int, ...] = ("parts",) if isinstance(shape, model.PartsTemplateShape) else ()
        parts: list[PartTemplate | None] = []
        earlier: set[str] = set()
        first: PartReader | None = None
        for index, part_shape in enumerate(part_shapes):
            path = (*base, index) if base else ()
            label = "" if len(part_shapes) == 1 else "abcdefghijklmnopqrstuvwxyz"[index]
            reader = PartReader(
                self.scope, self.catalogue, shape, part_shape, path, label, self.numeric, set(earlier)
            )
            parts.append(reader.part())
            self.used_slips.extend(reader.used_slips)
            earlier |= reader.values_found
            first = first or reader
        assert first is not None
        problem = first.names.problem
        context = Names(self.numeric, _part_letters(part_shapes[0], shape), set(), problem, problem is None)
        constraints = self._conditions(shape.constraints, ("constraints",), context)
        guarantees = self._conditions(shape.guarantees, ("guarantees",), context)
        bands = tuple(
            (name, self._conditions(texts, ("bands", name), context)) for name, texts in shape.bands.items()
        )
        if self.findings.wrong or any(part is None for part in parts):
            return None
        self._check_unused()
        about = About(
            shape.title,
            self.language,
            tuple(shape.topics),
            tuple(shape.curriculum),
            shape.level,
            shape.demand,
            shape.calculator,
            shape.minutes,
        )
        return Template(
            shape.template,
            shape.version,
            about,
            kept,
            derived,
            constraints,
            guarantees,
            bands,
            tuple(shape.letters),
            tuple(part for part in parts if part is not None),
            self.source.path,
            self._digest(),
            self.source.lines,
            tuple((n, why, key_span(self.root, ("lint", n))) for n, why in shape.lint.items()),
        )

    def _digest(self) -> str:
        """Of the parsed content, without the version number, and of the slips used."""
        content = self.shape.model_dump(by_alias=True, exclude={"version", "lint"}, exclude_defaults=True)
        slips = [
            slip.content_in(self.language) for slip in sorted(self.used_slips, key=lambda slip: slip.name)
        ]
        text = json.dumps([content, slips], sort_keys=True, ensure_ascii=False, default=str)
        return hashlib.blake2b(text.encode(), digest_size=16).hexdigest()

    def _check_names(self) -> None:
        shape = self.shape
        places: dict[str, dict[tuple[str, int], Span]] = {}
        groups: list[tuple[str, tuple[str | int, ...]]] = [
            ("parameter", ("parameters",)),
            ("derived value", ("derived",)),
            ("letter", ("letters",)),
            ("subject" if shape.in_terms_of else "unknown", ("unknowns",)),
            (_OF_EVERY, ("for_every",)),
            (_OF_A_FORMULA, ("in_terms_of",)),
        ]
        parts = shape.parts if isinstance(shape, model.PartsTemplateShape) else []
        for number, part in enumerate(parts):
            is_formula = bool(part.in_terms_of or shape.in_terms_of)
            groups += [
                ("subject" if is_formula else _OF_A_PART, ("parts", number, "unknowns")),
                (_OF_EVERY_IN_A_PART, ("parts", number, "for_every")),
                (_OF_A_FORMULA, ("parts", number, "in_terms_of")),
            ]
        for kind, path in groups:
            self._check_repeated(path)
            for name, span in self._named(path):
                if name in RESERVED or name in FUNCTIONS:
                    self.findings.add(
                        "reserved-name",
                        f"`{name}` has a meaning of its own",
                        span,
                        hint="choose another letter",
                    )
                    continue
                known = places.setdefault(name, {})
                here = (kind, int(path[1]) if len(path) > 1 else -1)
                before = next((each for each in known if not _may_be_both(each, here)), None)
                if before is None:
                    known.setdefault(here, span)
                else:
                    self.findings.add(
                        "shadowed-name",
                        f"`{name}` is {_a(kind)} and {_a(before[0])}",
                        span,
                        hint="take it out of `letters`: `for_every` says it too"
                        if {kind, before[0]} == {"letter", _OF_EVERY}
                        else "give one of them another letter",
                        related=(known[before], "the other one"),
                    )

    def _check_repeated(self, path: tuple[str | int, ...]) -> None:
        seen: set[str] = set()
        for name, span in self._named(path):
            if name in seen:
                self.findings.add("repeated-name", f"`{name}` stands twice", span, hint="take one out")
            seen.add(name)

    def _check_topics(self) -> None:
        """A line with commas is one text, and seldom meant so."""
        for key in ("topics", "curriculum"):
            match self.root.get(key) if isinstance(self.root, Mapping) else None:
                case Scalar(text, span) if "," in text:
                    listed = ", ".join(each.strip() for each in text.split(",") if each.strip())
                    self.findings.doubt(
                        "list-without-brackets",
                        f"`{text}` counts as one, commas and all",
                        span,
                        hint=f"put a list in brackets: {key}: [{listed}]",
                    )

    def _named(self, path: tuple[str | int, ...]) -> list[tuple[str, Span]]:
        """The names declared at a place, with where each stands: a list, names of lines, or a single one."""
        above = at(self.root, path[:-1])
        match above.get(str(path[-1])) if isinstance(above, Mapping) else None:
            case Sequence(items):
                return [(item.text, item.span) for item in items if isinstance(item, Scalar)]
            case Mapping(entries):
                return [(key.text, key.span) for key, _ in entries]
            case Scalar(text, span):
                return [(text, span)]
            case _:
                return []

    def _derived(self) -> tuple[Derived, ...]:
        parsed: dict[str, Derived] = {}
        names = Names(self.numeric, self._letters_of_parts(), set(), None)
        for name in self.shape.derived:
            expression = self.scope.expression_at(("derived", name), names)
            if expression is None or not check_value(expression, self.numeric, self.findings):
                continue
            if says_something(expression.node) or tree.has_plus_minus(expression.node):
                self.findings.add(
                    "number-needed",
                    f"`{name}` must be one number",
                    expression.span(),
                    hint="leave out =, < and ±",
                )
                continue
            parsed[name] = Derived(name, expression, key_span(self.root, ("derived", name)))
        ordered: list[Derived] = []
        done: set[str] = set()

        def visit(name: str, trail: tuple[str, ...]) -> None:
            if name in done or name not in parsed:
                return
            if name in trail:
                cycle = " -> ".join((*trail[trail.index(name) :], name))
                self.findings.add(
                    "cycle",
                    f"`{name}` is worked out from itself: {cycle}",
                    parsed[name].span,
                    hint="break the circle",
                )
                done.add(name)
                return
            for other in tree.names(parsed[name].expression.node):
                visit(other, (*trail, name))
            if name not in done:
                done.add(name)
                ordered.append(parsed[name])

        for name in parsed:
            visit(name, ())
        return tuple(ordered)

    def _letters_of_parts(self) -> set[str]:
        """The letters that stand for no number yet: a value may be the discriminant of what has them."""
        shape = self.shape
        parts = [shape, *(shape.parts if isinstance(shape, model.PartsTemplateShape) else ())]
        named = {name for each in parts for name in (*each.unknowns, *each.for_every, *each.in_terms_of)}
        return {*shape.letters, *named} - self.numeric

    def _conditions(
        self, texts: list[str], path: tuple[str | int, ...], names: Names
    ) -> tuple[Expression, ...]:
        found: list[Expression] = []
        node = at(self.root, path)
        for index in range(len(texts)):
            here = path if isinstance(node, Scalar) else (*path, index)
            expression = self.scope.expression_at(here, names, conditions=True)
            found += [expression] if expression is not None else []
        return tuple(found)

    def _check_unused(self) -> None:
        looked: list[tuple[str, tuple[str | int, ...]]] = [
            ("parameter", ("parameters",)),
            ("derived value", ("derived",)),
            ("letter", ("letters",)),
            ("letter", ("for_every",)),
        ]
        parts = self.shape.parts if isinstance(self.shape, model.PartsTemplateShape) else []
        looked += [("letter", ("parts", number, "for_every")) for number in range(len(parts))]
        for word, path in looked:
            for name, span in self._named(path):
                if name not in self.scope.used:
                    self.findings.doubt(
                        "unused", f"the {word} `{name}` is never used", span, hint="use it, or take it out"
                    )


def _part_letters(part: model.PartShape, shape: Whole) -> set[str]:
    shared = {*shape.letters, *shape.unknowns, *shape.for_every, *shape.in_terms_of}
    return shared | {*part.unknowns, *part.for_every, *part.in_terms_of}


def _may_be_both(first: tuple[str, int], second: tuple[str, int]) -> bool:
    """Whether one name may be both in a template, given with the number of the part, -1 for the whole."""
    kinds = {first[0], second[0]}
    if kinds == {_OF_A_FORMULA, _OF_A_PART}:  # a number that was found is no letter afterwards
        formula, number = sorted((first, second), key=lambda each: each[0] != _OF_A_FORMULA)
        return -1 < formula[1] < number[1]
    if len(kinds) == 2 and kinds < {_OF_EVERY_IN_A_PART, _OF_A_PART, _OF_A_FORMULA}:
        return first[1] != second[1]
    return len(kinds) == 1 or kinds in _TOGETHER


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"
