"""The gate before code of ours runs: what it would refuse of anybody else's, it refuses before a line of it runs."""

from __future__ import annotations

from math import gcd
from typing import Any

import pytest

from itembank.own_code import ForeignCode, run


def room() -> dict[str, Any]:
    return {"__builtins__": {"abs": abs}, "gcd": gcd}


def test_what_is_handed_over_may_be_named() -> None:
    source = "def step_0(v0, v1):\n return gcd(abs(v0), v1) + 12\ndef test(n):\n return step_0(*n) > 0"

    assert run(source, "<ours>", room())["test"]((-4, 6)) is True


@pytest.mark.parametrize(
    "line",
    [
        "return open(n)",
        "return __import__('os')",
        "import os",
        "import gcd",
        "return n.__class__",
        "return gcd.__self__",
        "return n.real",
        "return 'a text of an author'",
        "return b'bytes'",
        "return 0.5",
        "return (1, (2, 'x'))",
        "return (lambda: 1)()",
        "return globals()",
        "return eval(n)",
        "return ...",
    ],
)
def test_anything_else_is_refused(line: str) -> None:
    with pytest.raises(ForeignCode, match="<ours> names or holds what is not ours"):
        run(f"def test(n):\n {line}", "<ours>", room())


@pytest.mark.parametrize(
    "source",
    [
        "gcd(4, 6)",
        "x = 1",
        "def os(n):\n return n",
        "def test(n=abs):\n return n",
        "@abs\ndef test(n):\n return n",
        "class test:\n pass",
        "import test",
        "'a docstring'",
        "del gcd",
    ],
)
def test_nothing_runs_beside_functions_of_ours(source: str) -> None:
    untouched = room()

    with pytest.raises(ForeignCode):
        run(source, "<ours>", untouched)

    assert untouched.keys() == room().keys()
