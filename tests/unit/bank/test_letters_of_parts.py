"""One letter in several parts: written in another form here, asked for there; what was found is a letter in texts."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import verify_all
from itembank.build.build import BuildRequest, build
from itembank.errors import InputError
from itembank.library import check, draw, plain_text

SQUARE_THEN_SOLVE = """\
template: parts
version: 1
title: Complete the square, then solve
parameters: {h: {from: 1, to: 6}, k: {from: 2, to: 7}}
constraints: [h != k]
derived: {c: h^2 - k^2}
parts:
  - unknowns: [p, q]
    for_every: [x]
    problem: x^2 + 2*h*x + c = (x + p)^2 + q
    stem: Find $p$ and $q$ with $problem$ for every $x$.
    response: {kind: entry, blanks: {p: {form: integer, marks: B1}, q: {form: integer, marks: B1}}}
    key: p = h and q = -k^2
  - unknowns: [x]
    problem: (x + p)^2 + q = 0
    stem: Hence solve $problem$, that is $x^2 + 2*h*x + c = 0$.
    response: {kind: entry, marks: 2, blanks: {x: {form: integer}}}
    key: x = -h - k or x = -h + k
    slips: [{slip: signs, value: x = h - k or x = h + k, pupil: What is the sign of $p$?, teacher: Sign of $p$.}]
    solution:
      - {say: Put $p$ and $q$ in., math: (x + p)^2 = -q, marks: M1}
      - {math: x = -h - k or x = -h + k, marks: A1}
  - unknowns: [s]
    problem: s = p + q
    stem: Work out $p + q$.
    response: {kind: entry, blanks: {s: {form: integer, marks: B1 ft}}}
    key: s = p + q
"""
FACTORISE_THEN_SOLVE = """\
template: parts
version: 1
title: Factorise, then solve
letters: [x]
parameters: {h: {from: 1, to: 6}, k: {from: 2, to: 9}}
constraints: [h < k]
parts:
  - problem: x^2 + (h + k)*x + h*k
    stem: Factorise $problem$.
    response: {kind: entry, blanks: {answer: {form: brackets}}}
    key: (x + h)*(x + k)
  - unknowns: [x]
    problem: x^2 + (h + k)*x + h*k = 0
    stem: Hence solve $problem$.
    response: {kind: entry, blanks: {x: {form: integer}}}
    key: x = -h or x = -k
  - unknowns: [x]
    problem: x - h = k
    stem: Solve $problem$ too.
    response: {kind: entry, blanks: {x: {form: integer}}}
    key: x = h + k
  - unknowns: [m]
    for_every: [x]
    problem: x^2 + (h + k)*x + h*k + m = x^2 + (h + k)*x
    stem: For which $m$ is $problem$ for every $x$?
    response: {kind: entry, blanks: {m: {form: integer}}}
    key: m = -h*k
"""
FORMULA_THEN_SOLVE = """\
template: parts
version: 1
title: A formula, its completed square and its values
parameters: {h: {from: 3, to: 6}, d: [1, 2]}
derived: {t: 2*h^2 - 2*d^2}
parts:
  - unknowns: [A]
    in_terms_of: [x]
    problem: A = x*(4*h - 2*x)
    stem: A pen at a wall has sides of $x$ m and $4*h - 2*x$ m. Show that its area in m² is $A = 4*h*x - 2*x^2$.
    response: {kind: written, marks: 1}
    key: A = 4*h*x - 2*x^2
    solution: [{math: A = 4*h*x - 2*x^2, marks: A1}]
  - unknowns: [p, q]
    for_every: [x]
    problem: 4*h*x - 2*x^2 = q - 2*(x - p)^2
    stem: Find $p$ and $q$ with $problem$ for every $x$.
    response: {kind: entry, blanks: {p: {form: integer, marks: B1}, q: {form: integer, marks: B1}}}
    key: p = h and q = 2*h^2
  - unknowns: [x]
    problem: 4*h*x - 2*x^2 = t
    stem: For which two values of $x$ is the area $t$ m²?
    response: {kind: entry, blanks: {x: {form: integer}}}
    key: x = h - d or x = h + d
"""
SHARED_THEN_SOLVE = SQUARE_THEN_SOLVE.replace("    for_every: [x]\n", "").replace(
    "parameters:", "for_every: [x]\nparameters:"
)
GOOD = {
    "square": SQUARE_THEN_SOLVE,
    "factorise": FACTORISE_THEN_SOLVE,
    "shared": SHARED_THEN_SOLVE,
    "formula": FORMULA_THEN_SOLVE,
}


def written(text: str, folder: Path) -> Path:
    path = folder / "parts.yaml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("name", GOOD)
def test_a_letter_of_one_part_is_the_unknown_of_another(name: str, tmp_path: Path) -> None:
    bank = tmp_path / "evening"
    bank.mkdir()
    (bank / "bank.yaml").write_text("bank: evening\ntitle: Parts\n", encoding="utf-8")
    (bank / "templates").mkdir()
    written(GOOD[name], bank / "templates")

    assert check(bank).ok
    build(BuildRequest(bank, tmp_path / "out", count=4, formats=("qti3", "qti21", "cc"), full_proof=True))
    reports = verify_all([tmp_path / "out"], thorough=False, workers=1)
    assert len(reports) == 3
    assert [] == [finding for report in reports for finding in report.findings]


def test_a_stem_does_not_tell_what_an_earlier_part_asks_for(tmp_path: Path) -> None:
    (item, _), *_ = draw(written(SQUARE_THEN_SOLVE, tmp_path), count=1)
    h, k = (int(str(item.values[name])) for name in "hk")
    second, third = (plain_text(part.stem) for part in item.parts[1:])

    assert f"Hence solve (x + p)^2 + q = 0, that is x^2 + {2 * h}*x" in second
    assert "Work out p + q." == third
    said = item.parts[1].solution[0].say
    assert said is not None
    assert "Put p and q in." == plain_text(said)
    assert str(h - k * k) not in second + third


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("  - unknowns: [x]\n    problem: (x", "  - unknowns: [x]\n    for_every: [x]\n    problem: (x", 15),
        ("  - unknowns: [s]", "  - unknowns: [h]", 23),
        ("for_every: [x]\n", "for_every: [k]\n", 9),
    ],
)
def test_two_senses_of_a_letter_in_one_part_are_told(old: str, new: str, line: int, tmp_path: Path) -> None:
    told = check(written(SQUARE_THEN_SOLVE.replace(old, new), tmp_path)).diagnostics

    assert ("shadowed-name", line) in {(each.code, each.span.line) for each in told if each.span is not None}


def test_the_value_of_a_part_is_no_letter_of_the_next(tmp_path: Path) -> None:
    """x of the equation is a number to name later, unless the template has x as a letter."""
    text = FACTORISE_THEN_SOLVE.replace("    key: m = -h*k\n", "    key: m = x\n")

    with pytest.raises(InputError):
        list(draw(written(text, tmp_path), count=1))
