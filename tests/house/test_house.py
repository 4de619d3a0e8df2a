"""What holds for the whole house: everything registered, explained and tried; nothing decided by a float."""

from __future__ import annotations

import ast
import dataclasses
import doctest
import importlib
import inspect
import pkgutil
import re
import warnings
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import itembank
from itembank.audit import picture_meaning, picture_words, spoken_words, tongues
from itembank.bank import bank as bank_room
from itembank.bank.lint import question
from itembank.build import BuildRequest, writing
from itembank.build.assemble import AssembleRequest
from itembank.build.practice import PracticeRequest
from itembank.cli import main as command_line
from itembank.cli.build import WRITING
from itembank.expressions import vocabulary
from itembank.expressions.speech import VOICES
from itembank.proof.claims import CLAIMS
from itembank.properties import array_tests, integer_tests
from itembank.properties.catalogue import DEGENERATE_INPUTS, PROPERTIES
from itembank.templates import bank_model, model, record_model
from itembank.words import LANGUAGES, base_language

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted(
    name
    for _, name, _ in pkgutil.walk_packages(itembank.__path__, "itembank.")
    if not name.endswith("__main__")
)
SOURCES = sorted((ROOT / "itembank").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))
EXACT_ROOMS = (
    "expressions",
    "properties",
    "generator",
    "proof",
    "templates",
    "bank",
    "analysis",
    "calibration",
    "double_marking",
    "standard_setting",
    "store",
)


def trees(paths: list[Path]) -> Iterator[tuple[Path, ast.Module]]:
    for path in paths:
        yield path.relative_to(ROOT), ast.parse(path.read_text("utf-8"))


def test_the_collectors_of_this_file_find_the_house() -> None:
    assert len(MODULES) >= 100
    assert len(SOURCES) >= 100
    assert len(TESTS) >= 60
    assert len(PROPERTIES) >= 21


# properties


@pytest.mark.parametrize("name", PROPERTIES)
def test_a_property_is_in_every_register(name: str) -> None:
    assert name in vocabulary.PROPERTY_NAMES
    assert name in CLAIMS
    for room in (integer_tests, array_tests):
        assert inspect.getdoc(getattr(room, name)), room.__name__


@pytest.mark.parametrize("name", PROPERTIES)
def test_a_property_says_what_it_means_where_it_is_from_and_what_odd_inputs_give(name: str) -> None:
    found = PROPERTIES[name]

    assert name == found.name
    assert len(found.meaning.split()) >= 4
    assert found.claim
    assert found.source
    assert set(DEGENERATE_INPUTS[found.takes]) == set(found.degenerate)


def test_no_register_knows_a_property_of_its_own() -> None:
    assert set(PROPERTIES) == vocabulary.PROPERTY_NAMES == set(CLAIMS)
    assert set(vocabulary.POLYNOMIAL_PROPERTIES) == {
        n for n, p in PROPERTIES.items() if p.takes == "polynomial"
    }
    assert set(vocabulary.NUMBER_PROPERTIES) == {n for n, p in PROPERTIES.items() if p.takes == "number"}


def test_every_function_of_the_language_has_an_example_that_is_read() -> None:
    from itembank.expressions.parser import parse

    assert len(vocabulary.FUNCTIONS) >= 35
    for function in vocabulary.FUNCTIONS.values():
        parse(function.example)
        assert function.example.startswith(f"{function.name}(")


# commands and formats


def test_every_command_is_a_module_with_the_summary_the_group_tells() -> None:
    modules = {name.rpartition(".")[2] for name in MODULES if name.startswith("itembank.cli.")}
    commands = set(command_line._COMMANDS)

    assert commands == modules - {"interrupts", "machine", "main", "remedies", "report", "sittings"}
    for name in commands:
        command = importlib.import_module(f"itembank.cli.{name}").command
        assert name == command.name
        assert command.help
        assert all(
            getattr(each, "help", None) or each.param_type_name == "argument" for each in command.params
        )


def test_a_command_that_reports_knows_json() -> None:
    for name in set(command_line._COMMANDS) - {"new", "schema"}:
        command = importlib.import_module(f"itembank.cli.{name}").command
        assert "--json" in [option for each in command.params for option in each.opts]


@pytest.mark.parametrize("language", dict.fromkeys(map(base_language, LANGUAGES)))
def test_a_language_is_in_every_register(language: str) -> None:
    """What else a language needs than its file of words: the recipe in DEVELOPERS.md tells what each is for."""
    registers = {
        "expressions/speech/__init__.py: VOICES": VOICES,
        "audit/tongues.py: tongue": tongues._BY_TAG,
        "audit/spoken_words.py: SPOKEN": spoken_words.SPOKEN,
        "audit/picture_words.py: PICTURE_WORDS": picture_words.PICTURE_WORDS,
        "audit/picture_meaning.py": picture_meaning._TOLD,
        "bank/lint/question.py": question._ORDERS,
    }
    hyphens = (ROOT / "itembank/writers/latex/document.tex.j2").read_text("utf-8")

    assert [] == [name for name, known in registers.items() if language not in known]
    assert language == "en" or f'w.language[:2] == "{language}"' in hyphens


def test_formats_are_the_same_in_build_and_bank_file() -> None:
    assert writing.FORMATS == model.FORMATS
    assert 4 <= len(model.FORMATS)


def test_options_of_writing_are_the_fields_that_requests_share() -> None:
    fields = {field.name for field in dataclasses.fields(writing.Writing)}
    requests = (BuildRequest, AssembleRequest, PracticeRequest)

    for name in ("build", "assemble", "learnt"):
        command = importlib.import_module(f"itembank.cli.{name}").command
        assert fields <= {each.name for each in command.params}, name
    for request in requests:
        assert fields <= {field.name for field in dataclasses.fields(request)}
    assert len(WRITING) == len(fields) + 1  # and `--json`


def test_every_key_of_the_files_is_explained() -> None:
    shapes = [
        shape
        for module in (model, bank_model, record_model)
        for shape in vars(module).values()
        if inspect.isclass(shape) and issubclass(shape, model.Shape)
    ]
    plain = {
        "bank", "title", "language", "licence", "author", "seed", "templates", "settings", "slip", "slips", "template",
    }  # fmt: skip

    assert len(shapes) >= 17
    for shape in shapes:
        assert inspect.getdoc(shape), shape.__name__
        for name, field in shape.model_fields.items():
            nested = inspect.isclass(field.annotation) and issubclass(field.annotation, model.Shape)
            assert field.description or nested or name in plain | {"text", "when"}, f"{shape.__name__}.{name}"


# words about code


def test_every_module_and_every_public_name_is_explained() -> None:
    unexplained = []
    for path, tree in trees(SOURCES):
        if tree.body and not ast.get_docstring(tree):
            unexplained.append(str(path))
        unexplained += [f"{path}: {name}" for name in _without_docstring(tree.body)]

    assert [] == unexplained


def _without_docstring(body: list[ast.stmt]) -> Iterator[str]:
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            if not ast.get_docstring(node):
                yield node.name
            if isinstance(node, ast.ClassDef):
                yield from (f"{node.name}.{name}" for name in _without_docstring(node.body))


def test_examples_in_docstrings_come_out_as_written() -> None:
    attempted = 0
    for name in MODULES:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            module = importlib.import_module(name)
        found = doctest.testmod(module)
        assert 0 == found.failed, name
        attempted += found.attempted

    assert attempted >= 150


def test_no_float_stands_where_mathematics_is_decided() -> None:
    rooms = [path for path in SOURCES if path.relative_to(ROOT / "itembank").parts[0] in EXACT_ROOMS]
    found = [
        f"{path}:{node.lineno}"
        for path, tree in trees(rooms)
        for node in ast.walk(tree)
        if (isinstance(node, ast.Constant) and isinstance(node.value, float))
        or (isinstance(node, ast.Name) and node.id == "float")
    ]

    # the one float says how alike two names must be for a hint
    assert ["itembank/expressions/vocabulary.py"] == [place.rpartition(":")[0] for place in found]


def test_code_is_made_to_run_behind_one_gate_only() -> None:
    found = {
        str(path)
        for path, tree in trees(SOURCES)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in {"compile", "exec", "eval", "sympify", "parse_expr", "__import__"}
    }

    assert {"itembank/own_code.py"} == found


# what is told, and where it is tried

_TOLD = re.compile(
    r"(?:\.add|\.doubt|_tell|\.say|Diagnostic|_about|_told|damaged|\bwrong|_wrong)\(\s*(?:(?:path|folder|bank|self\.template),\s*)?\"([a-z]+(?:-[a-z]+)*)\""
)


@pytest.mark.parametrize(
    ("room", "fewest"),
    [
        ("templates", 60),
        ("bank", 18),
        ("cli", 4),
        ("generator", 3),
        ("build", 1),
        ("analysis", 18),
        ("assembly", 6),
        ("calibration", 2),
        ("standard_setting", 18),
        ("store", 10),
    ],
)
def test_every_code_a_room_tells_is_tried_by_a_test(room: str, fewest: int) -> None:
    codes = {
        code
        for path in (ROOT / "itembank" / room).glob("*.py")
        for code in _TOLD.findall(path.read_text("utf-8"))
    }

    assert len(codes) >= fewest
    assert set() == codes - _words_of_tests()


@cache
def _words_of_tests() -> frozenset[str]:
    """Every word that stands in a test or in its tables; a hyphen is part of a word."""
    return frozenset(
        word
        for kind in ("*.py", "*.yaml")
        for path in (ROOT / "tests").rglob(kind)
        for word in re.findall(r"[\w-]+", path.read_text("utf-8"))
    )


# README and CI


def test_the_commands_of_the_readme_run_in_ci() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    ci = (ROOT / ".ci" / "run").read_text("utf-8")
    lines = [
        line
        for block in re.findall(r"```sh\n(.*?)```", readme, re.DOTALL)
        for line in block.splitlines()
        if line
    ]

    assert len(lines) >= 2
    build, test = lines[:2]
    assert test in ci.splitlines()
    assert build.rpartition("&& ")[2] in ci


def test_the_readme_shows_commands_and_options_that_exist() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    shown = re.findall(r"`itembank ([a-z]+)([^`]*)`", readme)
    options = re.findall(r"`?(--[a-z]+(?:-[a-z]+)*)", readme)
    known = {
        option
        for name in command_line._COMMANDS
        for each in importlib.import_module(f"itembank.cli.{name}").command.params
        for option in each.opts
    }

    assert len(shown) >= 4
    assert {name for name, _ in shown} <= set(command_line._COMMANDS)
    assert set(options) <= known


# collectors


def test_a_test_that_collects_files_says_how_many_it_must_find() -> None:
    collecting = []
    for path, tree in trees([path for path in TESTS if path.name.startswith("test_")]):
        gathers = any(
            isinstance(node, ast.Attribute) and node.attr in {"glob", "rglob", "safe_load", "walk_packages"}
            for statement in tree.body
            if isinstance(statement, ast.Assign | ast.AnnAssign)
            for node in ast.walk(statement)
        )
        if gathers:
            bounded = any(
                isinstance(node, ast.Assert)
                and isinstance(node.test, ast.Compare)
                and any(isinstance(operator, ast.GtE | ast.LtE | ast.Eq) for operator in node.test.ops)
                and any(isinstance(part, ast.Name) and part.id == "len" for part in ast.walk(node.test))
                for node in ast.walk(tree)
            )
            collecting.append((str(path), bounded))

    assert len(collecting) >= 4
    assert [] == [path for path, bounded in collecting if not bounded]


def test_the_demo_bank_holds_what_it_must() -> None:
    files = bank_room.template_files(ROOT / "banks" / "quadratics")

    assert len(files) >= 10
    for path in files:
        assert path.read_text("utf-8").startswith(f"template: {path.stem}\n")


# nothing left over


def test_no_name_of_a_module_is_left_over() -> None:
    """A function, class or constant that neither the house nor a test speaks of again."""
    texts = [
        path.read_text("utf-8")
        for folder in ("itembank", "tests")
        for path in (ROOT / folder).rglob("*")
        if path.suffix in {".py", ".j2", ".toml", ".lark"}
    ]
    told = Counter(word for text in texts for word in re.findall(r"\w+", text))
    names = [
        (f"{path}:{node.lineno}", name)
        for path, tree in trees(SOURCES)
        if path.name != "plugin.py"  # pytest calls its hooks by their names
        for node in tree.body
        for name in _names_made(node)
    ]

    assert len(names) >= 2_000
    assert [] == [(place, name) for place, name in names if told[name] == 1 and not name.startswith("__")]


def _names_made(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return [node.name]
    targets = (
        node.targets
        if isinstance(node, ast.Assign)
        else [node.target]
        if isinstance(node, ast.AnnAssign)
        else []
    )
    return [target.id for target in targets if isinstance(target, ast.Name)]
