"""Faults planted one at a time into good templates: each is caught at its line with its code, and nothing else is said.

A fault of our own making (a tidy rule, a search test, a canonical form broken in a test double) ends with status 3
and both results. What the shape of a file alone tells is tried in `tests/templates/bad`.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic, InputError
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips
from tests.cli.harness import ROOT, Program, change

GOOD = ROOT / "tests" / "templates" / "good"

DOMAIN = """\
template: good-domain
version: 1
title: A length from its square
unknowns: {w: w > 0}
parameters:
  s: {from: 1, to: 9}
derived: {n: s^2}
problem: w^2 = n
stem: The square on a side of length $w$ has the area $n$. Find $w$.
response: {kind: entry, blanks: {w: {form: integer}}}
key: w = s
solution:
  - math: w = ±s
  - rejects: A length is not negative.
    math: w = -s
  - math: w = s
    marks: B1
"""

ROUNDED = """\
template: good-rounded
version: 1
title: A root to two decimal places
unknowns: [x]
parameters:
  k: {from: 2, to: 30, leaving_out: [4, 9, 16, 25]}
problem: x^2 = k
stem: Solve $problem$, to two decimal places.
response: {kind: entry, blanks: {x: {form: decimal, places: 2, values: any-order}}}
key: x = ±sqrt(k)
solution:
  - math: x = ±sqrt(k)
  - aside: sqrt(k)^2 = k
  - math: x ≈ round(-sqrt(k), 2) or x ≈ round(sqrt(k), 2)
    marks: B1
"""

WHOLE = """\
template: good-whole
version: 1
title: A square equation
unknowns: [x]
parameters:
  n: {from: 1, to: 9}
  m: {from: 2, to: 5}
problem: m*x^2 = value(m*n^2)
stem: Solve $problem$.
response: {kind: entry, no_real_solution: tick, blanks: {x: {form: integer, values: any-order}}}
key: x = ±n
solution:
  - math: x^2 = n^2
  - math: x = ±n
    marks: B1
"""
NONE = """\
template: good-none
version: 1
title: A square equation without a real solution
unknowns: [x]
parameters:
  n: {from: 1, to: 9}
problem: x^2 + n = 0
stem: Solve $problem$.
response: {kind: entry, no_real_solution: tick, blanks: {x: {form: integer, values: any-order}}}
key: none
"""
BASES = {"domain": DOMAIN, "rounded": ROUNDED, "whole": WHOLE, "none": NONE} | {
    path.stem: path.read_text("utf-8")
    for path in sorted(GOOD.glob("*.yaml"))
    if path.stem not in {"slips", "bank"}
}


@dataclass(frozen=True)
class Fault:
    """One replacement in a base; `at` is a piece of the line where it must be told."""

    name: str
    base: str
    old: str
    new: str
    code: str
    at: str
    says: str = ""
    level: str = "wrong"


def line_of(text: str, piece: str) -> int:
    """The number of the only line that holds a piece."""
    (found,) = [number for number, line in enumerate(text.splitlines(), 1) if piece in line]
    return found


def told(path: Path) -> list[Diagnostic]:
    """Everything said about a template, by its loader and its review."""
    try:
        loaded = load_template(path, path.name, load_slips(GOOD / "slips.yaml", "slips.yaml")[0])
        return [*loaded.doubts, *review(Entry(make_recipe(loaded.template), "", path.name)).diagnostics]
    except InputError as wrong:
        return list(wrong.diagnostics)


FAULTS = [
    # the key
    Fault("a wrong key formula", "choice", "key: x = h ± surd(k)", "key: x = h ± surd(k + 1)", "wrong-key", "key:", "t²"),
    Fault("a key that misses a root", "entry", "key: x = p or x = q", "key: x = p", "wrong-key", "key:"),
    Fault("a key with an extra root", "entry", "key: x = p or x = q", "key: x = p or x = q or x = 0", "wrong-key", "key:"),
    Fault("no solution, where there are two", "whole", "key: x = ±n", "key: none", "wrong-key", "key:"),
    Fault("no tick where there is no real solution", "none", "no_real_solution: tick, ", "", "no-tick", "response:"),
    Fault("a key with two letters exchanged", "identity", "key: p = -h and q = k", "key: p = k and q = -h", "wrong-key", "key:"),
    Fault("a key of a later part that is wrong", "parts", "key: u = -p and v = q", "key: u = p and v = q", "wrong-key", "key: u"),
    Fault("a key that equals for some values only", "rewrite", "key: s*sqrt(r)", "key: 2*sqrt(r)", "wrong-key", "key:", "s = 3"),
    Fault("a root outside the domain kept", "domain", "key: w = s", "key: w = ±s", "wrong-key", "key:"),
    Fault("a fraction where a whole number is asked", "decimals", "{form: decimal, places: 2, tolerance: 0.01}",
          "{form: integer}", "key-not-in-form", "response:"),
    Fault("a whole number where a surd is asked", "whole", "{form: integer, values: any-order}", "{form: surd}",
          "key-not-in-form", "response:"),
    Fault("a key that is irrational where a whole number is asked", "choice",
          "response: {kind: choice, options: 3}", "response: {kind: entry, blanks: {x: {form: integer}}, marks: 3}",
          "key-not-in-form", "response:"),
    # slips
    Fault("a slip that is always the key", "choice", "value: (x + b)^2 = b^2 - c, when: h != 1", "value: (x - h)^2 = k",
          "slip-never-appears", "slip: not-halved", "equals the key"),
    Fault("a slip that always equals another", "choice", "value: (x + b)^2 = b^2 - c, when: h != 1", "value: (x + h)^2 = k",
          "slip-never-appears", "slip: not-halved", "equals an earlier slip"),
    Fault("a slip that never has a value", "choice", "value: (x + b)^2 = b^2 - c, when: h != 1", "value: x = sqrt(-k)",
          "slip-never-appears", "slip: not-halved", "is undefined"),
    Fault("a slip without a real solution", "choice", "value: (x + b)^2 = b^2 - c, when: h != 1", "value: (x - h)^2 = -k",
          "slip-never-appears", "slip: not-halved", "has no real solution"),
    Fault("a slip that is hardly ever offered", "entry", "value: x = -p or x = -q", "value: x = -p or x = -q, when: p = 1 and d = 2",
          "slip-seldom-appears", "slip: not-halved", level="doubtful"),
    # solution
    Fault("a line that loses a root", "entry", "(x - p)*(x - q) = 0", "x - p = 0", "solution-line-wrong", "x - p = 0"),
    Fault("a line that gains a root", "domain", "  - math: w = s\n", "  - math: (w - s)*(w - 2*s) = 0\n", "solution-line-wrong",
          "(w - s)*(w - 2*s)"),
    Fault("a line with a sign lost", "choice", "math: x^2 + b*x = -c", "math: x^2 + b*x = c", "solution-line-wrong", "= c"),
    Fault("a line with a letter nobody introduced", "words", "slips:\n", "solution:\n  - math: D = x\nslips:\n",
          "solution-line-wrong", "math: D = x"),
    Fault("side working that is false", "rounded", "aside: sqrt(k)^2 = k", "aside: sqrt(k)^2 = k + 1", "solution-line-wrong",
          "aside"),
    Fault("a decimal wrong in the last place", "rounded", "x ≈ round(sqrt(k), 2)", "x ≈ round(sqrt(k) + 1/100, 2)",
          "solution-line-wrong", "+ 1/100"),
    Fault("a decimal for one of two roots", "rounded", "x ≈ round(-sqrt(k), 2) or x", "x", "solution-line-wrong", "≈"),
    Fault("a root rejected that lies in the domain", "domain", "    math: w = -s", "    math: w = 2*s", "solution-line-wrong",
          "math: w = 2*s"),
    Fault("a root rejected though there is no domain", "whole", "  - math: x^2 = n^2\n", "  - rejects: It is negative.\n    math: x = -n\n",
          "solution-line-wrong", "math: x = -n"),
    # what the lines leave
    Fault("a claim that does not fit the problem", "entry", "constraints: [b != 0, c != 0]\n",
          "constraints: [b != 0, c != 0]\nguarantees: [irrational_roots(problem)]\n", "no-values", "guarantees:"),
    Fault("lines that cannot hold together", "choice", "constraints: [c != 0]", "constraints: [h > 3, c != 0, h < 2]",
          "no-values", "constraints:", "`h > 3` and `h < 2`"),
    Fault("a claim on whole numbers made of fractions", "rewrite", "  - squarefree(r)\n", "  - coprime(r/17, s)\n",
          "no-values", "coprime", "undefined: whole numbers are needed"),
    Fault("a power beyond every bound", "choice", "derived: {b: -2*h, c: h^2 - k}", "derived: {b: -2*h, c: h^9^9 - k}",
          "no-values", "irrational_roots", "`c` has no value: an exponent beyond 64"),
    Fault("an empty band", "choice", "harder: [abs(h) > 4]", "harder: [abs(h) > 9]", "empty-band", "harder:"),
    Fault("a constraint that rejects nothing", "choice", "constraints: [c != 0]", "constraints: [c != 0, k > 1]",
          "rejects-nothing", "constraints:", level="doubtful"),
    Fault("a constraint without a value at times", "choice", "constraints: [c != 0]", "constraints: [c != 0, sqrt(h) != 2]",
          "undefined-line", "constraints:", "the square root of -1 is not real", level="doubtful"),
    Fault("a stem without a value anywhere", "choice", "solve $problem$.", "solve $problem$ or $1/(h - h)$.", "undefined",
          "1/(h - h)", "division by zero"),
    Fault("a root whose index cannot be shown", "choice", "solve $problem$.", "solve $problem$ or $root(x, h)$.",
          "cannot-be-shown", "root(x, h)", "index"),
    Fault("a problem that is not solved", "whole", "problem: m*x^2 = value(m*n^2)", "problem: m*x^5 + x = value(m*n^2)",
          "problem-not-solved", "problem:"),
    # questions
    Fault("twins: a stem that hides a parameter", "entry", "stem: Solve $problem$.", "stem: Two numbers have the sum $-b$. Find them.",
          "twins", "stem:", "p = 1, d = 3, and p = 2, d = 1"),
    Fault("twins: two roots in either order", "entry", "d: {from: 1, to: 4}", "d: {from: -4, to: 4, leaving_out: [0]}",
          "twins", "stem:"),
    Fault("rows of words that overlap", "words", "when: D = 0}", "when: D >= 0}", "words-do-not-fit", "response:", "more than one"),
    Fault("rows of words none of which is right", "words", "when: D < 0}", "when: D < -20}", "words-do-not-fit", "response:",
          "no row of words is right"),
    Fault("two rows with the same words", "words", "text: no real roots", "text: one repeated root", "option", "one repeated root, when: D < 0"),
    # looks
    Fault("± before nought", "whole", "n: {from: 1, to: 9}", "n: {from: 0, to: 9}", "odd-looks", "math: x = ±n", "± before 0",
          level="doubtful"),
    Fault("two plain numbers side by side", "whole", "  - math: x^2 = n^2\n", "  - math: x^2 - n - 1 = value(n^2 - n - 1)\n",
          "odd-looks", "value(n^2 - n - 1)", "two plain numbers", level="doubtful"),
]  # fmt: skip


@pytest.mark.parametrize("fault", [pytest.param(fault, id=fault.name) for fault in FAULTS])
def test_a_planted_fault_is_caught_at_its_line(fault: Fault, tmp_path: Path) -> None:
    text = BASES[fault.base]
    assert 1 == text.count(fault.old)
    text = text.replace(fault.old, fault.new)
    path = tmp_path / "planted.yaml"
    path.write_text(text, "utf-8")

    found = told(path)

    assert [(line_of(text, fault.at), fault.level, fault.code)] == [
        (each.span.line, each.level.value, each.code) for each in found if each.span is not None
    ]
    assert fault.says in found[0].message
    assert text.splitlines()[line_of(text, fault.at) - 1] == found[0].excerpt


@pytest.mark.parametrize("base", BASES)
def test_nothing_is_said_about_a_template_without_a_fault(base: str, tmp_path: Path) -> None:
    path = tmp_path / "planted.yaml"
    path.write_text(BASES[base], "utf-8")

    assert [] == told(path)


def test_many_kinds_of_fault_are_planted() -> None:
    assert len({fault.name for fault in FAULTS}) == len(FAULTS) >= 40
    assert len({fault.code for fault in FAULTS}) >= 15


# through the real command


@pytest.fixture
def program(tmp_path: Path) -> Program:
    folder = tmp_path / "work"
    folder.mkdir()
    (folder / "slips.yaml").write_bytes((GOOD / "slips.yaml").read_bytes())
    for name, text in BASES.items():
        (folder / f"{name}.yaml").write_text(text, "utf-8")
    return Program(folder)


def test_check_tells_planted_faults_of_many_files_in_one_run(program: Program) -> None:
    planted = {fault.base: fault for fault in FAULTS if fault.level == "wrong"}
    assert len(planted) >= 8
    for base, fault in planted.items():
        change(program.folder / f"{base}.yaml", fault.old, fault.new)

    found = json.loads(program.run("check", *(f"{base}.yaml" for base in planted), "--json", status=1).out)

    assert {
        (f"{base}.yaml", line_of((program.folder / f"{base}.yaml").read_text("utf-8"), fault.at), fault.code)
        for base, fault in planted.items()
    } == {(told["path"], told["line"], told["code"]) for told in found["diagnostics"]}
    assert {f"good-{base}" for base in planted} == {template["template"] for template in found["templates"]}


def test_a_sentence_of_a_slip_with_an_unknown_letter_is_told_in_the_slip_file(program: Program) -> None:
    change(program.folder / "slips.yaml", "Look at $m$ again.", "Look at $w$ again.")

    out = program.run("check", "choice.yaml", status=1).out

    assert "/slips.yaml:21:20: wrong: unknown-name\n" in out
    assert "name it in `takes` or `unknowns`" in out


def test_content_changed_under_an_old_version_is_told_at_the_version(program: Program) -> None:
    bank = program.demo("vertex-form")
    program.run("build", "bank", "--out", "out", "--count", 2, "--formats", "json", left=BUILT)
    change(bank / "templates" / "vertex-form.yaml", "k: {from: -30, to: 30,", "k: {from: -20, to: 20,")

    out = program.run("check", "bank").out
    refused = program.run("build", "bank", "--out", "other", "--count", 2, status=1, err=None)

    assert "bank/templates/vertex-form.yaml:2:1: doubtful: version-not-raised" in out
    assert "bank/templates/vertex-form.yaml:2:1: wrong: version-not-raised" in refused.err
    assert "hint: write version: 2" in refused.err


BUILT = (
    "bank/bank.lock", "out", "out/.itembank-output", "out/report.json", "out/report.md", "out/staff",
    "out/staff/answer-map.csv", "out/staff/items.json", "out/staff/mark-sheet.csv",
)  # fmt: skip


# test doubles: something of our own broken on purpose

DOUBLES = {
    "a tidy rule that loses a minus sign": (
        "from itembank.expressions import layout; whole = layout._summed\n"
        "layout._summed = lambda terms: whole([('+' if sign == '-' else sign, term) for sign, term in terms])",
        "choice", "irrational_roots(problem)", "the discriminant",
    ),
    "a search test that accepts everything": (
        "from itembank.properties import array_tests, integer_tests\n"
        "integer_tests.irrational_roots = lambda *numbers: True",
        "choice", "the search found: irrational_roots(problem)", "the proof found: the discriminant",
    ),
    "a search test that takes any number for free of squares": (
        "from itembank.properties import integer_tests\nintegers = integer_tests.squarefree\n"
        "integer_tests.squarefree = lambda *numbers: True",
        "rewrite", "squarefree(r)", "the proof found: 4 = 2² × 1",
    ),
    "slips that are never compared with the key": (
        "from itembank.generator import distractors, instantiate\nwhole = distractors.fates\n"
        "instantiate.fates = lambda *given: [distractors.Fate('offered', fate.forms) for fate in whole(*given)]",
        "same", "the option is wrong and unlike every other", "are both",
    ),
    "boxes that are filled with the wrong sign": (
        "from itembank.generator import boxes\n"
        "whole = boxes._group\n"
        "boxes._group = lambda blank, roles, form: tuple(-number for number in whole(blank, roles, form))",
        "identity", "the boxes hold exactly the key", "the keyed boxes are not the key",
    ),
}  # fmt: skip

SAME = BASES["choice"].replace("value: (x + b)^2 = b^2 - c, when: h != 1", "value: (x - h)^2 = abs(h)*k")


def run_double(program: Program, double: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The program with something of its own replaced before it starts."""
    script = f"{double}\nimport sys\nfrom itembank.cli.main import main\nsys.exit(main(sys.argv[1:]))"
    return subprocess.run(
        [sys.executable, "-c", script, *arguments], cwd=program.folder, capture_output=True, text=True, check=False,
        encoding="utf-8", env=program.variables({"ITEMBANK_CACHE": "off"}),
    )  # fmt: skip


@pytest.mark.parametrize("name", DOUBLES)
def test_a_fault_of_our_own_ends_with_status_3_and_both_results(program: Program, name: str) -> None:
    double, base, first, second = DOUBLES[name]
    (program.folder / "same.yaml").write_text(SAME, "utf-8")
    assert 0 == run_double(program, "", "check", f"{base}.yaml").returncode

    done = run_double(program, double, "check", f"{base}.yaml")

    assert 3 == done.returncode, done.stdout + done.stderr
    assert done.stderr.startswith("itembank contradicts itself; nothing was written.")
    one, other = (line.partition(": ")[2] for line in done.stderr.splitlines()[-2:])
    assert first in one
    assert second in other
    assert "Traceback" not in done.stderr


def test_a_canonical_form_that_is_not_reduced_is_a_fault_of_our_own(program: Program) -> None:
    double = (
        "from itembank.expressions import canonical\n"
        "canonical.ratio = lambda n, d: ((('+/',) if n > 0 else ('-/',)), (abs(n), d))"
    )
    program.write(
        "constant.yaml",
        """\
template: constant
version: 1
title: The constant of a perfect square
unknowns: [m]
for_every: [x]
parameters:
  b: {values: [3, 5, 7, 9]}
problem: x^2 + b*x + m = (x + b/2)^2
stem: For which $m$ is $x^2 + b*x + m$ a perfect square?
response: {kind: choice, options: 2}
key: m = b^2/4
slips:
  - {slip: not-halved, value: m = 3*b^2/12}
  - {slip: sign-of-half, value: m = b^2}
""",
    )

    done = run_double(program, double, "check", "constant.yaml")

    assert 1 == run_double(program, "", "check", "constant.yaml").returncode  # the slip is the key: told to the author
    assert 3 == done.returncode, done.stdout + done.stderr
    assert "unlike every other" in done.stderr


def test_a_proof_that_cannot_tell_lets_nothing_pass(program: Program) -> None:
    double = (
        "from itembank.proof import claims\nfrom itembank.verdicts import Undecided\n"
        "claims.prove = lambda *given, **named: Undecided('no decision within the bound')"
    )

    done = run_double(program, double, "check", "rewrite.yaml")

    assert 1 == done.returncode
    assert "it cannot be proved that squarefree(r): no decision within the bound" in done.stdout


def test_a_build_with_a_fault_of_our_own_writes_nothing(program: Program) -> None:
    program.demo("monic-even-surd")
    double = DOUBLES["a search test that accepts everything"][0]

    done = run_double(program, double, "build", "bank", "--out", "out", "--count", "200", "--formats", "json")

    assert 3 == done.returncode, done.stdout + done.stderr
    assert "monic-even-surd/1/1/" in done.stderr
    assert not (program.folder / "out").exists()
    assert not (program.folder / "bank" / "bank.lock").exists()
