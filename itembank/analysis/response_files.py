"""Opening what is analysed: a build's staff files, and files of results, each recognised by its looks.

Folders and zip files of result reports are read one member at a time; names inside are never paths, and number and
sizes are bounded.
"""

from __future__ import annotations

import codecs
import contextlib
import zipfile
import zlib
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from itembank.analysis.apart import may_be_forms
from itembank.analysis.attempts import of_first_attempts
from itembank.analysis.blocks import counted
from itembank.analysis.chosen import is_long, read_chosen, read_long
from itembank.analysis.columns import WHO, has_questions, questions_of, special_columns, with_second_head
from itembank.analysis.forms import of_this_form, with_versions
from itembank.analysis.keys import Keys, read_keys
from itembank.analysis.mark_columns import columns_of_marks, says_maxima
from itembank.analysis.mark_sheet import read_mark_sheet
from itembank.analysis.maxima_lines import with_maxima_named
from itembank.analysis.orders import Orders, folded, read_options, read_orders
from itembank.analysis.other_builds import items_of_others, of_this_build, sat_another, who_sat_another
from itembank.analysis.responses import Record, Results, combine
from itembank.analysis.result_reports import is_xml, read_report
from itembank.analysis.tables import MOST_BYTES, Table, as_table, has_head, read_table, wrong
from itembank.analysis.workbooks import Sheet, is_workbook, read_workbook
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.whole_file import read_at_most

__all__ = ["read_build", "read_records", "read_results", "read_whole_table", "some_of"]

_MOST_OF_A_BUILD: Final = 1 << 30
MOST_REPORTS: Final = 20_000
MOST_ALIKE: Final = 5
"""Faults of one kind that are told of one file."""
REPORT_BYTES: Final = 16 << 20
ALL_BYTES: Final = 1 << 30
_UNREADABLE: Final = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    OSError,
    ValueError,
)


def read_build(folder: Path) -> tuple[Keys, Orders]:
    """The keys of a build's folder and in which order its papers were printed.

    Raises InputError `no-staff-files` where there are none.
    """
    items = folder / "staff" / "items.json"
    if not items.is_file():
        message = f"{folder} holds no staff/items.json"
        hint = "name the folder that `itembank build` wrote, with `json` among its formats"
        if forms := sorted(path.parent.parent.name for path in folder.glob("form-*/staff/items.json")):
            hint = f"each form is a build of its own: name one, such as {folder / forms[0]}"
        elif not folder.exists():
            message = f"there is no folder {folder}"
        raise InputError(Diagnostic("no-staff-files", message, Span(str(folder), 1, 1), hint=hint))
    keys = read_keys(str(items), _bytes(items, _MOST_OF_A_BUILD))
    sheet = folder / "staff" / "mark-sheet.csv"
    orders = read_orders(str(sheet), _bytes(sheet, MOST_BYTES), keys) if sheet.is_file() else Orders()
    for path in sorted((folder / "staff").glob("*-versions.csv"))[:1]:
        orders = read_options(str(path), _bytes(path, MOST_BYTES), keys, orders)
    return keys.printed_as(orders.printed(), orders.printed_options(keys)), orders


def read_results(keys: Keys, orders: Orders, files: Sequence[Path]) -> Results:
    """The results of all files together. Raises InputError with everything that is wrong in any of them."""
    faults: list[Diagnostic] = []
    doubts: list[Diagnostic] = []
    records: list[Record] = []
    for path in files:
        try:
            for found, doubtful in _read(path, keys, orders, faults):
                records += found
                doubts += doubtful
        except InputError as failed:
            faults += failed.diagnostics
    if faults:
        raise InputError(some_of(faults))
    doubtful = [
        *_still_doubtful(records, doubts), *_not_on_the_list(orders, records), *may_be_forms(records)
    ]  # fmt: skip
    return combine(keys, records, some_of(doubtful))


def read_records(keys: Keys, orders: Orders, file: Path) -> tuple[list[Record], list[Diagnostic]]:
    """What one file says of each pupil, with what is empty there still told from what was left out; and doubts.

    Raises InputError with everything that is wrong in it.
    """
    faults: list[Diagnostic] = []
    read = list(_read(file, keys, orders, faults))
    if faults:
        raise InputError(some_of(faults))
    return [record for records, _ in read for record in records], [each for _, told in read for each in told]


def _not_on_the_list(orders: Orders, records: Sequence[Record]) -> list[Diagnostic]:
    """Pupils whom the build's own mark sheet does not name, where it names others: they may have had another form."""
    strange = [record for record in records if folded(record.pupil) not in orders.named]
    known = {folded(record.pupil) for record in records} & orders.named.keys()
    if not strange or not known:
        return []
    number = len({folded(record.pupil) for record in strange})
    message = (
        f"{counted(number, 'pupil')} {'are' if number > 1 else 'is'} not on the class list of staff/mark-sheet.csv, "
        f"and {len(known)} are: all are marked by the key of this build"
    )
    hint = "see whether they had another form: a column `form` keeps them apart"
    return [Diagnostic("not-on-class-list", message, strange[0].place, Level.DOUBTFUL, hint=hint)]


def some_of(faults: Sequence[Diagnostic]) -> list[Diagnostic]:
    """Of many faults of one kind in one file the first few, and how many more there are."""
    alike: dict[tuple[str, str], list[Diagnostic]] = {}
    for each in faults:
        alike.setdefault((each.code, each.span.path if each.span else ""), []).append(each)
    told: list[Diagnostic] = []
    for several in alike.values():
        told += several[:MOST_ALIKE]
        if more := several[MOST_ALIKE:]:
            message = f"and so in {len(more)} more places of this file, from here on"
            told.append(replace(more[0], message=message, hint=""))
    return told


def _still_doubtful(records: Sequence[Record], doubts: Sequence[Diagnostic]) -> list[Diagnostic]:
    """What is doubtful of all files together: where one tells marks, tables of choices need not tell everything."""
    telling = {
        record.place.path
        for record in records
        if any(answer.mark and not answer.names for answer in record.answers.values())
    }
    lacking = ("typed-answers", "missing-column", "not-worked-out", "lost-signs")
    return [
        each
        for each in doubts
        if not (telling and each.code in lacking and each.span and each.span.path not in telling)
    ]


_Read = tuple[list[Record], list[Diagnostic]]


def _read(path: Path, keys: Keys, orders: Orders, faults: list[Diagnostic]) -> Iterator[_Read]:
    if path.is_dir():
        yield _reports(str(path), _of_folder(path), keys, faults)
        return
    data = _bytes(path, MOST_BYTES)
    _refuse_documents(path, data)
    if is_workbook(data):
        yield _of_table(_of_workbook(str(path), data, keys), keys, orders)
    elif data[:4] == b"PK\x03\x04":
        yield _reports(str(path), _of_zip(path), keys, faults)
    elif is_xml(data):
        yield _reports(str(path), iter([("", data)]), keys, faults)
    else:
        yield _of_table(read_table(str(path), data, WHO, older=True), keys, orders)


_DOCUMENTS: Final = (
    (b"%pdf-", "a PDF document"),
    (b"\xd0\xcf\x11\xe0", "a workbook or document of an office program"),
    (b"{\\rtf", "a text document"),
    (b"<html", "a web page"),
    (b"<!doctype html", "a web page"),
    (b"<table", "a web page"),
)
_IN_A_ZIP: Final = (
    ("word/", "a text document"),
    ("content.xml", "an office document"),
)


def _refuse_documents(path: Path, data: bytes) -> None:
    """Raises InputError `no-table` for what a spreadsheet program saves unless it is told otherwise."""
    begin = data[:512].removeprefix(codecs.BOM_UTF8).lstrip().lower()
    told = next((what for start, what in _DOCUMENTS if begin.startswith(start)), "")
    if data[:4] == b"PK\x03\x04":
        with contextlib.suppress(*_UNREADABLE), zipfile.ZipFile(path) as archive:
            names = archive.namelist()
            told = next((what for start, what in _IN_A_ZIP if any(n.startswith(start) for n in names)), "")
    if told:
        hint = "open it in the spreadsheet program, save the sheet as CSV (UTF-8) or as .xlsx, and name that file"
        raise InputError(wrong("no-table", f"the file is {told} and no table in text", str(path), None, hint))


def read_whole_table(path: Path, heads: Collection[str] = WHO, telling: Collection[str] = ()) -> Table:
    """The table of a file. heads: as in `read_table`; telling: what the head of the sheet of a workbook says that is
    meant, where several have such heads. Raises InputError where it is none.
    """
    data = _bytes(path, MOST_BYTES)
    _refuse_documents(path, data)
    if not is_workbook(data):
        return read_table(str(path), data, heads)
    sheets = read_workbook(str(path), data)
    with_head = [sheet for sheet in sheets if has_head(sheet.rows, heads)] or list(sheets[:1])
    with_head = [sheet for sheet in with_head if has_head(sheet.rows, telling)] or with_head
    rows = _only_sheet(str(path), with_head).rows if with_head else ()
    return as_table(str(path), rows, heads)


def _of_workbook(path: str, data: bytes, keys: Keys) -> Table:
    """The table of the one sheet that has questions of the build."""
    sheets = read_workbook(path, data)
    tables = {sheet.name: as_table(path, sheet.rows, WHO) for sheet in sheets}
    telling = [sheet for sheet in sheets if has_questions(tables[sheet.name], keys)]
    if not telling:
        named = [sheet for sheet in sheets if has_head(sheet.rows, WHO)] or list(sheets)
        return tables[named[0].name] if named else as_table(path, ())
    return tables[_only_sheet(path, telling).name]


def _only_sheet(path: str, sheets: Sequence[Sheet]) -> Sheet:
    """Raises InputError `several-sheets` where there is more than one."""
    if len(sheets) > 1:
        names = ", ".join(f"`{sheet.name[:40]}`" for sheet in sheets[:5])
        message = f"{len(sheets)} sheets of the workbook hold such a table: {names}"
        hint = "save each that is meant as a file of its own, and name these"
        raise InputError(wrong("several-sheets", message, path, None, hint))
    return sheets[0]


def _of_table(found: Table, keys: Keys, orders: Orders) -> _Read:
    whole = with_second_head(found, keys)
    tried, of_attempts = of_first_attempts(whole)
    told, of_list = with_versions(tried, orders)
    of_forms, doubts = of_this_form(told, keys, orders)
    doubts = _of_encoding(found) + of_attempts + of_list + doubts
    table, of_builds = of_this_build(of_forms, keys)
    records, of_lines = _of_lines(table, keys, orders)
    return records, doubts + of_builds + of_lines


def _of_encoding(table: Table) -> list[Diagnostic]:
    if not table.is_older:
        return []
    message = "the file is not in UTF-8 and is read as Windows-1252, as older programs save tables"
    hint = "look whether names with accents come out right in what is told of pupils; else save it as `CSV UTF-8`"
    return [wrong("older-encoding", message, table.path, None, hint, Level.DOUBTFUL)]


def _of_lines(table: Table, keys: Keys, orders: Orders) -> _Read:
    if is_long(table):
        return read_long(table, keys, orders)
    table, of_maxima = with_maxima_named(table, keys)
    marks = columns_of_marks(table, keys)
    if not marks:
        records, doubts = read_chosen(table, keys, orders)
        return records, of_maxima + doubts
    is_whole = len(marks) == len(questions_of(table, keys, special_columns(table, []), []))
    records, doubts = (
        read_mark_sheet(table, keys, orders) if is_whole else read_chosen(table, keys, orders, marks)
    )
    guessed = [
        keys.questions[place].column for place in sorted(marks) if keys.questions[place].kind != "written"
    ]
    if guessed and not says_maxima(table):
        message = "no line tells maxima, and every cell may be marks: they are taken for marks"
        if not is_whole:
            some = ", ".join(guessed[:5]) + (" ..." if len(guessed) > 5 else "")
            message = f"the numbers of {counted(len(guessed), 'question')} are taken for marks, not for answers: {some}"
        hint = "if they are what pupils typed, put a line below the head whose first cell says `answers`"
        doubts.append(wrong("taken-for-marks", message, table.path, None, hint, Level.DOUBTFUL))
    return records, of_maxima + doubts


def _reports(path: str, members: Iterator[tuple[str, bytes]], keys: Keys, faults: list[Diagnostic]) -> _Read:
    """The records of result reports; what is wrong with one keeps the others from nothing."""
    records: list[Record] = []
    others = 0
    strange: dict[str, set[str]] = {}
    for member, data in members:
        place = f"{path}/{member}" if member else path
        unknown: set[str] = set()
        try:
            record = read_report(place, data, keys, member or Path(path).stem, unknown)
        except InputError as failed:
            faults += failed.diagnostics
            continue
        others += record is None
        records += [record] if record is not None else []
        if record is not None and unknown:
            strange.setdefault(record.pupil, set()).update(unknown)
    if not records and not faults:
        message = "there is no result report" + (f" among {others} documents" if others else "")
        hint = "a result report is XML whose first element is assessmentResult"
        faults.append(Diagnostic("no-result-report", message, Span(path, 1, 1), hint=hint))
    return _without_others(path, records, strange, keys)


def _without_others(
    path: str, records: list[Record], strange: dict[str, set[str]], keys: Keys
) -> tuple[list[Record], list[Diagnostic]]:
    """The records of those who sat this build. strange: of each pupil what no item of this build is called."""
    if not strange:
        return records, []
    answered: dict[str, set[int]] = {}
    for record in records:
        given = (place for place, answer in record.answers.items() if not answer.is_blank)
        answered.setdefault(record.pupil, set()).update(given)
    doubts = [items_of_others(path, sorted(set().union(*strange.values())), None)]
    gone = who_sat_another(answered, strange, len(keys.questions))
    if not gone:
        return records, doubts
    doubts.append(sat_another(path, len(gone), None))
    return [record for record in records if record.pupil not in gone], doubts


def _of_folder(folder: Path) -> Iterator[tuple[str, bytes]]:
    """The XML files right in a folder; links are left alone."""
    paths = [
        path for path in sorted(folder.iterdir()) if path.suffix.lower() == ".xml" and not path.is_symlink()
    ]
    _bounded(str(folder), len(paths), sum(path.stat().st_size for path in paths))
    for path in paths:
        yield path.name, _bytes(path, REPORT_BYTES)


def _of_zip(path: Path) -> Iterator[tuple[str, bytes]]:
    try:
        with zipfile.ZipFile(path) as archive:
            entries = [entry for entry in archive.infolist() if entry.filename.lower().endswith(".xml")]
            _bounded(str(path), len(archive.infolist()), sum(entry.file_size for entry in entries))
            for entry in entries:
                name = entry.filename.replace("\\", "/").rpartition("/")[2]
                with archive.open(entry) as member:
                    yield name, _limited(member.read(REPORT_BYTES + 1), f"{path}/{name}", REPORT_BYTES)
    except _UNREADABLE as failed:
        message = f"the zip cannot be read: {failed}"
        raise InputError(Diagnostic("damaged-zip", message, Span(str(path), 1, 1))) from None


def _bounded(path: str, members: int, size: int) -> None:
    if members > MOST_REPORTS or size > ALL_BYTES:
        message = f"there are more than {MOST_REPORTS} files or {ALL_BYTES >> 20} megabytes"
        raise InputError(
            Diagnostic("too-large", message, Span(path, 1, 1), hint="give several folders or files")
        )


def _bytes(path: Path, most: int) -> bytes:
    try:
        return _limited(read_at_most(path, most + 1), str(path), most)
    except OSError as failed:
        message = f"the file cannot be read: {(failed.strerror or str(failed)).lower()}"
        hint = "name a file that is there and that you may read"
        raise InputError(Diagnostic("cannot-be-read", message, Span(str(path), 1, 1), hint=hint)) from None


def _limited(data: bytes, path: str, most: int) -> bytes:
    if len(data) > most:
        message = f"the file is larger than {most >> 20} megabytes"
        raise InputError(Diagnostic("too-large", message, Span(path, 1, 1), hint="give several files"))
    return data
