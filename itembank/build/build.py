"""The shell of the library: reads a bank, has its items made and proved, and leaves one whole folder of files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from itembank.bank.approvals import approved_only
from itembank.bank.bank import TEMPLATE_FOLDER, LeaveOut
from itembank.bank.cache import load_bank
from itembank.bank.draw import select
from itembank.bank.lock import write_lock
from itembank.bank.secret import secret_of
from itembank.bank.sources import RECORD_FOLDER
from itembank.build.contents import Progress, write_items
from itembank.build.digests import CHANGES_FILE, DIGEST_FILE, Changes, changes, item_digests
from itembank.build.own_work import refuse_own_work
from itembank.build.report import Report
from itembank.build.stock import stock_of
from itembank.build.writing import USUAL_FORMATS, Writing, must_be_printed, work_for
from itembank.errors import Diagnostic, InputError, NotEnoughItems, Span
from itembank.output_folder import whole_folder

if TYPE_CHECKING:
    from itembank.build.class_list import Pupil


@dataclass(frozen=True, slots=True)
class BuildRequest(Writing):
    """What is asked for, beside how it is written.

    count, seed, versions, leave_out: None for what the bank file says.

    class_list: a CSV file of pupils, for papers with their names; not_again: folders of builds whose items are not to
    be used again; leave_out: which items of the bank's record neither; approved: only templates that are approved.
    """

    bank: str | Path
    out: str | Path
    count: int | None = None
    seed: int | None = None
    versions: int | None = None
    class_list: str | Path | None = None
    not_again: Sequence[str | Path] = ()
    leave_out: LeaveOut | None = None
    approved: bool = False


@dataclass(frozen=True, slots=True)
class BuildResult:
    """What was made, what is doubtful, and what changed since the build before (None where there was none).

    left_out: templates that are not in the language that was asked for.
    """

    report: Report
    doubts: tuple[Diagnostic, ...]
    out: Path
    changes: Changes | None = None
    left_out: tuple[str, ...] = ()


def build(request: BuildRequest, progress: Progress = lambda products, total: products) -> BuildResult:
    """A bank's items as a whole folder of files: packages, papers, what staff needs, a report; or nothing.

    request: as `BuildRequest("banks/quadratics", "out", count=24, formats=["qti3", "json"])`. progress: wraps what is
    made one by one, of so many.

    Raises InputError for what is wrong with the bank, the request or the folder, NotEnoughItems where more items
    were asked for than there are, Contradiction where two of our own proofs disagree,
    DomainError for a number of items or versions, or a way of writing, that there is not.
    """
    bank_folder, out = Path(request.bank), Path(request.out)
    class_list = None if request.class_list is None else Path(request.class_list)
    bank = approved_only(load_bank(bank_folder, str(bank_folder), request.language), request.approved)
    keep_out_of_the_templates(bank_folder, out)
    refuse_own_work(out, "the build")
    seed = bank.facts.seed if request.seed is None else request.seed
    formats = request.formats or bank.facts.formats or USUAL_FORMATS
    must_be_printed(formats, class_list)
    versions = bank.facts.paper.versions if request.versions is None else request.versions
    pupils = () if class_list is None else _pupils(class_list, versions)
    work = work_for(request, bank, formats, versions=versions, pupils=pupils)
    stock = stock_of(
        bank, seed, request.leave_out or bank.facts.leave_out, [Path(each) for each in request.not_again]
    )
    try:
        selected = select(bank, stock.bounds, seed, request.count, request.workers, stock.free)
    except NotEnoughItems as few:
        raise stock.told(few) from None
    with whole_folder(out, "the build") as folder:
        secret, own = secret_of(bank, create=True)
        work = replace(work, own_secret=own)
        report = write_items(
            folder, stock.maker(secret, work.wanted()), selected, work, request.workers, progress,
            used_before=stock.passed_over,
        )  # fmt: skip
        found = _told_changes(out / "staff", folder / "staff")
    write_lock(bank, bank.used())
    doubts = stock.doubts
    if class_list is not None:
        from itembank.build.class_list import same_names

        doubts += same_names(class_list, pupils)
    return BuildResult(report, doubts, out, found, bank.left_out)


def keep_out_of_the_templates(bank: Path, out: Path) -> None:
    """A build among the templates, or in the record of what was sat, would spoil the bank. Raises InputError."""
    templates, target = (bank / TEMPLATE_FOLDER).resolve(), out.resolve()
    record = (bank / RECORD_FOLDER).resolve()
    if record == target or record in target.parents:
        told = f"{out} lies in the bank's record of what was sat"
        raise InputError(
            Diagnostic("in-the-record", told, Span(str(out), 1, 1), hint="write it beside the bank")
        )
    if templates == target or templates in target.parents:
        told = f"{out} lies among the templates of the bank"
        raise InputError(
            Diagnostic("among-templates", told, Span(str(out), 1, 1), hint="write it beside the bank")
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


def _pupils(class_list: Path, versions: int) -> tuple[Pupil, ...]:
    """Whose names stand on papers."""
    from itembank.build.class_list import read_class_list  # papers without names need no tables

    return read_class_list(class_list, versions)
