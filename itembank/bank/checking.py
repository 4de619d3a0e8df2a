"""Everything wrong or doubtful in templates and banks, and what each template can produce."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from itembank.bank.kept_reviews import kept_reviews
from itembank.bank.lint import across
from itembank.bank.lock import changed
from itembank.bank.review import Review
from itembank.bank.reviews import reviews
from itembank.bank.shared_codes import SharedCodes
from itembank.bank.sources import found_at
from itembank.errors import Diagnostic, InputError, Level

__all__ = ["Checked", "check"]


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found: the review of each template, and every diagnostic in the order of their places.

    compared: of each path with several templates, how many of their items were compared with each other. blueprints:
    how many were looked at. recorded: of each bank with a record of use, what it holds, and what changed since.
    """

    reviews: tuple[Review, ...]
    diagnostics: tuple[Diagnostic, ...]
    compared: tuple[str, ...] = ()
    blueprints: int = 0
    recorded: tuple[str, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong; what is doubtful may be."""
        return not any(diagnostic.level is Level.WRONG for diagnostic in self.diagnostics)


Progress = Callable[[Iterable[Review], int], Iterable[Review]]


def check(
    paths: Sequence[Path], workers: int = 1, progress: Progress = lambda reviews, total: reviews
) -> Checked:
    """Looks at template files, folders of them, and banks.

    workers: processes to share many templates among. What is wrong with the input is told, not raised; raises
    Contradiction for a fault of our own.
    """
    diagnostics: list[Diagnostic] = []
    found: list[Review] = []
    compared: list[str] = []
    codes = SharedCodes()
    for path in paths:
        kept = kept_reviews(path)
        try:
            entries, told, bank, extensions = found_at(path)
        except InputError as wrong:
            diagnostics.extend(wrong.diagnostics)
            continue
        diagnostics.extend(told)
        if bank is not None:
            diagnostics.extend(codes.told(bank, entries))
            try:
                diagnostics.extend(changed(bank, entries, Level.DOUBTFUL))
            except InputError as broken:
                diagnostics.extend(broken.diagnostics)
        if kept != kept_reviews(path):  # a file was saved meanwhile: what was read is not what stands there
            kept = None
        here = list(progress(reviews(entries, workers, extensions, kept), len(entries)))
        asked = [each.asked for each in here if each.asked is not None]
        found.extend(here)
        diagnostics.extend(diagnostic for each in here for diagnostic in each.diagnostics)
        if len(asked) > 1:
            diagnostics.extend(across(asked))
            looked_at = sum(len(each.questions) for each in asked)
            compared.append(f"{path}: {looked_at} items of {len(asked)} templates compared with each other")
    diagnostics.sort(key=lambda d: (d.span.path, d.span.line, d.span.column) if d.span else ("", 0, 0))
    return Checked(tuple(found), tuple(diagnostics), tuple(compared))
