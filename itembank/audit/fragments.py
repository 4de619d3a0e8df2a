"""Formulas by their text: what was read once is remembered, and what differs in numbers only is not read again.

A fragment is the text of a `math` element without its first and last tag. Two fragments that differ in plain numerals
only have one skeleton. Its formula is read once with numerals that occur nowhere else, which tells where each run of
digits goes in what is shown, what is meant and what is spoken; the fragments that follow are read by putting their
digits there. Where the runs stand in a fragment is worked out once for all that have as many digits in the same places.
Fragments are taken as bytes: only what is read for the first time has to become text.
That is sound because no reader looks into a numeral: `mathml_reader`, `content_reader` and
`speech_reader` treat all whole numbers without leading zeros alike. Where that is not so (an index, the index of a
root, decimal places that are spoken one by one) the numerals put in for the reading are refused or turn up in another
place than a numeral, and such a skeleton is never used: its fragments are read one by one.

Nothing here says what is wrong with a formula: a fragment that is not in perfect order has no reading here, and the
audit reads its item in the usual way.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from operator import itemgetter
from typing import Any, Final, TypeAlias

from lxml import etree

from itembank.audit import formula
from itembank.audit.content_reader import read_content
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.formulas import MATH, Formulas
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.mathml_tokens import MATHML
from itembank.audit.page_text import seen
from itembank.audit.speech_reader import read_speech
from itembank.audit.tongues import ENGLISH, LANGUAGE, Tongue, tongue
from itembank.audit.xml_reading import parse

__all__ = ["Fragments", "Piece"]

TEXTS: Final = 20_000
SKELETONS: Final = 4_000
SHAPES: Final = 40_000
"""How many are remembered; then all are forgotten together."""
_DIGITS: Final = re.compile(r"([0-9]+)")
_FOUR: Final = re.compile(r"([0-9]{4})")
_PLAIN: Final = re.compile(r"(?:(?:0|[1-9][0-9]{0,17})(?: |\Z))*+\Z")
_SHAPE: Final = bytes(ord("0") if chr(each) in "0123456789" else each for each in range(256))
_ATTRIBUTES: Final = frozenset({"display", "alttext", "encoding", "form", "width", "mathvariant", "stretchy"})
_HEAD: Final = f'xmlns="{MATHML}" '
_OPENING: Final = _HEAD.encode()
_FIRST: Final = 1000
_MOST: Final = 9000

_Made: TypeAlias = Callable[[Sequence[str]], Node]


class Piece:
    """A formula in order."""

    __slots__ = ("_runs", "_skeleton", "node")

    def __init__(self, node: Node, skeleton: _Skeleton, runs: Sequence[str]) -> None:
        self.node, self._skeleton, self._runs = node, skeleton, runs

    @property
    def spoken(self) -> str:
        """Its alternative text, blanks evened."""
        return _put_in(self._skeleton.spoken, self._runs)

    @property
    def seen(self) -> str:
        """Its characters without blanks."""
        return _put_in(self._skeleton.seen, self._runs)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Piece) and (self.node, self.spoken, self.seen) == (
            other.node, other.spoken, other.seen
        )  # fmt: skip

    def __hash__(self) -> int:
        return hash(self.node)


_Text: TypeAlias = tuple[str | int, ...]
"""Text, number of a run, text, ..."""


def _put_in(text: _Text, runs: Sequence[str]) -> str:
    return "".join([each if isinstance(each, str) else runs[each] for each in text])


@dataclass(frozen=True, slots=True)
class _Skeleton:
    """fixed: runs of digits that must be these; alike: pairs of runs that must be the same numeral."""

    fixed: tuple[tuple[int, str], ...]
    alike: tuple[tuple[int, int], ...]
    node: _Made
    spoken: _Text
    seen: _Text

    def filled(self, runs: Sequence[str]) -> Piece | None:
        for place, text in self.fixed:
            if runs[place] != text:
                return None
        for first, second in self.alike:
            if runs[first] != runs[second]:
                return None
        return Piece(self.node(runs), self, runs)


_Taken: TypeAlias = Callable[[Sequence[str]], Sequence[str]]


@dataclass(frozen=True, slots=True)
class _Shape:
    """Fragments of one skeleton whose runs of digits stand in the same places.

    runs: all of them; leading: the first digits of those that have more than one; of the runs, ours and theirs are
    those that must be the same, pair by pair, and fixed those that must be as `wanted`.
    """

    skeleton: _Skeleton
    runs: _Taken
    leading: _Taken
    ours: _Taken
    theirs: _Taken
    fixed: _Taken
    wanted: tuple[str, ...]

    def filled(self, inner: bytes) -> Piece | None:
        """The piece of a fragment of this shape, None where its digits are not as they have to be."""
        text = inner.decode("latin-1")  # a byte for a character: digits are where they were
        if "0" in self.leading(text):
            return None
        runs = self.runs(text)
        if self.ours(runs) != self.theirs(runs) or self.fixed(runs) != self.wanted:
            return None
        return Piece(self.skeleton.node(runs), self.skeleton, runs)


def _shape(skeleton: _Skeleton, inner: bytes) -> _Shape:
    """The shape of a fragment of a skeleton."""
    spans = [each.span() for each in _DIGITS.finditer(inner.decode("latin-1"), len(_OPENING))]
    return _Shape(
        skeleton, _taken([slice(*each) for each in spans]),
        _taken([start for start, end in spans if end - start > 1]),
        _taken([first for first, _ in skeleton.alike]), _taken([second for _, second in skeleton.alike]),
        _taken([place for place, _ in skeleton.fixed]), tuple(text for _, text in skeleton.fixed),
    )  # fmt: skip


def _taken(places: Sequence[int | slice]) -> _Taken:
    """A function that takes what stands at these places, or stretches, of a text or of several texts."""
    if not places:
        return _nothing
    take: Any = itemgetter(*places)
    return take if len(places) > 1 else lambda held: (take(held),)


def _nothing(held: Sequence[str]) -> Sequence[str]:
    return ()


class Fragments:
    """Reads fragments; of two equal ones in one language it gives the same piece."""

    def __init__(self) -> None:
        self._by_words: dict[Tongue, _OfOneLanguage] = {}

    def known(self, root: etree._Element) -> dict[etree._Element, Node | None]:
        """The formulas of a document that are in perfect order, by their elements."""
        found: dict[etree._Element, Node | None] = {}
        words = tongue(root.get(LANGUAGE))
        for math in root.iter(MATH):
            text = etree.tostring(math, encoding="unicode", with_tail=False)
            if text.startswith("<math ") and text.endswith("</math>"):
                piece = self.piece(text[len("<math ") : -len("</math>")].encode(), words)
                if piece is not None:
                    found[math] = piece.node
        return found

    def piece(self, inner: bytes, words: Tongue = ENGLISH) -> Piece | None:
        """What a fragment says, None where it is not in perfect order. words: of the language of its document."""
        if words not in self._by_words:
            self._by_words[words] = _OfOneLanguage(words)
        return self._by_words[words].piece(inner)


class _OfOneLanguage:
    def __init__(self, words: Tongue) -> None:
        self._words = words
        self._pieces: dict[bytes, Piece | None] = {}
        self._skeletons: dict[str, _Skeleton | None] = {}
        self._shapes: dict[bytes, _Shape | None] = {}

    def piece(self, inner: bytes) -> Piece | None:
        try:
            return self._pieces[inner]
        except KeyError:
            pass
        if len(self._pieces) >= TEXTS:
            self._pieces.clear()
        found = self._pieces[inner] = self._by_skeleton(inner) or _read(inner, self._words)
        return found

    def _by_skeleton(self, inner: bytes) -> Piece | None:
        if not inner.startswith(_OPENING):
            return None
        digits = inner.translate(_SHAPE)
        try:
            shape = self._shapes[digits]
        except KeyError:
            try:
                parts = _DIGITS.split(inner[len(_OPENING) :].decode("utf-8"))
            except UnicodeDecodeError:
                return None
            if not _PLAIN.match(" ".join(parts[1::2])):
                return None
            if len(self._shapes) >= SHAPES:
                self._shapes.clear()
            skeleton = self._skeleton(parts)
            shape = self._shapes[digits] = None if skeleton is None else _shape(skeleton, inner)
        return None if shape is None else shape.filled(inner)

    def _skeleton(self, parts: list[str]) -> _Skeleton | None:
        key = "0".join(parts[::2])
        if key not in self._skeletons:
            if len(self._skeletons) >= SKELETONS:
                self._skeletons.clear()
            self._skeletons[key] = _skeleton(parts, self._words)
        return self._skeletons[key]


def _read(inner: bytes, words: Tongue) -> Piece | None:
    """The usual reading of one fragment."""
    try:
        root = parse(b"<math " + inner + b"</math>")
        if root.tag != MATH or any(not _ATTRIBUTES.issuperset(each.keys()) for each in root.iter()):
            return None
        formulas = Formulas(None, words)
        node = formulas.node(root)
    except (Fault, CannotTell, RecursionError):
        return None
    if node is None or formulas.faults:
        return None
    spoken = " ".join(root.get("alttext", "").split())
    return Piece(node, _Skeleton((), (), lambda runs: node, (spoken,), (seen(root),)), ())


def _skeleton(parts: list[str], words: Tongue) -> _Skeleton | None:
    """The skeleton of a fragment that is in order, None where there is none that can be trusted."""
    original = _read((_HEAD + "".join(parts)).encode(), words)
    if original is None or len(parts) // 2 > _MOST:
        return None
    names = {str(_FIRST + place): place for place in range(len(parts) // 2)}
    marked = parts.copy()
    for name, place in names.items():
        marked[2 * place + 1] = name
    fixed: list[tuple[int, str]] = []
    try:
        root = parse(f"<math {_HEAD}{''.join(marked)}</math>".encode())
        presentation, annotation = root[0]
        spoken = root.get("alttext", "")
        alike: list[tuple[int, int]] = []
        shown, meant, heard = (
            read_presentation(presentation, words),
            read_content(annotation[0]),
            read_speech(spoken, words),
        )
        node = _merged(shown, meant, heard, names, fixed, alike)
    except (Fault, CannotTell, RecursionError, _Untrusted, ValueError):
        return None
    found = _Skeleton(
        tuple(fixed), tuple(dict.fromkeys(alike)), formula.of_one_look(node),
        _template(" ".join(spoken.split()), names), _template(seen(root), names),
    )  # fmt: skip
    return found if found.filled(parts[1::2]) == original else None


class _Untrusted(Exception):
    """A digit is more than a part of a numeral."""


def _template(text: str, names: dict[str, int]) -> tuple[str | int, ...]:
    # numerals may stand side by side, as those of a fraction do once the bar is gone: each has four digits
    return tuple(names.get(each, each) for each in _FOUR.split(text) if each)


def _merged(
    shown: Node, meant: Node, heard: Node, names: dict[str, int],
    fixed: list[tuple[int, str]], alike: list[tuple[int, int]],
) -> _Made:  # fmt: skip
    """A function from the runs of digits to the formula; what must hold of the runs is added to fixed and alike."""
    if type(shown) is not type(meant) or type(shown) is not type(heard):
        raise _Untrusted
    if (
        isinstance(shown, formula.Numeral)
        and isinstance(meant, formula.Numeral)
        and isinstance(heard, formula.Numeral)
    ):
        return _numeral((shown.text, meant.text, heard.text), names, fixed, alike)
    makers: list[_Made | None] = []
    values: list[object] = []
    for each in fields(shown):
        three = [getattr(node, each.name) for node in (shown, meant, heard)]
        maker = _field(three, names, fixed, alike)
        makers.append(maker if callable(maker) else None)
        values.append(None if callable(maker) else maker)
    return _rebuilder(type(shown), makers, values)


def _field(
    three: list[object], names: dict[str, int], fixed: list[tuple[int, str]], alike: list[tuple[int, int]]
) -> object:
    """A maker of a field's value, or the value where no number stands in it."""
    first = three[0]
    if isinstance(first, tuple):
        if any(not isinstance(each, tuple) or len(each) != len(first) for each in three):
            raise _Untrusted
        parts = [_field(list(each), names, fixed, alike) for each in zip(*three, strict=True)]
        return _tuple_maker(parts)
    if isinstance(first, str | int):
        if any(each != first for each in three) or any(name in str(first) for name in names):
            raise _Untrusted
        return first
    shown, meant, heard = three
    return _merged(shown, meant, heard, names, fixed, alike)  # type: ignore[arg-type]


def _numeral(
    texts: tuple[str, str, str],
    names: dict[str, int],
    fixed: list[tuple[int, str]],
    alike: list[tuple[int, int]],
) -> _Made:
    places = [names.get(text) for text in texts]
    known = [text for text, place in zip(texts, places, strict=True) if place is None]
    if any(name in text for text in known for name in names) or len(set(known)) > 1:
        raise _Untrusted
    runs = [place for place in places if place is not None]
    if known:
        fixed.extend((place, known[0]) for place in runs)
        constant = formula.Numeral(known[0])
        return lambda runs: constant
    first = runs[0]
    alike.extend((first, other) for other in runs[1:] if other != first)
    return lambda runs: formula.Numeral(runs[first])


def _tuple_maker(parts: list[object]) -> Callable[[Sequence[str]], object]:
    makers = [part if callable(part) else _constant(part) for part in parts]
    return lambda runs: tuple([make(runs) for make in makers])


def _constant(value: object) -> Callable[[Sequence[str]], object]:
    return lambda runs: value


def _rebuilder(kind: type, makers: list[_Made | None], values: list[object]) -> _Made:
    each = [maker or _constant(value) for maker, value in zip(makers, values, strict=True)]
    if len(each) == 1:
        (only,) = each
        return lambda runs: kind(only(runs))
    if len(each) == 2:
        first, second = each
        return lambda runs: kind(first(runs), second(runs))
    return lambda runs: kind(*[make(runs) for make in each])
