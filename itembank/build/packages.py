"""Packages of QTI: each item once in every dialect asked for, and one package with its manifest for each dialect."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from itembank.bank.bank import BankFacts
from itembank.build.digests import DigestList
from itembank.items import Item
from itembank.publication import Publication, Quiz, Section
from itembank.words import Words
from itembank.writers import qti_manifest, qti_test
from itembank.writers.dialects import DIALECTS, QTI_3_0, Dialect
from itembank.writers.formula_pictures import FormulaPicture
from itembank.writers.formulas import FOLDER, MATHML, STYLE_NAME, Notation, in_package, style_sheet
from itembank.writers.package import Member, PackagePath, PackageWriter, compress, file_name
from itembank.writers.pictures import STYLE_FILE, STYLE_SHEET, file_of, has_pictures, pictures

if TYPE_CHECKING:
    from itembank.build.production import Product
    from itembank.figures import Figure

__all__ = ["Packed", "Shelf", "pack", "picture_members", "write_packages"]

_FORMULAS: Final = f"items/{FOLDER}"
MANIFEST: Final = PackagePath("imsmanifest.xml")
_RECORDS: Final = 30 + 46
"""Bytes of a member's two records in a package, its names apart."""
_SPARE: Final = 200_000
"""Kept free for the quiz, the end of the directory, and what the manifest holds back."""


class Packed(NamedTuple):
    """An item in one dialect. resource: its entry in the manifest; pictures: the files beside it; shared: files it
    needs that others may need too.
    """

    member: Member
    resource: str
    pictures: tuple[Member, ...] = ()
    shared: tuple[Member, ...] = ()


def pack(
    items: Sequence[Item], dialects: tuple[str, ...], publication: Publication, notation: Notation = MATHML
) -> list[tuple[tuple[Packed, ...], tuple[str, ...]]]:
    """Each item in each dialect, and what is lost of it; a sentence that holds for some of them names these.

    All are written before any is pressed: the two works push each other out of the processor's memory.
    """
    written = [_written(item, dialects, publication, notation) for item in items]
    return [(tuple([each.pressed() for each in drafts]), lost) for drafts, lost in written]


class _Draft(NamedTuple):
    """An item in one dialect, not pressed yet: `Packed` as it will be, but for its document."""

    path: PackagePath
    document: str
    resource: str
    pictures: tuple[Member, ...] = ()
    shared: tuple[Member, ...] = ()

    def pressed(self) -> Packed:
        return Packed(compress(self.path, self.document.encode()), *self[2:])


def _written(
    item: Item, dialects: tuple[str, ...], publication: Publication, notation: Notation
) -> tuple[list[_Draft], tuple[str, ...]]:
    from itembank.writers import qti3

    document = qti3.item_xml(item)
    path = PackagePath(qti3.item_name(item))
    shown = picture_members(item) if has_pictures(item) else ()
    drafts = []
    lost: dict[str, list[str]] = {}
    for name in dialects:
        dialect, written = DIALECTS[name], document
        if dialect is not QTI_3_0:
            from itembank.writers.qti2.translate import translate

            written, missed = translate(document, dialect)
            for line in missed:
                lost.setdefault(line, []).append(dialect.title)
        resource = qti3.manifest_resource(item, dialect=dialect, publication=publication)
        written, drawn = in_package(written, notation)
        shared = (*map(_pressed_formula, drawn), _style_member()) if drawn else ()
        if shown:
            shared = (*shared, _picture_style())
        if shared:
            resource = qti_manifest.depending(resource, [str(member.path) for member in shared])
        drafts.append(_Draft(path, written, resource, shown, shared))
    shortfalls = qti3.shortfalls(item)
    if lost:
        shortfalls = (*shortfalls, *(f"{', '.join(who)}: {line}" for line, who in lost.items()))
    return drafts, shortfalls


def picture_members(item: Item) -> tuple[Member, ...]:
    """The files of an item's pictures; those of equal pictures are pressed once."""
    from itembank.writers import qti3

    named = zip(qti3.picture_names(item), pictures(item), strict=True)
    return tuple(
        _pressed(picture.figure, picture.said)._replace(path=PackagePath(name)) for name, picture in named
    )


@lru_cache(maxsize=2048)
def _pressed(figure: Figure, said: Words) -> Member:
    return compress(PackagePath("figure.svg"), file_of(figure, said))


@lru_cache(maxsize=4096)
def _pressed_formula(picture: FormulaPicture) -> Member:
    return compress(PackagePath(f"{_FORMULAS}/{picture.name}"), picture.svg.encode())


@cache
def _style_member() -> Member:
    return compress(PackagePath(f"{_FORMULAS}/{STYLE_NAME}"), style_sheet().encode())


@cache
def _picture_style() -> Member:
    return compress(PackagePath(f"items/{STYLE_FILE}"), STYLE_SHEET.encode())


class Shelf(NamedTuple):
    """Where packages go. folder: of the packages; sections: of each template by its place in the bank (name for
    settings, title); files, shortfalls: notes for the report.
    """

    folder: Path
    facts: BankFacts
    sections: Sequence[tuple[str, str]]
    digests: DigestList
    files: list[str]
    shortfalls: list[str]


def write_packages(
    shelf: Shelf, dialects: tuple[str, ...], products: Iterable[Product], stack: ExitStack
) -> Iterator[Product]:
    """Writes what passes into a package for each dialect, or into several where one would become too large."""
    series = [_Series(shelf, DIALECTS[name], stack) for name in dialects]
    for product in products:
        for each, packed in zip(series, product.packed, strict=True):
            each.add(packed, product)
        yield product
    for each in series:
        each.finish()


class _Series:
    """The packages of one dialect, mostly one."""

    def __init__(self, shelf: Shelf, dialect: Dialect, stack: ExitStack) -> None:
        self._shelf, self._dialect, self._stack = shelf, dialect, stack
        self._package = _Package(shelf, dialect, 1, stack)
        self._number = 1

    def add(self, packed: Packed, product: Product) -> None:
        """An item; the one a package has no room for begins the next."""
        if not self._package.has_room(packed):
            self._package.finish(is_one_of_several=True)
            self._number += 1
            self._package = _Package(self._shelf, self._dialect, self._number, self._stack)
        self._package.add(packed, product)

    def finish(self) -> None:
        """The end of the last package."""
        several = self._number > 1
        self._package.finish(is_one_of_several=several)
        if several:
            self._shelf.shortfalls.append(
                f"{self._dialect.title}: the bank went into {self._number} packages, each with a quiz of its own items"
                if has_quiz(self._shelf.facts.quiz)
                else f"{self._dialect.title}: the bank went into {self._number} packages"
            )


def has_quiz(quiz: Quiz) -> bool:
    """Whether a quiz is written."""
    return quiz.sections != "none"


class _Package:
    """One package while it is written; its manifest is collected beside the items and stands before them."""

    def __init__(self, shelf: Shelf, dialect: Dialect, number: int, stack: ExitStack) -> None:
        self._shelf, self._dialect, self._number = shelf, dialect, number
        self._shared: set[PackagePath] = set()
        self._stack = stack.enter_context(ExitStack())
        self._path = shelf.folder / self._title(number > 1)
        file = self._stack.enter_context(self._path.open("wb"))
        self._package = self._stack.enter_context(PackageWriter(file))
        self._manifest = self._stack.enter_context(self._package.first(MANIFEST))
        self._entries, self._bytes = 2, 0
        self._items: dict[str, list[tuple[str, int]]] = {}
        head = qti_manifest.manifest_head(
            shelf.facts.publication, dialect=dialect, quiz=has_quiz(shelf.facts.quiz),
            part=number if number > 1 else 0,
        )  # fmt: skip
        self._manifest.write(head.encode())

    def _title(self, is_one_of_several: bool) -> str:
        part = f"-{self._number}" if is_one_of_several else ""
        return file_name(f"{self._shelf.facts.name}-{self._dialect.name}{part}", ".zip")

    @property
    def _name(self) -> str:
        return f"{self._shelf.folder.name}/{self._path.name}"

    def has_room(self, packed: Packed) -> bool:
        """Whether an item fits in without passing a limit."""
        limits = self._shelf.facts.limits
        new = (packed.member, *packed.pictures, *self._not_yet_in(packed.shared))
        size = self._bytes + self._manifest.held + sum(map(_size, new))
        return self._entries + len(new) <= limits.entries and size + _SPARE <= limits.megabytes * 1_000_000

    def add(self, packed: Packed, product: Product) -> None:
        """An item with its pictures, and its entry in the manifest; what it shares with others, once."""
        for member in (packed.member, *packed.pictures):
            self._member(member)
        self._manifest.write(packed.resource.encode())
        for member in self._not_yet_in(packed.shared):
            self._shared.add(member.path)
            self._member(member)
            self._manifest.write(qti_manifest.shared_resource(member.path.text).encode())
        name, _ = self._shelf.sections[product.entry]
        self._items.setdefault(name, []).append((product.code, product.marks))

    def _not_yet_in(self, shared: tuple[Member, ...]) -> list[Member]:
        return [member for member in shared if member.path not in self._shared]

    def _member(self, member: Member) -> None:
        self._package.add(member)
        self._shelf.digests.note(self._name, member.path.text, member.digest)
        self._entries += 1
        self._bytes += _size(member)

    def finish(self, *, is_one_of_several: bool) -> None:
        """The quiz, the end of the manifest, and of the package."""
        quiz = self._quiz(self._number if is_one_of_several else 0) if self._items else None
        self._manifest.write(qti_manifest.manifest_tail().encode())
        self._stack.close()
        self._shelf.digests.note(self._name, MANIFEST.text, self._manifest.digest)
        if quiz is not None:
            self._shelf.digests.note(self._name, quiz.path.text, quiz.digest)
        if is_one_of_several and self._number == 1:
            before, self._path = self._name, self._path.rename(self._path.with_name(self._title(True)))
            self._shelf.digests.rename(before, self._name)
        self._shelf.files.append(self._name)

    def _quiz(self, part: int) -> Member | None:
        facts, dialect = self._shelf.facts, self._dialect
        if not has_quiz(facts.quiz):
            return None
        titles = dict(self._shelf.sections)
        sections = [Section(name, titles[name], tuple(items)) for name, items in self._items.items()]
        for section in sections:
            wanted = facts.quiz.selected(section.name)
            if wanted > len(section.items):
                self._shelf.shortfalls.append(
                    f"{dialect.title}: the quiz takes all {len(section.items)} items of {section.name}, "
                    f"for there are not {wanted}"
                )
        document = qti_test.quiz_xml(facts.publication, facts.quiz, sections, part)
        if dialect is not QTI_3_0:
            from itembank.writers.qti2.translate import translate

            document = translate(document, dialect).document
        member = compress(PackagePath(qti_test.QUIZ_FILE), document.encode())
        self._package.add(member)
        codes = [code for section in sections for code, _ in section.items]
        resource = qti_manifest.quiz_resource(facts.publication, codes, dialect=dialect, part=part)
        self._manifest.write(resource.encode())
        return member


def _size(member: Member) -> int:
    """What a file takes up in a package, its entry in the directory included."""
    return len(member.data) + 2 * len(member.path.text) + _RECORDS
