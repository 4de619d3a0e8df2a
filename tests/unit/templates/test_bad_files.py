"""Marked bad files: each says on the very line what is expected there, and nothing else is reported.

`# expect: code@column` stands on the line it speaks of; `# expect+2: ...` speaks of the second line below it, where
a comment would change what is read (block text). Several codes are separated by commas, `doubtful` stands before a
code that does not stop the work. Each file is its good twin (named in line one) with one thing changed.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import pytest
import yaml

from itembank.bank.bank import read_bank
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.templates.loader import load_template
from itembank.templates.slips import Catalogue, load_slips

HERE = Path(__file__).resolve().parents[2]
BAD, GOOD = HERE / "templates" / "bad", HERE / "templates" / "good"
ERRORS = HERE / "expressions" / "errors.yaml"
FEWEST_FILES, FEWEST_CODES = 90, 75

_EXPECT = re.compile(r"#\s*expect(?:\+(\d+))?: (.+)$")


class Told(NamedTuple):
    """What is reported: line, column (0: any), level and code."""

    line: int
    column: int
    level: str
    code: str


def expected(text: str) -> list[Told]:
    """What a marked file expects."""
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        mark = _EXPECT.search(line)
        for word in mark[2].split(", ") if mark else ():
            level, _, rest = word.rpartition(" ")
            code, _, column = rest.partition("@")
            assert mark is not None
            found.append(Told(number + int(mark[1] or 0), int(column or 0), level or "wrong", code))
    return sorted(found)


def reported(diagnostics: tuple[Diagnostic, ...], shown_as: str) -> list[Told]:
    """The same of what was reported."""
    found = []
    for each in diagnostics:
        assert each.span is not None
        assert shown_as == each.span.path
        found.append(Told(each.span.line, each.span.column, each.level.value, each.code))
    return sorted(found)


def catalogue() -> Catalogue:
    return load_slips(GOOD / "slips.yaml", "slips.yaml")[0]


def diagnose(path: Path, folder: Path) -> tuple[Diagnostic, ...]:
    """Everything said about a template, a slip file or a bank file, by the key it begins with."""
    text = path.read_text("utf-8")
    try:
        if re.search("^slips:", text, re.MULTILINE) and not re.search("^template:", text, re.MULTILINE):
            return load_slips(path, path.name)[1]
        if not re.search("^bank:", text, re.MULTILINE):
            return load_template(path, path.name, catalogue()).doubts
        (folder / "templates").mkdir()
        for name in ("choice.yaml", "entry.yaml"):
            (folder / "templates" / name).write_bytes((GOOD / name).read_bytes())
        (folder / "slips.yaml").write_bytes((GOOD / "slips.yaml").read_bytes())
        (folder / "bank.yaml").write_text(text, "utf-8")
        doubts = read_bank(folder, "").doubts
    except InputError as wrong:
        doubts = wrong.diagnostics
    return tuple(replace(each, span=_renamed(each.span, path.name)) for each in doubts)


def _renamed(span: Span | None, name: str) -> Span | None:
    """The bank file stands under its usual name in a folder of its own."""
    return replace(span, path=name) if span is not None and span.path == "bank.yaml" else span


def files(folder: Path) -> list[object]:
    return [pytest.param(path, id=path.stem) for path in sorted(folder.glob("*.yaml"))]


@pytest.mark.parametrize("path", files(BAD))
def test_a_bad_file_is_told_at_its_place_and_nothing_else_is_told(path: Path, tmp_path: Path) -> None:
    wanted = expected(path.read_text("utf-8"))

    found = reported(diagnose(path, tmp_path), path.name)

    assert wanted == found


@pytest.mark.parametrize("path", files(BAD))
def test_what_is_told_shows_the_line_and_where_on_it(path: Path, tmp_path: Path) -> None:
    lines = path.read_text("utf-8").splitlines()

    for told in diagnose(path, tmp_path):
        assert told.span is not None
        assert lines[told.span.line - 1] == told.excerpt
        assert told.message
        assert not told.message.endswith(".")


@pytest.mark.parametrize("path", files(GOOD))
def test_a_good_twin_is_read_without_a_word(path: Path, tmp_path: Path) -> None:
    assert () == diagnose(path, tmp_path)


@pytest.mark.parametrize("path", files(BAD))
def test_a_bad_file_differs_from_its_good_twin_in_one_thing(path: Path) -> None:
    first, *rest = path.read_text("utf-8").splitlines()
    twin = GOOD / first.rpartition("good twin: ")[2]

    old = set(twin.read_text("utf-8").splitlines()[1:])
    new = [line for line in (_EXPECT.sub("", line).rstrip() for line in rest) if line and line not in old]

    assert len(new) <= MOST_CHANGED.get(path.stem, 2)


MOST_CHANGED = {
    "points-of-an-identity": 3,
    "shadowed-unknown": 4,
    "subject-letter-is-unknown": 6,
    "unknowns-missing": 6,
    "words-of-two-unknowns": 4,
    "words-of-two-unknowns-in-choices": 4,
    "solutions-of-three-unknowns": 5,
    "marks-do-not-share": 3,
    "match-marks-do-not-share": 3,
    "one-of-wrong": 10,
}
"""Files whose one thing needs more than two lines, so that nothing else is wrong with them."""


def test_there_are_many_bad_files_of_many_kinds() -> None:
    paths = list(BAD.glob("*.yaml"))
    codes = {told.code for path in paths for told in expected(path.read_text("utf-8"))}

    assert len(paths) >= FEWEST_FILES
    assert len(codes) >= FEWEST_CODES


# every error of the expression language, inside $...$ of a block text

ROWS = [row for row in yaml.safe_load(ERRORS.read_text("utf-8")) if not set(row["source"]) & set("$#\n")]

BLOCK = """\
template: block
version: 1
title: An error inside a block text
unknowns: [x]
problem: x = 1
stem: |
  Solve $problem$.

    - First, a list;
    - then $x$ and ${source}$ on one line.
response: {{kind: entry, blanks: {{x: {{form: integer}}}}}}
key: x = 1
"""


OF_TEXTS_ALONE = {"y = f(x)"}
"""What is refused elsewhere and may stand in a text."""


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, id=row["source"] or "(nothing)")
        for row in ROWS
        if row["source"] not in OF_TEXTS_ALONE
    ],
)
def test_an_expression_error_in_a_block_text_is_told_at_its_own_place(
    row: dict[str, object], tmp_path: Path
) -> None:
    source, start = str(row["source"]), row["at"][0]  # type: ignore[index]
    path = tmp_path / "block.yaml"
    path.write_text(BLOCK.format(source=source), "utf-8")

    with pytest.raises(InputError) as raised:
        load_template(path, "block.yaml", {})

    first = "    - then $x$ and $"
    assert [(10, len(first) + 1 + start, row["error"])] == [
        (d.span.line, d.span.column, d.code) for d in raised.value.diagnostics if d.span is not None
    ]


def test_every_error_of_the_expression_language_is_tried() -> None:
    assert len(ROWS) >= 100


def test_several_mistakes_of_a_file_are_told_at_once_in_order(tmp_path: Path) -> None:
    text = (GOOD / "choice.yaml").read_text("utf-8")
    for old, new in (
        ("solve $problem$.", "solve $problm$ where $x == 2$."),
        ("  k: {from: 2, to: 30}", "  k: {from: 30, to: 2}"),
        ("constraints: [c != 0]", "constraints: [c, x > 0]"),
        ("marks: A1", "marks: A2"),
        ("  - {slip: needs-letter, with: {m: h + k}}", "  - needs-leter"),
    ):
        assert 1 == text.count(old)
        text = text.replace(old, new)
    path = tmp_path / "several.yaml"
    path.write_text(text, "utf-8")

    with pytest.raises(InputError) as raised:
        load_template(path, "several.yaml", catalogue())

    assert [
        "empty-range", "statement-needed", "letter-without-value", "unknown-name", "double-equals", "unknown-slip",
    ] == [d.code for d in raised.value.diagnostics]  # fmt: skip
    assert [13, 15, 15, 23, 23, 31] == [d.span.line for d in raised.value.diagnostics if d.span is not None]
    assert {Level.WRONG} == {d.level for d in raised.value.diagnostics}


def test_more_parts_than_letters_are_refused(tmp_path: Path) -> None:
    text = (GOOD / "parts.yaml").read_text("utf-8")
    head, _, parts = text.partition("parts:\n")
    path = tmp_path / "many.yaml"
    path.write_text(f"{head}parts:\n{14 * parts}", "utf-8")

    with pytest.raises(InputError) as raised:
        load_template(path, "many.yaml", catalogue())

    assert ["too-many"] == [each.code for each in raised.value.diagnostics]


@pytest.mark.parametrize(
    ("given", "written", "remedy"),
    [
        ("title:", "minutes: three\ntitle:", "write a number of minutes below 100, such as 3 or 2.5"),
        ("title:", "language: Spanish\ntitle:", "write a language tag, such as en, es or en-US"),
    ],
)
def test_a_value_of_the_wrong_look_is_told_with_one_of_the_right_look(
    given: str, written: str, remedy: str, tmp_path: Path
) -> None:
    file = tmp_path / "choices.yaml"
    text = (GOOD / "choices.yaml").read_text(encoding="utf-8")
    file.write_text(text.replace(given, written, 1), encoding="utf-8")

    with pytest.raises(InputError) as told:
        load_template(file, file.name, catalogue())

    assert [remedy] == [each.hint for each in told.value.diagnostics]
