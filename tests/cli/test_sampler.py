"""`itembank sampler` as a real process: packages that verify, a page, and nothing of the bank spent."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.cli.harness import DEMO, Program

PACKAGES = tuple(
    f"out/platform/quadratics-sampler-{name}" for name in ("cc.imscc", "qti21.zip", "qti22.zip", "qti3.zip")
)
PAGE = "out/staff/what-should-be-seen.html"
LEFT = tuple(sorted(("out", "out/.itembank-output", "out/platform", "out/staff", PAGE, *PACKAGES)))


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """The program beside a copy of the demo bank."""
    shutil.copytree(DEMO, tmp_path / "bank", ignore=shutil.ignore_patterns("bank.lock"))
    return Program(tmp_path)


def test_one_item_of_each_kind_in_every_package_and_a_page(program: Program) -> None:
    made = json.loads(program.run("sampler", "bank", "--out", "out", "--json", left=LEFT).out)
    page = (program.folder / PAGE).read_text("utf-8")
    kinds = [tuple(told) for told in made["items"].values()]
    checked = program.run("verify", *(program.folder / name for name in PACKAGES))

    assert len(kinds) == len(set(kinds)) >= 3
    assert sorted(name.removeprefix("out/") for name in (*PACKAGES, PAGE)) == made["files"]
    for code in made["items"]:
        assert code in page
    assert checked.out.count("none at fault") == 4
    for name in PACKAGES:
        assert name.removeprefix("out/") in page


def test_the_items_of_a_sampler_are_none_of_the_bank_and_the_same_each_time(program: Program) -> None:
    first = json.loads(program.run("sampler", "bank", "--out", "out", "--json", left=LEFT).out)
    again = json.loads(program.run("sampler", "bank", "--out", "out", "--json").out)
    program.run("build", "bank", "--out", "built", "--formats", "json", "--count", 40, left=_ANY, err=None)
    bank = (program.folder / "built" / "staff" / "items.json").read_text("utf-8")

    assert first == again
    assert [] == [code for code in first["items"] if code in bank]


class _Any(tuple[str, ...]):
    """Equal to any files left over."""

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = tuple.__hash__


_ANY = _Any()


def test_formats_can_be_chosen_and_an_unknown_one_is_wrong_usage(program: Program) -> None:
    left = tuple(name for name in LEFT if ".zip" not in name)
    program.run("sampler", "bank", "--out", "out", "--formats", "cc", left=left)
    wrong = program.run("sampler", "bank", "--out", "two", "--formats", "cc,papers", status=2, err=None)

    assert "`papers` is none of qti3, qti22, qti21, cc" in wrong.err


def test_a_bank_that_is_not_there_is_told(program: Program) -> None:
    wrong = program.run("sampler", "nowhere", "--out", "out", status=1, err=None)

    assert "nowhere" in wrong.err


SPANISH = (
    "Muestra:",
    "Lo que debe verse",
    "Solo para el profesorado.",
    "elige C",
    "no respondas nada",
    "nada",
    "Notas",
)
GERMAN = (
    "Muster:",
    "Was zu sehen sein soll",
    "Nur für Lehrkräfte.",
    "wähle C",
    "gib keine Antwort",
    "nichts",
    "Notizen",
)


@pytest.mark.parametrize(("language", "said"), [("es", SPANISH), ("de", GERMAN)])
def test_the_sampler_speaks_the_language_that_is_asked_for(
    program: Program, language: str, said: tuple[str, ...]
) -> None:
    made = program.run("sampler", "bank", "--out", "out", "--language", language, left=LEFT).out
    page = (program.folder / PAGE).read_text("utf-8")
    told = re.sub(r'<(li|span) lang="en">.*?</\1>|<style>.*?</style>|<[^>]*>', " ", page, flags=re.DOTALL)

    assert f'<html lang="{language}">' in page
    for words in said:
        assert words in told, words
    english = re.findall(r"\b(?:the|and|choose|enter|answer|nothing|boxes|marks?|order|row|tick)\b", told)
    assert [] == english
    assert "one right option" in made  # the program itself speaks English
