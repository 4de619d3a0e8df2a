"""`itembank approve BANK [TEMPLATE...] --by NAME`"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from itembank.cli import report

if TYPE_CHECKING:
    from itembank.bank.approvals import Approved
    from itembank.bank.bank import Entry


@click.command("approve")
@click.argument("bank", type=click.Path(path_type=Path))
@click.argument("templates", nargs=-1, metavar="[TEMPLATE...]")
@click.option(
    "--by", default="", metavar="NAME", help="Who looked at them; without it what was approved is listed."
)
@click.option("--on", callback=report.a_day, metavar="DATE", help="The day, such as 2026-06-12 (today).")
@click.option("--note", default="", help="A line for people.")
@click.option("--all", "every", is_flag=True, help="Every template of the bank.")
@click.option("--withdraw", is_flag=True, help="Take approvals back, of every version.")
@click.option("--language", callback=report.language_tag, metavar="TAG", help="Of this translation.")
@click.option("--json", "as_json", is_flag=True, help="What is approved as JSON.")
def command(
    bank: Path,
    templates: tuple[str, ...],
    by: str,
    on: str,
    note: str,
    every: bool,
    withdraw: bool,
    language: str,
    as_json: bool,
) -> int:
    """Keep in a BANK who looked at a TEMPLATE and found it fit for pupils, or list what was approved.

    An approval is of a template's version and content with its slips: what changes is to be approved anew. `build
    --approved`, or `settings: {approved_only: yes}` in bank.yaml, draws from approved templates only.
    """
    from datetime import date

    from itembank.bank import approvals
    from itembank.bank.cache import load_bank

    if by and withdraw:
        raise click.UsageError("--withdraw takes approvals back: leave --by out")
    if every and templates:
        raise click.UsageError("--all is every template: leave the names out")
    if (by or withdraw) and not (every or templates):
        raise click.UsageError("name templates, or every one with --all")
    if (templates or every or note or on) and not (by or withdraw):
        raise click.UsageError("who looked? --by NAME")
    read = load_bank(bank, str(bank), language)
    done: tuple[Entry, ...] = ()
    if by:
        done = approvals.approve(read, templates, by, on or date.today().isoformat(), note)
    elif withdraw:
        done = approvals.withdraw(read, templates)
    found = approvals.states(read)
    if as_json:
        report.say_json(
            {"templates": [_data(each) for each in found], "changed": [_name(entry) for entry in done]}
        )
        return 0
    if by or withdraw:
        told = ", ".join(map(_name, done)) or "nothing new"
        report.say(f"{'taken back' if withdraw else 'approved'}: {told}")
    else:
        for line in _lines(found):
            report.say(line)
    approved = sum(each.state is approvals.State.APPROVED for each in found)
    report.say(f"{approved} of {len(found)} template{'s' * (len(found) != 1)} approved as they are")
    return 0


def _name(entry: Entry) -> str:
    return entry.recipe.template.name


def _lines(found: tuple[Approved, ...]) -> list[str]:
    rows = [("template", "version", "state", "by", "on", "note")]
    for each in found:
        template, approval = each.entry.recipe.template, each.approval
        state = each.state.value
        if each.version is not None and each.version != template.version:
            state = f"version {each.version} was approved"
        who = (approval.by, approval.on, approval.note) if approval is not None else ("", "", "")
        rows.append((template.name, str(template.version), state, *who))
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    return ["  ".join((*map(str.ljust, row, widths), row[-1])).rstrip() for row in rows]


def _data(each: Approved) -> dict[str, Any]:
    template, approval = each.entry.recipe.template, each.approval
    return {
        "template": template.name, "version": template.version, "state": each.state.value,
        "approved_version": each.version,
        "by": approval.by if approval is not None else None, "on": approval.on if approval is not None else None,
        "note": approval.note if approval is not None else None,
    }  # fmt: skip
