"""Cartridges: questions gathered into assessments and question banks, one file for each thousand questions.

An assessment takes questions as they come; a question bank takes those of one template, so that a platform can draw
from like ones. What fits into one cartridge is held in memory, which bounds it whatever the size of the build.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from itembank.bank.bank import Bank
from itembank.build.production import Product
from itembank.build.report import Report
from itembank.words import words
from itembank.writers import common_cartridge as cc
from itembank.writers.common_cartridge.documents import ITEMS_PER_ASSESSMENT, ITEMS_PER_CARTRIDGE, shared_out
from itembank.writers.common_cartridge.pictures import addresses
from itembank.writers.package import Member, PackagePath, PackageWriter, compress, file_name

__all__ = ["in_cartridges"]

_ITEMS_PER_BANK = 200
_LONGEST_NAME = 100
"""Of the file of a question bank without its suffix; a segment of a package's path has at most 120 octets."""


def in_cartridges(folder: Path, bank: Bank, products: Iterable[Product], report: Report) -> Iterator[Product]:
    """Hands the products on and leaves their questions as cartridges in the folder."""
    shelf = _Shelf(folder, bank, report)
    for product in products:
        shelf.take(product)
        yield product
    shelf.finish()


class _Shelf:
    def __init__(self, folder: Path, bank: Bank, report: Report) -> None:
        self._folder, self._bank, self._report = folder, bank, report
        self._stem = file_name(bank.facts.name, "")
        self._questions: list[tuple[int, str]] = []
        self._files: dict[PackagePath, Member] = {}
        self._cartridges = 0
        self._assessments = 0
        self._banks: dict[int, int] = {}

    def take(self, product: Product) -> None:
        """Put an item's questions on the shelf; a full one becomes a file."""
        if self._questions and len(self._questions) + len(product.questions) > ITEMS_PER_CARTRIDGE:
            self._write()
        self._questions += [(product.entry, question) for question in product.questions]
        self._files.update((member.path, member) for member in product.files)

    def finish(self) -> None:
        """The rest becomes the last file."""
        if self._questions:
            self._write()
        elif not self._cartridges:
            self._report.shortfalls.append(
                "cartridge: none of the items could be carried, so none was written"
            )

    def _write(self) -> None:
        self._cartridges += 1
        suffix = f"-{self._cartridges}" if self._cartridges > 1 else ""
        name = f"{self._stem}-cc{suffix}.imscc"
        filled = [*self._as_assessments(), *self._as_banks()]
        manifest = cc.manifest(self._about(suffix), [collection for collection, _ in filled])
        with (self._folder / name).open("wb") as file, PackageWriter(file) as package:
            package.add(compress(PackagePath("imsmanifest.xml"), manifest.encode()))
            for member in (*(each for _, each in filled), *self._files.values()):
                package.add(member)
        self._report.files.append(f"platform/{name}")
        self._questions, self._files = [], {}

    def _as_assessments(self) -> Iterator[tuple[cc.Collection, Member]]:
        facts = self._bank.facts
        for questions in shared_out([text for _, text in self._questions], ITEMS_PER_ASSESSMENT):
            self._assessments += 1
            number = self._assessments
            collection = cc.Collection(
                f"assessment-{self._stem}-{number}",
                words(facts.language)("assessment-number", title=facts.title, number=number),
                is_bank=False,
            )
            yield _using(collection, questions, cc.assessment(collection, questions, facts.language))

    def _as_banks(self) -> Iterator[tuple[cc.Collection, Member]]:
        used = self._bank.used()
        by_entry: dict[int, list[str]] = {}
        for entry, text in self._questions:
            by_entry.setdefault(entry, []).append(text)
        for entry, texts in sorted(by_entry.items()):
            template = used[entry].recipe.template
            for questions in shared_out(texts, _ITEMS_PER_BANK):
                self._banks[entry] = number = self._banks.get(entry, 0) + 1
                named = file_name(template.name, "") + (f"-{number}" if number > 1 else "")
                named = _shortened(f"bank-{self._stem}-{named}")
                collection = cc.Collection(named, template.about.title, is_bank=True)
                yield _using(collection, questions, cc.question_bank(collection, questions))

    def _about(self, suffix: str) -> cc.About:
        facts = self._bank.facts
        entries = sorted({entry for entry, _ in self._questions})
        topics = [
            topic for entry in entries for topic in self._bank.used()[entry].recipe.template.about.topics
        ]
        told = words(facts.language)
        questions = told.counted("questions", len(self._questions))
        described = told("questions-of-bank", questions=questions, name=facts.name, seed=self._report.seed)
        return cc.About(
            f"cartridge-{self._stem}{suffix}", facts.title, facts.language, described, facts.licence, facts.author,
            tuple(dict.fromkeys(topics)),
        )  # fmt: skip


def _shortened(name: str) -> str:
    """A name made of two, of which each may be as long as a file's name may be."""
    return name if len(name) <= _LONGEST_NAME else file_name(name, "")


def _using(
    collection: cc.Collection, questions: Sequence[str], document: str
) -> tuple[cc.Collection, Member]:
    """A collection that says which files it uses, and its document."""
    uses = dict.fromkeys(name for question in questions for name in addresses(question))
    member = compress(PackagePath(collection.name), document.encode())
    return replace(collection, uses=tuple(uses)), member
