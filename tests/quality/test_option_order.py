"""The place of the key gives nothing away: options are shuffled by the item's address, numbers alone ascend."""

from __future__ import annotations

from collections import Counter as Tally
from itertools import islice, permutations

import pytest

from itembank.expressions.display import Maths
from itembank.expressions.spelling import plain
from itembank.generator.distractors import ascending, printed_order
from itembank.items import ChoiceResponse, Item
from itembank.proof.entries import box_values  # noqa: F401
from tests.quality.demo_bank import bound, items
