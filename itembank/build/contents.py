"""What a build's folder holds: packages, papers, the staff's files and the report, of the items chosen for it."""

from __future__ import annotations

import json
from array import array
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING

from itembank import __version__
from itembank.bank.bank import Bank, Entry
from itembank.bank.coverage import Available, coverage
from itembank.bank.draw import Selected
from itembank.bank.sections import sections_of
from itembank.bank.twins import remedy
from itembank.build.digests import DIGEST_FILE, DigestList
from itembank.build.enemies import Enemies
from itembank.build.packages import Shelf, write_packages
from itembank.build.production import MARK_BYTES, Maker, Product, Wanted, produce
from itembank.build.report import Lost, Report, TemplateTally
from itembank.difficulty import spread_of, usual_weights
from itembank.difficulty.weights import USUAL_SOURCE
from itembank.errors import Diagnostic, ExtensionFailed, InputError, guarded
from itembank.writers.dialects import DIALECTS
from itembank.writers.formulas import Notation

if TYPE_CHECKING:
    from itembank.build.papers import PaperRequest
    from itembank.items import Item

__all__ = ["PAPER_FORMATS", "Progress", "Work", "write_items"]

PAPER_FORMATS = frozenset({"latex", "html", "docx"})
MOST_PAPER_ITEMS = 2_000
"""Papers of more items than this are no papers; they are left out and the report says so."""

Progress = Callable[[Iterable[Product], int], Iterable[Product]]


@dataclass(frozen=True, slots=True)
class Work:
    """What is written of the items.

    formats: as the command names them; written_by: those of them that extensions write; papers: None for none; full:
    each item is also proved with sympy; own_secret: the bank has a secret of its own.
    """

    formats: Sequence[str]
    written_by: Sequence[str]
    papers: PaperRequest | None
    full: bool
    notation: Notation
    own_secret: bool

    def wanted(self) -> Wanted:
        """What has to be made of each item."""
        formats = self.formats
        return Wanted(_dialects(formats), "json" in formats, self.full, "cc" in formats, self.notation)


def write_items(
    folder: Path,
    maker: Maker,
    selected: list[Selected],
    work: Work,
    workers: int,
    progress: Progress,
    *,
    only_drawn: bool = False,
    used_before: int | None = None,
) -> Report:
    """Has the selected items made, proved and written below a folder, with the report, which is returned.

    selected: its drafts are taken out where they are many; see `produce`.
    only_drawn: the report tells of no template of which there is no item. used_before: how many items were
    passed over, None where none was to be. Raises InputError for twins and for what an
    extension or a writer refuses, Contradiction where two of our own proofs disagree.
    """
    bank = maker.bank
    report = _empty(maker, work)
    report.used_before = used_before
    products = progress(produce(maker, selected, workers), len(selected))
    with DigestList() as digests:
        _write_products(folder, maker, work.formats, products, report, digests)
        if work.papers is not None and PAPER_FORMATS & set(work.formats):
            _write_papers(folder, bank, work.formats, maker, selected, work.papers, report)
        for name in work.written_by:
            _write_by_extension(folder, name, bank, maker, selected, report)
        report.files.append(f"staff/{DIGEST_FILE}")
        report.files.sort()
        if only_drawn:
            report.templates = [tally for tally in report.templates if tally.items]
        _tell_coverage(report, bank, bank.used())
        (folder / "report.json").write_text(report.as_json(), "utf-8", newline="\n")
        (folder / "report.md").write_text(report.as_markdown(), "utf-8", newline="\n")
        digests.write(folder)
    return report


def _empty(maker: Maker, work: Work) -> Report:
    """A report that knows of no item yet."""
    bank, used = maker.bank, maker.bank.used()
    report = Report(
        bank.facts.name,
        bank.facts.title,
        bank.facts.author,
        bank.facts.licence,
        maker.instantiators[0].seed,
        __version__,
        proof="full" if work.full else "standard",
        own_secret=work.own_secret,
        formats=list(work.formats),
        extensions=[str(extension) for extension in bank.facts.extensions],
    )
    report.templates = [
        TemplateTally(
            e.recipe.template.name,
            e.recipe.template.version,
            e.recipe.template.about.title,
            e.strand,
            bands=dict.fromkeys(e.recipe.bands, 0),
        )
        for e in used
    ]
    if bank.left_out:
        report.shortfalls.append(
            f"templates that are not whole in `{bank.facts.language}` are left out: {', '.join(bank.left_out)}"
        )
    report.difficulty_weights = next((e.weights.told for e in used if e.weights), USUAL_SOURCE)
    outdated = [e.recipe.template.name for e in used if e.weights and _is_outdated(e)]
    if outdated:
        names = ", ".join(f"`{name}`" for name in outdated)
        report.difficulty_weights += (
            f" (items of {names} that were sat are of other versions and predicted anew)"
        )
    report.doubts = [f"{d.span}: {d.message}" for d in bank.doubts]
    return report


def _is_outdated(entry: Entry) -> bool:
    """Whether items of a template were sat, and none of its version."""
    about = entry.recipe.template
    observed = entry.weights.observed.of(about.name, about.version) if entry.weights else None
    return observed is not None and observed.outdated > 0 and not observed.items


def _write_products(
    folder: Path,
    maker: Maker,
    formats: Sequence[str],
    products: Iterable[Product],
    report: Report,
    digests: DigestList,
) -> None:
    bank = maker.bank
    quiz_notes: list[str] = []
    with ExitStack() as stack:
        products = _tallied(maker, products, report)
        if "json" in formats:
            products = _staffed(_folder(folder, "staff"), products, report, stack, bank)
        if dialects := _dialects(formats):
            shelf = Shelf(
                _folder(folder, "platform"),
                bank.facts,
                sections_of(bank.facts, bank.used()),
                digests,
                report.files,
                quiz_notes,
            )
            products = write_packages(shelf, dialects, products, stack)
        if "cc" in formats:
            from itembank.build.cartridge import in_cartridges

            products = in_cartridges(_folder(folder, "platform"), bank, products, report)
        for _ in products:
            pass
    report.shortfalls.extend(quiz_notes)


def _dialects(formats: Sequence[str]) -> tuple[str, ...]:
    return tuple(name for name in DIALECTS if name in formats)


def _tell_coverage(report: Report, bank: Bank, used: Sequence[Entry]) -> None:
    """What the items of this build cover."""
    items = {tally.template: Available(tally.items) for tally in report.templates}
    found = coverage(used, items, bank.facts.publication.statements)
    report.coverage = [
        {
            "strand": row.strand,
            "demand": row.demand,
            "kind": row.kind,
            "templates": row.templates,
            "items": row.items,
        }
        for row in found.rows
    ]
    report.uncovered = list(found.without_items)


def _folder(folder: Path, name: str) -> Path:
    below = folder / name
    below.mkdir(exist_ok=True)
    return below


def _tallied(maker: Maker, products: Iterable[Product], report: Report) -> Iterator[Product]:
    """Counts what passes, refuses an item that is another's twin, and gives every item a code of its own."""
    enemies = Enemies(MARK_BYTES)
    seen: dict[bytes, str] = {}
    missed: dict[str, Lost] = {}
    codes: set[str] = set()
    predicted: dict[tuple[int, str], array[int]] = {}
    for product in products:
        while product.code in codes:
            product = maker.again(product)
        if seen.setdefault(product.mark, product.code) != product.code:
            raise InputError(_twins(maker.bank, product))
        enemies.add(product.asked, product.entry, product.code)
        codes.add(product.code)
        tally = report.templates[product.entry]
        tally.items += 1
        tally.marks += product.marks
        if product.band:
            tally.bands[product.band] = tally.bands.get(product.band, 0) + 1
        if product.difficulty is not None:
            predicted.setdefault((product.entry, product.band), array("q")).append(product.difficulty)
        report.items += 1
        report.marks += product.marks
        report.claims_proved += product.claims
        for line in product.shortfalls:
            missed.setdefault(line, Lost(line)).add(product.code, tally.template)
        yield product
    _tell_difficulties(maker, predicted, report)
    _tell_lost(missed, report)
    report.enemies = enemies.groups()


def _tell_difficulties(
    maker: Maker, predicted: Mapping[tuple[int, str], Sequence[int]], report: Report
) -> None:
    """The spread of predicted difficulty of each template, its bands in their order."""
    for number, entry in enumerate(maker.entries):
        weights = entry.weights or usual_weights()
        for band in dict.fromkeys((*entry.recipe.bands, "")):
            if found := predicted.get((number, band)):
                report.templates[number].difficulty[band] = spread_of(found, weights)


def _tell_lost(missed: Mapping[str, Lost], report: Report) -> None:
    """One line for each kind of shortfall, and all the items it concerns."""
    report.not_carried += missed.values()
    report.shortfalls += [lost.line(report.items) for lost in missed.values()]


def _twins(bank: Bank, product: Product) -> Diagnostic:
    template = bank.used()[product.entry].recipe.template
    span = template.parts[0].stem.source.span
    return Diagnostic(
        "twins",
        "two different assignments make the same question",
        span,
        excerpt=template.excerpt(span),
        hint=remedy(template),
    )


def _staffed(
    folder: Path, products: Iterable[Product], report: Report, stack: ExitStack, bank: Bank
) -> Iterator[Product]:
    from itembank.build import staff

    items = _open(stack, folder / "items.json")
    answers = _open(stack, folder / "answer-map.csv")
    head = {
        "bank": bank.facts.name,
        "title": bank.facts.title,
        "licence": bank.facts.licence,
        "author": bank.facts.author,
        "seed": report.seed,
    }
    items.write(json.dumps(head, ensure_ascii=False)[:-1] + ', "items": [\n')
    answers.write(staff.csv_line(staff.ANSWER_COLUMNS))
    columns: list[tuple[str, int]] = []
    separator = ""
    for product in products:
        items.write(separator + product.record)
        separator = ",\n"
        for row in product.answers:
            answers.write(staff.csv_line(row))
        columns.extend(product.columns)
        yield product
    items.write("\n]}\n")
    sheet = _open(stack, folder / "mark-sheet.csv")
    sheet.write(staff.csv_line(("pupil", *(code for code, _ in columns), "total")))
    sheet.write(
        staff.csv_line(("maximum", *(marks for _, marks in columns), sum(marks for _, marks in columns)))
    )
    report.files.extend(["staff/items.json", "staff/answer-map.csv", "staff/mark-sheet.csv"])


def _open(stack: ExitStack, path: Path) -> IO[str]:
    return stack.enter_context(path.open("w", encoding="utf-8", newline=""))


def _write_by_extension(
    folder: Path, name: str, bank: Bank, maker: Maker, selected: Sequence[Selected], report: Report
) -> None:
    """The document of an extension's writer: `BANK-NAME.suffix` in the folder of those it is for."""
    from itembank.writers.extension import writer

    extension = writer(name)
    missed: dict[str, Lost] = {}

    def items() -> Iterator[Item]:
        for chosen in selected:
            item = maker.item(chosen.entry, chosen.position, chosen.band, chosen.draft)
            lines = extension.shortfalls(item)
            if isinstance(lines, str):
                raise TypeError("`shortfalls` gave str instead of a list of lines")
            for line in lines:
                said = f"{name}: {line}"
                missed.setdefault(said, Lost(said)).add(item.code, report.templates[chosen.entry].template)
            yield item

    document = guarded(name, extension.write, (str, bytes))(items(), bank.facts.publication)
    path = _folder(folder, extension.folder) / f"{bank.facts.name}-{name}{extension.suffix}"
    if path.exists():
        raise ExtensionFailed(f"the extension `{name}` failed: a document of the house is called {path.name}")
    path.write_bytes(guarded(name, str.encode)(document) if isinstance(document, str) else document)
    report.files.append(str(path.relative_to(folder)))
    _tell_lost(missed, report)


def _write_papers(
    folder: Path,
    bank: Bank,
    formats: Sequence[str],
    maker: Maker,
    selected: Sequence[Selected],
    request: PaperRequest,
    report: Report,
) -> None:
    from itembank.build.papers import write_papers

    if len(selected) > MOST_PAPER_ITEMS:
        report.shortfalls.append(
            f"papers: {len(selected)} items are too many for a paper ({MOST_PAPER_ITEMS}); none was written"
        )
        return
    items = [maker.item(s.entry, s.position, s.band, s.draft) for s in selected]
    write_papers(folder, bank.facts, formats, items, request, report)
