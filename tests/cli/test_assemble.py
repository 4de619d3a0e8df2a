"""`itembank assemble`: forms of a blueprint as a user has them made, and what is told where there are none."""

from __future__ import annotations

import json
import re
import shutil
import zipfile
from typing import Any

import pytest

from tests.cli.harness import DEMO, Program

BLUEPRINT = """blueprint: half-term
title: Quadratics at half-term
forms: 2
items: 6
marks: {from: 8, to: 14}
holds:
  - topic: quadratics/completing-the-square
    items: 3
  - template: [simplify-surd, kind-of-roots]
    items: {from: 1, to: 2}
pool: 12
"""


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Program:
    """One folder for all: the bank is read once, and kept in its cache."""
    folder = tmp_path_factory.mktemp("forms") / "here"
    folder.mkdir()
    shutil.copytree(DEMO, folder / "bank")
    (folder / "bank" / "blueprints").mkdir(exist_ok=True)
    return Program(folder)


def write(program: Program, text: str = BLUEPRINT, name: str = "bank/blueprints/test.yaml") -> str:
    (program.folder / name).write_text(text, "utf-8")
    return name


def made(
    program: Program, *options: object, text: str = BLUEPRINT, out: str = "out", formats: str = "json"
) -> dict[str, Any]:
    name = write(program, text)
    shutil.rmtree(program.folder / out, ignore_errors=True)
    ended = program.run("assemble", name, "--out", out, "--formats", formats, *options, "--json", left=None)
    report: dict[str, Any] = json.loads(ended.out)
    assert json.loads((program.folder / out / "report.json").read_text("utf-8")) == report
    return report


def records(program: Program, form: str, out: str = "out") -> list[dict[str, Any]]:
    path = program.folder / out / f"form-{form}" / "staff" / "items.json"
    found: list[dict[str, Any]] = json.loads(path.read_text("utf-8"))["items"]
    return found


# ---- what is made -----------------------------------------------------------------------------------------


def test_forms_hold_what_the_blueprint_asks_for_and_share_nothing(program: Program) -> None:
    report = made(program)

    first, second = records(program, "a"), records(program, "b")
    for items in (first, second):
        assert len(items) == 6
        assert 8 <= sum(item["marks"] for item in items) <= 14
        assert sum("quadratics/completing-the-square" in item["topics"] for item in items) == 3
        assert (
            1 <= sum(item["address"]["template"] in {"simplify-surd", "kind-of-roots"} for item in items) <= 2
        )
        assert len({item["address"]["template"] for item in items}) == 6
    assert {item["code"] for item in first}.isdisjoint(item["code"] for item in second)
    assert sorted(i["address"]["template"] for i in first) == sorted(i["address"]["template"] for i in second)
    assert sum(item["marks"] for item in first) == sum(item["marks"] for item in second)
    assert [form["form"] for form in report["forms"]] == ["A", "B"]


def test_the_report_tells_of_each_form_what_its_records_say(program: Program) -> None:
    report = made(program)

    for form, letter in zip(report["forms"], "ab", strict=True):
        items = records(program, letter)
        assert [item["code"] for item in items] == [question["code"] for question in form["questions"]]
        assert sum(item["marks"] for item in items) == form["marks"]
        difficulties = [item["difficulty"]["thousandths"] for item in items]
        assert abs(sum(difficulties) - 6 * form["difficulty"]) <= 3
    means = [form["difficulty"] for form in report["forms"]]
    assert max(means) - min(means) <= 10
    told = (program.folder / "out" / "report.md").read_text("utf-8")
    assert "| A | 6 |" in told
    assert "## Form B" in told


def test_each_form_is_a_whole_build_that_verify_accepts(program: Program) -> None:
    made(program, formats="qti3,html,json")

    assert 2 == program.run("verify", "out").out.count("6 items, none at fault")
    for letter in "ab":
        program.run("verify", f"out/form-{letter}", "--digests", f"out/form-{letter}/staff/digests.txt")
        package = program.folder / "out" / f"form-{letter}" / "platform" / f"half-term-{letter}-qti3.zip"
        with zipfile.ZipFile(package) as held:
            assert 6 == sum(bool(re.fullmatch(r"items/[^/]+\.xml", name)) for name in held.namelist())
            assert f"Quadratics at half-term {letter.upper()}" in held.read("imsmanifest.xml").decode()
        paper = (
            program.folder / "out" / f"form-{letter}" / "pupils" / f"half-term-{letter}-question-paper.html"
        )
        text = paper.read_text("utf-8")
        order = [text.index(item["code"]) for item in records(program, letter)]
        assert order == sorted(order)
        assert "Quadratics at half-term" in text
        assert f"Form {letter.upper()}" in text


def test_equal_inputs_give_equal_files(program: Program) -> None:
    made(program, formats="qti3,latex,html,json")
    made(program, out="again", formats="qti3,latex,html,json")

    first, again = program.folder / "out", program.folder / "again"
    names = sorted(path.relative_to(first) for path in first.rglob("*") if path.is_file())
    assert len(names) > 20
    assert names == sorted(path.relative_to(again) for path in again.rglob("*") if path.is_file())
    assert [] == [str(name) for name in names if (first / name).read_bytes() != (again / name).read_bytes()]


def test_anchor_items_are_in_every_form(program: Program) -> None:
    text = (
        BLUEPRINT.replace("forms: 2", "forms: 3") + "shared: 2\nshared_from: [simplify-surd, vertex-form]\n"
    )
    report = made(program, text=text)

    codes = [{item["code"] for item in records(program, letter)} for letter in "abc"]
    assert set(report["shared"]) == codes[0] & codes[1] == codes[1] & codes[2] == codes[0] & codes[2]
    assert len(report["shared"]) == 2
    by_code = {item["code"]: item["address"]["template"] for item in records(program, "a")}
    assert {by_code[code] for code in report["shared"]} == {"simplify-surd", "vertex-form"}


def test_questions_of_one_number_are_alike_in_all_forms(program: Program) -> None:
    """Of one template, or the same where forms share it; by whatever the first form rises."""
    for order in ("rising", "difficulty", "rows"):
        more = f"shared: 2\nof_each_template: 3\norder: {order}\n"
        text = BLUEPRINT.replace("forms: 2", "forms: 4").replace("items: 6", "items: 8") + more
        report = made(program, text=text.replace("to: 14", "to: 18"))

        forms = [records(program, letter) for letter in "abcd"]
        for questions in zip(*forms, strict=True):
            assert len({item["address"]["template"] for item in questions}) == 1
            shared = {item["code"] for item in questions} & set(report["shared"])
            assert len({item["code"] for item in questions}) == (1 if shared else 4)


def test_what_was_used_is_not_used_again_whatever_the_seed(program: Program) -> None:
    made(program)
    for seed in (1, 7):
        made(program, "--not-again", "out", "--seed", seed, out=f"later-{seed}")

        def contents(out: str) -> set[str]:
            return {
                json.dumps([item["address"]["template"], item["values"]])
                for letter in "ab"
                for item in records(program, letter, out)
            }

        assert contents("out").isdisjoint(contents(f"later-{seed}"))


def test_a_form_can_rise_by_difficulty_or_follow_the_rows(program: Program) -> None:
    made(program, text=BLUEPRINT + "order: difficulty\n")
    difficulties = [item["difficulty"]["thousandths"] for item in records(program, "a")]
    made(program, text=BLUEPRINT + "order: rows\n")
    topics = ["quadratics/completing-the-square" in item["topics"] for item in records(program, "a")]

    assert difficulties[0] < difficulties[-1]
    assert topics == [True, True, True, False, False, False]


def test_without_a_length_a_form_holds_only_what_rows_ask_for(program: Program) -> None:
    text = BLUEPRINT.replace("items: 6\nmarks: {from: 8, to: 14}\n", "")
    made(program, text=text)

    items = records(program, "a")
    assert 4 <= len(items) <= 5
    for item in items:
        is_asked_for = "quadratics/completing-the-square" in item["topics"]
        assert is_asked_for or item["address"]["template"] in {"simplify-surd", "kind-of-roots"}


def test_forms_tell_most_where_that_is_asked(program: Program) -> None:
    text = "blueprint: aimed\ntitle: Aimed\nitems: 4\nforms: 2\nmost_information_at: [0.5]\nof_each_template: 2\n"
    aimed = made(program, text=text)
    usual = made(program, text=text.replace("most_information_at: [0.5]\n", ""), out="usual")

    def least(report: dict[str, Any]) -> int:
        return min(sum(form["information"][1:]) for form in report["forms"])

    assert least(aimed) >= least(usual)
    for form in aimed["forms"]:
        assert all(abs(question["difficulty"] - 500) <= 300 for question in form["questions"])


def test_items_of_several_marks_tell_by_their_steps_where_a_calibration_knows_them(program: Program) -> None:
    text = "blueprint: steps\ntitle: Steps\nholds:\n  - {template: [vertex-form, equal-roots], items: 2}\n"
    without = made(program, text=text, out="without")["forms"][0]
    kept = program.folder / "bank" / "calibration.yaml"
    kept.write_text(
        "calibration: Autumn\ntemplates:\n  - {template: vertex-form, adds: 0, steps: [-500, 0, 500]}\n"
        "  - {template: equal-roots, adds: 0, steps: [-500, 500]}\n",
        "utf-8",
    )
    by_steps = made(program, text=text)["forms"][0]
    told = program.run("assemble", write(program, text), "--out", "out", "--formats", "json", left=None).out
    kept.unlink()

    assert [False, False] == [each["by_steps"] for each in without["questions"]]
    assert {"vertex-form": True, "equal-roots": False} == {
        each["template"]: each["by_steps"] for each in by_steps["questions"]
    }, "steps of two marks say nothing of an item of three"
    assert by_steps["information"][1] > 2 * without["information"][1]
    assert (
        "information: by the partial credit model, on the calibration's steps for the marks of vertex-form; "
        "those of equal-roots count as right or wrong"
    ) in told


IN_SPANISH = "blueprint: es\ntitle: {en: Short, es: Breve}\nforms: 2\nitems: 3\n"


def leave_in_english(program: Program) -> None:
    """A text that stands alone is in the file's own language, and an item never mixes two."""
    for path in (program.folder / "bank" / "templates").glob("*.yaml"):
        if path.stem not in {"monic-even-surd", "monic-rational-roots", "simplify-surd"}:
            text = path.read_text("utf-8")
            path.write_text(re.sub(r"(?m)^title:\n  en: (.*)\n(?:  .*\n)+", r"title: \1\n", text), "utf-8")


def test_what_another_language_leaves_out_is_told(program: Program) -> None:
    leave_in_english(program)
    name = write(program, IN_SPANISH)
    told = program.run(
        "assemble", name, "--out", "spanish", "--formats", "json", "--language", "es", left=None
    ).out

    assert "not whole in the language, left out: equal-roots-shifted" in told
    assert "kind-of-roots" in told


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (
            "apart: [[equal-roots, simplify-surd]]\n",
            "the template `equal-roots` is not whole in `es`, and so left out",
        ),
        (
            "holds: [{demand: reason, items: 1}]\n",
            "no item of the templates that are whole in `es` has the demand",
        ),
        (
            "holds: [{demand: know, items: 2}]\n",
            "templates that are not whole in `es` are left out: equal-roots-shifted",
        ),
    ],
)
def test_what_a_blueprint_lacks_in_another_language_is_told(program: Program, lines: str, told: str) -> None:
    leave_in_english(program)
    name = write(program, IN_SPANISH + lines)

    found = program.run("assemble", name, "--out", "none", "--language", "es", status=1, err=None).err
    assert told in found
    assert ("unknown-demand" in found) != ("not-in-language" in found)


def test_forms_go_round_a_class(program: Program) -> None:
    names = ["Ada Fen", "Bo Marsh", "Cy Reed", "Di Saltern", "Ed Tide"]
    (program.folder / "class.csv").write_text(
        "name,version\n" + "".join(f"{each},\n" for each in names), "utf-8"
    )
    made(program, "--class-list", "class.csv", formats="html")

    for letter, expected in (("a", names[::2]), ("b", names[1::2])):
        pupils = program.folder / "out" / f"form-{letter}" / "pupils"
        text = (pupils / f"half-term-{letter}-named-question-papers.html").read_text("utf-8")
        assert expected == [name for name in names if name in text]
        assert f"Form {letter.upper()}" in text
        assert "Version" not in text


def test_the_marks_of_a_form_are_analysed_without_a_word_about_versions(program: Program) -> None:
    made(program, formats="html,json")
    sheet = program.folder / "out" / "form-b" / "staff" / "mark-sheet.csv"
    lines = sheet.read_text("utf-8").splitlines()
    columns = len(lines[0].split(","))
    pupils = [
        f"pupil {number}," + "1," * (columns - 3) + ("" if number % 2 else "1") + "," for number in range(6)
    ]
    (program.folder / "marks.csv").write_text("\n".join([*lines, *pupils]) + "\n", "utf-8")

    ended = program.run("analyse", "out/form-b", "--responses", "marks.csv", "--json")

    assert "question,1,2,3" in sheet.read_text("utf-8")
    assert 6 == len(re.findall(r'"not_reached": \d+', ended.out))
    assert 3 == max(int(number) for number in re.findall(r'"not_reached": (\d+)', ended.out))


def test_it_says_what_it_made(program: Program) -> None:
    ended = program.run("assemble", write(program), "--out", "out", "--formats", "json", left=None)

    head, first, second, chosen, informed, files = ended.out.splitlines()
    assert informed.startswith("information: items of several marks count as right or wrong")
    assert head.split()[:5] == ["form", "items", "marks", "minutes", "difficulty"]
    assert ["A", "6"] == first.split()[:2]
    assert ["B", "6"] == second.split()[:2]
    assert re.fullmatch(r"chosen from \d+ items; the solver found no forms .*", chosen)
    assert re.fullmatch(r"\d+ files in out", files)


# ---- what is told -----------------------------------------------------------------------------------------


WRONG = {
    "unknown key": ("pool: 12", "pol: 12", "unknown-key", 11, "did you mean `pool`?"),
    "unknown template": (
        "simplify-surd, kind",
        "simplify-sur, kind",
        "unknown-template",
        9,
        "`simplify-surd`",
    ),
    "unknown topic": (
        "completing-the-square",
        "completing-the-squares",
        "unknown-topic",
        7,
        "completing-the-square",
    ),
    "a row that asks nothing": ("    items: 3\n", "", "row-asks-nothing", 7, "add items, marks"),
    "a range that ends early": ("{from: 8, to: 14}", "{from: 18, to: 14}", "wrong-value", 5, "ends before"),
    "no number": ("items: 6", "items: six", "wrong-value", 4, "whole number"),
    "a range for a number": (
        "pool: 12",
        "pool: 12\nof_each_template: {from: 1, to: 1}",
        "not-a-number",
        12,
        "write of_each_template: 2",
    ),
    "shared by one form": ("forms: 2", "forms: 1\nshared: 1", "nothing-to-share", 4, "take `shared` out"),
    "more shared than held": ("forms: 2", "forms: 2\nshared: 9", "too-many-shared", 4, "share fewer"),
    "versions": ("pool: 12", "pool: 12\npaper: {versions: 2}", "versions-of-forms", 12, "raise `forms`"),
    "no length": (BLUEPRINT[BLUEPRINT.index("items: 6") :], "pool: 3\n", "no-length", 1, "items: 12"),
    "too few items": ("    items: 3\n", "    items: 300\n", "too-few-items", 8, "pool: 12"),
    "too many forms": ("forms: 2", "forms: 26", "too-many-forms", 3, "ask for 12"),
    "what cannot hold together": (
        "marks: {from: 8, to: 14}",
        "marks: 40",
        "cannot-hold-together",
        5,
        "pool: 12",
    ),
}


@pytest.mark.parametrize("fault", WRONG)
def test_what_is_wrong_is_told_at_its_place(program: Program, fault: str) -> None:
    old, new, code, line, hint = WRONG[fault]
    name = write(program, BLUEPRINT.replace(old, new, 1))

    ended = program.run("assemble", name, "--out", "nothing", status=1, err=None)

    assert re.search(rf"^{re.escape(name)}:{line}:\d+: wrong: {code}$", ended.err, re.MULTILINE), ended.err
    assert hint in ended.err
    assert not (program.folder / "nothing").exists()


def test_several_sets_of_lines_that_cannot_hold_together_are_told_at_once(program: Program) -> None:
    lines = "blueprint: two\ntitle: Two\nitems: 4\nmarks: 50\nminutes: 1\nholds:\n"
    row = "  - {template: simplify-surd, items: {from: 2, to: 3}}\n"
    name = write(program, lines + row)

    ended = program.run("assemble", name, "--out", "nothing", status=1, err=None)

    told = re.findall(
        r"^[^\n]*:(\d+):\d+: wrong: cannot-hold-together\n  [^\n]* \((\d) of 2\)$", ended.err, re.MULTILINE
    )
    assert {"1", "2"} == {number for _, number in told}
    assert {"4", "5"} <= {line for line, _ in told}


def test_check_reads_the_blueprints_of_a_bank_and_single_ones(program: Program) -> None:
    small = program.folder / "small"
    for name in ("bank.yaml", "slips.yaml", "templates/simplify-surd.yaml"):
        (small / name).parent.mkdir(exist_ok=True)
        shutil.copy(DEMO / name, small / name)
    (small / "blueprints").mkdir()
    text = "blueprint: roots\ntitle: Roots\nitems: 1\nholds:\n  - template: simplify-sur\n    items: 1\n"
    name = write(program, text, "small/blueprints/roots.yaml")
    for path in ("small", name):
        ended = program.run("check", path, status=1, left=None)
        assert f"{name}:5:15: wrong: unknown-template" in ended.out

    write(program, text.replace("simplify-sur\n", "simplify-surd\n"), name)
    assert "1 template, 1 blueprint; 0 wrong" in program.run("check", "small", left=None).out
    assert "1 blueprint; 0 wrong" in program.run("check", name, left=None).out


def test_a_blueprint_elsewhere_names_its_bank(program: Program) -> None:
    name = write(program, name="test.yaml")

    told = program.run("assemble", name, "--out", "out", status=1, err=None).err
    assert "no-bank" in told
    assert "--bank BANK" in told
    program.run("assemble", name, "--bank", "bank", "--out", "out", "--formats", "json", left=None)


def test_a_format_that_there_is_not_is_wrong_usage(program: Program) -> None:
    told = program.run(
        "assemble", write(program), "--out", "nothing", "--formats", "pdf", status=2, err=None
    ).err

    assert "`pdf` is none of qti3" in told


def test_a_blueprint_is_no_template_and_says_what_to_do_with_it(program: Program) -> None:
    told = program.run("show", write(program), status=1, err=None).err

    assert "not-a-template" in told
    assert "itembank assemble" in told


def test_a_folder_without_records_cannot_be_kept_from(program: Program) -> None:
    (program.folder / "empty").mkdir()
    broken = program.folder / "broken" / "staff"
    broken.mkdir(parents=True)
    (broken / "items.json").write_text('{"items": [{"address": 3}]}', "utf-8")
    for folder in ("empty", "broken", "nowhere"):
        told = program.run(
            "assemble", write(program), "--out", "out", "--not-again", folder, status=1, err=None, left=None
        ).err
        assert "no-record" in told


def test_the_demo_banks_own_blueprint_is_sound(program: Program) -> None:
    ended = program.run(
        "assemble", "bank/blueprints/half-term.yaml", "--out", "out", "--formats", "json", "--json", left=None
    )

    report = json.loads(ended.out)
    assert [form["items"] for form in report["forms"]] == [8, 8, 8]
    assert report["is_best"]
