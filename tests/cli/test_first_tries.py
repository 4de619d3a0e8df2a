"""What somebody new writes at first: the message is true, and who does what its hint says gets on. Common practice."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.harness import Program, change

SYSTEM = """template: two-lines
version: 1
title: Two linear equations
topics: [simultaneous/linear]
demand: use
calculator: no
minutes: 4
unknowns: [x, y]
parameters:
  u: {from: -5, to: 5}
  v: {from: -5, to: 5}
constraints: [u != v, u + v != 0]
problem: x + y = u + v and x - y = u - v
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer}, y: {form: integer}}}
key: x = u and y = v
solution:
  - say: Add the equations.
    math: 2*x = 2*u and x - y = u - v
    marks: M1
  - math: x = u and x - y = u - v
    marks: A1
  - math: x = u and y = v
    marks: A1
"""
MODULUS = """template: modulus
version: 1
title: An inequality with a modulus
topics: [inequalities]
demand: use
calculator: no
minutes: 3
unknowns: [x]
parameters:
  a: {from: -9, to: 9, leaving_out: [0]}
  k: {from: 1, to: 12}
problem: abs(x - a) < k
stem: Solve $abs(x - a) < k$.
response: {kind: entry, blanks: {x: {form: interval}}}
key: a - k < x and x < a + k
solution:
  - math: -k < x - a and x - a < k
    marks: M1
  - math: a - k < x < a + k
    marks: A1
"""

MODULUS_EQUATION = """template: modulus-two
version: 1
title: An equation with a modulus
topics: [modulus]
demand: use
calculator: no
minutes: 3
unknowns: [x]
parameters:
  a: {from: -9, to: 9, leaving_out: [0]}
  k: {from: 1, to: 12}
problem: abs(x - a) = k
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer, marks: M1 A1}}}
key: x = a - k or x = a + k
slips:
  - {slip: one-case-only, value: x = a + k, pupil: "What is inside may be negative.", teacher: Takes one case only.}
solution:
  - say: What is inside is $k$ or $-k$.
    math: x - a = k or x - a = -k
    marks: M1
  - math: x = a - k or x = a + k
    marks: A1
"""

MODULUS_SLIPS = """template: modulus-slips
version: 1
title: Key and slips are moduli themselves
unknowns: [x]
parameters: {a: {from: -9, to: 9, leaving_out: [0]}, k: {from: 1, to: 12}}
problem: abs(2*x - a) > k
stem: Solve $problem$.
response: {kind: choice, options: 4}
key: abs(2*x - a) > k
slips:
  - {slip: turned, value: abs(2*x - a) < k, pupil: Where is the modulus larger?, teacher: Turns the sign.}
  - {slip: sign, value: abs(2*x + a) > k, pupil: Put a number in., teacher: Takes the sign of the centre wrongly.}
  - {slip: equal, value: abs(2*x - a) = k, pupil: Which numbers lie outside?, teacher: Solves the equation.}
"""


@pytest.fixture
def program(tmp_path: Path) -> Program:
    folder = tmp_path / "a b é"
    folder.mkdir()
    return Program(folder)


def test_a_letter_that_only_a_text_names_is_put_into_letters(program: Program) -> None:
    text = SYSTEM.replace("Add the equations.", "Add the equations of $p$.")
    program.write(
        "t.yaml", text.replace("blanks: {x: {form: integer}", "marks: 4, blanks: {x: {form: integer}")
    )

    told = program.run("check", "t.yaml", status=1).out
    assert "t.yaml:18:32: wrong: unknown-name" in told
    assert "goes into the list `letters:` of the template" in told

    program.write("t.yaml", SYSTEM.replace("{x: {form: integer}", "{x: {form: integer, marks: A2}"))
    change(program.folder / "t.yaml", "Add the equations.", "Add the equations of $p$.")
    change(program.folder / "t.yaml", "y: {form: integer}", "y: {form: integer, marks: A1}")
    change(program.folder / "t.yaml", "unknowns: [x, y]", "unknowns: [x, y]\nletters: [p]")
    assert "1 template; 0 wrong" in program.run("check", "t.yaml").out


def test_marks_that_cannot_be_shared_come_with_a_way_to_share_them_that_works(program: Program) -> None:
    program.write("t.yaml", SYSTEM)

    told = program.run("check", "t.yaml", status=1).out
    assert "3 marks cannot be shared evenly over the blanks" in told
    hint = re.search(r"such as x: marks: (\w+), y: marks: (\w+)", told)
    assert hint is not None
    assert hint.groups() == ("B2", "B1")

    for name, marks in zip("xy", hint.groups(), strict=True):
        change(
            program.folder / "t.yaml", f"{name}: {{form: integer", f"{name}: {{form: integer, marks: {marks}"
        )
    assert "1 template; 0 wrong" in program.run("check", "t.yaml").out


def test_moduli_are_solved_built_and_verified(program: Program) -> None:
    program.write("bank/bank.yaml", "bank: moduli\ntitle: Moduli\n")
    program.write("bank/templates/range.yaml", MODULUS)
    program.write("bank/templates/two.yaml", MODULUS_EQUATION)
    program.write("bank/templates/wrong.yaml", MODULUS_SLIPS)

    program.run(
        "build", "bank", "--out", "out", "--count", 24, "--proof", "full", "--formats", "qti3,qti21,cc,latex,html",
        left=None, err=None,
    )  # fmt: skip
    told = program.run("verify", "--thorough", "out", left=None).out

    assert told.splitlines() == [
        f"moduli-{name}: 24 items, none at fault" for name in ("cc.imscc", "qti21.zip", "qti3.zip")
    ]
    shown = program.run("show", "bank/templates/two.yaml", "--count", 1, left=None).out
    assert re.search(r"Solve \|x [+−] \d+\| = \d+\.", shown)
    assert "Enter the solutions in any order" in shown


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("key: x = a - k or x = a + k", "key: x = a + k"),
        ("key: x = a - k or x = a + k", "key: x = a - k or x = -a + k"),
        ("math: x - a = k or x - a = -k", "math: x - a = k"),
        ("math: x - a = k or x - a = -k", "math: x - a = k or x + a = -k"),
    ],
)
def test_a_wrong_case_of_a_modulus_is_refused(program: Program, old: str, new: str) -> None:
    program.write("t.yaml", MODULUS_EQUATION.replace(old, new))

    told = program.run("check", "t.yaml", status=1).out

    assert re.search(r"t\.yaml:\d+:\d+: wrong: (wrong-key|solution-line-wrong)", told)


def test_a_modulus_of_two_unknowns_comes_with_a_way_to_say_it(program: Program) -> None:
    text = SYSTEM.replace("{x: {form: integer}", "{x: {form: integer, marks: A2}").replace(
        "y: {form: integer}", "y: {form: integer, marks: A1}"
    )
    program.write("t.yaml", text.replace("Add the equations of $p$", "Add the equations"))
    change(program.folder / "t.yaml", "problem: x + y", "problem: abs(x + y)")

    told = program.run("check", "t.yaml", status=1).out

    assert "a modulus of letters may stand in a statement in one unknown only" in told
    assert "for abs(x - a) = k the problem x - a = k or x - a = -k" in told


@pytest.mark.parametrize("number", ["99999999999999999999", "1000000000000001", "1/9999999999999999"])
def test_a_number_beyond_the_limit_is_called_too_large_and_not_no_number(
    program: Program, number: str
) -> None:
    program.write("t.yaml", MODULUS.replace("k: {from: 1, to: 12}", f"k: {{from: 1, to: {number}}}"))

    told = program.run("check", "t.yaml", status=1).out

    assert "t.yaml:11:20: wrong: number-too-large" in told
    assert "is no number" not in told


def test_a_unit_is_shown_as_it_stands(program: Program) -> None:
    shared = SYSTEM.replace("{x: {form: integer}", "{x: {form: integer, marks: A2}")
    program.write("t.yaml", shared.replace("y: {form: integer}", "y: {form: integer, marks: A1, unit: m^2}"))

    told = program.run("check", "t.yaml", status=1).out
    assert "wrong: unit-not-as-shown" in told
    assert "hint: write unit: m²" in told

    change(program.folder / "t.yaml", "unit: m^2", "unit: m²")
    assert "y: [" in (shown := program.run("show", "t.yaml", "--count", 1).out)
    assert "] m²" in shown


def test_money_is_a_unit_as_it_is_in_a_text(program: Program) -> None:
    shared = SYSTEM.replace("{x: {form: integer}", "{x: {form: integer, marks: A2}")
    program.write("t.yaml", shared.replace("y: {form: integer}", "y: {form: integer, marks: A1, unit: \\$}"))

    shown = program.run("show", "t.yaml", "--count", 1).out

    assert re.search(r"y: \$\[-?\d+\]$", shown, re.MULTILINE)


def test_an_option_that_wants_a_whole_number_says_so(program: Program) -> None:
    ended = program.run("show", "t.yaml", "--count", "ten", status=2, err=None)

    assert "'ten' is not a whole number" in ended.err


def test_the_form_of_an_entry_is_sent_to_its_blanks(program: Program) -> None:
    entry = "{kind: entry, blanks: {x: {form: integer, marks: A2}, y: {form: integer, marks: A1}}}"
    text = SYSTEM.replace("{kind: entry, blanks: {x: {form: integer}, y: {form: integer}}}", entry)
    program.write("t.yaml", text.replace("{kind: entry,", "{kind: entry, form: integer,"))

    told = program.run("check", "t.yaml", status=1).out
    assert "t.yaml:15:31: wrong: unknown-word" in told
    assert "an entry has its forms at its blanks: blanks: {x: {form: integer}}" in told

    program.write("t.yaml", text.replace("{kind: entry,", "{kind: entry, form: surd,"))
    assert "say it at its blanks: blanks: {x: {form: surd}}" in program.run("check", "t.yaml", status=1).out


def test_a_derived_value_that_is_too_large_is_told_where_it_is_derived(program: Program) -> None:
    program.write("t.yaml", SYSTEM.replace("constraints:", "derived: {w: u^70}\nconstraints:"))
    change(program.folder / "t.yaml", "x + y = u + v and", "x + y = w + v and")
    change(program.folder / "t.yaml", "{x: {form: integer}", "{x: {form: integer, marks: A2}")
    change(program.folder / "t.yaml", "y: {form: integer}", "y: {form: integer, marks: A1}")

    told = program.run("check", "t.yaml", status=1).out
    assert "t.yaml:12:14: wrong: undefined" in told
    assert "`w` has no value: an exponent beyond 64" in told


@pytest.mark.parametrize(
    ("stem", "column"),
    [
        ("Solve $problem.", 13),
        ("A ticket costs $5. Solve $problem$.", 22),
        ("Solve $problem$ for $x$ and $y$ at $5.", 42),
        ("Solve $ $problem$ for $x$ and $y$.", 13),
    ],
)
def test_a_dollar_without_a_partner_is_found_among_others(program: Program, stem: str, column: int) -> None:
    program.write("t.yaml", SYSTEM.replace("Solve $problem$.", stem))

    assert f"t.yaml:14:{column}: wrong: unclosed-maths" in program.run("check", "t.yaml", status=1).out


@pytest.mark.parametrize(
    ("form", "key", "remedy"),
    [
        ("interval", "x < a/k", "ends: fraction"),
        ("interval", "x < sqrt(k)", "ends: surd"),
        ("integer", "x = a/k", "form: fraction"),
        ("integer", "x = sqrt(k)", "form: surd"),
    ],
)
def test_what_does_not_fit_the_boxes_comes_with_the_form_that_does(
    program: Program, form: str, key: str, remedy: str
) -> None:
    sign = "<" if "<" in key else "="
    text = MODULUS.replace("problem: abs(x - a) < k", f"problem: {key}").replace(
        "Solve $abs(x - a) < k$.",
        f"Rewrite ${'k*x' if 'a' in key else 'x'} {sign} {'a' if 'a' in key else 'k'}$.",
    )
    text = text.replace("form: interval", f"form: {form}").replace(
        "key: a - k < x and x < a + k", f"key: {key}"
    )
    program.write("t.yaml", text[: text.index("solution:")] + f"solution:\n  - math: {key}\n    marks: M1\n")

    told = program.run("check", "t.yaml", status=1).out

    assert "wrong: key-not-in-form" in told
    assert f"`{remedy}`" in told


def test_a_root_of_a_root_is_told_apart_from_a_surd(program: Program) -> None:
    text = MODULUS_EQUATION.replace("abs(x - a) = k", "(x - a)^2 = k").replace(
        "key: x = a - k or x = a + k", "key: x = a ± surd(sqrt(k))"
    )
    program.write("t.yaml", text.replace("form: integer", "form: surd"))

    assert "write surd(k) for surd(sqrt(k))" in program.run("check", "t.yaml", status=1).out


def test_one_bad_file_of_a_bank_is_told_and_the_others_are_looked_at(tmp_path: Path) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    program = Program(folder)
    program.demo("simplify-surd", "equal-roots")
    program.write("bank/templates/cut-off.yaml", "template: cut-off\nversion: 1\ntitle: [A\n")
    program.write("bank/templates/no-key.yaml", MODULUS.replace("key: a - k < x and x < a + k\n", ""))
    ended = program.run("check", "bank", status=1, err=None)

    assert "simplify-surd: " in ended.out
    assert "equal-roots: " in ended.out
    assert "bank/templates/cut-off.yaml:" in ended.out
    assert "bank/templates/no-key.yaml:1:1: wrong: missing-key" in ended.out
    assert "\n2 templates; 2 wrong, " in ended.out
    assert "2 wrong" in program.run("check", "bank/templates", status=1, err=None).out
    assert "simplify-surd: " in program.run("check", "bank/templates", status=1, err=None).out


def test_with_a_bad_slip_file_or_bank_file_that_alone_is_told(tmp_path: Path) -> None:
    """What templates mean depends on them."""
    folder = tmp_path / "here"
    folder.mkdir()
    program = Program(folder)
    program.demo("simplify-surd")
    change(program.folder / "bank" / "bank.yaml", "seed: 1", "seed: one")

    assert "0 templates; 1 wrong, 0 doubtful" in program.run("check", "bank", status=1, err=None).out


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ("bank/templates", "bank/templates holds no bank.yaml"),
        ("bank/templates/vertex-form.yaml", "bank/templates/vertex-form.yaml is no folder"),
        ("bank/bank.yaml", "bank/bank.yaml is no folder"),
        ("bank/template", "there is no folder bank/template"),
    ],
)
def test_whoever_names_a_part_of_a_bank_is_told_the_bank(tmp_path: Path, named: str, message: str) -> None:
    program = Program(tmp_path)
    program.demo("vertex-form")
    told = program.run("build", named, "--out", "out", status=1, err=None).err

    assert f"wrong: not-a-bank\n  {message}\n  hint: name the bank folder: bank\n" in told


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        ("pdf", "PDF files are made of latex with --pdf"),
        ("QTI3", "write qti3"),
        ("cards", "a writer of an extension is declared in bank.yaml, under `extensions`"),
    ],
)
def test_a_format_that_there_is_not_has_a_remedy(tmp_path: Path, written: str, remedy: str) -> None:
    told = (
        Program(tmp_path).run("build", "bank", "--out", "out", "--formats", written, status=2, err=None).err
    )

    assert f"itembank: Invalid value: `{written}` is none of qti3, " in told
    assert f": {remedy}\n" in told
