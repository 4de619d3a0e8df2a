"""The modules of the expression language are cheap apart: only the parser knows lark, only one module sympy."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import itembank.expressions

FOLDER = Path(itembank.expressions.__file__).parent
MODULES = sorted(path.stem for path in FOLDER.glob("*.py") if path.stem != "__init__")
HEAVY = ("lark", "sympy", "numpy", "lxml", "pydantic", "yaml", "difflib")
ALLOWED = {"parser": {"lark"}, "symbolic": {"sympy", "numpy", "difflib"}}


def test_the_room_has_its_modules_and_an_empty_door() -> None:
    assert len(MODULES) >= 28
    assert (FOLDER / "__init__.py").read_text("utf-8") == ""


@pytest.mark.parametrize("module", MODULES)
def test_a_module_loads_nothing_heavy_but_its_own(module: str) -> None:
    code = f"import sys, itembank.expressions.{module}; print(*[name for name in {HEAVY} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert "" == done.stderr
    assert set(done.stdout.split()) <= ALLOWED.get(module, set())


@pytest.mark.parametrize("library", ["lark", "sympy"])
def test_a_library_is_named_by_one_module_only(library: str) -> None:
    named = [
        name for name in MODULES if re.search(rf"^\s*(from|import) {library}\b", text(name), re.MULTILINE)
    ]

    assert {"lark": ["parser"], "sympy": ["symbolic"]}[library] == named


def text(module: str) -> str:
    return (FOLDER / f"{module}.py").read_text("utf-8")


def test_no_text_is_evaluated_and_no_float_decides() -> None:
    for module in MODULES:
        assert not re.search(r"\b(eval|exec|sympify|parse_expr|float)\(", text(module)), module
