"""`repeated-line`: two lines of the worked solution in a row that look the same in every item.

A sum of plain numbers shows what it comes to, so the step that earns the mark for method is gone.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.expressions.spelling import plain
from itembank.items import Part


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        if not sample.items or any(line.when is not None for line in part.solution):
            continue
        repeated = set.intersection(*(_repeated(item.parts[number]) for item in sample.items))
        for index in sorted(repeated):
            maths = part.solution[index - 1].maths
            assert maths is not None
            yield Remark(
                maths.span(),
                "this line and the one below look the same in every item, for numbers are worked out",
                "write keep(...) around what shall be seen before it is worked out, or take the line out",
            )


def _repeated(part: Part) -> set[int]:
    """The lines that look like the one above; words, or marks, may differ."""
    shown = [plain(line.maths) if line.maths is not None else "" for line in part.solution]
    kinds = [line.kind for line in part.solution]
    return {
        index
        for index in range(1, len(shown))
        if shown[index] and shown[index] == shown[index - 1] and kinds[index] == kinds[index - 1] == "main"
    }


RULE = Rule("repeated-line", "common practice, no source", _look)
