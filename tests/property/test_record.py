"""Laws of the record: what is recorded and taken back leaves nothing; what is recorded is never drawn again."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from datetime import date
from functools import cache
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.bank.bank import LeaveOut
from itembank.bank.cache import load_bank
from itembank.bank.draw import Selected, pool, select
from itembank.build.production import Maker, Wanted
from itembank.build.used_before import Unused, asks
from itembank.generator.bound import Bound
from itembank.items import Item
from itembank.library import BuildRequest, build, draw, record, restore, unrecord, used
from itembank.store.before import Before, recorded_before
from itembank.store.items import RecordedItem, recorded_item
from itembank.store.reading import items_table, read_items, sitting_yaml
from itembank.store.record import SatForm, Sitting
from itembank.templates.record_model import load_sitting

BANKS = Path(__file__).resolve().parents[2] / "banks"
texts = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30)
words = texts.filter(lambda text: any(letter.isalnum() for letter in text))
days = st.dates(date(1, 1, 1), date(9999, 12, 31)).map(date.isoformat)
digests = st.text("0123456789abcdef", min_size=64, max_size=64)
numbers = st.integers(0, 2**63)


@cache
def bound_bank(name: str) -> tuple[Maker, list[Bound]]:
    bank = load_bank(BANKS / name, name)
    bounds = [Bound(entry.recipe) for entry in bank.used()]
    return Maker(bank, 1, b"0" * 32, Wanted((), staff=False), bounds), bounds


def items_of(name: str, selected: Sequence[Selected], seed: int) -> list[Item]:
    maker, bounds = bound_bank(name)
    own = Maker(maker.bank, seed, b"0" * 32, maker.wanted, bounds)
    return [own.item(s.entry, s.position, s.band, s.draft) for s in selected]


def as_recorded(item: Item) -> RecordedItem:
    address = item.address
    return RecordedItem(
        item.code,
        address.template,
        address.version,
        address.seed,
        address.position,
        item.marks,
        asks(item),
        "0" * 64,
    )


@settings(max_examples=15)
@given(st.integers(0, 9), st.integers(0, 9), st.integers(1, 60), st.integers(1, 60))
def test_no_item_that_was_used_is_drawn_again(first: int, second: int, before: int, after: int) -> None:
    maker, bounds = bound_bank("quadratics")
    known = [
        as_recorded(item) for item in items_of("quadratics", select(maker.bank, bounds, first, before), first)
    ]
    free = Unused(maker.bank, bounds, second, Before.of(known))
    selected = select(maker.bank, bounds, second, after, is_free=free)
    pooled = pool(maker.bank, bounds, second, [3] * len(bounds), free)

    assert after == len(selected)
    for drawn in (selected, pooled):
        found = [as_recorded(item) for item in items_of("quadratics", drawn, second)]
        assert not {each.question for each in found} & {each.question for each in known}
        assert not {each.address for each in found} & {each.address for each in known}


@settings(max_examples=10)
@given(st.integers(0, 99))
def test_where_nothing_was_used_the_same_items_are_drawn(seed: int) -> None:
    maker, bounds = bound_bank("quadratics")
    free = Unused(maker.bank, bounds, seed, Before())

    assert select(maker.bank, bounds, seed, 40) == select(maker.bank, bounds, seed, 40, is_free=free)
    assert free.passed_over == 0


@pytest.mark.parametrize("name", ["quadratics", "kinds", "algebra"])
def test_what_an_item_asks_is_the_same_from_the_item_and_from_its_record(name: str) -> None:
    drawn = list(islice(draw(BANKS / name, count=300, seed=3), 300))

    assert len(drawn) == 300
    for item, proof in drawn:
        entry = type(next(iter(drawn)))(item, proof).as_data()
        assert recorded_item(entry).asks == asks(item)
        assert recorded_item(entry).address == str(item.address)


@given(
    st.lists(
        st.builds(RecordedItem, texts, texts, numbers, numbers, numbers, numbers, texts, digests), min_size=1
    )
)
def test_a_table_of_items_is_read_as_it_was_written(items: list[RecordedItem]) -> None:
    assert tuple(items) == read_items(items_table(items).encode(), Path("form.csv"))


@given(words, days, texts, st.lists(st.tuples(st.from_regex(r"[a-z0-9]+(-[a-z0-9]+)*", fullmatch=True), texts, digests),
                                    min_size=1, unique_by=lambda form: form[0]))  # fmt: skip
def test_a_sitting_is_read_as_it_was_written(
    group: str, on: str, note: str, forms: list[tuple[str, str, str]]
) -> None:
    written = Sitting("s", group, on, tuple(SatForm(*form) for form in forms), note)
    with TemporaryDirectory() as folder:
        path = Path(folder, "s.yaml")
        path.write_text(sitting_yaml(written), "utf-8", newline="\n")
        found = load_sitting(path, "s.yaml")

    assert (" ".join(group.split()), on, " ".join(note.split())) == (found.group, found.day, found.note)
    assert [(f.form, f.title, f.digest) for f in found.forms] == [
        (name, " ".join(title.split()), digest) for name, title, digest in forms
    ]


@cache
def a_bank_with_builds() -> tuple[TemporaryDirectory[str], Path, tuple[Path, ...]]:
    kept = TemporaryDirectory()
    folder = Path(kept.name)
    shutil.copytree(BANKS / "quadratics", folder / "bank")
    builds = tuple(folder / f"quiz-{seed}" for seed in (1, 2))
    for seed, out in enumerate(builds, 1):
        build(BuildRequest(folder / "bank", out, count=5, seed=seed, formats=("json",)))
    return kept, folder / "bank", builds


@settings(max_examples=15)
@given(st.data())
def test_sittings_come_and_go_and_leave_nothing(data: st.DataObject) -> None:
    _, bank, builds = a_bank_with_builds()
    shutil.rmtree(bank / "record", ignore_errors=True)
    before = sorted(bank.rglob("*"))
    sat = data.draw(
        st.lists(st.tuples(st.sampled_from(builds), st.sampled_from("AB"), days), min_size=1, max_size=4)
    )
    names = {}
    for out, group, on in sat:
        kept = record(out, into=bank, group=group, on=on)
        assert kept.is_new == ((out, group, on) not in names)
        names[out, group, on] = kept.sitting.name
    found = used(bank)
    assert sorted(names.values()) == sorted(each.name for each in found.sittings)
    assert 5 * len(names) == sum(len(each.sittings) for each in found.uses())
    kept_out, _ = recorded_before(bank, LeaveOut())
    assert kept_out.questions == {each.item.question for each in found.uses()}
    for (out, _, _), name in data.draw(st.permutations(list(names.items()))):
        with TemporaryDirectory() as folder:
            restore(bank, name, Path(folder, "back"))
            assert (out / "staff/items.json").read_bytes() == Path(
                folder, "back/staff/items.json"
            ).read_bytes()
        unrecord(bank, name)
    assert before == sorted(bank.rglob("*"))
