"""`itembank schema`"""

from __future__ import annotations

import click

from itembank.cli import report


@click.command("schema")
def command() -> int:
    """Print the JSON Schema of a template, for editors."""
    from itembank.templates.model import template_schema

    report.say_json(template_schema())
    return 0
