"""How diagnostics are told in a terminal."""

from __future__ import annotations

import pytest

from itembank.cli.report import tell_diagnostics
from itembank.errors import Diagnostic, Level, Span


def doubt(code: str, message: str, path: str) -> Diagnostic:
    return Diagnostic(code, message, Span(path, 9, 12), Level.DOUBTFUL, hint="a remedy")


def test_what_is_so_of_a_language_is_told_once_with_how_many_files_it_is_so_in(
    capsys: pytest.CaptureFixture[str],
) -> None:
    of_language = [
        doubt("no-words-for-language", f"nothing is translated into `{tag}`", f"{name}.yaml")
        for tag, name in (("fr", "a"), ("it", "a"), ("fr", "b"), ("fr", "c"), ("nl", "c"), ("nl", "d"))
    ]

    tell_diagnostics(
        [*of_language, doubt("long-stem", "long", "a.yaml"), doubt("long-stem", "long", "b.yaml")]
    )

    told = capsys.readouterr().err
    assert ["  and so in 2 more files", "  and so in 1 more file"] == [
        line for line in told.splitlines() if "more file" in line
    ]
    assert (3, 2) == (told.count("no-words-for-language"), told.count("long-stem"))
    assert told.endswith("0 wrong, 8 doubtful\n")
