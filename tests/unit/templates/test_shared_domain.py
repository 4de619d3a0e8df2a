"""A condition on an unknown that several parts share holds in each of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.library import check
from itembank.proof.prover import faults, prove
from tests.kinds_bank import bound_of, walk_items

SHARED = """template: shared
version: 1
title: Two products that come to nothing
topics: [quadratics]
unknowns: {x: x > 0}
parameters: {a: {from: 2, to: 5}, b: [1]}
parts:
  - problem: (x - a)*(x + b) = 0
    stem: Which positive $x$ has $problem$?
    response: {kind: entry, blanks: {x: {form: integer, marks: A1}}}
    key: x = a
  - problem: (x - b)*(x + a) = 0
    stem: Which positive $x$ has $problem$?
    response: {kind: entry, blanks: {x: {form: integer, marks: A1}}}
    key: x = b
"""


def written(folder: Path, text: str) -> Path:
    file = folder / "t.yaml"
    file.write_text(text, "utf-8")
    return file


def test_each_part_has_the_domain(tmp_path: Path) -> None:
    made = list(walk_items(bound_of(written(tmp_path, SHARED))))

    assert len(made) == 4
    for item in made:
        assert all(part.problem.domain is not None for part in item.parts)
        assert () == faults(prove(item))


def test_a_root_outside_it_is_no_key(tmp_path: Path) -> None:
    text = SHARED.replace("key: x = b\n", "key: x = b or x = -a\n").replace(
        "integer, marks: A1}}}\n    key: x = b or",
        "integer, values: any-order, marks: A1}}}\n    key: x = b or",
    )
    (item, *_) = walk_items(bound_of(written(tmp_path, text)))

    assert [("wrong-key", 1)] == [(found.code, found.part) for found in faults(prove(item))]


def test_a_part_may_have_a_condition_of_its_own(tmp_path: Path) -> None:
    own = SHARED.replace("  - problem: (x - b)", "  - unknowns: {x: x < 0}\n    problem: (x - b)")
    (item, *_) = walk_items(bound_of(written(tmp_path, own.replace("key: x = b", "key: x = -a"))))

    assert () == faults(prove(item))


@pytest.mark.parametrize(("condition", "code"), [("y > 0", "unknown-name"), ("x >", "unfinished")])
def test_what_is_wrong_with_it_is_told_once(condition: str, code: str, tmp_path: Path) -> None:
    found = check(written(tmp_path, SHARED.replace("x > 0", condition))).diagnostics

    assert [code] == [each.code for each in found if each.level.name == "WRONG"]
