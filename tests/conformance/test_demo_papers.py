"""Every document of the sample banks goes through TeX: no error, no undefined reference, no line that sticks out."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import pytest

from itembank.bank.draw import select
from itembank.bank.secret import secret_of
from itembank.build.production import Maker, Wanted
from itembank.generator.bound import Bound
from itembank.items import Item
from itembank.writers import latex
from itembank.writers.facts import SIZES, Looks, PaperFacts
from itembank.writers.order import in_order, versions
from itembank.writers.paper import DOCUMENTS
from tests import sample_banks
from tests.conformance.test_papers import _set, _too_wide


@cache
def _items(bank: str, count: int | None, seed: int, language: str = "") -> tuple[Item, ...]:
    """The items of a build, in the order of a paper."""
    read = sample_banks.read(bank, language)
    bounds = [Bound(entry.recipe) for entry in read.used()]
    maker = Maker(read, seed, secret_of(read, create=False)[0], Wanted((), False), bounds)
    return in_order(
        maker.item(s.entry, s.position, s.band, s.draft) for s in select(read, bounds, seed, count)
    )


def _faults(engine: str, source: str, folder: Path) -> list[object]:
    if shutil.which(engine) is None:
        pytest.skip(f"{engine} is not installed")
    log = _set(engine, source, folder, runs=2)
    found: list[object] = list(_too_wide(log))
    return found + [
        word for word in ("undefined references", "Missing character", "multiply defined") if word in log
    ]


@pytest.mark.parametrize("engine", ["pdflatex", "lualatex"])
@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_document_of_the_sample_bank_is_set(engine: str, name: str, tmp_path: Path) -> None:
    facts = PaperFacts("Completing the square", "Saltmarsh College", "CC-BY-4.0", calculator="no", minutes=90)
    items = _items("quadratics", None, 1)

    assert 60 == len(items)
    assert [] == _faults(engine, latex.document(name, items, facts), tmp_path)


def _templates(bank: str) -> frozenset[str]:
    return frozenset(entry.recipe.template.name for entry in sample_banks.read(bank).used())


@pytest.mark.parametrize("engine", ["pdflatex", "lualatex"])
@pytest.mark.parametrize("name", DOCUMENTS)
def test_two_hundred_items_over_all_templates_of_all_banks_are_set(
    engine: str, name: str, tmp_path: Path
) -> None:
    facts = PaperFacts("Evening algebra", looks=Looks(size="letter", front="heading"))
    kinds, quadratics = len(_templates("kinds")), len(_templates("quadratics"))
    counts = {"kinds": kinds, "quadratics": quadratics, "algebra": 200 - kinds - quadratics}
    items = [item for bank, count in counts.items() for item in _items(bank, count, 7)]

    assert 200 == len(items)
    assert set().union(*map(_templates, counts)) == {item.address.template for item in items}
    assert [] == _faults(engine, latex.document(name, items, facts), tmp_path)


@pytest.mark.parametrize("name", ["answer-key", "worked-solutions", "mark-scheme", "worksheet"])
@pytest.mark.parametrize("size", SIZES)
def test_long_lines_of_every_template_are_set_in_large_print(size: str, name: str, tmp_path: Path) -> None:
    facts = PaperFacts("Evening algebra", looks=Looks(size, large=True, wide=True))
    items = _items("algebra", len(_templates("algebra")), 2)

    assert [] == _faults("pdflatex", latex.document(name, items, facts), tmp_path)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_kind_of_response_is_set_in_large_print(name: str, tmp_path: Path) -> None:
    facts = PaperFacts("Every kind", looks=Looks(large=True, wide=True, working="lines"), version="A")
    items = _items("kinds", 24, 3)

    assert [] == _faults("pdflatex", latex.document(name, items, facts), tmp_path)


@pytest.mark.parametrize(
    ("language", "title"), [("es", "Completar el cuadrado"), ("de", "Quadratische Ergänzung")]
)
@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_document_in_another_language_is_set(
    name: str, language: str, title: str, tmp_path: Path
) -> None:
    facts = PaperFacts(title, language=language)
    items = _items("quadratics", 18, 2, language)

    source = latex.document(name, items, facts)
    assert [] == _faults("pdflatex", source, tmp_path)
    assert "Solve" not in source


@pytest.mark.parametrize(
    "looks", [Looks(), Looks("letter", wide=True), Looks(large=True), Looks("letter", True, True)]
)
def test_the_key_to_five_versions_of_every_template_is_set(looks: Looks, tmp_path: Path) -> None:
    items = [
        item for bank in ("quadratics", "kinds", "algebra") for item in _items(bank, len(_templates(bank)), 4)
    ]
    source = latex.combined_key(versions(items, 5), "ABCDE", PaperFacts("Versions", looks=looks))

    assert [] == _faults("pdflatex", source, tmp_path)
