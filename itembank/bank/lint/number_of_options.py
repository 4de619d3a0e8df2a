"""`number-of-options`: fewer than three options leave too much to luck, more than five are seldom all believable."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        if part.response.kind == "choice" and not 3 <= part.response.options <= 5:
            yield Remark(
                part.response.span,
                f"a choice of {part.response.options}; three are enough, and more than five are seldom believed",
                "ask for 3 to 5 options",
            )


RULE = Rule(
    "number-of-options",
    "Rodriguez 2005, Educational Measurement: Issues and Practice 24(2), 3-13 (three options are enough)",
    _look,
)
