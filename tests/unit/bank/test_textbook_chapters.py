"""Templates as a teacher writes them from the chapters of a textbook: taken, or told in a teacher's words."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.expressions.display import Maths
from itembank.items import ChoiceResponse
from itembank.library import BuildRequest, build, check, draw, plain, verify

HEAD = """template: from-a-chapter
version: 1
title: From a chapter
topics: [algebra]
demand: use
calculator: no
minutes: 3
"""
CIRCLE = """unknowns: {h, k, r: r > 0}
for_every: [x, y]
parameters: {a: {from: 1, to: 7}, b: {from: -7, to: -1}, s: {from: 2, to: 9}}
derived: {c: a^2 + b^2 - s^2}
constraints: [c != 0]
problem: x^2 + y^2 - 2*a*x - 2*b*y + c = (x - h)^2 + (y - k)^2 - r^2
stem: The circle $x^2 + y^2 - 2*a*x - 2*b*y + c = 0$ has its centre at $(h, k)$ and the radius $r$. Find them.
response: {kind: entry, blanks: {h: {form: integer}, k: {form: integer}, r: {form: integer}}}
key: h = a and k = b and r = s
"""
POWERS = """letters: [x]
parameters: {a: {from: 2, to: 6}, b: {from: 2, to: 6}, m: {from: 3, to: 9}, n: {from: 2, to: 6}}
problem: a*x^m*(b*x^n)
stem: Simplify $problem$.
response: {kind: choice, options: 3}
key: a*b*x^(m + n)
slips:
  - {slip: multiplied, value: a*b*x^(m*n), pupil: Add the exponents., teacher: Multiplies exponents.}
  - {slip: added, value: (a + b)*x^(m + n), pupil: Multiply the numbers., teacher: Adds the numbers.}
"""
EXPAND = """letters: [x]
parameters: {a: {from: 1, to: 9}, b: {from: -9, to: -1}}
constraints: [a + b != 0]
problem: (x + a)*(x + b)
stem: Expand $problem$.
response: {kind: choice, options: 2}
key: x^2 + (a + b)*x + a*b
slips: [{slip: middle-lost, value: x^2 + a*b, pupil: Each times each., teacher: Loses the middle.}]
"""
SYSTEM = """unknowns: [p, q, r]
for_every: [x]
parameters: {a: {from: 2, to: 9}, b: {from: 2, to: 9}}
problem: (2*x + a)*(x + b) = p*x^2 + q*x + r
stem: Find $p$, $q$ and $r$ so that $problem$ for every $x$.
response: {kind: entry, blanks: {p: {form: integer}, q: {form: integer}, r: {form: integer}}}
key: p = 2 and q = a + 2*b and r = a*b
"""
CUBIC = """unknowns: [x]
parameters: {p: {from: 1, to: 3}, q: {from: 4, to: 9}}
problem: x*(x - p)*(x - q) = 0
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer}}}
key: x = 0 or x = p or x = q
"""
SURD = """unknowns: [v]
parameters: {a: {from: 3, to: 9}, r: [2, 3, 5, 7]}
problem: v = 1/(a - sqrt(r))
stem: Rationalise the denominator of $1/(a - sqrt(r))$. Give your answer in simplest surd form.
response: {kind: entry, blanks: {v: {form: surd}}}
key: v = (a + sqrt(r))/(a^2 - r)
"""


def _messages(folder: Path, body: str, old: str = "", new: str = "") -> dict[str, str]:
    assert not old or body.count(old) == 1
    (folder / "template.yaml").write_text(HEAD + body.replace(old, new) if old else HEAD + body, "utf-8")
    return {each.code: each.message for each in check(folder / "template.yaml").diagnostics}


@pytest.mark.parametrize("unknowns", ["{h, k, r: r > 0}", "{h: , k: , r: r > 0}", "{h: '', k: '', r: r > 0}"])
def test_one_unknown_may_have_a_domain_and_others_none(unknowns: str, tmp_path: Path) -> None:
    assert {} == _messages(tmp_path, CIRCLE, "{h, k, r: r > 0}", unknowns)


def test_of_a_product_of_powers_each_number_is_its_letters(tmp_path: Path) -> None:
    assert {} == _messages(tmp_path, POWERS)
    assert "number-behind-letter" in _messages(
        tmp_path, POWERS, "stem: Simplify $problem$", "stem: Simplify $problem$ or $x*a$"
    )


@pytest.mark.parametrize(
    ("body", "old", "new", "told"),
    [
        (
            EXPAND,
            "(a + b)*x + a*b",
            "(a - b)*x + a*b",
            "the problem (x + 1)(x − 2) comes to x² − x − 2, here stands",
        ),
        (
            EXPAND,
            "key: x^2 + (a + b)*x + a*b",
            "key: (x + a)*(x - b)",
            "here stands (x + 1)(x + 2), which comes to x² + 3x + 2",
        ),
        (SYSTEM, "r = a*b", "r = a + b + 1", "has the solution (p, q, r) = (2, 6, 4), here stands"),
        (CUBIC, "x = 0 or ", "", "has the solutions 0, 1 and 4, here stands x = 1 or x = 4"),
        (SURD, "key: v = (a + ", "key: v = (a - ", "has the solution (3 + √2)/7, here stands v = (3 − √2)/7"),
    ],
    ids=["expanded", "factors", "coefficients", "cubic", "surd"],
)
def test_a_wrong_key_is_told_in_mathematics(body: str, old: str, new: str, told: str, tmp_path: Path) -> None:
    """What the problem comes to, as a teacher writes it: no data of the program's own."""
    message = _messages(tmp_path, body, old, new)["wrong-key"]

    assert told in message
    assert not any(word in message for word in ("frozenset", "Polynomial", "Surd", "Fraction", "('"))


STANDARD_FORM = """parameters:
  a: {from: 1.1, to: 9.9, step: 0.2, places: 1}
  m: {from: -5, to: 6, leaving_out: [-1, 0, 1]}
calculator: yes
problem: value(a*10^m)
stem: Write $problem$ in standard form.
response: {kind: choice, options: 3}
key: keep(a*10^m)
slips:
  - {slip: one-less, value: keep(a*10^value(m - 1)), pupil: Count the places., teacher: Counts the zeros.}
  - {slip: one-more, value: keep(a*10^value(m + 1)), pupil: Count the places., teacher: Counts the digits.}
  - {slip: other-way, value: keep(a*10^(-m)), pupil: Is it small or large?, teacher: Turns the sign.}
"""
ONE_POWER = """parameters: {a: [2, 3, 5, 7], m: {from: 2, to: 6}, n: {from: 3, to: 7}}
constraints: [m != n]
problem: keep(a^m*a^n)
stem: Write $problem$ as a single power of $a$.
response: {kind: choice, options: 3}
key: keep(a^value(m + n))
slips:
  - {slip: multiplied, value: keep(a^value(m*n)), pupil: Write the factors out., teacher: Multiplies exponents.}
  - {slip: bases-too, value: keep(value(a^2)^value(m + n)), pupil: The base stays., teacher: Multiplies bases too.}
solution:
  - math: keep(a^(m + n))
  - math: keep(a^value(m + n))
"""
FRACTIONAL = """unknowns: {v: v > 0}
parameters: {b: [2, 3, 4, 5], n: [2, 3, 4], m: [-3, -2, -1, 1, 2, 3]}
derived: {k: b^n}
constraints: ["gcd(m, n) = 1", k < 300]
problem: v = keep(k^(m/n))
stem: Work out $keep(k^(m/n))$.
response: {kind: entry, blanks: {v: {form: fraction, marks: M1 A1}}}
key: v = b^m
slips:
  - {slip: multiplied, value: v = k*abs(m)/n, pupil: A power is no product., teacher: Multiplies.}
  - {slip: root-only, value: v = b, pupil: Raise the root too., teacher: Takes only the root.}
solution:
  - {math: v = keep(sqrt(k)^m), when: n = 2, marks: M1}
  - {math: "v = keep(root(k, 3)^m)", when: n = 3, marks: M1}
  - {math: "v = keep(root(k, 4)^m)", when: n = 4, marks: M1}
  - {math: v = b^m, marks: A1}
"""


def test_a_fractional_power_of_a_number_is_proved_twice_and_read_back(tmp_path: Path) -> None:
    """The values are from memory of many textbooks: 16^(-3/4) is 1/8, 8^(2/3) is 4."""
    known = {"16^(-3/4)": "1/8", "8^(2/3)": "4", "9^(-1/2)": "1/3", "125^(2/3)": "25", "4^(3/2)": "8"}
    bank = _bank(tmp_path, FRACTIONAL)
    assert [] == [each.message for each in check(bank).diagnostics]

    drawn = [item.parts[0] for item, _ in draw(bank, count=44)]
    found = {plain(part.problem.statement).removeprefix("v = "): plain(part.key) for part in drawn}
    assert {of: f"v = {value}" for of, value in known.items()} == {of: found[of] for of in known}
    _agrees(bank, tmp_path / "out")


def test_a_wrong_fractional_power_is_told(tmp_path: Path) -> None:
    told = _messages(tmp_path, FRACTIONAL, "key: v = b^m", "key: v = b^(m + 1)")

    assert "v = 4^(1/2) has the one solution 2, here stands v = 4" in told["wrong-key"]


@pytest.mark.parametrize("body", [STANDARD_FORM, ONE_POWER], ids=["standard", "power"])
def test_options_that_are_kept_stand_as_written_and_everything_agrees_on_them(
    body: str, tmp_path: Path
) -> None:
    """Here the way to write a number is what is asked: worked out, all options would look like the stem."""
    bank = _bank(tmp_path, body)
    assert [] == [each.message for each in check(bank).diagnostics]

    for item, _ in draw(bank, count=12, seed=3):
        response = item.parts[0].response
        assert isinstance(response, ChoiceResponse)
        assert all(
            isinstance(each.content, Maths) and "^" in plain(each.content) for each in response.options
        )
    _agrees(bank, tmp_path / "out")


def _bank(folder: Path, body: str) -> Path:
    bank = folder / "bank"
    (bank / "templates").mkdir(parents=True)
    (bank / "bank.yaml").write_text("bank: numbers\ntitle: Numbers\n", "utf-8")
    head = HEAD.replace("calculator: no\n", "") if "calculator" in body else HEAD
    (bank / "templates" / "from-a-chapter.yaml").write_text(head + body, "utf-8")
    return bank


def _agrees(bank: Path, out: Path) -> None:
    """Both proofs of the build, and the audit of three formats by itself and with sympy."""
    build(BuildRequest(bank, out, count=12, formats=("qti3", "qti21", "cc"), full_proof=True))
    for thorough in (False, True):
        reports = verify(out / "platform", thorough=thorough)
        assert 3 == len(reports)
        assert [] == [found for report in reports for found in report.findings]


ROOTS = """unknowns: [x]
parameters: {a: {from: 2, to: 9}, b: {from: 10, to: 19}}
problem: x^2 - (a + b)*x + a*b = 0
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer}}}
key: x = a or x = b
solution: [{math: (x - a)*(x - b) = 0}]
"""


@pytest.mark.parametrize(
    ("old", "new", "code", "remedy"),
    [
        ("x = a or x = b", "x = a and x = b", "no-tick", "join alternatives by `or`"),
        ("x = a or x = b", "x = b", "wrong-key", "give the unknown a domain: unknowns: {x: x > 0}"),
        ("x = a or x = b", "x = 2*b", "wrong-key", "the key must give exactly the problem's solutions"),
        ("x = a or x = b", "no solution", "no-key", "write key: none"),
        ("x = a or x = b", "No real roots", "no-key", "write key: none"),
        ("key: x = a or x = b", "key: [x = a, x = b]", "text-needed", "alternatives by `or`"),
        ("[{math: (x - a)*(x - b) = 0}]", "[(x - a)*(x - b) = 0]", "mapping-needed", "- math: (x - a)*(x - b) = 0"),
        ("[{math: (x - a)*(x - b) = 0}]", "[x = a or x = b]", "mapping-needed", "- math: x = a or x = b"),
        ("[{math: (x - a)*(x - b) = 0}]", "[Take the factors apart.]", "mapping-needed", "- say: Take the factors"),
        ("Solve $problem$.", "Solve $problem$ for {a}.", "markup", "between two $: $a$"),
        ("Solve $problem$.", "Solve $problem$ for {{ b }}.", "markup", "between two $: $b$"),
        ("Solve $problem$.", "Solve $problem$, $u_(n + k) = 3*n$.", "unknown-character", "write u_1, u_2"),
        ("(a + b)*x", "pi*x", "unknown-name", "π has no exact value"),
        ("kind: entry", "kind: short-answer", "unknown-word", "did you mean `entry`"),
    ],
)  # fmt: skip
def test_what_is_written_otherwise_elsewhere_has_its_remedy(
    old: str, new: str, code: str, remedy: str, tmp_path: Path
) -> None:
    assert ROOTS.count(old) == 1
    (tmp_path / "template.yaml").write_text(HEAD + ROOTS.replace(old, new), "utf-8")
    hints = {each.code: each.hint for each in check(tmp_path / "template.yaml").diagnostics}

    assert remedy in hints[code]
    assert ("domain" in hints[code]) == ("domain" in remedy)


def test_braces_around_what_is_no_name_are_text(tmp_path: Path) -> None:
    assert "markup" not in _messages(tmp_path, ROOTS, "Solve $problem$.", "Leave {y} out. Solve $problem$.")


INVERSE = """unknowns: {k: k > 0}
letters: [x]
parameters: {a: {from: 2, to: 9}, b: {from: 1, to: 9}, v: {from: 10, to: 19}}
problem: a*k + b = v
stem: The function $f$ is given by $f(x) = a*x + b$. Find $k = f^(-1)(v)$.
response: {kind: entry, blanks: {k: {form: fraction}}}
key: k = (v - b)/a
slips:
  - {slip: value, value: k = a*v + b, pupil: "That is $f(v)$, not $f^(-1)(v)$.", teacher: "Takes $f$ for $f^(-1)$."}
"""


def test_a_text_may_speak_of_an_inverse_in_every_format(tmp_path: Path) -> None:
    bank = _bank(tmp_path, INVERSE)

    assert [] == [each.message for each in check(bank).diagnostics]
    _agrees(bank, tmp_path / "out")


def test_a_number_of_the_template_has_no_inverse(tmp_path: Path) -> None:
    body = (
        INVERSE.replace("a*x + b", "f*x + b")
        .replace("{a: {", "{f: {")
        .replace("a*k", "f*k")
        .replace("/a", "/f")
    )
    told = _messages(tmp_path, body.replace("$f(x) = ", "$y = ").replace("a*v", "f*v"))

    assert "`f` is no function, it is a number of this template" == told["unknown-function"]


NOUGHT = """unknowns: [y]
parameters: {b: [2, 3, 5], n: {from: -3, to: 4, leaving_out: [0]}}
problem: b^y = b^n
stem: Find $y$ from $keep(b^y = b^n)$.
response: {kind: entry, blanks: {y: {form: integer}}}
key: y = n
"""


@pytest.mark.parametrize("right", ["0^n", "b + 0^n"])
def test_a_power_that_has_no_value_for_some_exponents_is_told_at_its_place(
    right: str, tmp_path: Path
) -> None:
    """The proof for all values cannot speak of it; the items can."""
    (tmp_path / "template.yaml").write_text(
        HEAD + NOUGHT.replace("problem: b^y = b^n", f"problem: b^y = {right}"), "utf-8"
    )
    told = check(tmp_path / "template.yaml").diagnostics

    assert told
    assert all(each.span is not None for each in told)
    assert {"wrong-key", "undefined"} & {each.code for each in told}


SUM = """letters: [x]
parameters: {a: {from: 2, to: 6}, b: {from: 2, to: 6}, c: {from: 2, to: 6}}
constraints: [a < b]
problem: a*(x + c) + b*(x + 1)
stem: Simplify $problem$.
response: {kind: choice, options: 3}
key: (a + b)*x + (a*c + b)
slips:
  - {slip: first-only, value: (a + b)*x + (c + 1), pupil: Each term., teacher: Multiplies the letter only.}
  - {slip: lost, value: (a + b)*x + a*c, pupil: Each term., teacher: Loses a term.}
"""


def test_numbers_side_by_side_are_doubtful_in_the_key_too(tmp_path: Path) -> None:
    """It is an option that pupils read: 5x + 8 + 3."""
    assert {} == _messages(tmp_path, SUM)
    (tmp_path / "template.yaml").write_text(HEAD + SUM.replace("(a*c + b)\n", "a*c + b\n"), "utf-8")
    (found,) = (each for each in check(tmp_path / "template.yaml").diagnostics if each.code == "odd-looks")

    assert found.span is not None
    assert 14 == found.span.line
    assert "put the numbers together in brackets" in found.hint
