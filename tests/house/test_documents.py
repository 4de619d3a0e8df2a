"""What README and DEVELOPERS say of the house is so: files they name are there, links lead somewhere, programs run."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from pathlib import Path
from shutil import copytree

ROOT = Path(__file__).resolve().parents[2]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
README = (ROOT / "README.md").read_text("utf-8")
FILES = [
    path.relative_to(ROOT).as_posix()
    for folder in ("itembank", "tests", "banks", "exports")
    for path in (ROOT / folder).rglob("*")
    if "__pycache__" not in path.parts
]
WIDTH = 120
_TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "itembank", "tests", "banks", "exports"}
_PATH = re.compile(r"[a-z_.*-]+(/[a-z0-9_.*-]+)*(/|\.(?:py|toml|lark|rng|j2|css))")
_ELSEWHERE = {"itembank/", "blueprints/"}
"""The package's own folder, and a folder that a bank may have."""


def without_fences(text: str) -> str:
    return re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)


def chapter(title: str) -> str:
    start = DEVELOPERS.index(f"## {title}\n")
    return DEVELOPERS[start : DEVELOPERS.index("\n## ", start + 1)]


def named_paths() -> list[str]:
    """What stands in code font and looks like a file of Python, a table, a grammar, or a folder."""
    words = re.findall(r"`([^`\s]+)`", without_fences(DEVELOPERS) + without_fences(README))
    return sorted({word for word in words if _PATH.fullmatch(word)} - _ELSEWHERE)


def is_there(named: str) -> bool:
    pattern = re.compile(r"(^|.*/)" + re.escape(named.rstrip("/")).replace(r"\*", "[^/]*"))
    return any(pattern.fullmatch(path) for path in FILES)


def test_nothing_else_is_kept_at_the_top() -> None:
    """What a user leaves there beside what is kept is the user's own; a copy without its history has no index."""
    kept = ["README.md"]
    if (ROOT / ".git").exists():
        kept = subprocess.run(
            ["git", "ls-files"], cwd=ROOT, capture_output=True, check=True, text=True
        ).stdout.splitlines()

    at_top = {path.partition("/")[0] for path in kept}
    assert set() == {name for name in at_top if not name.startswith(".")} - _TOP
    assert set() == {name for name in _TOP if not (ROOT / name).exists()}


def test_paths_that_are_named_are_there() -> None:
    named = named_paths()

    assert len(named) >= 100
    assert len(FILES) >= 1000
    assert [] == [path for path in named if not is_there(path)]


def test_links_within_the_document_lead_to_a_heading() -> None:
    headings = re.findall(r"^#+ (.*)$", without_fences(DEVELOPERS), re.MULTILINE)
    anchors = {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}
    links = re.findall(r"\]\(#([^)]*)\)", DEVELOPERS)

    assert len(links) >= 8
    assert [] == [link for link in links if link not in anchors]


def test_every_chapter_stands_in_the_table_at_the_top() -> None:
    chapters = re.findall(r"^## (.*)$", without_fences(DEVELOPERS), re.MULTILINE)
    table = DEVELOPERS[: DEVELOPERS.index("\n## ")]

    assert len(chapters) >= 8
    for title in chapters:
        assert re.sub(r"[^\w\- ]", "", title.lower()).replace(" ", "-") in table


def test_every_room_is_told_in_the_way_through_the_house() -> None:
    told = chapter("The way through the house")
    rooms = [
        path.name + ("/" if path.is_dir() else "")
        for path in (ROOT / "itembank").iterdir()
        if not path.name.startswith("__") and path.suffix in ("", ".py")
    ]

    assert len(rooms) >= 25
    assert [] == [room for room in rooms if f"`{room}`" not in told]


def test_lines_are_short() -> None:
    """All but the chapter that is followed to the letter, tables, and code or a link that cannot be broken."""
    text = without_fences(DEVELOPERS.replace(chapter("Ten minutes to a new template"), ""))
    lines = [line for line in text.splitlines() if not line.startswith("|")]
    breakable = [re.sub(r"`[^`]*`|\]\([^)]*\)", "", line) for line in lines if len(line) > WIDTH]

    assert [] == [line for line in breakable if len(line.split()) > 3]


def test_programs_that_are_shown_run(tmp_path: Path) -> None:
    programs = re.findall(r"^```python\n(.*?)^```$", DEVELOPERS, re.MULTILINE | re.DOTALL)
    copytree(ROOT / "banks" / "quadratics", tmp_path / "banks" / "quadratics")
    copytree(ROOT / "exports" / "quadratics", tmp_path / "exports" / "quadratics")
    with (tmp_path / "exports/quadratics/staff/mark-sheet.csv").open(encoding="utf-8", newline="") as sheet:
        head, most, *_ = (row for row in csv.reader(sheet) if row[0] in ("pupil", "maximum"))
    with (tmp_path / "autumn.csv").open("w", encoding="utf-8", newline="") as filled:
        pupils = [[f"Pupil {n}", *(int(mark) * (n % 4 == 0) for mark in most[1:-1]), ""] for n in range(8)]
        csv.writer(filled).writerows([head, most, *pupils])

    assert len(programs) == 2
    items, results = (
        subprocess.run(
            [sys.executable, "-X", "utf8", "-c", program],
            cwd=tmp_path, capture_output=True, check=True, encoding="utf-8",
        ).stdout.splitlines()
        for program in programs
    )  # fmt: skip
    assert all(re.search(r" \d+ claims proved$", line) for line in items[:-1])
    assert items[-1].startswith("[('")
    assert f"Pupil 4 {most[-1]} of {most[-1]}" in results
    assert any(line.endswith(" 1/4") for line in results)
