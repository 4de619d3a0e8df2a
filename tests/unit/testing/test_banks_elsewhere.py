"""A bank in somebody's own repository: items as a hypothesis strategy, templates collected by pytest."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from hypothesis import find, given, settings
from hypothesis.errors import NoSuchExample

from itembank.errors import InputError
from itembank.items import Item
from itembank.proof.prover import faults, prove
from itembank.testing import items_of

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "banks" / "quadratics"


@settings(derandomize=True, deadline=None, max_examples=40)
@given(items_of(DEMO / "templates" / "monic-even-surd.yaml"))
def test_drawn_items_are_proved(item: Item) -> None:
    assert () == faults(prove(item))


def test_examples_shrink_to_the_smallest_numbers() -> None:
    def size(item: Item) -> int:
        return sum(abs(value) for value in item.values.values() if isinstance(value, int))

    strategy = items_of(DEMO / "templates" / "monic-even-surd.yaml", most=300)
    smallest = find(strategy, lambda item: True)
    with pytest.raises(NoSuchExample):
        find(strategy, lambda item: size(item) < size(smallest) // 4)


def test_a_template_without_items_says_so(tmp_path: Path) -> None:
    text = (ROOT / "tests" / "templates" / "good" / "rewrite.yaml").read_text("utf-8")
    path = tmp_path / "t.yaml"
    path.write_text(text.replace("guarantees:", "constraints: [r < 0]\nguarantees:"), "utf-8")

    with pytest.raises(InputError, match="makes no item"):
        items_of(path)


def run_pytest(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@pytest.fixture
def bank(tmp_path: Path) -> Path:
    """A bank with two templates, in a folder of its own."""
    place = tmp_path / "elsewhere"
    (place / "templates" / "strand").mkdir(parents=True)
    good = ROOT / "tests" / "templates" / "good"
    for name in ("slips.yaml", "bank.yaml"):
        shutil.copyfile(good / name, place / name)
    for name in ("choice.yaml", "entry.yaml"):
        shutil.copyfile(good / name, place / "templates" / "strand" / name)
    return place


def test_every_template_of_a_bank_is_a_test(bank: Path) -> None:
    done = run_pytest("--rootdir", bank, bank)

    assert (0, "3 passed") == (done.returncode, done.stdout.strip().splitlines()[-1].partition(" in ")[0])


def test_what_is_wrong_fails_the_template_at_its_place(bank: Path) -> None:
    path = bank / "templates" / "strand" / "choice.yaml"
    path.write_text(
        path.read_text("utf-8").replace("math: (x - h)^2 = k", "math: (x - h)^2 = k + 1"), "utf-8"
    )
    done = run_pytest("--rootdir", bank, bank)

    assert 1 == done.returncode
    assert "1 failed, 2 passed" in done.stdout
    assert "choice.yaml:" in done.stdout
    assert "wrong: solution-line" in done.stdout
    assert "Traceback" not in done.stdout


def test_doubts_fail_on_request_only(bank: Path) -> None:
    path = bank / "templates" / "strand" / "entry.yaml"
    path.write_text(path.read_text("utf-8").replace("parameters:", "letters: [w]\nparameters:"), "utf-8")

    assert 0 == run_pytest("--rootdir", bank, bank).returncode
    strict = run_pytest("--rootdir", bank, bank, "--doubts-fail")
    assert "doubtful: unused" in strict.stdout
    assert 1 == strict.returncode


def test_other_yaml_files_are_left_alone(bank: Path) -> None:
    (bank / "notes.yaml").write_text("a: 1\n", "utf-8")
    (bank / "templates.yaml").write_text("a: 1\n", "utf-8")

    assert "3 passed" in run_pytest("--rootdir", bank, bank).stdout
    assert 5 == run_pytest("--rootdir", bank, bank, "--no-templates").returncode


def test_the_hook_for_commits_runs_a_command_that_is_there() -> None:
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))

    assert ("itembank-check", "itembank check", "python") == (hook["id"], hook["entry"], hook["language"])
