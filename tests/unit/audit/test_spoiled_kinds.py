"""Items of every kind as written, spoiled in one place each: the audit tells of it from the file alone."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.proof.prover import prove
from itembank.verdicts import Proved
from itembank.writers import qti3
from tests.kinds_bank import TEMPLATES, bound_of, items, walk_items


def written(name: str, index: int = 0) -> str:
    """An item of a template as its document."""
    return qti3.item_xml(items(name)[index])


def told(text: str, *, thorough: bool = False) -> set[str]:
    """The codes of everything the audit finds."""
    return {finding.code for finding in audit_item(text.encode(), "item.xml", thorough=thorough)[1]}


@pytest.mark.parametrize("name", TEMPLATES)
def test_an_item_as_written_passes(name: str) -> None:
    for index in range(12):
        assert set() == told(written(name, index))


@pytest.mark.parametrize("name", TEMPLATES)
def test_an_item_as_written_passes_on_both_roads(name: str) -> None:
    assert set() == told(written(name), thorough=True)


@dataclass(frozen=True)
class Spoiling:
    """A template, what is done to its first item, and the code that tells of it."""

    title: str
    name: str
    spoil: Callable[[str], str]
    found: str


def once(old: str, new: str) -> Callable[[str], str]:
    """Replace the first occurrence of a pattern."""

    def spoil(text: str) -> str:
        changed, count = re.subn(old, new, text, count=1, flags=re.DOTALL)
        assert count == 1
        return changed

    return spoil


CHOICES = "equations-of-one-kind"
LINE = "find-the-slip"


def one_right_more(text: str) -> str:
    """A wrong option is keyed along with the right ones, and mapped as one."""
    name = next(n for n in "ABCDE" if f"<qti-value>{n}</qti-value>" not in text)
    text = text.replace("</qti-correct-response>", f"<qti-value>{name}</qti-value></qti-correct-response>", 1)
    return text.replace(f'map-key="{name}" mapped-value="-1"', f'map-key="{name}" mapped-value="1"')


def one_right_less(text: str) -> str:
    """A right option is not keyed."""
    return once("<qti-value>[A-E]</qti-value>(?=<qti-value>[A-E])", "")(text)


def swapped_options(text: str) -> str:
    """Two options trade places in sight of the pupil."""
    first, second = re.findall(r'<qti-simple-choice identifier="[A-E]">(.*?)</qti-simple-choice>', text)[:2]
    assert first != second
    mark = "\0"
    head, body = text.split("<qti-choice-interaction", 1)
    inside, tail = body.split("</qti-choice-interaction>", 1)
    inside = inside.replace(first, mark).replace(second, first).replace(mark, second)
    return f"{head}<qti-choice-interaction{inside}</qti-choice-interaction>{tail}"


def lines_of(text: str) -> list[str]:
    """The formula of each line of working that the pupil sees."""
    formula = r"(<math(?:(?!<math).)*</math>)</p></qti-simple-choice>"
    return re.findall(formula, text, re.DOTALL)


def another_line_keyed(text: str) -> str:
    """The line after the wrong one, or before it, is keyed."""
    keyed = int(re.search(r"<qti-value>L(\d)</qti-value>", text)[1])  # type: ignore[index]
    other = keyed + 1 if keyed < 5 else keyed - 1
    return text.replace(f"<qti-value>L{keyed}</qti-value>", f"<qti-value>L{other}</qti-value>", 1)


def a_second_wrong_line(text: str) -> str:
    """The last line shown to the pupil and to staff says something else."""
    return text.replace(lines_of(text)[4], re.findall("<math.*?</math>", text, re.DOTALL)[0])


def no_wrong_line(text: str) -> str:
    """The keyed line is shown as the line above it is."""
    keyed = int(re.search(r"<qti-value>L(\d)</qti-value>", text)[1])  # type: ignore[index]
    shown = lines_of(text)
    stem = re.findall(r"<math.*?</math>", text, re.DOTALL)[0]
    return text.replace(shown[keyed - 1], shown[keyed - 2] if keyed > 1 else stem)


SPOILINGS = (
    Spoiling("a wrong option keyed too", CHOICES, one_right_more, "wrong-option-keyed"),
    Spoiling("a right option not keyed", CHOICES, one_right_less, "second-right-option"),
    Spoiling("two options swapped for pupils", CHOICES, swapped_options, "option-differs"),
    Spoiling("a share too small", CHOICES, once('mapped-value="1"', 'mapped-value="0.5"'), "key-misses-maximum"),
    Spoiling("a wrong option that earns", CHOICES, once('mapped-value="-1"', 'mapped-value="1"'), "wrong-option-earns"),
    Spoiling("a wrong option free", CHOICES, once('mapped-value="-1"', 'mapped-value="0"'), "wrong-option-earns"),
    Spoiling("a wrong option dearer", CHOICES, once('mapped-value="-1"', 'mapped-value="-2"'), "uneven-options"),
    Spoiling("no floor", CHOICES, once(' lower-bound="0"', ""), "wrong-option-earns"),
    Spoiling("a mapping of no option", CHOICES, once('map-key="A"', 'map-key="Q"'), "misfit-value"),
    Spoiling("a mapping without a number", CHOICES, once('mapped-value="1"', 'mapped-value="one"'), "misfit-value"),
    Spoiling("an option mapped twice", CHOICES, once('map-key="B"', 'map-key="A"'), "duplicate-identifier"),
    Spoiling("no mapping at all", CHOICES, once("<qti-mapping.*?</qti-mapping>", ""), "undeclared-variable"),
    Spoiling("one option to choose only", CHOICES, once('max-choices="0"', 'max-choices="1"'), "misfit-response"),
    Spoiling("another maximum", CHOICES, once('normal-maximum="2"', 'normal-maximum="3"'), "key-misses-maximum"),
    Spoiling("one right value twice", CHOICES, once("(<qti-value>[A-E]</qti-value>)", r"\1\1"), "duplicate-identifier"),
    Spoiling(
        "feedback of another option", CHOICES,
        once(r'(<qti-member><qti-base-value base-type="identifier">)[A-E]', r"\1Z"), "wrong-feedback",
    ),
    Spoiling("right is not told", CHOICES, once('identifier">F0<', 'identifier">F9<'), "wrong-feedback"),
    Spoiling("a solution not keyed", "all-solutions", one_right_less, "solution-missing"),
    Spoiling("a text twice", "what-is-true", once("has no real", "has at least one real"), "equal-options"),
    Spoiling("another line keyed", LINE, another_line_keyed, "wrong-option-keyed"),
    Spoiling("two wrong lines", LINE, a_second_wrong_line, "second-right-option"),
    Spoiling("no wrong line", LINE, no_wrong_line, "wrong-option-keyed"),
    Spoiling("lines in any order", LINE, once('shuffle="false"', 'shuffle="true"'), "misfit-response"),
    Spoiling("several lines to choose", LINE, once('max-choices="1"', 'max-choices="0"'), "misfit-response"),
    Spoiling("no line keyed", LINE, once("<qti-correct-response>.*?</qti-correct-response>", ""), "no-key"),
    Spoiling("a line without its formula", LINE, once(
        '<qti-simple-choice identifier="L2">(.*?)<p><math.*?</math></p></qti-simple-choice>',
        r'<qti-simple-choice identifier="L2">\1</qti-simple-choice>'), "unclear-option"),
    Spoiling("an unknown kind", LINE, once('data-kind="wrong-line"', 'data-kind="line"'), "unclear-problem"),
)  # fmt: skip


@pytest.mark.parametrize("spoiling", SPOILINGS, ids=lambda each: each.title)
def test_what_is_spoiled_is_told(spoiling: Spoiling) -> None:
    text = spoiling.spoil(written(spoiling.name))

    assert spoiling.found in told(text)


def test_there_are_spoilings_enough() -> None:
    assert len(SPOILINGS) >= 25


STEPS, SURDS = "order-of-steps", "order-of-surds"
MATCH, MATCH_WORDS, WRITTEN = "equations-and-solutions", "discriminants-and-roots", "in-writing"


def first_two_swapped(text: str) -> str:
    """The first two of the keyed order change places."""
    first, second = re.findall("<qti-value>([A-E])</qti-value>", text)[:2]
    pair = f"<qti-value>{first}</qti-value><qti-value>{second}</qti-value>"
    assert pair in text
    return text.replace(pair, f"<qti-value>{second}</qti-value><qti-value>{first}</qti-value>", 1)


def keyed_as_printed(text: str) -> str:
    """The things are printed in the order that is keyed."""
    order = re.findall("<qti-value>([A-E])</qti-value>", text)
    choices = dict(re.findall(r'<qti-simple-choice identifier="([A-E])">(.*?)</qti-simple-choice>', text))
    head, rest = text.split("<qti-simple-choice", 1)
    tail = rest[rest.rindex("</qti-simple-choice>") + len("</qti-simple-choice>") :]
    shown = "".join(
        f'<qti-simple-choice identifier="{name}">{choices[name]}</qti-simple-choice>' for name in order
    )
    return head + shown + tail


def another_target_keyed(text: str) -> str:
    """Two rows exchange their targets in key and mapping."""
    (one, first), (other, second) = re.findall("<qti-value>(R[0-9]) ([A-E])</qti-value>", text)[:2]
    mark = "\0"
    for old, new in (
        (f"{one} {first}", mark),
        (f"{other} {second}", f"{other} {first}"),
        (mark, f"{one} {second}"),
    ):
        text = text.replace(f">{old}<", f">{new}<").replace(f'"{old}"', f'"{new}"')
    return text


def two_of_one_value(text: str) -> str:
    """Of the rows with two values, one is shown to staff and pupils with another's statement."""
    rows = re.findall(
        r'<qti-simple-associable-choice identifier="R[0-9]" match-max="1">(.*?)</qti-simple-assoc', text
    )
    keyed = dict(re.findall("<qti-value>(R[0-9]) ([A-E])</qti-value>", text))
    names = sorted(keyed)
    for i, first in enumerate(names):
        for j, second in enumerate(names):
            if keyed[first] != keyed[second]:
                return text.replace(rows[i], rows[j])
    raise AssertionError


MISFIT, DIFFERS = "misfit-response", "option-differs"

MORE = (
    Spoiling("two numbers in the wrong order", SURDS, first_two_swapped, "wrong-order-keyed"),
    Spoiling("two lines in the wrong order", STEPS, first_two_swapped, "wrong-order-keyed"),
    Spoiling("the order shown", SURDS, keyed_as_printed, "order-shown"),
    Spoiling("a thing not keyed", SURDS, once("<qti-value>[A-E]</qti-value>", ""), "no-key"),
    Spoiling("an order of sets", SURDS, once('cardinality="ordered"', 'cardinality="multiple"'), MISFIT),
    Spoiling("a place too many", SURDS, once(r'qti-index n="1"', 'qti-index n="2"'), "key-misses-maximum"),
    Spoiling("no place", SURDS, once(r'qti-index n="1"', 'qti-index n="0"'), "unknown-rule"),
    Spoiling("a share too large", SURDS, once('base-type="float">1<', 'base-type="float">2<'), "key-misses-maximum"),
    Spoiling("right is not told of an order", STEPS, once('identifier">F0<', 'identifier">F9<'), "wrong-feedback"),
    Spoiling("two rows exchanged", MATCH, another_target_keyed, "wrong-pair-keyed"),
    Spoiling("one value with two words", MATCH_WORDS, two_of_one_value, "wrong-pair-keyed"),
    Spoiling("a row not keyed", MATCH, once("<qti-value>R1 [A-E]</qti-value>", ""), "no-key"),
    Spoiling("a row twice", MATCH, once('identifier="R1" match-max="1"', 'identifier="R1" match-max="0"'), MISFIT),
    Spoiling("too few pairs", MATCH, once('max-associations="3"', 'max-associations="2"'), MISFIT),
    Spoiling("words once", MATCH_WORDS, once('identifier="A" match-max="0"', 'identifier="A" match-max="1"'), MISFIT),
    Spoiling("a pair that earns", MATCH, once('default-value="0"', 'default-value="1"'), "wrong-answer-earns"),
    Spoiling("a share too small", MATCH, once('mapped-value="1"', 'mapped-value="0.5"'), "key-misses-maximum"),
    Spoiling("a pair of nothing", MATCH, once('map-key="R1 ', 'map-key="R9 '), "misfit-value"),
    Spoiling("pairs of one thing", MATCH, once('base-type="directedPair"', 'base-type="identifier"'), MISFIT),
    Spoiling("a slip not told", MATCH, once(r'(base-type="directedPair">)R1 [A-E]', r"\1R1 Z"), "wrong-feedback"),
    Spoiling("staff know other pairs", MATCH, once('data-identifier="R1-[A-E]"', 'data-identifier="R1-Z"'), DIFFERS),
    Spoiling("marks by nobody", WRITTEN, once(' external-scored="human"', ""), "not-marked-by-hand"),
    Spoiling("no note for scorers", WRITTEN, once('use="scoring"', 'use="notes"'), "not-marked-by-hand"),
    Spoiling("a mark lost in the scheme", WRITTEN, once('data-marks="M1"', 'data-marks=""'), "marks-do-not-sum"),
    Spoiling(
        "a right value for a text", WRITTEN,
        once('(base-type="string")/>', r"\1><qti-correct-response><qti-value>x</qti-value></qti-correct-response>"
             "</qti-response-declaration>"), "key-shown",
    ),
    Spoiling("a number for a text", WRITTEN, once('base-type="string"', 'base-type="integer"'), MISFIT),
)  # fmt: skip


@pytest.mark.parametrize("spoiling", MORE, ids=lambda each: f"{each.name}: {each.title}")
def test_what_is_spoiled_of_orders_matches_and_writing_is_told(spoiling: Spoiling) -> None:
    text = spoiling.spoil(written(spoiling.name))

    assert spoiling.found in told(text)


LINEAR = """\
template: linear-in-order
version: 1
title: The steps of a linear equation
unknowns: [x]
parameters: {a: {from: 4, to: 9}, c: {from: 2, to: 7}, b: {from: 2, to: 6}, t: {from: 2, to: 6}}
derived: {k: a - c, d: k*t + a*b}
constraints: [k > 1]
problem: a*(x + b) = c*x + d
stem: Put the steps that solve $problem$ into order.
response: {kind: order}
key: x = t
solution: [{math: a*x + value(a*b) = c*x + d}, {math: k*x + value(a*b) = d}, {math: k*x = value(k*t)}, {math: x = t}]
"""


def test_the_steps_of_a_linear_equation_have_one_order_on_both_roads(tmp_path: Path) -> None:
    """Taking 2x off both sides leaves no line with 4x - 2x in it: like terms are collected as they are moved."""
    path = tmp_path / "linear-in-order.yaml"
    path.write_text(LINEAR, "utf-8")

    for item in islice(walk_items(bound_of(path)), 6):
        assert all(isinstance(each.verdict, Proved) for each in prove(item))
        text = qti3.item_xml(item)
        assert set() == told(text)
        assert "wrong-order-keyed" in told(first_two_swapped(text))


PARTS_THAT_DO_NOT_FIT = {
    "a right option that is none": (
        "all-solutions",
        once(r'(<qti-value>([A-Z])</qti-value>.*?<qti-simple-choice identifier=")\2"', r'\1Z"'),
        "misfit-value",
    ),
    "a coordinate of no unknown": (
        "line-and-parabola",
        lambda text: text.replace('data-unknown="x"', 'data-unknown="w"'),
        "unclear-box",
    ),
    "a box of no role": ("line-and-parabola", once('data-box="value"', 'data-box="worth"'), "unclear-box"),
    "a line of no kind": (
        "in-writing",
        once(r'(data-role="line" data-kind=")main', r"\1mian"),
        "unclear-line",
    ),
    "a pair without its second": (
        "equations-and-solutions",
        once(r"(<qti-correct-response><qti-value>R1) [A-Z]", r"\1 "),
        "misfit-value",
    ),
}


@pytest.mark.parametrize("what", PARTS_THAT_DO_NOT_FIT)
def test_parts_that_do_not_fit_each_other_are_told_and_end_nothing(what: str) -> None:
    """What later checks make of such an item is no matter, but they come to an end."""
    name, spoil, found = PARTS_THAT_DO_NOT_FIT[what]

    assert found in told(spoil(written(name)))


def test_neighbours_of_one_value_have_one_target() -> None:
    text = written(MATCH_WORDS, 4)
    assert re.findall("<qti-value>(R[0-9] [A-E])</qti-value>", text) == ["R1 A", "R2 A", "R3 C"]

    assert "wrong-pair-keyed" in told(text.replace("R2 A", "R2 B").replace("R2-A", "R2-B"))
