"""`itembank show --page`: the page on which a teacher judges templates, as a user gets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from lxml import html

from itembank.errors import InputError
from itembank.library import review_page
from tests.cli.harness import Program, change

PAGE = ("--page", "items.html")


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """A bank of three templates: a choice, boxes to fill, and words."""
    folder = tmp_path / "here"
    folder.mkdir()
    program = Program(folder)
    program.demo("monic-even-surd", "equal-roots", "kind-of-roots")
    return program


def read(program: Program, *arguments: str) -> html.HtmlElement:
    """The page of a run."""
    (program.folder / "items.html").unlink(missing_ok=True)
    program.run("show", "bank", *PAGE, *arguments, left=None)
    return html.fromstring((program.folder / "items.html").read_bytes())


def told(page: html.HtmlElement, label: str) -> list[str]:
    """What stands beside a label in the head of each template."""
    return [
        " ".join(row.find("dd").text_content().split())
        for row in page.xpath("//dl[@class='facts']/div")
        if row.find("dt").text_content() == label
    ]


def test_each_template_has_its_items_and_a_place_to_sign(program: Program) -> None:
    ended = program.run("show", "bank", *PAGE, "--count", 2, left=("items.html",))
    page = html.fromstring((program.folder / "items.html").read_bytes())

    assert ended.out == "items.html: 6 items of 3 templates\n"
    assert [each.split(",")[0] for each in told(page, "Template")] == [
        "equal-roots",
        "kind-of-roots",
        "monic-even-surd",
    ]
    assert len(page.xpath("//article")) == 6
    assert len(page.xpath("//table[@class='judged']")) == 3
    assert len(page.xpath("//p[@class='verdict']")) == 3


def test_an_item_comes_with_all_that_show_tells_of_it(program: Program) -> None:
    page = read(program, "--count", "1")
    shown = json.loads(program.run("show", "bank", "--count", 1, "--json").out)

    for article, item in zip(page.xpath("//article"), shown, strict=True):
        (part,) = item["parts"]
        tried = [row.text_content() for row in article.xpath(".//table[@class='key']/tbody/tr/th")]
        assert len(article.xpath(".//ol[contains(@class, 'options')]/li")) == len(part.get("options", ()))
        assert len(article.xpath(".//div[@class='slips']/dl/div")) == len(part["slips"])
        assert len(tried) >= 2 + bool(part["slips"])
        assert tried[-1] == "answer nothing"


def test_what_holds_of_every_item_is_said_in_words(program: Program) -> None:
    held = told(read(program), "Every item")

    assert "the problem has two different irrational roots" in " ".join(held)
    assert "k has a square root that simplifies to a smaller surd" in " ".join(held)


@pytest.mark.parametrize(
    ("written", "told_as"),
    [
        ("coprime(h, k)", "h, k have no common factor"),
        ("h^2 - k != 0", "h2−k≠0"),
        ("not h = 12", "not h = 12"),
    ],
)
def test_other_conditions_are_told_as_mathematics_or_as_written(
    program: Program, written: str, told_as: str
) -> None:
    change(
        program.folder / "bank/templates/monic-even-surd.yaml",
        "  - simplifiable_surd(k)",
        f"  - simplifiable_surd(k)\n  - {written}",
    )

    assert told_as in " ".join(told(read(program), "Every item"))


def test_the_extremes_are_named(program: Program) -> None:
    page = read(program, "--corners")
    reasons = [each.text_content() for each in page.xpath("//article/p/em")]

    assert len(reasons) == len(page.xpath("//article"))
    assert {"smallest", "largest"} <= set(reasons)


def test_who_approved_what_stands_at_its_head(program: Program) -> None:
    program.run(
        "approve", "bank", "equal-roots", "kind-of-roots", "--by", "Ms Ash", "--on", "2026-06-12", left=None
    )
    change(program.folder / "bank/templates/kind-of-roots.yaml", "minutes: ", "minutes: 1")

    assert told(read(program), "Approval") == [
        "approved by Ms Ash, 2026-06-12",
        "changed since version 1 was approved",
        "not approved yet",
    ]


def test_the_page_speaks_the_language_of_the_texts(program: Program) -> None:
    page = read(program, "--language", "de")

    assert page.get("lang") == "de"
    assert told(page, "Freigabe") == ["noch nicht freigegeben"] * 3
    assert "Bei dieser Antwort" in page.text_content()


def test_of_a_single_file_there_is_nothing_on_approvals(program: Program) -> None:
    program.run("show", "bank/templates/equal-roots.yaml", *PAGE, left=None)
    page = html.fromstring((program.folder / "items.html").read_bytes())

    assert told(page, "Template") == ["equal-roots, version 1"]
    assert told(page, "Approval") == []
    assert "itembank approve" not in page.text_content()


def test_a_file_that_is_there_stays(program: Program) -> None:
    program.write("items.html", "judged already")
    ended = program.run("show", "bank", *PAGE, status=1, err=None)

    assert "file-exists" in ended.err
    assert (program.folder / "items.html").read_text("utf-8") == "judged already"


def test_the_page_is_not_json(program: Program) -> None:
    ended = program.run("show", "bank", *PAGE, "--json", status=2, err=None)

    assert "`--json` does not go with it" in ended.err


def test_a_template_with_a_fault_leaves_no_page(program: Program) -> None:
    change(program.folder / "bank/templates/monic-even-surd.yaml", "k: {from: 2,", "k: {from: 100,")

    program.run("show", "bank", *PAGE, status=1, err=None)


def test_programs_get_the_page_as_text(program: Program) -> None:
    page = review_page(program.folder / "bank", count=1)

    assert (page.templates, page.items) == (3, 3)
    assert page.text.startswith("<!DOCTYPE html>")
    with pytest.raises(InputError):
        review_page(program.folder / "nowhere")


def test_the_command_names_the_bank_also_from_within_it(
    program: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(program.folder / "bank")

    assert "itembank approve bank " in review_page(".", count=1).text
