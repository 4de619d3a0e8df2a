"""`itembank new NAME`"""

from __future__ import annotations

import re
from pathlib import Path

import click

from itembank.cli import report
from itembank.errors import Diagnostic, InputError, Span

STARTER = """\
# An item template. `itembank check FILE` tells what is wrong; `itembank show FILE` shows items.
template: {name}
version: 1                            # raise it whenever the content changes
title: Solve a quadratic by completing the square
topics: [quadratics/completing-the-square]
demand: use                           # know | use | reason
calculator: no                        # no | yes | either
minutes: 3

unknowns: [x]                         # what the pupil finds
parameters:                           # what varies from item to item
  h: {{from: -6, to: 6, leaving_out: [0]}}
  k: {{from: 2, to: 40}}
derived: {{b: -2*h, c: h^2 - k}}        # worked out from parameters
constraints: [c != 0]                 # chooses among the values
guarantees:                           # chooses, and is proved of every item
  - irrational_roots(problem)

problem: x^2 + b*x + c = 0            # what stem, key, guarantees and proof share
stem: |
  By completing the square, solve $problem$.
  Give each solution in its simplest surd form.
response: {{kind: choice, options: 3}}
key: x = h ± surd(k)                  # proved to be exactly the problem's solutions
slips:                                # wrong options: each what one known slip leads to
  - {{slip: sign-of-half, value: x = -h ± surd(k)}}
  - {{slip: not-halved, value: (x + b)^2 = b^2 - c}}
  - {{slip: squared-not-halved, value: (x - h)^2 = b^2 - c}}
solution:                             # each line is proved to say the same as the problem
  - say: Move the constant to the right-hand side.
    math: x^2 + b*x = -c
    marks: M1
  - say: Add the square of half the coefficient of $x$ to both sides.
    math: (x - h)^2 = k
    marks: M1
  - math: x = h ± surd(k)
    marks: A1
"""


@click.command("new")
@click.argument("name")
@click.option(
    "--into", type=click.Path(path_type=Path), default=Path("."), help="Folder to put the file into."
)
def command(name: str, into: Path) -> int:
    """Write a commented template NAME.yaml to start from."""
    name = name.removesuffix(".yaml")
    if not re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", name):
        raise click.BadParameter(
            f"`{name}` is no template name: use lower-case words joined by hyphens, such as missing-constant"
        )
    from itembank.writers.package import file_name

    if file_name(name, ".yaml") != f"{name}.yaml":
        why = "Windows has a device of that name" if len(name) < 10 else "it is longer than 80 characters"
        told = name if len(name) < 40 else f"{name[:40]}..."
        raise click.BadParameter(f"a file cannot be called `{told}` everywhere ({why}): choose another name")
    path = into / f"{name}.yaml"
    try:
        if not into.is_dir():
            into.mkdir(parents=True)
    except OSError as failed:
        message = f"the folder cannot be made: {(failed.strerror or str(failed)).lower()}"
        hint = "see to it that folders can be made there"
        raise InputError(Diagnostic("not-writable", message, Span(str(into), 1, 1), hint=hint)) from None
    report.write_new(path, STARTER.format(name=name), "it may hold a template of yours")
    report.say(f"{path}")
    return 0
