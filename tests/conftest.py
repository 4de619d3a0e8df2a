"""What several rooms of tests share: the comparison with golden files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

# a clock decides no test: a machine shared by many may pause at any place
settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")

_GOLDEN = Path(__file__).parent / "golden"

# a bank of extensions that its own tests install first
collect_ignore = ["plugins"]


def pytest_addoption(parser: pytest.Parser) -> None:
    """A golden file changes only when someone asks for it, and then reads the difference."""
    parser.addoption(
        "--renew-golden", action="store_true", help="write what is made now as the new golden files"
    )


@pytest.fixture
def same_as_golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Asserts that a text equals the golden file of this name; writes the file under --renew-golden."""

    def compare(name: str, actual: str) -> None:
        path = _GOLDEN / name
        if request.config.getoption("--renew-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(actual, encoding="utf-8", newline="\n")
        assert path.read_text(encoding="utf-8") == actual

    return compare
