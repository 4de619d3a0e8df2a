"""A question of a cartridge has no more rules than its reader takes; what is not listed for it is told."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

from itembank.bank.sources import entries_of
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Instantiator
from itembank.generator.space import walk
from itembank.items import EntryResponse
from itembank.writers.common_cartridge.typed import MOST_RULES, typed

TEMPLATE = Path(__file__).parents[3] / "banks" / "algebra" / "templates" / "formula" / "formula-decimals.yaml"


def test_decimals_with_several_known_wrong_entries_keep_within_the_rules() -> None:
    ((entry,), _, _) = entries_of(TEMPLATE)
    bound = Bound(entry.recipe)
    instantiator = Instantiator(bound, 1)
    told = 0
    for drawn in islice(walk(bound, 1), 150):
        response = instantiator.item(drawn.position, drawn.draft, "CODE").parts[0].response
        assert isinstance(response, EntryResponse)
        found = typed(response, "en")
        texts = [text for cause in found.causes for text in cause.spellings]
        assert len(texts) <= MOST_RULES
        assert len(set(texts)) == len(texts)
        told += any("too many spellings" in line for line in found.lost)
    assert told > 0
