"""Practice for pupils who have not learnt a method: a whole build of fresh items for each method, with their names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from itembank.bank.approvals import approved_only
from itembank.bank.bank import BankFacts, LeaveOut
from itembank.bank.cache import load_bank
from itembank.bank.draw import Selected
from itembank.bank.lock import write_lock
from itembank.bank.secret import secret_of
from itembank.build.class_list import Pupil
from itembank.build.contents import Progress, write_items
from itembank.build.part_of_bank import own_facts
from itembank.build.production import Maker, Wanted, problem_mark
from itembank.build.stock import stock_of
from itembank.build.writing import Writing, work_for
from itembank.errors import Diagnostic, Level, Span
from itembank.items import Item
from itembank.writers.order import in_order
from itembank.writers.package import file_name

__all__ = ["Need", "Practice", "PracticeRequest", "write_practice"]

USUAL_FORMATS = ("latex", "html", "json")
"""Practice is for paper, unless something else is asked for."""
_TIMES = 4
"""So many times the items that are needed are looked at, to leave out what asks the same."""


@dataclass(frozen=True, slots=True)
class Need:
    """A method, the templates that ask for it, and the pupils who are to practise it. number: of the sheet."""

    number: int
    name: str
    title: str
    templates: tuple[str, ...]
    pupils: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PracticeRequest(Writing):
    """What is asked for, beside how it is written; None and "" for what the bank says.

    count: items for each method. sat: folders of the builds whose results tell the needs; not_again: of others whose
    items are not to be used again either; approved: only templates that are approved.
    """

    bank: Path
    sat: tuple[Path, ...]
    count: int = 6
    seed: int | None = None
    not_again: tuple[Path, ...] = ()
    leave_out: LeaveOut | None = None
    approved: bool = False


@dataclass(frozen=True, slots=True)
class Practice:
    """What was made for a need. folder: its name; items: how many; files: how many; shortfalls: notes of the report."""

    need: Need
    folder: str
    items: int
    files: int
    shortfalls: tuple[str, ...]


def write_practice(
    folder: Path, request: PracticeRequest, needs: Sequence[Need], progress: Progress
) -> tuple[tuple[Practice, ...], tuple[Diagnostic, ...]]:
    """A folder for each need below `folder`, and what is doubtful: templates the bank has no more, too few items.

    Raises InputError for what is wrong with the bank or the request, Contradiction where two of our roads disagree.
    """
    bank = approved_only(load_bank(request.bank, str(request.bank), request.language), request.approved)
    work = work_for(request, bank, request.formats or USUAL_FORMATS)
    seed = bank.facts.seed if request.seed is None else request.seed
    rule = request.leave_out or bank.facts.leave_out
    stock = stock_of(bank, seed, rule, (*request.sat, *request.not_again))
    secret, own = secret_of(bank, create=True)
    work = replace(work, own_secret=own)
    maker = stock.maker(secret, Wanted((), staff=False))
    made: list[Practice] = []
    doubts = list(stock.doubts)
    names = [entry.recipe.template.name for entry in maker.entries]
    for need in needs:
        gone = [name for name in need.templates if name not in names]
        if gone:
            elsewhere = [name for name in gone if name in bank.left_out]
            if elsewhere:
                doubts.append(_in_other_words(request.bank, need, elsewhere, request.language))
            if lost := [name for name in gone if name not in elsewhere]:
                doubts.append(_gone(request.bank, need, lost))
        of_each = [_TIMES * request.count if name in need.templates else 0 for name in names]
        chosen = _chosen(maker, stock.pool(of_each), request.count)
        if len(chosen) < request.count:
            doubts.append(_few(request.bank, need, len(chosen), request.count))
        if not chosen:
            continue
        below = folder / file_name(f"{need.number}-{need.name}".lower().replace("/", "-"), "")
        below.mkdir()
        pupils = tuple(Pupil(name, "A") for name in need.pupils)
        papers = replace(work.papers, pupils=pupils) if work.papers is not None else None
        own_work = replace(work, papers=papers)
        own_bank = replace(bank, facts=_facts(bank.facts, below.name, need))
        report = write_items(
            below, stock.maker(secret, own_work.wanted(), own_bank), chosen, own_work, request.workers,
            progress, only_drawn=True,
        )  # fmt: skip
        made.append(Practice(need, below.name, len(chosen), len(report.files), tuple(report.shortfalls)))
    write_lock(bank, bank.used())
    return tuple(made), tuple(doubts)


def _chosen(maker: Maker, drawn: Sequence[Selected], count: int) -> list[Selected]:
    """So many items from easy to hard, the templates in turn, none of which asks what another asks."""
    rows: dict[int, list[Selected]] = {}
    for each in drawn:
        rows.setdefault(each.entry, []).append(each)
    items: list[Item] = []
    selected: dict[str, Selected] = {}
    marks: set[bytes] = set()
    while len(items) < count and any(rows.values()):
        for row in rows.values():
            while row and len(items) < count:
                each = row.pop(0)
                item = maker.item(each.entry, each.position, each.band, each.draft)
                if item.code in selected or problem_mark(item) in marks:
                    continue
                items.append(item)
                selected[item.code] = each
                marks.add(problem_mark(item))
                break
    return [selected[item.code] for item in in_order(items, by="difficulty")]


def _facts(facts: BankFacts, name: str, need: Need) -> BankFacts:
    """What a bank of this practice alone would say of itself."""
    title = f"{need.number}. {need.title}"
    paper = replace(facts.paper, title=title, date="", minutes=0, front="heading")
    return own_facts(facts, name, title, paper)


def _gone(bank: Path, need: Need, names: Sequence[str]) -> Diagnostic:
    told = f"the bank has no template of this name any more, of which `{need.name}` was asked: {', '.join(names)}"
    hint = "name the bank that the items were built from"
    return Diagnostic("template-gone", told, Span(str(bank / "bank.yaml"), 1, 1), Level.DOUBTFUL, hint=hint)


def _in_other_words(bank: Path, need: Need, names: Sequence[str], language: str) -> Diagnostic:
    """language: what was asked for, or that of the test."""
    told = (
        f"`{need.name}` is practised without templates that are not whole in `{language}`: {', '.join(names)}"
    )
    hint = "give their texts in it, or practise in a language that all have, such as --language en"
    return Diagnostic(
        "practice-in-language", told, Span(str(bank / "bank.yaml"), 1, 1), Level.DOUBTFUL, hint=hint
    )


def _few(bank: Path, need: Need, found: int, asked: int) -> Diagnostic:
    some = f"only {found} fresh items" if found > 1 else "only one fresh item" if found else "no fresh item"
    told = f"there {'are' if found > 1 else 'is'} {some} to practise `{need.name}`, {asked} were asked for"
    hint = "widen the ranges of its templates, or let the record leave out less"
    return Diagnostic("few-fresh-items", told, Span(str(bank / "bank.yaml"), 1, 1), Level.DOUBTFUL, hint=hint)
