"""A sampler: one item of each kind of a bank in every dialect, to try on a platform before the bank is imported.

Its items come from a seed of their own, so that none of the bank's items is spent on it, and bear codes of their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from itembank import __version__
from itembank.bank.bank import Bank
from itembank.bank.cache import load_bank
from itembank.bank.draw import select
from itembank.bank.secret import secret_of
from itembank.bank.sections import sections_of
from itembank.build.cartridge import in_cartridges
from itembank.build.digests import DigestList
from itembank.build.packages import Shelf, write_packages
from itembank.build.production import Maker, Product, Wanted
from itembank.build.report import Report
from itembank.generator.bound import Bound
from itembank.items import EntryResponse, Item, MatchResponse, OrderResponse, Part, WrittenResponse
from itembank.output_folder import whole_folder
from itembank.words import OWN, words
from itembank.writers.dialects import DIALECTS
from itembank.writers.formula_pictures import must_be_able_to_draw
from itembank.writers.formulas import MATHML, Notation
from itembank.writers.pages.sampler import SampledItem, kind_told, sampler_page
from itembank.writers.paper import PaperFacts

__all__ = ["PAGE", "Sampler", "write_sampler"]

PAGE = "what-should-be-seen.html"
_ANOTHER_SEED = 1 << 62
"""Added to a bank's seed; a bank's own are seldom so large."""


@dataclass(frozen=True, slots=True)
class Sampler:
    """What was written. kinds: code of each item -> its kinds in plain words; files: as in the folder."""

    kinds: Mapping[str, tuple[str, ...]]
    files: tuple[str, ...]
    lost: tuple[str, ...]
    out: Path


def write_sampler(
    path: Path,
    out: Path,
    formats: tuple[str, ...],
    modes: tuple[str, ...] = (MATHML.mode,),
    language: str = "",
) -> Sampler:
    """One item of each kind in a bank, as packages in these formats (dialects of QTI, `cc`), and the page.

    modes: how formulas are written, a package for each; see `writers/formulas.py`. language: of texts, "" for the
    files' own. Each item is proved as in a build.
    Raises InputError for what is wrong with the bank, the formats, the modes or the folder, Contradiction as a build
    does.
    """
    if "svg" in modes:
        must_be_able_to_draw()
    bank = load_bank(path, str(path), language)
    seed = (bank.facts.seed + _ANOTHER_SEED) % (1 << 63)
    bounds = [Bound(entry.recipe) for entry in bank.used()]
    with whole_folder(out, "the sampler") as folder:
        secret, _ = secret_of(bank, create=True)
        (folder / "platform").mkdir()
        (folder / "staff").mkdir()
        report = Report(
            bank.facts.name, bank.facts.title, bank.facts.author, bank.facts.licence, seed, __version__
        )
        dialects = tuple(name for name in DIALECTS if name in formats)
        for mode in modes:
            wanted = Wanted(dialects, False, cartridge="cc" in formats, notation=Notation(mode))
            maker = Maker(bank, seed, secret, wanted, bounds)
            sampled = list(_one_of_each(maker, bank, bounds, seed))
            name = f"{bank.facts.name}-sampler" + ("" if mode == MATHML.mode else f"-{mode}")
            _write_packages(
                folder / "platform", bank, name, [product for _, product in sampled], formats, report
            )
        cartridges = tuple(name for name in report.files if name.endswith(".imscc"))
        told = [_told(item, product, cartridges) for item, product in sampled]
        page = sampler_page(told, tuple(sorted(report.files)), _facts(bank))
        (folder / "staff" / PAGE).write_text(page, "utf-8", newline="\n")
    lost = tuple(
        dict.fromkeys(f"{item.code}: {line}" for item, product in sampled for line in product.shortfalls)
    )
    return Sampler(
        {item.code: _kinds(item) for item, _ in sampled},
        tuple(sorted([*report.files, f"staff/{PAGE}"])), lost, out,
    )  # fmt: skip


def _write_packages(
    folder: Path, bank: Bank, name: str, made: list[Product], formats: tuple[str, ...], report: Report
) -> None:
    """The same items in every format, under a name."""
    named = replace(bank, facts=replace(bank.facts, name=name))
    dialects = tuple(each for each in DIALECTS if each in formats)
    with ExitStack() as stack, DigestList() as digests:
        products: Iterator[Product] = iter(made)
        if dialects:
            sections = sections_of(named.facts, named.used())
            shelf = Shelf(folder, named.facts, sections, digests, report.files, report.shortfalls)
            products = write_packages(shelf, dialects, products, stack)
        if "cc" in formats:
            products = in_cartridges(folder, named, products, report)
        for _ in products:
            pass


def _one_of_each(maker: Maker, bank: Bank, bounds: list[Bound], seed: int) -> Iterator[tuple[Item, Product]]:
    """The first item of each kind, in the order of templates."""
    seen: set[tuple[str, ...]] = set()
    for chosen in select(bank, bounds, seed, len(bounds)):
        item = maker.item(chosen.entry, chosen.position, chosen.band, chosen.draft)
        kinds = _kinds(item)
        if kinds not in seen:
            seen.add(kinds)
            yield item, maker.product(chosen.entry, chosen.position, chosen.band, chosen.draft)


def _kinds(item: Item) -> tuple[str, ...]:
    return tuple(kind_told(part, words(OWN)) for part in item.parts)


def _told(item: Item, product: Product, cartridges: tuple[str, ...]) -> SampledItem:
    """What the page says of an item besides itself: what is typed in a cartridge, and where it is missing."""
    carried = {part.label: _carried(part, item.about.language) for part in item.parts if product.questions}
    left_out = [line for line in product.shortfalls if "left out of the cartridge" in line]
    missing = {} if product.questions else {name: _reason(left_out) for name in cartridges}
    lost = tuple(line for line in product.shortfalls if line not in left_out)
    return SampledItem(item, carried, missing, lost)


def _carried(part: Part, language: str) -> tuple[str, str]:
    """What a part is in a cartridge where that is not what it is elsewhere, and what is typed for the right answer."""
    from itembank.writers.common_cartridge.typed import NotListed, typed

    said = words(language)

    match part.response:
        case EntryResponse() as entered:
            try:
                spelt = typed(entered, language).causes[0].spellings[0]
            except NotListed:
                return "", ""
            if entered.blanks[0].form == "interval":
                return said("carried-inequalities"), spelt
            return said("carried-gaps"), spelt
        case OrderResponse() as ordered:
            letters = ", ".join(thing.identifier for thing in ordered.in_order)
            return said("carried-order"), letters
        case MatchResponse():
            return said("carried-match"), ""
        case WrittenResponse():
            return said("carried-written"), ""
        case _:
            return "", ""


def _reason(lines: list[str]) -> str:
    return lines[0].partition("left out of the cartridge: ")[2] if lines else "the cartridge cannot carry it"


def _facts(bank: Bank) -> PaperFacts:
    facts = bank.facts
    title = words(facts.language)("sampler", title=facts.title)
    return PaperFacts(title, facts.author, facts.licence, facts.language)
