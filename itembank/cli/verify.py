"""`itembank verify PACKAGE...`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report


@click.command("verify")
@click.argument("packages", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--thorough", is_flag=True, help="Use sympy for everything, not only where the quick road ends."
)
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON.")
def command(packages: tuple[Path, ...], thorough: bool, as_json: bool) -> int:
    """Audit exported PACKAGES (zip files, folders or item files) from the files alone."""
    from itembank.audit.verify import verify

    reports = [verify(path, thorough=thorough) for path in packages]
    if as_json:
        report.say_json([found.as_dict() for found in reports])
    else:
        for found in reports:
            for line in found.lines():
                report.say(line)
    return 0 if all(found.ok for found in reports) else 1
