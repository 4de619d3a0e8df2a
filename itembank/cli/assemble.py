"""`itembank assemble BLUEPRINT --out DIR`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.build.assemble import AssembleRequest, assemble
from itembank.build.assembly_report import HEAD
from itembank.build.build import FORMATS
from itembank.cli import report
from itembank.cli.build import check_formats, formats_option
from itembank.writers.formulas import DELIMITERS, MODES


@click.command("assemble")
@click.argument("blueprint", type=click.Path(path_type=Path))
@click.option(
    "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder to write; replaced whole."
)
@click.option("--bank", type=click.Path(path_type=Path), help="The bank, where the blueprint lies elsewhere.")
@click.option("--forms", type=click.IntRange(1, 26), help="Another number of forms than the blueprint's.")
@click.option("--seed", type=click.IntRange(min=0, max=2**63), help="Another seed than the blueprint's.")
@click.option(
    "--not-again", type=click.Path(path_type=Path), multiple=True, metavar="DIR",
    help="A folder of an earlier build or assembly, whose items are not used again.",
)  # fmt: skip
@click.option(
    "--formats", callback=formats_option, metavar="LIST", help=f"What to write, from {','.join(FORMATS)}."
)
@click.option(
    "--proof",
    type=click.Choice(["standard", "full"]),
    default="standard",
    help="full: sympy proves every item again.",
)
@click.option("--language", callback=report.language_tag, help="Language of texts, such as es or en-US.")
@click.option(
    "--class-list", type=click.Path(path_type=Path),
    help="CSV of pupils: papers with their names on them, the forms going round.",
)  # fmt: skip
@click.option("--paper-size", type=click.Choice(["a4", "letter"]), help="Of the sheet.")
@click.option("--large-print", is_flag=True, help="Papers in letters of 18 points.")
@click.option("--pdf", is_flag=True, help="Papers also as PDF files, where TeX is installed.")
@click.option("--maths", type=click.Choice(MODES), help="How formulas are written in packages and pages.")
@click.option(
    "--latex-delimiters",
    type=click.Choice(list(DELIMITERS)),
    help="What stands around formulas with --maths latex.",
)
@click.option("--workers", type=click.IntRange(1, 64), default=1, help="Processes to work in.")
@click.option("--json", "as_json", is_flag=True, help="The report as JSON.")
def command(
    blueprint: Path,
    out: Path,
    bank: Path | None,
    forms: int | None,
    seed: int | None,
    not_again: tuple[Path, ...],
    formats: tuple[str, ...] | None,
    proof: str,
    language: str,
    class_list: Path | None,
    paper_size: str | None,
    large_print: bool,
    pdf: bool,
    maths: str | None,
    latex_delimiters: str | None,
    workers: int,
    as_json: bool,
) -> int:
    """Choose and write parallel test forms that hold what a BLUEPRINT file asks for."""
    if bank is not None:
        check_formats(formats, bank)
    request = AssembleRequest(
        blueprint, out, bank, forms, seed, formats, proof == "full", workers,
        paper_size, large_print, pdf, language, maths, latex_delimiters, not_again, class_list,
    )  # fmt: skip
    result = assemble(request, lambda products, total: report.progress(products, total, "items"))
    made = result.report
    if as_json:
        report.say(made.as_json().rstrip())
        return 0
    for diagnostic in result.doubts:
        for told in report.diagnostic_lines(diagnostic):
            report.tell(told)
    lines = [HEAD, *(form.cells() for form in made.forms)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEAD))]
    for line in lines:
        report.say("  ".join(map(str.rjust, line, widths)))
    report.say(f"chosen from {made.pool} items; {made.how_alike()}")
    report.say(f"{len(made.files)} files in {out}")
    return 0
