"""Pictures outside this house: TeX sets them, no label wider than the room it was given; a browser shows them."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.figures import drawing
from itembank.figures.drawing import EM
from itembank.figures.lettering import lettering
from itembank.figures.svg import pixels, svg
from itembank.figures.tikz import tikz
from itembank.writers.latex.characters import escape
from tests.figure_samples import FIGURES
from tests.samples import maths

POINT_MILLIMETRES = 25.4 / 72.27
PREAMBLE = (
    "\\documentclass[a4paper]{article}\n\\usepackage[T1]{fontenc}\\usepackage{lmodern}\\usepackage{amsmath}\\usepackage{tikz}\n"
    "\\newcommand\\PictureLetters{\\fontsize{10}{12}\\selectfont}\n\\begin{document}\n"
)
MORE = (
    "x^2 - 18*x + 79", "(x - 99/2)^2", "root(7, 3)", "(5 - 3*sqrt(13))/6", "(12, -13/4)", "w*m*abs(x - 1)",
    "x = -4 or x = 17", "x_1 >= 1000000", "sqrt(x^2 + 1)/2", "alpha < 3",
)  # fmt: skip


@pytest.fixture(params=["pdflatex", "lualatex"])
def engine(request: pytest.FixtureRequest) -> str:
    """An engine that is installed with TikZ; the test is skipped where it is not."""
    name: str = request.param
    if (
        shutil.which(name) is None
        or subprocess.run(["kpsewhich", "tikz.sty"], capture_output=True).returncode
    ):
        pytest.skip(f"{name} with TikZ is not installed")
    return name


def typeset(engine: str, body: str, folder: Path) -> str:
    """TeX's report on a body."""
    (folder / "pictures.tex").write_text(f"{PREAMBLE}{body}\n\\end{{document}}\n", "ascii")
    command = [engine, "-no-shell-escape", "-halt-on-error", "-interaction=nonstopmode", "pictures.tex"]
    run = subprocess.run(command, cwd=folder, capture_output=True, check=False, timeout=300)
    assert 0 == run.returncode, run.stdout.decode("latin-1")[-2000:]
    return (folder / "pictures.log").read_text("latin-1")


def test_every_kind_of_picture_compiles(engine: str, tmp_path: Path) -> None:
    body = "\n\n\\noindent ".join(tikz(figure, escape) for figure in FIGURES)

    log = typeset(engine, body, tmp_path)

    assert [] == re.findall(r"^(?:Overfull|LaTeX Warning: Reference).*", log, re.MULTILINE)


def test_no_label_is_wider_or_higher_than_its_room(engine: str, tmp_path: Path) -> None:
    found = {label.text for figure in FIGURES for label in drawing(figure).labels} | {
        maths(text) for text in MORE
    }
    labels = sorted(found, key=_source)
    body = "\n".join(
        f"\\setbox0\\hbox{{\\PictureLetters {_source(label)}}}"
        f"\\typeout{{W{number}: \\the\\wd0, \\the\\ht0, \\the\\dp0}}"
        for number, label in enumerate(labels)
    )

    log = typeset(engine, body, tmp_path)

    sizes = re.findall(r"^W(\d+): ([\d.]+)pt, ([\d.]+)pt, ([\d.]+)pt", log, re.MULTILINE)
    assert len(labels) == len(sizes)
    too_small = []
    for number, *measured in sizes:
        laid = lettering(labels[int(number)])
        room = [float(length * EM / 1000) for length in (laid.width, laid.above, laid.below)]
        taken = [float(points) * POINT_MILLIMETRES for points in measured]
        if any(one > other + 0.05 for one, other in zip(taken, room, strict=True)):
            too_small.append((_source(labels[int(number)]), taken, room))
        assert room[0] <= 1.45 * taken[0] + 1, "so much room is wasted that pictures grow"
    assert [] == too_small


def _source(label: Maths | str) -> str:
    return escape(label) if isinstance(label, str) else f"${latex(label)}$"


def test_a_browser_shows_every_picture(tmp_path: Path) -> None:
    """The picture's own size is that of the image; there is ink in it, and none at its edges."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None or shutil.which("pdftotext") is None:
        pytest.skip("no headless browser is installed")
    page = "<!DOCTYPE html><meta charset='utf-8'><style>body{margin:0}svg{display:block}</style>"
    (tmp_path / "all.html").write_text(page + "".join(svg(figure) for figure in FIGURES), "utf-8")
    command = [
        browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
        f"--print-to-pdf={tmp_path / 'all.pdf'}", f"--user-data-dir={tmp_path / 'profile'}", str(tmp_path / "all.html"),
    ]  # fmt: skip

    subprocess.run(command, capture_output=True, check=True, timeout=300)

    words = subprocess.run(["pdftotext", str(tmp_path / "all.pdf"), "-"], capture_output=True, check=True)
    shown = set(re.findall(r"\d+", words.stdout.decode()))
    wanted = {
        run.text for figure in FIGURES for label in drawing(figure).labels for run in lettering(label.text).runs
        if run.text.isdecimal()
    }  # fmt: skip
    assert wanted <= shown
    assert all(pixels(figure)[0] < 1000 for figure in FIGURES)
