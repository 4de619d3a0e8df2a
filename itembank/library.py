"""What programs use: proved items one by one, with their mathematics in every notation; checks, builds and audits.

    from itembank.library import draw, latex

    for item, proof in draw("banks/quadratics", count=24):
        print(item.code, latex(item.parts[0].problem.statement))

An `Item` is frozen and format-free (`itembank.items`); a formula in it is read by `plain`, `latex`, `mathml` and
`spoken`, a text, or whatever stands in an option, by `plain_text`. What a part takes is one of the seven classes of
`Response`, told apart by `kind` (or by `match`); a type checker follows both. What is wrong with the input is raised as
`InputError`, with every diagnostic at its place; nothing here prints or ends the program.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from itembank.analysis.analysis import Analysis
from itembank.analysis.analysis import analyse as _analyse
from itembank.analysis.groups_file import read_groups
from itembank.analysis.learnt import Learning, Rule
from itembank.analysis.learnt import who_has_learnt as _who_has_learnt
from itembank.analysis.response_files import read_build, read_results
from itembank.audit.findings import Report
from itembank.audit.verify import verify_all
from itembank.bank.approvals import Approved, states
from itembank.bank.approvals import approve as _approve
from itembank.bank.bank import Bank, BankFacts, LeaveOut
from itembank.bank.cache import load_bank
from itembank.bank.checking import Checked
from itembank.bank.draw import select
from itembank.bank.observations import keep
from itembank.bank.secret import secret_of
from itembank.bank.shown_items import USUAL_COUNT
from itembank.bank.sources import entries_of
from itembank.build import BuildRequest, BuildResult
from itembank.build import build as _build
from itembank.build.again import AgainRequest, write_again
from itembank.build.assemble import AssembleRequest, AssembleResult
from itembank.build.assemble import assemble as _assemble
from itembank.build.contents import Progress
from itembank.build.production import Maker, Product, Wanted
from itembank.build.review_page import ReviewPage, page_to_review
from itembank.build.staff import record as _entry
from itembank.build.staff_text import plain_text
from itembank.calibration.calibrated import Calibration
from itembank.calibration.calibrated import calibrate as _calibrate
from itembank.calibration.reading import read_sittings
from itembank.double_marking.reading import DoubleMarking, read_markers
from itembank.errors import (
    Contradiction,
    Diagnostic,
    DomainError,
    InputError,
    ItembankError,
    NotEnoughItems,
    Span,
)
from itembank.expressions.latex import latex
from itembank.expressions.mathml import mathml
from itembank.expressions.speech import speech as spoken
from itembank.expressions.spelling import plain
from itembank.generator.bound import Bound
from itembank.items import (
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Item,
    MatchResponse,
    Option,
    OrderResponse,
    Part,
    Response,
    Slip,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.proof.findings import Finding
from itembank.standard_setting.pass_mark import PassMark
from itembank.standard_setting.ratings_file import Scale
from itembank.standard_setting.reading import read_pass_mark
from itembank.store.checking import check as _check
from itembank.store.exposure import Exposure
from itembank.store.exposure import exposure as _exposure
from itembank.store.reading import read_record
from itembank.store.record import Record, Sitting
from itembank.store.recording import Kept, take_back
from itembank.store.recording import keep as _keep
from itembank.store.recording import restore as _restore

__all__ = [
    "Analysis", "Approved", "AssembleRequest", "AssembleResult", "BuildRequest", "BuildResult", "Calibration",
    "Checked", "ChoiceResponse", "ChoicesResponse", "Contradiction", "Diagnostic", "DomainError", "DoubleMarking",
    "Drawn", "EntryResponse", "Exposure", "Finding", "InputError", "Item", "ItembankError", "Kept", "Learning",
    "LeaveOut", "MatchResponse", "NotEnoughItems", "Option", "OrderResponse", "Part", "PassMark", "Record",
    "Response", "ReviewPage", "Sitting", "Slip", "Span", "WrittenResponse", "WrongLineResponse", "analyse", "approve",
    "assemble", "build", "calibrate", "check", "draw", "exposure", "latex", "learnt", "markers", "mathml", "passmark",
    "plain", "plain_text", "record", "restore", "review_page", "spoken", "unrecord", "used", "verify",
]  # fmt: skip


class Drawn(NamedTuple):
    """An item and its proof: each claim with its verdict, all of them proved."""

    item: Item
    proof: tuple[Finding, ...]

    def as_data(self) -> dict[str, Any]:
        """The item whole as JSON takes it: an entry of `staff/items.json`, whose schema `itembank schema` prints."""
        data: dict[str, Any] = json.loads(_entry(self.item, self.proof))
        return data


def draw(
    path: str | Path,
    *,
    count: int | None = None,
    seed: int | None = None,
    language: str = "",
    full_proof: bool = False,
) -> Iterator[Drawn]:
    """The items a build of a bank would have, made and proved one by one; nothing is written.

    path: a bank's folder, or a template file, of which `seed` chooses `count`. count, seed: None for what the bank file
    says, without one ten of each template and 1. language: of the texts, "" for the files' own. full_proof: with sympy
    too. The same input gives the same items, under the codes of the build once the bank has its secret.

    Raises InputError for what is wrong with the path or a template, NotEnoughItems where there are fewer, Contradiction
    where two of our own roads disagree, DomainError for a count below 1; all but what concerns a single item before the
    first one comes.
    """
    bank = _bank(Path(path), language)
    chosen_seed = bank.facts.seed if seed is None else seed
    bounds = [Bound(entry.recipe) for entry in bank.used()]
    selected = select(bank, bounds, chosen_seed, count)
    maker = Maker(
        bank, chosen_seed, secret_of(bank, create=False)[0], Wanted((), staff=False, full=full_proof), bounds
    )
    return (Drawn(*maker.proved(each)) for each in selected)


def _quiet(products: Iterable[Product], total: int) -> Iterable[Product]:
    return products


def build(request: BuildRequest, progress: Progress = _quiet) -> BuildResult:
    """A bank's items as a whole folder of files: packages, papers, what staff needs, a report; or nothing.

    request: as `BuildRequest("banks/quadratics", "out", count=24, formats=["qti3", "json"])`. progress: wraps what is
    made one by one, of so many. Raises InputError for what is wrong with the bank, the request or the folder,
    NotEnoughItems where more items are asked for than there are, Contradiction where two of our own roads disagree,
    DomainError for a number of items or versions, or a way of writing, that there is not.
    """
    return _build(request, progress)


def assemble(request: AssembleRequest, progress: Progress = _quiet) -> AssembleResult:
    """Parallel forms of a blueprint in one folder, each a whole build; or nothing.

    request: as `AssembleRequest("banks/quadratics/blueprints/half-term.yaml", "out", forms=2)`. progress,
    and what is raised: as `build`; also what is wrong with the blueprint, and why there are no such forms.
    """
    return _assemble(request, progress)


def check(*paths: str | Path, workers: int = 1) -> Checked:
    """Everything wrong or doubtful in template files, folders and banks, and what each template can produce.

    workers: processes to share many templates among. Raises Contradiction for a fault of our own, nothing for theirs.
    """
    return _check([Path(path) for path in paths], workers)


def approve(
    bank: str | Path, *templates: str, by: str, on: str, note: str = "", language: str = ""
) -> tuple[Approved, ...]:
    """Keep in a bank who looked at templates and found them fit for pupils; what is then known of each template.

    templates: names, none for every one. by: who looked; on: the day, such as 2026-06-12; language: of which
    translation, "" for the files' own texts. Raises InputError for a name the bank has not, for nobody, no such day and
    a bank that cannot be written to.
    """
    read = load_bank(Path(bank), str(bank), language)
    _approve(read, templates, by, on, note)
    return states(read)


def review_page(
    path: str | Path, *, count: int = USUAL_COUNT, seed: int = 1, at_corners: bool = False, language: str = ""
) -> ReviewPage:
    """A page of HTML for the teacher who is to approve templates: items of each, and what to judge of them.

    path: a bank's folder, a folder of templates, or a template file. count: items of each template, chosen by `seed`;
    at_corners: those at its extremes instead. language: of the texts, "" for the files' own. Raises InputError with
    everything that is wrong with the templates, Contradiction where two of our own roads disagree.
    """
    return page_to_review(Path(path), count=count, seed=seed, at_corners=at_corners, language=language)


def verify(*paths: str | Path, thorough: bool = False, workers: int = 1) -> Sequence[Report]:
    """The audit of packages, of single items' files, or of a build's folder, from the files alone.

    thorough: with sympy everywhere. workers: processes to share a large package among. Raises InputError for a path
    where nothing can be read.
    """
    return verify_all([Path(path) for path in paths], thorough=thorough, workers=workers)


def analyse(build: str | Path, *responses: str | Path, groups: str | Path | None = None) -> Analysis:
    """Which items of a build worked: figures and findings of results, exactly.

    build: the folder that a build wrote; responses: files as `itembank analyse` takes them; groups: a
    table that tells the group of each pupil, to hold them against each other. Figures are exact: a
    Fraction, a Root, or CannotTell with the reason. `itembank.analysis.report_data.as_data` makes JSON of it. Raises
    InputError with everything that is wrong in any file.
    """
    keys, orders = read_build(Path(build))
    results = read_results(keys, orders, [Path(path) for path in responses])
    return _analyse(results, read_groups(Path(groups), results)[0] if groups is not None else None)


def calibrate(
    *sittings: tuple[str | Path, Sequence[str | Path]], into: str | Path | None = None
) -> Calibration:
    """How hard items were, on one scale, from the results of several sittings, and what marks are worth.

    sittings: each the folder of a build, and the files of its results as `itembank analyse` takes them. into: a bank
    whose `calibration.yaml` is written, on which predictions of difficulty build from then on. Raises InputError with
    everything that is wrong.
    """
    builds = read_sittings([(Path(build), [Path(file) for file in files]) for build, files in sittings])
    found = _calibrate(builds)
    if into is not None:
        keep(found, [build.title for build in builds], Path(into))
    return found


def passmark(
    build: str | Path,
    *judgements: str | Path,
    responses: Sequence[str | Path] = (),
    scale: str = "marks",
    boundary: str = "",
    lower: Sequence[str | Path] = (),
) -> PassMark:
    """Where the pass mark of a build lies, or the mark for a grade, exactly, and what would follow from it.

    judgements: files as `itembank passmark` takes them: ratings of questions, judgements of pupils, what judges would
    accept. responses: as in `analyse`. scale: what a plain number of a rating is, `marks`, `share` or `percent`.
    boundary: what the mark is for, "" for a pass; lower: judgements of the boundary below it.
    `itembank.standard_setting.report_data.as_data` makes JSON of it. Raises InputError with everything that
    is wrong in any file, DomainError for another scale.
    """
    if scale not in [each.value for each in Scale]:
        raise DomainError(f"there is no scale {scale}")
    files, results, below = ([Path(path) for path in paths] for paths in (judgements, responses, lower))
    return read_pass_mark(Path(build), files, results, Scale(scale), boundary, below)[0]


def markers(
    build: str | Path, *sheets: str | Path, within: int | None = None, pass_mark: int | None = None
) -> DoubleMarking:
    """How far markers of the same scripts agree, every two of them, exactly.

    build: as in `analyse`. sheets: a mark sheet of each marker, at least two. within: marks by which totals may differ
    before a script is to be marked again, by itself one in twenty and at least 1. pass_mark: who reaches it by one
    marker alone is told too. `itembank.double_marking.report.as_data` makes JSON of it. Raises InputError with
    everything that is wrong in any file, DomainError for fewer than two sheets.
    """
    if len(sheets) < 2:
        raise DomainError("it takes two markers")
    reach = None if within is None else Fraction(within)
    return read_markers(Path(build), [Path(sheet) for sheet in sheets], reach, pass_mark)


def learnt(
    *sittings: tuple[str | Path, Sequence[str | Path]], by: str = "topic", from_share: int = 80
) -> Learning:
    """Who has learnt which method, from the results of one or several sittings.

    sittings: as in `calibrate`. by: what counts as a method, `topic`, `template` or `statement`. from_share: the share
    of marks in per cent, 1 to 100, from which it is learnt. Raises InputError with everything that is wrong in any
    file, DomainError for another `by`.
    """
    builds = read_sittings([(Path(build), [Path(file) for file in files]) for build, files in sittings])
    return _who_has_learnt([build.results for build in builds], by, Rule(share=Fraction(from_share, 100)))


def record(build: str | Path, *, into: str | Path, group: str, on: str, note: str = "") -> Kept:
    """Keep in a bank that a group sat a build on a day, with its items and files whole.

    build: the folder that a build or an assembly wrote; into: its bank; on: year-month-day. Recording the same again
    changes nothing. Raises InputError for what is wrong with any of these, or damaged in the record.
    """
    return _keep(Path(build), Path(into), group, on, note)


def used(bank: str | Path, *, by: Sequence[str] = (), since: str = "") -> Record:
    """What was sat of a bank: sittings, their items, and the uses of each item.

    by: of these groups alone; since: on this day (year-month-day) or later. Raises InputError for what is no day, and
    with everything that is damaged in the record.
    """
    return read_record(Path(bank)).among(by, since)


def exposure(
    bank: str | Path, *, by: Sequence[str] = (), since: str = "", limit: int | None = None
) -> Exposure:
    """How often items and templates of a bank were used, which never, and which items more often than a limit.

    by, since, and what is raised: as `used`; also what is wrong with the bank.
    """
    names = [entry.recipe.template.name for entry in _bank(Path(bank), "").entries]
    return _exposure(used(bank, by=by, since=since), names, limit)


def restore(bank: str | Path, sitting: str, out: str | Path, *, formats: Sequence[str] = ()) -> int:
    """Bring what was sat back into a folder, byte for byte as it was kept; how many files.

    sitting: its name. formats: written anew instead, if the bank still makes the very items. Raises InputError where
    there is no such sitting, where it is damaged, and where an item would be another.
    """
    if not formats:
        return _restore(Path(bank), sitting, Path(out))
    made = write_again(AgainRequest(Path(bank), sitting, Path(out), tuple(formats)))
    return sum(len(each.files) for each in made)


def unrecord(bank: str | Path, sitting: str) -> Sitting:
    """Take a sitting back that was recorded by mistake; what it was. Raises InputError where there is none."""
    return take_back(Path(bank), sitting)


def _bank(path: Path, language: str) -> Bank:
    entries, doubts, bank = entries_of(path, language)
    if bank is not None:
        return bank
    if path.is_dir():
        told = f"{path} is a folder of templates and no bank"
        raise InputError(
            Diagnostic("no-bank", told, Span(str(path), 1, 1), hint="give it a bank.yaml, or name one file")
        )
    (entry,) = entries
    facts = BankFacts(entry.recipe.template.name, entry.recipe.template.about.title, weights=entry.weights)
    return Bank(facts, str(path.parent), (entry,), doubts)
