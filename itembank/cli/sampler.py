"""`itembank sampler BANK --out DIR`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report
from itembank.writers.formulas import MODES

_PACKAGES = ("qti3", "qti22", "qti21", "cc")


def _listed(ctx: click.Context, parameter: click.Parameter, value: str) -> tuple[str, ...]:
    names = tuple(dict.fromkeys(name.strip() for name in value.split(",") if name.strip()))
    known = MODES if parameter.name == "maths" else _PACKAGES
    unknown = [name for name in names if name not in known]
    if unknown or not names:
        raise click.BadParameter(f"`{unknown[0] if unknown else value}` is none of {', '.join(known)}")
    return names


@click.command("sampler")
@click.argument("bank", type=click.Path(path_type=Path))
@click.option(
    "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder to write; replaced whole."
)
@click.option(
    "--formats", callback=_listed, default=",".join(_PACKAGES), metavar="LIST",
    help=f"Which packages to write, from {','.join(_PACKAGES)}.",
)  # fmt: skip
@click.option(
    "--maths", callback=_listed, default="mathml", metavar="LIST",
    help=f"How formulas are written, a package for each, from {','.join(MODES)}.",
)  # fmt: skip
@click.option("--language", callback=report.language_tag, help="Language of texts, such as es or en-US.")
@click.option("--json", "as_json", is_flag=True, help="What was written as JSON.")
def command(
    bank: Path, out: Path, formats: tuple[str, ...], maths: tuple[str, ...], language: str, as_json: bool
) -> int:
    """Write one item of each kind of a BANK folder in every package, and a page that says what should be seen."""
    from itembank.build.sampler import write_sampler

    made = write_sampler(bank, out, formats, maths, language)
    if as_json:
        told = {"items": {code: list(kinds) for code, kinds in made.kinds.items()}}
        report.say_json({**told, "files": list(made.files), "shortfalls": list(made.lost)})
        return 0
    for code, kinds in made.kinds.items():
        report.say(f"{code}  {'; '.join(kinds)}")
    report.say(f"{len(made.kinds)} items, {len(made.files)} files in {out}")
    return 0
