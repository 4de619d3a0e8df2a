"""Class lists: what is read, and what is told at which line. The names are invented."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from itembank.build.class_list import Pupil, read_class_list
from itembank.errors import InputError
from tests.workbook_samples import rows, workbook


def _list(folder: Path, text: str | bytes) -> Path:
    path = folder / "class.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_letters_go_round_where_none_stands(tmp_path: Path) -> None:
    path = _list(tmp_path, 'name,group\nAda Marsh,1\nBo Reed,1\n\n"Teal, Cy",2\n')

    assert (Pupil("Ada Marsh", "A"), Pupil("Bo Reed", "B"), Pupil("Teal, Cy", "A")) == read_class_list(
        path, 2
    )


def test_a_column_of_versions_is_kept(tmp_path: Path) -> None:
    path = _list(tmp_path, b"\xef\xbb\xbfVersion,Name\r\nb,Ada Marsh\r\n,Bo Reed\r\n")

    assert (Pupil("Ada Marsh", "B"), Pupil("Bo Reed", "B")) == read_class_list(path, 2)


def test_a_name_is_any_text(tmp_path: Path) -> None:
    path = _list(tmp_path, 'name\n=HYPERLINK("x")\n\\input{x} & שלום\n'.replace('("x")', "(1)"))

    assert ["=HYPERLINK(1)", "\\input{x} & שלום"] == [pupil.name for pupil in read_class_list(path, 1)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_table_as_spreadsheets_save_it(tmp_path: Path, separator: str, encoding: str) -> None:
    """Semicolons where the comma is the decimal mark, tabs and UTF-16 for text: common practice, no source."""
    rows = [
        ["Family name", "First name", "Group"],
        ["O’Neil; Sr, (1)", "Zoë", "A"],
        ["Reed", "", ""],
        ["", "", ""],
    ]
    table = io.StringIO()
    csv.writer(table, delimiter=separator).writerows(rows)

    found = read_class_list(_list(tmp_path, table.getvalue().encode(encoding)), 2)

    assert (Pupil("Zoë O’Neil; Sr, (1)", "A"), Pupil("Reed", "B")) == found


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_half_a_name_is_never_printed(tmp_path: Path, separator: str) -> None:
    path = _list(tmp_path, f"name\nBo Reed\nLovelace{separator} Ada\nTeal{separator}\n")

    with pytest.raises(InputError) as failed:
        read_class_list(path, 1)

    (told,) = failed.value.diagnostics
    assert ("`Ada` stands behind the last column that has a name", 3) == (
        told.message,
        told.span and told.span.line,
    )
    assert 'in quotation marks, "Lovelace, Ada"' in told.hint


def test_what_parts_the_columns_is_what_parts_their_names(tmp_path: Path) -> None:
    many = "".join(f"Reed, Bo, {number};5b\n" for number in range(9))

    found = read_class_list(_list(tmp_path, f"name;class\n{many}"), 1)
    assert [f"Reed, Bo, {number}" for number in range(9)] == [pupil.name for pupil in found]
    for said in ("sep=;", '"sep=;"'):
        found = read_class_list(_list(tmp_path, f"{said}\r\nname\r\nReed, Bo\r\n"), 1)
        assert ["Reed, Bo"] == [pupil.name for pupil in found]


def test_a_note_beside_the_table_of_a_workbook_is_no_part_of_a_name(tmp_path: Path) -> None:
    sheet = workbook(("5b", rows(("name",), ("Bo Reed", "new"))))

    assert ["Bo Reed"] == [pupil.name for pupil in read_class_list(_list(tmp_path, sheet), 1)]


def test_a_workbook_or_titles_above_the_names_are_read_too(tmp_path: Path) -> None:
    names = (("Set 10B",), (), ("No", "Surname", "First name"), (1, "Marsh", "Ada"), (2, "Reed", "Bo"))
    book = tmp_path / "class.xlsx"
    book.write_bytes(workbook(("Times", rows(("Monday", 9))), ("Class", rows(*names))))
    text = "\n".join(",".join(map(str, line)) for line in names)

    for path in (book, _list(tmp_path, text)):
        assert ["Ada Marsh", "Bo Reed"] == [pupil.name for pupil in read_class_list(path, 1)]


def test_of_two_sheets_with_names_nobody_knows_which_is_meant(tmp_path: Path) -> None:
    sheet = rows(("Name",), ("Ada",))
    with pytest.raises(InputError, match="2 sheets of the workbook name pupils: One, Two"):
        read_class_list(_list(tmp_path, workbook(("One", sheet), ("Two", sheet))), 1)


def test_names_in_two_spanish_columns(tmp_path: Path) -> None:
    path = _list(tmp_path, "Apellidos;Nombre;Versión\nMarisma Ría;Ana;b\n")

    assert (Pupil("Ana Marisma Ría", "B"),) == read_class_list(path, 2)


@pytest.mark.parametrize("head", ["Nachname;Vorname", "Familienname;First name"])
def test_halves_of_a_name_may_have_german_heads(tmp_path: Path, head: str) -> None:
    assert (Pupil("Ada Lind", "A"),) == read_class_list(_list(tmp_path, f"{head}\nLind;Ada\n"), 1)


@pytest.mark.parametrize("head", ["Pupil name", "Student Name", "Schüler/in", "Estudiante"])
def test_names_stand_below_what_people_call_them(tmp_path: Path, head: str) -> None:
    assert (Pupil("Ada Lind", "A"),) == read_class_list(_list(tmp_path, f"{head},group\nAda Lind,7\n"), 1)


@pytest.mark.parametrize("word", ["form", "Forma", "version"])
def test_the_letter_may_be_called_a_form(tmp_path: Path, word: str) -> None:
    path = _list(tmp_path, f"name,{word}\nAda,B\nBo,A\n")

    assert (Pupil("Ada", "B"), Pupil("Bo", "A")) == read_class_list(path, 2)


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("pupils of unit 4\nAda\n", 1, "no column is called `name`"),
        ("", 1, "no column is called `name`"),
        ("name,version\nAda,C\n", 2, "no version or form `C`"),
        ("name,version\nAda,A\n ,B\n", 3, "no name"),
        (f"name\n{'x' * 121}\n", 2, "longer than 120"),
        ("name\n", 1, "not 0"),
        (b"name\n\xff\n", 1, "not in UTF-8"),
        ('name\n"Ada\n', 2, "no CSV"),
        ('name\n"Ada\nMarsh"\n"Bo\n', 4, "no CSV"),
        ('name,version\n"Ada\nMarsh",A\n,B\n', 4, "no name"),
        ("name\n" + "Ada\n" * 300_000, 1, "larger than a megabyte"),
    ],
)
def test_what_is_wrong_is_told_at_its_line(tmp_path: Path, text: str | bytes, line: int, told: str) -> None:
    with pytest.raises(InputError) as wrong:
        read_class_list(_list(tmp_path, text), 2)

    (diagnostic,) = wrong.value.diagnostics
    assert diagnostic.span is not None
    assert ("wrong-class-list", line) == (diagnostic.code, diagnostic.span.line)
    assert told in diagnostic.message


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_class_list(tmp_path / "none.csv", 1)


def test_a_form_that_is_a_class_tells_no_versions(tmp_path: Path) -> None:
    """Schools call a class a form; letters go round then."""
    path = tmp_path / "class.csv"
    path.write_text("Surname;Forename;Form\nMarsh;Ada;9B\nReed;Bo;9B\nOak;Cy;\n", "utf-8")

    assert [("Ada Marsh", "A"), ("Bo Reed", "B"), ("Cy Oak", "A")] == [
        (pupil.name, pupil.version) for pupil in read_class_list(path, 2)
    ]
    path.write_text("name,form\nAda Marsh,B\nBo Reed,9B\n", "utf-8")
    with pytest.raises(InputError) as raised:
        read_class_list(path, 2)
    (found,) = raised.value.diagnostics
    assert ("there is no version or form `9B`", 3) == (found.message, found.span and found.span.line)
    assert "a column that tells the class is called class" in found.hint
