"""What is run as code is ours: known names, known kinds of nodes, whole numbers, and not one word of an author's.

The sources are those that the search, the quick proofs and the audit compile while items of every kind are counted,
made, proved, written and verified, and while a template is reviewed whose names and texts are meant as code.
"""

from __future__ import annotations

import ast
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from itembank.errors import InputError
from itembank.generator import runtime
from itembank.templates.loader import load_template
from itembank.templates.slips import NO_SLIPS

ROOT = Path(__file__).resolve().parents[2]
ODD = ROOT / "tests" / "templates" / "good" / "odd-names.yaml"

NODES = frozenset(
    [
        "Module",
        "FunctionDef",
        "arguments",
        "arg",
        "Return",
        "Assign",
        "Expr",
        "If",
        "Try",
        "ExceptHandler",
        "Name",
        "Load",
        "Store",
        "Constant",
        "Tuple",
        "Subscript",
        "Call",
        "BinOp",
        "Add",
        "Sub",
        "Mult",
        "FloorDiv",
        "Mod",
        "Pow",
        "BitOr",
        "BitAnd",
        "Invert",
        "UnaryOp",
        "USub",
        "Not",
        "BoolOp",
        "And",
        "Or",
        "IfExp",
        "Slice",
        "Compare",
        "Eq",
        "NotEq",
        "Lt",
        "LtE",
        "Gt",
        "GtE",
        "Is",
        "IsNot",
        "Attribute",
    ]
)
"""No import, comprehension, lambda, format or loop: nothing that reaches out of the names given."""
OF_ARRAYS = frozenset(
    {"np.gcd", "np.sign", "np.where", "np.minimum", "np.maximum", "np.logical_not", "np.bool_"}
)
"""The only attributes."""
OURS = re.compile(r"[vwt]\d+|[ednr]")
"""Values and their denominators, temporaries, holes, and the letters of our own sources."""
GIVEN = frozenset(runtime.namespace({})) | frozenset(
    {"abs", "min", "max", "len", "int", "exact_condition", "exact_form"}  # the search
    | {"points", "met", "roots", "proportions", "reduced", "number", "whole"}  # quick proofs
    | {"needs", "root", "np"}  # the audit, the counting
)
DEFINED = re.compile(
    r"feasible|forms|derived_values|test|read|made|(step|line|word|row|band|slip|apart)(_\d+)+"
)


class Source(NamedTuple):
    """A source and what it was compiled as."""

    filename: str
    text: str


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> list[Source]:
    folder = tmp_path_factory.mktemp("code")
    shutil.copytree(ROOT / "banks" / "kinds", folder / "bank", ignore=shutil.ignore_patterns("bank.lock"))
    command = [sys.executable, "-m", "tests.generated_code", folder / "out", folder / "bank", ODD]
    environment = {**os.environ, "ITEMBANK_CACHE": "off", "PYTHONPATH": str(ROOT)}
    ended = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    return [Source(*json.loads(line)) for line in ended.stdout.splitlines()]


def test_every_room_that_runs_code_was_seen(sources: list[Source]) -> None:
    rooms = [each.filename.rpartition("<")[2] for each in sources]

    assert 100 <= rooms.count("shape>")
    assert 20 <= rooms.count("straight code>")
    assert {"test>", "arrays>", "good-odd-names>", "find-the-slip>", "order-of-surds>"} <= set(rooms)


def test_nothing_but_known_kinds_of_nodes_stands_in_them(sources: list[Source]) -> None:
    found = {type(node).__name__ for each in sources for node in ast.walk(ast.parse(each.text))}

    assert set() == found - NODES


def test_no_attribute_is_read_but_functions_of_arrays(sources: list[Source]) -> None:
    found = {
        ast.unparse(node)
        for each in sources
        for node in ast.walk(ast.parse(each.text))
        if isinstance(node, ast.Attribute)
    }

    assert set() == found - OF_ARRAYS


def test_nothing_but_whole_numbers_stands_in_them(sources: list[Source]) -> None:
    """No text at all, so none of an author's."""
    constants = [
        node.value
        for each in sources
        for node in ast.walk(ast.parse(each.text))
        if isinstance(node, ast.Constant)
    ]

    assert len(constants) > 1000
    assert [] == [value for value in constants if value is not None and type(value) not in {int, bool}]


def test_nothing_but_names_of_ours_stands_in_them(sources: list[Source]) -> None:
    named: set[str] = set()
    defined: set[str] = set()
    for each in sources:
        for node in ast.walk(ast.parse(each.text)):
            if isinstance(node, ast.Name):
                named.add(node.id)
            elif isinstance(node, ast.arg):
                named.add(node.arg)
            elif isinstance(node, ast.FunctionDef):
                defined.add(node.name)

    assert set() == {name for name in named if name not in GIVEN and not OURS.fullmatch(name)}
    assert set() == {name for name in defined if not DEFINED.fullmatch(name)}
    assert set() == {"exec", "eval", "open", "os", "import", "compile", "getattr", "globals", "del"} & (
        named | defined
    )


@pytest.mark.parametrize("name", ["__import__", "_os", "os.path", "os path", "x1"])
def test_names_that_are_no_plain_words_are_refused(name: str, tmp_path: Path) -> None:
    path = tmp_path / "odd-names.yaml"
    path.write_text(ODD.read_text("utf-8").replace("  exec: {", f"  '{name}': {{"), "utf-8")

    with pytest.raises(InputError) as wrong:
        load_template(path, path.name, NO_SLIPS)

    assert "wrong-value" in {each.code for each in wrong.value.diagnostics}
