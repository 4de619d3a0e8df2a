"""`itembank unrecord BANK SITTING`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report
from itembank.store.recording import take_back


@click.command("unrecord")
@click.argument("bank", type=click.Path(path_type=Path))
@click.argument("sitting")
@click.option("--json", "as_json", is_flag=True, help="What was taken back as JSON.")
def command(bank: Path, sitting: str, as_json: bool) -> int:
    """Take a SITTING out of a BANK's record, which was recorded by mistake; `itembank used` tells its name."""
    gone = take_back(bank, sitting)
    if as_json:
        report.say_json({"sitting": gone.name, "group": gone.group, "day": gone.on})
    else:
        who = f", sat by {gone.group} on {gone.on}" if gone.group else ""
        report.say(f"taken back: {gone.name}{who}")
    return 0
