"""`value-dominates`: a parameter that nearly always has the same value makes items that are alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample

FEWEST_VALUES, FEWEST_ITEMS = 4, 40
"""Parameters and samples smaller than that are passed over."""


def _look(sample: Sample) -> Iterator[Remark]:
    if len(sample.items) < FEWEST_ITEMS:
        return
    for parameter in sample.template.numeric_parameters:
        if len(parameter.values) < FEWEST_VALUES:
            continue
        ((value, times),) = Counter(item.values[parameter.name] for item in sample.items).most_common(1)
        if 5 * times > 3 * len(sample.items):
            yield Remark(
                parameter.span,
                f"`{parameter.name}` is {value} in {times} of {len(sample.items)} items",
                "loosen the lines that reject its other values",
            )


RULE = Rule("value-dominates", f"{HALADYNA}, guideline 3 (no two items alike); the share is ours", _look)
