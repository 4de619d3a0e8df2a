"""`stem-gives-key`: the key stands in the stem, word for word."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import is_statement, seen
from itembank.content import Content
from itembank.expressions.display import Maths


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        if part.response.kind == "written":  # "Show that ... has no real solution": the working is asked for
            continue
        told = [item for item in sample.items if _gives(item.parts[number].key, item.parts[number].stem)]
        if told:
            yield Remark(
                part.stem.source.span,
                f"the stem shows the key `{seen(told[0].parts[number].key)}` "
                f"(in {len(told)} of {len(sample.items)} items)",
                "do not show what is asked for",
            )


def _gives(key: Maths, stem: Content) -> bool:
    return is_statement(key) and f" {seen(key)} " in f" {seen(stem)} ".replace(".", " ").replace(",", " ")


RULE = Rule("stem-gives-key", f"{HALADYNA}, guidelines 4 and 28 (no item implies a key)", _look)
