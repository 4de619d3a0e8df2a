"""TeX in its private folder: what it may not do, what is told when it stops."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from itembank.build import pdf
from itembank.errors import InputError
from itembank.writers import latex
from itembank.writers.paper import PaperFacts
from tests import samples

_HEAD, _TAIL = "\\documentclass{article}\n\\begin{document}\n", "\n\\end{document}\n"


@pytest.fixture(params=pdf.ENGINES)
def engine(request: pytest.FixtureRequest) -> str:
    """The path of an engine that is installed; the test is skipped where it is not."""
    found = shutil.which(request.param)
    if found is None:
        pytest.skip(f"{request.param} is not installed")
    return found


def test_where_no_tex_is_installed_it_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))

    with pytest.raises(InputError) as wrong:
        pdf.find_engine()
    (diagnostic,) = wrong.value.diagnostics
    assert "no-tex" == diagnostic.code
    assert "texlive" in diagnostic.hint
    assert "HTML" in diagnostic.hint


def test_the_same_source_gives_the_same_bytes(engine: str) -> None:
    source = latex.document("answer-key", [samples.choice_item()], PaperFacts("Surds", "Saltmarsh College"))

    first = pdf.set_as_pdf(source, engine, "key.tex")
    assert first.startswith(b"%PDF-")
    assert first == pdf.set_as_pdf(source, engine, "key.tex")


def test_what_stops_tex_is_told_with_its_item(engine: str) -> None:
    source = f"{_HEAD}% item K7Q2M\nfine\n% item P3R7T\n\\Nowhere\n{_TAIL}"

    with pytest.raises(InputError) as wrong:
        pdf.set_as_pdf(source, engine, "pupils/paper.tex")
    (diagnostic,) = wrong.value.diagnostics
    assert "tex-stopped" == diagnostic.code
    assert "pupils/paper.tex: at item P3R7T: Undefined control sequence" in diagnostic.message


def test_no_shell_and_no_file_outside_is_read(engine: str, tmp_path: Path) -> None:
    secret = tmp_path / "secret.tex"
    secret.write_text("the words of another file")
    shell = (
        f"\\immediate\\write18{{touch {tmp_path}/shell}}"
        if "pdftex" in engine or "pdflatex" in engine
        else ""
    )
    hostile = f"{shell}\\IfFileExists{{{secret}}}{{\\errmessage{{reached}}}}{{}}x"

    assert pdf.set_as_pdf(_HEAD + hostile + _TAIL, engine, "x.tex").startswith(b"%PDF-")
    assert ["secret.tex"] == [path.name for path in tmp_path.iterdir()]


def test_no_file_outside_is_written(engine: str, tmp_path: Path) -> None:
    out = tmp_path / "written.tex"
    hostile = f"\\newwrite\\out\\immediate\\openout\\out={out} \\immediate\\write\\out{{x}}x"

    with pytest.raises(InputError, match="could not set"):
        pdf.set_as_pdf(_HEAD + hostile + _TAIL, engine, "x.tex")
    assert [] == list(tmp_path.iterdir())


def test_what_never_ends_is_stopped(engine: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "MOST_SECONDS", 3)

    with pytest.raises(InputError, match="could not set"):
        pdf.set_as_pdf(f"{_HEAD}\\def\\x{{\\x}}\\x{_TAIL}", engine, "x.tex")


def test_several_are_set_at_a_time_in_their_order_with_the_same_bytes(engine: str) -> None:
    keys = [latex.document("answer-key", [samples.choice_item()], PaperFacts(f"Paper {n}")) for n in range(4)]
    sources = [(key, f"{n}.tex") for n, key in enumerate(keys)]

    alone = list(pdf.set_all(sources, engine, 1))
    assert alone == list(pdf.set_all(sources, engine, 2))
    assert 4 == len(set(alone))


@pytest.mark.parametrize("workers", [1, 2])
def test_one_that_stops_stops_them_all_and_is_named(engine: str, workers: int) -> None:
    sources = [(f"{_HEAD}well{_TAIL}", "well.tex"), (f"{_HEAD}\\wrong{_TAIL}", "wrong.tex")]

    with pytest.raises(InputError, match=r"wrong\.tex"):
        list(pdf.set_all(sources, engine, workers))
