"""Which lines of a worked solution stand in an item: those without `when`, and those whose `when` holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from itembank.expressions.numbers import Exact
from itembank.generator import exactly
from itembank.items import Item
from itembank.templates.template import LineTemplate, Template

__all__ = ["lines_shown", "written_lines"]


def lines_shown(
    lines: Sequence[LineTemplate], values: Mapping[str, Exact | str], main_letter: str = ""
) -> tuple[int, ...]:
    """The places, in the template, of the lines that an item with these values shows.

    A condition that is undefined does not hold, as with slips.
    """
    if all(line.when is None for line in lines):
        return tuple(range(len(lines)))
    numbers = {name: value for name, value in values.items() if not isinstance(value, str)}
    return tuple(
        index
        for index, line in enumerate(lines)
        if line.when is None or exactly.condition(line.when.node, numbers, main_letter)
    )


def written_lines(template: Template, item: Item, number: int) -> tuple[LineTemplate, ...]:
    """What the author wrote for each line that the worked solution of an item's part shows."""
    lines = template.parts[number].solution
    main_letter = item.parts[number].problem.main_letter
    return tuple(lines[index] for index in lines_shown(lines, item.values, main_letter))
