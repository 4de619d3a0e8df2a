"""`itembank verify PACKAGE...`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report
from itembank.cli.machine import MOST_WORKERS, processors


@click.command("verify")
@click.argument("packages", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--thorough", is_flag=True, help="Use sympy for everything, not only where the quick road ends."
)
@click.option(
    "--digests",
    type=click.Path(path_type=Path),
    help="A list kept elsewhere (a build's staff/digests.txt): any changed byte is found.",
)
@click.option(
    "--schemas",
    type=click.Path(path_type=Path),
    help="A folder of official schemas with an XML catalogue, catalog.xml: every document is checked against them.",
)
@click.option(
    "--extension",
    "extensions",
    multiple=True,
    metavar="NAME",
    help="An installed extension whose pictures are checked too.",
)
@click.option(
    "--workers",
    type=click.IntRange(1, MOST_WORKERS),
    help="Processes to share the items of a large package among; as many as there are processors unless said.",
)
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON.")
def command(
    packages: tuple[Path, ...],
    thorough: bool,
    digests: Path | None,
    schemas: Path | None,
    extensions: tuple[str, ...],
    workers: int | None,
    as_json: bool,
) -> int:
    """Audit exported PACKAGES (zip files, folders, item files, or a whole build's folder) from the files alone."""
    from itembank.audit.digests import read_digests
    from itembank.audit.schemas import Schemas
    from itembank.audit.verify import verify_all

    if extensions:
        from itembank.bank.extensions import use_named

        use_named(extensions)
    listed = read_digests(digests) if digests is not None else None
    held = Schemas(schemas) if schemas is not None else None
    reports = verify_all(
        packages, thorough=thorough, digests=listed, schemas=held, workers=workers or processors()
    )
    for address in sorted(held.missing) if held is not None else ():
        report.tell(f"not checked, the folder holds no schema for {address}")
    if as_json:
        report.say_json([found.as_dict() for found in reports])
    else:
        for found in reports:
            for line in found.lines():
                report.say(line)
    return 0 if all(found.ok for found in reports) else 1
