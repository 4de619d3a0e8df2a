"""`numbers-too-ugly`: numbers so large, without a calculator, that arithmetic and not algebra is tested.

What is easy to know should come out more evenly than what has to be reasoned, so keys have limits by the level of
demand; the `level` of a template is a bank's own free text, which nothing can be read from. Lines of working may hold
what the key is worked out from, a square or a discriminant, but nothing above the largest number of a stem.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import chain

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import denominators, numerals
from itembank.errors import Span
from itembank.expressions.display import Maths
from itembank.generator.lines import written_lines
from itembank.items import ChoiceResponse, Item
from itembank.templates.template import LineTemplate, PartTemplate, Template

LARGEST = 999
"""In stems, options and lines of working."""
LARGEST_IN_KEY = {"know": 400}
LARGEST_OF_KEYS = 600
"""In keys, where their demand has no limit of its own."""
DENOMINATOR_IN_KEY = {"know": 12}
LARGEST_DENOMINATOR = 40
"""The same of denominators in keys."""
ALLOWED_IN = 10
"""Doubtful where it is so in more than one item of so many."""

_Numbers = Callable[[Item], Iterable[int]]


def _look(sample: Sample) -> Iterator[Remark]:
    if sample.template.about.calculator == "yes":
        return
    for number, part in enumerate(sample.template.parts):
        for span, where, what, limit, shown in _places(sample.template, part, number):
            largest = [max(shown(item), default=0) for item in sample.items]
            too_large = sum(found > limit for found in largest)
            if ALLOWED_IN * too_large > len(sample.items):
                yield Remark(
                    span,
                    f"in {too_large} of {len(sample.items)} items {where} a {what} above {limit} "
                    f"({max(largest)} for one), and there is no calculator",
                    "make the ranges smaller",
                )


def _places(
    template: Template, part: PartTemplate, number: int
) -> Iterator[tuple[Span, str, str, int, _Numbers]]:
    """Where numbers are looked for: place, what is said of it, the limit, and the numbers of an item."""
    demand = template.about.demand
    yield (
        part.stem.source.span,
        "the stem shows",
        "number",
        LARGEST,
        lambda item: _in(
            filling for filling in item.parts[number].stem.fillings if isinstance(filling, Maths)
        ),
    )
    yield part.response.span, "the options show", "number", LARGEST, lambda item: _in(_options(item, number))
    if part.key is not None:
        span = part.key.span()
        largest = LARGEST_IN_KEY.get(demand, LARGEST_OF_KEYS)
        yield span, "the key has", "number", largest, lambda item: numerals(item.parts[number].key)
        lowest = DENOMINATOR_IN_KEY.get(demand, LARGEST_DENOMINATOR)
        yield span, "the key has", "denominator", lowest, lambda item: denominators(item.parts[number].key)
    for line in part.solution:
        if line.maths is not None:
            yield line.maths.span(), "this line has", "number", LARGEST, _line(template, number, line)


def _line(template: Template, number: int, line: LineTemplate) -> _Numbers:
    def shown(item: Item) -> Iterable[int]:
        lines = zip(written_lines(template, item, number), item.parts[number].solution, strict=True)
        maths = next((made.maths for written, made in lines if written is line), None)
        return () if maths is None else numerals(maths)

    return shown


def _in(shown: Iterable[Maths]) -> Iterable[int]:
    return chain.from_iterable(map(numerals, shown))


def _options(item: Item, number: int) -> Iterator[Maths]:
    response = item.parts[number].response
    if isinstance(response, ChoiceResponse):
        yield from (option.content for option in response.options if isinstance(option.content, Maths))


RULE = Rule("numbers-too-ugly", "common practice, no source; the largest numbers are ours", _look)
