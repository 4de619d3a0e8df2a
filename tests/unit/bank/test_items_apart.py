"""Items of one build told apart: codes of their own, twins refused, enemies named."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from itembank.build import BuildRequest, build, production
from itembank.content import of_text
from itembank.errors import InputError
from itembank.items import Address, ChoiceResponse, Item
from itembank.proof.findings import Finding
from itembank.proof.prover import prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.verdicts import Refuted
from tests.samples import words_item

DEMO = Path(__file__).resolve().parents[3] / "banks" / "quadratics"
SOLVE = """\
template: {name}
version: 1
title: Solve
unknowns: [x]
parameters:
  h: {{from: 1, to: 5}}
problem: x^2 = h^2
stem: {stem}
response: {{kind: entry, blanks: {{x: {{form: integer, values: any-order}}}}}}
key: x = ±h
"""


@pytest.fixture(autouse=True)
def no_cache(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ITEMBANK_CACHE", "off")


def bank_of(folder: Path, **templates: str) -> Path:
    """A bank with these templates."""
    (folder / "templates").mkdir(parents=True)
    (folder / "bank.yaml").write_text("bank: apart\ntitle: Apart\n", "utf-8")
    for name, text in templates.items():
        (folder / "templates" / f"{name}.yaml").write_text(text, "utf-8")
    return folder


def test_the_same_problem_in_two_templates_makes_enemies(tmp_path: Path) -> None:
    first = SOLVE.format(name="first", stem="Solve $problem$.")
    second = SOLVE.format(name="second", stem="Find every $x$ with $problem$.")
    bank = bank_of(tmp_path / "bank", first=first, second=second)

    result = build(BuildRequest(bank, tmp_path / "out", count=10, formats=("json",)))

    items = json.loads((tmp_path / "out/staff/items.json").read_text("utf-8"))["items"]
    by_code = {item["code"]: item for item in items}
    assert 5 == len(result.report.enemies)
    for group in result.report.enemies:
        assert ["first", "second"] == [by_code[code]["address"]["template"] for code in group]
        assert 1 == len({by_code[code]["parts"][0]["problem"]["plain"] for code in group})


def test_the_demo_bank_has_no_enemies(tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "bank")

    assert [] == build(BuildRequest(tmp_path / "bank", tmp_path / "out", formats=("json",))).report.enemies


def test_items_whose_stems_show_the_same_are_twins_though_their_problems_differ(tmp_path: Path) -> None:
    bank = bank_of(
        tmp_path / "bank", first=SOLVE.format(name="first", stem="Solve the equation on the board for $x$.")
    )

    with pytest.raises(InputError) as refused:
        build(BuildRequest(bank, tmp_path / "out", count=5, formats=("json",)))

    assert ["twins"] == [d.code for d in refused.value.diagnostics]
    assert not (tmp_path / "out").exists()


def test_items_that_would_share_a_code_get_codes_of_their_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    original = production.item_code

    def crowded(address: Address, secret: bytes, attempt: int = 0) -> str:
        return original(Address("same", 1, 1, address.position % 2), secret, attempt)

    monkeypatch.setattr(production, "item_code", crowded)
    shutil.copytree(DEMO, tmp_path / "bank")

    build(BuildRequest(tmp_path / "bank", tmp_path / "out", count=40, formats=("json", "html")))

    items = json.loads((tmp_path / "out/staff/items.json").read_text("utf-8"))["items"]
    codes = [item["code"] for item in items]
    paper = (tmp_path / "out/pupils/quadratics-question-paper.html").read_text("utf-8")
    assert 40 == len(set(codes))
    assert all(code in paper for code in codes)


@pytest.mark.parametrize("proof", [prove, prove_with_sympy])
def test_two_rows_with_the_same_words_are_refuted_on_both_roads(
    proof: Callable[[Item], tuple[Finding, ...]],
) -> None:
    item = words_item()
    part = item.parts[0]
    response = part.response
    assert isinstance(response, ChoiceResponse)
    options = tuple(
        option._replace(content=of_text("one repeated root")) if option.identifier in "BC" else option
        for option in response.options
    )
    twinned = replace(item, parts=(replace(part, response=replace(response, options=options)),))

    refuted = [f.place for f in proof(twinned) if isinstance(f.verdict, Refuted)]

    assert [2] == refuted


def test_pictures_tell_items_apart_whose_stems_read_alike(tmp_path: Path) -> None:
    text = SOLVE.format(name="first", stem="Which two numbers does the line show?")
    pictured = text.replace("response:", "figure: {kind: number-line, of: x = -h or x = h}\nresponse:", 1)
    bank = bank_of(tmp_path / "bank", first=pictured)

    built = build(BuildRequest(bank, tmp_path / "out", count=5, formats=("json",)))

    assert 5 == len(json.loads((tmp_path / "out" / "staff" / "items.json").read_text("utf-8"))["items"])
    assert 0 == len(built.report.enemies)
