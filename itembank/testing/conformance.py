"""What an extension is held to, for its author's own tests: each function raises AssertionError with the first fault.

from itembank.testing.conformance import check_property
from saltmarsh_prime import PRIME

def test_prime_is_a_property():
    check_property(PRIME)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from itertools import product

from itembank.errors import DomainError
from itembank.figures import in_words
from itembank.figures.drawing import Drawing, Rectangle, bounds
from itembank.figures.extension import FigureExtension, admit, draw
from itembank.figures.extension import OtherFigure as _Figure
from itembank.properties.catalogue import DEGENERATE_INPUTS
from itembank.properties.extension import PropertyExtension
from itembank.templates.extension import ResponseExtension
from itembank.templates.model import KINDS, ResponseShape
from itembank.verdicts import Proved, Refuted

__all__ = ["check_figure", "check_property", "check_response"]

_GRIDS: Mapping[str, tuple[Iterable[int], ...]] = {
    "polynomial": (range(-4, 5), range(-6, 7), range(-6, 7), range(1, 4)),
    "number": (range(-60, 400), range(1, 4)),
    "integers": (range(-12, 40), range(-12, 40)),
    "fraction": (range(-20, 40), range(-10, 30)),
}


def check_property(extension: PropertyExtension, more: Iterable[tuple[int, ...]] = ()) -> int:
    """Holds a property to itself: its test and its two provers agree on every degenerate input and on a full grid.

    more: further inputs, as the test takes them. Returns how many inputs were looked at.
    """
    edges = DEGENERATE_INPUTS[extension.takes]
    unknown = extension.true_at - edges.keys()
    assert not unknown, f"true_at names no degenerate input of {extension.takes}: {sorted(unknown)}"
    roads: list[object] = [extension.test, extension.prove, extension.again]
    assert len(set(map(id, roads))) == len(roads), "the search and the two proofs are three functions"
    assert len(extension.meaning.split()) >= 4, "the meaning is a sentence that decides every input"
    assert extension.claim, "the claim says what a number or polynomial is or has"
    assert extension.source, "a source is named, or `common practice, no source`"
    assert extension.example.startswith(f"{extension.name}("), "the example shows the property in use"
    for edge, given in edges.items():
        holds = _agree(extension, given, edge)
        assert holds is (edge in extension.true_at), _otherwise(extension, edge, given, holds)
    looked_at = len(edges)
    seen: set[bool] = set()
    for given in (*product(*_GRIDS[extension.takes]), *more):
        seen.add(_agree(extension, given, ""))
        looked_at += 1
    assert seen == {True, False}, f"on the whole grid the property is always {seen}"
    return looked_at


def _otherwise(extension: PropertyExtension, edge: str, given: tuple[int, ...], holds: bool) -> str:
    """What to do about a degenerate input of which `true_at` does not say what the property says."""
    said = "holds there: name it in true_at" if holds else "does not hold there: take it out of true_at"
    return f"`{edge}` is {given}, and the property {said}, or mend the property"


def _agree(extension: PropertyExtension, given: tuple[int, ...], edge: str) -> bool:
    """The three roads on one input; what they say."""
    where = f"{extension.name}{given}{f' ({edge})' if edge else ''}"
    found = extension.test(*given)
    assert isinstance(found, bool), f"{where}: the test gives {found!r}, not True or False"
    verdict = extension.prove(*_for_proof(extension, given))
    match verdict:
        case Proved(witness):
            assert found, f"{where}: the test says no, the proof yes: {witness}"
            assert witness, f"{where}: proved without a witness"
        case Refuted(counterexample):
            assert not found, f"{where}: the test says yes, the proof no: {counterexample}"
            assert counterexample, f"{where}: refuted without a reason"
        case _:
            raise AssertionError(f"{where}: undecided, and that is small: {verdict}")
    again = extension.again(*_exact(extension, given))
    assert again == found, f"{where}: the test says {found}, the second proof {again}"
    return found


def _for_proof(extension: PropertyExtension, given: tuple[int, ...]) -> tuple[int | str, ...]:
    """What `proof.claims` hands a prover: numbers in lowest terms, polynomials with their letter."""
    if extension.takes == "number":
        value = Fraction(*given)
        return value.numerator, value.denominator
    return (*given, "x") if extension.takes == "polynomial" else given


def _exact(extension: PropertyExtension, given: tuple[int, ...]) -> tuple[Fraction, ...]:
    """The same as exact numbers: coefficients, one number, or integers."""
    if extension.takes in {"integers", "fraction"}:
        return tuple(map(Fraction, given))
    *parts, below = given
    return tuple(Fraction(part, below) for part in parts)


def check_figure(extension: FigureExtension, drawn_of: Iterable[Mapping[str, Fraction]]) -> int:
    """Holds a picture to itself: it stays within its frame, says something, and its own check agrees with it.

    drawn_of: numbers by key; those that it refuses (DomainError) are passed over. Returns how many were drawn.
    """
    admit(extension, "an extension under test")
    count = 0
    for numbers in drawn_of:
        assert numbers.keys() == extension.keys.keys(), f"its keys are {', '.join(extension.keys)}"
        values = tuple(Fraction(numbers[key]) for key in extension.keys)
        try:
            drawing = draw(_Figure(extension.name, values))
        except DomainError:
            continue
        count += 1
        _looked_at(extension, numbers, drawing)
        assert drawing == draw(_Figure(extension.name, values)), f"{dict(numbers)}: two drawings of the same"
    assert count, "none of the numbers could be drawn"
    return count


def _looked_at(extension: FigureExtension, numbers: Mapping[str, Fraction], drawing: Drawing) -> None:
    where = dict(numbers)
    assert drawing.marks, f"{where}: nothing is drawn"
    for mark in drawing.marks:
        assert bounds(mark).lies_within(drawing.frame), f"{where}: {mark} leaves the frame"
    labels = [bounds(label) for label in drawing.labels]
    for index, box in enumerate(labels):
        assert not any(box.overlaps(other) for other in labels[:index]), f"{where}: a label on a label"
        for mark in drawing.marks:
            if isinstance(mark, Rectangle) and mark.outline and box.overlaps(bounds(mark)):
                assert box.lies_within(bounds(mark)), f"{where}: a line goes through a label"
    words = in_words(drawing)
    assert words.strip(), f"{where}: nothing says what is seen"
    found = [*extension.check(numbers, words)]
    assert not found, f"{where}: its own check disagrees: {found[0]}"
    spoiled = {key: value + 1 for key, value in numbers.items()}
    assert [*extension.check(spoiled, words)], f"{where}: its check passes numbers that are not those drawn"


def check_response(
    extension: ResponseExtension, asked: Iterable[tuple[Mapping[str, str], tuple[str, ...]]]
) -> int:
    """Holds a kind of response to itself: what it writes out is a response of the house, the same every time.

    asked: what stands below `with`, and the unknowns of the part; those it refuses (DomainError) are passed over.
    Whether the items are right is for the proofs: draw some with `itembank.testing.items_of`. Returns how many were
    written out.
    """
    count = 0
    for given, unknowns in asked:
        assert given.keys() == extension.keys.keys(), f"its keys are {', '.join(extension.keys)}"
        try:
            spelled = extension.spell(given, unknowns)
        except DomainError:
            continue
        count += 1
        assert spelled.get("kind") in KINDS, (
            f"{dict(given)}: its kind is {spelled.get('kind')!r}, none of the house"
        )
        assert "marks" not in spelled, f"{dict(given)}: marks are the template's to say"
        ResponseShape.model_validate(_in_one_language(spelled))
        assert spelled == extension.spell(given, unknowns), f"{dict(given)}: two spellings of the same"
    assert count, "nothing that was asked could be written out"
    return count


def _in_one_language(spelled: object) -> object:
    """The same with one of its texts where there is one for each language."""
    if isinstance(spelled, Mapping):
        return {
            key: next(iter(value.values()))
            if key == "text" and isinstance(value, Mapping)
            else _in_one_language(value)
            for key, value in spelled.items()
        }
    return [_in_one_language(each) for each in spelled] if isinstance(spelled, list | tuple) else spelled
