"""What a printed paper says besides its items, and the decisions both printed formats share.

It knows no format: a writer receives here what stands in each row of the key, how a worked line parts at its
relation sign and how much room a pupil needs; it sets them in its own signs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final, TypeAlias

from itembank.content import Content, Emphasis, Hole, Inline, LineBreak, Paragraph, of_text
from itembank.expressions import spelling
from itembank.expressions.display import (
    Compared,
    Decimal,
    Display,
    Joined,
    Letter,
    Maths,
    Nothing,
    Numeral,
    Over,
    Shape,
    parts,
)
from itembank.items import (
    Blank,
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Item,
    Mark,
    MatchResponse,
    Option,
    OrderResponse,
    Part,
    Slip,
    SolutionLine,
    WrittenResponse,
    WrongLineResponse,
)  # fmt: skip
from itembank.words import Words
from itembank.writers.facts import CALCULATOR_RULES, Looks, PaperFacts
from itembank.writers.points import points_alone

__all__ = [
    "CALCULATOR_RULES", "DOCUMENTS", "FOR_PUPILS", "SITTING", "Answer", "CombinedRow", "KeyRow", "Looks",
    "PaperFacts", "WorkedRow", "choices_to_mark", "circled", "columns_to_try", "combined_rows", "follow_marks",
    "has_kind", "is_formula", "key_alone", "key_answer", "key_letters", "key_place", "key_rows", "letter",
    "mark_columns", "one_line", "one_paragraph", "printed_options", "question_name", "rows_to_match", "sides",
    "slip_answer", "slip_letters", "slips_in_order", "task", "total_marks", "unit", "worked_rows",
    "working_millimetres",
]  # fmt: skip

SITTING: Final = ("question-paper", "answer-sheet")
"""The documents a pupil writes on, which come with names where there is a class list. They hold no key."""
FOR_PUPILS: Final = (*SITTING, "worksheet")
"""The documents that go to pupils. A worksheet has the answers at its end, for pupils to check themselves."""
DOCUMENTS: Final = (
    "question-paper", "answer-key", "worked-solutions", "mark-scheme", "worksheet", "mark-sheet", "answer-sheet",
)  # fmt: skip
"""The documents of a paper; those but FOR_PUPILS are for staff."""

Answer: TypeAlias = Maths | Content


def total_marks(items: Iterable[Item]) -> int:
    """Marks of all items together."""
    return sum(item.marks for item in items)


def has_kind(items: Iterable[Item], *kinds: str) -> bool:
    """Whether some part has a response of one of these kinds, by the names templates have for them."""
    return any(part.response.kind in kinds for item in items for part in item.parts)


def circled(part: Part) -> tuple[str, ...]:
    """What a pupil can mark: letters of options, numbers of lines; () where answers are written."""
    if isinstance(part.response, WrongLineResponse):
        return tuple(str(number) for number in range(1, len(part.response.lines) + 1))
    if not isinstance(part.response, ChoiceResponse | ChoicesResponse):
        return ()
    chosen = isinstance(part.response, ChoiceResponse | ChoicesResponse)
    return tuple(option.identifier for option in printed_options(part)) if chosen else ()


def question_name(number: int, part: Part) -> str:
    """The number of a question with its part's label: 3, or 3(a)."""
    return f"{number}({part.label})" if part.label else str(number)


def choices_to_mark(items: Sequence[Item]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The question and what can be marked of every part whose answer is chosen."""
    for number, item in enumerate(items, 1):
        for part in item.parts:
            if circled(part):
                yield question_name(number, part), circled(part)


def columns_to_try(options: int) -> tuple[int, ...]:
    """Into how many columns options may be set, the most first; only such that leave no lone option in a row.

    >>> columns_to_try(4), columns_to_try(5), columns_to_try(3)
    ((4, 2, 1), (5, 3, 1), (3, 1))
    """
    fitting = (columns for columns in range(options, 1, -1) if _evenly(options, columns))
    return (*fitting, 1)


def _evenly(options: int, columns: int) -> bool:
    rows = -(-options // columns)
    return rows * columns - options < rows and (options - 1) % columns != 0


def working_millimetres(part: Part) -> int:
    """The height of the empty space for working, in proportion to the marks; at most a page's.

    Source: common practice, no source (two to three handwritten lines a mark).
    """
    if isinstance(part.response, WrittenResponse):
        return 0
    per_mark = 15 if isinstance(part.response, EntryResponse) else 8
    return min(per_mark * part.response.marks, 200)


def task(part: Part, words: Words, *, answer_sheet: bool = False) -> str:
    """What to do on paper, in a sentence below the stem; "" where nothing needs to be said.

    answer_sheet: whether letters and lines are marked on a sheet of their own.
    """
    kind = part.response.kind
    if kind not in {"choices", "match", "order", "wrong-line"}:
        return ""
    return words(f"task-{kind}-sheet" if answer_sheet and circled(part) else f"task-{kind}")


def printed_options(part: Part) -> tuple[Option, ...]:
    """The lettered options of a part, what is put into order or matched with; () where it has none."""
    match part.response:
        case ChoiceResponse(options=options) | ChoicesResponse(options=options):
            return options
        case OrderResponse(things=things):
            return tuple(Option(thing.identifier, thing.maths, False) for thing in things)
        case MatchResponse(targets=targets):
            return tuple(Option(t.identifier, t.content, False, t.slip) for t in targets)
        case _:
            return ()


def rows_to_match(part: Part) -> tuple[tuple[str, Maths], ...]:
    """The numbered rows of a match."""
    if not isinstance(part.response, MatchResponse):
        return ()
    return tuple((row.identifier[1:], row.statement) for row in part.response.rows)


@cache
def letter(name: str) -> Maths:
    """A letter as displayed mathematics, the same object for the same name."""
    return Maths(Shape(Letter(name), 0))


def one_paragraph(content: Content) -> bool:
    """Whether a text is a single paragraph, so that it may stand in a line."""
    return len(content.shape.blocks) == 1 and isinstance(content.shape.blocks[0], Paragraph)


def is_formula(inlines: tuple[Inline, ...]) -> bool:
    """Whether a paragraph is a formula alone, which then stands at full size."""
    return len(inlines) == 1 and isinstance(inlines[0], Hole)


@cache
def is_tall(shape: Shape) -> bool:
    """Whether a fraction in it holds more than two numerals, be it one letter: at the size of a line's fractions it
    cannot be read."""
    return _is_tall(shape.display)


def _is_tall(node: Display) -> bool:
    if isinstance(node, Over) and not all(isinstance(part, Numeral) for part in parts(node)):
        return True
    return any(map(_is_tall, parts(node)))


def one_line(content: Content) -> bool:
    """Whether a text is a single paragraph without a forced new line."""
    return one_paragraph(content) and not any(map(_breaks, content.shape.blocks))


def _breaks(node: object) -> bool:
    match node:
        case Paragraph(inlines) | Emphasis(inlines):
            return any(map(_breaks, inlines))
        case _:
            return isinstance(node, LineBreak)


# --- the key ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class KeyRow:
    """One row of the key: `question` is the number with the part's label; `option` is "" for an entry.

    code: the item's, on its first row only. tolerances: (unknown, how far an entry may lie from the answer).
    follow: the answer in the pupil's own earlier answers, where marks follow through. unit: of the answer.
    """

    question: str
    code: str
    answer: Answer
    option: str
    marks: int
    tolerances: tuple[tuple[Maths, Decimal], ...] = ()
    follow: Maths | None = None
    unit: str = ""


def key_rows(items: Sequence[Item]) -> Iterator[KeyRow]:
    """The rows of the key in the order of the paper."""
    for number, item in enumerate(items, 1):
        for index, part in enumerate(item.parts):
            yield _key_row(question_name(number, part), "" if index else item.code, part)


def key_answer(part: Part) -> Answer:
    """The right answer as printed: the right option of a choice, what a wrong line should be, else the key.

    Nothing where letters say it all (`key_place`): an order, what belongs together, or statements that are true.
    """
    match part.response:
        case OrderResponse() | MatchResponse() | ChoicesResponse(sense="words"):
            return of_text("")
        case ChoiceResponse() as response:
            return response.key.content
        case WrongLineResponse(wrong=wrong):
            return part.solution[wrong].maths or part.key
        case EntryResponse(rounded=Maths() as rounded):
            return rounded
        case EntryResponse(points=True):
            return Maths(points_alone(part.key.shape), part.key.numbers)
        case _:
            return part.key


def slip_answer(part: Part, slip: Slip) -> Maths:
    """What a slip leads to as printed: the decimals that a pupil enters, where those are rounded."""
    if isinstance(part.response, EntryResponse):
        for entry in part.response.recognised:
            if entry.slip.name == slip.name and entry.rounded is not None:
                return entry.rounded
    return slip.answer


def key_place(part: Part) -> tuple[str, str]:
    """Where the right answer stands: `option`, `options` or `line` and its letters; ("", "") where it is entered."""
    match part.response:
        case ChoiceResponse() as response:
            return "option", response.key.identifier
        case ChoicesResponse() as response:
            letters = ", ".join(option.identifier for option in response.right)
            return ("option" if len(response.right) == 1 else "options"), letters
        case WrongLineResponse(wrong=wrong):
            return "line", str(wrong + 1)
        case OrderResponse() as response:
            return "order", ", ".join(thing.identifier for thing in response.in_order)
        case MatchResponse() as response:
            return "pairs", ", ".join(f"{row.identifier[1:]}{row.target}" for row in response.rows)
        case _:
            return "", ""


def key_letters(part: Part, words: Words) -> str:
    """Where the right answer stands: in brackets beside it, without them where it is all there is to say; "" where
    it is entered."""
    name, letters = key_place(part)
    return words(f"{name}-named", letter=letters) if name else ""


def key_alone(part: Part, words: Words) -> str:
    """Where the right answer stands, in a mark scheme: no other place scores; "" where it is entered."""
    name, letters = key_place(part)
    return words("key-with-line" if name == "line" else "key-with-letter", letter=letters) if name else ""


def unit(part: Part) -> str:
    """What stands after an answer: the unit, and in brackets the right words, or which blank has which unit.

    The sign of a currency that belongs before the number stands in brackets after it. "" for nothing.
    """
    if not isinstance(part.response, EntryResponse):
        return ""
    blanks = part.response.blanks
    if len(blanks) == 1 and not blanks[0].words:
        return f"({blanks[0].unit})" if blanks[0].unit_first else blanks[0].unit
    numbers = [blank for blank in blanks if not blank.words]
    units = {blank.unit for blank in numbers}
    if len(units) == 1:
        told = list(units - {""})
    else:
        told = [f"{spelling.letter(blank.unknown)}: {blank.unit}" for blank in numbers if blank.unit]
    told += [blank.words[blank.chosen].text for blank in blanks if blank.words]
    return f"({'; '.join(told)})" if told else ""


def _key_row(question: str, code: str, part: Part) -> KeyRow:
    tolerances: tuple[tuple[Maths, Decimal], ...] = ()
    if isinstance(part.response, EntryResponse):
        tolerances = tuple(
            (letter(blank.unknown), blank.tolerance)  # type: ignore[misc]
            for blank in part.response.blanks
            if _has_tolerance(blank)
        )
    marks, place = part.response.marks, key_place(part)[1]
    return KeyRow(question, code, key_answer(part), place, marks, tolerances, part.follow, unit(part))


def _has_tolerance(blank: Blank) -> bool:
    return blank.tolerance is not None and blank.tolerance.value > 0


def follow_marks(part: Part, words: Words) -> str:
    """Which marks of a part follow through, in brackets: " (B1 ft for u, B1 ft for v)"; "" where none does."""
    if not isinstance(part.response, EntryResponse):
        return ""
    told = [
        words("follow-for", mark=mark, unknown=blank.unknown.replace("_", ""))
        for blank in part.response.blanks
        for mark in blank.marks
        if mark.follow_through
    ]
    return f" ({', '.join(told)})" if told else ""


@dataclass(frozen=True, slots=True)
class CombinedRow:
    """One part in all versions: its row in the key of the first, and for each version the question and the option, ""
    for none.
    """

    key: KeyRow
    places: tuple[tuple[str, str], ...]


def combined_rows(versions: Sequence[Sequence[Item]]) -> Iterator[CombinedRow]:
    """The rows of the key to all versions, in the order of the first; the versions hold the same items."""
    numbered = [{item.code: (number, item) for number, item in enumerate(items, 1)} for items in versions]
    for first in versions[0]:
        for index in range(len(first.parts)):
            rows = [_key_row(question_name(n, found.parts[index]), "" if index else first.code, found.parts[index])
                    for n, found in (by_code[first.code] for by_code in numbered)]  # fmt: skip
            yield CombinedRow(rows[0], tuple((row.question, row.option) for row in rows))


def mark_columns(items: Sequence[Item], at_most: int) -> list[list[tuple[str, int]]]:
    """The columns (question, marks) of a mark sheet, in tables of at most so many, evenly filled."""
    columns = [
        (question_name(number, part), part.response.marks)
        for number, item in enumerate(items, 1)
        for part in item.parts
    ]
    tables = max(-(-len(columns) // at_most), 1)
    width = -(-len(columns) // tables)
    return [columns[start : start + width] for start in range(0, max(len(columns), 1), max(width, 1))]


# --- worked solutions ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WorkedRow:
    """One row of a worked solution; `left` and `right` meet at the relation sign, which stands in `right`.

    aside: side working, kept out of the column of lines. rejected: what the line says is given up.
    """

    say: Content | None
    left: Maths | None
    right: Maths | None
    aside: Maths | None
    rejected: bool
    marks: tuple[Mark, ...]


def worked_rows(part: Part) -> Iterator[WorkedRow]:
    """The rows of a part's worked solution.

    Lines that rewrite an expression become one chain that begins with the expression: each says the same as it.
    """
    begun = False
    for line in part.solution:
        if line.kind == "aside":
            yield WorkedRow(line.say, None, None, line.maths, False, line.marks)
            continue
        left, right = _line_sides(part, line, begun)
        begun = begun or left is not None
        yield WorkedRow(line.say, left, right, None, line.kind == "rejects", line.marks)


def _line_sides(part: Part, line: SolutionLine, begun: bool) -> tuple[Maths | None, Maths | None]:
    if line.maths is None:
        return None, None
    statement = part.problem.statement
    chained = part.problem.shape == "rewrite" and line.kind == "main" and not _says(line.maths.shape.display)
    if not chained or _same(line.maths, statement):
        return sides(line.maths)
    return (None if begun else statement), _after_equals(line.maths)


def _same(first: Maths, second: Maths) -> bool:
    return first.numbers == second.numbers and first.shape.display == second.shape.display


def _says(display: Display) -> bool:
    return isinstance(display, Compared | Joined | Nothing)


def sides(maths: Maths) -> tuple[Maths, Maths | None]:
    """A statement parted before its first relation sign; (the whole, None) where it has none."""
    left, right = _parted(maths.shape)
    if right is None:
        return maths, None
    return Maths(left, maths.numbers), Maths(right, maths.numbers)


# An empty numeral is the left side of what begins with its relation sign.
_EMPTY: Final = Numeral(text="")


@lru_cache(maxsize=4096)
def _parted(shape: Shape) -> tuple[Shape, Shape | None]:
    match shape.display:
        case Compared(operands, signs):
            left, right = operands[0], _beheaded(operands, signs)
        case Joined(word, (Compared(operands, signs), *others)):
            first = _beheaded(operands, signs)
            left, right = operands[0], Joined(word, (first, *others), listed=shape.display.listed)
        case _:
            return shape, None
    return Shape(left, shape.holes), Shape(right, shape.holes)


def _beheaded(operands: tuple[Display, ...], signs: tuple[str, ...]) -> Display:
    return Compared((_EMPTY, *operands[1:]), signs)


def _after_equals(maths: Maths) -> Maths:
    return Maths(_equalling(maths.shape), maths.numbers)


@lru_cache(maxsize=4096)
def _equalling(shape: Shape) -> Shape:
    return Shape(Compared((_EMPTY, shape.display), ("=",)), shape.holes)


def slip_letters(part: Part, slip: Slip) -> str:
    """The options a slip leads to, as letters, or the number of its line; "" where it leads to none."""
    if isinstance(part.response, WrongLineResponse):
        return str(part.response.wrong + 1)
    reached = (option for option in printed_options(part) if option.slip and option.slip.name == slip.name)
    return ", ".join(option.identifier for option in reached)


def slips_in_order(part: Part) -> tuple[Slip, ...]:
    """The slips of a part: those that lead to an option first, by its letter, then the others as they stand.

    Each with its answer as printed: the decimals that a pupil enters, where those are rounded.
    """
    slips = sorted(part.slips, key=lambda slip: (not (letters := slip_letters(part, slip)), letters))
    return tuple(slip._replace(answer=slip_answer(part, slip)) for slip in slips)
