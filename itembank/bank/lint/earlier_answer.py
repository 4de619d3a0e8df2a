"""`earlier-answer-shown`: a later part shows as a plain number, or written out, what an earlier part asks for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.exact import number
from itembank.expressions.numbers import Exact
from itembank.items import Item
from itembank.templates.template import Expression, PartTemplate

DIFFERENT = 3
"""An answer that is the number shown each time is no coincidence where it has so many values."""

Values = tuple[Exact, ...]


def _look(sample: Sample) -> Iterator[Remark]:
    parts = sample.template.parts
    for number_of, part in enumerate(parts[:-1]):
        if part.response.kind == "written" or part.response.words or part.key is None:
            continue
        given = {values for each in parts[: number_of + 1] for _, values in _shown(each, sample.items)}
        for later in parts[number_of + 1 :]:
            found = _told_in(later, part.key.node, given, sample.items)
            if found is not None:
                place, name = found
                yield Remark(
                    place.span(),
                    f"this shows {f'`{name}`' if name else 'the answer'}, which part "
                    f"({chr(ord('a') + number_of)}) asks for",
                    f"write the letter, which stays a letter in texts: ${name}$"
                    if name
                    else "speak of it in words, or show what the earlier part shows",
                )
                break


def _told_in(
    later: PartTemplate, key: tree.Node, given: set[Values], items: Sequence[Item]
) -> tuple[Expression, str] | None:
    """The mathematics of a later stem that shows an answer, and the unknown; "" for a key that is an expression."""
    answers = {
        values: node.operands[0].name
        for node in tree.walk(key)
        if isinstance(node, tree.Relation)
        and node.operators == ("=",)
        and isinstance(node.operands[0], tree.Name)
        for values in _each(node.operands[1], items)
        if len(set(values)) >= DIFFERENT
    }
    for hole, values in _shown(later, items):
        if values in answers and values not in given:
            return hole, answers[values]
    for other in later.stem.holes:
        if isinstance(other, Expression) and not tree.is_statement(key) and key in tree.walk(other.node):
            return other, ""
    return None


def _shown(part: PartTemplate, items: Sequence[Item]) -> Iterator[tuple[Expression, Values]]:
    """What a stem shows as one number that varies, with its values in the items, and those of the other sign."""
    valued = set(items[0].values)
    for hole in part.stem.holes:
        if isinstance(hole, Expression):
            for node in _numbers(hole.node, valued):
                for values in _each(node, items):
                    yield hole, values


def _numbers(node: tree.Node, valued: set[str]) -> Iterator[tree.Node]:
    """The largest pieces of an expression that are numbers and depend on parameters."""
    names = set(tree.names(node))
    if names and names <= valued:
        yield node
        return
    children = tree.children(node)
    if isinstance(node, tree.Product):
        numbers = tuple(factor for factor in node.factors if set(tree.names(factor)) <= valued)
        if len(numbers) > 1:
            yield from _numbers(tree.Product(numbers), valued)
            children = tuple(factor for factor in node.factors if factor not in numbers)
    for child in children:
        yield from _numbers(child, valued)


def _each(node: tree.Node, items: Sequence[Item]) -> Iterator[Values]:
    """The values of a number in the items, as it is and with the other sign; nothing where one has none."""
    for signed in (node, tree.Negation(node)):
        try:
            yield tuple(number(signed, _values(item)) for item in items)
        except DomainError:
            return


def _values(item: Item) -> dict[str, Exact]:
    return {name: value for name, value in item.values.items() if not isinstance(value, str)}


RULE = Rule("earlier-answer-shown", f"{HALADYNA}, guideline 4 (items are independent of each other)", _look)
