"""Packages of QTI: each item once in every dialect asked for, and one package with its manifest for each dialect."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from itembank.bank.bank import BankFacts
from itembank.items import Item
from itembank.writers.dialects import DIALECTS, QTI_3_0
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
    files: list[str],
) -> Iterator[Product]:  # fmt: skip
    """Writes what passes into one package for each dialect. files: where their names are noted, as `folder/name`."""
    from itembank.writers import qti3

    open_packages = []
    for name in dialects:
        title = file_name(f"{facts.name}-{name}", ".zip")
        package = stack.enter_context(PackageWriter(stack.enter_context((folder / title).open("wb"))))
        manifest = stack.enter_context(package.first(MANIFEST))
        head = qti3.manifest_head(
            facts.name, facts.title, facts.language, facts.licence, facts.author, dialect=DIALECTS[name]
        )
        manifest.write(head.encode())
        open_packages.append((package, manifest))
        files.append(f"{folder.name}/{title}")
    for product in products:
        for (package, manifest), packed in zip(open_packages, product.packed, strict=True):
            package.add(packed.member)
            manifest.write(packed.resource.encode())
        yield product
    for _, manifest in open_packages:
        manifest.write(qti3.manifest_tail().encode())
