"""`itembank record BUILD --into BANK --group NAME --on DATE`"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from itembank.cli import report
from itembank.store.recording import Kept, keep


@click.command("record")
@click.argument("build", type=click.Path(path_type=Path))
@click.option(
    "--into", type=click.Path(path_type=Path), required=True, metavar="BANK",
    help="The bank that it was built from, whose folder `record` keeps it.",
)  # fmt: skip
@click.option("--group", required=True, metavar="NAME", help="Who sat it: a class, set or course, no pupil.")
@click.option("--on", required=True, metavar="DATE", help="The day of the sitting, such as 2026-06-12.")
@click.option("--note", default="", help="A line for people.")
@click.option("--json", "as_json", is_flag=True, help="What was recorded as JSON.")
def command(build: Path, into: Path, group: str, on: str, note: str, as_json: bool) -> int:
    """Keep in a bank that a group sat a BUILD, with its items whole.

    BUILD: a folder that `itembank build` or `assemble` wrote; of an assembly all its forms were sat, or name one. Names
    and results of pupils are not kept. Recording the same again changes nothing.
    """
    kept = keep(build, into, group, on, note)
    if as_json:
        report.say_json(_data(kept))
        return 0
    if kept.doubts:
        report.tell_diagnostics(kept.doubts)
    sitting = kept.sitting
    if kept.is_new:
        items = f"{len(kept.items)} item" + "s" * (len(kept.items) != 1)
        report.say(
            f"recorded {sitting.name}: {items} of {sitting.title}, sat by {sitting.group} on {sitting.on}"
        )
    else:
        report.say(f"was recorded before as {sitting.name}; nothing was changed")
    if kept.seen_before:
        codes = ", ".join(item.code for item in kept.seen_before[:8])
        more = f" and {len(kept.seen_before) - 8} more" if len(kept.seen_before) > 8 else ""
        report.say(f"    the group had sat {len(kept.seen_before)} of them before: {codes}{more}")
    if kept.left_out:
        names = [name.rpartition("/")[2] for name in kept.left_out]
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        report.say(f"    not kept, for pupils may be named there: {', '.join(names[:3])}{more}")
    return 0


def _data(kept: Kept) -> dict[str, Any]:
    sitting = kept.sitting
    return {
        "sitting": sitting.name,
        "is_new": kept.is_new,
        "group": sitting.group,
        "day": sitting.on,
        "note": sitting.note,
        "forms": [{"form": f.name, "title": f.title, "digest": f.digest} for f in sitting.forms],
        "items": [{"code": i.code, "address": i.address, "asks": i.asks} for i in kept.items],
        "seen_before": [item.code for item in kept.seen_before],
        "left_out": list(kept.left_out),
        "diagnostics": [report.as_data(each) for each in kept.doubts],
    }
