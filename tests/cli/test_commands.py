"""Each command as a real process: exit status, what goes where, nothing left over, no traceback."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
import yaml
from pydantic import ValidationError

from itembank.templates.bank_model import BankShape
from tests.cli.harness import DEMO, Program, change

COMMANDS = (
    "new",
    "check",
    "show",
    "approve",
    "build",
    "assemble",
    "sampler",
    "verify",
    "analyse",
    "learnt",
    "calibrate",
    "markers",
    "passmark",
    "record",
    "used",
    "restore",
    "unrecord",
    "coverage",
    "schema",
)


@pytest.fixture
def program(tmp_path: Path) -> Program:
    folder = tmp_path / "work"
    folder.mkdir()
    return Program(folder)


# help and usage


@pytest.mark.parametrize("option", ["--help", "-h"])
def test_help_lists_every_command_with_what_it_does(program: Program, option: str) -> None:
    out = program.run(option).out

    assert COMMANDS == tuple(re.findall(r"^  (\w+)  +[A-Z]", out.partition("Commands:")[2], re.MULTILINE))


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_has_help_with_its_options_explained(program: Program, command: str) -> None:
    out = program.run(command, "--help").out

    assert out.startswith(f"Usage: itembank {command}")
    for option in re.findall(r"^  (--[\w-]+[^\n]*)", out, re.MULTILINE):
        assert len(option.split()) > 1


def test_the_version_is_told(program: Program) -> None:
    assert re.fullmatch(r"itembank, version \d+\.\d+\.\d+\n", program.run("--version").out)


def test_no_command_at_all_shows_the_help_as_talk(program: Program) -> None:
    ended = program.run(status=2, err=None)

    assert ended.out == ""
    assert ended.err.startswith("Usage: itembank")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("chek", "x.yaml"), "itembank: there is no command `chek`; did you mean `check`?\n"),
        (("grade", "x.yaml"), "itembank: there is no command `grade`\n"),
        (("check",), "itembank: Missing argument 'PATHS...'.\n"),
        (("show",), "itembank: Missing argument 'TEMPLATE'.\n"),
        (("show", "x.yaml", "--count", "0"), "itembank: Invalid value for '--count'"),
        (("show", "x.yaml", "--count", "many"), "itembank: Invalid value for '--count'"),
        (("show", "x.yaml", "--seed", "-1"), "itembank: Invalid value for '--seed'"),
        (("show", "x.yaml", "y.yaml"), "itembank: Got unexpected extra argument"),
        (("check", "--loud", "x.yaml"), "itembank: No such option"),
        (("build", "bank"), "itembank: Missing option '--out'"),
        (("build", "bank", "--out", "o", "--formats", "odt"), "itembank: Invalid value"),
        (("build", "bank", "--out", "o", "--formats", ","), "itembank: Invalid value"),
        (("build", "bank", "--out", "o", "--proof", "none"), "itembank: Invalid value for '--proof'"),
        (("build", "bank", "--out", "o", "--workers", "0"), "itembank: Invalid value for '--workers'"),
        (("new", "Not A Name"), "itembank: Invalid value"),
        (("new", "../outside"), "itembank: Invalid value"),
        (("verify",), "itembank: Missing argument"),
        (("schema", "x"), "itembank: Got unexpected extra argument"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_wrong_usage_ends_with_2_and_says_what_is_wrong(
    program: Program, arguments: tuple[str, ...], told: str
) -> None:
    ended = program.run(*arguments, status=2, err=None)

    assert ended.out == ""
    assert ended.err.startswith(told)
    assert re.search(r"^Try `itembank[ a-z]* --help`\.$", ended.err, re.MULTILINE)


# new


def test_a_new_template_is_clean_and_shows_items_and_corners(program: Program) -> None:
    assert "first-try.yaml\n" == program.run("new", "first-try", left=("first-try.yaml",)).out
    change(program.folder / "first-try.yaml", "options: 3", "options: 4")

    checked = program.run("check", "first-try.yaml")
    shown = program.run("show", "first-try.yaml", "--count", 2)
    corners = program.run("show", "first-try.yaml", "--corners")
    both = program.run("show", "first-try.yaml", "--corners", "--count", "2", status=2, err=None)

    assert re.search(
        r"^first-try: \d+ items of \d+ assignments, \d+ of them proved$", checked.out, re.MULTILINE
    )
    assert re.search(r"^1 template; 0 wrong, 0 doubtful$", checked.out, re.MULTILINE)
    assert ["1.", "2."] == re.findall(r"^(\d\.) first-try", shown.out, re.MULTILINE)
    assert "`--corners` shows every extreme there is, so `--count` does not go with it" in both.err
    assert {"smallest", "largest", "h negative"} <= set(re.findall(r"first-try \((.*?)\)", corners.out))


def test_a_new_template_never_replaces_a_file(program: Program) -> None:
    program.write("mine.yaml", "years of work")

    ended = program.run("new", "mine", status=1, err=None)

    assert "file-exists" in ended.err
    assert "years of work" == (program.folder / "mine.yaml").read_text("utf-8")


def test_a_new_template_goes_into_the_folder_named(program: Program) -> None:
    program.run("new", "deep", "--into", "a/b", left=("a", "a/b", "a/b/deep.yaml"))
    program.write("file", "")

    assert "not-writable" in program.run("new", "deep", "--into", "file", status=1, err=None).err


# check


def test_check_of_the_demo_bank_finds_nothing_wrong_and_counts_every_template(program: Program) -> None:
    program.demo()

    out = program.run("check", "bank").out

    templates = sorted(path.stem for path in (DEMO / "templates").rglob("*.yaml"))
    assert templates == sorted(re.findall(r"^([\w-]+): \d+ items of \d+ assignments", out, re.MULTILINE))
    assert (
        f"{len(templates)} templates, 1 blueprint; 0 wrong, 0 doubtful\n" == out.splitlines(keepends=True)[-1]
    )


def test_check_tells_a_mistake_at_its_place_with_the_line_a_mark_and_a_hint(program: Program) -> None:
    program.run("new", "first", left=("first.yaml",))
    change(program.folder / "first.yaml", "key: x = h ± surd(k)  ", "key: x = hh ± surd(k) ")

    assert (
        "first.yaml:24:10: wrong: unknown-name\n"
        "  `hh` is no parameter, derived value or unknown of this template\n"
        "    key: x = hh ± surd(k)                 # proved to be exactly the problem's solutions\n"
        "             ^^\n"
        "  hint: for a product write h*h. known here: b, c, h, k, problem, x. Nearest: h\n"
    ) in program.run("check", "first.yaml", status=1).out


def test_check_goes_on_after_a_file_that_is_wrong(program: Program) -> None:
    program.run("new", "first", left=("first.yaml",))
    program.write("second.yaml", "template: second\n")

    out = program.run("check", "second.yaml", "first.yaml", "third.yaml", status=1).out

    assert "first: " in out
    assert "second.yaml:1:1: wrong: missing-key" in out
    assert "third.yaml:1:1: wrong: not-there" in out
    assert out.endswith("1 template; 7 wrong, 0 doubtful\n")


def test_check_as_json_says_the_same_as_text(program: Program) -> None:
    program.run("new", "first", left=("first.yaml",))
    change(program.folder / "first.yaml", "constraints: [c != 0]", "constraints: [k > 0] ")

    found = json.loads(program.run("check", "first.yaml", "nowhere.yaml", "--json", status=1).out)

    (template,) = found["templates"]
    assert ("first", 1, "first.yaml") == (template["template"], template["version"], template["path"])
    assert template["count"] <= template["allowed"] <= template["assignments"]
    assert ["constraint", "guarantee"] == [line["kind"] for line in template["lines"]]
    told = {(d["level"], d["code"], d["path"], d["line"]) for d in found["diagnostics"]}
    assert {
        ("doubtful", "rejects-nothing", "first.yaml", 15),
        ("wrong", "not-there", "nowhere.yaml", 1),
    } <= told


def test_a_lock_file_that_cannot_be_read_is_told_beside_everything_else(program: Program) -> None:
    bank = program.demo("vertex-form")
    (bank / "bank.lock").write_text("{", "utf-8")

    out = program.run("check", "bank", status=1).out

    assert "bank/bank.lock:1:1: wrong: broken-lock" in out
    assert "vertex-form: " in out


# what is no template


def test_what_cannot_be_a_template_is_told_without_a_traceback(program: Program) -> None:
    (program.folder / "binary.yaml").write_bytes(bytes(range(256)) * 4)
    (program.folder / "empty.yaml").write_bytes(b"")
    (program.folder / "large.yaml").write_bytes(b"a: b\n" * 300_000)
    (program.folder / "folder.yaml").mkdir()
    (program.folder / "empty-folder").mkdir()
    (program.folder / "latin.yaml").write_bytes("title: Völker".encode("latin-1"))
    (program.folder / "loop.yaml").symlink_to("loop.yaml")
    (program.folder / "list.yaml").write_text("- x\n", "utf-8")
    program.demo("vertex-form")
    codes = {
        "binary.yaml": "wrong-encoding", "empty.yaml": "empty-file", "large.yaml": "file-too-large",
        "folder.yaml": "no-templates", "empty-folder": "no-templates", "latin.yaml": "wrong-encoding",
        "nowhere.yaml": "not-there", "loop.yaml": "not-there", "list.yaml": "not-a-mapping", "a" * 3000: "not-readable",
        "/dev/null": "not-readable", "bank/slips.yaml": "not-a-template", "bank/bank.yaml": "not-a-template",
    }  # fmt: skip

    found = json.loads(program.run("check", *codes, "--json", status=1).out)
    shown = [
        program.run("show", name, status=1, err=None) for name in ("binary.yaml", "folder.yaml", "loop.yaml")
    ]

    assert [] == found["templates"]
    assert codes == {told["path"]: told["code"] for told in found["diagnostics"]}
    assert [""] * 3 == [ended.out for ended in shown]
    assert all(ended.err.endswith("1 wrong, 0 doubtful\n") for ended in shown)


def test_a_file_that_may_not_be_read_is_told(program: Program) -> None:
    path = program.write("closed.yaml", "template: closed\n")
    path.chmod(0)
    try:
        path.read_bytes()
        path = Path("/proc/self/mem")  # this user may read everything, but nobody reads the beginning of this
    except PermissionError:
        pass
    if not path.exists():
        pytest.skip("this user may read everything")

    out = program.run("check", path, status=1).out

    assert "wrong: not-readable" in out
    assert "cannot be read: " in out


@pytest.mark.parametrize("command", [("build", "--out", "out"), ("verify",)], ids=["build", "verify"])
def test_build_and_verify_tell_what_is_not_there(program: Program, command: tuple[str, ...]) -> None:
    name, *rest = command

    ended = program.run(name, "nowhere", *rest, status=1, err=None)

    assert "nowhere" in ended.out + ended.err


# show


def test_show_gives_key_slips_solution_and_proof(program: Program) -> None:
    program.demo("monic-even-surd", "vertex-form", "kind-of-roots")

    out = program.run("show", "bank/templates/monic-even-surd.yaml", "--count", 1).out

    assert re.search(
        r"^1\. monic-even-surd   \[h = -?\d+, k = \d+, b = -?\d+, c = -?\d+\]$", out, re.MULTILINE
    )
    assert {"key", "sign-of-half"} <= set(re.findall(r"  [A-D]  .*? ([\w-]+)$", out, re.MULTILINE))
    assert re.search(r"solve x² [+−] \d+x [+−] \d+ = 0\.", out)
    assert re.search(r"^    proved  irrational_roots\(problem\): ", out, re.MULTILINE)
    assert re.search(r"^    proved  \d+ claims in all$", out, re.MULTILINE)


def test_show_labels_what_it_shows_in_the_language_of_the_item(program: Program) -> None:
    english = program.run("show", DEMO, "--count", 1).out
    spanish = program.run("show", DEMO, "--count", 1, "--language", "es").out
    labels = re.compile(r"^ +(key: |slip |figure: )|\d+ marks?\)| or [a-z] = |\bkey$", re.MULTILINE)

    assert {"key: ", "slip ", "figure: "} <= set(labels.findall(english))
    assert not labels.search(spanish)
    for words in (
        r"^      clave: x = ",
        r"error signs-of-roots-swapped: x = ",
        r"x = −?\d+ o x = ",
        "figura: Modelo de áreas",
    ):
        assert re.search(words, spanish, re.MULTILINE), words


def test_show_of_a_bank_shows_each_of_its_templates(program: Program) -> None:
    program.demo("monic-even-surd", "vertex-form", "kind-of-roots")

    out = program.run("show", "bank", "--count", 1).out

    assert ["kind-of-roots", "monic-even-surd", "vertex-form"] == re.findall(
        r"^1\. ([\w-]+)   ", out, re.MULTILINE
    )


def test_show_of_a_bank_shows_the_others_and_tells_the_template_that_makes_no_item_at_the_end(
    program: Program,
) -> None:
    program.demo("monic-even-surd", "vertex-form", "kind-of-roots")
    change(
        program.folder / "bank/templates/monic-even-surd.yaml",
        "guarantees:",
        "guarantees:\n  - k > 99",
    )

    ended = program.run("show", "bank", "--count", 1, status=1, err=None)

    assert ["kind-of-roots", "vertex-form"] == re.findall(r"^1\. ([\w-]+)   ", ended.out, re.MULTILINE)
    assert "monic-even-surd.yaml:1:1: wrong: no-values" in ended.err
    assert ended.err.endswith("1 wrong, 0 doubtful\n")


def test_show_as_json_gives_whole_items_and_the_seed_moves_them(program: Program) -> None:
    program.demo("monic-even-surd", "vertex-form", "kind-of-roots")
    arguments = ("show", "bank/templates/vertex-form.yaml", "--json", "--count", 2)

    first = json.loads(program.run(*arguments).out)
    again = json.loads(program.run(*arguments).out)
    other = json.loads(program.run(*arguments, "--seed", 5).out)

    assert 2 == len(first)
    assert first == again
    assert first != other


def test_show_tells_a_key_that_is_wrong_and_shows_nothing_after_it(program: Program) -> None:
    program.run("new", "first", left=("first.yaml",))
    change(program.folder / "first.yaml", "key: x = h ± surd(k)  ", "key: x = h ± surd(2*k)")

    ended = program.run("show", "first.yaml", "--count", 1, status=1, err=None)

    assert "first.yaml:24:6: wrong: wrong-key" in ended.err


def test_a_changed_slip_file_shows_at_once_though_banks_are_cached(program: Program) -> None:
    cache = program.own_cache()
    bank = program.demo("monic-even-surd", "vertex-form", "kind-of-roots")
    shown = [program.run("show", "bank", "--count", 1, "--json").out for _ in range(2)]
    cached = list(cache.rglob("*.bank"))
    assert 1 == len(cached)
    assert shown[0] == shown[1]

    text = (bank / "slips.yaml").read_text("utf-8")
    sentence = "Expand your bracket and compare the sign of the middle term with the one in the question."
    change(bank / "slips.yaml", sentence, "Look at the sign once more.")
    changed = program.run("show", "bank", "--count", 1, "--json").out

    assert changed.count("Look at the sign once more.") == shown[0].count(sentence) > 0
    assert 2 == len(list(cache.rglob("*.bank")))

    (bank / "slips.yaml").write_text(text, "utf-8")
    assert shown[0] == program.run("show", "bank", "--count", 1, "--json").out


def test_a_spoiled_cache_is_ignored_and_mended(program: Program) -> None:
    cache = program.own_cache()
    program.demo("vertex-form")
    wanted = program.run("show", "bank", "--count", 1).out
    (cached,) = cache.rglob("*.bank")
    whole = cached.read_bytes()

    other_word = whole.replace(b"completed-square form", b"completed-sphere form")
    assert other_word != whole
    for spoiled in (b"", whole[: len(whole) // 2], _calling(b"os", b"system"), other_word):
        cached.write_bytes(spoiled)
        assert wanted == program.run("show", "bank", "--count", 1).out
        assert spoiled != cached.read_bytes()
        assert len(whole) == len(cached.read_bytes())


def _calling(module: bytes, name: bytes) -> bytes:
    """A pickle that would call a function of another module with "exit 9"."""
    return b"c" + module + b"\n" + name + b"\n(S'exit 9'\ntR."


@pytest.mark.parametrize("place", ["off", "/dev/null/nowhere"])
def test_a_cache_that_cannot_be_is_no_trouble(program: Program, place: str) -> None:
    program.demo("vertex-form")

    assert program.run("show", "bank", "--count", 1, environment={"ITEMBANK_CACHE": place}).out


# output


def test_output_without_the_signs_falls_back_to_plain(program: Program) -> None:
    program.demo("monic-even-surd", "vertex-form", "kind-of-roots")
    path = "bank/templates/monic-even-surd.yaml"
    ascii_only = {"PYTHONIOENCODING": "ascii"}

    shown = program.run("show", path, "--count", 1, environment=ascii_only).out
    checked = program.run("check", path, environment=ascii_only).out

    assert shown.isascii()
    assert checked.isascii()
    assert re.search(r"solve x\^2 [+-] \d+\*x [+-] \d+ = 0\.", shown)
    assert re.search(r"^      A  x = .*sqrt\(\d+\)", shown, re.MULTILINE)


def test_wrong_input_is_told_on_a_terminal_without_the_signs(program: Program) -> None:
    program.run("new", "first", left=("first.yaml",))
    change(program.folder / "first.yaml", "key: x = h ± surd(k)  ", "key: x = h ± surd(k²) ")

    ended = program.run("check", "first.yaml", status=1, environment={"PYTHONIOENCODING": "ascii"})

    assert "first.yaml:24:20: wrong: raised-digit" in ended.out


@pytest.mark.parametrize(
    "arguments", [("show", "bank", "--count", "4"), ("check", "bank"), ("schema",), ("--help",)]
)
def test_a_closed_pipe_is_silent(program: Program, arguments: tuple[str, ...]) -> None:
    program.demo("monic-even-surd", "vertex-form", "kind-of-roots")
    process = subprocess.Popen(
        [sys.executable, "-m", "itembank", *arguments], cwd=program.folder, env=program.variables(),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    told = process.stderr.read()
    process.stderr.close()

    assert b"" == told
    assert 0 == process.wait()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ["schema"],
            "itembank: No space left on device\n"
            "  hint: make room on that disk, or in the folder for temporary files\n",
        ),
        (["show", "bank", "--json"], "itembank: standard output: No space left on device\n"),
    ],
)
def test_a_full_disk_behind_the_output_is_told(program: Program, arguments: list[str], told: str) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("there is no device that is always full")
    program.demo("vertex-form")
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "itembank", *arguments], cwd=program.folder, env=program.variables(),
            stdout=full, stderr=subprocess.PIPE, check=False,
        )  # fmt: skip

    assert 1 == done.returncode
    assert told == done.stderr.decode()


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_what_is_closed_is_written_to_nobody(program: Program, closed: str) -> None:
    program.demo("vertex-form")
    command = f'exec "$0" -m itembank check bank {closed}'
    done = subprocess.run(
        ["sh", "-c", command, sys.executable], cwd=program.folder, env=program.variables(),
        capture_output=True, check=False,
    )  # fmt: skip

    assert 0 == done.returncode
    assert b"" == done.stderr


@pytest.mark.parametrize("variable", ["NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE"])
def test_a_pipe_gets_no_colour_whatever_is_asked(program: Program, variable: str) -> None:
    program.demo("monic-even-surd", "vertex-form", "kind-of-roots")

    ended = program.run("show", "bank/templates/vertex-form.yaml", environment={variable: "1"})

    assert "\x1b" not in ended.out


def test_build_and_verify_as_json_tell_what_was_made_and_found(program: Program) -> None:
    program.demo("vertex-form")
    made = json.loads(
        program.run(
            "build", "bank", "--out", "out", "--count", 4, "--formats", "qti3,json", "--json", left=LEFT
        ).out
    )
    (found,) = json.loads(program.run("verify", "out/platform/quadratics-qti3.zip", "--json").out)

    assert 4 == made["items"]
    assert made == json.loads((program.folder / "out" / "report.json").read_text("utf-8"))
    assert found


LEFT = (
    "bank/bank.lock", "out", "out/.itembank-output", "out/platform", "out/platform/quadratics-qti3.zip",
    "out/report.json", "out/report.md", "out/staff", "out/staff/answer-map.csv", "out/staff/digests.txt",
    "out/staff/items.json", "out/staff/mark-sheet.csv",
)  # fmt: skip


# schema


def test_the_schema_accepts_every_demo_template_and_refuses_what_is_misspelt(program: Program) -> None:
    schema = json.loads(program.run("schema").out)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    paths = sorted((DEMO / "templates").rglob("*.yaml"))
    good = Path(__file__).parents[1] / "templates" / "good"
    paths += [path for path in sorted(good.glob("*.yaml")) if path.stem not in {"slips", "bank"}]

    assert len(paths) >= 15
    for path in paths:
        template = yaml.safe_load(path.read_text("utf-8"))
        validator.validate(template)
        assert not validator.is_valid({**template, "garantees": []})
        assert not validator.is_valid({**template, "demand": "useful"})
        assert not validator.is_valid({name: value for name, value in template.items() if name != "version"})
    choice = yaml.safe_load((good / "choice.yaml").read_text("utf-8"))
    assert not validator.is_valid({**choice, "response": {"kind": "choice", "option": 3}})


@pytest.mark.parametrize(
    "name",
    [
        "missing-blanks",
        "missing-places",
        "missing-rows",
        "missing-options",
        "missing-right",
        "missing-options-of-choices",
    ],
)
def test_the_schema_refuses_what_lacks_a_key_that_another_needs(program: Program, name: str) -> None:
    validator = jsonschema.Draft202012Validator(json.loads(program.run("schema").out))
    bad = Path(__file__).parents[1] / "templates" / "bad" / f"{name}.yaml"
    (told,) = validator.iter_errors(yaml.safe_load(bad.read_text("utf-8")))

    assert "is a required property" in told.message


def test_the_schema_refuses_a_range_without_its_end(program: Program) -> None:
    validator = jsonschema.Draft202012Validator(json.loads(program.run("schema").out))
    bad = Path(__file__).parents[1] / "templates" / "bad" / "missing-end.yaml"

    assert not validator.is_valid(yaml.safe_load(bad.read_text("utf-8")))


def test_the_schema_accepts_what_extensions_bring_and_refuses_it_half_said(program: Program) -> None:
    validator = jsonschema.Draft202012Validator(json.loads(program.run("schema").out))
    folder = Path(__file__).parents[1] / "plugins" / "bank" / "templates"
    asked, drawn = (
        yaml.safe_load((folder / f"{n}.yaml").read_text("utf-8")) for n in ("between", "equal-parts")
    )

    validator.validate(asked)
    validator.validate(drawn)
    for spoilt in ({"kind": "between-wholes"}, {**asked["response"], "options": 3}, {"with": {"from": 0}}):
        assert not validator.is_valid({**asked, "response": spoilt})
    assert not validator.is_valid({**drawn, "figure": {**drawn["figure"], "of": "x^2"}})


def test_the_schema_tells_what_is_wrong_of_the_one_shape_it_can_be(program: Program) -> None:
    """An editor shows these words: of a template without parts nothing is said about parts, and the other way round."""
    validator = jsonschema.Draft202012Validator(json.loads(program.run("schema").out))
    good = Path(__file__).parents[1] / "templates" / "good"
    choice = yaml.safe_load((good / "choice.yaml").read_text("utf-8"))

    (misspelt,) = validator.iter_errors({**choice, "response": {"kind": "chioce"}})
    (unknown,) = validator.iter_errors({**choice, "garantees": []})
    (lacking,) = validator.iter_errors(
        {"template": "t", "version": 1, "title": "T", "parts": [{**PART, "stme": ""}]}
    )

    assert "$.response.kind" == misspelt.json_path
    assert "'chioce' is not one of" in misspelt.message
    assert "garantees" in unknown.message
    assert "$.parts[0]" == lacking.json_path
    assert "stme" in lacking.message


PART = {
    "problem": "x = 1",
    "stem": "Solve $problem$.",
    "key": "x = 1",
    "response": {"kind": "written", "lines": 3},
}


def test_the_schema_explains_every_key_of_a_template(program: Program) -> None:
    schema = json.loads(program.run("schema").out)

    for shape in (schema["then"], schema["else"]):
        assert [] == [name for name, value in shape["properties"].items() if not _explained(value, schema)]


BANKS = sorted(
    path.parent
    for folder in ("banks", "tests")
    for path in Path(__file__).parents[2].joinpath(folder).rglob("bank.yaml")
)


@pytest.mark.parametrize(("what", "misspelt", "needed"), [
    ("bank", {"tilte": "Roots"}, "bank"), ("slips", {"slip": []}, "slips"),
])  # fmt: skip
def test_the_schema_of_a_banks_own_files_accepts_all_that_there_are(
    program: Program, what: str, misspelt: dict[str, object], needed: str
) -> None:
    schema = json.loads(program.run("schema", "--of", what).out)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    paths = [path for folder in BANKS if (path := folder / f"{what}.yaml").is_file()]

    assert len(paths) >= 6
    for path in paths:
        written = yaml.safe_load(path.read_text("utf-8"))
        validator.validate(written)
        assert not validator.is_valid({**written, **misspelt})
        assert not validator.is_valid({name: value for name, value in written.items() if name != needed})
    shapes = [schema, *(each for each in schema["$defs"].values() if "properties" in each)]
    assert [] == [
        name
        for shape in shapes
        for name, value in shape["properties"].items()
        if not _explained(value, schema)
    ]


@pytest.mark.parametrize("written", [
    {"count": 12}, {"count": "12"}, {"seed": 3}, {"templates": ["roots", {"template": "others", "count": 3}]},
    {"templates": [{"template": "roots", "count": {"easier": 4, "harder": 2}}]}, {"quiz": {"select": 2}},
    {"quiz": {"select": {"surds": 2}, "late": "no"}}, {"extensions": ["prime", {"name": "bar", "from": "extras"}]},
    {"difficulty": {"source": "sitting", "weights": {"steps": 310}, "words": [-1500, -500, 500, 1500]}},
    {"paper": {"time": 60, "versions": 4}}, {"title": {"en": "Roots", "es": "Raíces"}},
    {"settings": {"formats": ["qti3", "docx"], "package": {"megabytes": 100}}},
])  # fmt: skip
def test_what_a_bank_file_may_say_is_in_its_schema_and_is_read(
    program: Program, written: dict[str, object]
) -> None:
    schema = json.loads(program.run("schema", "--of", "bank").out)
    whole = {"bank": "roots", "title": "Roots", **written}

    jsonschema.validate(whole, schema)
    BankShape.model_validate(_as_texts({**whole, "title": "Roots"}))


@pytest.mark.parametrize("written", [
    {"count": -1.5}, {"quiz": {"order": "random"}}, {"difficulty": {"weights": {"stpes": 310}}},
    {"paper": {"size": "a3"}}, {"templates": [{"count": 3}]}, {"templates": ["No Name"]},
])  # fmt: skip
def test_what_a_bank_file_may_not_say_is_refused_by_its_schema_and_by_the_reader(
    program: Program, written: dict[str, object]
) -> None:
    schema = json.loads(program.run("schema", "--of", "bank").out)
    whole = {"bank": "roots", "title": "Roots", **written}

    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(whole, schema)
    with pytest.raises(ValidationError):
        BankShape.model_validate(_as_texts(whole))


def _as_texts(value: object) -> object:
    """What was written as it is read: every scalar is text."""
    if isinstance(value, dict):
        return {name: _as_texts(each) for name, each in value.items()}
    return [_as_texts(each) for each in value] if isinstance(value, list) else str(value)


def _explained(value: dict[str, object], schema: dict[str, dict[str, dict[str, object]]]) -> bool:
    if "description" in value:
        return True
    return bool(schema["$defs"][str(value.get("$ref", "")).rpartition("/")[2]].get("description"))


def test_a_slip_file_is_named_as_the_template_was(program: Program) -> None:
    folder = program.demo("monic-even-surd")
    change(folder / "slips.yaml", "value: x = -h ± sqrt(k)", "value: y = -h ± sqrt(k)")
    ended = program.run("show", "bank/templates/monic-even-surd.yaml", status=1, err=None, left=None)

    assert ended.err.startswith("bank/slips.yaml:")


def test_a_folder_without_a_bank_file_is_told_how_to_be_a_bank(program: Program) -> None:
    (program.folder / "evening").mkdir()
    ended = program.run("build", "evening", "--out", "out", status=1, err=None)

    assert "two lines in bank.yaml will do" in ended.err


def test_a_bank_that_was_read_before_is_built_without_what_reads_banks(program: Program) -> None:
    program.demo("kind-of-roots")
    program.run("build", "bank", "--out", "out", "--count", 2, "--formats", "qti3", left=None)
    code = (
        "import sys; from itembank.cli.main import main; "
        "status = main('build bank --out out --count 2 --formats qti3'.split()); "
        "heavy = {'sympy', 'pydantic', 'lark', 'numpy', 'highspy', 'jinja2', 'itembank.figures'}; "
        "print(status, *sorted(heavy & set(sys.modules)))"
    )

    done = subprocess.run(
        [sys.executable, "-c", code], cwd=program.folder, env=program.variables(), capture_output=True, check=False,
        timeout=120,
    )  # fmt: skip

    assert done.stdout.decode().splitlines()[-1] == "0"
