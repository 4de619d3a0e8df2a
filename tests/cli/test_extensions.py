"""Extensions from outside the package, through the command line: declared, installed, missing, broken, changed."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import shutil
import zipfile
from pathlib import Path

import pytest

from tests.cli.harness import ROOT, Program, change
from tests.extras import BANK, SOURCE, install


@pytest.fixture
def program(tmp_path: Path) -> Program:
    folder = tmp_path / "here"
    folder.mkdir()
    shutil.copytree(BANK, folder / "bank")
    return Program(folder)


@pytest.fixture
def installed(program: Program, tmp_path: Path) -> Program:
    """The same where the distribution is installed."""
    install(tmp_path / "site")
    program.environment["PYTHONPATH"] = f"{ROOT}{os.pathsep}{tmp_path / 'site'}"
    return program


def is_told(program: Program, place: str, told: str) -> None:
    """A check says at a place of the bank's file what is wrong with an extension."""
    out = program.run("check", "bank", status=1).out

    assert f"bank/bank.yaml:{place}: wrong: extension-broken" in out
    assert told in out


def test_a_bank_uses_what_it_declares_from_check_to_verify(installed: Program) -> None:
    checked = installed.run("check", "bank").out
    assert "prime(n)  rejects" in checked
    assert "0 wrong, 0 doubtful" in checked

    installed.run("build", "bank", "--out", "out", "--proof", "full", "--count", 6, err=None, left=None)
    report = (installed.folder / "out" / "report.md").read_text("utf-8")
    for told in (
        "property `prime`",
        "figure `bar-model`",
        "response `between-wholes`",
        "writer `revision-cards`",
    ):
        assert f"uses the {told} of saltmarsh-extras 1.2" in report
    assert "revision-cards: a card has no picture" in report
    records = (installed.folder / "out" / "staff" / "items.json").read_text("utf-8")
    assert re.search(r"is prime: (2² is more|none of)", records)
    cards = list(
        csv.reader(io.StringIO((installed.folder / "out/staff/bars-revision-cards.csv").read_text("utf-8")))
    )
    assert ["item", "question", "answer"] == cards[0]
    assert 7 == len(cards)
    solved = 0
    for _, question, answer in cards[1:]:
        found = re.fullmatch(r"Solve ([0-9]+)\*x \+ ([0-9]+) = ([0-9]+)\.", question)
        if found:
            n, r, t = map(int, found.groups())
            assert n in {2, 3, 5, 7}
            assert f"x = {(t - r) // n}" == answer
            solved += 1
    assert 3 == solved

    assert "6 items, none at fault" in installed.run("verify", "out", "--extension", "bar-model").out


def test_a_second_build_from_the_cache_is_the_same(installed: Program) -> None:
    for out in ("one", "two"):
        installed.run("build", "bank", "--out", out, "--count", 4, err=None, left=None)

    for name in (
        "report.json",
        "staff/items.json",
        "staff/bars-revision-cards.csv",
        "platform/bars-qti3.zip",
    ):
        assert (installed.folder / "one" / name).read_bytes() == (
            installed.folder / "two" / name
        ).read_bytes()


def test_items_made_in_several_processes_are_the_same(installed: Program) -> None:
    installed.run("build", "bank", "--out", "one", "--count", 450, "--formats", "json", err=None, left=None)
    installed.run(
        "build", "bank", "--out", "two", "--count", 450, "--formats", "json", "--workers", 2, err=None, left=None
    )  # fmt: skip

    assert (installed.folder / "one/staff/items.json").read_bytes() == (
        installed.folder / "two/staff/items.json"
    ).read_bytes()


def test_what_is_not_installed_is_told_at_its_line_with_the_way_to_install_it(program: Program) -> None:
    ended = program.run("check", "bank", status=1)

    assert ended.out.startswith(
        "bank/bank.yaml:9:12: wrong: extension-not-installed\n  the extension `prime` is not installed\n"
        "      - {name: prime, from: saltmarsh-extras}\n               ^^^^^\n"
        "  hint: install it: pip install saltmarsh-extras\n"
    )
    assert 4 == ended.out.count("extension-not-installed")
    assert "0 templates; 4 wrong" in ended.out
    program.run("build", "bank", "--out", "out", status=1, err=None)


def test_what_is_installed_and_not_declared_is_not_known(installed: Program) -> None:
    change(installed.folder / "bank/bank.yaml", "  - {name: prime, from: saltmarsh-extras}\n", "")
    told = installed.run("check", "bank", status=1).out
    assert "bank/templates/equal-parts.yaml:17:14: wrong: unknown-function" in told

    change(installed.folder / "bank/bank.yaml", "  - bar-model\n", "")
    assert "wrong: unknown-word" in installed.run("check", "bank", status=1).out
    one = installed.run("check", "bank/templates/equal-parts.yaml", status=1).out
    assert "wrong: unknown-word" in one

    change(installed.folder / "bank/bank.yaml", "  - between-wholes\n", "")
    told = installed.run("check", "bank", status=1).out
    assert "bank/templates/between.yaml:19:18: wrong: unknown-word" in told

    change(installed.folder / "bank/bank.yaml", "  - revision-cards\n", "")
    assert "not `revision-cards`" in installed.run("check", "bank", status=1).out


def test_one_bank_speaks_of_nothing_that_only_another_declares(installed: Program) -> None:
    shutil.copytree(installed.folder / "bank", installed.folder / "other")
    change(installed.folder / "other/bank.yaml", "  - {name: prime, from: saltmarsh-extras}\n", "")
    told = installed.run("check", "bank", "other", status=1).out

    assert "other/templates/equal-parts.yaml:17:14: wrong: unknown-function" in told
    assert 1 == told.count("wrong: unknown-function")


def test_a_template_alone_knows_what_its_bank_declares(installed: Program) -> None:
    shown = installed.run("show", "bank/templates/equal-parts.yaml", "--count", 1).out

    assert "Bar model: above, a bar of" in shown
    assert "proved  prime(n):" in shown


def test_a_format_of_an_extension_can_be_asked_for_by_the_command(installed: Program) -> None:
    change(
        installed.folder / "bank/bank.yaml",
        "settings: {formats: [qti3, latex, html, json, revision-cards]}\n",
        "",
    )
    installed.run("build", "bank", "--out", "out", "--formats", "revision-cards", err=None, left=None)
    assert (installed.folder / "out/staff/bars-revision-cards.csv").is_file()

    wrong = installed.run("build", "bank", "--out", "out", "--formats", "cards", status=2, err=None)
    assert "`cards` is none of qti3" in wrong.err
    no_writer = installed.run("build", "bank", "--out", "out", "--formats", "bar-model", status=1, err=None)
    assert "wrong: unknown-format" in no_writer.err


def test_another_version_is_in_the_report_and_not_read_from_the_cache(
    installed: Program, tmp_path: Path
) -> None:
    cache = installed.own_cache()
    installed.run("build", "bank", "--out", "out", "--count", 4, err=None, left=None)
    entries = set(cache.rglob("*.bank"))
    install(tmp_path / "site", version="1.3")
    installed.run("build", "bank", "--out", "out", "--count", 4, err=None, left=None)

    assert "saltmarsh-extras 1.3" in (installed.folder / "out/report.md").read_text("utf-8")
    assert len(set(cache.rglob("*.bank"))) == len(entries) + 1


def test_verify_says_what_it_cannot_check_without_the_extension(installed: Program) -> None:
    installed.run("build", "bank", "--out", "out", "--count", 4, err=None, left=None)
    del installed.environment["PYTHONPATH"]
    told = installed.run("verify", "out").out
    assert "2 items: pictures of the kind 'bar-model' are of the extension 'saltmarsh-extras 1.2'" in told
    assert "their numbers were not checked" in told
    missing = installed.run("verify", "out", "--extension", "bar-model", status=1, err=None)
    assert "the extension `bar-model` is not installed" in missing.err


def test_verify_finds_a_spoiled_picture_of_an_extension(installed: Program) -> None:
    installed.run("build", "bank", "--out", "out", "--count", 4, err=None, left=None)
    spoiled = installed.folder / "spoiled.zip"
    with (
        zipfile.ZipFile(installed.folder / "out/platform/bars-qti3.zip") as old,
        zipfile.ZipFile(spoiled, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            data = old.read(name)
            if name.endswith(".svg"):
                data = re.sub(rb'data-numbers="([0-9]+) ', rb'data-numbers="1\1 ', data)
            new.writestr(name, data)
    told = installed.run("verify", spoiled, "--extension", "bar-model", status=1).out

    assert "picture-numbers" in told
    assert "its words do not say 1" in told


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('    name="prime",', '    name="primes",', "calls itself `primes`"),
        ("import annotations\n", "import annotations\nimport nowhere_at_all\n", "ModuleNotFoundError"),
        ("PRIME = PropertyExtension(", "PRIME = dict(", "is no PropertyExtension, but a dict"),
        (
            "import annotations\n",
            "import annotations\nimport sys\nsys.exit(0)\n",
            "cannot be loaded: SystemExit: 0",
        ),
        ('takes="number"', 'takes="numbers"', "takes `numbers`: a property takes one of polynomial, number,"),
        (
            '{"six thirds, not',
            '{"2 thirds, not',
            "is true at `2 thirds, not in lowest terms`, which is none of",
        ),
        ("    again=again,", "    again=None,", "has a `again` that is no function"),
    ],
)
def test_an_extension_that_is_broken_is_told_at_its_line(
    installed: Program, tmp_path: Path, old: str, new: str, told: str
) -> None:
    change(tmp_path / "site/saltmarsh_prime.py", old, new)
    is_told(installed, "9:12", told)


def test_names_that_clash_are_told(installed: Program, tmp_path: Path) -> None:
    points = next((tmp_path / "site").glob("*.dist-info")) / "entry_points.txt"
    taken = points.read_text("utf-8").replace(
        "prime = saltmarsh_prime:PRIME", "monic = saltmarsh_monic:MONIC"
    )
    points.write_text(taken, "utf-8")
    text = (SOURCE / "saltmarsh_prime.py").read_text("utf-8")
    (tmp_path / "site/saltmarsh_monic.py").write_text(
        text.replace('name="prime"', 'name="monic"').replace("PRIME = ", "MONIC = "), "utf-8"
    )
    change(installed.folder / "bank/bank.yaml", "name: prime", "name: monic")
    assert "has a name that a property of the house has" in installed.run("check", "bank", status=1).out

    twin = tmp_path / "site" / "marsh_twin-0.1.dist-info"
    twin.mkdir()
    (twin / "METADATA").write_text("Metadata-Version: 2.1\nName: marsh-twin\nVersion: 0.1\n", "utf-8")
    (twin / "entry_points.txt").write_text("[itembank.figures]\nbar-model = elsewhere:BAR\n", "utf-8")
    told = installed.run("check", "bank", status=1).out
    assert "extension-twice" in told
    assert "figure of marsh-twin, figure of saltmarsh-extras" in told


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("parts: n, rest: r, whole: t", "parts: n, rest: r", "missing-key"),
        ("whole: t}", "whole: t, colour: n}", "unknown-key"),
        ("whole: t}", "whole: t + x}", "value-needed"),
        ("{kind: bar-model, with", "{kind: bar-model, of: x, with", "figure-key-not-used"),
        ("{kind: bar-model, with: {parts: n, rest: r, whole: t}}", "{kind: parabola, of: x^2, with: {a: n}}",
         "figure-key-not-used"),
        ("{kind: bar-model, with: {parts: n, rest: r, whole: t}}", "{kind: parabola}", "missing-key"),
        ("parts: n, rest", "parts: n/2, rest", "figure-cannot-be-drawn"),
    ],
)  # fmt: skip
def test_a_picture_that_is_asked_for_wrongly_is_told(
    installed: Program, old: str, new: str, code: str
) -> None:
    change(installed.folder / "bank/templates/equal-parts.yaml", old, new)

    assert re.search(
        rf"bank/templates/equal-parts\.yaml:21:[0-9]+: wrong: {code}",
        installed.run("check", "bank", status=1).out,
    )


def test_a_misshapen_declaration_is_told(installed: Program) -> None:
    change(installed.folder / "bank/bank.yaml", "  - bar-model\n", "  - Bar Model\n")
    assert "bank/bank.yaml:10:5: wrong: extension-name" in installed.run("check", "bank", status=1).out


# kinds of response


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("with: {from: 0, to: 5}", "with: {from: 0}", "19:11: wrong: missing-key"),
        ("to: 5}}", "to: 5, by: 2}}", "19:57: wrong: unknown-key"),
        ("to: 5}}", "to: [5]}}", "19:50: wrong: text-needed"),
        ("to: 5}}", "to: five}}", "19:11: wrong: wrong-value"),
        ("to: 5}}", "to: 0}}", "19:11: wrong: wrong-value"),
        ("to: 5}}", "to: 5}, options: 3}", "19:58: wrong: key-of-other-kind"),
        ("unknowns: [x]", "unknowns: [x, y]", "19:11: wrong: wrong-value"),
    ],
)
def test_a_kind_that_is_asked_for_wrongly_is_told(installed: Program, old: str, new: str, place: str) -> None:
    change(installed.folder / "bank/templates/between.yaml", old, new)

    assert f"bank/templates/between.yaml:{place}" in installed.run("check", "bank", status=1).out


def test_a_kind_has_the_marks_of_its_template_and_every_proof(installed: Program) -> None:
    path = installed.folder / "bank/templates/between.yaml"
    change(path, "to: 5}}", "to: 5}, marks: 2}")
    installed.run("build", "bank", "--out", "out", "--count", 40, "--proof", "full", err=None, left=None)
    items = json.loads((installed.folder / "out/staff/items.json").read_text("utf-8"))["items"]
    asked = [item for item in items if item["address"]["template"] == "between"]

    assert 20 == len(asked)
    for item in asked:
        (part,) = item["parts"]
        (right,) = [option for option in part["options"] if option["right"]]
        n, t = (int(item["values"][name]) for name in "nt")
        assert f"between {t // n} and {t // n + 1}" == right["plain"]
        assert 2 == part["marks"]
    assert "40 items, none at fault" in installed.run("verify", "out", "--extension", "bar-model").out


def test_a_kind_whose_answer_is_in_no_option_is_told_at_its_place(installed: Program) -> None:
    change(installed.folder / "bank/templates/between.yaml", "constraints: [t < 5*n]\n", "")
    told = installed.run("check", "bank", status=1).out

    assert re.search(r"bank/templates/between\.yaml:[0-9]+:[0-9]+: wrong: words-do-not-fit", told)


def test_a_kind_that_is_spelled_otherwise_needs_a_new_version(installed: Program, tmp_path: Path) -> None:
    installed.run("build", "bank", "--out", "out", "--count", 4, err=None, left=None)
    change(tmp_path / "site/saltmarsh_between.py", '"en": f"between ${low}$ and', '"en": f"from ${low}$ to')
    ended = installed.run("build", "bank", "--out", "out", "--count", 4, status=1, err=None)

    assert "bank/templates/between.yaml:2:1: wrong: version-not-raised" in ended.err


@pytest.mark.parametrize(
    ("file", "old", "new", "name"),
    [
        (
            "saltmarsh_prime.py",
            "    if n % d or n // d < 2:\n        return False\n",
            "    n // (d - 1)\n",
            "prime",
        ),
        ("saltmarsh_prime.py", '        return Refuted(f"{n} is below 2")', "        n // 0", "prime"),
        ("saltmarsh_prime.py", "    tried: list[int] = []\n", "    tried = nothing\n", "prime"),
        ("saltmarsh_bar_model.py", "    unit = _LONG / whole\n", "    unit = _LONG / 0\n", "bar-model"),
        ("saltmarsh_between.py", "    (x,) = unknowns\n", "    x = unknowns[7]\n", "between-wholes"),
        ("saltmarsh_cards.py", "    lines = [csv_line(", "    lines = [csv_lines(", "revision-cards"),
        ("saltmarsh_cards.py", '    return "".join(lines)', "    lines.sort()", "revision-cards"),
        ("saltmarsh_cards.py", '"".join(lines)', '"\\ud800"', "revision-cards"),
        ("saltmarsh_cards.py", "write, shortfalls)", "write, lambda item: item.code)", "revision-cards"),
        ("saltmarsh_cards.py", "        yield", "        return", "revision-cards"),
        (
            "saltmarsh_prime.py",
            "    if n % d or n // d < 2:\n        return False",
            "    return None",
            "prime",
        ),
        ("saltmarsh_prime.py", "    n //= d\n    if n < 2:", "    return True\n    if n < 2:", "prime"),
    ],
)
def test_an_extension_that_fails_is_named_and_nothing_is_written(
    installed: Program, tmp_path: Path, file: str, old: str, new: str, name: str
) -> None:
    change(tmp_path / "site" / file, old, new)
    if new == "        n // 0":
        change(tmp_path / "site" / file, "    if n < 2:", "    if n >= 2:")
    ended = installed.run("build", "bank", "--out", "out", "--count", 4, status=1, err=None, left=None)

    assert re.search(rf"itembank: the extension `{name}` failed: [A-Za-z]+Error: ", ended.err)
    assert not (installed.folder / "out").exists()


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"staff"', '"staf"', "is for the folder `staf`: a document is for one of pupils, staff, platform"),
        ('".csv"', '"/../../x.csv"', "has the suffix `/../../x.csv`: it is a point and letters or digits"),
        ('".csv"', '"csv"', "has the suffix `csv`"),
        ("write, shortfalls)", "None, shortfalls)", "has a `write` that is no function"),
    ],
)
def test_a_writer_that_writes_where_it_may_not_is_told(
    installed: Program, tmp_path: Path, old: str, new: str, told: str
) -> None:
    change(tmp_path / "site/saltmarsh_cards.py", old, new)
    is_told(installed, "12:5", told)


def test_no_document_of_the_house_is_written_over(installed: Program, tmp_path: Path) -> None:
    points = next((tmp_path / "site").glob("*.dist-info")) / "entry_points.txt"
    change(points, "revision-cards = ", "answer-key = ")
    change(
        tmp_path / "site/saltmarsh_cards.py",
        '"revision-cards", "staff", ".csv"',
        '"answer-key", "staff", ".html"',
    )
    file = installed.folder / "bank/bank.yaml"
    file.write_text(file.read_text("utf-8").replace("revision-cards", "answer-key"), "utf-8")
    ended = installed.run(
        "build",
        "bank",
        "--out",
        "out",
        "--count",
        4,
        "--formats",
        "html,answer-key",
        status=1,
        err=None,
        left=None,
    )

    assert "`answer-key` failed: a document of the house is called bars-answer-key.html" in ended.err
    assert not (installed.folder / "out").exists()


def test_a_test_and_a_proof_that_disagree_are_the_fault_of_the_extension(
    installed: Program, tmp_path: Path
) -> None:
    change(
        tmp_path / "site/saltmarsh_prime.py",
        "    if n % d or n // d < 2:\n        return False",
        "    return True",
    )
    ended = installed.run("check", "bank", status=1, err=None)

    assert "itembank: the extension `prime` failed: its `test` and its `prove` disagree at " in ended.err
