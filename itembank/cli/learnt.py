"""`itembank learnt BUILD FILE... [BUILD FILE...]`"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click
from click.core import ParameterSource

from itembank.analysis.learnt import BY
from itembank.bank.bank import LeaveOut
from itembank.cli import report
from itembank.cli.analyse import refuse_a_build
from itembank.cli.build import check_formats, leaving_out_options, writing_options
from itembank.cli.sittings import grouped

if TYPE_CHECKING:
    from itembank.analysis.learnt import Learning
    from itembank.analysis.responses import Results
    from itembank.build.practice import Need, PracticeRequest


@click.command("learnt")
@click.argument("sittings", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="BUILD FILE...")
@click.option("--by", type=click.Choice(BY), default="topic", help="What counts as a method (topic).")
@click.option(
    "--from-share", type=click.IntRange(1, 100), default=80, metavar="PER CENT",
    help="The share of marks from which a method is learnt (80).",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path),
    help="Folder for the report, its tables and the practice; replaced whole. Keep it safe: it holds names.",
)  # fmt: skip
@click.option(
    "--practice", "bank", type=click.Path(path_type=Path), metavar="BANK",
    help="Also fresh items of each method, with the names of those who have not learnt it, from this bank.",
)  # fmt: skip
@click.option("--count", type=click.IntRange(1, 200), default=6, help="Items to practise each method (6).")
@click.option("--seed", type=click.IntRange(min=0, max=2**63), help="Another seed than the bank's.")
@leaving_out_options
@writing_options
def command(
    sittings: tuple[Path, ...],
    by: str,
    from_share: int,
    out: Path | None,
    bank: Path | None,
    count: int,
    seed: int | None,
    not_again: tuple[Path, ...],
    leave_out: LeaveOut | None,
    approved: bool,
    as_json: bool,
    **writing: Any,
) -> int:
    """Tell who has learnt which method, whom to take together, and give the others practice.

    BUILD: a folder that `itembank build` wrote, or a form of `itembank assemble`; FILEs: its results, as `itembank
    analyse` takes them; then the next BUILD with its own.
    """
    from itembank.analysis.learnt import Rule, who_has_learnt
    from itembank.analysis.learnt_report import as_data
    from itembank.analysis.learnt_report import report as told
    from itembank.analysis.rendering import as_text
    from itembank.build.practice import PracticeRequest
    from itembank.calibration.reading import read_sittings

    request = None
    if bank is None:
        _refuse_what_is_for_practice()
    else:
        if out is None:
            raise click.UsageError("--practice needs a folder to write to: add --out DIR")
        check_formats(writing["formats"], bank)
    named = list(grouped("learnt", sittings))
    builds = read_sittings(named)
    for build in builds:
        if build.results.doubts:
            report.tell_diagnostics(build.results.doubts)
    results = [build.results for build in builds]
    found = who_has_learnt(results, by, Rule(share=Fraction(from_share, 100)))
    title = _together([build.title for build in builds])
    lines: list[str] = []
    if out is not None:
        for folder, _ in named:
            refuse_a_build(out, folder, "the report")
        if bank is not None:
            sat = tuple(folder for folder, _ in named)
            writing["language"] = writing["language"] or _language(results)
            request = PracticeRequest(bank, sat, count, seed, not_again, leave_out, approved, **writing)
        lines = _write(out, results, [build.title for build in builds], found, request)
    if as_json:
        report.say(report.figures_json(as_data(found, title)))
        return 0
    said = as_text(told(found, title, for_terminal=True)) if out is None else (*_summary(found), *lines)
    for line in said:
        report.say(line)
    return 0


_WITHOUT_PRACTICE: Final = frozenset({"sittings", "by", "from_share", "out", "bank", "as_json"})


def _refuse_what_is_for_practice() -> None:
    """Raises click.UsageError for an option that would do nothing."""
    context = click.get_current_context()
    for parameter in context.command.params:
        name = parameter.name or ""
        given = context.get_parameter_source(name) is ParameterSource.COMMANDLINE
        if given and name not in _WITHOUT_PRACTICE:
            raise click.UsageError(f"{parameter.opts[0]} is for practice: add --practice BANK")


def _language(results: Sequence[Results]) -> str:
    """The one language of everything that was asked, "" where there are several: practice is in it too."""
    found = {question.language for each in results for question in each.questions}
    return found.pop() if len(found) == 1 else ""


def _together(titles: Sequence[str]) -> str:
    return ", ".join(dict.fromkeys(titles))


def _write(
    out: Path,
    results: Sequence[Results],
    titles: Sequence[str],
    found: Learning,
    request: PracticeRequest | None,
) -> list[str]:
    """The report, what pupils are handed back, and practice where it is asked for; what is said of it."""
    from itembank.analysis.blocks import counted
    from itembank.analysis.feedback import feedback
    from itembank.analysis.feedback_page import as_feedback_page
    from itembank.analysis.learnt_report import as_data
    from itembank.analysis.learnt_report import report as told
    from itembank.build.own_work import refuse_own_work
    from itembank.build.practice import write_practice
    from itembank.output_folder import whole_folder
    from itembank.words import words

    refuse_own_work(out, "the report")
    lines = []
    title = _together(titles)
    with whole_folder(out, "the report") as folder:
        language = words(_language(results) or results[0].questions[0].language).language
        read = (language, told(found, title, language=language))
        written = report.write_report_files(folder, told(found, title), as_data(found, title), read) + 1
        sheets = set()
        needs = _needs(found)
        if request is not None and not needs:
            lines = ["no practice: nobody lost marks in what is not learnt for certain"]
        elif request is not None:
            below = folder / "practice"
            below.mkdir()
            made, doubts = write_practice(
                below, request, needs, lambda items, total: report.progress(items, total, "items")
            )
            report.tell_each(doubts)
            sheets = {each.need.number for each in made}
            written += sum(each.files for each in made)
            lines = [
                f"practice/{each.folder}: {counted(each.items, 'item')} for {counted(len(each.need.pupils), 'pupil')}"
                for each in made
            ]
        page = as_feedback_page(feedback(results, titles, found, sheets), title, language)
        (folder / "feedback.html").write_text(page, "utf-8", newline="\n")
    return [*lines, f"{written} files in {out}; they hold names, keep them safe"]


def _needs(learning: Learning) -> list[Need]:
    """What is to be practised, by whom."""
    from itembank.build.practice import Need

    needs = []
    for place, method in enumerate(learning.methods):
        if pupils := learning.to_practise(place):
            needs.append(Need(place + 1, method.name, method.title, method.templates, pupils))
    return needs


def _summary(learning: Learning) -> list[str]:
    from itembank.analysis.learnt import Verdict

    return [
        f"{method.name}: "
        + ", ".join(f"{verdict.value} {len(learning.of(place, verdict))}" for verdict in Verdict)
        for place, method in enumerate(learning.methods)
    ]
