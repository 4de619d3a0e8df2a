"""`itembank show TEMPLATE`"""

from __future__ import annotations

from pathlib import Path
from typing import assert_never

import click

from itembank.bank.explain import values_told
from itembank.bank.shown_items import USUAL_COUNT, ShownItem, shown_items
from itembank.bank.sources import entries_of
from itembank.build.staff_text import difficulty_told, plain_text
from itembank.cli import report
from itembank.content import Content, TextShape
from itembank.errors import Diagnostic, InputError
from itembank.expressions import spelling
from itembank.expressions.conventions import conventions_of
from itembank.expressions.display import Maths
from itembank.figures import Figure, drawing
from itembank.items import (
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    MatchResponse,
    Option,
    OrderResponse,
    Part,
    WrittenResponse,
    WrongLineResponse,
    marks_text,
)
from itembank.verdicts import Proved
from itembank.words import Words, words
from itembank.writers.paper import slip_answer


@click.command("show")
@click.argument("template", type=click.Path(path_type=Path))
@click.option(
    "--count", type=click.IntRange(min=1, max=1000), help=f"How many items, {USUAL_COUNT} unless said."
)
@click.option("--seed", type=click.IntRange(min=0, max=2**63), default=1, help="Seed of the draw.")
@click.option(
    "--corners",
    "at_corners",
    is_flag=True,
    help="Smallest, largest, longest, each sign and shape, fewest slips.",
)
@click.option("--language", callback=report.language_tag, help="Language of texts, such as es or en-US.")
@click.option("--json", "as_json", is_flag=True, help="Whole items as JSON.")
@click.option(
    "--page", type=click.Path(path_type=Path), metavar="FILE.html",
    help="A page for the teacher who is to approve them.",
)  # fmt: skip
def command(
    template: Path,
    count: int | None,
    seed: int,
    at_corners: bool,
    language: str,
    as_json: bool,
    page: Path | None,
) -> int:
    """Show items of a TEMPLATE file (or of each template of a bank) as text, or on a page to read and sign."""
    if at_corners and count is not None:
        raise click.UsageError("`--corners` shows every extreme there is, so `--count` does not go with it")
    if as_json and page is not None:
        raise click.UsageError("`--page` is for people, so `--json` does not go with it")
    if page is not None:
        return _write_page(template, page, count or USUAL_COUNT, seed, at_corners, language)
    entries, doubts, _ = entries_of(template, language)
    report.tell_each(doubts)
    records: list[str] = []
    wrong: list[Diagnostic] = []
    for entry in entries:
        try:
            for number, shown in enumerate(shown_items(entry, seed, count or USUAL_COUNT, at_corners), 1):
                if as_json:
                    from itembank.build.staff import record

                    records.append(record(shown.item, shown.findings))
                else:
                    _say(shown, number)
        except InputError as error:
            wrong.extend(error.diagnostics)
    if as_json and not wrong:
        report.say("[" + ",\n".join(records) + "]")
    if wrong:
        raise InputError(wrong)
    return 0


def _write_page(template: Path, page: Path, count: int, seed: int, at_corners: bool, language: str) -> int:
    from itembank.build.review_page import page_to_review

    made = page_to_review(template, count=count, seed=seed, at_corners=at_corners, language=language)
    report.tell_each(made.doubts)
    report.write_new(page, made.text, "it may hold what a reviewer wrote")
    items, templates = (
        f"{n} {what}{'s' * (n != 1)}" for n, what in ((made.items, "item"), (made.templates, "template"))
    )
    report.say(f"{page}: {items} of {templates}")
    return 0


def _maths(maths: Maths, w: Words) -> str:
    return spelling.terminal(maths, conventions_of(w)) if report.can_show_signs() else spelling.plain(maths)


def _text(content: Content, w: Words) -> str:
    fillings = tuple(f if isinstance(f, str) else _maths(f, w) for f in content.fillings)
    return plain_text(Content(content.shape, fillings))


def _paragraphs(content: Content, w: Words) -> list[str]:
    shape = content.shape
    return [_text(Content(TextShape((block,), shape.holes), content.fillings), w) for block in shape.blocks]


def _say(shown: ShownItem, number: int) -> None:
    corner, item, findings = shown
    w = words(item.about.language)
    word = corner.told(w) if corner is not None else ""
    values = ", ".join(f"{name} = {value}" for name, value in values_told(item).items())
    report.say(f"{number}. {item.address.template}{f' ({word})' if word else ''}   [{values}]")
    for part in item.parts:
        _say_part(part, w)
    if item.difficulty is not None:
        report.say(f"    predicted {difficulty_told(item.difficulty)}")
    for finding in findings:
        if finding.subject == "claim" and isinstance(finding.verdict, Proved):
            report.say(f"    proved  {finding.claim}: {finding.verdict.witness}")
    report.say(f"    proved  {len(findings)} claims in all")
    report.say()


def _say_part(part: Part, w: Words) -> None:
    """A part as the pupil has it, with all that is behind it, in the words of its language."""
    label = f"({part.label}) " if part.label else ""
    for paragraph in _paragraphs(part.stem, w):
        report.say(f"    {label}{paragraph}")
        label = ""
    if part.figure is not None:
        report.say(f"      {w('show-figure', told=_picture(part.figure, w))}")
    match part.response:
        case ChoiceResponse(options=options):
            _say_options(options, w)
        case ChoicesResponse(options=options, marks=total):
            _say_options(options, w)
            report.say(f"      ({w.counted('marks', total)})")
        case WrongLineResponse() as response:
            _say_wrong_line(response, w)
        case EntryResponse() as response:
            _say_entry(part, response, w)
        case OrderResponse() as response:
            for place, thing in enumerate(response.in_order, start=1):
                printed = w("show-printed", letter=thing.identifier)
                report.say(f"      {place}    {_maths(thing.maths, w):<32} {printed}")
            report.say(f"      ({w.counted('marks', response.marks)})")
        case MatchResponse() as response:
            _say_match(response, w)
        case WrittenResponse() as response:
            written = w("show-written", lines=response.lines)
            report.say(f"      {written}   ({w.counted('marks', response.marks)})")
        case _:
            assert_never(part.response)
    for line in part.solution:
        marks = " ".join(str(mark) for mark in line.marks)
        said = _text(line.say, w) if line.say else ""
        shown = _maths(line.maths, w) if line.maths else ""
        if line.kind in ("aside", "rejects", "let"):
            shown = w(f"show-{line.kind}", line=shown).rstrip()
        if said:
            report.say(f"        {said}")
        if shown or marks:
            report.say(f"          {shown:<40} {marks}".rstrip())
        if line.figure is not None:
            report.say(f"          {w('show-figure', told=_picture(line.figure, w))}")


def _picture(figure: Figure, w: Words) -> str:
    told = drawing(figure, w).description
    return "".join(part if isinstance(part, str) else _maths(part, w) for part in told)


def _say_options(options: tuple[Option, ...], w: Words) -> None:
    for option in options:
        shown = option.content
        content = _maths(shown, w) if isinstance(shown, Maths) else _text(shown, w)
        mark = w("show-is-key") if option.is_key else option.slip.name if option.slip else ""
        report.say(f"      {option.identifier}  {content:<34} {mark}".rstrip())


def _say_match(response: MatchResponse, w: Words) -> None:
    for row in response.rows:
        report.say(
            f"      {row.identifier[1:]}  {_maths(row.statement, w):<34} {w('show-key', key=row.target)}"
        )
    _say_options(tuple(Option(t.identifier, t.content, False, t.slip) for t in response.targets), w)
    report.say(f"      ({w.counted('marks', response.marks)})")


def _say_wrong_line(response: WrongLineResponse, w: Words) -> None:
    for number, line in enumerate(response.lines, start=1):
        if line.say:
            report.say(f"         {_text(line.say, w)}")
        told = w("show-key", key=response.slip.name) if number == response.wrong + 1 else ""
        report.say(f"      {number}    {_maths(line.maths, w):<32} {told}".rstrip())
    report.say(f"      ({w.counted('marks', response.marks)})")


def _say_points(response: EntryResponse, w: Words) -> None:
    """The boxes of each point, and what a point earns."""
    first, second = response.blanks
    for groups in zip(first.values, second.values, strict=True):
        told = (_boxes(blank.boxes, group) for blank, group in zip(response.blanks, groups, strict=True))
        report.say(
            f"      ({spelling.letter(first.unknown)}, {spelling.letter(second.unknown)}): [{'] ['.join(told)}]"
        )
    if response.share:
        report.say(f"      {w('show-each-point', marks=marks_text(response.share))}")


def _boxes(roles: tuple[str, ...], group: tuple[object, ...]) -> str:
    pairs = zip(roles, group, strict=True)
    return ", ".join(f"{role} = {value}" if role != "value" else str(value) for role, value in pairs)


def _say_entry(part: Part, response: EntryResponse, w: Words) -> None:
    report.say(f"      {_text(response.instruction, w)}")
    for blank in response.blanks if not response.points else ():
        if blank.words:
            listed = ", ".join(
                f"[{one.text}]" if i == blank.chosen else one.text for i, one in enumerate(blank.words)
            )
            report.say(f"      {blank.before or w('show-words')}: {listed}")
            continue
        for group in blank.values:
            before, after = (blank.unit, "") if blank.unit_first else ("", f" {blank.unit}".rstrip())
            held = _boxes(blank.boxes, group)
            report.say(f"      {spelling.letter(blank.unknown) or w('show-answer')}: {before}[{held}]{after}")
        if blank.join:
            report.say(f"      {w('show-joined', word=w(blank.join))}")
    if response.points:
        _say_points(response, w)
    key = w("show-key", key=_maths(response.rounded or part.key, w))
    report.say(f"      {key}   ({w.counted('marks', response.marks)})")
    if part.follow is not None:
        report.say(f"      {w('show-follow', key=_maths(part.follow, w))}")
    for slip in part.slips:
        report.say(f"      {w('show-slip', name=slip.name, answer=_maths(slip_answer(part, slip), w))}")
