"""`no-solution-dominates`: "no real solution", an option or a tick, that is nearly always right, or never.

Where the answer never is what the template offers, pupils learn to pass it over; where it nearly always is, to take it.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import NO_SOLUTION, looks_of
from itembank.items import ChoiceResponse, EntryResponse, Response

FEWEST_ITEMS = 40
"""Smaller samples are passed over, and templates with bands: those are drawn evenly."""


def _look(sample: Sample) -> Iterator[Remark]:
    if len(sample.items) < FEWEST_ITEMS or sample.template.bands:
        return
    for number, part in enumerate(sample.template.parts):
        responses = [item.parts[number].response for item in sample.items]
        offered = sum(map(_is_offered, responses))
        right = sum(map(_is_right, responses))
        if part.key is None or 4 * offered <= len(responses):  # no solution is what the template is about
            continue
        if 20 * right < offered or 5 * right > 4 * offered:
            yield Remark(
                part.response.span,
                f"no real solution can be answered in {offered} of {len(responses)} items and is right in {right}",
                "give the items without a solution a band of their own, so that both kinds are drawn",
            )


def _is_offered(response: Response) -> bool:
    if isinstance(response, ChoiceResponse):
        return any(NO_SOLUTION in looks_of(option) for option in response.options)
    return isinstance(response, EntryResponse) and response.tick


def _is_right(response: Response) -> bool:
    if isinstance(response, ChoiceResponse):
        return NO_SOLUTION in looks_of(response.key)
    return isinstance(response, EntryResponse) and response.tick_is_right


RULE = Rule(
    "no-solution-dominates",
    f"{HALADYNA}, guidelines 20 and 29 (vary the key, plausible options); the shares are ours",
    _look,
)
