"""The papers of a build: one set of items, in rising order or in versions, as every document that is asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, Protocol

from itembank.bank.bank import BankFacts
from itembank.build.class_list import Pupil
from itembank.build.numbering import name_pupils, number_columns, versions_csv
from itembank.build.report import Report
from itembank.garbage import collect_now
from itembank.items import Item
from itembank.writers.facts import Looks, PaperFacts, time_needed
from itembank.writers.formulas import MATHML, Notation
from itembank.writers.order import LETTERS, Steps, in_order, versions
from itembank.writers.package import file_name
from itembank.writers.paper import DOCUMENTS, FOR_PUPILS, SITTING, circled

__all__ = ["PaperRequest", "paper_facts", "write_papers"]


MOST_TOGETHER: Final = 40
"""Named papers in one document for a word processor: more pages than a class's are slow to open there."""
_FORMULAS_STAY_SMALL: Final = (
    "large print as .docx: LibreOffice sets every formula at 12 points, whatever size the document states; "
    "print large papers from the HTML pages or as PDF there"
)
ANSWERS_AT_END: Final = "the questions of the paper with the answers at the end: pupils check themselves"


@dataclass(frozen=True, slots=True)
class PaperRequest:
    """What a command asks of the papers; None for what the bank file says.

    pupils: of a class list. engine: the TeX that sets PDF files, "" for none. notation: of formulas in pages.
    workers: how many PDF files are set at a time. letter: of the test form that the paper is, "" for none.
    """

    versions: int | None = None
    size: str | None = None
    large: bool = False
    pupils: tuple[Pupil, ...] = ()
    engine: str = ""
    notation: Notation = MATHML
    workers: int = 1
    letter: str = ""


class _Writer(Protocol):
    """What makes documents of one format: text, or the bytes of a word processor's file."""

    def document(
        self, name: str, items: Sequence[Item], facts: PaperFacts, pupils: Sequence[str] = ...
    ) -> str | bytes: ...

    def pupils_papers(
        self, name: str, papers: Sequence[tuple[PaperFacts, Sequence[Item]]]
    ) -> str | bytes: ...

    def combined_key(
        self, versions: Sequence[Sequence[Item]], letters: Sequence[str], facts: PaperFacts
    ) -> str | bytes: ...

    def document_shortfalls(self, made: Any, /) -> tuple[str, ...]: ...


def paper_facts(facts: BankFacts, items: Sequence[Item], request: PaperRequest) -> PaperFacts:
    """What stands around the items: what the bank says, else what the items say together."""
    paper = facts.paper
    rules = {item.about.calculator for item in items} - {""}
    looks = Looks(
        size=request.size or paper.size,
        large=request.large or paper.large,
        wide=paper.wide,
        front=paper.front,
        working=paper.working,
        notation=request.notation,
    )
    return PaperFacts(
        title=paper.title or facts.title,
        author=facts.author,
        licence=facts.licence,
        language=facts.language,
        instructions=paper.instructions,
        calculator=paper.calculator or (rules.pop() if len(rules) == 1 else ""),
        date=paper.date,
        minutes=time_needed(items) if paper.minutes is None else paper.minutes,
        answer_sheet=paper.answer_sheet and any(circled(part) for item in items for part in item.parts),
        looks=looks,
    )


@dataclass(frozen=True, slots=True)
class _Paper:
    """One version: its facts, its items, and what its files' names end in."""

    facts: PaperFacts
    items: tuple[Item, ...]
    ending: str


def write_papers(
    folder: Path,
    facts: BankFacts,
    formats: Sequence[str],
    items: Sequence[Item],
    request: PaperRequest,
    report: Report,
) -> None:
    """Every document in every printed format, below `pupils/` and `staff/` of a folder."""
    shared = paper_facts(facts, items, request)
    count = facts.paper.versions if request.versions is None else request.versions
    papers = _papers(facts, items, shared, count, request)
    stem = file_name(facts.name, "")
    whole = _Paper(shared, in_order(papers[0].items, by=_steps(facts.paper.order)), "")
    sources: list[Path] = []
    all_together = max(1, len(request.pupils))
    for alike, together in ((("latex", "html"), all_together), (("docx",), MOST_TOGETHER)):
        asked = [name for name in alike if name in formats]
        if not asked:
            continue
        for name, below, make in _documents(papers, whole, request.pupils, together):
            for format_name in asked:
                written = _write(folder / below, stem, name, format_name, make, report)
                sources += [written] if format_name == "latex" else []
                if name.startswith("worksheet"):
                    report.holds[f"{below}/{written.name}"] = ANSWERS_AT_END
    if request.engine:
        _set_as_pdf(sources, request, report)
    if "docx" in formats and shared.looks.large:
        report.shortfalls.append(_FORMULAS_STAY_SMALL)
    sheet = folder / "staff" / "mark-sheet.csv"
    if sheet.exists():
        number_columns(sheet, [(paper.facts.version if count > 1 else "", paper.items) for paper in papers])
        if request.pupils:
            name_pupils(sheet, request.pupils, with_versions=count > 1)
    if count > 1:
        rows = versions_csv(items, [paper.items for paper in papers])
        (folder / "staff").mkdir(exist_ok=True)
        (folder / "staff" / f"{stem}-versions.csv").write_text(rows, "utf-8", newline="\n")
        report.files.append(f"staff/{stem}-versions.csv")


def _papers(
    facts: BankFacts, items: Sequence[Item], shared: PaperFacts, count: int, request: PaperRequest
) -> list[_Paper]:
    if count == 1:
        own = replace(shared, version=request.letter, is_form=bool(request.letter))
        return [_Paper(own, _ordered(items, facts.paper.order), "")]
    return [
        _Paper(replace(shared, version=letter), of_version, f"-{letter}")
        for letter, of_version in zip(
            LETTERS, versions(items, count, by=_steps(facts.paper.order)), strict=False
        )
    ]


def _ordered(items: Sequence[Item], order: str) -> tuple[Item, ...]:
    return tuple(items) if order == "bank" else in_order(items, by=_steps(order))


def _steps(order: str) -> Steps:
    return "difficulty" if order == "difficulty" else "demand"


_Make = Callable[[_Writer], str | bytes]


def _documents(
    papers: Sequence[_Paper], whole: _Paper, pupils: Sequence[Pupil], together: int
) -> Iterator[tuple[str, str, _Make]]:
    """The name of each document, the folder it goes into, and how a writer makes it.

    whole: what all versions share; together: so many named papers stand in one document at most.
    """
    shared = whole.facts
    for paper in papers:
        names = _names_of(paper, pupils)
        for name in _each_has(shared, len(papers)):
            below = "pupils" if name in FOR_PUPILS else "staff"
            yield name + paper.ending, below, _one(name, paper, names)
    if len(papers) > 1:
        yield "worksheet", "pupils", _one("worksheet", whole, ())
        letters = [paper.facts.version for paper in papers]
        every = [paper.items for paper in papers]
        yield "combined-key", "staff", lambda writer: writer.combined_key(every, letters, shared)
    named = [_named(papers, pupil) for pupil in pupils]
    for number, start in enumerate(range(0, len(named), together), 1):
        several = f"-{number}" if len(named) > together else ""
        for name in _sat(shared):
            yield f"named-{name}s{several}", "pupils", _together(name, named[start : start + together])


def _each_has(shared: PaperFacts, versions_in_all: int) -> tuple[str, ...]:
    """The documents that each version has for itself; several versions share their worksheet."""
    left_out = {"answer-sheet"} if not shared.answer_sheet else set()
    left_out |= {"worksheet"} if versions_in_all > 1 else set()
    return tuple(name for name in DOCUMENTS if name not in left_out)


def _sat(shared: PaperFacts) -> tuple[str, ...]:
    """The documents that come with names."""
    return SITTING[: 2 if shared.answer_sheet else 1]


def _names_of(paper: _Paper, pupils: Sequence[Pupil]) -> list[str]:
    """Who sits a version."""
    return [pupil.name for pupil in pupils if pupil.version == (paper.facts.version or "A")]


def _one(name: str, paper: _Paper, names: Sequence[str]) -> _Make:
    return lambda writer: writer.document(name, paper.items, _facts_of(name, paper), names)


def _facts_of(name: str, paper: _Paper) -> PaperFacts:
    """What stands around one document of a version: a worksheet is written on, whatever the paper has."""
    return replace(paper.facts, answer_sheet=False) if name == "worksheet" else paper.facts


def _together(name: str, named: Sequence[tuple[PaperFacts, Sequence[Item]]]) -> _Make:
    return lambda writer: writer.pupils_papers(name, named)


def _named(papers: Sequence[_Paper], pupil: Pupil) -> tuple[PaperFacts, Sequence[Item]]:
    paper = next((each for each in papers if each.facts.version == pupil.version), papers[0])
    return paper.facts.named(pupil.name), paper.items


def _write(below: Path, stem: str, name: str, format_name: str, make: _Make, report: Report) -> Path:
    writer, ending = _writer(format_name)
    below.mkdir(exist_ok=True)
    made = make(writer)
    path = below / f"{stem}-{name}{ending}"
    path.write_bytes(made.encode("utf-8") if isinstance(made, str) else made)
    if format_name == "docx":
        collect_now()
    report.files.append(f"{below.name}/{path.name}")
    told = f"{name}.docx" if format_name == "docx" else name
    report.shortfalls.extend(f"{told}: {line}" for line in writer.document_shortfalls(made))
    return path


def _set_as_pdf(sources: Sequence[Path], request: PaperRequest, report: Report) -> None:
    from itembank.build.pdf import set_all

    asked = [(path.read_text("utf-8"), f"{path.parent.name}/{path.name}") for path in sources]
    for path, made in zip(sources, set_all(asked, request.engine, request.workers), strict=True):
        path.with_suffix(".pdf").write_bytes(made)
        name = f"{path.parent.name}/{path.name}"
        printed = f"{path.parent.name}/{path.stem}.pdf"
        report.files.append(printed)
        if name in report.holds:
            report.holds[printed] = report.holds[name]


def _writer(format_name: str) -> tuple[_Writer, str]:
    if format_name == "latex":
        from itembank.writers import latex

        return latex, ".tex"
    if format_name == "docx":
        from itembank.writers import word

        return word, ".docx"
    from itembank.writers import pages

    return pages, ".html"
