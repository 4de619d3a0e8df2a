"""Decimals are printed as decimals: in the key, in what slips lead to, and rounded where the exact key is a root.

The rounded values are those of the published table of square roots: M. Abramowitz and I. A. Stegun, Handbook of
Mathematical Functions, National Bureau of Standards, 1964, table 3.1 (from memory): √2 = 1.414 213 562,
√3 = 1.732 050 808, √5 = 2.236 067 977, √7 = 2.645 751 311.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.audit.verify import audit_item
from itembank.expressions import canonical
from itembank.expressions.display import Decimal, Maths
from itembank.expressions.spelling import plain, terminal
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.decimals import as_decimals
from itembank.items import EntryResponse, Item
from itembank.library import BuildRequest, build, draw, plain_text, verify
from itembank.proof.findings import SHOWN_AS_ENTERED, Finding
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.verdicts import Refuted
from itembank.writers import latex, pages
from itembank.writers.paper import PaperFacts, key_answer, slips_in_order
from itembank.writers.qti3 import item_xml
from itembank.yaml_source import parse
from tests import samples
from tests.kinds_bank import walk_items
from tests.template_items import items

ROOTS = {2: "1.41", 3: "1.73", 5: "2.24", 7: "2.65"}


def _response(item: Item) -> EntryResponse:
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    return response


def test_a_key_that_ends_in_time_is_shown_with_the_places_asked_for() -> None:
    for item in items("prices", 12):
        shown = plain(item.parts[0].key)

        assert shown.startswith("n = ")
        assert len(shown.partition(".")[2]) == 2
        assert _response(item).rounded is None
        assert all(len(plain(slip.answer).partition(".")[2]) == 2 for slip in item.parts[0].slips)


def test_a_key_of_several_decimals_shows_each_with_the_places_asked_for() -> None:
    for item in items("two-prices", 12):
        part = item.parts[0]

        shown_answers = [key_answer(part), *(slip.answer for slip in part.slips)]
        for answer in shown_answers:
            assert answer is not None
            shown = plain(answer)
            assert re.fullmatch(r"c = \d\.\d\d and t = \d\.\d\d", shown)
        assert () == faults(prove(item))
        assert () == faults(prove_with_sympy(item))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]


def test_a_key_that_is_rounded_is_printed_as_the_boxes_hold_it() -> None:
    found = {}
    for item in items("rounded", 25):
        answer = key_answer(item.parts[0])
        square = plain(item.parts[0].problem.statement).removeprefix("x^2 = ")
        found[int(square)] = plain(answer)  # type: ignore[arg-type]

    for square, root in ROOTS.items():
        assert f"x ≈ -{root} or x ≈ {root}" == found[square]


def test_papers_print_it() -> None:
    (item,) = items("rounded", 1)
    facts = PaperFacts("Evening algebra")

    for name in ("answer-key", "worked-solutions", "mark-scheme"):
        assert r"\approx" in latex.document(name, [item], facts)
        assert "≈" in pages.document(name, [item], facts)


@pytest.mark.parametrize("prover", [prove, prove_with_sympy])
def test_a_rounded_answer_that_is_another_is_refuted_on_both_roads(prover: object) -> None:
    (item,) = items("rounded", 1)
    part = item.parts[0]
    wrong = replace(_response(item), rounded=samples.maths("x ≈ -1.5 or x ≈ 1.5"))
    spoiled = replace(item, parts=(replace(part, response=wrong),))

    assert not faults(tuple(prover(item)))  # type: ignore[operator]
    (fault,) = faults(tuple(prover(spoiled)))  # type: ignore[operator]
    assert "what the boxes round is the key" == fault.claim


@given(st.lists(st.fractions(-99, 99, max_denominator=50), min_size=1, max_size=3), st.integers(1, 4))
def test_no_value_changes_and_none_is_rounded(values: list[Fraction], places: int) -> None:
    form = canonical.solution_set([*values])
    shown = as_decimals(form, places)

    if all(10**places % value.denominator == 0 for value in values):
        digits = [number for number in shown[1] if not isinstance(number, int)]
        assert len(digits) == len({value for value in values if value})
        assert sorted(number.value for number in digits) == sorted(
            {abs(value) for value in values if value}
        ) or (len({abs(value) for value in values}) < len({*values}))
    else:
        assert form == shown


def test_a_terminal_shows_it_too() -> None:
    (item,) = items("prices", 1)
    assert "." in terminal(item.parts[0].key)


SLIPS = """
template: to-two-places
version: 1
title: To two places
unknowns: [x]
parameters: {k: {from: 5, to: 8}}
problem: x^2 = k
stem: Solve $problem$, to two decimal places.
response: {kind: entry, marks: 1, blanks: {x: {form: decimal, places: 2, values: any-order}}}
key: x = ±sqrt(k)
slips:
  - {slip: halved-under-the-root, value: x^2 = k/2, teacher: Halves., source: "common practice, no source"}
  - {slip: halved, value: x = ±k/2, teacher: Halves first., source: "common practice, no source"}
"""


def with_slips(folder: Path) -> Item:
    path = folder / "to-two-places.yaml"
    path.write_text(SLIPS, "utf-8")
    return next(each.item for each in draw(path, count=4) if each.item.values["k"] == 6)


def test_a_slip_is_printed_as_the_pupil_enters_it(tmp_path: Path) -> None:
    item = with_slips(tmp_path)
    (part,) = item.parts
    facts = PaperFacts("Evening algebra")
    scheme = pages.document("mark-scheme", [item], facts)

    assert ["x = ±sqrt(3)", "x = -3.00 or x = 3.00"] == [plain(slip.answer) for slip in part.slips]
    assert ["x ≈ -1.73 or x ≈ 1.73", "x = -3.00 or x = 3.00"] == [
        plain(slip.answer) for slip in slips_in_order(part)
    ]
    assert "1.73" in scheme
    assert r"1\Point 73" in latex.document("mark-scheme", [item], facts)


@pytest.mark.parametrize("prover", [prove, prove_with_sympy])
@pytest.mark.parametrize("shown", ["x ≈ -1.73 or x ≈ 1.74", "x ≈ 1.73", "x ≈ -1.7 or x ≈ 1.7"])
def test_another_decimal_for_a_slip_is_refuted_on_both_roads(
    prover: Callable[[Item], Iterable[Finding]], shown: str, tmp_path: Path
) -> None:
    item = with_slips(tmp_path)
    (part,), response = item.parts, _response(item)
    first, *others = response.recognised
    wrong = replace(response, recognised=(replace(first, rounded=samples.maths(shown)), *others))
    spoiled = replace(item, parts=(replace(part, response=wrong),))

    assert not faults(tuple(prover(item)))
    (fault,) = faults(tuple(prover(spoiled)))
    assert SHOWN_AS_ENTERED == fault.claim


AS_LISTED = """
template: as-listed
version: 1
title: As listed
unknowns: [x]
parameters: {m: VALUES, k: [2, 3]}
derived: {c: m*k, r: sqrt(k*abs(m)), t: "round(m/3, 2)"}
problem: x = m
stem: Take $m$ and $k*m$, which is $c$, and $r$ or $t$. Solve $problem$.
response: {kind: written}
key: x = m
solution: [{math: x = m, marks: A1}]
"""


def _shown(values: str, folder: Path, *, hole: int = 0) -> dict[str, set[str]]:
    """How each value of the list is shown in a hole of the stem, over all items of the template."""
    path = folder / "as-listed.yaml"
    path.write_text(AS_LISTED.replace("VALUES", values), "utf-8")
    found: dict[str, set[str]] = {}
    for drawn in draw(path, count=2 * (values.count(",") + 1)):
        filling = drawn.item.parts[0].stem.fillings[hole]
        assert isinstance(filling, Maths)
        assert not faults(tuple(prove(drawn.item)))
        found.setdefault(str(drawn.item.values["m"]), set()).add(plain(filling))
    return found


@pytest.mark.parametrize(
    ("values", "written"),
    [
        ("[-1.5, 0.25, 2]", {"-3/2": "-1.5", "1/4": "0.25", "2": "2"}),
        ("[1.50, 2.25, 3.00]", {"3/2": "1.50", "9/4": "2.25", "3": "3.00"}),
        ("[1.50, 0.125, 3]", {"3/2": "1.50", "1/8": "0.125", "3": "3"}),  # neither all alike nor all shortest
        ("[2.0, 0.75, -1/4, 1/3]", {"2": "2.0", "3/4": "0.75", "-1/4": "-1/4", "1/3": "1/3"}),
        ("[1/2, 0.5001, 2]", {"1/2": "1/2", "5001/10000": "0.5001", "2": "2"}),
        ("[1/2, 3]", {"1/2": "1/2", "3": "3"}),
        ("{from: 0.5, to: 1.5, step: 0.5}", {"1/2": "0.5", "1": "1.0", "3/2": "1.5"}),
    ],
)  # fmt: skip
def test_values_of_a_list_are_shown_as_they_are_written_there(
    values: str, written: dict[str, str], tmp_path: Path
) -> None:
    """Those of a range keep its places: a scale from 0.5 by 0.5 has 1.0 on it."""
    assert {value: {text} for value, text in written.items()} == _shown(values, tmp_path)


def test_what_is_made_of_decimals_is_a_decimal_by_whatever_name(tmp_path: Path) -> None:
    values = "[-1.5, 0.25, 2]"
    worked_out = {"-3/2": {"-3", "-4.5"}, "1/4": {"0.5", "0.75"}, "2": {"4", "6"}}

    assert worked_out == _shown(values, tmp_path, hole=1)
    assert worked_out == _shown(values, tmp_path, hole=2)
    assert {"-3/2": {"-0.50"}, "1/4": {"0.08"}, "2": {"0.67"}} == _shown(values, tmp_path, hole=4)


def test_a_root_of_decimals_is_none(tmp_path: Path) -> None:
    assert {"1/4": {"sqrt(2)/2", "sqrt(3)/2"}, "2": {"2", "sqrt(6)"}, "1/2": {"1", "sqrt(6)/2"}} == _shown(
        "[0.25, 2, 0.5]", tmp_path, hole=3
    )


EXPRESSION = """
template: a-root
version: 1
title: A root as a decimal
parameters: {w: [2, 3, 5, 7]}
problem: sqrt(w)
stem: Work out $problem$.
response: {kind: entry, blanks: {answer: {form: decimal, places: 2}}}
key: sqrt(w)
slips: [{slip: three-more, value: sqrt(w + 3), teacher: Adds., source: none}]
solution: [{math: "sqrt(w) ≈ round(sqrt(w), 2)", marks: A1}]
"""
SEVERAL = """
template: several-decimals
version: 1
title: Several decimals
unknowns: [p, q, r]
parameters: {w: [1, 7, 20, 26]}
problem: 3*p = w and 6*q + p = w and 4*r = w
stem: Solve $problem$.
response:
  kind: entry
  marks: 3
  blanks: {p: {form: decimal, places: 2}, q: {form: decimal, places: 1}, r: {form: decimal, places: 3}}
key: p = w/3 and q = w/9 and r = w/4
slips: [{slip: halves, value: p = w/2 and q = w/7 and r = w/4, teacher: Halves., source: none}]
solution:
  - math: p ≈ round(w/3, 2)
  - {math: "p ≈ round(w/3, 2) and q ≈ round(w/9, 1) and r = w/4", marks: A3}
"""


def _drawn(text: str, folder: Path) -> list[Item]:
    path = folder / "drawn.yaml"
    path.write_text(text, "utf-8")
    return [each.item for each in draw(path, count=4)]


def test_of_an_expression_the_decimal_stands_beside_its_exact_value(tmp_path: Path) -> None:
    """The decimal alone earns the mark; alone, it would seem to be the exact value."""
    found = {}
    for item in _drawn(EXPRESSION, tmp_path):
        found[item.values["w"]] = plain_text(key_answer(item.parts[0]))
        (slip,) = slips_in_order(item.parts[0])
        assert "≈" in plain(slip.answer)
        assert not faults((*prove(item), *prove_with_sympy(item)))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]

    assert {w: f"sqrt({w}) ≈ {root}" for w, root in ROOTS.items()} == found


def test_of_several_unknowns_each_is_shown_as_its_boxes_hold_it(tmp_path: Path) -> None:
    found = {}
    for item in _drawn(SEVERAL, tmp_path):
        found[item.values["w"]] = plain_text(key_answer(item.parts[0]))
        assert not faults((*prove(item), *prove_with_sympy(item)))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]

    assert {
        1: "p ≈ 0.33 and q ≈ 0.1 and r = 0.250",
        7: "p ≈ 2.33 and q ≈ 0.8 and r = 1.750",
        20: "p ≈ 6.67 and q ≈ 2.2 and r = 5.000",
        26: "p ≈ 8.67 and q ≈ 2.9 and r = 6.500",
    } == found


@pytest.mark.parametrize("prover", [prove, prove_with_sympy])
@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        (EXPRESSION, "sqrt(7) ≈ 2.64"),  # not to the places
        (EXPRESSION, "sqrt(7) ≈ 2.6"),  # not what the boxes hold
        (EXPRESSION, "sqrt(5) ≈ 2.24"),  # of another value
        (SEVERAL, "p ≈ 2.33 and q ≈ 0.7 and r = 1.750"),
        (SEVERAL, "p ≈ 2.33 and q ≈ 0.8 and r = 1.751"),
        (SEVERAL, "p ≈ 2.333 and q ≈ 0.8 and r = 1.750"),
        (SEVERAL, "p ≈ 0.8 and q ≈ 2.33 and r = 1.750"),
        (SEVERAL, "p ≈ 2.33 and r = 1.750"),
    ],
)
def test_another_decimal_is_refuted_on_both_roads(
    prover: Callable[[Item], Iterable[Finding]], text: str, wrong: str, tmp_path: Path
) -> None:
    (item,) = (each for each in _drawn(text, tmp_path) if each.values["w"] == 7)
    (part,), response = item.parts, _response(item)
    spoiled = replace(item, parts=(replace(part, response=replace(response, rounded=samples.maths(wrong))),))

    assert not faults(tuple(prover(item)))
    (fault,) = faults(tuple(prover(spoiled)))
    assert "what the boxes round is the key" == fault.claim


@pytest.mark.parametrize("line", ["p ≈ 2.33 and q ≈ 0.7", "q ≈ 2.33", "p ≈ 2.33 or p ≈ 0.78"])
def test_a_line_that_rounds_wrongly_is_refuted_on_every_road(line: str, tmp_path: Path) -> None:
    (item,) = (each for each in _drawn(SEVERAL, tmp_path) if each.values["w"] == 7)
    (part,) = item.parts
    first, last = part.solution
    lines = (first._replace(maths=samples.maths(line)), last)
    item = replace(item, parts=(replace(part, solution=lines),))

    for prover in (prove, prove_with_sympy):
        (fault,) = faults(tuple(prover(item)))
        assert "the line follows" == fault.claim
    assert ["line-differs"] == [f.code for f in audit_item(item_xml(item).encode(), "items/X.xml")[1]]


def test_each_unknown_of_a_typed_answer_has_its_own_places(tmp_path: Path) -> None:
    (tmp_path / "bank.yaml").write_text("bank: b\ntitle: B\nseed: 1\n", "utf-8")
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "several-decimals.yaml").write_text(SEVERAL, "utf-8")
    build(BuildRequest(tmp_path, tmp_path / "out", count=4, formats=("cc",)))

    (told,) = verify(next((tmp_path / "out" / "platform").glob("*.imscc")))

    assert (4, ()) == (told.items, told.findings)


ENTERED = """\
template: entered
version: 1
title: Answers that are entered as decimals
demand: use
calculator: yes
unknowns: [x, y]
parameters:
  a: {values: [1, 2, 4, 5, 7]}
  b: {from: 2, to: 7}
problem: 3*x = a and y - b = 0
stem: Solve $3*x = a$ and $y - b = 0$. Give $x$ to two decimal places.
response: {kind: entry, blanks: {BLANKS}}
key: x = a/3 and y = b
slips:
  - {slip: rounds-alike, value: x = a/3 + 1/3000 and y = b, pupil: Nearly., teacher: Nearly.}
  - {slip: off, value: x = a/3 + 1 and y = b, pupil: Off., teacher: Off.}
  - {slip: rounds-like-it, value: x = a/3 + 1 + 1/3000 and y = b, pupil: Off., teacher: Off.}
  - {slip: close-to-it, value: x = a/3 + 1 + 3/100 and y = b, pupil: Off., teacher: Off.}
  - {slip: close-but-other, value: x = a/3 + 3/100 and y = b + 1, pupil: Off., teacher: Off.}
solution: [{math: x = a/3 and y = b}]
"""


@pytest.mark.parametrize(
    ("blanks", "recognised"),
    [
        (
            "x: {form: decimal, places: 2}, y: {form: integer}",
            ["off", "close-to-it", "close-but-other"],
        ),
        (
            "y: {form: integer}, x: {form: decimal, places: 2}",
            ["off", "close-to-it", "close-but-other"],
        ),
        (
            "x: {form: decimal, places: 2, tolerance: 0.05}, y: {form: integer}",
            ["off", "close-but-other"],
        ),
        (
            "y: {form: decimal, places: 1}, x: {form: decimal, places: 2, tolerance: 0.05}",
            ["off", "close-but-other"],
        ),
    ],
)
def test_a_slip_that_is_entered_as_the_key_or_an_earlier_slip_is_not_recognised(
    blanks: str, recognised: list[str]
) -> None:
    """Found by trial: such items were built, and refused by the audit: a wrong answer earned the marks."""
    text = ENTERED.replace("{BLANKS}", "{" + blanks + "}")
    template = read_template(parse(text.encode(), "entered.yaml"), NO_SLIPS).template
    made = list(walk_items(Bound(make_recipe(template))))

    assert len(made) == 30
    for item in made:
        assert recognised == [entry.slip.name for entry in _response(item).recognised]
        assert () == faults(prove(item))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]


def test_the_proof_refuses_a_slip_that_is_entered_as_another() -> None:
    (item,) = items("two-prices", 1)
    response = _response(item)
    (entry,) = response.recognised
    other = replace(entry, slip=entry.slip._replace(name="another"))
    wide = [replace(blank, tolerance=Decimal(Fraction(100), 0)) for blank in response.blanks]

    twice = with_response(item, replace(response, recognised=(entry, other)))
    alike = with_response(item, replace(response, blanks=tuple(wide)))
    one_is = with_response(item, replace(response, blanks=(wide[0], response.blanks[1])))

    assert [f"what another enters is told as {entry.slip.name} already"] == refuted(twice)
    assert [f"the entry of {entry.slip.name} is right"] == refuted(alike)
    assert [] == refuted(one_is)


def with_response(item: Item, response: EntryResponse) -> Item:
    return replace(item, parts=(replace(item.parts[0], response=response),))


def refuted(item: Item) -> list[str]:
    return [f.verdict.counterexample for f in faults(prove(item)) if isinstance(f.verdict, Refuted)]
