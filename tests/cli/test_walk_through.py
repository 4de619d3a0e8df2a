"""DEVELOPERS.md, `Ten minutes to a new template`: every file written, every command run, every output compared."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.walk_through import Block, agrees, blocks, changed, run, steps

ROOT = Path(__file__).resolve().parents[2]
DOCUMENT = ROOT / "DEVELOPERS.md"
TITLE = "## Ten minutes to a new template\n"
PROGRAM = Path(sys.executable).parent


def chapter(text: str) -> tuple[int, int]:
    """Where the chapter begins and ends."""
    start = text.index(TITLE)
    return start, text.index("\n## ", start + 1)


def do(block: Block, folder: Path, renew: bool) -> str:
    """Does what a block says; the block's text with what is printed now where it differs, or fails."""
    path = folder / block.file
    if block.kind == "yaml":
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(block.text, "utf-8")
    elif block.kind == "diff":
        path.write_text(changed(path.read_text("utf-8"), block.text), "utf-8")
    elif block.kind == "console":
        told = ""
        for step in steps(block.text):
            printed = run(step.command, folder, PROGRAM)
            assert "Traceback" not in printed, printed
            same = agrees(step.printed, printed)
            assert same or renew, f"$ {step.command}\nprints\n{printed}\nand not\n{step.printed}"
            told += f"$ {step.command}\n{step.printed if same else printed}"
        return told
    return block.text


def test_the_chapter_is_followed_to_the_letter(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    renew = bool(request.config.getoption("--renew-golden"))
    folder = tmp_path / "evening-course"
    folder.mkdir()
    text = DOCUMENT.read_text("utf-8")
    start, end = chapter(text)
    told, upto = text[:start], start
    done = [(block, do(block, folder, renew)) for block in blocks(text[start:end])]
    for block, now in done:
        told += text[upto : start + block.start] + now
        upto = start + block.end

    assert sum(block.kind == "console" for block, _ in done) >= 8
    assert sum(block.kind == "diff" for block, _ in done) >= 4
    if renew:
        DOCUMENT.write_text(told + text[upto:], "utf-8")
    else:
        assert told + text[upto:] == text
