"""`itembank restore BANK SITTING --out DIR`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report
from itembank.cli.build import check_formats, formats_option
from itembank.store.recording import restore


@click.command("restore")
@click.argument("bank", type=click.Path(path_type=Path))
@click.argument("sitting")
@click.option(
    "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder to write; replaced whole."
)
@click.option(
    "--formats", callback=formats_option, metavar="LIST", help="Write these formats anew, as `build` does."
)
@click.option("--large-print", is_flag=True, help="Papers anew, in letters of 18 points.")
@click.option("--paper-size", type=click.Choice(["a4", "letter"]), help="Papers anew, of this size.")
@click.option("--pdf", is_flag=True, help="Papers anew, also as PDF files, where TeX is installed.")
@click.option("--json", "as_json", is_flag=True, help="What was brought back as JSON.")
def command(
    bank: Path,
    sitting: str,
    out: Path,
    formats: tuple[str, ...] | None,
    large_print: bool,
    paper_size: str | None,
    pdf: bool,
    as_json: bool,
) -> int:
    """Bring back what was sat in a SITTING of a BANK's record, byte for byte: papers, packages, staff's files.

    The folder is then as the build had left it, without what named pupils, for `analyse`, `verify` and a printer.
    Templates may have changed meanwhile. `itembank used` tells the names of sittings. Where formats or looks of papers
    are asked for, these are written anew, if the bank still makes the very items that were sat.
    """
    check_formats(formats, bank)
    anew = bool(formats or large_print or paper_size or pdf)
    if anew:
        from itembank.build.again import AgainRequest, write_again

        chosen = formats or (("latex", "html") if not pdf else ("latex",))
        request = AgainRequest(bank, sitting, out, chosen, paper_size, large_print, pdf)
        made = write_again(request, lambda products, total: report.progress(products, total, "items"))
        files = sum(len(each.files) for each in made)
    else:
        from itembank.build.own_work import refuse_own_work

        refuse_own_work(out, "the form")
        files = restore(bank, sitting, out)
    if as_json:
        name = sitting.removesuffix(".yaml")
        report.say_json({"sitting": name, "files": files, "out": str(out), "written_anew": anew})
    elif anew:
        report.say(f"{files} files in {out}, written anew of the very items that were sat")
    else:
        report.say(f"{files} files in {out}, proved to be as they were recorded")
    return 0
