"""The predicted difficulty of an item: features counted in what a reader sees, each with its weight, in whole numbers.

What a template fixes is counted with its first item. What differs between items is their shapes, the sizes of their
numbers and of their response; items alike in these share one prediction, so that an item costs a look-up.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import TypeAlias, assert_never

from itembank.content import Content, Emphasis, Inline, Listing, Paragraph, Table, Text
from itembank.difficulty.looks import looks, sizes
from itembank.difficulty.observed import OBSERVED
from itembank.difficulty.weights import Weights, usual_weights
from itembank.expressions.display import Shape
from itembank.items import (
    About,
    ChoiceResponse,
    ChoicesResponse,
    Contribution,
    Difficulty,
    EntryResponse,
    MatchResponse,
    OrderResponse,
    Part,
    Response,
    WrittenResponse,
    WrongLineResponse,
)

__all__ = ["Predictor"]

_WORDS_READ_AT_ONCE, _WORDS_COUNTED_BY = 20, 10
_Class: TypeAlias = tuple[int, Shape, Shape, int, int, bool, int, int]
"""What decides a part's prediction: its place, the shapes of problem and key, sizes, decimals, size of the response,
steps of the solution."""


class Predictor:
    """Predicts the items of one template. weights: None for the program's own; template: its name, for what was
    observed of its items.
    """

    def __init__(self, about: About, weights: Weights | None = None, template: str = "") -> None:
        self._about = about
        self._weights = weights or usual_weights()
        self._beyond = self._weights.observed.templates.get(template, 0)
        self.observed = self._weights.observed.items_of(template)
        """The difficulties of items that were sat, by their addresses."""
        self._with_calculator = about.calculator == "yes"
        self._parts: dict[_Class, tuple[int, tuple[Contribution, ...]]] = {}
        self._known: dict[object, Difficulty] = {}

    def predict(self, parts: Sequence[Part]) -> Difficulty:
        """The difficulty of an item of these parts."""
        if len(parts) == 1:
            first = self._class(0, parts[0])
            found = self._known.get(first)
            if found is None:
                found = self._known[first] = self._of([first], parts)
            return found
        classes = [self._class(number, part) for number, part in enumerate(parts)]
        return self._of(classes, parts)

    def settled(self, address: str, predicted: Difficulty) -> Difficulty:
        """The difficulty of the item at an address: as observed where it was sat, else as predicted."""
        found = self.observed.get(address)
        if found is None:
            return predicted
        known = Contribution(OBSERVED, 1, found - predicted.thousandths)
        return Difficulty(found, self._weights.word(found), (*predicted.contributions, known))

    def _class(self, number: int, part: Part) -> _Class:
        problem, key = part.problem.statement, part.key
        if self._with_calculator:
            return number, problem.shape, key.shape, 0, 0, False, _extent(part.response), _steps(part)
        decimals = False
        try:  # an item has whole numbers as a rule, and this is done for each
            cuts = self._weights.sizes
            asked = sum([bisect_left(cuts, n) for n in problem.numbers])  # type: ignore[type-var, misc]
            answer = sum([bisect_left(cuts, n) for n in key.numbers])  # type: ignore[type-var, misc]
        except TypeError:  # a decimal is not compared with them
            asked, in_problem = sizes(problem.numbers, self._weights)
            answer, in_key = sizes(key.numbers, self._weights)
            decimals = in_problem or in_key
        return number, problem.shape, key.shape, asked, answer, decimals, _extent(part.response), _steps(part)

    def _of(self, classes: Sequence[_Class], parts: Sequence[Part]) -> Difficulty:
        total, marks = 0, 0
        contributions: list[Contribution] = []
        for each, part in zip(classes, parts, strict=True):
            if each not in self._parts:
                self._parts[each] = self._counted(each, part)
            thousandths, told = self._parts[each]
            worth = max(part.response.marks, 1)
            total, marks = total + worth * thousandths, marks + worth
            contributions += told
        mean = (2 * total + marks) // (2 * marks)  # halves go up
        if self._beyond:
            mean += self._beyond
            contributions.append(Contribution(OBSERVED, 1, self._beyond))
        return Difficulty(mean, self._weights.word(mean), tuple(contributions))

    def _counted(self, each: _Class, part: Part) -> tuple[int, tuple[Contribution, ...]]:
        counts = self._counts(each, part)
        told = []
        for weight in self._weights.features:
            count = min(int(counts.get(weight.name, 0)), weight.most)
            if count and weight.adds:
                told.append(Contribution(weight.name, count, count * weight.adds, part.label))
        return sum(contribution.adds for contribution in told), tuple(told)

    def _counts(self, each: _Class, part: Part) -> dict[str, int]:
        _, problem, key, size_in_problem, size_in_key, decimals, extent, steps = each
        shown, answer = looks(problem), looks(key)
        if not self._with_calculator:
            size_in_problem += sizes(shown.numbers, self._weights)[0]
            size_in_key += sizes(answer.numbers, self._weights)[0]
            decimals = decimals or shown.decimal or answer.decimal
        words = _words(part.stem)
        return {
            "start": 1,
            "know": self._about.demand == "know",
            "reason": self._about.demand == "reason",
            "steps": max(steps - 1, 0),
            "long-stem": max(-(-(words - _WORDS_READ_AT_ONCE) // _WORDS_COUNTED_BY), 0),
            "size-in-problem": size_in_problem,
            "size-in-key": size_in_key,
            "decimals": decimals,
            "minus-signs": shown.minus_signs,
            "minus-in-key": answer.minus_signs > 0,
            "fraction-in-problem": shown.fraction,
            "fraction-in-key": answer.fraction,
            "roots-in-problem": shown.roots,
            "surd-in-key": answer.roots > 0,
            "surd-simplified": answer.surd_simplified,
            "several-values": answer.several_values,
            "no-real-solution": answer.nothing,
            "unknowns": max(len(part.problem.unknowns) - 1, 0),
            "letters": max(len(shown.letters - set(part.problem.unknowns)) - 1, 0),
            "powers": shown.power - 1,
            "leading-number": shown.leading,
            "brackets": shown.brackets,
            "inequality": shown.inequality,
        } | _response(part.response, extent)


def _steps(part: Part) -> int:
    """How many lines of the solution show mathematics that leads on."""
    return sum([line.maths is not None and line.kind != "rejects" for line in part.solution])


def _extent(response: Response) -> int:
    """How large a response is: what of it may differ between a template's items."""
    match response:
        case ChoiceResponse(options) | ChoicesResponse(options):
            return len(options)
        case EntryResponse(blanks):
            return sum([len(blank.boxes) * blank.slots for blank in blanks])
        case WrongLineResponse(lines):
            return len(lines)
        case OrderResponse(things):
            return len(things)
        case MatchResponse(rows):
            return len(rows)
        case WrittenResponse():
            return 0
        case _:
            assert_never(response)


def _response(response: Response, extent: int) -> dict[str, int]:
    match response:
        case ChoiceResponse():
            return {"options": max(extent - 3, 0)}
        case ChoicesResponse():
            return {"several-right": 1}
        case EntryResponse():
            return {"entered": 1, "boxes": max(extent - 1, 0)}
        case WrongLineResponse():
            return {"lines-to-check": extent - 1}
        case OrderResponse():
            return {"to-order": max(extent - 2, 0)}
        case MatchResponse():
            return {"to-match": extent - 1}
        case WrittenResponse():
            return {"written": 1}
        case _:
            assert_never(response)


def _words(content: Content) -> int:
    """The words of a text; a piece of mathematics counts as one."""

    def inlines(nodes: Sequence[Inline]) -> int:
        found = 0
        for node in nodes:
            match node:
                case Text(text):
                    found += sum(any(map(str.isalnum, word)) for word in text.split())
                case Emphasis(inner):
                    found += inlines(inner)
                case _:
                    found += 0
        return found

    total = content.shape.holes
    for block in content.shape.blocks:
        match block:
            case Paragraph(nodes):
                total += inlines(nodes)
            case Listing(items):
                total += sum(inlines(b.inlines) for entry in items for b in entry if isinstance(b, Paragraph))
            case Table(header, rows):
                total += sum(inlines(cell) for row in (header, *rows) for cell in row)
    return total
