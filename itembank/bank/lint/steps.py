"""`marks-without-steps`: more marks than lines of the worked solution to earn them by; one line may earn two."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        lines = [line for line in part.solution if line.kind != "rejects"]
        if part.solution and part.response.kind == "entry" and part.response.marks > len(lines) + 1:
            yield Remark(
                part.response.span,
                f"{part.response.marks} marks, but the worked solution has {len(lines)} "
                + ("line" if len(lines) == 1 else "lines"),
                "show the steps that earn the marks, or give fewer",
            )


RULE = Rule("marks-without-steps", "common practice, no source", _look)
