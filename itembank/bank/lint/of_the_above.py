"""`of-the-above`: "all of the above" and "none of the above" as options."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample

_PHRASE = re.compile(r"\b(all|none|both|neither) of (the|these)\b|\b(A|B|C) (and|or) (B|C|D)\b", re.I)


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        for row in part.response.words:
            found = _PHRASE.search(row.text.source.text)
            if found:
                yield Remark(
                    row.text.source.span,
                    f"the option says `{found[0]}`, which speaks of other options",
                    "say what the option itself means",
                )


RULE = Rule("of-the-above", f"{HALADYNA}, guidelines 9, 25 and 26", _look)
