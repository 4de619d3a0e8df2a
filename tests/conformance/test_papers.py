"""Printed papers go through TeX without an error, and the page in the end says what it should."""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from itembank.content import Content, Hole, Text, TextShape, of_text
from itembank.items import ChoiceResponse, Item, SolutionLine
from itembank.writers import latex
from itembank.writers.latex import characters
from itembank.writers.order import versions
from itembank.writers.paper import DOCUMENTS, Looks, PaperFacts, question_name, total_marks
from tests import kinds_bank, samples
from tests.paper_items import FACTS, HARD, HARD_TEXTS, paragraph, with_options, with_stem
from tests.qti_items import MORE


def with_parts(count: int) -> Item:
    """An item of so many parts, with labels where there are several."""
    part = samples.surd_entry_item().parts[0]
    labels = "abc"[:count] if count > 1 else ("",)
    return replace(samples.surd_entry_item(), parts=tuple(replace(part, label=each) for each in labels))


ALL = [make() for make in (*samples.ALL, *MORE)]
SECRET = "the-words-of-another-file"


@pytest.fixture(params=["pdflatex", "lualatex"])
def engine(request: pytest.FixtureRequest) -> str:
    """An engine that is installed; the test is skipped where it is not."""
    name: str = request.param
    if shutil.which(name) is None:
        pytest.skip(f"{name} is not installed")
    return name


def _set(engine: str, source: str, folder: Path, runs: int = 1) -> str:
    """Sets a source in a folder as paper.pdf; returns TeX's report with its broken lines joined."""
    (folder / "secret.tex").write_text(SECRET, "ascii")
    (folder / "paper.tex").write_text(source, "ascii")
    command = [engine, "-no-shell-escape", "-halt-on-error", "-interaction=nonstopmode", "paper.tex"]
    for _ in range(runs):
        run = subprocess.run(command, cwd=folder, capture_output=True, check=False, timeout=300)
        assert 0 == run.returncode, run.stdout.decode("latin-1")[-2000:]
    return (folder / "paper.log").read_text("latin-1")


def _text(folder: Path, page: int = 0) -> str:
    """The words of a page of paper.pdf, 0 for all of them."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    pages = ["-f", str(page), "-l", str(page)] if page else []
    command = ["pdftotext", "-layout", *pages, "paper.pdf", "-"]
    return subprocess.run(command, cwd=folder, capture_output=True, check=True).stdout.decode()


def _too_wide(log: str) -> list[float]:
    """By how many points lines stick out, those above one point."""
    found = [float(points) for points in re.findall(r"Overfull \\[hv]box \(([\d.]+)pt", log)]
    return [points for points in found if points > 1]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_document_is_set_without_an_error_and_without_a_line_that_sticks_out(
    engine: str, name: str, tmp_path: Path
) -> None:
    log = _set(engine, latex.document(name, ALL, FACTS), tmp_path, runs=2)

    assert "undefined references" not in log
    assert "Output written on paper.pdf" in log
    assert "Missing character" not in log
    assert [] == _too_wide(log)


LOOKS = (
    Looks(size="letter", front="heading", working="lines"),
    Looks(large=True),
    Looks(size="letter", large=True, wide=True, working="lines"),
)


@pytest.mark.parametrize("looks", LOOKS, ids=str)
@pytest.mark.parametrize("language", ["en-US", "es", "de"])
def test_every_look_is_set_without_a_line_that_sticks_out(
    looks: Looks, language: str, tmp_path: Path
) -> None:
    if shutil.which("pdflatex") is None:
        pytest.skip("pdflatex is not installed")
    facts = replace(FACTS, looks=looks, language=language, version="B", minutes=75, answer_sheet=True)
    for name in DOCUMENTS:
        log = _set("pdflatex", latex.document(name, ALL, facts), tmp_path)
        assert "Missing character" not in log, name
        assert [] == _too_wide(log), name


@pytest.mark.parametrize("looks", [Looks(), Looks(large=True, wide=True)], ids=str)
def test_every_column_of_a_mark_sheet_bears_its_question(engine: str, looks: Looks, tmp_path: Path) -> None:
    items = [with_parts(n) for n in (3, 1, 2)] + [samples.choice_item()] * 10
    facts = replace(FACTS, looks=looks)
    _set(engine, latex.document("mark-sheet", items, facts), tmp_path)
    text = _text(tmp_path)

    asked = [question_name(n, part) for n, item in enumerate(items, 1) for part in item.parts]
    assert 16 == len(asked)
    assert [] == [name for name in asked if not re.search(rf"(?<!\S){re.escape(name)}(?!\S)", text)]


def test_versions_and_names_stand_on_every_page_of_one_file(engine: str, tmp_path: Path) -> None:
    every = versions(ALL, 2)
    papers = [
        (replace(FACTS, version=letter, pupil=name), every["AB".index(letter)])
        for name, letter in (("Ada Marsh", "A"), ("Bo & Reed \\input{x}", "B"), ("Cy Teal", "A"))
    ]
    log = _set(engine, latex.pupils_papers("question-paper", papers), tmp_path, runs=2)
    pages = _text(tmp_path).split("\f")[:-1]

    assert [] == _too_wide(log)
    assert "undefined references" not in log
    assert 0 == len(pages) % 3
    each = len(pages) // 3
    for number, page in enumerate(pages):
        facts = papers[number // each][0]
        assert f"Page {number % each + 1} of {each}" in page
        assert f"Version {facts.version}, {facts.pupil}" in page.replace("\n", " ")
    total = total_marks(ALL)
    for start in range(0, len(pages), each):
        marks = [int(found) for found in re.findall(r"\[(\d+)\]", "".join(pages[start : start + each]))]
        assert total == sum(marks)
        assert f"out of {total}" in pages[start]


@pytest.mark.parametrize("looks", [Looks(), Looks(large=True)], ids=str)
def test_the_version_stands_in_the_foot_however_long_a_name_is(looks: Looks, tmp_path: Path) -> None:
    if shutil.which("pdflatex") is None:
        pytest.skip("pdflatex is not installed")
    names = ("Bartholomew Marsh-Featherstonehaugh of Saltmarsh", " ".join(["Bartholomew"] * 12))
    facts = replace(FACTS, version="C", looks=looks)
    papers = [(replace(facts, pupil=name), [samples.choice_item()]) for name in names]
    log = _set("pdflatex", latex.pupils_papers("question-paper", papers), tmp_path, runs=2)
    pages = _text(tmp_path).split("\f")[:-1]

    assert [] == _too_wide(log)
    assert 4 == len(pages) == sum("Version C" in page.split("[1]")[-1] for page in pages)
    if not looks.large:
        assert "saltmarsh" in pages[1].split("[1]")[-1].lower()


def test_the_key_to_all_versions_is_set(engine: str, tmp_path: Path) -> None:
    every = versions(ALL, 7)
    log = _set(engine, latex.combined_key(every, "ABCDEFG", FACTS), tmp_path, runs=2)

    assert [] == _too_wide(log)
    assert all(item.code in _text(tmp_path) for item in ALL)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_hard_texts_are_printed_and_never_obeyed(engine: str, name: str, tmp_path: Path) -> None:
    facts = PaperFacts(" ".join(HARD_TEXTS[:2]), HARD_TEXTS[3], HARD_TEXTS[1], instructions=HARD_TEXTS)
    log = _set(engine, latex.document(name, [make() for make in HARD], facts), tmp_path)

    assert "Missing character" not in log
    assert [] == _too_wide(log)
    text = _text(tmp_path)
    assert SECRET not in text
    if name not in {"mark-sheet", "answer-sheet"}:
        assert "a--b---c" in text
        assert "<< >>" in text
    assert r"\input{secret}" in text.replace("\n", " ")


def test_every_sign_the_writer_maps_is_in_the_fonts(engine: str, tmp_path: Path) -> None:
    latin = "".join(map(chr, range(0xA0, 0x250)))
    greek = "".join(map(chr, range(0x391, 0x3CA)))
    mapped = " ".join(characters._SIGNS)

    item = with_stem(of_text(f"{latin} {greek} {mapped} ⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻⁼⁽⁾ⁿ ₀₁₂₃₄₅₆₇₈₉ ½ ⅓ ⅔ ¼ ¾ ⅕ ⅛ ﬁ ﬂ"))
    log = _set(engine, latex.document("question-paper", [item], FACTS), tmp_path)

    assert len(mapped) > 200
    assert "Missing character" not in log


def test_the_front_page_gives_the_sum_of_all_marks_and_each_foot_its_page(
    engine: str, tmp_path: Path
) -> None:
    _set(engine, latex.document("question-paper", ALL, FACTS), tmp_path, runs=2)
    front, whole = _text(tmp_path, 1), _text(tmp_path)

    marks = [int(found) for found in re.findall(r"\[(\d+)\]", whole)]
    assert total_marks(ALL) == sum(marks)
    assert re.search(rf"Total marks +{total_marks(ALL)}\n", front)
    assert f"is worth {total_marks(ALL)} marks." in front
    assert f"out of {total_marks(ALL)}" in front
    pages = len(re.findall(r"Page \d+ of \d+", whole))
    assert pages >= 3
    assert [f"Page {page} of {pages}" for page in range(1, pages + 1)] == re.findall(
        r"Page \d+ of \d+", whole
    )


def test_an_item_that_fits_on_a_page_is_not_broken(engine: str, tmp_path: Path) -> None:
    items = [make() for make in (samples.surd_entry_item, samples.integer_entry_item) * 6]
    _set(engine, latex.document("question-paper", items, FACTS), tmp_path)
    pages = _text(tmp_path).split("\f")

    beginnings = [len(re.findall(r"Solve ", page)) for page in pages]
    ends = [len(re.findall(r"no real solution", page)) for page in pages]
    assert len(items) == sum(beginnings)
    assert beginnings == ends


def test_an_item_of_the_mark_scheme_that_fits_on_a_page_is_not_broken(engine: str, tmp_path: Path) -> None:
    """A page may end inside an item, at a price: an empty quarter of a page is cheaper."""
    items = [make() for make in (samples.surd_entry_item, samples.choice_item) * 8]
    _set(engine, latex.document("mark-scheme", items, FACTS), tmp_path)
    pages = [[line for line in page.splitlines() if line.strip()] for page in _text(tmp_path).split("\f")]

    assert len(pages) > 3
    assert len(items) == sum("Answer" in line for page in pages for line in page)
    for page in filter(None, pages[1:]):
        assert any("Answer" in line for line in page[:3]), page[:3]  # signs of a tall answer stand above it


def test_the_total_of_a_key_never_stands_alone_on_a_page(tmp_path: Path) -> None:
    if shutil.which("pdflatex") is None:
        pytest.skip("pdflatex is not installed")
    last_pages = []
    for count in range(34, 41):
        _set(
            "pdflatex",
            latex.document("answer-key", [samples.integer_entry_item()] * count, FACTS),
            tmp_path,
            2,
        )
        pages = _text(tmp_path).rstrip("\f\n").split("\f")
        last_pages.append((len(pages), pages[-1]))

    assert {1, 2} == {pages for pages, _ in last_pages}  # the total is at the foot of a page in one of them
    for _, last in last_pages:
        assert samples.integer_entry_item().code in last


def test_a_stem_does_not_end_in_a_line_of_one_short_word(engine: str, tmp_path: Path) -> None:
    words = "Find the values of the number for which the equation in the picture has two"
    stems = [
        f"{words} {more}" for more in ("roots.", "real roots.", "different real roots.", "of them, or one.")
    ]
    for stem in stems:
        _set(engine, latex.document("question-paper", [with_stem(of_text(stem))], FACTS), tmp_path)
        lines = [line.strip() for line in _text(tmp_path, 2).splitlines()]
        last = next(line for line in reversed(lines) if line and line.endswith(stem.split()[-1]))
        assert len(last.split()) > 1, stem


def test_a_formula_stays_whole_where_a_short_line_helps(engine: str, tmp_path: Path) -> None:
    line = samples.maths("y = 400000*x - 500000")
    words = "Which of the statements below about the graph in the picture, "
    items = []
    for count in range(24):
        told = paragraph(Text(f"{words}n{'o' * count}, "), Hole(0), Text(" are true for every number?"))
        items.append(with_stem(Content(TextShape((told,), 1), (line,)), f"R{count}"))
    _set(engine, latex.document("question-paper", items, FACTS), tmp_path)
    lines = [line.split() for line in _text(tmp_path).splitlines() if line.split()]

    assert len(items) == sum("400000x" in " ".join(line) for line in lines)
    assert [] == [line for line in lines if line[-1] in "=−" or line[0] in "=−"]


def test_words_without_mathematics_have_the_width_of_the_page_and_lines_without_words_begin_at_the_left(
    engine: str, tmp_path: Path
) -> None:
    item = samples.integer_entry_item()
    (part,) = item.parts
    said = "A square is never negative, so if the number on the right is negative there is no real solution."
    one_with = replace(part, solution=(*part.solution, SolutionLine("main", of_text(said), None)))
    bare = replace(part, solution=tuple(line._replace(say=None) for line in part.solution))
    items = [replace(item, parts=(one_with,)), replace(item, parts=(bare,))]
    _set(engine, latex.document("worked-solutions", items, FACTS), tmp_path)
    text = _text(tmp_path)

    assert said in text
    lines = text[text.rindex("Answer") :].splitlines()[1:]
    first = next(line for line in lines if line.strip())
    assert len(first) - len(first.lstrip()) < 20, first


def test_answers_of_a_worksheet_stand_in_two_columns_but_a_wide_one_in_its_own_line(
    engine: str, tmp_path: Path
) -> None:
    long = of_text("It is positive for every real number, whatever else may be")
    wide = with_options(*[long] * 4)
    (steps,) = kinds_bank.items("order-of-steps", 1)
    items = [samples.integer_entry_item(), steps, wide, samples.choice_item()]
    _set(engine, latex.document("worksheet", items, FACTS), tmp_path)
    answers = _text(tmp_path).split("Answers")[1]
    rows = [re.findall(r"(?<!\S)[1-4](?= {2})", line) for line in answers.splitlines()]

    assert [["1", "2"], ["3"], ["4"]] == [row for row in rows if row]


@pytest.mark.parametrize("make", [samples.choice_item, samples.words_item])
def test_the_key_names_the_option(engine: str, make: Callable[[], Item], tmp_path: Path) -> None:
    item = make()
    _set(engine, latex.document("answer-key", [item], FACTS), tmp_path)
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)

    row = next(line for line in _text(tmp_path).splitlines() if item.code in line)
    assert f"{response.key.identifier} 1" == " ".join(row.split()[-2:])


def test_random_text_in_every_place_is_printed_and_never_obeyed(engine: str, tmp_path: Path) -> None:
    """Titles, stems, options, instructions and names of random signs: what TeX obeys, and letters of every script."""
    chance = random.Random(20)
    obeyed = (
        "\\", "{", "}", "$", "&", "#", "%", "_", "^", "~", "^^M", "\\input{secret}", "\\write18{ls}", "\\catcode`",
        "=1+1",
        "\\end{document}", "`", "''", "--", "|", "<<", ">>", "<%", "\u202e", "\u200d", "🎉", "ש", "é", "ő", "−",
        "x" * 40,
    )  # fmt: skip
    texts = ["".join(chance.choices(obeyed, k=chance.randint(1, 12))) for _ in range(120)]
    items = [
        replace(with_options(*(of_text(text) for text in texts[n : n + 4])), code=f"R{n}")
        for n in range(0, 80, 4)
    ]
    papers = [
        (
            replace(
                FACTS, title=text, author=text, pupil=text, date=text, instructions=(text,), licence=text
            ),
            items,
        )
        for text in texts[80:84]
    ]
    log = _set(engine, latex.pupils_papers("question-paper", papers), tmp_path, runs=2)

    assert [] == _too_wide(log)
    assert "Missing character" not in log
    assert SECRET not in _text(tmp_path)
