"""Addresses last: tightening a template leaves its other items where they were, a new version moves only itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.proof.prover import faults, prove
from tests.quality.demo_bank import bound, by_position, changed, items

TIGHTENED = {
    "a constraint more": ("vertex-form", ("constraints:\n", "constraints:\n  - h != k\n")),
    "a narrower constraint": ("vertex-form", ("abs(c) <= 60", "abs(c) <= 40")),
    "a guarantee more": ("monic-rational-roots", ("guarantees:\n", "guarantees:\n  - coprime(p, q)\n")),
    "a value left out": ("real-or-not", ("leaving_out: [0]", "leaving_out: [0, 3, -4]")),
    "a value left out that was allowed": ("monic-odd-surd", ("leaving_out: [0]", "leaving_out: [0, 5]")),
}


@pytest.mark.parametrize("seed", [1, 9])
@pytest.mark.parametrize("case", TIGHTENED)
def test_tightening_a_template_leaves_its_other_items_at_their_addresses(
    case: str, seed: int, tmp_path: Path
) -> None:
    name, change = TIGHTENED[case]
    before, after = by_position(bound(name), seed), by_position(changed(name, tmp_path, change), seed)

    assert 0 < len(after) < len(before)
    assert after == {position: before[position] for position in after}


def test_loosening_a_template_brings_items_in_between_and_moves_none(tmp_path: Path) -> None:
    change = ("  - abs(c) <= 60\n", "  - abs(c) <= 90\n")
    before, after = by_position(bound("vertex-form")), by_position(changed("vertex-form", tmp_path, change))

    assert len(after) > len(before)
    assert before == {position: after[position] for position in before}


def test_a_slip_less_moves_no_item(tmp_path: Path) -> None:
    line = "  - {slip: half-squared-added, value: p = -h and q = c + h^2}\n"
    before, after = (
        by_position(ready) for ready in (bound("vertex-form"), changed("vertex-form", tmp_path, (line, "")))
    )

    assert before.keys() == after.keys()
    for position, record in after.items():
        assert before[position]["values"] == record["values"]
        assert before[position]["code"] == record["code"]


def next_version(name: str) -> tuple[int, tuple[str, str]]:
    """The version of a template of the demo bank, and the change to its file that raises it."""
    version = bound(name).recipe.template.version
    return version, (f"version: {version}", f"version: {version + 1}")


@pytest.mark.parametrize("name", ["monic-rational-roots", "vertex-form", "kind-of-roots"])
def test_a_new_version_moves_only_the_version_of_an_address_and_the_code_made_of_it(
    name: str, tmp_path: Path
) -> None:
    version, change = next_version(name)
    before = by_position(bound(name))
    after = by_position(changed(name, tmp_path, change))

    assert before.keys() == after.keys()
    assert {version} == {record["address"].pop("version") for record in before.values()}
    assert {version + 1} == {record["address"].pop("version") for record in after.values()}
    assert not {r.pop("code") for r in before.values()} & {r.pop("code") for r in after.values()}
    assert before == after


@pytest.mark.parametrize("name", ["monic-even-surd", "non-monic-surd"])
def test_a_new_version_of_a_choice_changes_nothing_but_the_order_of_its_options(
    name: str, tmp_path: Path
) -> None:
    _, change = next_version(name)
    before = by_position(bound(name))
    after = by_position(changed(name, tmp_path, change))
    turned = 0

    assert before.keys() == after.keys()
    for position, record in after.items():
        first, second = (
            [(o["plain"], o["right"], o["slip"]) for o in each["parts"][0].pop("options")]
            for each in (before[position], record)
        )
        turned += first != second
        assert sorted(first) == sorted(second)
        for each in (before[position], record):
            del each["code"], each["address"]["version"]
        assert before[position] == record
    # of the 24 orders of four options one is the same again
    assert turned >= len(after) * 4 // 5


def test_another_name_gives_another_order(tmp_path: Path) -> None:
    renamed = changed("vertex-form", tmp_path, ("template: vertex-form", "template: vertex-form-two"))
    first, second = (
        [item.values for item in items(ready, 1, 40)] for ready in (bound("vertex-form"), renamed)
    )

    assert first != second


def test_an_item_of_a_tightened_template_is_still_proved(tmp_path: Path) -> None:
    for name, change in TIGHTENED.values():
        found = [faults(prove(item)) for item in items(changed(name, tmp_path, change), 1, 10)]
        assert [()] * len(found) == found
        assert found
