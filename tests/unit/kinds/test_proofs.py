"""What is proved of every kind: right items pass on both roads, spoiled ones are refuted, and both roads agree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from itembank.bank.bank import read_bank
from itembank.bank.review import review
from itembank.errors import Diagnostic, InputError
from itembank.expressions.display import Maths
from itembank.expressions.spelling import plain
from itembank.items import (
    ChoicesResponse,
    EntryResponse,
    Item,
    MatchResponse,
    OrderResponse,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.proof.findings import Finding
from itembank.proof.prover import faults, prove
from itembank.proof.steps import is_step, read_line
from itembank.proof.symbolic import prove_with_sympy
from tests.kinds_bank import BANK, TEMPLATES, bound_of, changed, items
from tests.samples import maths
from tests.template_items import items as template_items


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_claim_of_an_item_is_proved_on_both_roads(name: str) -> None:
    for item in items(name):
        assert () == faults(prove(item))
    for item in items(name, 2):
        assert () == faults(prove_with_sympy(item))


def with_response(item: Item, response: Any) -> Item:
    return replace(item, parts=(replace(item.parts[0], response=response),))


def raised(maths: Maths) -> Iterator[Maths]:
    for hole, number in enumerate(maths.numbers):
        if isinstance(number, int):
            yield Maths(maths.shape, (*maths.numbers[:hole], number + 1, *maths.numbers[hole + 1 :]))


def spoiled(item: Item) -> Iterator[Item]:
    response = item.parts[0].response
    match response:
        case ChoicesResponse(options=options):
            for at, option in enumerate(options):
                flipped = option._replace(is_key=not option.is_key)
                yield with_response(item, replace(response, options=_put(options, at, flipped)))
                for shown in raised(option.content) if isinstance(option.content, Maths) else ():
                    other = option._replace(content=shown)
                    yield with_response(item, replace(response, options=_put(options, at, other)))
        case OrderResponse(things=things, by=by) if by != "lines":
            for at, thing in enumerate(things):
                for shown in raised(thing.maths):
                    yield with_response(
                        item, replace(response, things=_put(things, at, thing._replace(maths=shown)))
                    )
            swapped = [t._replace(place={0: 1, 1: 0}.get(t.place, t.place)) for t in things]
            yield with_response(item, replace(response, things=tuple(swapped)))
        case MatchResponse(rows=rows, targets=targets):
            for at, row in enumerate(rows):
                for target in targets:
                    if target.identifier != row.target:
                        other = row._replace(target=target.identifier)
                        yield with_response(item, replace(response, rows=_put(rows, at, other)))
                for shown in raised(row.statement):
                    other = row._replace(statement=shown)
                    yield with_response(item, replace(response, rows=_put(rows, at, other)))
        case EntryResponse(blanks=(x, y), points=True) if x.values:
            (first, *others), (second, *rest) = x.values, y.values
            columns = [((first, *others), (*rest, second)), ((first,), (second, *rest))]
            columns += [(((first[0] + 1,), *others), y.values), ((*x.values, first), (*y.values, second))]
            for xs, ys in columns:
                blanks = (replace(x, values=xs), replace(y, values=ys))
                yield with_response(item, replace(response, blanks=blanks))
            yield with_response(item, replace(response, tick_is_right=True))
        case WrittenResponse():
            part = item.parts[0]
            for at, slip in enumerate(part.slips):
                wrong_slip = slip._replace(answer=part.key)
                yield replace(item, parts=(replace(part, slips=_put(part.slips, at, wrong_slip)),))
        case WrongLineResponse(lines=lines, wrong=wrong):
            for at in range(len(lines)):
                if at != wrong:
                    yield with_response(item, replace(response, wrong=at))
            for at, line in enumerate(lines):
                for shown in raised(line.maths):
                    yield with_response(
                        item, replace(response, lines=_put(lines, at, line._replace(maths=shown)))
                    )


def _put(row: tuple[Any, ...], at: int, thing: Any) -> tuple[Any, ...]:
    return (*row[:at], thing, *row[at + 1 :])


def verdicts(findings: tuple[Finding, ...]) -> set[tuple[str, str, int, bool]]:
    """What both roads prove: marks and looks are the first road's alone."""
    return {
        (f.code, f.subject, f.place, f.holds)
        for f in findings
        if f.code != "marks" and "alike" not in f.claim and "no two" not in f.claim
    }


@pytest.mark.parametrize("name", [name for name in TEMPLATES if name != "order-of-steps"])
def test_both_roads_agree_on_items_with_one_thing_changed(name: str) -> None:
    refuted = tried = 0
    for item in items(name, 2):
        for changed_item in spoiled(item):
            tried += 1
            second = prove_with_sympy(changed_item)
            refuted += bool(faults(second))

            assert verdicts(prove(changed_item)) == verdicts(second)
    assert tried >= 4
    assert refuted >= tried // 2


@pytest.mark.parametrize("name", ["order-of-surds", "equations-and-solutions"])
def test_shares_of_places_and_rows_come_to_the_total(name: str) -> None:
    (item,) = items(name, 1)

    for share in (Fraction(3, 4), Fraction(-1)):
        found = faults(prove(with_response(item, replace(item.parts[0].response, share=share))))
        assert ["marks"] == [finding.code for finding in found]


def test_lines_in_another_order_and_lines_that_are_two_steps_apart_are_not_proved() -> None:
    for item in items("order-of-steps", 4):
        response = item.parts[0].response
        assert isinstance(response, OrderResponse)
        swapped = tuple(t._replace(place={1: 2, 2: 1}.get(t.place, t.place)) for t in response.things)
        found = faults(prove(with_response(item, replace(response, things=swapped))))
        assert ["order"] == [finding.code for finding in found]


STEPS = [
    ("x^2 - 6*x + 4 = 0", "x^2 - 6*x = -4", True),
    ("x^2 - 6*x = -4", "x^2 - 6*x + 9 = 9 - 4", True),
    ("x^2 - 6*x + 9 = 5", "(x - 3)^2 = 5", True),
    ("(x - 3)^2 = 5", "x - 3 = ± sqrt(5)", True),
    ("x - 3 = ± sqrt(5)", "x = 3 ± sqrt(5)", True),
    ("2*x^2 - 12*x + 8 = 0", "x^2 - 6*x + 4 = 0", True),
    ("x^2 - 5*x + 6 = 0", "(x - 2)*(x - 3) = 0", True),
    ("(x - 2)*(x - 3) = 0", "x - 2 = 0 or x - 3 = 0", True),
    ("x - 2 = 0 or x - 3 = 0", "x = 2 or x = 3", True),
    ("x = (6 ± sqrt(20))/2", "x = 3 ± sqrt(5)", True),
    ("4*x + 4 = 2*x + 6", "2*x + 4 = 6", True),
    ("4*x + 4 = 2*x + 6", "4*x = 2*x + 2", True),
    ("7 = 3*x - 2", "9 = 3*x", True),
    ("3*x + 5 = 2*x + 9", "x + 5 = 9", True),
    ("5 - 2*x = x + 8", "5 - 3*x = 8", True),
    ("4*x + 4 = 2*x + 6", "2*x = 2", False),
    ("4*(x + 1) = 2*x + 6", "2*x + 4 = 6", False),
    ("(x + 1)*(x - 1) = 3", "x^2 = 4", False),
    ("(x + 3)^2 = 5", "x^2 + 6*x = -4", False),
    ("x^2 - 6*x + 4 = 0", "(x - 3)^2 = 5", False),
    ("x^2 - 6*x + 4 = 0", "x^2 - 6*x + 9 = 5", False),
    ("x^2 - 6*x + 9 = 5", "x - 3 = ± sqrt(5)", False),
    ("(x - 3)^2 = 5", "x - 3 = sqrt(5)", False),
    ("(x - 3)^2 = 5", "x - 3 = ± sqrt(6)", False),
    ("x - 3 = ± sqrt(5)", "(x - 3)^2 = 5", False),
    ("(x - 2)*(x - 3) = 0", "x - 2 = 0 or x + 3 = 0", False),
    ("(x - 2)*(x - 3) = 1", "x - 2 = 1 or x - 3 = 1", False),
    ("x^2 - 5*x + 6 = 0", "x^2 - 5*x + 7 = 0", False),
    ("x = 2 or x = 3", "x = 2 or x = 3", False),
]
"""What is one step by our own convention, written in steps.py; no source."""


@pytest.mark.parametrize(("before", "after", "expected"), STEPS)
def test_what_one_step_is(before: str, after: str, expected: bool) -> None:
    assert expected == is_step(read_line(maths(before)), read_line(maths(after)))


def test_shares_that_do_not_come_to_the_total_are_refuted() -> None:
    (item,) = items("equations-of-one-kind", 1)
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)

    for share in (Fraction(3, 4), Fraction(2), Fraction(-1)):
        found = faults(prove(with_response(item, replace(response, share=share))))
        assert ["marks"] == [finding.code for finding in found]


def test_a_solution_that_is_not_among_the_options_is_missed() -> None:
    (item,) = items("all-solutions", 1)
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)
    left = [option for option in response.options if option is not response.right[0]]
    kept = tuple(option._replace(identifier=letter) for letter, option in zip("ABCDEFGH", left, strict=False))

    found = faults(prove(with_response(item, replace(response, options=kept))))

    assert ["every solution is among the options"] == [f.claim for f in found if f.code == "option"]


def test_all_options_keyed_or_none_is_no_item() -> None:
    (item,) = items("what-is-true", 1)
    response = item.parts[0].response
    assert isinstance(response, ChoicesResponse)

    for keyed in (True, False):
        options = tuple(option._replace(is_key=keyed) for option in response.options)
        found = faults(prove(with_response(item, replace(response, options=options))))
        assert ["one-key"] == [finding.code for finding in found]


# what check says of templates whose values do not fit


def diagnostics(name: str, folder: Path, *changes: tuple[str, str]) -> list[Diagnostic]:
    path = changed(name, folder, *changes)
    (folder / "slips.yaml").write_bytes((BANK / "slips.yaml").read_bytes())
    (folder / "bank.yaml").write_text("bank: b\ntitle: B\n", "utf-8")
    (folder / "templates").mkdir()
    path.rename(folder / "templates" / path.name)
    (entry,) = read_bank(folder, "b").entries
    return review(entry).diagnostics


def reviewed(name: str, folder: Path, *changes: tuple[str, str]) -> list[tuple[str, int]]:
    return [(d.code, d.span.line) for d in diagnostics(name, folder, *changes) if d.span is not None]


def test_a_slip_that_breaks_two_lines_is_told_at_the_slip(tmp_path: Path) -> None:
    found = reviewed("find-the-slip", tmp_path, ("math: x = h ± surd(s - c)", "math: x = h ± surd(k)"))

    assert [33, 34, 35] == sorted(line for code, line in found if code == "wrong-line")


def test_words_that_are_all_true_are_told_at_the_response(tmp_path: Path) -> None:
    found = reviewed(
        "what-is-true", tmp_path,
        ("when: D < 0", "when: D > -2"), ("when: D < 0", "when: D > -3"),
        ("when: D = 0", "when: D > -1"), ("constraints:\n", "constraints:\n  - b^2 > 4*a*c\n"),
    )  # fmt: skip

    assert "words-do-not-fit" in [code for code, _ in found]


def test_marks_that_cannot_be_shared_over_the_true_rows_are_told(tmp_path: Path) -> None:
    found = reviewed(
        "what-is-true", tmp_path,
        ("  kind: choices\n", "  kind: choices\n  marks: 1\n"),
        ("when: D = 0", "when: D > -1000"), ("constraints:\n", "constraints:\n  - b^2 > 4*a*c\n"),
    )  # fmt: skip

    assert "marks-do-not-share" in [code for code, _ in found]


def test_too_few_unlike_options_are_told_at_the_response(tmp_path: Path) -> None:
    found = reviewed("all-solutions", tmp_path, ("options: 5", "options: 9"))

    assert "too-few-slips" in [code for code, _ in found]


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        ("key: x = -p or x = -q}", "key: x = p or x = -q}", "the key does not solve the problem"),
        ("value: x = p or x = -q}", "value: x = -p or x = -q}", "the key solves the problem"),
    ],
    ids=["the row's key is wrong", "the slip is wrong"],
)
def test_a_row_whose_key_is_a_slip_is_told_with_it(tmp_path: Path, old: str, new: str, hint: str) -> None:
    found = diagnostics("equations-and-solutions", tmp_path, (old, new))

    few, equal = (
        next(each for each in found if each.code == code) for code in ("too-few-slips", "key-equals-slip")
    )
    assert few.message.endswith(
        "5 targets for 3 rows need 2 slips unlike them and each other, but at p = 1, q = 2 only 1 survives: "
        "`signs-of-roots-swapped` is the target of row 2"
    )
    assert equal.message.startswith(
        "the key of row 2 equals the slip `signs-of-roots-swapped` at p = 1, q = 2, as in "
    )
    assert "- {problem: x^2 + (p + q)*x + p*q = 0, key:" in equal.excerpt
    assert hint in equal.hint


def test_a_slip_whose_line_always_follows_is_told(tmp_path: Path) -> None:
    found = reviewed("find-the-slip", tmp_path, ("at: 3, change: {h: -h}", "at: 2, change: {k: k + 0}"))

    assert "slip-never-appears" in [code for code, _ in found]


def test_a_line_that_is_like_the_right_one_is_told_to_be_no_slip(tmp_path: Path) -> None:
    found = diagnostics("find-the-slip", tmp_path, ("at: 3, change: {h: -h}", "at: 2, change: {k: k + 0}"))

    (told,) = [each for each in found if each.code == "slip-never-appears"]
    assert "`sign-of-half` is never offered: it is no slip: its line follows all the same" in told.message


def test_a_line_that_is_no_single_step_is_told_with_what_a_step_is(tmp_path: Path) -> None:
    path = ("math: (x - h)^2 = k", "math: (x - h)^2 - 2*k = -k")
    (told,) = [each for each in diagnostics("order-of-steps", tmp_path, path) if each.code == "order"]

    assert "response: {kind: order" in told.excerpt
    assert " is not one step from x² " in told.message
    assert told.hint.startswith("one step writes a side in another way")


def test_a_slip_in_an_inequality_is_proved_on_both_roads() -> None:
    for item in template_items("wrong-inequality", 8):
        assert () == faults(prove(item))
        assert () == faults(prove_with_sympy(item))


def test_a_sign_that_is_not_turned_is_the_slip_and_what_follows_goes_on_from_it() -> None:
    shown = set()
    for item in template_items("turned-inequality", 40):
        assert () == faults(prove(item))
        assert () == faults(prove_with_sympy(item))
        response = item.parts[0].response
        assert isinstance(response, WrongLineResponse)
        lines = [plain(line.maths) for line in response.lines]
        signs = ["".join(sign for sign in "<>" if sign in line) for line in lines]
        shown.add((response.wrong, tuple(signs)))

    assert {(2, ("<", "<", "<")), (1, ("<", ">", "<"))} == shown


def test_a_line_without_a_sign_of_an_inequality_has_nothing_to_turn(tmp_path: Path) -> None:
    path = changed("find-the-slip", tmp_path, ("at: 3, change: {h: -h}", "at: 3, turned: yes"))
    with pytest.raises(InputError) as raised_error:
        bound_of(path)

    (told,) = raised_error.value.diagnostics
    assert "nothing-changed" == told.code
    assert "no sign of an inequality" in told.message


def test_a_slip_that_never_appears_tells_every_reason(tmp_path: Path) -> None:
    edit = ("at: 3, change: {h: -h}}", "at: 2, change: {k: k + 0}, when: h > 0}")
    (told,) = [
        each for each in diagnostics("find-the-slip", tmp_path, edit) if each.code == "slip-never-appears"
    ]

    assert "it is undefined (as at" in told.message
    assert "; elsewhere it " in told.message
    assert "its line follows all the same" in told.message


def test_two_lines_that_are_alike_are_told_by_name(tmp_path: Path) -> None:
    path = ("math: (x - h)^2 = k", "math: x^2 + b*x + h^2 = keep(value(-c) + value(h^2))")
    found = [each.message for each in diagnostics("order-of-steps", tmp_path, path) if each.code == "order"]

    assert any(" stands there twice" in message for message in found)


def test_lines_with_two_orders_are_told_at_the_response(tmp_path: Path) -> None:
    found = reviewed(
        "order-of-steps", tmp_path,
        ("  - say:\n      en: Write the left-hand side as a square.\n",
         "  - math: x^2 + b*x + h^2 = k\n  - say:\n      en: Write the left-hand side as a square.\n"),
    )  # fmt: skip

    assert ("order", 29) in found


def test_equal_numbers_and_equal_targets_make_no_item(tmp_path: Path) -> None:
    values = ("values: [a*sqrt(r), m*sqrt(s), n, sqrt(a^2*r + 3)]", "values: [a*sqrt(r), n, sqrt(a^2*r)]")
    first, second = tmp_path / "first", tmp_path / "second"
    first.mkdir()
    second.mkdir()

    numbers = reviewed("order-of-surds", first, values, ("marks: 4", "marks: 3"))
    targets = reviewed("equations-and-solutions", second, ("key: x = -p or x = -q}", "key: x = p or x = q}"))

    assert "equal-numbers" in [code for code, _ in numbers]
    assert "equal-targets" in [code for code, _ in targets]


def test_a_row_whose_key_is_wrong_is_told_at_the_response(tmp_path: Path) -> None:
    found = reviewed("equations-and-solutions", tmp_path, ("key: x = p ± sqrt(q)}", "key: x = q ± sqrt(p)}"))

    assert ("match", 26) in found


def test_a_change_that_no_line_shows_is_told_at_its_place(tmp_path: Path) -> None:
    path = changed("find-the-slip", tmp_path, ("change: {h: -h}", "change: {b: -b}"))
    with pytest.raises(InputError) as raised_error:
        bound_of(path)

    assert ["nothing-changed"] == [each.code for each in raised_error.value.diagnostics]
