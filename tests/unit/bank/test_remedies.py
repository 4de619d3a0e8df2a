"""One fault of a template is told once, with what would be right instead. Source: authors' slips, from memory."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from itembank.bank.bank import Entry
from itembank.bank.bank_file import read_bank_file
from itembank.bank.lint import RULES
from itembank.bank.review import Review, review
from itembank.errors import Diagnostic, InputError
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import Loaded, load_template
from itembank.templates.slips import load_slips
from itembank.templates.text import foreign_markup

GOOD = Path(__file__).parents[2] / "templates" / "good"


@dataclass(frozen=True)
class Slip:
    """What an author writes in place of something, the code it is told with and a piece of the remedy."""

    base: str
    replace: str
    by: str
    code: str
    remedy: str


SLIPS = (
    Slip("choice", "problem: x^2", "probelm: x^2", "unknown-key", "`problem`?"),
    Slip("parts", "parts:", "part:", "unknown-key", "did you mean `parts`?"),
    Slip(
        "odd-names", "value: eval = -exec or eval = -os, pupil: \"__import__('os')\"",
        "value: eval = -exec or eval = -os, pupil: They're two, not one, or none", "unknown-key",
        "pupil: 'They''re two, not one, or none'",
    ),
    Slip("follow-through", "key: u = -p and v = q", "key: u = -p2 and v = q", "number-after-letter", "x_2"),
    Slip("follow-through", "q: {form: integer, marks: A1}", "q: {form: integer}", "marks-do-not-sum", "q: {..., marks"),
    Slip("odd-names", "$lambda_1.import$", "$lambda.import$", "unknown-column", "write $lambda_1.import$"),
    Slip("choice", "solve $problem$", "solve $row.word$, $problem$", "unknown-column", "row: {rows: [{word: ...}]}"),
    Slip("choice", "solve $problem$", "solve $problem$ or $fg(x)$", "unknown-function", "written f(g(x))"),
    Slip("wrong-line", "at: 2, change: {h: -h}", "change: {h: -h}", "missing-key", "write at: 2"),
    Slip("choice", "  - sign-of-half", "  - both-wrong", "unknown-slip", "or say here what it leads to: value: ..."),
    Slip("inequality", "key: a < x and x < b", "key: '[a, b]'", "wrong-bracket", "2 <= x <= 5"),
    Slip(
        "rounded", "key: x = ±sqrt(k)", "key: x = round(-sqrt(k), 2) or x = round(sqrt(k), 2)", "wrong-key",
        "without round",
    ),
    Slip("rounded", "x ≈ round(-sqrt(k), 2) or x ≈", "x = round(-sqrt(k), 2) or x =", "solution-line-wrong", "≈ for ="),
    Slip("subject", "unknowns: [y]", "unknowns: [y, w]", "one-subject", "unknowns: [p, q] and for_every: [k]"),
    Slip("whole", "m: {from: 2, to: 5}", "m: {from: 0, to: 5}", "problem-not-solved", "leaving_out: [0]"),
    Slip("decimals", "tolerance: 0.01", "tolerance: 0,01", "unknown-key", "a decimal with a point, 0.01"),
    Slip("whole", "m: {from: 2, to: 5}", "m: {values: 2, 3}", "list-needed", "[a, b]"),
    Slip("whole", "m: {from: 2, to: 5}", "m: 2, 3", "mapping-needed", "[2, 3]"),
    Slip("whole", "key: x = ±n", "key: x = n or n = m", "undefined", "each alternative must say every unknown"),
    Slip("domain", "unknowns: {w: w > 0}\n", "unknowns: [w]\n", "wrong-key", "unknowns: {x: x > 0}"),
    Slip("choice", "stem: |", "stem: |\n  $x/(h - 1)$.", "cannot-be-shown", "leave such values out"),
    Slip("whole", "Solve $problem$.", "Solve $problem$ for x >= 0.", "markup", "mathematics stands between two $"),
    Slip("choice", "Move the constant $c$", "Halve b*x and move $c$", "markup", "mathematics stands between two $"),
    Slip("wrong-line", "  - math: x^2 + b*x = -c", "  - let: u = x^2", "line-not-shown", "no new letter"),
    Slip("whole", "n: {from: 1, to: 9}", "n: {from: 1, to: 9}\n  u: [1, 2]", "twins", "nothing uses `u`"),
    Slip("whole", "Solve $problem$.", "Solve it for $m$.", "twins", "they differ in n alone"),
)  # fmt: skip


def told(path: Path) -> tuple[list[Diagnostic], Review | None]:
    """What the loader and the review say of a template, without the rules of item writing; and the review."""
    try:
        loaded: Loaded = load_template(path, path.name, load_slips(GOOD / "slips.yaml", "slips.yaml")[0])
    except InputError as wrong:
        return list(wrong.diagnostics), None
    found = review(Entry(make_recipe(loaded.template), "", path.name))
    return [*loaded.doubts, *(each for each in found.diagnostics if each.code not in RULES)], found


@pytest.mark.parametrize("slip", [pytest.param(slip, id=slip.by) for slip in SLIPS])
def test_a_slip_of_the_author_is_told_with_what_would_be_right(slip: Slip, tmp_path: Path) -> None:
    text = (GOOD / f"{slip.base}.yaml").read_text("utf-8")
    assert 1 == text.count(slip.replace)
    path = tmp_path / "slip.yaml"
    path.write_text(text.replace(slip.replace, slip.by), "utf-8")

    found, _ = told(path)

    assert slip.code in {each.code for each in found}
    assert any(slip.remedy in each.hint for each in found if each.code == slip.code)
    assert slip.code not in _OF_THE_SHAPE or 1 == len(found)


_OF_THE_SHAPE = {
    "list-needed",
    "mapping-needed",
    "unknown-key",
    "number-after-letter",
    "unknown-column",
    "unknown-function",
    "missing-key",
    "markup",
}


def _changed(base: str, replace: str, by: str, path: Path) -> tuple[list[Diagnostic], Review | None]:
    text = (GOOD / f"{base}.yaml").read_text("utf-8")
    assert 1 == text.count(replace)
    path.write_text(text.replace(replace, by), "utf-8")
    return told(path)


def test_a_condition_of_the_problem_that_a_line_leaves_out_belongs_to_the_unknown(tmp_path: Path) -> None:
    text = (GOOD / "domain.yaml").read_text("utf-8")
    path = tmp_path / "slip.yaml"
    path.write_text(
        text.replace("unknowns: {w: w > 0}", "unknowns: [w]").replace(
            "w^2 = n\nstem", "w^2 = n and w > 0\nstem"
        ),
        "utf-8",
    )

    found, _ = told(path)

    assert {"solution-line-wrong"} == {each.code for each in found}
    assert all("unknowns: {x: x > 0}" in each.hint for each in found)


def test_a_fault_in_the_value_of_a_slip_hides_none_in_its_sentences(tmp_path: Path) -> None:
    found, _ = _changed(
        "choice",
        "value: (x + b)^2 = b^2 - c,",
        "value: (x + b)² = c, pupil: Halve $b., teacher: $c*$,",
        tmp_path / "s.yaml",
    )

    assert ["raised-digit", "unclosed-maths", "unfinished"] == [each.code for each in found]


def test_only_items_that_are_right_in_everything_count_as_proved(tmp_path: Path) -> None:
    _, good = _changed("whole", "key: x = ±n", "key: x = ±n", tmp_path / "good.yaml")
    _, wrong = _changed("whole", "key: x = ±n", "key: x = ±(n + 1)", tmp_path / "wrong.yaml")
    _, partly = _changed("whole", "key: x = ±n", "key: x = ±min(n, 8)", tmp_path / "partly.yaml")

    assert good is not None
    assert wrong is not None
    assert partly is not None
    assert (36, 0, 32) == (good.proved, wrong.proved, partly.proved)


def test_what_cannot_be_shown_is_not_counted_on(tmp_path: Path) -> None:
    _, found = _changed("whole", "Solve $problem$.", "Solve $problem$, $x/(n - 1)$.", tmp_path / "slip.yaml")

    assert found is not None
    assert found.unfit


@pytest.mark.parametrize(
    "typed", ["x^2", "(x + 1)^2", "2^x", "sqrt(5)", "u_n", "x_1", "3*x", "n <= 4", "x != 3"]
)
def test_mathematics_typed_outside_the_dollars_is_told_once(typed: str) -> None:
    assert 1 == len(list(foreign_markup(f"Look at {typed}, then at {typed} and solve $x^2 = 3*x$.", [])))


@pytest.mark.parametrize(
    "prose",
    [
        "*Solve* $x^2 = 3*x$.",
        "a *b* c **d** e",
        "is x < 3 or x = 4?",
        "3 * 4, *a*b",
        "read snake_case, H2O",
        "Wow!",
    ],
)
def test_prose_is_no_mathematics(prose: str) -> None:
    assert [] == list(foreign_markup(prose, []))


@pytest.mark.parametrize("unit", ["t.u", "$t.u$"])
def test_a_unit_is_no_word_of_a_row(unit: str, tmp_path: Path) -> None:
    text = (GOOD / "units.yaml").read_text("utf-8")
    text = text.replace("to: 30}", "to: 30}\n  t: {rows: [{u: m}, {u: cm}]}")
    path = tmp_path / "slip.yaml"
    path.write_text(text.replace("unit: m", f"unit: {unit}").replace("metres.", "metres in $t.u$."), "utf-8")

    (found,) = told(path)[0]

    assert "unit-not-as-shown" == found.code
    assert "write the unit itself" in found.hint


def test_a_number_for_all_sections_is_told_by_the_name_of_its_key(tmp_path: Path) -> None:
    path = tmp_path / "bank.yaml"
    path.write_text("bank: evening\ntitle: Evening\nquiz: {select: all}\n", "utf-8")

    with pytest.raises(InputError) as raised:
        read_bank_file(path, "bank.yaml", "")

    (found,) = raised.value.diagnostics
    assert "`select`: a whole number is needed, such as 3" == found.message
