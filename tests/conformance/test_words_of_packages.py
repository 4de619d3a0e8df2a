"""Packages speak the language of their items: what writers add, and what the audit makes of it."""

from __future__ import annotations

import re
import shutil
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from lxml import etree, html

from itembank.audit.cartridge_inequalities import read_inequalities
from itembank.audit.tongues import tongue
from itembank.audit.typed_answers import read_typed
from itembank.audit.verify import audit_item, verify
from itembank.cli.main import main
from itembank.items import Item
from itembank.words import words
from itembank.writers import common_cartridge as cc
from itembank.writers.common_cartridge.inequalities import inequalities
from itembank.writers.dialects import DIALECTS
from itembank.writers.phrases import phrases
from itembank.writers.pictures import has_pictures
from itembank.writers.qti2 import translate
from itembank.writers.qti3 import item_xml
from itembank.writers.qti3.shortfalls import shortfalls
from tests import kinds_bank, qti_items, samples

PHRASES = (
    "right", "unsimplified", "follows-earlier", "no-solution-sentence", "one-answer", "all-right-answers",
    "line-not-following", "put-into-order", "belongs-together", "your-answer", "marked-by-hand", "line-follows",
    "problem", "key", "follow-from-earlier", "role-numerator", "role-denominator", "role-p", "role-q", "role-r",
    "role-k", "role-a", "role-d", "role-sign", "role-join",
)  # fmt: skip
OF_CARTRIDGES = (
    "right", "line-follows", "problem", "answer-told", "type-number", "type-leave-out", "type-fraction", "type-essay",
    "marked-by-hand",
)  # fmt: skip
LANGUAGES = ("es", "es-MX", "es-ES", "de", "de-AT", "de-CH")


@cache
def all_kinds() -> tuple[Item, ...]:
    """Items of every kind of response, box and sentence."""
    of_bank = [item for name in sorted(kinds_bank.TEMPLATES) for item in kinds_bank.items(name, 3)]
    made = [*(make() for make in samples.ALL), qti_items.fractions_item(), qti_items.two_part_item()]
    algebra = kinds_bank.BANK.parent / "algebra" / "templates"
    more = (
        "factorising/factorise-monic", "factorising/factorise-completely", "inequalities/between-roots",
        "completing-the-square/square-then-lowest-point", "completing-the-square/missing-constant-leading",
    )  # fmt: skip
    found = [
        next(kinds_bank.walk_items(bound))
        for bound in map(_algebra, (algebra / f"{each}.yaml" for each in more))
    ]
    return (*of_bank, *made, *found)


def _algebra(path: Path) -> kinds_bank.Bound:
    from itembank.generator.compiler import make_recipe
    from itembank.templates.loader import load_template
    from itembank.templates.slips import load_slips

    slips = load_slips(path.parents[2] / "slips.yaml", "slips.yaml")[0]
    return kinds_bank.Bound(make_recipe(load_template(path, path.name, slips).template))


def told_in(language: str) -> tuple[Item, ...]:
    """The same items, said to be in a language. Their own texts stay as they are."""
    return tuple(replace(item, about=item.about._replace(language=language)) for item in all_kinds())


def questions(items: tuple[Item, ...]) -> Iterator[str]:
    for item in items:
        yield from cc.written(item).items


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_a_writer_adds_is_in_the_language_of_the_item(language: str) -> None:
    english, other = ("".join(map(item_xml, told_in(each))) for each in ("en-GB", language))

    for key in PHRASES:
        own, translated = _told("en", key), _told(language, key)
        assert own in english, key
        assert translated in other, key
        assert own not in other, key


def _told(language: str, key: str) -> str:
    """The words as they stand in a document; those of a box end its label."""
    told = words(language)(key)
    return f', {told}"' if key.startswith("role-") else f">{told}" if key == "key" else told


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_a_cartridge_adds_is_in_the_language_of_the_item(language: str) -> None:
    english, other = ("".join(questions(told_in(each))) for each in ("en-GB", language))

    for key in OF_CARTRIDGES:
        assert words("en")(key) in english, key
        assert words(language)(key) in other, key
        assert words("en")(key) not in other, key


def test_words_of_a_language_without_a_file_are_english_and_marked_as_such() -> None:
    (item, *_) = told_in("fr")

    assert 'xml:lang="fr"' in item_xml(item)
    assert f'<p xml:lang="en">{words("en")("right")}</p>' in item_xml(item)
    assert "the words around boxes and in feedback are English" in shortfalls(item)
    assert "the words around boxes and in feedback are English" not in shortfalls(told_in("es")[0])


@pytest.mark.parametrize("language", ["en", *LANGUAGES])
def test_a_cartridge_in_a_language_passes_the_audit(tmp_path: Path, language: str) -> None:
    assessment = cc.Collection("assessment-evening-1", "Álgebra nocturna, prueba 1", is_bank=False)
    about = cc.About("cartridge-evening", "Álgebra nocturna", language, "", "CC-BY-4.0", "Saltmarsh College")
    items = tuple(item for item in told_in(language) if not has_pictures(item))
    path = tmp_path / "evening.imscc"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("imsmanifest.xml", cc.manifest(about, [assessment]))
        package.writestr(assessment.name, cc.assessment(assessment, list(questions(items)), language))

    report = verify(path)

    assert () == report.findings
    assert report.items >= 20


@pytest.mark.parametrize("language", ["en", *LANGUAGES])
@pytest.mark.parametrize("dialect", sorted(DIALECTS))
def test_items_in_a_language_pass_the_audit_in_every_dialect(language: str, dialect: str) -> None:
    for item in told_in(language):
        document = item_xml(item)
        if dialect != "qti3":
            document = translate(document, DIALECTS[dialect]).document
        assert (item.code, ()) == audit_item(document.encode(), f"items/{item.code}.xml")


def test_formulas_in_the_words_of_another_language_than_the_item_says_are_faults() -> None:
    item = next(item for item in told_in("es") if ">o</mtext>" in item_xml(item))
    document = item_xml(item).replace('xml:lang="es"', 'xml:lang="en"', 1)

    _, findings = audit_item(document.encode(), f"items/{item.code}.xml")
    assert {"unread", "unread-notation", "alttext-differs"} & {each.code for each in findings}


def test_the_answer_that_there_is_none_is_typed_in_the_language_of_the_item() -> None:
    spanish = tongue("es")

    assert () == read_typed("Sin solución real", 2, spanish)
    assert () == read_typed("NINGUNA", 2, spanish)
    assert read_typed("none", 2, spanish) is None
    assert read_typed("ninguna", 2) is None


@pytest.mark.parametrize(
    "typed", ["keine", "Keine reelle Lösung", "keine reelle Loesung", "KEINE REELLE LOSUNG"]
)
def test_an_umlaut_may_be_typed_as_a_keyboard_without_one_has_it(typed: str) -> None:
    assert () == read_typed(typed, 2, tongue("de-CH"))
    assert read_typed(typed, 2) is None


@pytest.mark.parametrize("unknown", ["x", "y", "o"])
@pytest.mark.parametrize("language", ["en", "es", "de"])
def test_typed_inequalities_are_read_back_even_where_the_letter_is_the_word_between_them(
    unknown: str, language: str
) -> None:
    rays = (("lt", -1), ("gt", 4))
    typed = inequalities(unknown, rays, "or", phrases(language))
    heard = {read_inequalities(text, unknown, tongue(language)) for text in typed}

    assert len(typed) >= 16
    assert None not in heard
    assert {"or"} == {each.join for each in heard if each is not None}
    assert 2 == len(heard)  # the rays in either order


# Words that English sentences cannot do without, and that no Spanish or German one has.
ENGLISH = re.compile(
    r"\b(?:the|of|and|with|for|from|your|that|this|which|not|into|is|are|box|answer|solution|number|whole|right|page)\b",
    re.IGNORECASE,
)
SPOKEN_OF = ("alt", "alttext", "aria-label", "title")


def _texts(root: etree._Element) -> Iterator[str]:
    """Everything that is read or heard of a document, HTML in its characters too."""
    for element in root.iter():
        if not isinstance(element.tag, str) or element.tag == "style":
            continue
        yield from (element.get(name, "") for name in SPOKEN_OF)
        for text in (element.text or "", element.tail or ""):
            yield from _texts(etree.fromstring(f"<div>{text}</div>")) if "<p" in text else (text,)


def _documents(folder: Path) -> Iterator[tuple[str, Iterator[str]]]:
    for path in sorted(folder.rglob("*")):
        if path.suffix in {".zip", ".imscc", ".docx"}:
            with zipfile.ZipFile(path) as package:
                for name in package.namelist():
                    # what is said of a bank to those who take it over is the bank's own
                    if name.endswith((".xml", ".svg")) and not name.endswith("manifest.xml"):
                        yield f"{path.name}/{name}", _texts(etree.fromstring(package.read(name)))
        elif path.suffix == ".html":
            yield path.name, _texts(html.fromstring(path.read_text("utf-8")))


def _built(tmp_path: Path, language: str) -> Path:
    bank, out = tmp_path / "quadratics", tmp_path / "out"
    shutil.copytree(kinds_bank.BANK.parent / "quadratics", bank)
    formats = "qti3,qti22,qti21,cc,html,docx,json"
    command = [
        "build",
        str(bank),
        "--language",
        language,
        "--out",
        str(out),
        "--count",
        "24",
        "--formats",
        formats,
    ]
    assert 0 == main(command)
    return out


@pytest.mark.parametrize("language", ["es", "de-CH"])
def test_a_build_in_another_language_says_nothing_in_english(tmp_path: Path, language: str) -> None:
    out = _built(tmp_path, language)
    looked_at = 0
    for folder in ("pupils", "platform", "staff"):
        for name, texts in _documents(out / folder):
            looked_at += 1
            # a topic and a field of a cartridge are words of their own vocabulary
            found = [text for text in texts if ENGLISH.search(text) and "/" not in text]
            assert [] == found, name
    assert looked_at >= 100


def test_a_build_for_the_united_states_has_radicals_and_no_surds(tmp_path: Path) -> None:
    texts = [text for _, each in _documents(_built(tmp_path, "en-US")) for text in each]

    assert [] == [
        text for text in texts if re.search(r"\bsurds?\b", text) and "/" not in text and text != "surds"
    ]
    assert any("simplest radical form" in text for text in texts)
