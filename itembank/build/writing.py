"""How items are written, whatever they are written for: the one home of what can be asked, and what it needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from itembank.bank.bank import Bank
from itembank.build.contents import PAPER_FORMATS, Work
from itembank.errors import Diagnostic, InputError
from itembank.writers.formula_pictures import must_be_able_to_draw
from itembank.writers.formulas import notation_of

if TYPE_CHECKING:
    from itembank.build.class_list import Pupil

__all__ = ["FORMATS", "USUAL_FORMATS", "Writing", "must_be_printed", "work_for"]

FORMATS = ("qti3", "qti22", "qti21", "cc", "latex", "html", "docx", "json")
USUAL_FORMATS = ("qti3", "latex", "html", "json")
"""What is written where neither the command nor the bank says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Writing:
    """How items are written: what every request that ends in files is asked, each by its name.

    formats, paper_size, maths, latex_delimiters: None for what the bank file says. full_proof: sympy proves every item
    again. workers: processes to work in. large_print: papers in large letters; pdf: papers also as PDF files.
    language: what texts are to be in, "" for the files' own.
    """

    formats: Sequence[str] | None = None
    full_proof: bool = False
    workers: int = 1
    paper_size: str | None = None
    large_print: bool = False
    pdf: bool = False
    language: str = ""
    maths: str | None = None
    latex_delimiters: str | None = None


def work_for(
    asked: Writing,
    bank: Bank,
    formats: Sequence[str],
    *,
    versions: int | None = 1,
    pupils: Sequence[Pupil] = (),
    letter: str = "",
) -> Work:
    """What is written in these formats; whatever it needs from outside is looked for before any work is done.

    versions, pupils, letter: of the papers, see `PaperRequest`. Without papers and their options there is no request of
    them. Whether the bank has a secret of its own is for the caller to say. Raises InputError.
    """
    written_by = _of_extensions(bank, formats)
    facts = bank.facts
    notation = notation_of(asked.maths or facts.maths, asked.latex_delimiters or facts.latex_delimiters)
    if notation.mode == "svg":
        must_be_able_to_draw()
    papers = None
    if PAPER_FORMATS & set(formats) or asked.pdf:
        from itembank.build.papers import PaperRequest

        engine = _engine(formats) if asked.pdf else ""
        papers = PaperRequest(
            versions,
            asked.paper_size,
            asked.large_print,
            tuple(pupils),
            engine,
            notation,
            asked.workers,
            letter,
        )
    return Work(formats, written_by, papers, asked.full_proof, notation, own_secret=False)


def must_be_printed(formats: Sequence[str], class_list: Path | None) -> None:
    """Raises InputError for a class list where no format is printed."""
    if class_list is not None and not PAPER_FORMATS & set(formats):
        told = "papers with names are asked for, and no printed format is among the formats"
        raise InputError(Diagnostic("nothing-printed", told, hint="add latex, html or docx"))


def _engine(formats: Sequence[str]) -> str:
    """The TeX that sets PDF files. Raises InputError where there is none, or nothing to be set."""
    from itembank.build.pdf import find_engine

    if "latex" not in formats:
        told = "PDF files are made from LaTeX, which is not among the formats"
        raise InputError(Diagnostic("no-latex", told, hint="add latex"))
    return find_engine()


def _of_extensions(bank: Bank, formats: Sequence[str]) -> list[str]:
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
