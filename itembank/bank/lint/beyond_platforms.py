"""`number-beyond-platforms`: a key with an integer larger than a platform has to be able to hold.

The item is right, and so are its papers; on a platform the box may be marked in another way than the proof says.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.items import EntryResponse

LARGEST = 2**31 - 1
"""The standard's type `integer` is 32 bits wide."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        if part.key is None:
            continue
        keyed = [item.parts[number].response for item in sample.items]
        largest = [
            max(_integers(response), default=0) for response in keyed if isinstance(response, EntryResponse)
        ]
        beyond = sum(each > LARGEST for each in largest)
        if beyond:
            yield Remark(
                part.key.span(),
                f"in {beyond} of {len(sample.items)} items a box is to hold an integer beyond {LARGEST} "
                f"({max(largest)} for one), and platforms differ in what they do with it",
                "make the ranges smaller, or say that the item is for paper",
            )


def _integers(response: EntryResponse) -> Iterator[int]:
    for blank in response.blanks:
        for group in blank.values:
            yield from (abs(value) for value in group if isinstance(value, int))


RULE = Rule("number-beyond-platforms", "QTI 2.1 and 3.0, base types (from memory: 32 bits)", _look)
