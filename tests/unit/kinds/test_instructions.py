"""What a pupil is told to write into boxes fits their number."""

from __future__ import annotations

import pytest

from itembank.generator.one_of import in_a_line
from itembank.items import EntryResponse
from tests.template_items import items


@pytest.mark.parametrize(
    ("name", "one", "several"),
    [
        ("rounded", "your answer", "each answer"),
        ("prices", "your answer", "each answer"),
        ("decimals", "your answer", "each answer"),
        ("follow-fractions", "the fraction", "each fraction"),
        ("points-fractions", "the fraction", "each fraction"),
    ],
)
def test_each_is_said_of_several_boxes_only(name: str, one: str, several: str) -> None:
    (item,) = items(name, 1)
    for part in item.parts:
        response = part.response
        assert isinstance(response, EntryResponse)
        if response.blanks[0].form not in {"fraction", "decimal"}:
            continue
        told = in_a_line(response.instruction)
        groups = sum(blank.slots for blank in response.blanks)

        assert (groups == 1, groups > 1) == (one in told, several in told), told
