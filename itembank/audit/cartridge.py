"""Cartridges: the audit's way from a cartridge, or a document of its questions, to what is wrong with it.

The same item stands in an assessment and in a question bank; it is proved once, and the two must be the same.
"""

from __future__ import annotations

import hashlib
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Final, NamedTuple

from lxml import etree

from itembank.audit.cartridge_entry import check_typed
from itembank.audit.cartridge_grammar import QUESTIONS_GRAMMAR, grammar_faults
from itembank.audit.cartridge_inequalities import check_inequalities
from itembank.audit.cartridge_manifest import CARTRIDGE, read_cartridge_manifest
from itembank.audit.cartridge_marking import check_options, check_sets, keyed_options
from itembank.audit.cartridge_profile import BLANK, CHOICE, CHOICES, ESSAY, document_faults, item_faults
from itembank.audit.cartridge_reader import (
    ASI,
    Question,
    facts_of,
    images_of,
    read_question,
    with_right,
)
from itembank.audit.cartridge_tasks import check_essay, check_row, check_typed_order
from itembank.audit.cartridge_words import check_told
from itembank.audit.choice_check import check_choice
from itembank.audit.choices_check import CHOICES_KINDS, check_choices
from itembank.audit.facts import Facts
from itembank.audit.figure_check import check_figures
from itembank.audit.findings import STUCK, Fault, Finding, why_stuck
from itembank.audit.fragments import Fragments
from itembank.audit.match_check import MATCH_KINDS
from itembank.audit.mathematics import Mathematics
from itembank.audit.member_names import MANIFEST
from itembank.audit.notations import Pictures
from itembank.audit.order_check import ORDER_KINDS
from itembank.audit.package import Package
from itembank.audit.part_view import PartView, part_views
from itembank.audit.pictures import check_pictures
from itembank.audit.solution_check import check_key, check_lines
from itembank.audit.stem_check import check_stem
from itembank.audit.structure import check_title
from itembank.audit.wrong_line_check import check_wrong_line
from itembank.audit.xml_reading import parse

__all__ = ["audit_cartridge", "is_cartridge"]

_SNIFFED: Final = 2048
_ITEM: Final = f"{{{ASI}}}item"
_OF_OPTIONS: Final = {"choice": check_choice, "words": check_choice, "wrong-line": check_wrong_line}
_OF_A_FORMULA: Final = b'class="formula"'


def is_cartridge(package: Package) -> bool:
    """Whether a package is for this room: its manifest, or the one file, begins in the language of cartridges."""
    name = MANIFEST if package.has_manifest else next(iter(package.names), "")
    if name not in package.names:
        return False
    try:
        with package.open(name) as file:
            begin = file.read(_SNIFFED)
    except (Fault, zipfile.BadZipFile, zlib.error, OSError, ValueError, EOFError):
        return False
    return (CARTRIDGE if package.has_manifest else ASI).encode() in begin


@dataclass(slots=True)
class _Gathered:
    """What the documents so far held. first: of each item, where it stood first, and the digest of its text there;
    twice: items that stand in another document too; pictured: items that show formulas as pictures."""

    first: dict[str, tuple[str, bytes]] = field(default_factory=dict)
    twice: set[str] = field(default_factory=set)
    pictured: set[str] = field(default_factory=set)


class _Files(NamedTuple):
    """What a document may show. pictures: reads those of formulas; used: the files on which it depends.

    pictures is None for a document alone, whose files cannot be read.
    """

    package: Package
    members: frozenset[str]
    pictures: Pictures | None
    used: frozenset[str]
    fragments: Fragments | None = None


def audit_cartridge(
    package: Package, thorough: bool, *, quick: bool = True
) -> tuple[int, int, list[Finding]]:
    """How many items there are, how many show formulas as pictures, and what is wrong with items and cartridge.

    quick: formulas that differ in numbers only are read once; the findings are the same without.
    """
    fragments = Fragments() if quick and not thorough else None
    pictures, uses = None, dict[str, frozenset[str]]()
    findings = [_finding(fault, "", fault.member) for fault in package.faults]
    if package.has_manifest:
        inventory = read_cartridge_manifest(package)
        findings += [_finding(fault, "", fault.member) for fault in inventory.faults]
        documents, uses = dict(inventory.documents), inventory.uses
        pictures = Pictures(package.read, frozenset(package.names))
    else:
        documents = {name: b"<objectbank" in package.read(name)[:_SNIFFED] for name in package.names}
    gathered = _Gathered()
    members = frozenset(package.names)
    for member, is_bank in documents.items():
        files = _Files(package, members, pictures, uses.get(member, frozenset()), fragments)
        findings += _document(files, member, is_bank, gathered, thorough)
    if len(set(documents.values())) > 1:
        message = "the item stands in an assessment or in a question bank, and not in both"
        findings += [
            Finding(code, member, "copies-differ", message)
            for code, (member, _) in gathered.first.items()
            if code not in gathered.twice
        ]
    return len(gathered.first), len(gathered.pictured), findings


def _document(
    files: _Files,
    member: str,
    is_bank: bool,
    gathered: _Gathered,
    thorough: bool,
) -> Iterator[Finding]:
    try:
        root = parse(files.package.read(member))
        yield from (_finding(fault, "", member) for fault in grammar_faults(root, QUESTIONS_GRAMMAR))
        yield from (_finding(fault, "", member) for fault in document_faults(root, is_bank))
    except Fault as wrong:
        yield _finding(wrong, "", member)
        return
    for item in root.iter(_ITEM):
        code = item.get("ident", "")
        written: bytes = etree.tostring(item, method="c14n", with_tail=False)
        if _OF_A_FORMULA in written:
            gathered.pictured.add(code)
        digest = hashlib.blake2b(written).digest()
        before = gathered.first.setdefault(code, (member, digest))
        if before[0] != member:
            gathered.twice.add(code)
            if before[1] != digest:
                message = f"the item is another than the one of this name in {before[0]}"
                yield Finding(code, member, "copies-differ", message)
            continue
        faults = list(_item(item, files, thorough))
        if faults and files.fragments is not None:
            faults = list(_item(item, files._replace(fragments=None), thorough))
        yield from dict.fromkeys(_finding(fault, code, member) for fault in faults)


def _item(item: etree._Element, files: _Files, thorough: bool) -> Iterator[Fault]:
    """Everything wrong with one item."""
    try:
        question = read_question(item)
        yield from item_faults(item, question)
        yield from check_title(item.get("title", ""), item.get("ident", ""))
        if files.pictures is not None:
            yield from _missing(question, files)
        facts, faults = facts_of(question, files.pictures, files.fragments)
        yield from faults
        if files.pictures is not None:
            yield from check_pictures(question.tree, "", files.members, files.package.read)
        if not facts.whole:
            return
        keyed = keyed_options(question)
        if keyed:
            right = tuple(name for name in question.options if name in keyed[0])
            facts = with_right(facts, {choice.response: right for choice in facts.choices})
        views = part_views(facts, Mathematics(thorough=thorough))
    except Fault as wrong:
        yield wrong
        return
    except STUCK as stuck:
        yield Fault("cannot-tell", f"the item cannot be decided: {why_stuck(stuck)}")
        return
    if files.pictures is not None:
        yield from check_figures(facts, PurePosixPath(""), files.members, files.package.read)
    for view in views:
        for check in (check_key, check_stem, check_lines):
            yield from _guarded(check, view)
    asked = [view for view in views if view.part.label == question.label]
    if len(asked) != 1:
        yield Fault("unclear-problem", "the worked solution does not tell of the part that is asked for")
        return
    yield from _guarded(lambda view: _marked(question, view, facts), asked[0])


def _missing(question: Question, files: _Files) -> Iterator[Fault]:
    """Pictures that are not there, or that the manifest does not say the document needs."""
    for name in images_of(question):
        if name not in files.members:
            yield Fault("missing-file", f"the question shows {name!r}, which is not in the cartridge")
        elif name not in files.used:
            yield Fault(
                "missing-resource", f"the document does not depend on {name!r}, which a question shows"
            )


def _marked(question: Question, view: PartView, facts: Facts) -> Iterator[Fault]:
    kind = view.part.kind
    if question.profile == CHOICE and kind in _OF_OPTIONS:
        yield from check_options(question)
        if keyed := keyed_options(question):
            yield from _OF_OPTIONS[kind](view, facts)
            yield from _told_in_words(view, keyed[0])
    elif question.profile == CHOICES and kind in CHOICES_KINDS:
        yield from check_sets(question)
        if keyed := keyed_options(question):
            yield from check_choices(view, facts)
            yield from _told_in_words(view, keyed[0])
    elif question.profile == BLANK and kind == "entry" and question.of_inequalities:
        yield from check_inequalities(question, view)
    elif question.profile == BLANK and kind == "entry":
        yield from check_typed(question, view, facts)
    elif question.profile == CHOICE and kind in MATCH_KINDS and question.row:
        yield from check_row(question, view, facts)
    elif question.profile == BLANK and kind in ORDER_KINDS and question.things:
        yield from check_typed_order(question, view, facts)
    elif question.profile == ESSAY and kind == "written":
        yield from check_essay(question, view)
    else:
        yield Fault("unclear-problem", f"a response {kind!r} cannot be a {question.profile!r}")


def _told_in_words(view: PartView, keyed: frozenset[str]) -> Iterator[Fault]:
    return check_told(view, () if view.choice is None else view.choice.choices, keyed)


def _guarded(check: Callable[[PartView], Iterator[Fault]], view: PartView) -> Iterator[Fault]:
    try:
        yield from check(view)
    except Fault as wrong:
        yield wrong
    except STUCK as stuck:
        yield Fault("cannot-tell", f"the part cannot be decided: {why_stuck(stuck)}", place=view.place)


def _finding(fault: Fault, item: str, member: str) -> Finding:
    return Finding(item, fault.member or member, fault.code, fault.message, fault.place)
