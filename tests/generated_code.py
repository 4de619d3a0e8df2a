"""Every source that is run as code while items are counted, made, proved and audited, one JSON line for each.

Run on its own, `python -m tests.generated_code FOLDER BANK TEMPLATE ...`: what was made once is kept, so that only a
fresh process makes all of it.
"""

from __future__ import annotations

import builtins
import json
import sys
from pathlib import Path
from typing import Any
from unittest import mock

MINE = ("<shape>", "<straight code>", "<test>", "<arrays>")
"""How the names of generated sources end; those of a template are named after it."""


def main(folder: Path, bank: Path, templates: list[Path]) -> None:
    """Prints every source that is compiled while a bank is built and verified, and templates are reviewed."""
    kept: list[tuple[str, str]] = []
    plain = builtins.compile

    def spy(source: Any, filename: Any, mode: str, *more: Any, **named: Any) -> Any:
        if mode == "exec" and isinstance(source, str) and _is_generated(str(filename)):
            kept.append((str(filename), source))
        return plain(source, filename, mode, *more, **named)

    with mock.patch.object(builtins, "compile", spy):
        _work(folder, bank, templates)
    for filename, source in dict.fromkeys(kept):
        print(json.dumps([filename, source]))


def _is_generated(filename: str) -> bool:
    return filename.endswith(MINE) or (filename.startswith("<") and filename.strip("<>") in _NAMES)


_NAMES: set[str] = set()
"""Of the templates that are worked with."""


def _work(folder: Path, bank: Path, templates: list[Path]) -> None:
    from itembank.bank.bank import Entry, read_bank
    from itembank.bank.review import review
    from itembank.generator.compiler import make_recipe
    from itembank.library import BuildRequest, build, verify
    from itembank.templates.loader import load_template
    from itembank.templates.slips import NO_SLIPS

    entries = list(read_bank(bank, "bank").entries)
    entries += [
        Entry(make_recipe(load_template(t, t.name, NO_SLIPS).template), "", t.name) for t in templates
    ]
    _NAMES.update(entry.recipe.template.name for entry in entries)
    for entry in entries:
        review(entry)
    build(BuildRequest(bank, folder, count=3 * len(entries), formats=("qti3", "cc")))
    for package in sorted((folder / "platform").iterdir()):
        assert all(report.ok for report in verify(package))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), [Path(each) for each in sys.argv[3:]])
