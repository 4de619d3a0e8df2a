"""In which letter a discriminant is taken: its only one, else that of the problem, wherever `letters` names it."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import verify_all
from itembank.build.build import BuildRequest, build
from itembank.library import check

VALUE = """\
template: discriminant
version: 1
title: Work a discriminant out
unknowns: [D]
letters: {letters}
parameters: {{a: [1, 2], b: {{from: 1, to: 6}}, c: {{from: 1, to: 5}}}}
problem: D = discriminant(a*x^2 + b*x + c)
stem: Work out the discriminant $D$ of $y = a*x^2 + b*x + c$.
response: {{kind: choice, options: 3}}
key: D = {key}
slips:
  - {{slip: added, value: D = b^2 + 4*a*c, pupil: Is it added?, teacher: Adds.}}
  - {{slip: no-four, value: D = b^2 - a*c, pupil: Where is the 4?, teacher: Forgets the 4.}}
"""
EQUAL_ROOTS = """\
template: discriminant
version: 1
title: Equal roots
unknowns: [k]
letters: {letters}
parameters: {{a: [1, 2], m: {{from: 1, to: 6}}}}
problem: discriminant(a*x^2 + k*x + a*m^2) = 0
stem: For which $k$ does the curve $y = a*x^2 + k*x + a*m^2$ touch the $x$-axis?
response: {{kind: entry, blanks: {{k: {{form: integer}}}}}}
key: k = 2*a*m or k = -2*a*m
"""
GOOD = {"value": VALUE.replace("{key}", "b^2 - 4*a*c"), "equal roots": EQUAL_ROOTS}


@pytest.mark.parametrize("name", GOOD)
@pytest.mark.parametrize("letters", ["[x]", "[x, y]", "[y, x]"])
def test_the_order_of_the_letters_makes_no_difference(name: str, letters: str, tmp_path: Path) -> None:
    folder = tmp_path / "evening" / "templates"
    folder.mkdir(parents=True)
    (folder.parent / "bank.yaml").write_text("bank: evening\ntitle: Discriminants\n", encoding="utf-8")
    (folder / "discriminant.yaml").write_text(GOOD[name].format(letters=letters), encoding="utf-8")

    assert check(folder.parent).ok
    build(BuildRequest(folder.parent, tmp_path / "out", count=4, formats=("qti3", "cc"), full_proof=True))
    reports = verify_all([tmp_path / "out"], thorough=True, workers=1)
    assert len(reports) == 2
    assert [] == [finding for report in reports for finding in report.findings]


def test_no_discriminant_is_0_for_lack_of_its_letter(tmp_path: Path) -> None:
    """Taken in another letter the expression is a constant, and its discriminant was 0."""
    path = tmp_path / "discriminant.yaml"
    path.write_text(VALUE.format(letters="[y, x]", key="0"), encoding="utf-8")

    assert "wrong-key" in {each.code for each in check(path).diagnostics}
