"""Letters of every kind, from the template to a package that is proved again from the file alone: Greek ones small and
capital, letters with an index, names. The audit reads letters from formulas, and attributes name them otherwise.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import verify_all
from itembank.build.build import BuildRequest, build
from itembank.expressions.vocabulary import GREEK

HEAD = "template: {name}\nversion: 1\ntitle: Letters\n"
TEMPLATES = {
    "one": """
unknowns: [U]
parameters: {a: {from: 2, to: 9}, m: {from: -9, to: 9}}
problem: a*U + 1 = a*m + 1
stem: Solve $problem$ for $U$.
response: {kind: entry, blanks: {U: {form: fraction}}}
key: U = m
slips: [{slip: sign, value: U = -m, pupil: What is the sign of $U$?, teacher: Loses the sign.}]
solution: [{math: a*U = a*m, marks: M1}, {math: U = m, marks: A1}]
""",
    "brackets": """
letters: [U]
parameters: {p: {from: 1, to: 7}, q: {from: 2, to: 9}}
constraints: [p < q]
problem: U^2 + (p + q)*U + p*q
stem: Factorise $problem$.
response: {kind: entry, blanks: {answer: {form: brackets}}}
key: (U + p)*(U + q)
""",
    "pictures": """
unknowns: [U]
parameters: {p: {from: -6, to: -1}, q: {from: 2, to: 9}}
problem: (U - p)*(U - q) > 0
stem: Solve $problem$.
response: {kind: choice, options: 2}
key: U < p or U > q
slips: [{slip: between, value: p < U < q, pupil: Where is it positive?, teacher: Takes the numbers between.}]
solution:
  - {say: The product has these signs., figure: {kind: sign-table, of: (U - p)*(U - q)}}
  - {say: So does the curve., figure: {kind: parabola, of: (U - p)*(U - q), shows: [roots, axis]}}
  - {math: U < p or U > q, figure: {kind: number-line, of: U < p or U > q}}
""",
    "area": """
unknowns: [U]
parameters: {h: {from: 1, to: 9}, k: {from: 1, to: 9}}
problem: U^2 + 2*h*U + h^2 = k^2
stem: Solve $problem$.
figure: {kind: area-model, of: U^2 + 2*h*U}
response: {kind: entry, blanks: {U: {form: integer}}}
key: U = -h - k or U = k - h
""",
    "follow": """
parameters: {h: {from: 1, to: 6}, k: {from: 1, to: 9}}
for_every: [z]
parts:
  - unknowns: [U, s]
    problem: z^2 + 2*h*z + h^2 + k = (z + U)^2 + s
    stem: Find $U$ and $s$ with $problem$ for every $z$.
    response: {kind: entry, blanks: {U: {form: integer, marks: B1}, s: {form: integer, marks: B1}}}
    key: U = h and s = k
  - unknowns: [w]
    for_every: []
    problem: w = 2*h + k
    stem: How much is twice the first number and the second?
    response: {kind: entry, blanks: {w: {form: integer, marks: B1 ft}}}
    key: w = 2*U + s
""",
}


@pytest.mark.parametrize("maths", ["mathml", "latex", "svg"])
@pytest.mark.parametrize("letter", ["X", "x_1", "theta", "Delta", "mu_2", "price"])
def test_a_package_with_any_letter_is_proved_from_the_file(letter: str, maths: str, tmp_path: Path) -> None:
    folder = tmp_path / "evening" / "templates"
    folder.mkdir(parents=True)
    (folder.parent / "bank.yaml").write_text("bank: evening\ntitle: Letters\n", encoding="utf-8")
    for name, text in TEMPLATES.items():
        (folder / f"{name}.yaml").write_text(HEAD.format(name=name) + text.replace("U", letter), "utf-8")

    build(BuildRequest(folder.parent, tmp_path / "out", count=10, formats=("qti3", "cc"), maths=maths))
    reports = verify_all([tmp_path / "out"], thorough=False, workers=1)

    assert [] == [finding for report in reports for finding in report.findings]
    assert len(reports) == 2
    assert all(report.items >= 10 for report in reports)


def test_a_greek_letter_is_spoken_and_read_in_every_language(tmp_path: Path) -> None:
    """All of them in one formula; what is spoken is compared with what is shown."""
    folder = tmp_path / "evening" / "templates"
    folder.mkdir(parents=True)
    stem = f"Solve $problem$, given $2*{'*'.join(GREEK)}$."
    text = (
        f"letters: [{', '.join(GREEK)}]\nunknowns: [x]\nparameters: {{m: {{from: 2, to: 99}}}}\n"
        f"problem: 2*x = 2*m\nstem: {{en: '{stem}', es: '{stem}'}}\nkey: x = m\n"
        "response: {kind: entry, blanks: {x: {form: integer}}}\n"
    )
    head = HEAD.format(name="greek").replace("Letters", "{en: Letters, es: Letras}")
    (folder / "greek.yaml").write_text(head + text, encoding="utf-8")
    (folder.parent / "bank.yaml").write_text("bank: evening\ntitle: {en: L, es: L}\n", encoding="utf-8")

    for language in ("en", "es"):
        out = tmp_path / language
        build(BuildRequest(folder.parent, out, count=1, formats=("qti3",), language=language))
        (report,) = verify_all([out], thorough=False, workers=1)

        assert [] == list(report.findings), language
