"""The shell of the library: reads a bank, has its items made and proved, and leaves one whole folder of files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from itembank.bank.bank import TEMPLATE_FOLDER, Bank, BankFacts, LeaveOut
from itembank.bank.cache import load_bank
from itembank.bank.draw import select
from itembank.bank.lock import changed, write_lock
from itembank.bank.secret import secret_of
from itembank.bank.sources import RECORD_FOLDER
from itembank.build.contents import PAPER_FORMATS, Progress, Work, write_items
from itembank.build.digests import CHANGES_FILE, DIGEST_FILE, Changes, changes, item_digests
from itembank.build.production import Maker
from itembank.build.report import Report
from itembank.build.used_before import unused
from itembank.errors import Diagnostic, InputError, Level, NotEnoughItems, Span
from itembank.generator.bound import Bound
from itembank.output_folder import whole_folder
from itembank.writers.formula_pictures import must_be_able_to_draw
from itembank.writers.formulas import Notation, notation_of

if TYPE_CHECKING:
    from itembank.build.papers import PaperRequest

FORMATS = ("qti3", "qti22", "qti21", "cc", "latex", "html", "docx", "json")
USUAL_FORMATS = ("qti3", "latex", "html", "json")
"""What is written where neither the command nor the bank says."""


@dataclass(frozen=True, slots=True)
class BuildRequest:
    """What is asked for.

    count, seed, formats, versions, paper_size, maths, latex_delimiters, leave_out: None for what the bank file says.

    class_list: a CSV file of pupils, for papers with their names; pdf: the papers also as PDF files;
    language: what texts are to be in, "" for the files' own; not_again: folders of builds whose items are not to be
    used again; leave_out: which items of the bank's record neither.
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
    not_again: tuple[Path, ...] = ()
    leave_out: LeaveOut | None = None


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
    """Builds a bank into a folder: all of it, or nothing.

    Raises InputError for what is wrong with the bank, the request or the folder, NotEnoughItems where more items
    were asked for than there are, Contradiction where two of our own proofs disagree.
    """
    bank = load_bank(request.bank, str(request.bank), request.language)
    keep_out_of_the_templates(request.bank, request.out)
    seed = bank.facts.seed if request.seed is None else request.seed
    formats = request.formats or bank.facts.formats or USUAL_FORMATS
    written_by = extension_formats(bank, formats)
    notation = notation_for(bank.facts, request.maths, request.latex_delimiters)
    used = bank.used()
    papers = _paper_request(request, bank, formats, notation)
    stale = changed(bank, used, Level.WRONG)
    if stale:
        raise InputError(stale)
    bounds = [Bound(entry.recipe) for entry in used]
    free = unused(bank, bounds, seed, request.leave_out or bank.facts.leave_out, request.not_again)
    try:
        selected = select(bank, bounds, seed, request.count, request.workers, free)
    except NotEnoughItems as few:
        raise (few if free is None else free.told(few)) from None
    with whole_folder(request.out, "the build") as folder:
        secret, own = secret_of(bank, create=True)
        work = Work(formats, written_by, papers, request.full_proof, notation, own)
        maker = Maker(bank, seed, secret, work.wanted(), bounds)
        used_before = free.passed_over if free is not None else None
        report = write_items(
            folder, maker, selected, work, request.workers, progress, used_before=used_before
        )
        found = _told_changes(request.out / "staff", folder / "staff")
    write_lock(bank, used)
    doubts = bank.doubts + (free.doubts if free is not None else ())
    if papers is not None and request.class_list is not None:
        from itembank.build.class_list import same_names

        doubts += same_names(request.class_list, papers.pupils)
    return BuildResult(report, doubts, request.out, found, bank.left_out)


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


def _paper_request(
    request: BuildRequest, bank: Bank, formats: Sequence[str], notation: Notation
) -> PaperRequest | None:
    """What is asked of the papers; whatever it needs from outside is looked for before any work is done.

    None where there are none, and none of their options.
    """
    must_be_printed(formats, request.class_list)
    if not PAPER_FORMATS & set(formats) and not request.pdf:
        return None
    from itembank.build.class_list import read_class_list
    from itembank.build.papers import PaperRequest

    engine = engine_for(formats) if request.pdf else ""
    count = request.versions or bank.facts.paper.versions
    pupils = read_class_list(request.class_list, count) if request.class_list is not None else ()
    return PaperRequest(
        request.versions, request.paper_size, request.large_print, pupils, engine, notation, request.workers
    )


def notation_for(facts: BankFacts, maths: str | None, latex_delimiters: str | None) -> Notation:
    """How formulas are written, None for what the bank says. Raises InputError where pictures cannot be drawn."""
    notation = notation_of(maths or facts.maths, latex_delimiters or facts.latex_delimiters)
    if notation.mode == "svg":
        must_be_able_to_draw()
    return notation


def must_be_printed(formats: Sequence[str], class_list: Path | None) -> None:
    """Raises InputError for a class list where no format is printed."""
    if class_list is not None and not PAPER_FORMATS & set(formats):
        told = "papers with names are asked for, and no printed format is among the formats"
        raise InputError(Diagnostic("nothing-printed", told, hint="add latex, html or docx"))


def engine_for(formats: Sequence[str]) -> str:
    """The TeX that sets PDF files. Raises InputError where there is none, or nothing to be set."""
    from itembank.build.pdf import find_engine

    if "latex" not in formats:
        told = "PDF files are made from LaTeX, which is not among the formats"
        raise InputError(Diagnostic("no-latex", told, hint="add latex"))
    return find_engine()


def extension_formats(bank: Bank, formats: Sequence[str]) -> list[str]:
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
