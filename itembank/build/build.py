"""The shell of the library: reads a bank, has its items made and proved, and leaves one whole folder of files."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING

from itembank import __version__
from itembank.bank.bank import TEMPLATE_FOLDER, Bank, Entry
from itembank.bank.cache import load_bank
from itembank.bank.coverage import Available, coverage
from itembank.bank.draw import Selected, select
from itembank.bank.lock import changed, write_lock
from itembank.bank.secret import secret_of
from itembank.bank.sections import sections_of
from itembank.bank.twins import remedy
from itembank.build.digests import CHANGES_FILE, DIGEST_FILE, Changes, DigestList, changes, item_digests
from itembank.build.enemies import Enemies
from itembank.build.packages import Shelf, write_packages
from itembank.build.production import MARK_BYTES, Maker, Product, Wanted, produce
from itembank.build.report import Lost, Report, TemplateTally
from itembank.difficulty import spread_of, usual_weights
from itembank.difficulty.weights import USUAL_SOURCE
from itembank.errors import Diagnostic, InputError, Level, Span, guarded
from itembank.generator.bound import Bound
from itembank.output_folder import whole_folder
from itembank.writers.dialects import DIALECTS
from itembank.writers.formula_pictures import must_be_able_to_draw
from itembank.writers.formulas import Notation, notation_of

if TYPE_CHECKING:
    from itembank.build.papers import PaperRequest
    from itembank.items import Item

FORMATS = ("qti3", "qti22", "qti21", "cc", "latex", "html", "docx", "json")
USUAL_FORMATS = ("qti3", "latex", "html", "json")
"""What is written where neither the command nor the bank says."""
PAPER_FORMATS = frozenset({"latex", "html", "docx"})
MOST_PAPER_ITEMS = 2_000
"""Papers of more items than this are no papers; they are left out and the report says so."""

Progress = Callable[[Iterable[Product], int], Iterable[Product]]


@dataclass(frozen=True, slots=True)
class BuildRequest:
    """What is asked for.

    count, seed, formats, versions, paper_size, maths, latex_delimiters: None for what the bank file says.

    class_list: a CSV file of pupils, for papers with their names; pdf: the papers also as PDF files;
    language: what texts are to be in, "" for the files' own.
    """

    bank: Path
    out: Path
    count: int | None = None
    seed: int | None = None
    formats: tuple[str, ...] | None = None
    full_proof: bool = False
    workers: int = 1
    versions: int | None = None
    class_list: Path | None = None
    paper_size: str | None = None
    large_print: bool = False
    pdf: bool = False
    language: str = ""
    maths: str | None = None
    latex_delimiters: str | None = None


@dataclass(frozen=True, slots=True)
class BuildResult:
    """What was made, what is doubtful, and what changed since the build before (None where there was none)."""

    report: Report
    doubts: tuple[Diagnostic, ...]
    out: Path
    changes: Changes | None = None


def build(request: BuildRequest, progress: Progress = lambda products, total: products) -> BuildResult:
    """Builds a bank into a folder: all of it, or nothing.

    Raises InputError for what is wrong with the bank, the request or the folder, NotEnoughItems where more items
    were asked for than there are, Contradiction where two of our own proofs disagree.
    """
    bank = load_bank(request.bank, str(request.bank), request.language)
    _keep_out_of_the_templates(request)
    seed = bank.facts.seed if request.seed is None else request.seed
    formats = request.formats or bank.facts.formats or USUAL_FORMATS
    written_by = _extension_formats(bank, formats)
    notation = notation_of(
        request.maths or bank.facts.maths, request.latex_delimiters or bank.facts.latex_delimiters
    )
    if notation.mode == "svg":
        must_be_able_to_draw()
    used = bank.used()
    papers = _paper_request(request, bank, formats, notation)
    stale = changed(bank, used, Level.WRONG)
    if stale:
        raise InputError(stale)
    bounds = [Bound(entry.recipe) for entry in used]
    selected = select(bank, bounds, seed, request.count, request.workers)
    with whole_folder(request.out, "the build") as folder:
        secret, own = secret_of(bank, create=True)
        wanted = Wanted(_dialects(formats), "json" in formats, request.full_proof, "cc" in formats, notation)
        maker = Maker(bank, seed, secret, wanted, bounds)
        report = Report(
            bank.facts.name,
            bank.facts.title,
            bank.facts.author,
            bank.facts.licence,
            seed,
            __version__,
            proof="full" if request.full_proof else "standard",
            own_secret=own,
            formats=list(formats),
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
                f"templates that are not whole in `{request.language}` are left out: {', '.join(bank.left_out)}"
            )
        report.difficulty_weights = next((e.weights.source for e in used if e.weights), USUAL_SOURCE)
        report.doubts = [f"{d.span}: {d.message}" for d in bank.doubts]
        products = progress(produce(maker, selected, request.workers), len(selected))
        with DigestList() as digests:
            _write_products(folder, maker, formats, products, report, digests)
            if papers is not None and PAPER_FORMATS & set(formats):
                _write_papers(folder, bank, formats, maker, selected, papers, report)
            for name in written_by:
                _write_by_extension(folder, name, bank, maker, selected, report)
            report.files.append(f"staff/{DIGEST_FILE}")
            report.files.sort()
            _tell_coverage(report, bank, used)
            (folder / "report.json").write_text(report.as_json(), "utf-8", newline="\n")
            (folder / "report.md").write_text(report.as_markdown(), "utf-8", newline="\n")
            digests.write(folder)
        found = _told_changes(request.out / "staff", folder / "staff")
    write_lock(bank, used)
    return BuildResult(report, bank.doubts, request.out, found)


def _keep_out_of_the_templates(request: BuildRequest) -> None:
    """What stands among the templates is read as a template; a build there would spoil the bank."""
    templates = (request.bank / TEMPLATE_FOLDER).resolve()
    out = request.out.resolve()
    if templates == out or templates in out.parents:
        told = f"{request.out} lies among the templates of the bank"
        raise InputError(
            Diagnostic("among-templates", told, Span(str(request.out), 1, 1), hint="write it beside the bank")
        )


def _told_changes(old: Path, new: Path) -> Changes | None:
    """What changed since the build that stands at the target, told in a file beside the list of digests.

    Where nothing changed the file of the build before stays: it tells of the last build that changed anything, so
    that building again gives the same files. It is not in the list of digests: that is the same for equal inputs.
    """
    before = item_digests(old / DIGEST_FILE)
    found = changes(before, item_digests(new / DIGEST_FILE)) if before else None
    if found:
        (new / CHANGES_FILE).write_text(found.as_markdown(), "utf-8", newline="\n")
    elif (old / CHANGES_FILE).is_file():
        (new / CHANGES_FILE).write_bytes((old / CHANGES_FILE).read_bytes())
    return found


def _paper_request(
    request: BuildRequest, bank: Bank, formats: Sequence[str], notation: Notation
) -> PaperRequest | None:
    """What is asked of the papers; whatever it needs from outside is looked for before any work is done.

    None where there are none, and none of their options.
    """
    if not PAPER_FORMATS & set(formats) and not request.pdf and request.class_list is None:
        return None
    from itembank.build.class_list import read_class_list
    from itembank.build.papers import PaperRequest

    engine = ""
    if request.pdf:
        from itembank.build.pdf import find_engine

        if "latex" not in formats:
            raise InputError(
                Diagnostic(
                    "no-latex",
                    "PDF files are made from LaTeX, which is not among the formats",
                    hint="add latex",
                )
            )
        engine = find_engine()
    count = request.versions or bank.facts.paper.versions
    pupils = read_class_list(request.class_list, count) if request.class_list is not None else ()
    return PaperRequest(
        request.versions, request.paper_size, request.large_print, pupils, engine, notation, request.workers
    )


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
    predicted: dict[tuple[int, str], list[int]] = {}
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
            predicted.setdefault((product.entry, product.band), []).append(product.difficulty)
        report.items += 1
        report.marks += product.marks
        report.claims_proved += product.claims
        for line in product.shortfalls:
            missed.setdefault(line, Lost(line)).add(product.code, tally.template)
        yield product
    _tell_difficulties(maker, predicted, report)
    _tell_lost(missed, report)
    report.enemies = enemies.groups()


def _tell_difficulties(maker: Maker, predicted: dict[tuple[int, str], list[int]], report: Report) -> None:
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


def _extension_formats(bank: Bank, formats: Sequence[str]) -> list[str]:
    """The formats that are not the house's own. Raises InputError for one that no extension of the bank writes."""
    others = [name for name in formats if name not in FORMATS]
    written = {each.name for each in bank.facts.extensions if each.kind == "writer"}
    for name in others:
        if name not in written:
            raise InputError(
                Diagnostic(
                    "unknown-format",
                    f"`{name}` is none of {', '.join(FORMATS)}, and no writer that the bank declares",
                    hint="declare the extension in the bank file: extensions: [...]",
                )
            )
    return others


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
            for line in extension.shortfalls(item):
                said = f"{name}: {line}"
                missed.setdefault(said, Lost(said)).add(item.code, report.templates[chosen.entry].template)
            yield item

    document = guarded(name, extension.write)(items(), bank.facts.publication)
    path = _folder(folder, extension.folder) / f"{bank.facts.name}-{name}{extension.suffix}"
    path.write_bytes(document.encode() if isinstance(document, str) else document)
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
