"""The small banks, solved again by other code: equations by FLINT, surds and decimals by sympy."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.library import draw
from tests.banks.solving_afresh import disagreements

BANKS = Path(__file__).resolve().parents[2] / "banks"


@pytest.mark.parametrize(("bank", "count"), [("quadratics", 240), ("kinds", 220)])
def test_solving_afresh_agrees_with_every_item(bank: str, count: int) -> None:
    records = [drawn.as_data() for drawn in draw(BANKS / bank, count=count)]

    told = [f"{r['address']['template']} {r['values']}: {d}" for r in records for d in disagreements(r)]

    assert [] == told
    assert len(records) == count


def test_another_key_and_another_option_would_be_told() -> None:
    (record,) = (d.as_data() for d in draw(BANKS / "kinds" / "templates" / "all-solutions.yaml", count=1))
    (part,) = record["parts"]
    assert [] == list(disagreements(record))

    turned = [{**option, "right": not option["right"]} for option in part["options"]]
    (first, *others) = part["options"]
    for changed in ({"options": turned}, {"options": [{**first, "right": not first["right"]}, *others]}):
        assert list(disagreements({**record, "parts": [{**part, **changed}]}))
    key = {**part["key"], "plain": "x = 1000"}
    assert list(disagreements({**record, "parts": [{**part, "key": key}]}))
