"""A pytest plug-in: `pytest banks/` checks every template of the banks below, each a test of its own.

Collected are YAML files in the folder `templates` (or its sub-folders) of a folder with a `bank.yaml`, and the bank
itself. What is wrong fails the test and is shown as `itembank check` shows it; what is doubtful fails it only under
`--doubts-fail`. `--no-templates` collects nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

TEMPLATES = "templates"


def pytest_addoption(parser: pytest.Parser) -> None:
    """The plug-in's options."""
    group = parser.getgroup("itembank", "templates of item banks")
    group.addoption(
        "--doubts-fail", action="store_true", help="what is doubtful in a template fails its test"
    )
    group.addoption("--no-templates", action="store_true", help="do not collect templates of item banks")


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """A file of a bank as a collector."""
    if file_path.suffix != ".yaml" or parent.config.getoption("--no-templates"):
        return None
    if file_path.name == "bank.yaml":
        is_bank = (file_path.parent / TEMPLATES).is_dir()
        return BankFile.from_parent(parent, path=file_path) if is_bank else None
    return TemplateFile.from_parent(parent, path=file_path) if _is_template(file_path) else None


def _is_template(path: Path) -> bool:
    """Whether a file lies below the folder of templates of a bank."""
    return any(
        folder.name == TEMPLATES and (folder.parent / "bank.yaml").is_file() for folder in path.parents
    )


class _Wrong(Exception):
    """What is wrong, in the words of `itembank check`."""


class BankFile(pytest.File):
    """A bank: its own file, its slips, and all its templates together."""

    def collect(self) -> Iterator[pytest.Item]:
        """One test."""
        yield BankTest.from_parent(self, name="bank")


class TemplateFile(pytest.File):
    """A template file."""

    def collect(self) -> Iterator[pytest.Item]:
        """One test."""
        yield TemplateTest.from_parent(self, name="template")


class _Checked(pytest.Item):
    """A test that fails for what is wrong."""

    def judge(self, diagnostics: object) -> None:
        """Raises with all that is wrong, or doubtful where that is asked for."""
        from itembank.cli.report import diagnostic_lines
        from itembank.errors import Diagnostic, Level

        assert isinstance(diagnostics, tuple)
        strict = self.config.getoption("--doubts-fail")
        told: list[Diagnostic] = [d for d in diagnostics if strict or d.level is Level.WRONG]
        if told:
            raise _Wrong("\n".join(line for each in told for line in diagnostic_lines(each)))

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: object = None) -> str:
        """What is wrong, without the way through this program."""
        if isinstance(excinfo.value, _Wrong):
            return str(excinfo.value)
        return str(super().repr_failure(excinfo))

    def reportinfo(self) -> tuple[Path, int, str]:
        """Where the test comes from."""
        return self.path, 0, f"{self.path.name}: {self.name}"


class BankTest(_Checked):
    """Everything that the files of a bank say together: names, slips, counts, versions."""

    def runtest(self) -> None:
        """Reads the bank."""
        from itembank.bank.bank import read_bank
        from itembank.bank.lock import changed
        from itembank.errors import InputError, Level

        try:
            bank = read_bank(self.path.parent, str(self.path.parent))
            self.judge((*bank.doubts, *changed(bank, bank.entries, Level.WRONG)))
        except InputError as wrong:
            self.judge(tuple(wrong.diagnostics))


class TemplateTest(_Checked):
    """A template as `itembank check` looks at it: counts, slips, and its items proved."""

    def runtest(self) -> None:
        """Reviews the template."""
        from itembank.bank.review import review
        from itembank.bank.sources import entries_of
        from itembank.errors import InputError

        try:
            entries, doubts, _ = entries_of(self.path)
            found = [diagnostic for entry in entries for diagnostic in review(entry).diagnostics]
            self.judge((*doubts, *found))
        except InputError as wrong:
            self.judge(tuple(wrong.diagnostics))
