"""Writing a form that was sat anew, in other formats: its very items, made again from the bank and compared."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from itembank.bank.bank import Bank, BankFacts
from itembank.bank.cache import load_bank
from itembank.bank.draw import Selected
from itembank.bank.lock import changed
from itembank.bank.secret import secret_of
from itembank.build.build import keep_out_of_the_templates
from itembank.build.contents import Progress, write_items
from itembank.build.own_work import refuse_own_work
from itembank.build.production import Maker
from itembank.build.report import Report
from itembank.build.writing import Writing, work_for
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.generator.bound import Bound
from itembank.generator.instantiate import draft
from itembank.output_folder import whole_folder
from itembank.store.forms import ITEMS
from itembank.store.recording import folder_of, sitting_named, staff_files

__all__ = ["AgainRequest", "write_again"]

_MAY_DIFFER = ("difficulty", "proof")
"""What is said of an item and is no part of it: a calibration changes the one, a later program words the other."""


@dataclass(frozen=True, slots=True)
class AgainRequest:
    """What is asked for. formats: `json` comes with all of them, for it is what is compared."""

    bank: Path
    sitting: str
    out: Path
    formats: tuple[str, ...]
    paper_size: str | None = None
    large_print: bool = False
    pdf: bool = False


def write_again(request: AgainRequest, progress: Progress = lambda products, total: products) -> list[Report]:
    """Write what was sat with the formats and papers that are asked for, in one whole folder; the report of each form.

    Titles are as they were; how papers look is what the bank says now. Raises InputError as `sitting_named` and `build`
    do, and `not-the-same-item` where the bank no longer makes an item as it was sat: nothing is written then.
    """
    sitting = sitting_named(request.bank, request.sitting)
    keep_out_of_the_templates(request.bank, request.out)
    refuse_own_work(request.out, "the form")
    reports = []
    with whole_folder(request.out, "the form") as new:
        for form in sitting.forms:
            files = staff_files(request.bank, form)
            head = json.loads(files[ITEMS])
            below = new / folder_of(sitting, form)
            below.mkdir(exist_ok=True)
            reports.append(_written(request, head, _versions(files), below, progress, sitting.path))
    return reports


def _written(
    request: AgainRequest, head: Mapping[str, Any], versions: int, below: Path, progress: Progress, place: str
) -> Report:
    entries: Sequence[Mapping[str, Any]] = head["items"]
    bank = _bank(request.bank, head, entries)
    bounds = [Bound(entry.recipe) for entry in bank.used()]
    selected = [_selected(bank, bounds, entry, place) for entry in entries]
    secret, own = secret_of(bank, create=False)
    seed = int(entries[0]["address"]["seed"])
    asked = Writing(paper_size=request.paper_size, large_print=request.large_print, pdf=request.pdf)
    formats = tuple(dict.fromkeys((*request.formats, "json")))
    work = work_for(asked, bank, formats, versions=versions, letter=_letter(bank, head))
    work = replace(work, own_secret=own)
    maker = Maker(bank, seed, secret, work.wanted(), bounds)
    report = write_items(below, maker, selected, work, 1, progress, only_drawn=True)
    made = json.loads((below / ITEMS).read_text("utf-8"))["items"]
    for entry, again in zip(entries, made, strict=True):
        if _whole(entry) != _whole(again):
            raise _another(entry, "the bank makes it otherwise now", place)
    return report


def _bank(folder: Path, head: Mapping[str, Any], entries: Sequence[Mapping[str, Any]]) -> Bank:
    """The bank as what was sat had it: all its templates, in the language of the items, under the title of the form."""
    bank = load_bank(folder, str(folder))
    language = str(entries[0]["language"])
    if language != bank.facts.language:
        bank = load_bank(folder, str(folder), language)
    facts = replace(bank.facts, uses=None)
    if head["bank"] != facts.name:
        facts = _of_a_form(facts, str(head["bank"]), str(head["title"]))
    bank = replace(bank, facts=facts)
    sat = {str(entry["address"]["template"]) for entry in entries}
    stale = changed(bank, [each for each in bank.entries if each.recipe.template.name in sat], Level.WRONG)
    if stale:
        raise InputError(stale)
    return bank


def _of_a_form(facts: BankFacts, name: str, title: str) -> BankFacts:
    sections = "none" if facts.quiz.sections == "none" else "one"
    return replace(
        facts, name=name, title=title, publication=replace(facts.publication, name=name, title=title),
        quiz=replace(facts.quiz, sections=sections, select=0, select_of=()),
        paper=replace(facts.paper, title=re.sub(" [A-Z]$", "", title), versions=1, order="bank"),
    )  # fmt: skip


def _letter(bank: Bank, head: Mapping[str, Any]) -> str:
    """The letter of a test form, as its paper has it; "" for what is none."""
    found = re.fullmatch(r".+-([a-z])", str(head["bank"]))
    return found[1].upper() if found and bank.facts.paper.order == "bank" else ""


def _selected(bank: Bank, bounds: Sequence[Bound], entry: Mapping[str, Any], place: str) -> Selected:
    address = entry["address"]
    for number, each in enumerate(bank.used()):
        template = each.recipe.template
        if template.name == address["template"]:
            if template.version != address["version"]:
                told = f"version {address['version']} was sat, and the bank has version {template.version}"
                raise _another(entry, told, place)
            bound, position = bounds[number], int(address["position"])
            made = None
            if 0 <= position < bound.size:
                made = draft(bound, bound.assignment(bound.order(int(address["seed"])).at(position)))
            if made is None:
                raise _another(entry, "the bank makes it otherwise now", place)
            return Selected(number, position, str(entry["band"]), made)
    raise _another(entry, "the bank has no such template now", place)


def _another(entry: Mapping[str, Any], why: str, place: str) -> InputError:
    told = f"the item {entry['code']} of `{entry['address']['template']}` cannot be made again: {why}"
    hint = "without --formats, --large-print, --paper-size and --pdf the files that were sat come back as they were"
    return InputError(Diagnostic("not-the-same-item", told, Span(place, 1, 1), hint=hint))


def _whole(entry: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in entry.items() if key not in _MAY_DIFFER}


def _versions(files: Mapping[str, bytes]) -> int:
    """How many versions the paper had, as the staff's table of them tells; 1 without one."""
    for name in sorted(files):
        if name.endswith("-versions.csv"):
            rows = csv.DictReader(io.StringIO(files[name].decode("utf-8")))
            return max(1, len({row["version"] for row in rows}))
    return 1
