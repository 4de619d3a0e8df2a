"""`itembank schema`"""

from __future__ import annotations

import click

from itembank.cli import report


@click.command("schema")
@click.option(
    "--of",
    "what",
    type=click.Choice(["template", "bank", "slips", "blueprint", "calibration", "sitting", "items"]),
    default="template",
    show_default=True,
    help="The file it is for: a template, bank.yaml, slips.yaml, a blueprint, calibration.yaml, a "
    "sitting of the record, or built items.json.",
)
def command(what: str) -> int:
    """Print the JSON Schema of a file that people write, for editors, or of built items, for programs."""
    if what == "items":
        from itembank.build.schemas import items_schema

        report.say_json(items_schema())
        return 0
    from itembank.templates.schemas import SCHEMAS

    report.say_json(SCHEMAS[what]())
    return 0
