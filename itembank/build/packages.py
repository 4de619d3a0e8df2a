"""Packages of QTI: each item once in every dialect asked for, and one package with its manifest for each dialect."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from itembank.bank.bank import BankFacts
from itembank.build.digests import DigestList
from itembank.items import Item
from itembank.writers import qti_manifest
from itembank.writers.dialects import DIALECTS, QTI_3_0, Dialect
from itembank.writers.package import Member, PackagePath, PackageWriter, compress, file_name

if TYPE_CHECKING:
    from itembank.build.production import Product

__all__ = ["Packed", "pack", "write_packages"]

MANIFEST: Final = PackagePath("imsmanifest.xml")


class Packed(NamedTuple):
    """An item in one dialect. resource: its entry in the manifest."""

    member: Member
    resource: str


def pack(item: Item, dialects: tuple[str, ...]) -> tuple[tuple[Packed, ...], tuple[str, ...]]:
    """An item in each dialect, and what is lost of it; a sentence that holds for some of them names these."""
    from itembank.writers import qti3
    from itembank.writers.qti2 import translate

    document = qti3.item_xml(item)
    path = PackagePath(qti3.item_name(item))
    packed = []
    lost: dict[str, list[str]] = {}
    for name in dialects:
        dialect, written = DIALECTS[name], document
        if dialect is not QTI_3_0:
            written, missed = translate(document, dialect)
            for line in missed:
                lost.setdefault(line, []).append(dialect.title)
        resource = qti3.manifest_resource(item, dialect=dialect)
        packed.append(Packed(compress(path, written.encode()), resource))
    shortfalls = qti3.shortfalls(item)
    return tuple(packed), (*shortfalls, *(f"{', '.join(who)}: {line}" for line, who in lost.items()))


def write_packages(
    folder: Path, facts: BankFacts, dialects: tuple[str, ...], products: Iterable[Product], stack: ExitStack,
    digests: DigestList, files: list[str],
) -> Iterator[Product]:  # fmt: skip
    """Writes what passes into one package for each dialect. files: where their names are noted, as `folder/name`."""
    packages = [_Package(folder, facts, DIALECTS[name], stack, digests) for name in dialects]
    for product in products:
        for package, packed in zip(packages, product.packed, strict=True):
            package.add(packed)
        yield product
    for package in packages:
        package.finish()
        files.append(package.name)


class _Package:
    """One package while it is written; its manifest is collected beside the items and stands before them."""

    def __init__(
        self, folder: Path, facts: BankFacts, dialect: Dialect, stack: ExitStack, digests: DigestList
    ) -> None:
        title = file_name(f"{facts.name}-{dialect.name}", ".zip")
        self.name = f"{folder.name}/{title}"
        self._digests = digests
        self._stack = stack.enter_context(ExitStack())
        file = self._stack.enter_context((folder / title).open("wb"))
        self._package = self._stack.enter_context(PackageWriter(file))
        self._manifest = self._stack.enter_context(self._package.first(MANIFEST))
        head = qti_manifest.manifest_head(
            facts.name, facts.title, facts.language, facts.licence, facts.author, dialect=dialect
        )
        self._manifest.write(head.encode())

    def add(self, packed: Packed) -> None:
        """An item and its entry in the manifest."""
        self._package.add(packed.member)
        self._manifest.write(packed.resource.encode())
        self._digests.note(self.name, packed.member.path.text, packed.member.digest)

    def finish(self) -> None:
        """The end of the manifest, and of the package."""
        self._manifest.write(qti_manifest.manifest_tail().encode())
        self._stack.close()
        self._digests.note(self.name, MANIFEST.text, self._manifest.digest)
