"""`itembank restore BANK SITTING --out DIR`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report
from itembank.store.recording import restore


@click.command("restore")
@click.argument("bank", type=click.Path(path_type=Path))
@click.argument("sitting")
@click.option(
    "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder to write; replaced whole."
)
@click.option("--json", "as_json", is_flag=True, help="What was brought back as JSON.")
def command(bank: Path, sitting: str, out: Path, as_json: bool) -> int:
    """Bring back what was sat in a SITTING of a BANK's record, byte for byte: papers, packages, staff's files.

    DIR is then as the build had left it, without what named pupils, for `analyse`, `verify` and a printer. Templates
    may have changed meanwhile. `itembank used` tells the names of sittings.
    """
    files = restore(bank, sitting, out)
    if as_json:
        report.say_json({"sitting": sitting.removesuffix(".yaml"), "files": files, "out": str(out)})
    else:
        report.say(f"{files} files in {out}, proved to be as they were recorded")
    return 0
