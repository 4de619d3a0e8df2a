"""`itembank schema`"""

from __future__ import annotations

import click

from itembank.cli import report


@click.command("schema")
@click.option(
    "--of",
    "what",
    type=click.Choice(["template", "bank", "slips"]),
    default="template",
    show_default=True,
    help="The file it is for: a template, bank.yaml or slips.yaml.",
)
def command(what: str) -> int:
    """Print the JSON Schema of a template, a bank file or a slip file, for editors."""
    from itembank.templates.schemas import SCHEMAS

    report.say_json(SCHEMAS[what]())
    return 0
