"""The only place where source becomes something that runs, and the gate before it.

Proofs, search and audit write whole-number code for looks that come again and again. Every such code passes here as
it was compiled: it may name what it is handed, what it defines and a few attributes, and hold whole numbers and the
empty text; anything else is refused before a line of it runs. No text of an author's, or of a package, is of that
kind, wherever it came from.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from opcode import opmap
from types import CodeType
from typing import Any, Final

__all__ = ["ForeignCode", "run"]

_DEFINED: Final = re.compile(
    r"feasible|forms|derived_values|test|read|made|(step|line|word|row|band|slip|apart|when)(_[0-9]+)+"
)
_ATTRIBUTES: Final = frozenset(
    {"items", "gcd", "lcm", "sign", "where", "minimum", "maximum", "logical_not", "bool_"}
)
"""Of what a response holds, and the functions of arrays."""
_IMPORT: Final = opmap["IMPORT_NAME"]


class ForeignCode(AssertionError):
    """Code of ours would name or hold what is not ours: a fault of this program, and nothing was run."""


def run(source: str, filename: str, room: dict[str, Any]) -> dict[str, Any]:
    """The room, with the functions that the source defines.

    room: all that these may name, the built-in functions under `__builtins__`. Raises ForeignCode, before anything
    runs, for a name, an attribute or a constant of another kind.

    >>> run("def read(n):\\n return n[0] + 1", "<example>", {"__builtins__": {}})["read"]((2,))
    3
    >>> run("def read(n):\\n return open(n)", "<example>", {"__builtins__": {}})
    Traceback (most recent call last):
    itembank.own_code.ForeignCode: <example> names or holds what is not ours: 'open'
    """
    code = compile(source, filename, "exec")
    foreign = next(_foreign(code, {*room, *room["__builtins__"]}), None)
    if foreign is not None:
        raise ForeignCode(f"{filename} names or holds what is not ours: {foreign!r}")
    exec(code, room)  # noqa: S102 (looked through just now)
    return room


def _foreign(module: CodeType, known: set[str]) -> Iterator[object]:
    """What is not ours: at the top stand functions with names of ours and nothing else."""
    yield from (name for name in module.co_names if not _DEFINED.fullmatch(name))
    for each in module.co_consts:
        if isinstance(each, CodeType):
            yield from _foreign_within(each, known | set(module.co_names) | _ATTRIBUTES)
        elif each is not None:
            yield each


def _foreign_within(code: CodeType, known: set[str]) -> Iterator[object]:
    yield from (name for name in code.co_names if name not in known or name.startswith("__"))
    if _IMPORT in code.co_code[::2]:
        yield "import"
    for each in code.co_consts:
        if isinstance(each, CodeType) or not _is_plain(each):
            yield each


def _is_plain(value: object) -> bool:
    """Whole numbers, and the text that is empty."""
    if isinstance(value, tuple):
        return all(map(_is_plain, value))
    return value is None or value == "" or type(value) in {int, bool}
