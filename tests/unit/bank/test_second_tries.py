"""Templates that are meant well and asked much: taken as they are, or told where they need another look."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.bank.checking import Checked
from itembank.library import check

LINES = """template: find-the-slip
version: 1
title: Find the slip
topics: [quadratics/completing-the-square]
demand: reason
calculator: no
minutes: 4
unknowns: [x]
parameters:
  h: {from: 2, to: 9}
  k: [2, 3, 5, 7]
derived: {b: -2*h, c: h^2 - k}
problem: x^2 + b*x + c = 0
stem: Somebody solved $problem$. In which line is the slip?
response: {kind: wrong-line}
key: x = h ± surd(k)
slips:
  - {slip: early, at: 2, change: {h: -h}, pupil: See its sign., teacher: Turns the sign.}
  - {slip: late, at: 3, change: {h: -h}, pupil: See its sign., teacher: Turns the sign.}
solution:
  - {math: x^2 + b*x = -c}
  - {math: (x - h)^2 = k}
  - {math: x - h = ± sqrt(k)}
  - {math: x = h ± surd(k)}
"""
QUARTIC = """template: quartic
version: 1
title: A quadratic in a square
topics: [quadratics/hidden]
demand: use
calculator: no
minutes: 4
unknowns: [x]
parameters:
  p: {from: 2, to: 6}
  q: {from: 4, to: 9}
constraints: [q != p^2]
problem: x^4 + value(q - p^2)*x^2 - p^2*q = 0
stem: Find all real solutions of $problem$.
response: {kind: entry, marks: 2, blanks: {x: {form: integer, values: any-order}}}
key: x = p or x = -p
"""
DECIMALS = """template: decimals
version: 1
title: A quadratic with decimals
topics: [quadratics/formula]
demand: use
calculator: yes
minutes: 4
unknowns: [x]
parameters:
  a: {from: 0.5, to: 2.5, step: 0.5, places: 1}
  b: {from: -5.5, to: 5.5, step: 0.5, places: 1, leaving_out: [0]}
  c: {from: -9, to: -1}
guarantees: [irrational_roots(problem)]
problem: a*x^2 + b*x + c = 0
stem: Solve $problem$ to two decimal places.
response: {kind: entry, marks: 2, blanks: {x: {form: decimal, places: 2, tolerance: 0.01, values: any-order}}}
key: x = (-b ± sqrt(b^2 - 4*a*c))/(2*a)
"""

RIGHT = """template: same-power
version: 1
title: Which are the same
topics: [indices]
demand: use
calculator: no
minutes: 3
letters: [x]
parameters:
  m: {from: 2, to: 6}
  n: {from: 2, to: 6}
constraints: [m != n]
problem: x^m*x^n
stem: Which of these are equal to $problem$?
response: {kind: choices, options: 5, marks: 2, right: [x^(m + n), x*x^(m + n - 1)]}
key: x^(m + n)
slips:
  - {slip: multiplied, value: x^(m*n), pupil: Add them., teacher: Multiplies.}
  - {slip: doubled, value: 2*x^(m + n), pupil: There is one power., teacher: Doubles.}
  - {slip: squared, value: (x^2)^(m + n), pupil: The base stays., teacher: Squares.}
"""


def _checked(folder: Path, text: str, *changes: tuple[str, str]) -> Checked:
    for old, new in changes:
        assert 1 == text.count(old)
        text = text.replace(old, new)
    (folder / "template.yaml").write_text(text, "utf-8")
    return check(folder / "template.yaml")


def _told(checked: Checked) -> list[tuple[str, int, str]]:
    return [(each.code, each.span.line if each.span else 0, each.message) for each in checked.diagnostics]


def test_one_change_at_two_lines_makes_two_slips(tmp_path: Path) -> None:
    checked = _checked(tmp_path, LINES)

    assert [] == _told(checked)
    assert [slip.used for slip in checked.reviews[0].slips] == [32, 32]


def test_one_change_at_one_line_makes_one_slip(tmp_path: Path) -> None:
    checked = _checked(tmp_path, LINES, ("late, at: 3", "late, at: 2"))

    ((code, line, message),) = _told(checked)
    assert ("slip-never-appears", 19) == (code, line)
    assert "equals an earlier slip" in message


def test_a_guarantee_of_an_equation_with_decimals_is_proved(tmp_path: Path) -> None:
    assert [] == _told(_checked(tmp_path, DECIMALS))


def test_a_derived_value_that_is_divided_by_0_is_told_though_it_is_then_times_0(tmp_path: Path) -> None:
    checked = _checked(
        tmp_path,
        LINES,
        ("c: h^2 - k}", "c: h^2 - k, e: k/(h - 3)}"),
        ("{math: (x - h)^2 = k}", "{math: (x - h)^2 = e*(h - 3)}"),
    )

    ((code, line, message),) = _told(checked)
    assert ("undefined", 12) == (code, line)
    assert "`e` has no value: division by zero" in message


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("k: [2, 3, 5, 7]", "k: [2, 3, 4, 5]", 23, "± before the root of a square"),
        ("{math: (x - h)^2 = k}", "{math: x = h + surd(k) or x = h - surd(k) or x = h + surd(k)}", 22,
         "an alternative stands twice"),
    ],
)  # fmt: skip
def test_what_looks_odd_with_some_numbers_is_doubtful(
    old: str, new: str, line: int, said: str, tmp_path: Path
) -> None:
    told = _told(_checked(tmp_path, LINES, (old, new)))

    assert ("odd-looks", line) in [(code, at) for code, at, message in told if message.startswith(said)]


def test_side_working_that_shows_one_number_on_both_sides_is_doubtful(tmp_path: Path) -> None:
    told = _told(
        _checked(
            tmp_path,
            DECIMALS + "solution:\n  - aside: 4*c = c + 3*c\n  - aside: keep(4*c) = 4*c\n",
        )
    )

    assert [("odd-looks", 19)] == [(code, line) for code, line, _ in told]


@pytest.mark.parametrize("word", ["Divide $problem$ by $h$.", "Plot $problem$.", "Put $problem$ in words."])
def test_a_word_that_tells_what_to_do_is_one(word: str, tmp_path: Path) -> None:
    stem = "Somebody solved $problem$. In which line is the slip?"

    assert "stem-asks-nothing" not in [code for code, _, _ in _told(_checked(tmp_path, LINES, (stem, word)))]


def test_a_right_option_that_is_wrong_is_the_authors_where_a_slip_looks_like_it_too(tmp_path: Path) -> None:
    assert [] == _told(_checked(tmp_path, RIGHT))

    told = _told(_checked(tmp_path, RIGHT, ("x*x^(m + n - 1)]", "x^(m + n + 1)]")))  # x^6 is x^(2*3)

    assert {("wrong-right-option", 15)} == {(code, line) for code, line, _ in told}


def test_what_is_given_up_wrongly_is_told_as_such(tmp_path: Path) -> None:
    solution = "solution: [{let: u = x^2}, {rejects: It is negative., math: u = 3}]\n"
    (tmp_path / "quartic.yaml").write_text(QUARTIC + solution, "utf-8")

    hints = [each.hint for each in check(tmp_path / "quartic.yaml").diagnostics]

    assert [
        "what `rejects:` gives up is no solution: it lies outside the domain, or the working brings it in"
    ] == hints


def test_a_change_that_changes_what_is_derived_too_is_told_to_say_what_stays(tmp_path: Path) -> None:
    (tmp_path / "lines.yaml").write_text(
        LINES.replace("at: 2, change: {h: -h}", "at: 2, change: {k: h^2 - c}"), "utf-8"
    )
    hints = [each.hint for each in check(tmp_path / "lines.yaml").diagnostics]

    assert [
        "say in `change` what stays as it is too, as in change: {b: b/a, c: c}, or take the slip out"
    ] == hints


PARTS = """template: parts
version: 1
title: An identity, and what follows from it
topics: [quadratics/vertex]
demand: use
calculator: no
minutes: 5
letters: [x, y]
parameters:
  h: {from: -5, to: 5, leaving_out: [0]}
  k: {from: 1, to: 8}
derived: {b: -2*h, c: h^2 + k}
parts:
  - unknowns: [p, q]
    for_every: [x]
    problem: x^2 + b*x + c = (x - p)^2 + q
    stem: Find $p$ and $q$ with $problem$ for every $x$.
    response: {kind: entry, marks: 2, blanks: {p: {form: integer}, q: {form: integer}}}
    key: p = h and q = k
  - unknowns: [s]
    problem: s = h
    stem: Find the number $s$ for which $x = s$ is the axis of $y = x^2 + b*x + c$.
    response: {kind: entry, blanks: {s: {form: integer, marks: B1 ft}}}
    key: s = p
"""


def test_the_letter_of_an_identity_may_stand_in_the_texts_of_other_parts(tmp_path: Path) -> None:
    assert [] == [each for each in _told(_checked(tmp_path, PARTS)) if each[0] != "key-sign-dominates"]


def test_a_letter_of_an_identity_is_no_parameter_beside(tmp_path: Path) -> None:
    told = _told_of_wrong(tmp_path, PARTS.replace("for_every: [x]", "for_every: [h]"))

    assert "`h` is a letter of a part's `for_every` and a parameter" in told


def _told_of_wrong(folder: Path, text: str) -> list[str]:
    return [message for _, _, message in _told(_checked(folder, text))]


def test_a_key_without_a_solution_is_told_to_be_mended_or_ticked(tmp_path: Path) -> None:
    """The ends of an interval the wrong way round leave nothing between them."""
    empty = """template: between
version: 1
title: Solve an inequality
topics: [quadratics/inequalities]
demand: use
calculator: no
minutes: 3
unknowns: [x]
parameters:
  p: {from: -5, to: 5}
  q: {from: -5, to: 5}
constraints: [p < q]
problem: x^2 - (p + q)*x + p*q < 0
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: interval, marks: 2}}}
key: q < x and x < p
"""
    (tmp_path / "between.yaml").write_text(empty, "utf-8")
    (told,) = [each for each in check(tmp_path / "between.yaml").diagnostics if each.code == "no-tick"]

    assert told.message.startswith("by the key there is no real solution")
    assert "no_real_solution: tick" in told.hint
    assert "mend the key" in told.hint
