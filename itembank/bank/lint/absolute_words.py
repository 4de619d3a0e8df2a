"""`absolute-words`: `always`, `never`, `only` in an option help the test-wise pupil."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample

_WORD = re.compile(r"\b(always|never|every|all|only|must)\b", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        texts = [row.text.source for row in part.response.words]
        found = [(source, match[0]) for source in texts if (match := _WORD.search(source.text))]
        if found and len(found) < len(texts):
            source, word = found[0]
            yield Remark(
                source.span, f"`{word}` stands in some options and not in others", "word the options alike"
            )


RULE = Rule(
    "absolute-words",
    f"{HALADYNA}, guideline 28 (specific determiners). Martinez and others 2009 found no harm: a doubt and no more",
    _look,
)
