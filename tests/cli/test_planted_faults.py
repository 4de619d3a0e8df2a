"""Faults planted one at a time into good templates: each is caught at its line with its code, nothing else is said.

A fault of our own making (a tidy rule, a search test, a canonical form broken in a test double) ends with status 3
and both results. What the shape of a file alone tells is tried in `tests/templates/bad`.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml

from itembank.bank.bank import Entry
from itembank.bank.lint import RULES
from itembank.bank.review import review
from itembank.errors import Diagnostic, InputError
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips
from tests.cli import processes
from tests.cli.harness import ROOT, Program, change

DEMO = ROOT / "banks" / "quadratics"
GOOD = ROOT / "tests" / "templates" / "good"

BASES = {
    path.stem: path.read_text("utf-8")
    for path in sorted(GOOD.glob("*.yaml"))
    if path.stem not in {"slips", "bank"}
}


@dataclass(frozen=True)
class Fault:
    """One replacement in a base, and how it must be told; `at` is a piece of the line where, `says` of the message."""

    fault: str
    base: str
    replace: str
    by: str
    told: str
    at: str
    says: str = ""
    level: str = "wrong"


def line_of(text: str, piece: str) -> int:
    """The number of the only line that holds a piece."""
    (found,) = [number for number, line in enumerate(text.splitlines(), 1) if piece in line]
    return found


def told(path: Path) -> list[Diagnostic]:
    """Everything said about a template, by its loader and its review; not what the lint of item writing says."""
    try:
        loaded = load_template(path, path.name, load_slips(GOOD / "slips.yaml", "slips.yaml")[0])
        found = review(Entry(make_recipe(loaded.template), "", path.name)).diagnostics
        return [*loaded.doubts, *(each for each in found if each.code not in RULES)]
    except InputError as wrong:
        return list(wrong.diagnostics)


FAULTS = [Fault(**row) for row in yaml.safe_load((GOOD.parent / "planted-faults.yaml").read_text("utf-8"))]


@pytest.mark.parametrize("fault", [pytest.param(fault, id=fault.fault) for fault in FAULTS])
def test_a_planted_fault_is_caught_at_its_line(fault: Fault, tmp_path: Path) -> None:
    text = BASES[fault.base]
    assert 1 == text.count(fault.replace)
    text = text.replace(fault.replace, fault.by)
    path = tmp_path / "planted.yaml"
    path.write_text(text, "utf-8")

    found = told(path)

    assert [(line_of(text, fault.at), fault.level, fault.told)] == [
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
    assert len({fault.fault for fault in FAULTS}) == len(FAULTS) >= 40
    assert len({fault.told for fault in FAULTS}) >= 15


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
    planted = {
        fault.base: fault for fault in FAULTS if fault.level == "wrong" and fault.told != "key-not-explicit"
    }
    assert len(planted) >= 8
    for base, fault in planted.items():
        change(program.folder / f"{base}.yaml", fault.replace, fault.by)

    found = json.loads(program.run("check", *(f"{base}.yaml" for base in planted), "--json", status=1).out)

    assert {
        (f"{base}.yaml", line_of((program.folder / f"{base}.yaml").read_text("utf-8"), fault.at), fault.told)
        for base, fault in planted.items()
    } == {(told["path"], told["line"], told["code"]) for told in found["diagnostics"]}
    assert {f"good-{base}" for base in planted} == {template["template"] for template in found["templates"]}


def test_a_sentence_of_a_slip_with_an_unknown_letter_is_told_in_the_slip_file(program: Program) -> None:
    change(program.folder / "slips.yaml", "Look at $m$ again.", "Look at $w$ again.")

    out = program.run("check", "choice.yaml", status=1).out

    assert out.startswith("slips.yaml:17:21: wrong: unknown-name\n")
    assert "name it in `takes` or `unknowns`" in out


def test_content_changed_under_an_old_version_is_told_at_the_version(program: Program) -> None:
    bank = program.demo("vertex-form")
    program.run("build", "bank", "--out", "out", "--count", 2, "--formats", "json", left=BUILT)
    change(bank / "templates" / "vertex-form.yaml", "k: {from: -30, to: 30,", "k: {from: -20, to: 20,")

    out = program.run("check", "bank").out
    refused = program.run("build", "bank", "--out", "other", "--count", 2, status=1, err=None)

    assert "bank/templates/vertex-form.yaml:2:1: doubtful: version-not-raised" in out
    assert "bank/templates/vertex-form.yaml:2:1: wrong: version-not-raised" in refused.err
    text = (bank / "templates" / "vertex-form.yaml").read_text("utf-8")
    version = int(text.partition("\nversion: ")[2].split()[0])
    assert f"hint: write version: {version + 1}" in refused.err


BUILT = (
    "bank/bank.lock", "out", "out/.itembank-output", "out/report.json", "out/report.md", "out/staff",
    "out/staff/answer-map.csv", "out/staff/digests.txt", "out/staff/items.json", "out/staff/mark-sheet.csv",
)  # fmt: skip


# test doubles: something of our own broken on purpose

DOUBLES = {
    "a tidy rule that loses a minus sign": (
        "from itembank.expressions import layout; whole = layout._summed\n"
        "layout._summed = lambda terms: whole([('+' if sign == '-' else sign, term) for sign, term in terms])",
        "choice", "the search found: irrational_roots(problem)", "the proof found: x² + 2x + 1: at x = −1",
    ),
    "a search test that accepts everything": (
        "from itembank.properties import integer_tests\n"
        "integer_tests._TESTS['irrational_roots'] = lambda *numbers: True",
        "choice", "the search found: irrational_roots(problem)", "the proof found: x² − 2x − 3: at x = −1",
    ),
    "a search test that takes any number for free of squares": (
        "from itembank.properties import integer_tests\n"
        "integer_tests._TESTS['squarefree'] = lambda *numbers: True",
        "rewrite", "squarefree(r)", "the proof found: 8 = 2² × 2",
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


@dataclass(frozen=True)
class Doubled:
    """How a run with a double ended."""

    returncode: int
    stdout: str
    stderr: str


def run_double(program: Program, double: str, *arguments: str) -> Doubled:
    """The program with something of its own replaced before it starts."""
    done = processes.run(
        arguments, program.folder, program.variables({"ITEMBANK_CACHE": "off"}), before=double
    )
    return Doubled(done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))


def test_the_same_templates_are_well_without_a_double(program: Program) -> None:
    program.write("same.yaml", SAME)

    assert (
        0
        == run_double(
            program, "", "check", *{f"{base}.yaml" for _, base, _, _ in DOUBLES.values()}
        ).returncode
    )


@pytest.mark.parametrize("name", DOUBLES)
def test_a_fault_of_our_own_ends_with_status_3_and_both_results(program: Program, name: str) -> None:
    double, base, first, second = DOUBLES[name]
    program.write("same.yaml", SAME)

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

    assert (
        1 == run_double(program, "", "check", "constant.yaml").returncode
    )  # the slip is the key: told to the author
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
    double = (
        "from itembank.properties import integer_tests\n"
        "integer_tests._TESTS['simplifiable_surd'] = lambda *numbers: True"
    )

    done = run_double(program, double, "build", "bank", "--out", "out", "--count", "200", "--formats", "json")

    assert 3 == done.returncode, done.stdout + done.stderr
    text = (DEMO / "templates" / "monic-even-surd.yaml").read_text("utf-8")
    version = int(text.partition("\nversion: ")[2].split()[0])
    assert f"monic-even-surd/{version}/1/" in done.stderr
    assert not (program.folder / "out").exists()
    assert not (program.folder / "bank" / "bank.lock").exists()
