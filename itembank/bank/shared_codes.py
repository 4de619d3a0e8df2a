"""Banks that give the same codes to their items: neither has a secret, and a template of each has the same name.

Codes stay what they are when a bank is built again, so that a platform replaces items and does not double them;
that is why two such banks are told here, and the codes not made otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from itembank.bank.bank import Bank, Entry
from itembank.errors import Diagnostic, Level, Span

__all__ = ["SharedCodes"]


class SharedCodes:
    """Remembers the templates of the banks it is shown, which have no secret of their own."""

    def __init__(self) -> None:
        self._seen: dict[tuple[str, int, int], Bank] = {}

    def told(self, bank: Bank, entries: Iterable[Entry]) -> tuple[Diagnostic, ...]:
        """The templates of a bank whose items have the codes of a bank that was shown before."""
        if bank.facts.secret is not None:
            return ()
        found = []
        for entry in entries:
            template = entry.recipe.template
            before = self._seen.setdefault((template.name, template.version, bank.facts.seed), bank)
            if Path(before.folder).resolve() == Path(bank.folder).resolve():
                continue
            line = next(
                (n for n, text in enumerate(template.source_lines, start=1) if text.startswith("template:")),
                1,
            )
            place = Span(template.path, line, 1)
            found.append(
                Diagnostic(
                    "codes-shared",
                    f"the items of `{template.name}` have the same codes as those of the bank in {before.folder}",
                    place,
                    Level.DOUBTFUL,
                    template.excerpt(place),
                    f"rename one of the templates, or name a file for a secret in {bank.folder}/bank.yaml, such as "
                    "secret: secret.txt",
                )
            )
        return tuple(found)
