"""The reader of the chapter that is run: what it compares, and what it must not let pass."""

from __future__ import annotations

import pytest

from tests.walk_through import Block, Step, agrees, blocks, changed, steps


def test_blocks_have_a_kind_and_a_file() -> None:
    chapter = "words\n\n```yaml a/b.yaml\nx: 1\n```\n\n```sh\nls\n```\n"

    assert [("yaml", "a/b.yaml", "x: 1\n"), ("sh", "", "ls\n")] == [
        (b.kind, b.file, b.text) for b in blocks(chapter)
    ]
    assert [chapter[b.start : b.end] for b in blocks(chapter)] == ["x: 1\n", "ls\n"]
    assert isinstance(blocks(chapter)[0], Block)


def test_each_command_has_what_it_prints() -> None:
    assert [Step("a", "one\ntwo\n"), Step("b", "")] == steps("$ a\none\ntwo\n$ b\n")


def test_a_line_of_dots_stands_for_any_lines_and_for_nothing_else() -> None:
    assert agrees("one\n...\nfour\n", "one\ntwo\nthree\nfour\n")
    assert agrees("one\n...\n", "one\n")
    assert not agrees("one\n...\nfour\n", "one\ntwo\nthree\n")
    assert not agrees("one\n", "one\ntwo\n")
    assert agrees("2 passed in ...\nend\n", "2 passed in 0.50s\nend\n")
    assert not agrees("2 passed in ...\nend\n", "2 passed in 0.50s\n1 failed\nend\n")
    assert not agrees("2 passed in ...\n", "1 failed, 2 passed in 0.50s\n")
    assert not agrees("a ... b\n", "a c b\n")
    assert not agrees("on.\n", "one\n")


def test_changes_meet_the_lines_they_take_out_once() -> None:
    assert "a\nx\ny\nc\n" == changed("a\nb\nc\n", "-b\n+x\n+y\n")
    assert "1\nb\n2\n" == changed("a\nb\nc\n", "-a\n+1\n-c\n+2\n")
    with pytest.raises(AssertionError, match="0 places"):
        changed("a\n", "-b\n+c\n")
    with pytest.raises(AssertionError, match="2 places"):
        changed("b\nb\n", "-b\n+c\n")
