"""`itembank used BANK`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.bank.cache import load_bank
from itembank.cli import report
from itembank.store.before import unknown_groups
from itembank.store.exposure import exposure
from itembank.store.reading import RECORD_FOLDER, read_record


@click.command("used")
@click.argument("bank", type=click.Path(path_type=Path))
@click.option(
    "--by", multiple=True, metavar="GROUP", help="Sittings of this group alone; several may be named."
)
@click.option(
    "--since", callback=report.a_day, metavar="DATE", help="Sittings on this day or later, as 2026-01-01."
)
@click.option("--limit", type=click.IntRange(min=0), help="Tell which items were used more often than that.")
@click.option("--items", is_flag=True, help="Also every item that was used, with what it asks.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the report and its tables; replaced whole."
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(
    bank: Path,
    by: tuple[str, ...],
    since: str,
    limit: int | None,
    items: bool,
    out: Path | None,
    as_json: bool,
) -> int:
    """Tell what was sat of a BANK: its sittings, and how often items of each template were used."""
    from itembank.analysis.rendering import as_text
    from itembank.cli.analyse import refuse_a_build
    from itembank.store.report import as_data
    from itembank.store.report import report as told

    read = load_bank(bank, str(bank))
    whole = read_record(bank)
    if doubts := unknown_groups(whole, by, bank):
        report.tell_diagnostics(doubts)
    record = whole.among(by, since)
    found = exposure(record, [entry.recipe.template.name for entry in read.entries], limit)
    if out is not None:
        refuse_a_build(out, bank / RECORD_FOLDER, "the report")
        written = report.write_report(out, told(record, found, limit), as_data(record, found), "the report")
    if as_json:
        report.say_json(as_data(record, found))
    elif not record.sittings:
        some = " of these" if whole.sittings else ""
        report.say(
            f"no sitting{some} is recorded: itembank record BUILD --into {bank} --group NAME --on DATE"
        )
    elif out is None:
        for line in as_text(told(record, found, limit, items=items)):
            report.say(line)
    else:
        sittings = f"{found.sittings} sitting" + "s" * (found.sittings != 1)
        report.say(f"{sittings}, {len(found.items)} different items used, {written} files in {out}")
    return 0
