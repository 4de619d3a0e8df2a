"""The quick road: many items of one frame, read and looked through once, and each one's own numbers put in.

Of an item it says only "nothing is wrong", or nothing at all; then the audit goes its usual way and tells what it
finds. What it says rests on this:

- two texts of one frame differ in their holes only, and so do their trees (`frames.py`). The frame's first item went
  through the whole audit and nothing was found. What cannot depend on the holes is therefore in order: the names and
  the order of elements, references, declarations, the house's grammar (which asks of a hole's place no more than some
  text: of a formula that it is MathML, of a picture's words that there are any).
- a sentence for staff or for pupils is one that stood, in an element of the same name, in an item in which nothing was
  found. It holds text, formulas, paragraphs and emphasis only; the grammars know one pattern for the content of each
  of these elements; and no reader looks into a sentence but for its formulas. That staff and pupils are told the same
  is looked at in every item.
- formulas have to be in order each by itself (`fragments.py`): shown, meant and spoken are one tree, in the words of
  the language that the document says, which is a part of the frame.
- spoken texts, pictures, and all the mathematics and marking depend on the holes: they are decided for every item by
  the very checks of the usual way, on facts that are equal to what the usual reader makes of the item.

A frame is made ready when it is seen for the second time, of its first item: of that the whole audit said that nothing
is wrong, and the facts the frame gives for it have to be equal to those of the usual reader.
"""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from pathlib import PurePosixPath
from typing import Final, NamedTuple

from lxml import etree

from itembank.audit.dialects import QTI_2_1, Version, as_3_0
from itembank.audit.facts import Facts
from itembank.audit.figure_check import check_figures
from itembank.audit.findings import STUCK, CannotTell, Fault
from itembank.audit.formula import Letter
from itembank.audit.formulas import MATH
from itembank.audit.fragments import Fragments
from itembank.audit.frame_filling import (
    ALT_LETTERS,
    CODE_LETTER,
    MATHS_LETTERS,
    SENTENCE_LETTER,
    SPOKEN_LETTERS,
    Filling,
    Untrusted,
    filler,
    holds_stand_ins,
    number_stand_in,
    stand_ins,
    template,
)
from itembank.audit.frames import Cut, Holes, are_alike, cut, joined
from itembank.audit.grammar import check_grammar
from itembank.audit.item_metadata import Metadata, Said, in_agreement, said_by
from itembank.audit.item_reader import ItemReader
from itembank.audit.manifest import addresses
from itembank.audit.mathml_tokens import MATHML
from itembank.audit.meaning import check_mathematics, check_meaning
from itembank.audit.member_names import stem
from itembank.audit.pictures import language_of, picture_faults
from itembank.audit.response_processing import STEPS, Constants, Rules, compile_rules, typed
from itembank.audit.rule_expressions import Scalar, Value
from itembank.audit.spoken_check import cards, even, sought
from itembank.audit.structure import decimal
from itembank.audit.told_check import pairs_told
from itembank.audit.tongues import LANGUAGE, Tongue, tongue
from itembank.audit.xml_reading import parse

__all__ = ["Filled", "Passed", "QuickRoad", "taken_apart"]

FRAMES: Final = 2_000
WAITING: Final = 500
"""How many frames are kept ready, the least recently used going first, and of how many the first item is known."""
DRAWINGS: Final = 5_000
MARKED: Final = 100
SENTENCES: Final = 20_000
_FORMULA: Final = (
    f'<math xmlns="{MATHML}" display="inline" alttext="{{0}}"><semantics><mi>{{0}}</mi>'
    '<annotation-xml encoding="MathML-Content"><ci>{0}</ci></annotation-xml></semantics></math>'
)
_PLAIN: Final = re.compile(r"[A-Za-z0-9_./-]+\Z")
_DRAWING: Final = re.compile(r"[A-Za-z0-9_./-]+\.svg\Z")


@dataclass(frozen=True, slots=True)
class Passed:
    """An item with which nothing is wrong. worth: the marks it says it is worth.

    said: what it says that a manifest says too, None where that is not its frame's alone.
    """

    worth: Fraction | None
    said: Said | None

    def is_as_told(self, told: Metadata) -> bool:
        """Whether a manifest plainly says nothing otherwise."""
        return self.said is not None and in_agreement(told, self.said, self.worth)


@dataclass(frozen=True, slots=True)
class _Picture:
    """A picture an item shows: its address and the words in its place."""

    address: Callable[[Filling], str]
    words: Callable[[Filling], str]
    language: Tongue


@dataclass(frozen=True, slots=True)
class _Heard:
    """A text and what is spoken of it. pattern: a group for each formula; maths: which formula, None for bare signs."""

    pattern: re.Pattern[str]
    maths: tuple[int | None, ...]
    words: Callable[[Filling], str]

    def agrees(self, filling: Filling) -> bool:
        """Whether the words are those of the text, and each formula is spoken as its alternative text says."""
        found = self.pattern.fullmatch(even(self.words(filling)))
        return found is not None and all(
            place is None or filling.pieces[place].spoken == spoken
            for place, spoken in zip(self.maths, found.groups(), strict=True)
        )


@dataclass(frozen=True, slots=True)
class _Frame:
    version: Version
    words: Tongue
    passed: Passed
    facts: Callable[[Filling], Facts]
    rules: Rules | None
    constants: tuple[tuple[int, str], ...]
    addresses: tuple[Callable[[Filling], str], ...]
    pictures: tuple[_Picture, ...]
    heard: tuple[_Heard, ...]
    told: tuple[tuple[int, int], ...]
    """The sentences that staff and pupils have in common, by their places."""
    marked: set[tuple[str, ...]] | None
    """Where nothing is entered: the numbers of items whose marking is in order. None where boxes are filled.

    Of an item of options the marking depends on the frame and on these numbers, on no formula.
    """

    def own_rules(self, numbers: tuple[str, ...]) -> Rules | None:
        """The rules with the constants of one item, None where a person marks it."""
        if self.rules is None:
            return None
        held = [_typed(base, numbers[place]) for place, base in self.constants]
        return self.rules.of_item([value for value, _ in held], [scalar for _, scalar in held])


class Filled(NamedTuple):
    """An item put into its frame."""

    frame: _Frame
    filling: Filling
    found: Cut


@lru_cache(maxsize=8192)
def _typed(base: str, text: str) -> tuple[Value, Scalar]:
    """A constant, and its one item, a whole number where it is equal to one."""
    value = typed(base, text.replace("[.]", "."))  # as a decimal stands in a pattern
    (item,) = value.items
    return value, item.numerator if isinstance(item, Fraction) and item.denominator == 1 else item


def taken_apart(data: bytes, member: str) -> Cut | None:
    """The text of an item, None for one that is not of the plain kind."""
    try:
        return cut(data, stem(member))
    except UnicodeDecodeError:
        return None


class QuickRoad:
    """The quick road through the items of one package.

    version: the package's; members: all its names; read: gives the bytes of one.
    """

    def __init__(
        self, version: Version | None, members: frozenset[str], read: Callable[[str], bytes]
    ) -> None:
        self._version, self._members, self._read = version, members, read
        self.fragments = Fragments()
        self._frames: OrderedDict[str, _Frame | None] = OrderedDict()
        self._waiting: OrderedDict[str, tuple[Cut, str, Facts]] = OrderedDict()
        self._sentences: set[str] = set()
        self._drawings: set[tuple[bytes, str, str]] = set()

    def filled(self, found: Cut | None, member: str) -> Filled | None:
        """An item put into its frame, None where that is not ready or the item not plain.

        found: as `taken_apart` gives it.
        """
        if found is None or not self._sentences.issuperset(found.sentences):
            return None
        frame = self._frames.get(found.frame)
        filling = None if frame is None else self._filling(found, stem(member), frame.words)
        return None if frame is None or filling is None else Filled(frame, filling, found)

    def passed(self, found: Cut | None, member: str, filled: Filled | None = None) -> Passed | None:
        """What is known of an item with which nothing is wrong; None where that is not plain.

        found, filled: as `taken_apart` and `filled` give it; a frame may have become ready meanwhile.
        """
        if found is None:
            return None
        try:
            self._frame(found.frame)
            known = filled or self.filled(found, member)
            folder = _folder(member.rpartition("/")[0])
            return known.frame.passed if known is not None and self._in_order(known, folder) else None
        except (Fault, *STUCK):
            return None

    def remember(self, data: bytes, member: str, usual: Facts | None = None) -> None:
        """Keep an item for when its frame is seen again. It is one in which the whole audit found nothing wrong.

        usual: what the usual reader made of it, where it was read before.
        """
        found = taken_apart(data, member)
        if found is None:
            return
        if len(self._sentences) >= SENTENCES:
            self._sentences.clear()
        self._sentences.update(found.sentences)
        if found.frame in self._frames or found.frame in self._waiting:
            return
        facts = usual or _usual_facts(data)
        # facts are compared without what holds on to the document
        self._waiting[found.frame] = found, stem(member), replace(facts, processing=None, body=None)
        if len(self._waiting) > WAITING:
            self._waiting.popitem(last=False)

    def _frame(self, text: str) -> None:
        """Make the frame of a text ready where its first item waits."""
        first = self._waiting.pop(text, None)
        if first is not None:
            self._frames[text] = self._made_ready(*first)
            if len(self._frames) > FRAMES:
                self._frames.popitem(last=False)
        elif text in self._frames:
            self._frames.move_to_end(text)

    def _made_ready(self, found: Cut, code: str, usual: Facts) -> _Frame | None:
        """The frame of an item, None where it does not give it the facts that the usual reader gives it."""
        try:
            root, places = _stand_in_document(found)
            filling = self._filling(found, code, tongue(root.get(LANGUAGE)))
            frame = None if filling is None else _opened(found, root, places)
            is_equal = frame is not None and filling is not None and frame.facts(filling) == usual
        except (Fault, CannotTell, RecursionError, Untrusted):
            return None
        return frame if is_equal else None

    def _filling(self, found: Cut, code: str, words: Tongue) -> Filling | None:
        if not all(self.fragments.piece(inner, words) for inner in found.loose):
            return None
        pieces = [self.fragments.piece(inner, words) for inner in found.maths]
        whole = [piece for piece in pieces if piece is not None]
        return (
            Filling(code, whole, found.numbers, found.spoken, found.alts)
            if len(whole) == len(pieces)
            else None
        )

    def _in_order(self, item: Filled, folder: PurePosixPath) -> bool:
        frame, filling, numbers = item.frame, item.filling, item.found.numbers
        if self._version is not None and frame.version.name != self._version.name:
            return False
        if not all(_stays_inside(each(filling), folder, self._members) for each in frame.addresses):
            return False
        if not all(self._is_harmless(each, filling, folder) for each in frame.pictures):
            return False
        if not all(each.agrees(filling) for each in frame.heard):
            return False
        if not all(are_alike(item.found, *each) for each in frame.told):
            return False
        facts = frame.facts(filling)
        if next(check_figures(facts, folder, self._members, self._read), None) is not None:
            return False
        if frame.marked is not None and numbers in frame.marked:
            return next(check_mathematics(facts), None) is None
        in_order = next(check_meaning(facts, False, frame.own_rules(numbers)), None) is None
        if in_order and frame.marked is not None and len(frame.marked) < MARKED:
            frame.marked.add(numbers)
        return in_order

    def _is_harmless(self, picture: _Picture, filling: Filling, folder: PurePosixPath) -> bool:
        address, words = picture.address(filling), picture.words(filling)
        if not words.strip() or not _DRAWING.match(address):
            return False
        data = self._read(str(folder / address))
        drawing = data, words, picture.language.name + picture.language.pair
        if drawing not in self._drawings:
            if next(picture_faults(data, words, address, picture.language), None) is not None:
                return False
            if len(self._drawings) >= DRAWINGS:
                self._drawings.clear()
            self._drawings.add(drawing)
        return True


@lru_cache(maxsize=16)
def _folder(name: str) -> PurePosixPath:
    return PurePosixPath(name)


def _stays_inside(address: str, folder: PurePosixPath, members: frozenset[str]) -> bool:
    """Whether an address is, plainly, that of a member."""
    return _PLAIN.match(address) is not None and ".." not in address and str(folder / address) in members


def _opened(found: Cut, root: etree._Element, places: dict[etree._Element, int]) -> _Frame | None:
    """A frame with its holes open, None where that cannot be. root, places: as `_stand_in_document`."""
    version = as_3_0(root)
    reader = ItemReader(root, {math: Letter(chr(MATHS_LETTERS + place)) for math, place in places.items()})
    facts = replace(reader.read(), declares_people=version is not QTI_2_1)
    score = facts.outcome("SCORE")
    if reader.faults or not places or root.get("identifier") != CODE_LETTER or score is None:
        return None
    if any(True for _ in check_grammar(root, version)) or len(list(root.iter())) > STEPS:
        return None
    told = _told(root)
    if told is None:
        return None
    constants = Constants({number_stand_in(place): place for place in range(len(found.numbers))})
    rules = None if facts.processing is None else compile_rules(facts, constants)
    return _Frame(
        version, tongue(root.get(LANGUAGE)), Passed(decimal(score.normal_maximum), _said(root)),
        filler(facts, len(found.numbers)), rules, tuple(constants.wanted),
        tuple(_text(each) for each in addresses(root)), tuple([_picture(image, root) for image in root.iter("{*}img")]),
        tuple(_heard(element, card, places) for element, card in cards(root)),
        told, None if facts.boxes or any(part.kind == "entry" for part in facts.parts) else set(),
    )  # fmt: skip


def _told(root: etree._Element) -> tuple[tuple[int, int], ...] | None:
    """The places of sentences that staff and pupils have in common, None where it is not plain that they are alike."""
    holes = [each.getparent() for each in root.iter("{*}p") if each.text == SENTENCE_LETTER]
    places: dict[etree._Element | None, int] = {each: place for place, each in enumerate(holes)}
    found: list[tuple[int, int]] = []
    for for_staff, for_pupils in pairs_told(root):
        one, other = places.get(for_staff), places.get(for_pupils)
        if one is not None and other is not None:
            found.append((one, other))
        elif one is not None or other is not None or any(True for _ in for_staff.iter(MATH)):
            return None
    return tuple(found)


def _said(root: etree._Element) -> Said | None:
    """What all items of a frame say that a manifest says too; None where a hole is a part of it.

    The code at the end of a title is not said. Interactions and feedback stand in the frame: formulas in order and
    plain sentences hold none.
    """
    found = said_by(root, CODE_LETTER)
    return None if holds_stand_ins(found.title + found.language) else found


def _usual_facts(data: bytes) -> Facts:
    root = parse(data)
    version = as_3_0(root)
    return replace(ItemReader(root).read(), declares_people=version is not QTI_2_1)


def _stand_in_document(found: Cut) -> tuple[etree._Element, dict[etree._Element, int]]:
    """The frame with stand-ins in its holes, and which formula each `math` element stands for."""
    maths = stand_ins(len(found.maths), MATHS_LETTERS)
    text = joined(
        found.frame, CODE_LETTER, [_FORMULA.format(letter) for letter in maths],
        Holes(
            [number_stand_in(place) for place in range(len(found.numbers))],
            stand_ins(len(found.spoken), SPOKEN_LETTERS), stand_ins(len(found.alts), ALT_LETTERS),
            ["100"] * len(found.sizes),
        ),
        [f"<p>{SENTENCE_LETTER}</p>"] * len(found.sentences),
    )  # fmt: skip
    if holds_stand_ins(found.frame):
        raise Untrusted
    root = parse(text.encode())
    letters = {letter: place for place, letter in enumerate(maths)}
    elements = {
        math: letters[math.get("alttext", "")] for math in root.iter(MATH) if math.get("alttext") in letters
    }
    return root, elements


def _text(text: str) -> Callable[[Filling], str]:
    return template(text) or (lambda filling: text)


def _picture(image: etree._Element, root: etree._Element) -> _Picture:
    return _Picture(_text(image.get("src", "")), _text(image.get("alt", "")), language_of(image, root))


def _heard(element: etree._Element, card: etree._Element, places: dict[etree._Element, int]) -> _Heard:
    pattern, maths = sought(element)
    if holds_stand_ins(pattern):
        raise Untrusted
    return _Heard(
        re.compile(pattern), tuple(map(places.get, maths)), _text("".join(map(str, card.itertext())))
    )
