"""Templates spoiled at random: whatever is in a file, it is read, or told as wrong at places of the file.

Mutations are of two kinds: of tokens and lines (which mostly break YAML or the shape), and of letters, numbers and
signs inside expressions (which mostly still read, and then go through the whole review).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from itembank.bank import review as review_module
from itembank.bank.bank import Entry
from itembank.errors import InputError
from itembank.expressions.vocabulary import FUNCTIONS
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import Loaded, read_template
from itembank.templates.slips import load_slips
from itembank.yaml_source import parse

BANK = Path(__file__).resolve().parents[2] / "banks" / "quadratics"
TEXTS = [path.read_text("utf-8") for path in sorted((BANK / "templates").rglob("*.yaml"))]
SLIPS = load_slips(BANK / "slips.yaml", "slips.yaml")[0]
SIGNS = [
    "(", ")", "{", "}", "[", "]", "$", "|", "#", "&a", "*a", "!t", "'", '"', ": ", "- ", ",", "±", "≈", "≠", "²", "√",
    "=", "^", "/", "--", "~", "null", "none", "problem", "not", "and", "9^9^9^9", "1/0", "0", "1e9", "\t", "\n", "  ",
    "999999999999999999999999", "keep(", "surd(k)", "is_square(x)", "x", "é", "−", "<<: x",
]  # fmt: skip

T = TypeVar("T")
Function = TypeVar("Function", bound=Callable[..., object])


def deterministic(examples: int) -> Callable[[Function], Function]:
    """The same examples in every run."""
    return settings(
        derandomize=True,
        max_examples=examples,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        database=None,
    )


def read(text: str) -> Loaded | tuple[str, ...]:
    """The template, or the codes of what is wrong; every place told is a place of the file."""
    try:
        loaded = read_template(parse(text.encode("utf-8", "surrogatepass"), "t.yaml"), SLIPS)
        make_recipe(loaded.template)
    except InputError as wrong:
        told = wrong.diagnostics
    else:
        return loaded
    last = len(text.splitlines()) + 1
    assert told
    assert all(each.message and each.span is not None for each in told)
    assert all(each.span and 1 <= each.span.line <= last and each.span.column >= 1 for each in told)
    return tuple(each.code for each in told)


@st.composite
def spoiled(draw: st.DrawFn) -> str:
    """A demo template with tokens or lines deleted, doubled, exchanged or put in."""
    text = draw(st.sampled_from(TEXTS))
    for _ in range(draw(st.integers(1, 3))):
        pieces = _pieces(text, by_line=draw(st.booleans()))
        here, there = (draw(st.integers(0, len(pieces) - 1)) for _ in range(2))
        match draw(st.sampled_from(["delete", "double", "exchange", "replace", "insert"])):
            case "delete":
                del pieces[here]
            case "double":
                pieces.insert(here, pieces[here])
            case "exchange":
                pieces[here], pieces[there] = pieces[there], pieces[here]
            case "replace":
                pieces[here] = draw(st.sampled_from(SIGNS))
            case _:
                pieces.insert(here, draw(st.sampled_from(SIGNS)))
        text = "".join(pieces) or "x"
    return text


def _pieces(text: str, *, by_line: bool) -> list[str]:
    return text.splitlines(keepends=True) if by_line else re.findall(r"\w+|[^\w\s]|\n| +|\s", text)


@st.composite
def respelt(draw: st.DrawFn) -> str:
    """A demo template with letters, numbers and signs of its expressions replaced by others."""
    text = draw(st.sampled_from(TEXTS))
    head, mark, body = text.partition("unknowns:")
    if not mark:
        head, mark, body = text.partition("parameters:")
    for _ in range(draw(st.integers(1, 2))):
        if draw(st.booleans()):
            places = list(re.finditer(r"(?<![\w-])([a-zA-Z]|\d+)(?![\w:-])", body))
            words = [*"hkabcxmpqDnst", "0", "1", "-1", "2", "(1/2)", "0.5", "7", "(-3)", "problem"]
            words += [function.example for function in FUNCTIONS.values()]
        else:
            places = list(re.finditer(r"[-+*/^=<>±]", body))
            words = ["+", "-", "*", "/", "^", "=", "<", "±", "!=", " or x = "]
        where = places[draw(st.integers(0, len(places) - 1))]
        body = body[: where.start()] + draw(st.sampled_from(words)) + body[where.end() :]
    return head + mark + body


@deterministic(500)
@given(spoiled())
def test_a_spoiled_template_is_read_or_told_as_wrong(text: str) -> None:
    read(text)


def test_a_template_with_other_expressions_is_read_or_told_as_wrong() -> None:
    kinds: set[str] = set()

    @deterministic(300)
    @given(respelt())
    def look_at(text: str) -> None:
        found = read(text)
        kinds.update(found if isinstance(found, tuple) else ["read"])

    look_at()

    assert {"read", "unknown-name", "not-a-number", "statement-inside"} <= kinds
    assert len(TEXTS) >= 10


YAML = st.text(alphabet=st.sampled_from("ab:{}[],-?&*!|>'\"%@`#$ \n\tx=1²√\u00e9\u2028\ufeff"), max_size=60)


@deterministic(400)
@given(YAML)
def test_any_text_is_told_as_wrong(text: str) -> None:
    assert isinstance(read(text), tuple)


@deterministic(150)
@given(st.binary(max_size=60))
def test_any_bytes_are_told_as_wrong(data: bytes) -> None:
    with pytest.raises(InputError):
        read_template(parse(data, "t.yaml"), SLIPS)


@deterministic(60)
@given(respelt())
def test_a_template_that_reads_is_reviewed_without_a_contradiction(text: str) -> None:
    loaded = read(text)
    if isinstance(loaded, tuple):
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(review_module, "PROVED_AT_LEAST", 6)
        patch.setattr(review_module, "LOOKED_AT", 2_000)
        found = review_module.review(Entry(make_recipe(loaded.template), "", "t.yaml"))

    assert found.count.feasible > 0 or found.diagnostics
