"""How damage of the record is told."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from itembank.errors import Diagnostic, Level, Span

__all__ = ["damaged"]

_AS_IT_WAS: Final = "bring it back from version control or a backup"


def damaged(
    code: str, message: str, path: Path, line: int = 1, hint: str = "", level: Level = Level.WRONG
) -> Diagnostic:
    """Something of the record that is not as it was kept."""
    return Diagnostic(code, message, Span(str(path), line, 1), level, hint=hint or _AS_IT_WAS)
