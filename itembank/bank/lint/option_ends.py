"""`options-end-unlike`: options in words that differ in their full stop or their first letter."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        texts = [row.text.source.text.strip() for row in part.response.words]
        ends = {text.endswith(".") for text in texts}
        begins = {text[:1].isupper() for text in texts}
        for what, of in (("a full stop", ends), ("a capital letter", begins)):
            if len(of) > 1:
                yield Remark(
                    part.response.span,
                    f"some options have {what} and others have none",
                    "write all options alike",
                )


RULE = Rule("options-end-unlike", f"{HALADYNA}, guideline 12 (grammar, punctuation, capitals)", _look)
