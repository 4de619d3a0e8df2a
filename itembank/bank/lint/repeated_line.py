"""`repeated-line`: two lines of the worked solution in a row that look the same, in every item or in some.

A sum of plain numbers shows what it comes to, so the step that earns the mark for method is gone. In some items only, a
factor of 1 or a term of 0 leaves nothing to be done: 1x = 5, then x = 5.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.expressions.spelling import plain, terminal
from itembank.generator.lines import written_lines
from itembank.items import Item, Part
from itembank.templates.template import LineTemplate, Template


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        repeated = [_repeated(sample.template, item, number) for item in sample.items]
        for line in part.solution:
            shown = [found[id(line)] for found in repeated if id(line) in found]
            if shown and line.maths is not None:
                yield _remark(line, shown[0], len(shown), len(sample.items))


def _remark(line: LineTemplate, shown: str, count: int, items: int) -> Remark:
    assert line.maths is not None
    if count == items:
        return Remark(
            line.maths.span(),
            "this line and the one below look the same in every item, for numbers are worked out",
            "write keep(...) around what shall be seen before it is worked out, or take the line out",
        )
    return Remark(
        line.maths.span(),
        f"this line and the one below look the same in {count} of {items} items, {shown} for one",
        "leave these values out, or say with `when:` in which items the line stands",
    )


def _repeated(template: Template, item: Item, number: int) -> dict[int, str]:
    """The lines, by identity, that look like the one below, with their looks; words, or marks, may differ."""
    part: Part = item.parts[number]
    written = written_lines(template, item, number)
    found = {}
    for above, below, line in zip(part.solution, part.solution[1:], written, strict=False):
        if above.maths is None or below.maths is None or not above.kind == below.kind == "main":
            continue
        if plain(above.maths) == plain(below.maths):
            found[id(line)] = terminal(above.maths)
    return found


RULE = Rule("repeated-line", "common practice, no source", _look)
