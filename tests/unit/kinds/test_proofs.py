"""What is proved of every kind: right items pass on both roads, spoiled ones are refuted, and both roads agree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from itembank.bank.bank import read_bank
from itembank.bank.review import review
from itembank.errors import InputError
from itembank.expressions.display import Maths
from itembank.items import ChoicesResponse, Item, WrongLineResponse
from itembank.proof.findings import Finding
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from tests.kinds_bank import BANK, TEMPLATES, bound_of, changed, items


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_claim_of_an_item_is_proved_on_both_roads(name: str) -> None:
    for item in items(name):
        assert () == faults(prove(item))
    for item in items(name, 2):
        assert () == faults(prove_with_sympy(item))


def with_response(item: Item, response: Any) -> Item:
    return replace(item, parts=(replace(item.parts[0], response=response),))


def raised(maths: Maths) -> Iterator[Maths]:
    for hole, number in enumerate(maths.numbers):
        if isinstance(number, int):
            yield Maths(maths.shape, (*maths.numbers[:hole], number + 1, *maths.numbers[hole + 1 :]))


def spoiled(item: Item) -> Iterator[Item]:
    response = item.parts[0].response
    match response:
        case ChoicesResponse(options=options):
            for at, option in enumerate(options):
                flipped = option._replace(is_key=not option.is_key)
                yield with_response(item, replace(response, options=_put(options, at, flipped)))
                for shown in raised(option.content) if isinstance(option.content, Maths) else ():
                    other = option._replace(content=shown)
                    yield with_response(item, replace(response, options=_put(options, at, other)))
        case WrongLineResponse(lines=lines, wrong=wrong):
            for at in range(len(lines)):
                if at != wrong:
                    yield with_response(item, replace(response, wrong=at))
            for at, line in enumerate(lines):
                for shown in raised(line.maths):
                    yield with_response(
                        item, replace(response, lines=_put(lines, at, line._replace(maths=shown)))
                    )


def _put(row: tuple[Any, ...], at: int, thing: Any) -> tuple[Any, ...]:
    return (*row[:at], thing, *row[at + 1 :])


def verdicts(findings: tuple[Finding, ...]) -> set[tuple[str, str, int, bool]]:
    return {
        (f.code, f.subject, f.place, f.holds)
        for f in findings
        if f.code != "marks" and "alike" not in f.claim
    }


@pytest.mark.parametrize("name", TEMPLATES)
def test_both_roads_agree_on_items_with_one_thing_changed(name: str) -> None:
    refuted = tried = 0
    for item in items(name, 2):
        for changed_item in spoiled(item):
            tried += 1
            second = prove_with_sympy(changed_item)
            refuted += bool(faults(second))

            assert verdicts(prove(changed_item)) == verdicts(second)
    assert tried >= 8
    assert refuted >= tried // 2


def test_shares_that_do_not_come_to_the_total_are_refuted() -> None:
    (item,) = items("equations-of-one-kind", 1)
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)

    for share in (Fraction(3, 4), Fraction(2), Fraction(-1)):
        found = faults(prove(with_response(item, replace(response, share=share))))
        assert ["marks"] == [finding.code for finding in found]


def test_a_solution_that_is_not_among_the_options_is_missed() -> None:
    (item,) = items("all-solutions", 1)
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)
    kept = tuple(option for option in response.options if option is not response.right[0])

    found = faults(prove(with_response(item, replace(response, options=kept))))

    assert ["every solution is among the options"] == [f.claim for f in found if f.code == "option"]


def test_all_options_keyed_or_none_is_no_item() -> None:
    (item,) = items("what-is-true", 1)
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)

    for keyed in (True, False):
        options = tuple(option._replace(is_key=keyed) for option in response.options)
        found = faults(prove(with_response(item, replace(response, options=options))))
        assert ["one-key"] == [finding.code for finding in found]


# what check says of templates whose values do not fit


def reviewed(name: str, folder: Path, *changes: tuple[str, str]) -> list[tuple[str, int]]:
    path = changed(name, folder, *changes)
    (folder / "slips.yaml").write_bytes((BANK / "slips.yaml").read_bytes())
    (folder / "bank.yaml").write_text("bank: b\ntitle: B\n", "utf-8")
    (folder / "templates").mkdir()
    path.rename(folder / "templates" / path.name)
    (entry,) = read_bank(folder, "b").entries
    return [(d.code, d.span.line) for d in review(entry).diagnostics if d.span is not None]


def test_a_slip_that_breaks_two_lines_is_told_at_the_slip(tmp_path: Path) -> None:
    found = reviewed("find-the-slip", tmp_path, ("math: x = h ± surd(s - c)", "math: x = h ± surd(k)"))

    assert ("wrong-line", 24) in found


def test_words_that_are_all_true_are_told_at_the_response(tmp_path: Path) -> None:
    found = reviewed(
        "what-is-true", tmp_path,
        ("    - {text: It has no real root., when: D < 0}\n", ""),
        ("    - {text: The left-hand side is never $0$., when: D < 0}\n", ""),
        ("when: D = 0", "when: D > -1"), ("constraints:\n", "constraints:\n  - b^2 > 4*a*c\n"),
    )  # fmt: skip

    assert "words-do-not-fit" in [code for code, _ in found]


def test_marks_that_cannot_be_shared_over_the_true_rows_are_told(tmp_path: Path) -> None:
    found = reviewed(
        "what-is-true", tmp_path,
        ("  kind: choices\n", "  kind: choices\n  marks: 1\n"),
        ("when: D = 0", "when: D > -1000"), ("constraints:\n", "constraints:\n  - b^2 > 4*a*c\n"),
    )  # fmt: skip

    assert "marks-do-not-share" in [code for code, _ in found]


def test_too_few_unlike_options_are_told_at_the_response(tmp_path: Path) -> None:
    found = reviewed("all-solutions", tmp_path, ("options: 5", "options: 9"))

    assert "too-few-slips" in [code for code, _ in found]


def test_a_slip_whose_line_always_follows_is_told(tmp_path: Path) -> None:
    found = reviewed("find-the-slip", tmp_path, ("at: 3, change: {h: -h}", "at: 2, change: {k: k + 0}"))

    assert "slip-never-appears" in [code for code, _ in found]


def test_a_change_that_no_line_shows_is_told_at_its_place(tmp_path: Path) -> None:
    path = changed("find-the-slip", tmp_path, ("change: {h: -h}", "change: {b: -b}"))
    with pytest.raises(InputError) as raised_error:
        bound_of(path)

    assert ["nothing-changed"] == [each.code for each in raised_error.value.diagnostics]
