"""Faults planted in finished items, one at a time: none of them passes, and each is told for what it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from itembank.expressions import numbers
from itembank.expressions.display import Decimal, Maths
from itembank.expressions.spelling import plain
from itembank.items import (
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Item,
    MatchResponse,
    Slip,
    WrongLineResponse,
)
from itembank.proof import meaning
from itembank.proof.findings import Finding
from itembank.proof.identity import of_number, of_value
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.verdicts import Refuted
from tests import kinds_bank
from tests.samples import maths
from tests.template_items import GOOD, items

NAMES = [path.stem for path in sorted(GOOD.glob("*.yaml")) if path.stem not in {"bank", "slips"}]
assert len(NAMES) >= 40


@cache
def item(name: str) -> Item:
    return next(items(name, 1))


def told(found: tuple[Finding, ...]) -> list[str]:
    return [f.verdict.counterexample for f in found if isinstance(f.verdict, Refuted)]


def put(row: tuple[Any, ...], at: int, thing: Any) -> tuple[Any, ...]:
    return (*row[:at], thing, *row[at + 1 :])


def answered(given: Item, number: int, response: Any) -> Item:
    part = replace(given.parts[number], response=response)
    return replace(given, parts=put(given.parts, number, part))


def raised(shown: Maths) -> Iterator[Maths]:
    for hole, number in enumerate(shown.numbers):
        if isinstance(number, int):
            yield Maths(shown.shape, put(shown.numbers, hole, number + 1))


def elsewhere(slip: Slip) -> Iterator[Slip]:
    yield from (slip._replace(answer=answer) for answer in raised(slip.answer))


def led_astray(given: Item) -> Iterator[Item]:
    """One thing changed: what a slip leads to, or what is shown, entered or chosen by the slip."""
    for number, part in enumerate(given.parts):
        match part.response:
            case ChoiceResponse(options=options) | ChoicesResponse(options=options) as response:
                for at, option in enumerate(options):
                    if option.slip is None or not isinstance(option.content, Maths):
                        continue
                    for content in raised(option.content):
                        other = option._replace(content=content)
                        yield answered(given, number, replace(response, options=put(options, at, other)))
            case EntryResponse(recognised=recognised) as response:
                for at, entry in enumerate(recognised):
                    for values in changed_boxes(entry.values):
                        other = replace(entry, values=values)
                        yield answered(
                            given, number, replace(response, recognised=put(recognised, at, other))
                        )
                    if all(blank.words for blank in response.blanks):
                        continue  # words say of a value what holds of others too
                    for slip in elsewhere(entry.slip):
                        other = replace(entry, slip=slip)
                        yield answered(
                            given, number, replace(response, recognised=put(recognised, at, other))
                        )
            case MatchResponse(targets=targets) as response:
                for at, target in enumerate(targets):
                    for slip in elsewhere(target.slip) if target.slip is not None else ():
                        changed = put(targets, at, target._replace(slip=slip))
                        yield answered(given, number, replace(response, targets=changed))
            case WrongLineResponse(slip=slip) as response:
                for other in elsewhere(slip):
                    yield answered(given, number, replace(response, slip=other))


def changed_boxes(values: tuple[tuple[tuple[Any, ...], ...], ...]) -> Iterator[Any]:
    """One number of one box is another."""
    for b, blank in enumerate(values):
        for g, group in enumerate(blank):
            for at, held in enumerate(group):
                if isinstance(held, Decimal):
                    other: Any = Decimal(held.value + Fraction(1, 10**held.places), held.places)
                elif isinstance(held, int) and (at == 0 or 0 not in group):  # 0/1 is 0/2
                    other = held + 1
                else:
                    continue
                yield put(values, b, put(blank, g, put(group, at, other)))


@pytest.mark.parametrize("name", NAMES)
def test_what_a_slip_leads_to_is_what_stands_there_by_its_name(name: str) -> None:
    """On the first road, for every number of every wrong option, entry, target and line."""
    assert () == faults(prove(item(name)))

    for changed in led_astray(item(name)):
        assert faults(prove(changed))


def test_there_are_wrong_answers_enough() -> None:
    assert 150 <= sum(1 for name in NAMES for _ in led_astray(item(name)))


@pytest.mark.parametrize(
    "name", ["choice", "choices", "choices-solutions", "entry", "interval", "wrong-line"]
)
def test_both_roads_see_a_slip_that_leads_elsewhere(name: str) -> None:
    assert () == faults(prove_with_sympy(item(name)))

    for changed in led_astray(item(name)):
        assert faults(prove_with_sympy(changed))


def keyed(given: Item, *right: int) -> Item:
    response = given.parts[0].response
    assert isinstance(response, ChoiceResponse | ChoicesResponse)
    options = [option._replace(is_key=at in right) for at, option in enumerate(response.options)]
    return answered(given, 0, replace(response, options=tuple(options)))


def right_one(given: Item) -> int:
    response = given.parts[0].response
    assert isinstance(response, ChoiceResponse)
    return response.options.index(response.key)


def no_key(given: Item) -> Item:
    return keyed(given)


def two_keys(given: Item) -> Item:
    return keyed(given, right_one(given), (right_one(given) + 1) % 4)


def another_key(given: Item) -> Item:
    return keyed(given, (right_one(given) + 1) % 4)


def key_twice(given: Item) -> Item:
    response = given.parts[0].response
    assert isinstance(response, ChoiceResponse)
    at = (right_one(given) + 1) % 4
    other = response.options[at]._replace(content=response.key.content)
    return answered(given, 0, replace(response, options=put(response.options, at, other)))


def wrong_twice(given: Item) -> Item:
    response = given.parts[0].response
    assert isinstance(response, ChoiceResponse)
    first, second = [at for at, option in enumerate(response.options) if not option.is_key][:2]
    other = response.options[first]._replace(identifier=response.options[second].identifier)
    return answered(given, 0, replace(response, options=put(response.options, second, other)))


def in_words(given: Item) -> Item:
    response = given.parts[0].response
    assert isinstance(response, ChoiceResponse)
    other = response.options[0]._replace(content=given.parts[0].stem)
    return answered(given, 0, replace(response, options=put(response.options, 0, other)))


def every_key(given: Item) -> Item:
    return keyed(given, *range(9))


def entry(**changes: Any) -> Callable[[Item], Item]:
    return lambda given: answered(given, 0, replace(given.parts[0].response, **changes))


def blank(**changes: Any) -> Callable[[Item], Item]:
    def change(given: Item) -> Item:
        response = given.parts[0].response
        assert isinstance(response, EntryResponse)
        first = replace(response.blanks[0], **changes)
        return answered(given, 0, replace(response, blanks=put(response.blanks, 0, first)))

    return change


def keyed_again(given: Item) -> Item:
    response = given.parts[0].response
    assert isinstance(response, EntryResponse)
    values = response.blanks[0].values
    return blank(values=(*values, values[0]), slots=3)(given)


def accepts_a_slip(given: Item) -> Item:
    """The tolerance is so wide that what a slip leads to earns the marks."""
    return blank(tolerance=Decimal(Fraction(1000), 0))(given)


def other_key(given: Item) -> Item:
    return replace(given, parts=(replace(given.parts[0], key=maths("x = 977")), *given.parts[1:]))


def other_line(given: Item) -> Item:
    part = given.parts[0]
    last = part.solution[-1]._replace(maths=maths("x = 977"))
    return replace(given, parts=(replace(part, solution=(*part.solution[:-1], last)), *given.parts[1:]))


def another_place(given: Item) -> Item:
    response: Any = given.parts[0].response
    first, second, *others = response.things
    things = (first._replace(place=second.place), second._replace(place=first.place), *others)
    return answered(given, 0, replace(response, things=things))


def same_place(given: Item) -> Item:
    response: Any = given.parts[0].response
    first, second, *others = response.things
    return answered(given, 0, replace(response, things=(first, second._replace(place=first.place), *others)))


def thing_twice(given: Item) -> Item:
    response: Any = given.parts[0].response
    first, second, *others = response.things
    return answered(given, 0, replace(response, things=(first, second._replace(maths=first.maths), *others)))


def another_target(given: Item) -> Item:
    response: Any = given.parts[0].response
    first, second, *others = response.rows
    rows = (first._replace(target=second.target), second._replace(target=first.target), *others)
    return answered(given, 0, replace(response, rows=rows))


def target_twice(given: Item) -> Item:
    response: Any = given.parts[0].response
    first, second, *others = response.targets
    return answered(
        given, 0, replace(response, targets=(first, second._replace(content=first.content), *others))
    )


def no_such_line(given: Item) -> Item:
    response: Any = given.parts[0].response
    return answered(given, 0, replace(response, wrong=len(response.lines)))


def another_wrong_line(given: Item) -> Item:
    response: Any = given.parts[0].response
    return answered(given, 0, replace(response, wrong=response.wrong - 1))


def factor_inside(given: Item) -> Item:
    """6(x + 1)(x + 2) entered as 3(2x + 2)(x + 2): the same product, not taken apart to the end."""
    response: Any = given.parts[0].response
    (held,) = response.blanks[0].values
    boxes = dict(zip(response.blanks[0].boxes, held, strict=True))
    scale = next(n for n in range(2, 20) if boxes["k"] % n == 0)
    boxes.update(k=boxes["k"] // scale, a=boxes["a"] * scale, b=boxes["b"] * scale)
    return blank(values=(tuple(boxes.values()),))(given)


def other_words(given: Item) -> Item:
    """Each slip is told to lead to the words after those that it leads to."""
    response: Any = given.parts[0].response
    known = [chr(ord("A") + at) for at in range(len(response.blanks[0].words))]
    right = response.blanks[0].values[0][0]
    led = [
        replace(
            entry, values=(((next(name for name in known if name not in {entry.values[0][0][0], right}),),),)
        )
        for entry in response.recognised
    ]
    return answered(given, 0, replace(response, recognised=tuple(led)))


def words_of_the_key(given: Item) -> Item:
    response: Any = given.parts[0].response
    led = [replace(entry, values=(response.blanks[0].values,)) for entry in response.recognised]
    return answered(given, 0, replace(response, recognised=tuple(led)))


def words(change: Callable[[tuple[Any, ...]], tuple[Any, ...]]) -> Callable[[Item], Item]:
    def plant(given: Item) -> Item:
        response: Any = given.parts[0].response
        return blank(words=change(response.blanks[0].words))(given)

    return plant


def lettered(change: Callable[[str], str]) -> Callable[[Item], Item]:
    """Other letters for what is chosen, ordered or matched, and for what points at it."""

    def plant(given: Item) -> Item:
        response: Any = given.parts[0].response
        for name in ("options", "things", "targets"):
            if things := getattr(response, name, ()):
                other = tuple(thing._replace(identifier=change(thing.identifier)) for thing in things)
                response = replace(response, **{name: other})
        if isinstance(response, MatchResponse):
            rows = tuple(row._replace(target=change(row.target)) for row in response.rows)
            response = replace(response, rows=rows)
        return answered(given, 0, response)

    return plant


def rows_from_two(given: Item) -> Item:
    response: Any = given.parts[0].response
    rows = [row._replace(identifier=f"R{number}") for number, row in enumerate(response.rows, 2)]
    return answered(given, 0, replace(response, rows=tuple(rows)))


def other_condition(all_: tuple[Any, ...]) -> tuple[Any, ...]:
    """Staff read one word's condition beside another, of which it is as false."""
    at = next(n for n, word in enumerate(all_) if word.shown is not None)
    return put(all_, at, all_[at]._replace(shown=maths("D > 7")))


def worth(marks: int) -> Callable[[Item], Item]:
    return lambda given: answered(given, 0, replace(given.parts[0].response, marks=marks))


LATER = {letter: chr(ord(letter) + 1) for letter in "CDEFGH"}


@dataclass(frozen=True)
class Plant:
    template: str
    plant: Callable[[Item], Item]
    says: str
    """A piece of what is told."""


PLANTS = {
    "no key": Plant("choice", no_key, "0 options are"),
    "two keys": Plant("choice", two_keys, "2 options are"),
    "another key": Plant("choice", another_key, "the key is not"),
    "the key stands there twice": Plant("choice", key_twice, "are both"),
    "a wrong option stands there twice": Plant("choice", wrong_twice, "are both"),
    "an option is words": Plant("choice", in_words, "it is words"),
    "every option is keyed": Plant("choices", every_key, "options are keyed"),
    "no option is keyed": Plant("choices", no_key, "options are keyed"),
    "the key is another": Plant("entry", other_key, "has the solutions"),
    "the last line is another": Plant("entry", other_line, "977"),
    "a box too few": Plant("entry", blank(slots=1), "there are not boxes enough"),
    "no box": Plant("none", blank(slots=0), "there are not boxes enough"),
    "a value twice": Plant("entry", keyed_again, "is keyed twice"),
    "one order only": Plant("entry", blank(any_order=False), "in one order only"),
    "a tick beside solutions": Plant("entry", entry(tick=True, tick_is_right=True), "there are solutions"),
    "no tick": Plant("none", entry(tick=False, tick_is_right=False), "no tick says so"),
    "more marks than its blanks": Plant("entry", entry(marks=9), "response 9"),
    "a slip that earns the marks": Plant("prices", accepts_a_slip, "is right"),
    "a factor left in a bracket": Plant("brackets-scale", factor_inside, "a bracket has a common factor"),
    "words that a slip does not lead to": Plant("one-of-alone", other_words, "does not lead to"),
    "a slip that leads to the right words": Plant("one-of-alone", words_of_the_key, "is right"),
    "words twice": Plant(
        "one-of-alone", words(lambda all_: (all_[0], *all_[:-1])), "two of the words read the same"
    ),
    "words that are empty": Plant(
        "one-of-alone", words(lambda all_: (all_[0]._replace(text=""), *all_[1:])), "empty"
    ),
    "words alone": Plant("one-of-alone", words(lambda all_: all_[:1]), "not one of several words"),
    "words keyed that are not there": Plant("one-of-alone", blank(values=(("Z",),)), "none of the words"),
    "another order": Plant("order-values", another_place, "stand in the wrong order"),
    "two at one place": Plant("order-values", same_place, "two have the same place"),
    "one thing twice": Plant("order-values", thing_twice, "stands there twice"),
    "rows with each other's targets": Plant("match", another_target, "belongs to"),
    "one target twice": Plant("match", target_twice, "stands there twice"),
    "a letter passed over": Plant(
        "choice", lettered(lambda letter: LATER.get(letter, letter)), "they are A, B, D"
    ),
    "a letter twice": Plant(
        "choices", lettered(lambda letter: "A" if letter == "B" else letter), "they are A, A"
    ),
    "letters of an order": Plant(
        "order-values", lettered(lambda letter: LATER.get(letter, letter)), "A, B, D"
    ),
    "letters of targets": Plant(
        "match", lettered(lambda letter: LATER.get(letter, letter)), "they are A, B, D"
    ),
    "rows from R2 on": Plant("match", rows_from_two, "they are R2"),
    "words with another condition": Plant("one-of-alone", words(other_condition), "another condition"),
    "no marks": Plant("choice", worth(0), "there are 0 marks"),
    "marks to lose": Plant("wrong-line", worth(-1), "there are -1 marks"),
    "no such line": Plant("wrong-line", no_such_line, "it is none of the lines"),
    "a right line told as wrong": Plant("wrong-line", another_wrong_line, "leads to"),
}


@pytest.mark.parametrize("name", PLANTS)
def test_a_planted_fault_is_refuted_and_told(name: str) -> None:
    planted = PLANTS[name]
    given = item(planted.template)

    assert () == faults(prove(given))
    found = told(faults(prove(planted.plant(given))))

    assert any(planted.says in each for each in found), found


@pytest.mark.parametrize(("name", "shown"), [
    ("one-of-alone", "D > 7"), ("one-of-alone", "D >= 0"), ("one-of", "D != 0"), ("one-of-fixed", "3 < 0"),
])  # fmt: skip
def test_both_roads_hold_what_staff_read_of_words_to_their_condition(name: str, shown: str) -> None:
    given = item(name)
    response: Any = given.parts[0].response
    place = next(at for at, each in enumerate(response.blanks) if each.words)
    chosen = response.blanks[place].words
    at = next(n for n, word in enumerate(chosen) if word.shown is not None)
    assert () == faults(prove_with_sympy(given))

    other = replace(response.blanks[place], words=put(chosen, at, chosen[at]._replace(shown=maths(shown))))
    changed = answered(given, 0, replace(response, blanks=put(response.blanks, place, other)))
    for prover in (prove, prove_with_sympy):
        (each,) = told(faults(prover(changed)))
        assert "another condition" in each


def test_a_slip_is_told_at_its_place() -> None:
    """So that the author's line is found."""
    given = item("entry")
    response: Any = given.parts[0].response
    names = [slip.name for slip in given.parts[0].slips]
    for entry in response.recognised:
        wrong = replace(entry, values=tuple(each.values for each in response.blanks))
        entries = [wrong if each is entry else each for each in response.recognised]
        (found,) = faults(prove(answered(given, 0, replace(response, recognised=tuple(entries)))))

        assert ("slip", names.index(entry.slip.name)) == (found.subject, found.place)
    assert len(response.recognised) >= 1


@pytest.mark.parametrize("u", [0, 2, Fraction(-1, 2)])
@pytest.mark.parametrize("v", [1, -1, Fraction(2, 3)])
def test_numbers_with_a_root_are_told_apart_by_its_sign_and_size(u: int, v: int | Fraction) -> None:
    """u + v*sqrt(3), and what differs from it in one of the two alone."""

    def of(first: int | Fraction, second: int | Fraction) -> object:
        return of_number(numbers.add(first, numbers.multiply(second, numbers.square_root(3))))

    assert of(u, v) == of(u, v)
    assert len({of(u, v), of(u, -v), of(u + 1, v), of(u, 2 * v), of(u, 0)}) == 5
    for text in ("2 + sqrt(3)", "2 - sqrt(3)", "(1 - sqrt(3))/2"):
        assert of_value(maths(text)) == of_number(meaning.value(maths(text)).constant())


def test_numbers_are_put_in_order_from_the_largest_on_where_that_is_asked(tmp_path: Path) -> None:
    made = []
    for by in ("ascending", "descending"):
        path = kinds_bank.changed(
            "order-of-surds", tmp_path, ("  credit: each", f"  by: {by}\n  credit: each")
        )
        given = next(kinds_bank.walk_items(kinds_bank.bound_of(path)))
        response: Any = given.parts[0].response
        made.append([plain(thing.maths) for thing in response.in_order])

        assert () == faults(prove(given))
    assert made[0] == made[1][::-1]
