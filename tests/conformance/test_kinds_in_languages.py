"""Every kind of response in each language of the house: built in all formats, and audited from the files alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from itembank.library import draw
from itembank.words import LANGUAGES
from tests.cli.harness import ROOT, Program

KINDS = ROOT / "banks" / "kinds"
TRANSLATED = [name for name in LANGUAGES if name != "en" and "-" not in name]


def test_the_bank_has_every_kind() -> None:
    found = {part.response.kind for item, _ in draw(KINDS) for part in item.parts}

    assert found == {"choices", "entry", "match", "order", "written", "wrong-line"}


@pytest.mark.parametrize("language", TRANSLATED)
def test_no_text_is_left_in_english(language: str) -> None:
    own = [item.about.title for item, _ in draw(KINDS, language=language)]

    assert len(set(own)) == len({item.about.title for item, _ in draw(KINDS)}) == 11
    assert {item.about.language for item, _ in draw(KINDS, language=language)} == {language}


@pytest.mark.parametrize("language", TRANSLATED)
def test_packages_of_every_kind_are_whole_in_the_language(language: str, tmp_path: Path) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    program = Program(folder)
    shutil.copytree(KINDS, folder / "bank")
    asked = ("--language", language, "--count", 22, "--formats", "qti3,qti22,qti21,cc,html,latex,docx")

    program.run("build", "bank", "--out", "out", *asked, err=None, left=None)
    audited = program.run("verify", "out", left=None).out

    assert audited.count("none at fault") == 4
