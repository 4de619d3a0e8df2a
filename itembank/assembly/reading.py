"""Reading a blueprint file, everything wrong told at once; what it names has to be in the bank."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from itembank.assembly.blueprint import Blueprint, Place, Range, Row, Where
from itembank.bank.bank import BANK_FILE, Bank, PaperSettings, bank_of
from itembank.bank.bank_file import leave_out, paper_settings
from itembank.errors import Diagnostic, InputError, Span
from itembank.expressions.vocabulary import nearest

if TYPE_CHECKING:
    from itembank.templates.blueprint_model import (
        BlueprintShape,
        LogitsShape,
        MinutesShape,
        RangeShape,
        RowShape,
    )
    from itembank.templates.reading import Findings
    from itembank.yaml_source import Node

__all__ = ["bank_folder", "read_blueprint", "unknown_names"]


def bank_folder(path: Path) -> Path:
    """The bank whose items a blueprint is for: the nearest folder above it that is one.

    Raises InputError where there is no such folder, or no such file.
    """
    if not path.is_file():
        hint = "name a blueprint file, such as BANK/blueprints/NAME.yaml"
        raise InputError(Diagnostic("not-there", f"{path} is no file", Span(str(path), 1, 1), hint=hint))
    folder = bank_of(path.parent)
    if folder is None or not (folder / BANK_FILE).is_file():
        raise InputError(
            Diagnostic(
                "no-bank", f"{path} lies in no bank", Span(str(path), 1, 1),
                hint="put it into the bank's folder, or name the bank: --bank BANK",
            )
        )  # fmt: skip
    return folder


def read_blueprint(path: Path, language: str = "") -> tuple[Blueprint, PaperSettings | None]:
    """The blueprint of a file, and what it says of papers. Raises InputError with everything that is wrong.

    language: of its title, "" for the file's own.
    """
    from itembank.templates.blueprint_model import BlueprintShape
    from itembank.templates.languages import by_language
    from itembank.templates.reading import Findings, validated
    from itembank.yaml_source import load

    document = load(path, str(path))
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    root = by_language(document.root, findings).read_for(language)
    shape = validated(root, BlueprintShape, findings)
    if shape is not None:
        _check(shape, root, findings)
    if shape is None or findings.wrong:
        raise InputError(findings.diagnostics)
    return _blueprint(shape, _places(root, findings)), paper_settings(shape.paper) if shape.paper else None


def _check(shape: BlueprintShape, root: Node, findings: Findings) -> None:
    """What the keys say together."""
    from itembank.templates.reading import at, key_span

    for number, row in enumerate(shape.holds):
        if not (row.items or row.marks or row.minutes or row.difficulty):
            findings.add(
                "row-asks-nothing", "this row says which items, but not how many", at(root, ("holds", number)).span,
                hint="add items, marks, minutes or difficulty: items: {from: 2, to: 3}",
            )  # fmt: skip
    if shape.items is None and not any(row.items or row.marks for row in shape.holds):
        findings.add(
            "no-length", "nothing says how many items a form has", key_span(root, ("blueprint",)),
            hint="add a line `items: 12`, or rows under `holds`",
        )  # fmt: skip
    most = shape.items.to if shape.items else None
    if most is not None and shape.shared > most:
        findings.add(
            "too-many-shared", f"{shape.shared} items are to be shared by forms of at most {most}",
            at(root, ("shared",)).span, hint="share fewer",
        )  # fmt: skip
    if shape.shared and shape.forms == 1:
        findings.add(
            "nothing-to-share", "a single form shares its items with none", at(root, ("shared",)).span,
            hint="take `shared` out, or ask for more forms",
        )  # fmt: skip


def _blueprint(shape: BlueprintShape, places: dict[tuple[str | int, ...], Place]) -> Blueprint:
    return Blueprint(
        shape.blueprint, shape.title, shape.forms, _range(shape.items), _range(shape.marks), _range(shape.minutes),
        _range(shape.difficulty), tuple(map(_row, shape.holds)), shape.of_each_template,
        tuple(map(tuple, shape.apart)), shape.shared, tuple(shape.shared_from), shape.alike,
        tuple(shape.most_information_at), shape.pool, shape.seed, shape.order,
        leave_out(shape.leave_out_used) if "leave_out_used" in shape.model_fields_set else None, places,
    )  # fmt: skip


def _row(shape: RowShape) -> Row:
    return Row(
        Where(*(tuple(getattr(shape, key)) for key in Where._fields)),
        _range(shape.items), _range(shape.marks), _range(shape.minutes), _range(shape.difficulty),
    )  # fmt: skip


def _range(shape: RangeShape | MinutesShape | LogitsShape | None) -> Range | None:
    return None if shape is None else Range(shape.from_, shape.to)


def _places(root: Node, findings: Findings) -> dict[tuple[str | int, ...], Place]:
    """Where the file itself, its keys, and the keys of its lists are written."""
    from itembank.templates.reading import key_span
    from itembank.yaml_source import Mapping, Sequence

    places: dict[tuple[str | int, ...], Place] = {}

    def note(path: tuple[str | int, ...], span: Span) -> None:
        places[path] = (span, findings.source.line(span.line))

    def walk(node: Node, path: tuple[str | int, ...]) -> None:
        if isinstance(node, Mapping):
            for key, value in node.entries:
                note((*path, key.text), key_span(root, (*path, key.text)))
                walk(value, (*path, key.text))
        elif isinstance(node, Sequence):
            for number, item in enumerate(node.items):
                note((*path, number), item.span)
                walk(item, (*path, number))
        else:  # a word where several could stand
            note((*path, 0), node.span)

    note((), key_span(root, ("blueprint",)))
    walk(root, ())
    return places


def unknown_names(blueprint: Blueprint, bank: Bank) -> tuple[Diagnostic, ...]:
    """What a blueprint names and the bank does not have, each at its place, with the nearest name there is."""
    return tuple(_unknown(blueprint, bank))


def _unknown(blueprint: Blueprint, bank: Bank) -> Iterator[Diagnostic]:
    known = _known(bank)
    for number, row in enumerate(blueprint.rows):
        for key, words in row.where._asdict().items():
            for position, word in enumerate(words):
                if word not in known[key]:
                    path = ("holds", number, key, position)
                    yield _told(key, word, known[key], blueprint.place(*path), bank)
    for group, names in enumerate(blueprint.apart):
        for position, name in enumerate(names):
            if name not in known["template"]:
                yield _told(
                    "template", name, known["template"], blueprint.place("apart", group, position), bank
                )
    for position, name in enumerate(blueprint.shared_from):
        if name not in known["template"]:
            yield _told("template", name, known["template"], blueprint.place("shared_from", position), bank)


def _told(key: str, word: str, known: Iterable[str], place: Place | None, bank: Bank) -> Diagnostic:
    span, line = place if place is not None else (None, "")
    names = sorted(name for name in known if name)
    language = bank.facts.language
    if key == "template" and word in bank.left_out:
        told = f"the template `{word}` is not whole in `{language}`, and so left out"
        hint = "give its texts, and those of the slips it uses, in that language, or take the name out"
        return Diagnostic("not-in-language", told, span, excerpt=line, hint=hint)
    whose = f"the templates that are whole in `{language}`" if bank.left_out else "the bank"
    told = (
        f"the bank has no template `{word}`"
        if key == "template"
        else f"no item of {whose} has the {key} `{word}`"
    )
    some = f"there are: {', '.join(names[:20])}{', ...' if len(names) > 20 else ''}"
    near = nearest(word, names)
    hint = f"did you mean `{near}`?" if near else some if names else "there is none"
    if bank.left_out and key != "template":
        hint = f"left out, for they are not whole in `{language}`: {', '.join(bank.left_out)}"
    return Diagnostic(f"unknown-{key}", told, span, excerpt=line, hint=hint)


def _known(bank: Bank) -> dict[str, set[str]]:
    """The words of each key that some template of the bank has, with what lies above them."""
    known: dict[str, set[str]] = {key: set() for key in Where._fields}
    for entry in bank.used():
        template = entry.recipe.template
        about = template.about
        known["template"].add(template.name)
        known["strand"].update(_above(entry.strand))
        for topic in about.topics:
            known["topic"].update(_above(topic))
        known["statement"].update(about.curriculum)
        known["level"].add(about.level)
        known["demand"].add(about.demand)
        known["calculator"].add(about.calculator)
        known["kind"].update(part.response.kind for part in template.parts)
        known["band"].update(entry.recipe.bands)
    return known


def _above(path: str) -> Iterator[str]:
    """A path and every path it lies below."""
    steps = path.split("/")
    return ("/".join(steps[:length]) for length in range(1, len(steps) + 1))
