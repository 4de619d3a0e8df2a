"""Banks as folders: what is wrong in any of their files, told at once and at its place; secrets; bounded searches."""

from __future__ import annotations

import io
import os
import pickle
import re
import shutil
from pathlib import Path

import pytest

from itembank.bank import bank as bank_room
from itembank.bank import cache, disk_cache, draw, review, sources
from itembank.bank.bank import Bank, Entry, read_bank, read_what_can_be
from itembank.bank.draw import select
from itembank.bank.predictions import WHOLE, spreads
from itembank.bank.secret import secret_of
from itembank.errors import InputError, NotEnoughItems
from itembank.generator import counting, space
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.item_codes import OPEN_SECRET
from itembank.templates.loader import load_template

QUADRATICS = Path(__file__).resolve().parents[3] / "banks" / "quadratics"
GOOD = Path(__file__).resolve().parents[2] / "templates" / "good"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A good bank of two templates."""
    place = tmp_path / "bank"
    (place / "templates").mkdir(parents=True)
    for name in ("choice.yaml", "entry.yaml"):
        shutil.copyfile(GOOD / name, place / "templates" / name)
    for name in ("slips.yaml", "bank.yaml"):
        shutil.copyfile(GOOD / name, place / name)
    return place


def codes(folder: Path) -> list[tuple[str, int, str]]:
    """(file, line, code) of everything that is wrong with a bank."""
    with pytest.raises(InputError) as raised:
        read_bank(folder, "bank")
    return [(Path(d.span.path).name, d.span.line, d.code) for d in raised.value.diagnostics if d.span]


def spoil(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert 1 == text.count(old)
    path.write_text(text.replace(old, new), "utf-8")


def read(folder: Path) -> Bank:
    return read_bank(folder, "bank")


def test_a_good_bank_is_read_without_a_word(folder: Path) -> None:
    bank = read(folder)

    assert ("good-bank", 12, ("qti3", "html")) == (bank.facts.name, bank.facts.count, bank.facts.formats)
    assert ["good-choice", "good-entry"] == [entry.recipe.template.name for entry in bank.entries]
    assert ["good-entry", "good-choice"] == [entry.recipe.template.name for entry in bank.used()]
    assert () == bank.doubts


@pytest.mark.parametrize(
    ("papers", "told"),
    [
        ("no", "papers allow no calculator, and these templates say `calculator: yes`: `good-choice`"),
        ("yes", None),
        ("either", None),
    ],
)
def test_papers_without_the_calculator_that_a_template_needs_are_doubtful(
    folder: Path, papers: str, told: str | None
) -> None:
    """A sum with compound interest on a paper whose front page forbids calculators."""
    choice = folder / "templates" / "choice.yaml"
    choice.write_text(
        re.sub("(?m)^calculator: .*\n", "", choice.read_text("utf-8")) + "calculator: yes\n", "utf-8"
    )
    with (folder / "bank.yaml").open("a", encoding="utf-8") as file:
        file.write(f"paper:\n  date: 12 June\n  calculator: {papers}\n")

    found = read(folder).doubts

    assert ([told] if told else []) == [each.message for each in found]
    assert all(
        each.excerpt == f"  calculator: {papers}" and each.code == "calculator-differs" for each in found
    )


def test_topics_have_titles_in_the_language_that_is_asked_for(folder: Path) -> None:
    with (folder / "bank.yaml").open("a", encoding="utf-8") as file:
        file.write("topics:\n  quadratics/completing-the-square: {title: {en: Squares, es: Cuadrados}}\n")

    for language, title in (("", "Squares"), ("es", "Cuadrados"), ("de", "Squares")):
        bank = read_what_can_be(folder, "bank", language)
        assert bank.facts is not None
        assert bank.problems == []
        titles = {entry.recipe.template.about.topic_titles for entry in bank.entries}
        assert titles == {
            (("quadratics/completing-the-square", title),),
            (),
        }  # one template has another topic


def test_a_title_for_a_topic_that_no_template_has_is_doubtful(folder: Path) -> None:
    with (folder / "bank.yaml").open("a", encoding="utf-8") as file:
        file.write("topics:\n  quadratics/completing-the-squares: {title: Squares}\n")

    (found,) = read(folder).doubts

    assert "unknown-topic" == found.code
    assert found.span.column == 3
    assert "nearest: quadratics/completing-the-square" == found.hint


def test_titles_of_more_topics_than_the_bank_has_do_no_harm_where_each_of_its_own_has_one(
    folder: Path,
) -> None:
    used = {topic for entry in read(folder).entries for topic in entry.recipe.template.about.topics}
    with (folder / "bank.yaml").open("a", encoding="utf-8") as file:
        file.write("topics:\n" + "".join(f"  {name}: {{title: T}}\n" for name in (*sorted(used), "circles")))

    assert read(folder).doubts == ()


def test_papers_with_a_calculator_where_one_spoils_the_task_are_doubtful(folder: Path) -> None:
    choice = folder / "templates" / "choice.yaml"
    choice.write_text(
        re.sub("(?m)^calculator: .*\n", "", choice.read_text("utf-8")) + "calculator: no\n", "utf-8"
    )
    with (folder / "bank.yaml").open("a", encoding="utf-8") as file:
        file.write("paper: {calculator: yes}\n")

    (found,) = read(folder).doubts
    assert (
        "papers allow a calculator, and these templates say `calculator: no`: `good-choice`" == found.message
    )


def test_the_spread_of_a_template_reaches_as_far_as_those_of_its_bands() -> None:
    """Each is of a sample of its own, and no band is easier than the whole of which it is one."""
    found = spreads({WHOLE: (-500, 100, 200), "easier": (-700, -600), "harder": (300, 400)})

    assert (-700, 100, 400) == (found[WHOLE].least, found[WHOLE].median, found[WHOLE].greatest)
    assert (-700, -600) == (found["easier"].least, found["easier"].greatest)


def test_a_key_that_a_template_does_not_use_is_not_in_its_digest(folder: Path) -> None:
    """So that a product with more keys still knows the templates that items were written from."""
    (choice, _) = read(folder).entries

    assert "40ed3d3b34a2681bbf163a3e8ad6b5c6" == choice.recipe.template.digest


def test_mistakes_of_every_file_of_a_bank_are_told_at_once(folder: Path) -> None:
    spoil(folder / "bank.yaml", "seed: 1", "sed: 1")
    spoil(folder / "templates" / "choice.yaml", "key: x = h", "key: x = hh")
    spoil(folder / "templates" / "entry.yaml", "key: x = p", "key: x == p")

    assert [
        ("bank.yaml", 6, "unknown-key"), ("choice.yaml", 27, "unknown-name"), ("entry.yaml", 16, "double-equals"),
    ] == codes(folder)  # fmt: skip


def test_a_slip_file_that_is_wrong_is_told_without_blaming_the_templates(folder: Path) -> None:
    spoil(folder / "slips.yaml", "value: x = m", "value: x = mm")

    assert [("slips.yaml", 16, "unknown-name")] == codes(folder)


def test_two_templates_with_one_name_are_told(folder: Path) -> None:
    shutil.copyfile(GOOD / "entry.yaml", folder / "templates" / "other.yaml")

    assert [("other.yaml", 1, "duplicate-template")] == codes(folder)


def test_a_folder_without_a_bank_file_is_no_bank(tmp_path: Path) -> None:
    assert [("bank", 1, "not-a-bank")] == codes(tmp_path)


def test_a_bank_without_a_template_is_told(folder: Path) -> None:
    shutil.rmtree(folder / "templates")

    assert ("bank.yaml", 1, "no-templates") in codes(folder)


def test_templates_that_lie_beside_the_bank_file_are_told_where_to_go(folder: Path) -> None:
    for path in sorted((folder / "templates").glob("*.yaml")):
        path.rename(folder / path.name)
    names = sorted(
        path.name for path in folder.glob("*.yaml") if path.name not in {"bank.yaml", "slips.yaml"}
    )

    with pytest.raises(InputError) as wrong:
        read_bank(folder, "bank")

    (told,) = [each for each in wrong.value.diagnostics if each.code == "no-templates"]
    assert told.hint.startswith(f"templates lie in the folder templates/ of the bank: move {names[0]}")


def test_more_files_than_the_bound_are_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bank_room, "MOST_FILES", 1)
    monkeypatch.setattr(sources, "MOST_FILES", 1)

    assert [("bank.yaml", 1, "too-many-files")] == codes(folder)
    with pytest.raises(InputError, match="holds too many files"):
        sources.entries_of(folder / "templates")


# secrets


@pytest.mark.parametrize(
    ("secret", "code"),
    [
        ("../secret.txt", "secret-outside"),
        ("short.txt", "secret-too-short"),
        ("templates", "secret-unreadable"),
    ],
)
def test_a_secret_that_cannot_be_used_is_told(folder: Path, secret: str, code: str) -> None:
    (folder / "short.txt").write_text("abc", "utf-8")
    spoil(folder / "bank.yaml", "seed: 1\n", f"seed: 1\nsecret: {secret}\n")

    with pytest.raises(InputError) as raised:
        secret_of(read(folder), create=True)

    assert [code] == [each.code for each in raised.value.diagnostics]


def test_a_secret_outside_is_told_at_its_line_by_check(folder: Path) -> None:
    spoil(folder / "bank.yaml", "seed: 1\n", "seed: 1\nsecret: ../secret.txt\n")
    lines = (folder / "bank.yaml").read_text("utf-8").splitlines()

    assert [("bank.yaml", 1 + lines.index("secret: ../secret.txt"), "secret-outside")] == codes(folder)


def test_a_secret_is_made_once_and_only_when_asked(folder: Path) -> None:
    spoil(folder / "bank.yaml", "seed: 1\n", "seed: 1\nsecret: private/codes.txt\n")
    bank = read(folder)

    assert (OPEN_SECRET, False) == secret_of(bank, create=False)
    first = secret_of(bank, create=True)
    assert first == secret_of(bank, create=False)
    assert first[1]
    assert first[0] != OPEN_SECRET


# draws and bounds


def test_a_band_that_cannot_give_its_count_is_told_with_the_number_there_is(folder: Path) -> None:
    spoil(folder / "bank.yaml", "easier: 4", "easier: 9999")
    spoil(folder / "bank.yaml", "count: 12\n", "")
    bank = read(folder)

    with pytest.raises(NotEnoughItems) as raised:
        select(bank, [Bound(entry.recipe) for entry in bank.used()], 1, None)

    (told,) = raised.value.diagnostics
    assert "not-enough-items" == told.code
    assert 202 == raised.value.possible  # 200 of the band `easier`, 2 of `harder`
    assert told.span is not None
    assert "bank/templates/choice.yaml" == told.span.path


def test_what_is_left_over_goes_to_no_band_more_than_to_another(folder: Path) -> None:
    text = (folder / "bank.yaml").read_text("utf-8")
    (folder / "bank.yaml").write_text(text.partition("templates:")[0], "utf-8")
    templates = folder / "templates"
    choice = (templates / "choice.yaml").read_text("utf-8")
    for at in range(16):
        named = choice.replace("template: good-choice", f"template: choice-{at}")
        (templates / f"choice-{at}.yaml").write_text(named, "utf-8")

    def bands(count: int) -> dict[str, str]:
        bank = read(folder)
        chosen = select(bank, [Bound(entry.recipe) for entry in bank.used()], 1, count)
        names = [entry.recipe.template.name for entry in bank.used()]
        return {names[each.entry]: each.band for each in chosen if each.band}

    all_of_them = bands(18)
    assert 17 == len(all_of_them)
    assert {"easier", "harder"} == set(all_of_them.values())
    assert 5 <= list(all_of_them.values()).count("easier") <= 12
    (templates / "choice-3.yaml").unlink()
    left = bands(17)
    assert left == {name: band for name, band in all_of_them.items() if name != "choice-3"}


def rare(tmp_path: Path) -> Entry:
    """A template that fulfils its only line at one of 10 000 assignments."""
    text = (GOOD / "entry.yaml").read_text("utf-8")
    text = text.replace("p: {from: -6, to: 5}", "p: {from: 1, to: 5000}").replace(
        "d: {from: 1, to: 4}", "d: [1, 2]"
    )
    text = text.replace("constraints: [b != 0, c != 0]", "constraints: [p = 4999, d = 2]")
    path = tmp_path / "rare.yaml"
    path.write_text(text, "utf-8")
    return Entry(make_recipe(load_template(path, "rare.yaml", {}).template), "", "rare.yaml")


def test_a_walk_without_a_find_ends_and_tells_the_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bound = Bound(rare(tmp_path).recipe)
    assert 1 == len(list(space.walk(bound, 1)))
    monkeypatch.setattr(space, "MOST_FRUITLESS", 100)

    with pytest.raises(InputError) as raised:
        list(space.walk(bound, 1))

    (told,) = raised.value.diagnostics
    assert ("too-rare", 10) == (told.code, told.span.line if told.span else 0)


def test_a_box_too_large_to_count_is_estimated_and_a_rare_template_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = rare(tmp_path)
    assert 1 == review.review(entry).count.feasible
    monkeypatch.setattr(counting, "COUNTED_UP_TO", 9_000)
    monkeypatch.setattr(counting, "SAMPLED", 50)
    monkeypatch.setattr(review, "SAMPLED", 50)

    found = review.review(entry)

    assert (10_000, 0, False) == (found.count.size, found.count.feasible, found.count.exact)
    assert ["too-rare"] == [each.code for each in found.diagnostics]


def test_an_estimate_comes_close_to_the_count(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    recipe = make_recipe(load_template(GOOD / "words.yaml", "words.yaml", {}).template)
    counted = counting.Counter(Bound(recipe)).count()
    monkeypatch.setattr(counting, "COUNTED_UP_TO", 100)
    monkeypatch.setattr(counting, "SAMPLED", 300)

    estimated = counting.Counter(Bound(recipe)).count()

    assert (True, False) == (counted.exact, estimated.exact)
    assert counted.allowed * 9 <= estimated.allowed * 10 <= counted.allowed * 11


# the cache


def test_an_entry_of_the_cache_may_name_nothing_but_our_own_data(folder: Path) -> None:
    bank = read(folder)
    kept = disk_cache.Reader(io.BytesIO(pickle.dumps(bank, protocol=5))).load()
    assert bank.facts == kept.facts
    assert [e.recipe.template.digest for e in bank.entries] == [
        e.recipe.template.digest for e in kept.entries
    ]

    for module, name in (("os", "system"), ("builtins", "eval"), ("itembank.bank.cache", "load_bank"),
                         ("itembank.generator.runtime", "run"), ("itembank.cli.main", "main")):  # fmt: skip
        with pytest.raises(pickle.UnpicklingError):
            disk_cache.Reader(io.BytesIO(f"c{module}\n{name}\n.".encode())).load()
    with pytest.raises(pickle.UnpicklingError, match="no enumeration"):
        disk_cache.Reader(
            io.BytesIO(b"cbuiltins\ngetattr\n(cfractions\nFraction\nS'limit_denominator'\ntR.")
        ).load()


@pytest.mark.parametrize("count", [60, 400, 5_000])
def test_several_processes_select_the_same_positions(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where a template cannot give its share, as with 5000 of the demo bank."""
    monkeypatch.setattr(draw, "MANY", 1)
    bank = read_bank(QUADRATICS, "quadratics")
    bounds = [Bound(entry.recipe) for entry in bank.used()]

    def selected(workers: int) -> list[tuple[int, int, str]]:
        return [(s.entry, s.position, s.band) for s in select(bank, bounds, 3, count, workers)]

    assert selected(1) == selected(2)


def test_a_template_that_leads_nowhere_is_told_not_passed_over(folder: Path) -> None:
    (folder / "templates" / "lost.yaml").symlink_to(folder / "gone.yaml")
    os.mkfifo(folder / "templates" / "pipe.yaml")

    told = {(d.code, d.span.path.rpartition("/")[2]) for d in read_what_can_be(folder, "bank").problems}

    assert {("not-readable", "lost.yaml"), ("not-readable", "pipe.yaml")} == told
    with pytest.raises(InputError):  # nor waited for, nor taken from the cache
        cache.load_bank(folder, "bank")
