"""Faults of an author that only show in finished items: each told where it can be mended, in `check` and in a build."""

from __future__ import annotations

from pathlib import Path
from shutil import copy

import pytest

from itembank.bank.bank import read_bank
from itembank.build.production import Maker, Wanted
from itembank.generator.item_codes import OPEN_SECRET
from itembank.generator.space import walk
from itembank.library import BuildRequest, InputError, build, check
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy

TEMPLATES = Path(__file__).parents[3] / "banks" / "algebra" / "templates"


def _bank(folder: Path, template: Path, old: str, new: str) -> Path:
    (folder / "bank" / "templates").mkdir(parents=True)
    (folder / "bank" / "bank.yaml").write_text("bank: evening\ntitle: Evening\n", "utf-8")
    copy(TEMPLATES.parent / "slips.yaml", folder / "bank")
    text = template.read_text("utf-8")
    assert text.count(old) == 1
    (folder / "bank" / "templates" / template.name).write_text(text.replace(old, new), "utf-8")
    return folder / "bank"


@pytest.fixture
def lost(tmp_path: Path) -> Path:
    """A line to look for a slip in that comes to 0 = 0: true, and no line follows from it."""
    template = TEMPLATES / "solving" / "find-the-slip-in-factorising.yaml"
    return _bank(tmp_path, template, "(x - p)*(x - q) = 0", "(p - p)*(x - q) = 0")


def test_a_line_that_says_nothing_of_the_unknown_is_doubtful_and_no_line_to_follow_from(lost: Path) -> None:
    told = {(d.code, d.span.line if d.span else 0): d.message for d in check(lost).diagnostics}

    lines = next((lost / "templates").glob("*.yaml")).read_text("utf-8").splitlines()
    line = lines.index("  - math: (p - p)*(x - q) = 0") + 1
    assert "`x` vanishes from the line" in told["odd-looks", line]
    assert any("0 = 0 says nothing of x" in message for message in told.values())
    with pytest.raises(InputError, match="says nothing of x"):
        build(BuildRequest(lost, lost.parent / "out", count=4))


def test_both_roads_say_so(lost: Path) -> None:
    bank = read_bank(lost, str(lost))
    maker = Maker(bank, 1, OPEN_SECRET, Wanted((), staff=False))
    first = next(iter(walk(maker.bounds[0], 1)))
    item = maker.item(0, first.position, "", first.draft)

    for findings in (prove(item), tuple(prove_with_sympy(item))):
        told = [str(finding.verdict) for finding in faults(findings) if finding.code == "wrong-line"]
        assert any("says nothing of x" in each for each in told)


def test_a_wrong_statement_that_every_number_fulfils_is_not_offered(tmp_path: Path) -> None:
    template = TEMPLATES / "solving" / "same-solutions.yaml"
    slip = "constant-moved-with-its-sign, value: x^2 - b*x "
    bank = _bank(tmp_path, template, f"{slip}= c", f"{slip}!= c")

    checked = check(bank)

    assert checked.ok
    (share,) = [slip for slip in checked.reviews[0].slips if slip.name == "constant-moved-with-its-sign"]
    assert 0 < share.used < share.seen
    assert 0 < dict(share.fates)["undefined"]
    build(BuildRequest(bank, tmp_path / "out", count=8))


def test_what_cannot_be_shown_is_told_at_its_place_in_a_build_too(tmp_path: Path) -> None:
    template = TEMPLATES / "solving" / "find-the-slip-in-factorising.yaml"
    bank = _bank(
        tmp_path, template, "A pupil solves $problem$.", "A pupil solves $problem$, not $root(x, b)$."
    )

    with pytest.raises(InputError) as raised:
        build(BuildRequest(bank, tmp_path / "out", count=8))
    (told,) = raised.value.diagnostics
    assert "cannot-be-shown" == told.code
    assert told.span is not None
    assert "root(x, b)" in told.excerpt


def test_a_right_option_that_is_not_right_is_the_authors_and_told_at_it(tmp_path: Path) -> None:
    bank = _bank(
        tmp_path,
        TEMPLATES / "solving" / "same-solutions.yaml",
        "- (x - p)*(x - q) = 0",
        "- (x - p) + (x - q) = 0",
    )

    told = [d for d in check(bank).diagnostics if d.code == "wrong-right-option"]

    assert told
    assert all("(x - p) + (x - q) = 0" in d.excerpt for d in told)
    with pytest.raises(InputError, match="does not say the same as the problem"):
        build(BuildRequest(bank, tmp_path / "out", count=8))


def test_a_line_that_rejects_every_value_of_one_parameter_leaves_nothing_and_is_told(tmp_path: Path) -> None:
    template = TEMPLATES / "factorising" / "non-monic-factor.yaml"
    bank = _bank(tmp_path, template, "'gcd(f, q) = 1'", "'gcd(f, f) = 1'")

    (told,) = [d for d in check(bank).diagnostics if d.code == "no-values"]

    assert "gcd(f, f) = 1" in told.excerpt
    assert "no assignment fulfils" in told.message


def test_a_template_that_makes_no_items_is_told_so_where_nothing_else_is_wrong(tmp_path: Path) -> None:
    """A key with an equation that has no unknown: every line holds and has a value, and no answer comes of it."""
    template = TEMPLATES / "solving" / "find-the-slip-in-factorising.yaml"
    bank = _bank(tmp_path, template, "key: x = p or x = q", "key: x = p or 99 = q")

    checked = check(bank)

    line = template.read_text("utf-8").splitlines().index("key: x = p or x = q") + 1
    assert not checked.ok
    assert [("no-items", line)] == [(d.code, d.span.line if d.span else 0) for d in checked.diagnostics]
    with pytest.raises(InputError, match="none") as refused:
        build(BuildRequest(bank, tmp_path / "out", count=4))
    assert [f"`itembank check {bank}` tells why"] == [d.hint for d in refused.value.diagnostics]
