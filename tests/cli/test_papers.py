"""Papers from the command line: versions, class lists, PDF files, what is refused before any work is done."""

from __future__ import annotations

import contextlib
import csv
import json
import re
import shutil
import subprocess
import zipfile
import zlib
from collections import Counter
from pathlib import Path

import pytest

from tests.cli import processes
from tests.cli.harness import DEMO, Program, change

TWO = ("monic-even-surd", "real-or-not")


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """The program in a folder of its own, with two templates of the demo bank."""
    (tmp_path / "here").mkdir()
    program = Program(tmp_path / "here")
    program.demo(*TWO)
    return program


def _build(program: Program, *more: object) -> Path:
    """The folder of a build of eight items that went well."""
    command = ["build", "bank", "--out", "out", "--count", "8", "--formats", "latex,html", *map(str, more)]
    done = processes.run(command, program.folder, program.variables())
    assert 0 == done.returncode, done.stderr.decode()
    return program.folder / "out"


def _names(out: Path) -> set[str]:
    return {str(path.relative_to(out)) for path in out.rglob("*") if path.is_file()}


def _refused(program: Program, code: str, *more: object) -> str:
    command = ("build", "bank", "--out", "out", "--count", "4", *more)
    told = program.run(*command, status=1, err=None).err
    assert code in told
    return told


def test_versions_come_with_a_key_each_and_one_for_all(program: Program) -> None:
    out = _build(program, "--versions", 3)

    for letter in "ABC":
        assert {
            f"pupils/quadratics-question-paper-{letter}.tex", f"staff/quadratics-answer-key-{letter}.html",
            f"staff/quadratics-mark-scheme-{letter}.tex",
        } <= _names(out)  # fmt: skip
        paper = (out / f"pupils/quadratics-question-paper-{letter}.tex").read_text("ascii")
        assert f"Version {letter}" in paper
    assert {"staff/quadratics-combined-key.tex", "staff/quadratics-versions.csv"} <= _names(out)
    with (out / "staff/quadratics-versions.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert 24 == len(rows)
    for letter in "ABC":
        places = Counter(row["option"] for row in rows if row["version"] == letter)
        assert 8 == sum(places.values())


def test_a_worksheet_goes_to_pupils_and_is_the_only_file_there_with_answers(program: Program) -> None:
    for versions in ((), ("--versions", 2)):
        out = _build(program, *versions)
        report = (out / "report.md").read_text("utf-8")
        below = {path.name: path.read_text("utf-8") for path in (out / "pupils").iterdir()}
        sheets = {"quadratics-worksheet.tex", "quadratics-worksheet.html"}

        assert sheets == {name for name, text in below.items() if re.search(r"(bfseries |<h2>)Answers", text)}
        assert not any("worksheet" in path.name for path in (out / "staff").iterdir())
        told = "(the questions of the paper with the answers at the end: pupils check themselves)"
        assert {f"- `pupils/{name}` {told}" for name in sheets} == {
            line for line in report.splitlines() if told in line
        }


def test_the_bank_file_says_how_papers_are_printed_and_the_command_has_the_last_word(
    program: Program,
) -> None:
    change(
        program.folder / "bank/bank.yaml",
        "seed: 1\n",
        "seed: 1\npaper:\n  title: End of unit 4\n  date: 12 May 2026\n  time: 45\n  size: letter\n"
        "  versions: 2\n  answer_sheet: yes\n  instructions: [Write in ink.]\n",
    )
    paper = (_build(program) / "pupils/quadratics-question-paper-B.tex").read_text("ascii")

    for told in (
        "End of unit 4",
        "12 May 2026",
        "45 minutes",
        "Write in ink.",
        "letterpaper",
        "answer sheet",
    ):
        assert told in paper
    out = _build(program, "--versions", 1, "--paper-size", "a4", "--large-print")
    paper = (out / "pupils/quadratics-question-paper.tex").read_text("ascii")
    assert "a4paper" in paper
    assert r"\setfontsize" in paper.replace("@", "")
    assert "pupils/quadratics-answer-sheet.html" in _names(out)


@pytest.mark.parametrize("versions", [1, 2])
def test_a_bank_can_ask_for_papers_that_rise_in_predicted_difficulty(program: Program, versions: int) -> None:
    change(program.folder / "bank/bank.yaml", "seed: 1\n", "seed: 1\npaper:\n  order: difficulty\n")
    out = _build(program, "--formats", "latex,json", "--versions", versions)
    listed = json.loads((out / "staff/items.json").read_text("utf-8"))["items"]
    predicted = {item["code"]: item["difficulty"]["thousandths"] for item in listed}
    width = 500 if versions > 1 else 1

    assert len(set(predicted.values())) > 4
    papers = sorted(out.glob("pupils/*question-paper*.tex"))
    assert versions == len(papers)
    for path in (*papers, out / "pupils/quadratics-worksheet.tex"):
        codes = re.findall(r"^% item (\w+)$", path.read_text("ascii"), re.MULTILINE)
        rising = [predicted[code] // (1 if "worksheet" in path.name else width) for code in codes]
        assert 8 == len(codes)
        assert sorted(rising) == rising


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("order: hardest", "`rising`, `difficulty` or `bank`"),
        ("versions: 27", "a whole number from 1 to 26 is needed"),
        ("front: cover", "`page` or `heading`"),
        ("time: soon", "`time` cannot be `soon`"),
        ("colour: red", "`colour` is no key of this place"),
    ],
)
def test_a_wrong_setting_is_told_at_its_place(program: Program, line: str, told: str) -> None:
    change(program.folder / "bank/bank.yaml", "seed: 1\n", f"seed: 1\npaper:\n  {line}\n")

    assert told in _refused(program, "bank.yaml:8:")


def test_a_class_list_makes_named_papers_in_one_file(program: Program) -> None:
    program.write("class.csv", 'name,version\nAda Marsh,B\n"=cmd|x, {Bo}",\nשלום,A\n')
    out = _build(program, "--versions", 2, "--class-list", "class.csv")
    source = (out / "pupils/quadratics-named-question-papers.tex").read_text("ascii")
    page = (out / "pupils/quadratics-named-question-papers.html").read_text("utf-8")

    assert ["Version B}{Ada Marsh", r"Version B}{=cmd\textbar{}x, \{Bo\}"] == re.findall(
        r"\\BeginPaper\{(.*)\}\n", source
    )[:2]
    assert 3 == source.count(r"\EndPaper") - source.count(r"newcommand\EndPaper")
    assert '<strong dir="auto">=cmd|x, {Bo}</strong>' in page
    assert "שלום" in page
    sheet = (out / "staff/quadratics-mark-sheet-B.tex").read_text("ascii")
    assert "Ada Marsh" in sheet
    assert "Ada Marsh" not in (out / "staff/quadratics-mark-sheet-A.tex").read_text("ascii")


def test_the_mark_sheet_names_a_class(program: Program) -> None:
    program.write("class.csv", "name,version\nAda Marsh,B\nשלום,A\n")
    out = _build(
        program, "--versions", 2, "--class-list", "class.csv", "--formats", "html,json", "--count", 2
    )
    text = (out / "staff/mark-sheet.csv").read_bytes().decode("utf-8")
    head, maximum, *numbers, ada, other = csv.reader(text.removeprefix("\ufeff").splitlines())

    assert text.startswith("\ufeff")
    assert (["pupil", "version"], ["maximum", ""]) == (head[:2], maximum[:2])
    assert ["question A", "question B"] == [line[0] for line in numbers]
    assert (["Ada Marsh", "B", "", "", ""], ["שלום", "A", "", "", ""]) == (ada, other)


def test_the_columns_of_a_mark_sheet_stand_in_the_order_of_the_paper(program: Program) -> None:
    """Whoever marks goes through the paper; with versions through the first, and the others are numbered below it."""
    for versions in ((), ("--versions", 2)):
        out = _build(program, *versions, "--formats", "html,json", "--count", 9)
        head, maximum, *numbers = csv.reader((out / "staff/mark-sheet.csv").read_text("utf-8").splitlines())
        marks = {
            f"{item['code']}{part['label']}": str(part["marks"])
            for item in json.loads((out / "staff/items.json").read_text("utf-8"))["items"]
            for part in item["parts"]
        }

        paper = [str(number) for number in range(1, 10)]
        assert paper == numbers[0][1:-1]
        assert all(paper == sorted(line[1:-1]) for line in numbers)
        assert sorted(marks) == sorted(head[1:-1])
        assert list(marks) != head[1:-1]
        assert [str(marks[code]) for code in head[1:-1]] == maximum[1:-1]


def test_what_is_marked_on_the_answer_sheet_is_not_circled_on_the_paper(tmp_path: Path) -> None:
    (tmp_path / "here").mkdir()
    program = Program(tmp_path / "here")
    shutil.copytree(DEMO.parent / "kinds", program.folder / "bank")
    lines = (program.folder / "bank/bank.yaml").read_text("utf-8")
    (program.folder / "bank/bank.yaml").write_text(lines + "paper: {answer_sheet: yes}\n", "utf-8")
    out = _build(program, "--formats", "html,latex,docx")

    for ending in (".html", ".tex"):
        paper = (out / f"pupils/kinds-question-paper{ending}").read_text("utf-8")
        assert "mark the letter of each right answer on the answer sheet" in paper
        assert not re.search("[Cc]ircle (the letter of each|its number)", paper)
        assert "circle the letter of each" in (out / f"pupils/kinds-worksheet{ending}").read_text("utf-8")
    with zipfile.ZipFile(out / "pupils/kinds-question-paper.docx") as package:
        assert b"Mark its number on the answer sheet" in package.read("word/document.xml")
    with zipfile.ZipFile(out / "pupils/kinds-worksheet.docx") as package:
        assert b"answer sheet" not in package.read("word/document.xml")


@pytest.mark.parametrize("as_data", [(), ("--json",)], ids=["text", "json"])
def test_two_pupils_of_one_name_are_doubtful(program: Program, as_data: tuple[str, ...]) -> None:
    program.write("class.csv", "name\nAda Marsh\nBo Reed\nada  marsh\n")
    told = program.run(
        "build", "bank", "--out", "out", "--count", "2", "--formats", "html", "--class-list", "class.csv", *as_data,
        err=None, left=None,
    ).err  # fmt: skip

    assert "class.csv:1:1: doubtful: same-name" in told
    assert "1 name stands in the list more than once" in told
    assert "marsh" not in told.casefold()


def test_a_class_list_without_papers_is_refused(program: Program) -> None:
    program.write("class.csv", "name\nAda\n")

    assert "add latex, html or docx" in _refused(
        program, "nothing-printed", "--class-list", "class.csv", "--formats", "qti3,json"
    )


def test_a_word_processor_gets_each_version(program: Program) -> None:
    out = _build(program, "--versions", 2, "--formats", "docx")

    assert {
        f"{below}/quadratics-{name}-{letter}.docx"
        for below, names in (
            ("pupils", ["question-paper"]),
            ("staff", ["answer-key", "worked-solutions", "mark-scheme", "mark-sheet"]),
        )
        for name in names
        for letter in "AB"
    } | {"pupils/quadratics-worksheet.docx", "staff/quadratics-combined-key.docx"} <= _names(out)
    assert "pupils/quadratics-answer-sheet-A.docx" not in _names(out)
    assert "`pupils/quadratics-worksheet.docx`" in (out / "report.md").read_text("utf-8")
    for path in out.rglob("*.docx"):
        with zipfile.ZipFile(path) as package:
            assert package.testzip() is None
            assert ("mark-sheet" in path.name) == (b"<m:oMath" not in package.read("word/document.xml"))


def test_a_word_processor_gets_the_papers_of_a_class_in_one_file(program: Program) -> None:
    program.write("class.csv", "name,version\nAda Marsh,B\nBo <Reed> & Co,A\nCy Teal,B\n")
    out = _build(program, "--versions", 2, "--class-list", "class.csv", "--formats", "docx")

    with zipfile.ZipFile(out / "pupils/quadratics-named-question-papers.docx") as package:
        text = package.read("word/document.xml").decode("utf-8")
        feet = [package.read(f"word/footer{number}.xml").decode("utf-8") for number in (1, 2, 3)]
    places = [text.index(name) for name in ("Ada Marsh", "Bo &lt;Reed&gt; &amp; Co", "Cy Teal")]
    assert places == sorted(places)
    for told, foot in zip(("B, Ada Marsh", "A, Bo &lt;Reed&gt; &amp; Co", "B, Cy Teal"), feet, strict=True):
        assert f"Version {told}" in foot
    assert "not written as .docx" not in (out / "report.md").read_text("utf-8")


def test_a_word_processor_gets_large_classes_in_several_files(program: Program) -> None:
    program.write("class.csv", "name\n" + "".join(f"Pupil {number}\n" for number in range(1, 42)))
    out = _build(program, "--class-list", "class.csv", "--formats", "docx")

    held = {}
    for number in (1, 2):
        with zipfile.ZipFile(out / f"pupils/quadratics-named-question-papers-{number}.docx") as package:
            text = package.read("word/document.xml").decode("utf-8")
            held[number] = re.findall(r"Pupil [0-9]+", text)
    assert [f"Pupil {number}" for number in range(1, 41)] == held[1]
    assert ["Pupil 41"] == held[2]


def test_a_wrong_class_list_leaves_nothing(program: Program) -> None:
    program.write("class.csv", "who\nAda\n")

    assert "begin the file with a line such as name,version" in _refused(
        program, "class.csv:1:1: wrong: wrong-class-list", "--class-list", "class.csv"
    )


def test_pdf_files_stand_beside_their_sources(program: Program) -> None:
    if shutil.which("pdflatex") is None or shutil.which("pdftotext") is None:
        pytest.skip("pdflatex or pdftotext is not installed")
    out = _build(program, "--pdf")
    names = _names(out)

    sources = {name for name in names if name.endswith(".tex")}
    assert len(sources) >= 6
    assert {name.replace(".tex", ".pdf") for name in sources} <= names
    paper = out / "pupils/quadratics-question-paper.pdf"
    text = subprocess.run(
        ["pdftotext", "-layout", paper, "-"], capture_output=True, check=True
    ).stdout.decode()
    marks = [int(found) for found in re.findall(r"\[(\d+)\]", text)]
    assert 8 == len(marks)
    assert re.search(rf"Total marks +{sum(marks)}\n", text)
    facts = subprocess.run(["pdfinfo", paper], capture_output=True, check=True).stdout.decode()
    assert "Title:           Completing the square, evening algebra" in facts
    assert "Author:          Saltmarsh College" in facts
    assert b"/Lang(en)" in _unpacked(paper.read_bytes()).replace(b" ", b"")


def _unpacked(data: bytes) -> bytes:
    """The streams of a PDF file (ISO 32000-1, 7.5.7), those that inflate."""
    found = []
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        with contextlib.suppress(zlib.error):
            found.append(zlib.decompress(stream))
    return b"\n".join(found)


def test_pdf_without_tex_says_what_to_install_before_any_work(program: Program, tmp_path: Path) -> None:
    told = program.run(
        "build", "bank", "--out", "out", "--pdf", status=1, err=None, environment={"PATH": str(tmp_path)}
    ).err

    assert "no-tex" in told
    assert "install TeX" in told


def test_pdf_needs_latex_among_the_formats(program: Program) -> None:
    _refused(program, "no-latex", "--pdf", "--formats", "html")
