"""What the record knows: which item is the same again, uses, groups, days; tables of forms and files of sittings."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from itembank.errors import InputError
from itembank.library import draw
from itembank.store import reading
from itembank.store.exposure import exposure
from itembank.store.items import RecordedItem, asked, recorded_item
from itembank.store.reading import items_table, read_items, read_record, sitting_yaml
from itembank.store.record import Record, SatForm, Sitting, same_group
from itembank.templates.record_model import load_sitting

ROOT = Path(__file__).parents[3]


def item(template: str, asks: str, code: str = "BCDFGHJK2") -> RecordedItem:
    return RecordedItem(code, template, 1, 1, 7, 2, asks, "0" * 64)


def sitting(on: str, group: str, *forms: str) -> Sitting:
    return Sitting(f"{on}-{group}", group, on, tuple(SatForm(form, "", "0" * 64) for form in forms))


RECORD = Record(
    (
        sitting("2026-01-20", "Group A", "autumn"),
        sitting("2026-02-03", "Group B", "autumn"),
        sitting("2026-05-19", "group a", "spring-a", "spring-b"),
    ),
    {
        "autumn": (item("surds", "sqrt(12)"), item("roots", "x^2 = 9")),
        "spring-a": (item("surds", "sqrt(12)", "OTHER"), item("vertex", "x^2 + 1")),
        "spring-b": (item("vertex", "x^2 + 1"), item("vertex", "x^2 + 2")),
    },
)


def test_a_use_is_a_sitting_that_had_the_item_and_the_same_question_is_the_same_item() -> None:
    found = {each.item.asks: (len(each.sittings), each.groups, each.item.code) for each in RECORD.uses()}

    assert (3, ("group a", "Group B"), "OTHER") == found["sqrt(12)"]
    assert (2, ("Group A", "Group B"), "BCDFGHJK2") == found["x^2 = 9"]
    assert 1 == found["x^2 + 1"][0]  # shared by two forms of one sitting
    assert ["sqrt(12)", "x^2 = 9", "x^2 + 1", "x^2 + 2"] == [each.item.asks for each in RECORD.uses()]


def test_sittings_are_told_apart_by_group_and_day() -> None:
    assert ["2026-01-20", "2026-05-19"] == [each.on for each in RECORD.among(["GROUP A"]).sittings]
    assert ["2026-02-03", "2026-05-19"] == [each.on for each in RECORD.among(since="2026-02-03").sittings]
    assert () == RECORD.among(["Group B"], "2026-02-04").sittings
    assert ("group a", "Group B") == RECORD.groups()
    assert same_group("10 A/1", "10 a-1")
    assert not same_group("Group A", "Group B")
    assert not same_group("1 11", "11 1")


def test_exposure_tells_each_template_what_was_never_used_and_what_was_used_too_often() -> None:
    found = exposure(RECORD, ["surds", "vertex", "discriminant"], limit=1)

    rows = [(each.template, each.items, each.uses, each.most, each.last) for each in found.templates]
    assert ("surds", 1, 3, 3, "2026-05-19") == rows[0]
    assert ("vertex", 2, 2, 1, "2026-05-19") == rows[1]
    assert ("discriminant", 0, 0, 0, "") == rows[2]
    assert ("roots", False) == (found.templates[3].template, found.templates[3].is_there)
    assert ("discriminant",) == found.never
    assert ["sqrt(12)", "x^2 = 9"] == [each.item.asks for each in found.over]


@pytest.mark.parametrize("bank", ["quadratics", "kinds"])
def test_items_of_one_template_are_told_apart_by_what_they_ask(bank: str) -> None:
    entries = [drawn.as_data() for drawn in draw(ROOT / "banks" / bank, count=130)]
    found = {recorded_item(entry).question for entry in entries}

    assert len(found) >= 0.97 * len(entries) >= 120


def test_words_options_and_order_do_not_make_another_question() -> None:
    parts: list[dict[str, Any]] = [
        {
            "problem": {"plain": ""},
            "stem": "Put 3, 1 and 2 in order.",
            "things": [{"plain": "3"}, {"plain": "1"}, {"plain": "2"}],
            "options": [{"plain": "A"}],
        }
    ]
    other = [{**parts[0], "stem": "Order 1, 2, 3.", "things": parts[0]["things"][::-1], "options": []}]

    assert "[1; 2; 3]" == asked(parts) == asked(other)


def test_a_table_of_items_is_read_as_it_was_written() -> None:
    items = (item("surds", "-x^2 + 'a' = \"b\", c"), item("roots", "'=1"), item("roots", "@\nx"))
    text = items_table(items)

    assert items == read_items(text.encode(), Path("form.csv"))
    for line in text.splitlines()[1:3]:
        assert line.split(",")[6].lstrip('"')[0] == "'"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("A,surds,1,1,7,2,sqrt(12)", "7 cells stand here, not 8"),
        ("A,surds,one,1,7,2,sqrt(12)," + "0" * 64, "the version `one` is no whole number"),
        ("A,surds,1,1,7,2,sqrt(12)," + "g" * 64, "is no digest"),
        ('A,surds,1,1,7,2,"sqrt(12)', "unexpected end"),
        ("<<<<<<< here", "1 cells stand here"),
    ],
)
def test_a_damaged_table_is_told_at_its_line(line: str, told: str) -> None:
    text = items_table([item("roots", "x = 1")]) + line

    with pytest.raises(InputError) as wrong:
        read_items(text.encode(), Path("form.csv"))

    (diagnostic,) = wrong.value.diagnostics
    assert ("broken-form", 3) == (diagnostic.code, diagnostic.span.line if diagnostic.span else 0)
    assert told in diagnostic.message
    assert "version control" in diagnostic.hint


def test_a_sitting_is_read_as_it_was_written(tmp_path: Path) -> None:
    forms = (SatForm("half-term-a-1234abcd", "It's: a #test", "a" * 64),)
    path = tmp_path / "s.yaml"
    path.write_text(sitting_yaml(Sitting("s", "Évening: 'B', #2", "2026-06-12", forms, "none")), "utf-8")

    found = load_sitting(path, "s.yaml")

    assert ("Évening: 'B', #2", "2026-06-12", "none") == (found.group, found.day, found.note)
    assert [("half-term-a-1234abcd", "It's: a #test", "a" * 64)] == [
        (f.form, f.title, f.digest) for f in found.forms
    ]


@pytest.mark.parametrize(
    ("old", "new", "place", "told"),
    [
        ("2026-06-12", "2026-06-31", "4:6", "no such day"),
        ("2026-06-12", "12.6.2026", "4:6", "year-month-day"),
        ("group: 'B'", "group: ''", "3:8", "the name of a group"),
        ("day: ", "on: ", "3:1", "day"),
        ("day: ", "<<<<<<< ours\nday: ", "4:1", ""),
        ("aaaa\n", "\n", "8:13", ""),
        ("  - form: f", "  - form: ../f", "6:11", ""),
    ],
)
def test_a_damaged_sitting_is_told_at_its_place(
    tmp_path: Path, old: str, new: str, place: str, told: str
) -> None:
    folder = tmp_path / "record" / "sittings"
    folder.mkdir(parents=True)
    text = sitting_yaml(Sitting("s", "B", "2026-06-12", (SatForm("f", "", "a" * 64),)))
    (folder / "s.yaml").write_text(text.replace(old, new, 1), "utf-8")

    with pytest.raises(InputError) as wrong:
        read_record(tmp_path, "bank")

    diagnostic = wrong.value.diagnostics[0]
    assert str(diagnostic.span) == f"bank/record/sittings/s.yaml:{place}"
    assert told in diagnostic.message + diagnostic.hint


def test_forms_that_are_sat_twice_or_missing_are_told(tmp_path: Path) -> None:
    folder = tmp_path / "record" / "sittings"
    folder.mkdir(parents=True)
    form = SatForm("f", "", "a" * 64)
    (folder / "a.yaml").write_text(sitting_yaml(Sitting("a", "B", "2026-06-12", (form, form))), "utf-8")
    (folder / "b.yaml").write_text(sitting_yaml(Sitting("b", "B", "2026-06-12", (form,))), "utf-8")

    with pytest.raises(InputError) as wrong:
        read_record(tmp_path)

    assert ["same-form-twice", "form-missing"] == [each.code for each in wrong.value.diagnostics]


def test_a_record_of_too_many_sittings_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MOST_SITTINGS", 0)
    (tmp_path / "record" / "sittings").mkdir(parents=True)
    (tmp_path / "record" / "sittings" / "a.yaml").write_text("", "utf-8")

    with pytest.raises(InputError) as wrong:
        read_record(tmp_path)

    assert ["too-many-sittings"] == [each.code for each in wrong.value.diagnostics]


def test_a_bank_without_a_record_has_an_empty_one(tmp_path: Path) -> None:
    assert Record() == read_record(tmp_path)
    assert () == Record().uses()
    assert json.dumps(Record().groups()) == "[]"
