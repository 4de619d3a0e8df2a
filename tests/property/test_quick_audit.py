"""The audit's quick road says "nothing is wrong" of no item of which the whole audit says something else.

Items of three banks in two dialects go through the audit until their frames are ready; then one of them is changed in
one place, most often in its numbers, which no frame holds.
"""

from __future__ import annotations

import random
import re
import shutil
import zipfile
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path, PurePosixPath

import pytest

from itembank.audit import (
    conditions,
    equations,
    formula,
    ratios,
    real_sets,
    straight_code,
    straight_solving,
    systems,
)
from itembank.audit.conditions import Condition
from itembank.audit.formula import Node, Scope
from itembank.audit.fragments import Fragments
from itembank.audit.frames import cut
from itembank.audit.item_metadata import said
from itembank.audit.package import Package, open_package
from itembank.audit.quick_road import Passed, QuickRoad, taken_apart
from itembank.audit.ratios import Ratio
from itembank.audit.response_processing import Rules
from itembank.audit.rule_expressions import Value
from itembank.audit.verify import audit_item, verify
from itembank.build import BuildRequest, build

BANKS = Path(__file__).resolve().parents[2] / "banks"
SOURCES = [
    ("quadratics", "qti3", 240), ("kinds", "qti3", 120), ("algebra", "qti22", 300), ("kinds", "qti21", 90),
]  # fmt: skip
MUTATIONS = 300
_DIGIT = re.compile(rb"[0-9]")
_MATHS = re.compile("<math ([^<>]*><semantics>.*?)</math>", re.DOTALL)
_TAG = re.compile(rb"<[^<>]*>")


@dataclass
class Ready:
    """A package with a road whose frames are ready. common: the items the road passes."""

    path: Path
    package: Package
    road: QuickRoad
    members: frozenset[str]
    common: list[str] = field(default_factory=list)

    def passed(self, data: bytes, member: str) -> Passed | None:
        """What the road says of an item."""
        found = taken_apart(data, member)
        return self.road.passed(found, member, self.road.filled(found, member))

    def whole_audit(self, data: bytes, member: str) -> object:
        """What the usual way finds."""
        return audit_item(data, member, self.members, read=self.package.read)[1]


@pytest.fixture(scope="module", params=SOURCES, ids=lambda source: "-".join(map(str, source)))
def ready(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ready]:
    """A built package, its items gone through once."""
    bank, form, count = request.param
    folder = tmp_path_factory.mktemp("quick")
    out = folder / "out"
    shutil.copytree(BANKS / bank, folder / "bank")  # a build leaves a lock in the bank's folder
    build(BuildRequest(folder / "bank", out, count=count, formats=(form,)))
    (path,) = (out / "platform").glob("*.zip")
    with ExitStack() as stack:
        package = stack.enter_context(open_package(path))
        members = frozenset(package.names)
        road = QuickRoad(None, members, package.read)
        names = [name for name in package.names if name.startswith("items/") and name.endswith(".xml")]
        found = Ready(path, package, road, members)
        for name in names:
            data = package.read(name)
            if found.passed(data, name) is None:
                road.remember(data, name)
        found.common += [name for name in names if found.passed(package.read(name), name)]
        assert len(found.common) >= count // 4
        yield found


def test_the_report_is_the_same_without_the_quick_road(ready: Ready) -> None:
    """On the package as it was built."""
    assert verify(ready.path, quick=False) == verify(ready.path)


def test_no_changed_item_passes_that_the_whole_audit_stops(ready: Ready) -> None:
    """One place of an item is changed; where the quick road still passes it, the whole audit must find nothing."""
    chance = random.Random(20)
    stopped = 0
    for _ in range(MUTATIONS):
        name = chance.choice(ready.common)
        data = ready.package.read(name)
        changed = _changed(data, chance)
        if ready.passed(changed, name) is None:
            stopped += changed != data
        else:
            assert ready.whole_audit(changed, name) == ()
    assert stopped >= MUTATIONS // 2


def test_what_a_frame_says_to_the_manifest_is_what_each_item_says(ready: Ready) -> None:
    """Of items as they are, and with another title, language or kind of interaction, where the road passes them."""
    code = re.compile(rb"\(([A-Z0-9]+)\)")
    changes = [
        (re.compile(rb' title="'), b' title="Other '), (re.compile(rb' xml:lang="en"'), b' xml:lang="en-GB"'),
        (code, rb"(\1) (\1)"), (code, rb"\1 (\1)"), (code, b""),
        (re.compile(rb"<(qti-modal-f|modalF)eedback .*</(qti-modal-f|modalF)eedback>", re.DOTALL), b""),
        (re.compile(rb"-order-interaction"), b"-choice-interaction"),
    ]  # fmt: skip
    passed = 0
    for name in ready.common:
        data = ready.package.read(name)
        for old, new in [(re.compile(b"$"), b""), *changes]:
            changed = old.sub(new, data, count=1)
            found = ready.passed(changed, name)
            if found is not None and found.said is not None:
                passed += 1
                assert said(changed, PurePosixPath(name).stem) == found.said
    assert passed >= len(ready.common)


def test_an_item_with_the_formulas_or_numbers_of_another_one_is_stopped_as_the_whole_audit_stops_it(
    ready: Ready,
) -> None:
    """Pieces that are in order each by itself, in an item where they do not belong."""
    chance = random.Random(21)
    passed = 0
    for _ in range(MUTATIONS // 4):
        name, other = chance.sample(ready.common, 2)
        data = _crossed(ready.package.read(name), ready.package.read(other), chance)
        if ready.passed(data, name) is not None:
            passed += 1
            assert ready.whole_audit(data, name) == ()
    assert passed < MUTATIONS // 4


def test_the_same_changed_items_are_told_of_in_a_package(ready: Ready, tmp_path: Path) -> None:
    """Several changed items in one zip: the reports with and without the quick road are the same."""
    chance = random.Random(22)
    spoiled = set(chance.sample(ready.common, 12))
    path = tmp_path / ready.path.name
    with zipfile.ZipFile(ready.path) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            data = old.read(entry)
            new.writestr(entry, _digit_changed(data, chance) if entry.filename in spoiled else data)
    quick, whole = verify(path), verify(path, quick=False)

    assert whole == quick
    assert quick.findings


def test_a_cartridge_is_told_the_same_of_without_skeletons(tmp_path: Path) -> None:
    """As it was built, and with a digit changed in each of its documents, one after the other."""
    shutil.copytree(BANKS / "kinds", tmp_path / "bank")
    build(BuildRequest(tmp_path / "bank", tmp_path / "out", count=70, formats=("cc",)))
    (built,) = (tmp_path / "out" / "platform").glob("*.imscc")
    assert verify(built, quick=False) == verify(built)
    chance = random.Random(23)
    told = 0
    for turn in range(4):
        path = tmp_path / f"{turn}.imscc"
        with zipfile.ZipFile(built) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
            for entry in old.infolist():
                data = old.read(entry)
                changed = entry.filename.endswith(".xml") and entry.filename != "imsmanifest.xml"
                new.writestr(entry, _digit_changed(data, chance) if changed else data)
        found = verify(path)
        assert verify(path, quick=False) == found
        told += len(found.findings)
    assert told >= 4


def test_straight_code_and_quick_equations_say_what_the_general_reading_says(ready: Ready) -> None:
    """For every formula of the package: the same condition, the same polynomial, the same finite solutions."""
    compared = solved = 0
    for node in _formulas(ready):
        letters = tuple(sorted(formula.free_letters(node, formula.NOWHERE)))
        for unknowns in {letters[:1], letters[-1:], letters}:
            scope = Scope(unknowns)
            quick = straight_code.condition(node, scope, ())
            if quick is None:
                continue
            compared += 1
            assert quick == conditions.condition(node, scope, ())
            if len(unknowns) == 1 == len(letters):
                solved += _solved_alike(node, quick, unknowns[0])
            if len(unknowns) > 1:
                _tuples_alike(node, quick, unknowns)
            if len(unknowns) == 1 and len(letters) == 2:
                _identity_alike(node, unknowns[0], tuple(set(letters) - set(unknowns)))
        if not formula.is_statement(node) and (plain := straight_code.polynomial(node)) is not None:
            compared += 1
            (ratio,) = ratios.expression(node)
            assert ratio == Ratio(plain)
    assert compared >= 100
    assert solved >= 30


def _tuples_alike(node: Node, asked: Condition, unknowns: tuple[str, ...]) -> None:
    """Of several unknowns, and of one for every value of the others: what is solved in order is solved generally."""
    found = straight_solving.tuples(node, Scope(unknowns), (), unknowns)
    assert found is None or found == systems.solve(asked, unknowns)
    if formula.has_relation(node, "=") and len(unknowns) > 2:
        inner = unknowns[:-1]
        found = straight_solving.tuples(node, Scope(inner), unknowns[-1:], inner)
        whole = conditions.condition(node, Scope(inner), unknowns[-1:])
        assert found is None or found == systems.solve(whole, inner)


def test_straight_rules_say_what_the_rules_say(ready: Ready) -> None:
    """For the rules of every item: right answers and answers near them, boxes left empty among them."""
    chance = random.Random(24)
    compared = 0
    for name in ready.common:
        found = cut(ready.package.read(name), PurePosixPath(name).stem)
        assert found is not None
        frame = ready.road._frames[found.frame]
        rules = None if frame is None else frame.own_rules(found.numbers)
        if rules is None or rules.straight is None:
            continue
        plain = replace(rules, straight=None)
        for _ in range(12):
            given = {each: _answer(rules, each, chance) for each in rules.responses}
            answers = {each: value for each, value in given.items() if value is not None}
            compared += 1
            assert plain.marks(answers) == rules.marks(answers)
    assert compared >= 100


def _answer(rules: Rules, name: str, chance: random.Random) -> Value | None:
    """What somebody may give: a number or a text of the rules, or one near it; None for nothing."""
    declared = rules.responses[name]
    numbers = [each for each in rules.scalars if isinstance(each, int)] or [1]
    number = chance.choice(numbers) + chance.choice([0, 0, 0, 1])
    number *= chance.choice([1, 1, -1])
    if chance.random() < 0.2:
        return None
    if declared.base_type == "integer":
        return Value("integer", (number,))
    if declared.base_type == "float":
        return Value("float", (Fraction(number, chance.choice([1, 4])),))
    if declared.base_type == "string":
        digits = chance.choice([str(number), *(each for each in rules.scalars if isinstance(each, str))])
        return Value("string", (chance.choice(["", " ", "-", "\u2212", "0"]) + digits,))
    options = [*declared.correct, "A", "B", "R1 T1"]
    if declared.cardinality == "single":
        return Value(declared.base_type, (chance.choice(options),))
    return Value(declared.base_type, tuple(chance.sample(options, 2)), declared.cardinality)


def _formulas(ready: Ready) -> Iterator[Node]:
    read = Fragments()
    seen = set()
    for name in ready.common:
        for found in _MATHS.findall(ready.package.read(name).decode()):
            piece = read.piece(found.encode())
            if piece is not None and piece.node not in seen:
                seen.add(piece.node)
                yield piece.node


def _identity_alike(node: Node, letter: str, bound: tuple[str, ...]) -> None:
    """For every value of the other letter."""
    scope = Scope((letter,))
    asked = straight_code.condition(node, scope, bound)
    found = straight_solving.points([(node, scope, bound)], letter)
    assert found is None or (asked is not None and found == equations.points(asked, letter))


def _solved_alike(node: Node, asked: Condition, letter: str) -> bool:
    found = equations.points(asked, letter)
    assert straight_solving.points([(node, Scope((letter,)), ())], letter) == found
    if found is not None:
        general = real_sets.solve(asked, letter).points
        assert general is not None
        assert found == frozenset(general)
    return found is not None


def _changed(data: bytes, chance: random.Random) -> bytes:
    kind = chance.randrange(8)
    if kind < 4:
        return _digit_changed(data, chance)
    at = chance.randrange(len(data))
    if kind == 4:
        return data[:at] + data[at + 1 :]
    if kind == 5:
        return data[:at] + chance.choice([b"1", b"-", b" ", b"<", b"x", b"&", b"0", "−".encode()]) + data[at:]
    tags = list(_TAG.finditer(data))
    one, two = sorted(chance.sample(range(len(tags)), 2))
    first, second = tags[one], tags[two]
    if kind == 6:
        return data[: first.start()] + data[first.end() :]
    between = data[first.end() : second.start()]
    return data[: first.start()] + second[0] + between + first[0] + data[second.end() :]


def _digit_changed(data: bytes, chance: random.Random) -> bytes:
    """Another digit in the place of one, after the heading."""
    places = [found.start() for found in _DIGIT.finditer(data, data.find(b" title="))]
    at = chance.choice(places)
    digit = chance.choice([each for each in b"0123456789" if each != data[at]])
    return data[:at] + bytes([digit]) + data[at + 1 :]


def _crossed(data: bytes, other: bytes, chance: random.Random) -> bytes:
    """One formula, or one value, of another item in the place of the item's own."""
    piece = chance.choice([
        re.compile(rb"<math .*?</math>", re.DOTALL), re.compile(rb"(?<=alue>)-?[0-9]+(?=<)"),
        re.compile(rb'(?<=nteger">)-?[0-9]+(?=<)'), re.compile(rb"(?<=0\*)[1-9][0-9]*(?=\\)"),
    ])  # fmt: skip
    ours, theirs = list(piece.finditer(data)), list(piece.finditer(other))
    if not ours or not theirs:
        return _digit_changed(data, chance)
    old, new = chance.choice(ours), chance.choice(theirs)
    return data[: old.start()] + new[0] + data[old.end() :]
