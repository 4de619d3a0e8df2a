"""Reviews kept between checks: the same as afresh, and looked at again for whatever they came of has changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from shutil import copytree

import pytest

from itembank.bank import reviews as many
from itembank.bank.bank import Entry
from itembank.bank.checking import check
from itembank.bank.kept_reviews import kept_reviews
from itembank.bank.review import Review
from itembank.bank.sources import found_at

ROOT = Path(__file__).parents[3]
NAMES = ("kind-of-roots", "missing-constant", "simplify-surd")


@pytest.fixture
def bank(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small bank in the working folder, as it is mostly named, and a cache of its own."""
    monkeypatch.setenv("ITEMBANK_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "evening"
    copytree(ROOT / "banks" / "quadratics", folder)
    for file in (folder / "templates").rglob("*.yaml"):
        if file.stem not in NAMES:
            file.unlink()
    (folder / "bank.lock").unlink()
    monkeypatch.chdir(tmp_path)
    return Path("evening")


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], list[str]]:
    """Which templates a check looks at."""
    seen: list[str] = []
    review = many.review

    def noting(entry: Entry) -> Review:
        seen.append(entry.recipe.template.name)
        return review(entry)

    monkeypatch.setattr(many, "review", noting)

    def checked(path: Path) -> list[str]:
        seen.clear()
        check([path])
        return sorted(seen)

    return checked


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def test_a_second_check_looks_at_nothing_and_says_the_same(
    bank: Path, looked_at: Callable[[Path], list[str]]
) -> None:
    assert list(NAMES) == looked_at(bank)
    afresh = check([bank])
    assert [] == looked_at(bank)
    again = check([bank])
    assert (again.diagnostics, again.compared) == (afresh.diagnostics, afresh.compared)
    assert all(map(same, again.reviews, afresh.reviews))
    assert all(each.proved > 0 for each in again.reviews)


@pytest.mark.parametrize(
    "name", [path.stem for path in (ROOT / "banks" / "quadratics" / "templates").rglob("*.yaml")]
)
def test_a_review_comes_back_as_it_was(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ITEMBANK_CACHE", str(tmp_path))
    (path,) = (ROOT / "banks" / "quadratics" / "templates").rglob(f"{name}.yaml")
    (entry,) = found_at(path).entries
    kept = kept_reviews(path)
    assert kept is not None
    made = many.review(entry)
    kept.keep(entry, made)
    assert same(kept.of(entry), made)


def same(one: Review | None, other: Review) -> bool:
    """Whether reviews say the same; templates are told by their text."""
    assert one is not None
    assert one is not other
    texts = [(each.template.path, each.template.source_lines) for each in (one, other)]
    asked = [each.asked and each.asked.questions for each in (one, other)]
    rest = [
        [getattr(each, field.name) for field in fields(Review) if field.name not in {"template", "asked"}]
        for each in (one, other)
    ]
    return all(first == second for first, second in (texts, asked, rest))


def test_only_the_template_that_was_changed_is_looked_at(
    bank: Path, looked_at: Callable[[Path], list[str]]
) -> None:
    looked_at(bank)
    change(bank / "templates" / "simplify-surd.yaml", "version: 1", "version: 2")
    assert ["simplify-surd"] == looked_at(bank)
    (bank / "templates" / "surds").mkdir()
    (bank / "templates" / "simplify-surd.yaml").rename(bank / "templates" / "surds" / "simplify-surd.yaml")
    assert ["simplify-surd"] == looked_at(bank)


@pytest.mark.parametrize("file", ["bank.yaml", "slips.yaml"])
def test_what_templates_share_has_each_looked_at_again(
    bank: Path, looked_at: Callable[[Path], list[str]], file: str
) -> None:
    looked_at(bank)
    with (bank / file).open("a", encoding="utf-8") as opened:
        opened.write("\n# looked through\n")
    assert list(NAMES) == looked_at(bank)


def test_weights_from_sittings_have_each_looked_at_again(
    bank: Path, looked_at: Callable[[Path], list[str]]
) -> None:
    looked_at(bank)
    (bank / "calibration.yaml").write_text("# of no sitting yet\n", "utf-8")
    assert list(NAMES) == looked_at(bank)


def test_a_damaged_entry_is_made_afresh(
    bank: Path, looked_at: Callable[[Path], list[str]], tmp_path: Path
) -> None:
    looked_at(bank)
    entries = sorted((tmp_path / "cache").rglob("*.review"))
    assert len(NAMES) == len(entries)
    whole = entries[0].read_bytes()
    entries[0].write_bytes(whole[:-40] + bytes([whole[-40] ^ 1]) + whole[-39:])
    assert 1 == len(looked_at(bank))
    assert [] == looked_at(bank)


def test_where_keeping_is_off_each_is_looked_at(
    bank: Path, looked_at: Callable[[Path], list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ITEMBANK_CACHE", "off")
    assert list(NAMES) == looked_at(bank)
    assert list(NAMES) == looked_at(bank)


def test_nothing_is_kept_of_a_bank_with_code_of_others(bank: Path) -> None:
    assert kept_reviews(bank) is not None
    with (bank / "bank.yaml").open("a", encoding="utf-8") as opened:
        opened.write("extensions: [tidal]\n")
    assert kept_reviews(bank) is None


def test_a_file_that_is_saved_during_the_check_is_looked_at_the_next_time(
    bank: Path, looked_at: Callable[[Path], list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    from itembank.bank import checking

    def saved_meanwhile(path: Path) -> object:
        found = found_at(path)
        with (bank / "slips.yaml").open("a", encoding="utf-8") as opened:
            opened.write("# saved\n")
        return found

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(checking, "found_at", saved_meanwhile)
        looked_at(bank)
    assert list(NAMES) == looked_at(bank)


def test_several_processes_keep_what_one_keeps(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ITEMBANK_CACHE", str(tmp_path))
    folder = ROOT / "banks" / "quadratics"
    afresh = check([folder], workers=2)
    kept = check([folder], workers=2)
    assert all(map(same, kept.reviews, afresh.reviews))
    assert len(afresh.reviews) == len(list(tmp_path.rglob("*.review")))


def test_a_slip_file_is_named_as_it_is_seen_from_here(
    bank: Path, looked_at: Callable[[Path], list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(bank / "templates")
    here = Path("kind-of-roots.yaml")
    assert ["kind-of-roots"] == looked_at(here)
    assert [] == looked_at(here)
    monkeypatch.chdir("..")
    here.write_bytes((Path("templates") / here).read_bytes())
    assert ["kind-of-roots"] == looked_at(here)
