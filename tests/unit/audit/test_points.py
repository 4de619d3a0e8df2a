"""Points in boxes: the audit passes what is written, and finds a wrong key and rules that mix the points."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from itembank.audit.verify import audit_item
from itembank.expressions.display import Maths
from itembank.expressions.spelling import plain
from itembank.items import ChoiceResponse, EntryResponse, Item
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.writers.qti3 import item_xml
from tests.template_items import items

NAMES = (
    "points",
    "points-touching",
    "points-fractions",
    "points-surds",
    "points-choice",
    "points-choices",
    "point-choice",
)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("thorough", [False, True])
def test_items_as_written_pass(name: str, thorough: bool) -> None:
    for item in items(name, 12 if not thorough else 3):
        assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=thorough)[1]
        assert () == faults(prove(item))
        if thorough:
            assert () == faults(prove_with_sympy(item))


def test_an_option_is_shown_as_a_point_where_the_key_is_written_as_one() -> None:
    for item in items("point-choice", 20):
        response = item.parts[0].response
        assert isinstance(response, ChoiceResponse)
        shown = [plain(option.content) for option in response.options if isinstance(option.content, Maths)]
        assert 3 == len(shown)
        assert all(re.fullmatch(r"\(x, y\) = \(-?[0-9]+, -?[0-9]+\)", each) for each in shown)


def the_item(name: str, points: int = 2) -> Item:
    """The first item with so many points, no two coordinates of them alike."""
    for item in items(name, 60):
        response = item.parts[0].response
        assert isinstance(response, EntryResponse)
        held = [value for blank in response.blanks for value in blank.values]
        if len(response.blanks[0].values) == points and len(set(held)) == len(held):
            return item
    raise AssertionError(f"{name} makes no item with {points} points")


def swap(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        assert old in text, old
        return text.replace(old, new, count)

    return spoil


def keyed(box: int, other: int | None = None) -> Callable[[str], str]:
    """Another number keyed in a box: its own and one more, or what is keyed in another box."""

    def spoil(text: str) -> str:
        told = re.compile(rf'(identifier="BOX_{box}" [^>]*><qti-correct-response><qti-value>)(-?[0-9]+)')
        found = told.search(text)
        assert found is not None
        if other is None:
            return told.sub(rf"\g<1>{int(found[2]) + 1}", text)
        there = re.search(
            rf'identifier="BOX_{other}" [^>]*><qti-correct-response><qti-value>(-?[0-9]+)', text
        )
        assert there is not None
        return told.sub(rf"\g<1>{there[1]}", text)

    return spoil


def swapped_keys(text: str) -> str:
    """What is keyed for y of the first point and of the second, exchanged: the key mixes the points."""
    values = re.findall(r'identifier="BOX_[24]" [^>]*><qti-correct-response><qti-value>(-?[0-9]+)', text)
    first, second = values
    text = text.replace(f"<qti-value>{first}</qti-value>", "<qti-value>?</qti-value>")
    text = text.replace(f"<qti-value>{second}</qti-value>", f"<qti-value>{first}</qti-value>")
    return text.replace("<qti-value>?</qti-value>", f"<qti-value>{second}</qti-value>")


def any_box(text: str) -> str:
    """Rules that look at each coordinate by itself, wherever it stands: mixed points count."""
    start, end = text.index("<qti-response-processing>"), text.index("</qti-response-processing>")
    rules = text[start:end]
    patterns = re.findall(
        r'<qti-pattern-match pattern="([^"]*)"><qti-variable identifier="BOX_([1-4])"/></qti-pattern-match>',
        rules,
    )
    assert patterns
    (x1, _), (y1, _), (x2, _), (y2, _) = (patterns[at] for at in (0, 1, 4, 5))

    def stands(boxes: tuple[int, int], pattern: str) -> str:
        each = (
            f'<qti-pattern-match pattern="{pattern}"><qti-variable identifier="BOX_{box}"/></qti-pattern-match>'
            for box in boxes
        )
        return f"<qti-or>{''.join(each)}</qti-or>"

    asked = "".join([stands((1, 3), x1), stands((1, 3), x2), stands((2, 4), y1), stands((2, 4), y2)])
    first = rules.index("<qti-response-if>") + len("<qti-response-if>")
    after = rules.index("</qti-and><qti-set-outcome-value", first) + len("</qti-and>")
    return text[:start] + rules[:first] + f"<qti-and>{asked}</qti-and>" + rules[after:] + text[end:]


FLOAT = '<qti-base-value base-type="float">{}</qti-base-value>'

SPOILINGS = {
    "another number is keyed": ("points", keyed(1), {"wrong-boxes", "key-misses-maximum"}),
    "the key mixes the points": ("points", swapped_keys, {"wrong-boxes"}),
    "a point is keyed twice": ("points", lambda text: keyed(4, 2)(keyed(3, 1)(text)), {"wrong-boxes"}),
    "half a point is keyed": (
        "points",
        lambda text: re.sub(
            r'(identifier="BOX_4" [^>]*>)<qti-correct-response>.*?</qti-correct-response>', r"\1", text
        ),
        {"half-filled"},
    ),
    "rules that take coordinates of different points together": ("points", any_box, {"wrong-entry-earns"}),
    "the letters of the point are turned round": (
        "points",
        swap("<mrow><mo>(</mo><mi>x</mi><mo>,</mo><mi>y</mi><mo>)</mo></mrow><annotation-xml "
             'encoding="MathML-Content"><vector><ci>x</ci><ci>y</ci></vector></annotation-xml></semantics></math> = (',
             "<mrow><mo>(</mo><mi>y</mi><mo>,</mo><mi>x</mi><mo>)</mo></mrow><annotation-xml "
             'encoding="MathML-Content"><vector><ci>y</ci><ci>x</ci></vector></annotation-xml></semantics></math> = ('),
        {"unclear-box"},
    ),
    "no comma stands between the coordinates": ("points", swap("</span> , <span", "</span> <span"), {"unclear-box"}),
    "a box takes the other coordinate": (
        "points", swap('data-unknown="x" data-form="integer" data-box="value" data-slot="2"',
                       'data-unknown="y" data-form="integer" data-box="value" data-slot="2"'),
        {"unclear-box"},
    ),
    "an unsimplified fraction loses nothing": (
        "points-fractions",
        swap(FLOAT.format("1"), FLOAT.format("2")),
        {"unsimplified-mark", "wrong-entry-earns"},
    ),
    "a point earns more than its share": (
        "points-touching",
        swap(FLOAT.format("1.5"), FLOAT.format("3")),
        {"wrong-entry-earns", "key-misses-maximum"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", SPOILINGS)
def test_what_was_changed_is_found(what: str) -> None:
    name, spoil, codes = SPOILINGS[what]
    text = item_xml(the_item(name))
    spoiled = spoil(text)  # type: ignore[operator]
    assert text != spoiled

    found = {fault.code for fault in audit_item(spoiled.encode(), "items/X.xml", thorough=False)[1]}

    assert found & codes, found


def test_a_wrong_point_more_costs_the_only_one() -> None:
    """Where a line touches, boxes for a second point stay empty; rules that do not mind them are found."""
    text = item_xml(the_item("points-touching", 1))
    left_empty = re.compile(
        r"<qti-or><qti-and><qti-is-null><qti-variable identifier=\"BOX_3\"/></qti-is-null>.*?</qti-or>(?=</qti-and>)"
    )
    spoiled, count = left_empty.subn("", text, count=1)
    assert count

    found = audit_item(spoiled.encode(), "items/X.xml", thorough=False)[1]

    assert "wrong-entry-earns" in {fault.code for fault in found}, found


@pytest.mark.parametrize("box", [1, 2, 3, 4])
def test_half_a_point_more_costs_the_only_one(box: int) -> None:
    """A point's boxes may stay empty, but both of them: rules that look at one of them only are found."""
    text = item_xml(the_item("points-touching", 1))
    other = box + 1 if box % 2 else box - 1
    looked_at = f'<qti-is-null><qti-variable identifier="BOX_{box}"/></qti-is-null>'
    spoiled = text.replace(looked_at, looked_at.replace(f"BOX_{box}", f"BOX_{other}"))
    assert text != spoiled

    found = audit_item(spoiled.encode(), "items/X.xml", thorough=False)[1]

    assert "wrong-entry-earns" in {fault.code for fault in found}, found
