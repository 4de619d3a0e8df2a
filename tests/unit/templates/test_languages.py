"""Texts by language: which files are whole in a language, what is told of others, what the lock remembers."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from itembank.bank.bank import Bank, read_bank
from itembank.bank.lock import changed, read_lock, write_lock
from itembank.errors import InputError, Level
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Instantiator, draft
from itembank.generator.space import allowed
from itembank.items import ChoiceResponse, EntryResponse, Item
from itembank.templates.loader import load_template
from itembank.templates.slips import NO_SLIPS
from itembank.templates.template import Template
from itembank.writers import pages
from itembank.writers.facts import PaperFacts

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "banks" / "quadratics"
TRANSLATED = tuple(sorted(path.stem for path in (DEMO / "templates").glob("*.yaml")))

TEMPLATE = """\
template: sum
version: 1
title: {en: Add, es: Sumar}
unknowns: [x]
parameters: {a: {from: 2, to: 9}}
problem: x - a = 1
stem: {en: "Solve $problem$.", es: "Resuelve $problem$."}
response: {kind: entry, blanks: {x: {form: integer, marks: M1 A1}}}
key: x = a + 1
solution:
  - say: {en: Add., es: Suma.}
    math: x = a + 1
    marks: M1 A1
"""


def _first(bank: Bank, name: str) -> Item:
    """The first item of a template."""
    entry = next(e for e in bank.entries if e.recipe.template.name == name)
    bound = Bound(entry.recipe)
    for found in allowed(bound, 1):
        made = draft(bound, found.arguments, checked=True)
        if made is not None:
            return Instantiator(bound, 1).item(found.position, made, "CODE")
    raise AssertionError(name)


def _template(folder: Path, text: str, language: str = "") -> object:
    path = folder / "sum.yaml"
    path.write_text(text, "utf-8")
    return load_template(path, "sum.yaml", NO_SLIPS, language).template


def _told(folder: Path, text: str) -> set[str]:
    with pytest.raises(InputError) as wrong:
        _template(folder, text)
    return {f"{d.span}: {d.code}" for d in wrong.value.diagnostics}


@pytest.fixture
def bank(tmp_path: Path) -> Path:
    """A copy of the demo bank without its lock."""
    folder = tmp_path / "bank"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("bank.lock"))
    return folder


@pytest.mark.parametrize(
    ("language", "title"),
    [
        ("es", "Completar el cuadrado, álgebra nocturna"),
        ("de-AT", "Quadratische Ergänzung, Abendkurs Algebra"),
    ],
)
def test_the_demo_bank_has_its_templates_translated_and_says_which_it_has_not(
    language: str, title: str, tmp_path: Path
) -> None:
    translated, english = read_bank(DEMO, "bank", language), read_bank(DEMO, "bank")

    assert TRANSLATED == tuple(sorted(entry.recipe.template.name for entry in translated.entries))
    assert () == translated.left_out == english.left_out
    assert title == translated.facts.title

    shutil.copytree(DEMO, tmp_path / "bank")
    template = tmp_path / "bank" / "templates" / "equal-roots.yaml"
    text = template.read_text("utf-8")
    template.write_text(re.sub(r"(?m)^title:\n  en: (.*)\n(?:  .*\n)+", r"title: \1\n", text), "utf-8")
    assert ("equal-roots",) == read_bank(tmp_path / "bank", "bank", language).left_out


@pytest.mark.parametrize(("language", "none"), [("es", "solución real"), ("de", "reelle Lösung")])
@pytest.mark.parametrize("name", TRANSLATED)
def test_an_item_in_another_language_has_the_same_mathematics_and_no_english(
    name: str, language: str, none: str
) -> None:
    translated = _first(read_bank(DEMO, "bank", language), name)
    english = _first(read_bank(DEMO, "bank"), name)

    assert (language, "en") == (translated.about.language, english.about.language)
    assert (english.address, dict(english.values)) == (translated.address, dict(translated.values))
    ours, theirs = translated.parts[0], english.parts[0]
    assert theirs.key.numbers == ours.key.numbers
    assert [line.maths.numbers for line in theirs.solution if line.maths] == [
        line.maths.numbers for line in ours.solution if line.maths
    ]
    told = repr(
        [ours.stem.shape, [line.say for line in ours.solution], [(s.pupil, s.teacher) for s in ours.slips]]
    )
    if isinstance(ours.response, EntryResponse):
        told += repr(ours.response.instruction.shape)
        assert (none in told) == ours.response.tick
    else:
        assert isinstance(ours.response, ChoiceResponse)
    for word in ("Solve", "Write", " the ", "square", "root", "box"):
        assert word not in told


def test_american_words_stand_beside_british_ones() -> None:
    american = _first(read_bank(DEMO, "bank", "en-US"), "monic-even-surd")
    british = _first(read_bank(DEMO, "bank", "en-GB"), "monic-even-surd")

    assert "simplest radical form" in repr(american.parts[0].stem)
    assert "simplest surd form" in repr(british.parts[0].stem)
    assert len(read_bank(DEMO, "bank").entries) == len(read_bank(DEMO, "bank", "en-US").entries)


def test_a_bank_without_a_language_is_told_so() -> None:
    with pytest.raises(InputError) as wrong:
        read_bank(DEMO, "bank", "cy")

    assert ["no-template-in-language"] == [d.code for d in wrong.value.diagnostics]
    assert wrong.value.diagnostics[0].hint.startswith("ask for another, such as --language en; or")


def test_a_template_is_in_a_language_only_where_every_text_is(tmp_path: Path) -> None:
    assert "es" == _template(tmp_path, TEMPLATE, "es").about.language  # type: ignore[attr-defined]
    mixed = TEMPLATE.replace("{en: Add., es: Suma.}", "Add.")
    assert "en" == _template(tmp_path, mixed, "es").about.language  # type: ignore[attr-defined]
    assert "Sumar" == _template(tmp_path, TEMPLATE, "es-MX").about.title  # type: ignore[attr-defined]


def test_a_template_of_another_own_language_needs_no_english(tmp_path: Path) -> None:
    text = TEMPLATE.replace("version: 1", "version: 1\nlanguage: es").replace("en: Add, ", "")

    assert "Sumar" == _template(tmp_path, text).about.title  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("es: Sumar", "Spanish: Sumar", "sum.yaml:3:18: wrong-language"),
        ("es: Sumar", "sp: Sumar", "sum.yaml:3:18: wrong-language"),
        ("version: 1", "version: 1\nlanguage: xx-yy", "sum.yaml:3:11: wrong-language"),
        ("es: Suma.", 'es: ""', "sum.yaml:11:21: empty-text"),
        ("{en: Add., es: Suma.}", "{es: Suma.}", "sum.yaml:11:10: own-language-missing"),
        ('es: "Resuelve $problem$."', 'es: "Resuelve $problme$."', "sum.yaml:7:47: unknown-name"),
        ('es: "Resuelve $problem$."', 'es: "Resuelve $problem."', "sum.yaml:7:46: unclosed-maths"),
    ],
)
def test_what_is_wrong_in_any_language_is_told_at_its_place(
    tmp_path: Path, old: str, new: str, told: str
) -> None:
    assert told in _told(tmp_path, TEMPLATE.replace(old, new))


@pytest.mark.parametrize(
    ("tag", "reason", "hint"),
    [
        ("xx-yy", "`xx` is no language", "write a tag such as en, es or en-US"),
        ("en-UK", "`UK` is no region", "did you mean `en-GB`?"),
        ("eng", "`eng` is written with two letters", "did you mean `en`?"),
        ("sp-MX", "`sp` is no language", "did you mean `es-MX`?"),
        ("en-Latin-GB-9", "", ""),
    ],
)
def test_an_invented_language_is_refused_with_the_nearest_there_is(
    tmp_path: Path, tag: str, reason: str, hint: str
) -> None:
    with pytest.raises(InputError) as wrong:
        _template(tmp_path, TEMPLATE.replace("version: 1", f"version: 1\nlanguage: {tag}"))

    if reason:
        (told,) = [each for each in wrong.value.diagnostics if each.code == "wrong-language"]
        assert f"there is no language tag `{tag}`: {reason}" == told.message
        assert hint == told.hint
    else:
        assert "write a language tag, such as en, es or en-US" in wrong.value.diagnostics[0].hint


def test_a_language_without_words_is_told_once_and_what_will_be_in_english(tmp_path: Path) -> None:
    path = tmp_path / "sum.yaml"
    path.write_text(TEMPLATE.replace("es: ", "fr: "), "utf-8")

    doubts = load_template(path, "sum.yaml", NO_SLIPS).doubts

    assert ["sum.yaml:3:18: no-words-for-language"] == [f"{each.span}: {each.code}" for each in doubts]
    assert "what papers and packages say themselves" in doubts[0].message
    assert "words in en, es and de" in doubts[0].hint


def test_a_bank_in_no_language_there_is_is_refused(bank: Path) -> None:
    path = bank / "bank.yaml"
    text = path.read_text("utf-8")
    assert 1 == text.count("language: en")
    for tag in ("xx-yy", "Spanish"):
        path.write_text(text.replace("language: en", f"language: {tag}"), "utf-8")
        with pytest.raises(InputError) as wrong:
            read_bank(bank, "bank")
        assert "bank/bank.yaml:3:11" in [str(each.span) for each in wrong.value.diagnostics]


def test_a_translation_changes_no_digest_but_its_own(bank: Path) -> None:
    for language in ("", "es"):
        read = read_bank(bank, "bank", language)
        write_lock(Bank(read.facts, str(bank), read.entries, ()), read.used())
    assert len(read_lock(bank)) == 2 * len(read_bank(bank, "bank").entries)

    path = bank / "templates" / "simplify-surd.yaml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("forma más simple", "forma más sencilla"), "utf-8")
    stale = {}
    for language in ("", "es"):
        read = read_bank(bank, "bank", language)
        at = Bank(read.facts, str(bank), read.entries, ())
        stale[language] = [d.code for d in changed(at, read.used(), Level.DOUBTFUL)]

    assert {"": [], "es": ["version-not-raised"]} == stale


def _lock_after(tmp_path: Path, *languages: str) -> set[str]:
    """The entries that builds in these languages add to the demo bank's own."""
    folder = tmp_path / "quadratics"
    shutil.copytree(DEMO, folder, dirs_exist_ok=True)
    for language in languages:
        bank = read_bank(folder, "quadratics", language)
        assert () == changed(bank, bank.entries, Level.WRONG)
        write_lock(bank, bank.entries)
    return read_lock(folder).keys() - read_lock(DEMO).keys()


@pytest.mark.parametrize("language", ["en", "en-GB", "en-US", "es", "es-MX"])
def test_a_build_of_the_demo_bank_in_a_language_it_has_leaves_its_lock_alone(
    tmp_path: Path, language: str
) -> None:
    assert set() == _lock_after(tmp_path, language)


def test_the_lock_names_the_texts_that_were_read_not_the_reader(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "bank.yaml").write_text("bank: sums\ntitle: Sums\n", "utf-8")
    (tmp_path / "templates" / "sum.yaml").write_text(TEMPLATE, "utf-8")
    for language in ("en-US", "es-AR", "es"):
        bank = read_bank(tmp_path, "sums", language)
        write_lock(bank, bank.entries)

    assert {"sum@1", "sum@1/es"} == read_lock(tmp_path).keys()
    american = TEMPLATE.replace("title: {en: Add, es: Sumar}", "title: {en: Add, en-US: Add up, es: Sumar}")
    (tmp_path / "templates" / "sum.yaml").write_text(american, "utf-8")
    bank = read_bank(tmp_path, "sums", "en-US")
    write_lock(bank, bank.entries)
    assert {"sum@1", "sum@1/es", "sum@1/en-US"} == read_lock(tmp_path).keys()


def test_staff_read_the_name_of_a_slip_in_their_language() -> None:
    for language, called in (
        ("", "not halved"),
        ("es", "coeficiente sin dividir entre dos"),
        ("es-MX", "coeficiente sin"),
    ):
        item = _first(read_bank(DEMO, "quadratics", language), "monic-even-surd")
        slips = {slip.name: slip.called for slip in item.parts[0].slips}
        assert slips["not-halved"].startswith(called)


def test_a_slip_without_a_name_in_the_language_of_the_paper_is_told_by_its_sentence() -> None:
    item = _first(read_bank(DEMO, "quadratics", "es"), "monic-even-surd")
    part = item.parts[0]
    nameless = replace(item, parts=(replace(part, slips=tuple(s._replace(title="") for s in part.slips)),))
    facts = PaperFacts("Álgebra", language="es")

    named, told = (pages.document("mark-scheme", [each], facts) for each in (item, nameless))
    assert "<em>coeficiente sin dividir entre dos</em>, vale" in named
    assert "<em>" not in told.partition("Errores frecuentes")[2]
    assert "dos franjas iguales. (vale" in re.sub(r"\s+", " ", told)
    assert "not halved" not in named + told


def test_a_title_changes_no_item_and_so_no_digest(tmp_path: Path) -> None:
    folder = tmp_path / "quadratics"
    shutil.copytree(DEMO, folder)
    untitled = re.sub(r"    title: .*\n", "", (folder / "slips.yaml").read_text("utf-8"))
    (folder / "slips.yaml").write_text(untitled, "utf-8")
    for language in ("", "es"):
        bank = read_bank(folder, "quadratics", language)
        assert () == changed(bank, bank.entries, Level.WRONG)
    assert "" == _first(read_bank(folder, "quadratics", "es"), "monic-even-surd").parts[0].slips[0].called
    assert (
        "sign of half" == _first(read_bank(folder, "quadratics"), "monic-even-surd").parts[0].slips[0].called
    )


WORDS = """\
template: sum
version: 1
title: {en: Cut, es: Cortar}
unknowns: [x]
parameters:
  a: {from: 2, to: 9}
  thing: {rows: [{it: {en: board, es: tabla}, sign: A}, {it: {en: rope, es: cuerda}, sign: B}]}
problem: x - a = 1
stem: {en: "Of a $thing.it$ $thing.sign$ of $x$ m are cut $a$ m. Solve $problem$.",
  es: "De una $thing.it$ $thing.sign$ de $x$ m se cortan $a$ m. Resuelve $problem$."}
response:
  kind: entry
  blanks:
    x: {form: integer, marks: B1, unit: {en: metres, es: metros}}
    answer:
      form: one-of
      marks: B1
      before: {en: It is, es: Es}
      words: [{text: {en: long, es: larga}, when: x > 5}, {text: {en: short, es: corta}, when: x <= 5}]
key: x = a + 1
"""


def _blanks(folder: Path, text: str, language: str) -> tuple[str, str, str]:
    """The first word of the rows, the unit, and what stands before the words."""
    template = _template(folder, text, language)
    assert isinstance(template, Template)
    (rows,) = [parameter.rows for parameter in template.parameters if parameter.rows]
    x, answer = template.parts[0].response.blanks
    assert answer.before is not None
    return rows[0]["it"], x.unit, answer.before.source.text


def test_words_of_rows_units_and_what_stands_before_words_are_read_by_language(tmp_path: Path) -> None:
    assert ("board", "metres", "It is") == _blanks(tmp_path, WORDS, "")
    assert ("tabla", "metros", "Es") == _blanks(tmp_path, WORDS, "es")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("{en: board, es: tabla}", "{en: board}"),
        ("before: {en: It is, es: Es}", "before: It is"),
        ("unit: {en: metres, es: metros}", "unit: {en: metres}"),
    ],
)
def test_one_text_less_and_the_template_is_not_in_the_language(old: str, new: str, tmp_path: Path) -> None:
    assert 1 == WORDS.count(old)

    assert ("board", "metres", "It is") == _blanks(tmp_path, WORDS.replace(old, new), "es")


def test_a_unit_that_stands_alone_serves_every_language(tmp_path: Path) -> None:
    text = WORDS.replace("unit: {en: metres, es: metros}", "unit: m")

    assert ("tabla", "m", "Es") == _blanks(tmp_path, text, "es")
